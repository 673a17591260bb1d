//! One line of the journal: JSON whose last field is the checksum of all that stands before it.

use crate::Timestamp;
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use units::Digest;

/// The version of the journal's lines, stated in the first of a new picture.
const VERSION: u32 = 1;

/// How the checksum stands at the end of a line: 16 digits between these.
const SUM: (&str, &str) = (",\"sum\":\"", "\"}");
const SUM_DIGITS: usize = 16;

/// What kind of line.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Kind {
    /// The picture begins; holds it as it was made.
    New,
    /// An edit.
    Do,
    /// An edit taken back.
    Undo,
    /// An edit taken back that is done again.
    Redo,
}

/// A line, its edits still as text.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Line<'a> {
    /// Its number; those of a journal follow one another.
    pub(crate) n: u64,
    /// When it was accepted.
    pub(crate) at: String,
    pub(crate) kind: Kind,
    /// The number of the edit that is undone or done again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) of: Option<u64>,
    /// The version of the lines; in the first of a new picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    journal: Option<u32>,
    /// What was done, in words.
    pub(crate) says: String,
    /// The picture as it was made, in its written form.
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    pub(crate) picture: Option<&'a RawValue>,
    /// What was carried out.
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    pub(crate) edit: Option<&'a RawValue>,
    /// What takes it back.
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    pub(crate) inverse: Option<&'a RawValue>,
    /// Checked over the bytes before the line is read as JSON.
    #[serde(rename = "sum", default, skip_serializing)]
    _sum: IgnoredAny,
}

/// What a line says beside its edits.
pub(crate) struct Head {
    pub(crate) n: u64,
    pub(crate) at: Timestamp,
    pub(crate) kind: Kind,
    pub(crate) of: Option<u64>,
    pub(crate) says: String,
}

/// The line of an edit, with its line break.
pub(crate) fn of_edit(head: &Head, edit: &str, inverse: &str) -> String {
    let raw = |text| serde_json::from_str::<&RawValue>(text).expect("the written form of an edit is JSON");
    write(Line { edit: Some(raw(edit)), inverse: Some(raw(inverse)), ..Line::with(head) })
}

/// The first line of a new picture, with its line break.
pub(crate) fn of_new(head: &Head, picture: &str) -> String {
    // On one line: no text in JSON holds a bare line break, so each is between the parts.
    let one_line: String = picture.lines().map(str::trim_start).collect();
    let raw = serde_json::from_str::<&RawValue>(&one_line).expect("the written form of a picture is JSON");
    write(Line { picture: Some(raw), journal: Some(VERSION), ..Line::with(head) })
}

impl Line<'_> {
    fn with(head: &Head) -> Self {
        Self {
            n: head.n,
            at: head.at.to_string(),
            kind: head.kind,
            of: head.of,
            journal: None,
            says: head.says.clone(),
            picture: None,
            edit: None,
            inverse: None,
            _sum: IgnoredAny,
        }
    }
}

fn write(line: Line<'_>) -> String {
    let mut text = serde_json::to_string(&line).expect("a line has string keys and is written into memory");
    text.pop();
    let sum = sum_of(text.as_bytes());
    text + SUM.0 + &sum + SUM.1 + "\n"
}

fn sum_of(bytes: &[u8]) -> String {
    Digest::of(bytes).to_string()[..SUM_DIGITS].to_owned()
}

/// Reads a line without its line break; says what is wrong with it.
pub(crate) fn read(bytes: &[u8]) -> Result<(Head, Line<'_>), String> {
    let text = std::str::from_utf8(bytes).map_err(|_| "the line is not text (UTF-8)".to_owned())?;
    let stated = text.strip_suffix(SUM.1).and_then(|t| t.rsplit_once(SUM.0));
    let (summed, sum) = stated.ok_or("the line does not end in a checksum")?;
    if sum_of(summed.as_bytes()) != sum {
        return Err("the line does not match its checksum: it was changed or damaged".to_owned());
    }
    let line: Line<'_> = serde_json::from_str(text).map_err(|e| format!("the line cannot be read: {e}"))?;
    if let Some(version) = line.journal.filter(|v| *v > VERSION) {
        return Err(format!("the journal was written by a newer Setpiece (version {version})"));
    }
    if line.n > scene::LAST_ID || line.of.is_some_and(|of| of >= line.n) {
        return Err("the line has a number that cannot be".to_owned());
    }
    let at = line.at.parse().map_err(|_| format!("{:?} is not a time", line.at))?;
    let complete = match line.kind {
        Kind::New => line.picture.is_some() && line.of.is_none(),
        Kind::Do => line.edit.is_some() && line.inverse.is_some() && line.of.is_none(),
        Kind::Undo | Kind::Redo => line.edit.is_some() && line.inverse.is_some() && line.of.is_some(),
    };
    if !complete {
        return Err("the line lacks what its kind needs".to_owned());
    }
    let head = Head { n: line.n, at, kind: line.kind, of: line.of, says: line.says.clone() };
    Ok((head, line))
}

/// Whether the unreadable end of a journal, with its line break if it has one, can be what an interrupted write left: a
/// line without its end, or one with a hole of zeros where a block did not reach the disk. What begins with a whole
/// line is not: that line was there, and the damage came later.
pub(crate) fn is_torn(rest: &[u8]) -> bool {
    let unfinished = rest.last() != Some(&b'\n') || rest.contains(&0);
    // No text within a line can hold the mark of the checksum: its quotation marks would be escaped.
    let mark = rest.windows(SUM.0.len()).position(|w| w == SUM.0.as_bytes());
    let end = mark.map(|at| at + SUM.0.len() + SUM_DIGITS + SUM.1.len());
    let whole =
        end.and_then(|end| rest.get(..end)).is_some_and(|line| line.len() < rest.len() && read(line).is_ok());
    unfinished && !whole
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head() -> Head {
        let at = "2026-03-01T17:05:09.250Z".parse().unwrap();
        Head { n: 7, at, kind: Kind::Do, of: None, says: "Picture called \"Dusk\"".to_owned() }
    }

    #[test]
    fn torn_is_what_an_interrupted_write_leaves() {
        let line = of_edit(&head(), r#"{"name":"Dusk"}"#, r#"{"name":"Marsh"}"#);
        let bytes = line.as_bytes();
        (0..bytes.len()).for_each(|end| assert!(is_torn(&bytes[..end]), "{end}"));
        let mut hole = bytes.to_vec();
        hole[10..20].fill(0);
        assert!(is_torn(&hole));
        // One byte of a finished line changed, or its line break.
        let mut changed = bytes.to_vec();
        changed[20] ^= 1;
        assert!(!is_torn(&changed));
        assert!(!is_torn(format!("{}0", line.trim_end()).as_bytes()));
        assert!(!is_torn(format!("{}\0{line}", line.trim_end()).as_bytes()));
    }

    #[test]
    fn a_line_reads_back_and_no_byte_of_it_can_change() {
        let text = of_edit(&head(), r#"{"name":"Dusk"}"#, r#"{"name":"Marsh"}"#);
        assert!(
            text.starts_with(r#"{"n":7,"at":"2026-03-01T17:05:09.250Z","kind":"do","says":"Picture"#),
            "{text}"
        );
        let bytes = text.strip_suffix('\n').unwrap().as_bytes();
        let (read_head, line) = read(bytes).unwrap();
        assert_eq!((read_head.n, read_head.kind, read_head.at), (7, Kind::Do, head().at));
        assert_eq!(line.edit.unwrap().get(), r#"{"name":"Dusk"}"#);
        for at in 0..bytes.len() {
            let mut damaged = bytes.to_vec();
            damaged[at] ^= 1;
            assert!(read(&damaged).is_err(), "{}", String::from_utf8_lossy(&damaged));
            assert!(read(&bytes[..at]).is_err());
        }
    }
}
