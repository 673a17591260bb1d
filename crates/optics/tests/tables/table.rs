//! Reading the tables of check values in tests/data, so that nothing is skipped in silence: a kind of row
//! that no check handles fails, a check that finds no row fails, and so does a value that no check looked at.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// One row of a table. Empty cells are absent.
pub(crate) struct Row {
    place: String,
    cells: BTreeMap<String, String>,
    seen: RefCell<BTreeSet<String>>,
    /// The largest share of its tolerance that any value of the row has used up, and which.
    worst: RefCell<(f64, String)>,
}

impl Row {
    /// The text of a cell, or "" where it is empty.
    pub(crate) fn text(&self, column: &str) -> &str {
        self.seen.borrow_mut().insert(column.to_owned());
        self.cells.get(column).map_or("", String::as_str)
    }

    /// The number in a cell; `None` where it is empty.
    pub(crate) fn number(&self, column: &str) -> Option<f64> {
        match self.text(column) {
            "" => None,
            text => Some(
                text.parse().unwrap_or_else(|_| panic!("{}: {column} is not a number: {text}", self.place)),
            ),
        }
    }

    /// The number in a cell that must be filled.
    pub(crate) fn get(&self, column: &str) -> f64 {
        self.number(column).unwrap_or_else(|| panic!("{}: {column} is empty", self.place))
    }

    /// Fails unless `got` is as near to the cell as the tolerance says.
    pub(crate) fn near(&self, column: &str, got: f64, tolerance: Tolerance) {
        let want = self.get(column);
        let allowed = match tolerance {
            Tolerance::Absolute(t) => t,
            Tolerance::Relative(t) => t * want.abs(),
            Tolerance::Arithmetic => 1e-6 * want.abs().max(1.0),
        };
        // Infinity is only ever near to infinity, and then they are equal.
        let off = if got == want { 0.0 } else { got - want };
        self.within(&format!("{column}, computed {got}, published {want}"), off, allowed);
    }

    /// Fails unless a deviation is within what is allowed.
    pub(crate) fn within(&self, what: &str, off: f64, allowed: f64) {
        assert!(off.abs() <= allowed, "{}: {what}: off by {off:e}, allowed {allowed:e}", self.place);
        let share = if off == 0.0 { 0.0 } else { off.abs() / allowed };
        let mut worst = self.worst.borrow_mut();
        if share >= worst.0 {
            *worst = (share, format!("{}: {what}", self.place));
        }
    }

    /// The same where the cell is filled.
    pub(crate) fn near_if_given(&self, column: &str, got: f64, tolerance: Tolerance) {
        if self.number(column).is_some() {
            self.near(column, got, tolerance);
        }
    }

    /// Fails with the row's place unless the claim holds.
    pub(crate) fn holds(&self, claim: &str, truth: bool) {
        assert!(truth, "{}: {claim}", self.place);
    }
}

/// How near is near enough.
#[derive(Clone, Copy)]
pub(crate) enum Tolerance {
    /// In the unit of the column.
    Absolute(f64),
    /// As a share of the published value.
    Relative(f64),
    /// 1e-6 of the published value, or of 1 where that is smaller: for values that are pure arithmetic.
    Arithmetic,
}

/// The check of one kind of row.
pub(crate) type Check<'a> = (&'a str, &'a dyn Fn(&Row));

/// Reads a table and gives each row to the check of its kind (the text in `kind_column`).
pub(crate) fn check_every_row(file: &str, kind_column: &str, checks: &[Check]) {
    let rows = rows(file);
    let mut counts = BTreeMap::new();
    for row in &rows {
        let kind = row.text(kind_column);
        let Some((name, check)) = checks.iter().find(|(name, _)| *name == kind) else {
            panic!("{}: no check for rows of the kind '{kind}'", row.place);
        };
        check(row);
        let seen = row.seen.borrow();
        let missed: Vec<_> = row.cells.keys().filter(|c| *c != "source" && !seen.contains(*c)).collect();
        assert!(missed.is_empty(), "{}: values that nothing looked at: {missed:?}", row.place);
        *counts.entry(*name).or_insert(0) += 1;
    }
    for (name, _) in checks {
        assert!(counts.contains_key(name), "{file}: no row of the kind '{name}'");
    }
    let parts: Vec<String> = counts.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
    println!("{file}: checked {} rows: {}", rows.len(), parts.join(", "));
    let worst = rows.iter().map(|row| row.worst.borrow()).max_by(|a, b| a.0.total_cmp(&b.0));
    let (share, place) = &*worst.expect("a table has rows");
    println!("    nearest to its limit, {:.0} % of it: {place}", share * 100.0);
}

/// All rows of a table.
pub(crate) fn rows(file: &str) -> Vec<Row> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let header = reader.headers().unwrap().clone();
    reader
        .records()
        .enumerate()
        .map(|(i, record)| {
            let record = record.unwrap_or_else(|e| panic!("{file}: {e}"));
            let filled = header.iter().zip(record.iter()).filter(|(_, cell)| !cell.is_empty());
            Row {
                place: format!("{file}, row {}", i + 2),
                cells: filled.map(|(name, cell)| (name.to_owned(), cell.to_owned())).collect(),
                seen: RefCell::default(),
                worst: RefCell::default(),
            }
        })
        .collect()
}
