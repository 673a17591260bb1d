//! What must hold of the repository as a whole, each finding with its place and what to do.

pub mod arrows;
pub mod heads;
pub mod licences;
pub mod metadata;
pub mod sizes;
pub mod tree;
pub mod words;

use metadata::Metadata;
use std::fmt;
use std::path::Path;
use tree::Tree;

/// Something that must not stay as it is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Finding {
    /// From the root of the repository.
    pub file: String,
    /// From 1 on.
    pub line: usize,
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

impl Finding {
    fn new(file: &str, line: usize, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, what: what.into(), remedy: remedy.into() }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}; {}", self.file, self.line, self.what, self.remedy)
    }
}

/// All findings, by file and line.
///
/// # Errors
/// Where the repository cannot be looked at: git or cargo do not answer, or a list of ours is not in its form.
pub fn all(root: &Path) -> Result<Vec<Finding>, String> {
    let tree = Tree::of(root)?;
    let metadata = Metadata::of(root)?;
    let mut findings = arrows::check(&tree, &metadata)?;
    findings.extend(licences::check(&tree, &metadata)?);
    findings.extend(words::check(&tree));
    findings.extend(sizes::check(&tree));
    findings.extend(heads::check(&tree));
    let stale = crate::generated::stale(root).map_err(|e| e.to_string())?;
    findings.extend(stale.into_iter().map(|file| {
        Finding::new(&file, 1, "not what the code makes today", "run `cargo xtask gen` and commit the result")
    }));
    findings.sort();
    Ok(findings)
}
