//! What every crate begins with: what it is for, and that it has no unsafe code.

use super::Finding;
use super::tree::Tree;

const NO_UNSAFE: &str = "#![forbid(unsafe_code)]";

/// The crates that may, and the files where they do.
const MAY: [&str; 2] = ["crates/pixels/", "crates/cli/"];
const THERE: [&str; 3] =
    ["crates/pixels/src/kernel/simd.rs", "crates/pixels/src/encode/encoder.rs", "crates/cli/src/run/open.rs"];

/// Crates that begin otherwise.
#[must_use]
pub fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    let manifests =
        tree.texts().filter(|(path, _)| path.ends_with("/Cargo.toml") && !path.starts_with("fuzz/"));
    for (path, manifest) in manifests {
        let folder = path.trim_end_matches("Cargo.toml");
        if !manifest.contains("[lints]\nworkspace = true") {
            let remedy = "add [lints] workspace = true";
            findings.push(Finding::new(path, 1, "goes without the lints of the workspace", remedy));
        }
        for root in ["src/lib.rs", "src/main.rs", "lib.rs"].map(|r| format!("{folder}{r}")) {
            let Some(text) = tree.text(&root) else { continue };
            if !text.starts_with("//! ") {
                let remedy = "begin with //! and what it is for, and what it must not know";
                findings.push(Finding::new(&root, 1, "the crate does not say what it is for", remedy));
            }
            if !MAY.contains(&folder) && !text.lines().any(|l| l == NO_UNSAFE) {
                let remedy = format!("add {NO_UNSAFE} after its first comment");
                findings.push(Finding::new(&root, 1, "the crate does not rule out unsafe code", remedy));
            }
        }
    }
    for (path, text) in tree.rust().filter(|(path, _)| MAY.iter().any(|may| path.starts_with(may))) {
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        let opens = |l: &str| !l.starts_with("//") && (l.contains("unsafe {") || l.contains("unsafe fn"));
        for (i, _) in lines.iter().enumerate().filter(|(_, l)| opens(l)) {
            if !THERE.contains(&path) {
                let remedy = format!("it may stand in {} alone", THERE.join(" and "));
                findings.push(Finding::new(path, i + 1, "unsafe code", remedy));
            } else if !lines[..i].iter().rev().take(8).any(|l| l.starts_with("// SAFETY: ")) {
                findings.push(Finding::new(
                    path,
                    i + 1,
                    "unsafe code without its reason",
                    "say why it holds: // SAFETY: ...",
                ));
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::super::tree::tree;
    use super::*;

    #[test]
    fn crates_without_their_head_are_found() {
        let sound = format!("//! For this.\n{NO_UNSAFE}\n");
        let manifest = "[package]\n\n[lints]\nworkspace = true\n";
        let tree = tree(&[
            ("crates/a/Cargo.toml", manifest),
            ("crates/a/src/lib.rs", &sound),
            ("crates/b/Cargo.toml", manifest),
            ("crates/b/src/lib.rs", "fn f() {}\n"),
            ("crates/c/Cargo.toml", "[package]\n"),
            ("crates/pixels/Cargo.toml", manifest),
            ("crates/pixels/src/lib.rs", "//! Pixels.\n"),
            ("crates/pixels/src/kernel/simd.rs", "// SAFETY: it is.\nunsafe { }\n\n\n\n\n\n\n\nunsafe { }\n"),
            ("crates/pixels/src/kernel/over.rs", "// unsafe is not here\nlet x = unsafe { };\n"),
        ]);
        let found: Vec<_> = check(&tree).into_iter().map(|f| format!("{}:{}", f.file, f.line)).collect();
        assert_eq!(
            found,
            [
                "crates/b/src/lib.rs:1",
                "crates/b/src/lib.rs:1",
                "crates/c/Cargo.toml:1",
                "crates/pixels/src/kernel/simd.rs:10",
                "crates/pixels/src/kernel/over.rs:2"
            ]
        );
    }
}
