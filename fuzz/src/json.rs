//! Changes to JSON that mostly leave it JSON, so that what is behind the parser is reached.

use crate::chance::Chance;
use std::ops::Range;

/// Numbers at which something may break.
const NUMBERS: [&str; 24] = [
    "0",
    "-0.0",
    "1",
    "-1",
    "0.5",
    "1e-300",
    "-1e308",
    "1e308",
    "1e400",
    "5e-324",
    "90",
    "-90",
    "360",
    "0.1",
    "2",
    "255",
    "65535",
    "65536",
    "4294967295",
    "4294967296",
    "9007199254740993",
    "18446744073709551615",
    "18446744073709551616",
    "1000000",
];
const OTHERS: [&str; 9] =
    ["null", "true", "[]", "{}", "\"\"", "\"\\u0000\"", "\"\\ud800\"", "[0.0,0.0,0.0]", "\"remove\""];

/// One change by its rules; `None` where it finds nothing to change.
#[must_use]
pub fn change(text: &[u8], seed: u32) -> Option<Vec<u8>> {
    let mut chance = Chance::new(seed);
    let values = values(text);
    let at = values.get(chance.below(values.len()))?.clone();
    let with = |part: Range<usize>, new: &[u8]| [&text[..part.start], new, &text[part.end..]].concat();
    let member = member(text, at.clone());
    let number = text[at.start].is_ascii_digit() || text[at.start] == b'-';
    Some(match chance.below(8) {
        0 | 1 if number => with(at, chance.of(&NUMBERS).as_bytes()),
        0 | 1 => with(at, chance.of(&OTHERS).as_bytes()),
        // A value in another's place, from anywhere in the input.
        2..=4 => with(at, &text[values[chance.below(values.len())].clone()]),
        // A member or item twice, or not at all.
        5 => {
            let twice = [&text[member.clone()], b",", &text[member.clone()]].concat();
            with(member, &twice)
        }
        6 => {
            let comma = usize::from(text.get(member.end) == Some(&b','));
            with(member.start..member.end + comma, b"")
        }
        // An edit once more, or within a group.
        _ => {
            let lines: Vec<&[u8]> = text.split(|&b| b == b'\n').collect();
            let line = *chance.of(&lines);
            let line =
                if chance.below(2) == 0 { line.to_vec() } else { [b"{\"group\":[", line, b"]}"].concat() };
            [text, b"\n", &line].concat()
        }
    })
}

/// A value with its name, if it has one.
fn member(text: &[u8], value: Range<usize>) -> Range<usize> {
    let before = text[..value.start].trim_ascii_end();
    let Some(before) = before.strip_suffix(b":").map(<[u8]>::trim_ascii_end) else { return value };
    let Some(before) = before.strip_suffix(b"\"") else { return value };
    let start = before.iter().rposition(|&b| b == b'"').unwrap_or(value.start);
    start..value.end
}

/// Where values stand, also those that hold others. Names count too: a name may well stand in another's place.
fn values(text: &[u8]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut open = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let start = at;
        at += 1;
        match text[start] {
            b'{' | b'[' => open.push(start),
            b'}' | b']' => found.extend(open.pop().map(|from| from..at)),
            b'"' => {
                while at < text.len() && text[at] != b'"' {
                    at += if text[at] == b'\\' { 2 } else { 1 };
                }
                at = (at + 1).min(text.len());
                found.push(start..at);
            }
            b if b.is_ascii_alphanumeric() || b == b'-' => {
                let more = |b: &u8| b.is_ascii_alphanumeric() || b"+-.".contains(b);
                at += text[at..].iter().take_while(|b| more(b)).count();
                found.push(start..at);
            }
            _ => {}
        }
    }
    found
}
