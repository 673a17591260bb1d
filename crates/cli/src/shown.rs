//! Reports as text.

mod facts;
mod lists;
mod reading;

pub(crate) use facts::{cutouts, facts};
pub(crate) use lists::{
    checked, done, doubts, dressings, lamps, line_up, log, papers, rendered, snags, takes, toning, views,
};
pub(crate) use reading::reading;

use std::path::Path;
use unicode_width::UnicodeWidthStr;

/// A number with at most so many decimals, without zeros at its end.
pub(crate) fn plain(value: f64, decimals: usize) -> String {
    if value.abs() >= 1e9 {
        return setpiece::commands::scene::figure(value);
    }
    let text = format!("{value:.decimals$}");
    let short = if decimals > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// A path as it can be typed into a shell.
pub(crate) fn typeable(path: &Path) -> String {
    let text = path.display().to_string();
    let is_bare = |c: char| c.is_alphanumeric() || "/\\.:_-+@%,=".contains(c);
    match text.chars().all(is_bare) && !text.starts_with('-') {
        true => text,
        false if cfg!(windows) => format!("\"{text}\""),
        false => format!("'{}'", text.replace('\'', r"'\''")),
    }
}

/// Rows in columns that stand under each other; numbers to the right.
pub(crate) fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let width =
        |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|t| t.width()).chain([head[c].width()]).max();
    let widths: Vec<usize> = (0..head.len()).map(|c| width(c).unwrap_or(0)).collect();
    let is_number = |t: &str| t.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | 'x'));
    let numeric: Vec<bool> = (0..head.len())
        .map(|c| {
            let mut cells = rows.iter().filter_map(|r| r.get(c)).filter(|t| !t.is_empty()).peekable();
            cells.peek().is_some() && cells.all(|t| is_number(t))
        })
        .collect();
    let line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut line = String::new();
        for (c, cell) in cells.enumerate() {
            let pad = " ".repeat(widths[c].saturating_sub(cell.width()));
            line += &if numeric[c] { format!("{pad}{cell}") } else { format!("{cell}{pad}") };
            line += "  ";
        }
        format!("{}\n", line.trim_end())
    };
    let mut out = line(&mut head.iter().copied());
    for row in rows {
        out += &line(&mut row.iter().map(String::as_str));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_keep_columns_in_line() {
        let rows = [vec!["鶴".to_owned(), "1".to_owned()], vec!["heron".to_owned(), "12".to_owned()]];
        assert_eq!(table(&["piece", "n"], &rows), "piece   n\n鶴      1\nheron  12\n");
    }

    #[test]
    #[cfg(unix)]
    fn a_path_can_be_typed_as_it_is_told() {
        for (path, told) in
            [("marsh", "marsh"), ("out at sea/a", "'out at sea/a'"), ("it's", r"'it'\''s'"), ("a$b", "'a$b'")]
        {
            assert_eq!(typeable(Path::new(path)), told);
        }
    }
}
