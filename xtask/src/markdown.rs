//! Tables in Markdown.

/// Rows as a table whose columns stand below each other; the first row is its head.
pub(crate) fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let cell = |row: &[String], i: usize| row.get(i).cloned().unwrap_or_default();
    let width = |i| rows.iter().map(|r| cell(r, i).chars().count()).max().unwrap_or(0).max(3);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::new();
    for (number, row) in rows.iter().enumerate() {
        for (i, width) in widths.iter().enumerate() {
            out += &format!("| {:width$} ", cell(row, i));
        }
        out += "|\n";
        if number == 0 {
            for width in &widths {
                out += &format!("| {:-<width$} ", "");
            }
            out += "|\n";
        }
    }
    out
}

/// The rows of all tables in a text, without their rules: `|cell|cell|`.
#[cfg(test)]
pub(crate) fn rows_of(text: &str) -> Vec<String> {
    text.lines()
        .filter(|l| l.starts_with("| ") && !l.starts_with("| -"))
        .map(|l| l.split('|').map(str::trim).collect::<Vec<_>>().join("|"))
        .collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn columns_stand_below_each_other() {
        let rows = [vec!["a".to_owned(), "b".into()], vec!["long".into()]];
        assert_eq!(super::table(&rows), "| a    | b   |\n| ---- | --- |\n| long |     |\n");
    }
}
