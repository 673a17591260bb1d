//! The files of the repository: what git holds, and what it would take up.

use std::path::Path;
use std::process::Command;

/// A file.
#[derive(Clone, Debug)]
pub struct Entry {
    /// From the root, with `/`.
    pub path: String,
    /// In bytes.
    pub size: u64,
    /// Its text, if it is one.
    pub text: Option<String>,
}

/// The files, by path.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    /// All of them.
    pub files: Vec<Entry>,
}

impl Tree {
    /// Of a repository.
    ///
    /// # Errors
    /// Where git does not answer.
    pub fn of(root: &Path) -> Result<Self, String> {
        let listed = Command::new("git")
            .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard", "--deduplicate"])
            .current_dir(root)
            .output()
            .map_err(|e| format!("git cannot be started: {e}"))?;
        if !listed.status.success() {
            return Err(format!("git lists no files: {}", String::from_utf8_lossy(&listed.stderr).trim()));
        }
        let names = String::from_utf8_lossy(&listed.stdout);
        // A file that was just deleted is still listed.
        let mut files: Vec<Entry> = names
            .split('\0')
            .filter(|name| !name.is_empty())
            .filter_map(|name| {
                let bytes = std::fs::read(root.join(name)).ok()?;
                let size = bytes.len() as u64;
                let text = (!bytes.contains(&0)).then(|| String::from_utf8(bytes).ok()).flatten();
                Some(Entry { path: name.to_owned(), size, text })
            })
            .collect();
        files.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(Self { files })
    }

    /// The text of one file.
    #[must_use]
    pub fn text(&self, path: &str) -> Option<&str> {
        self.files.iter().find(|f| f.path == path)?.text.as_deref()
    }

    /// Path and text of what is text.
    pub fn texts(&self) -> impl Iterator<Item = (&str, &str)> {
        self.files.iter().filter_map(|f| Some((f.path.as_str(), f.text.as_deref()?)))
    }

    /// Path and text of what is Rust.
    pub fn rust(&self) -> impl Iterator<Item = (&str, &str)> {
        self.texts().filter(|(path, _)| path.ends_with(".rs"))
    }
}

#[cfg(test)]
pub(crate) fn tree(files: &[(&str, &str)]) -> Tree {
    let entry = |(path, text): &(&str, &str)| Entry {
        path: (*path).to_owned(),
        size: text.len() as u64,
        text: Some((*text).to_owned()),
    };
    Tree { files: files.iter().map(entry).collect() }
}
