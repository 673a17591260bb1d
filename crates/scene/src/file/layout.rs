//! How the JSON lies on the lines.

/// Puts lists of plain numbers on one line each: a colour or an outline reads as one thing, and a change to it
/// is one line's change.
pub(super) fn short_lists(pretty: &str) -> String {
    let mut out = String::with_capacity(pretty.len());
    let mut lines = pretty.lines().peekable();
    while let Some(line) = lines.next() {
        out.push_str(line);
        // A text cannot end in a bracket here: its closing quotation mark, or the comma after it, would follow.
        if line.ends_with('[') {
            let mut list = String::new();
            let mut ahead = lines.clone();
            while let Some(item) = ahead.next_if(|item| is_number(item)) {
                list.push_str(if list.is_empty() { "" } else { " " });
                list.push_str(item.trim_start());
            }
            if !list.is_empty() && ahead.peek().is_some_and(|end| end.trim_start().starts_with(']')) {
                out.push_str(&list);
                out.push_str(ahead.next().map_or("", str::trim_start));
                lines = ahead;
            }
        }
        out.push('\n');
    }
    out
}

fn is_number(line: &str) -> bool {
    let item = line.trim_start().trim_end_matches(',');
    !item.is_empty()
        && item.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+' | b'.' | b'e' | b'E'))
}

#[cfg(test)]
mod tests {
    use super::short_lists;

    #[test]
    fn numbers_share_a_line_and_texts_do_not() {
        let pretty =
            "{\n  \"a\": [\n    1.0,\n    -2e-7\n  ],\n  \"b\": [\n    \"[\",\n    2\n  ],\n  \"c\": []\n}\n";
        let short = "{\n  \"a\": [1.0, -2e-7],\n  \"b\": [\n    \"[\",\n    2\n  ],\n  \"c\": []\n}\n";
        assert_eq!(short_lists(pretty), short);
    }
}
