//! How large files may be.

use super::Finding;
use super::tree::Tree;

/// Lines of Rust past which a file surely has more than one reason to change.
const MOST_LINES: usize = 700;

/// Lines past which it is worth a look.
pub const MANY_LINES: usize = 400;

/// Bytes of any file. The demo's photographs are what they are.
const MOST_BYTES: u64 = 4 << 20;
const DEMO: &str = "demo/parts/";

/// Bytes of a reference that a test compares with.
const MOST_GOLDEN_BYTES: u64 = 20 << 10;
const GOLDENS: &str = "tests/golden/";

/// Files beyond that.
#[must_use]
pub fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, lines) in tree.rust().map(|(p, t)| (p, t.lines().count())).filter(|(_, n)| *n > MOST_LINES) {
        let what = format!("{lines} lines, {MOST_LINES} are allowed");
        findings.push(Finding::new(path, MOST_LINES, what, "divide it by reasons to change"));
    }
    for file in &tree.files {
        if file.size > MOST_BYTES && !file.path.starts_with(DEMO) {
            let what = format!("{} bytes, {MOST_BYTES} are allowed", file.size);
            findings.push(Finding::new(&file.path, 1, what, "make it by a program, or make it smaller"));
        }
        let golden = file.path.starts_with(GOLDENS) && file.path.ends_with(".png");
        if golden && file.size > MOST_GOLDEN_BYTES {
            let what = format!("{} bytes, a reference may have {MOST_GOLDEN_BYTES}", file.size);
            findings.push(Finding::new(&file.path, 1, what, "make the scene smaller: one subject is enough"));
        }
    }
    findings
}

/// Rust files that are long, but not too long: path and lines.
#[must_use]
pub fn long(tree: &Tree) -> Vec<(&str, usize)> {
    tree.rust()
        .map(|(p, t)| (p, t.lines().count()))
        .filter(|(_, n)| (MANY_LINES + 1..=MOST_LINES).contains(n))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::tree::{Entry, tree};
    use super::*;

    #[test]
    fn what_is_too_large_is_found() {
        let (much, long_file) = ("\n".repeat(701), "\n".repeat(700));
        let mut tree = tree(&[("a.rs", &much), ("b.rs", &long_file), ("c.txt", &much)]);
        let picture = |path: &str, size| Entry { path: path.to_owned(), size, text: None };
        tree.files.push(picture("tests/golden/a/expected.png", (20 << 10) + 1));
        tree.files.push(picture("tests/golden/b/expected.png", 20 << 10));
        tree.files.push(picture("demo/parts/sky.png", 5 << 20));
        tree.files.push(picture("sky.png", 5 << 20));
        let found: Vec<_> = check(&tree).into_iter().map(|f| f.file).collect();
        assert_eq!(found, ["a.rs", "tests/golden/a/expected.png", "sky.png"]);
        assert_eq!(long(&tree), [("b.rs", 700)]);
    }
}
