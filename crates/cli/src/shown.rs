//! Reports as text.

mod facts;
mod lists;
mod reading;

pub(crate) use facts::{cutouts, facts};
pub(crate) use lists::{checked, done, lamps, line_up, log, rendered, snags, takes, toning};
pub(crate) use reading::reading;

/// A number with at most so many decimals, without zeros at its end.
pub(crate) fn plain(value: f64, decimals: usize) -> String {
    if value.abs() >= 1e9 {
        return setpiece::commands::scene::figure(value);
    }
    let text = format!("{value:.decimals$}");
    let short = if decimals > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// Rows in columns that stand under each other; numbers to the right.
pub(crate) fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let width = |c: usize| {
        rows.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).chain([head[c].chars().count()]).max()
    };
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
            let pad = " ".repeat(widths[c].saturating_sub(cell.chars().count()));
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
