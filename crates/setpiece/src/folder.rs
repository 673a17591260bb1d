//! Where things are in a picture's folder.

use scene::{Source, SourceKind};
use std::path::{Path, PathBuf};

/// A picture's folder.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Folder(PathBuf);

impl Folder {
    pub(crate) fn at(path: &Path) -> Self {
        Self(path.to_owned())
    }

    /// Whether a picture is kept in a folder.
    #[must_use]
    pub fn holds_picture(path: &Path) -> bool {
        let folder = Self::at(path);
        folder.picture().is_file() || folder.journal().is_file()
    }

    /// The folder itself.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The scene.
    #[must_use]
    pub fn picture(&self) -> PathBuf {
        self.0.join("picture.json")
    }

    /// Every accepted edit.
    #[must_use]
    pub fn journal(&self) -> PathBuf {
        self.0.join("journal.ndjson")
    }

    /// Original files, byte for byte.
    #[must_use]
    pub fn sources(&self) -> PathBuf {
        self.0.join("sources")
    }

    /// Mattes, facts and strokes.
    #[must_use]
    pub fn cutouts(&self) -> PathBuf {
        self.0.join("cutouts")
    }

    /// Receipts and releases.
    #[must_use]
    pub fn rights(&self) -> PathBuf {
        self.0.join("rights")
    }

    /// Deliveries.
    #[must_use]
    pub fn out(&self) -> PathBuf {
        self.0.join("out")
    }

    /// What can be computed again; may be deleted at any time. `None` where the name leads somewhere else: whoever only looks at a
    /// picture that came from others writes nowhere outside it.
    #[must_use]
    pub fn cache(&self) -> Option<PathBuf> {
        let path = self.0.join(".cache");
        (!path.is_symlink()).then_some(path)
    }

    /// Where files of this kind are kept.
    #[must_use]
    pub fn keeps(&self, kind: SourceKind) -> PathBuf {
        match kind {
            SourceKind::Cutting => self.cutouts(),
            SourceKind::Backdrop | SourceKind::Shot | SourceKind::Matte => self.sources(),
            SourceKind::Other => self.rights(),
        }
    }

    /// Where a file of the picture is.
    #[must_use]
    pub fn file(&self, source: &Source) -> PathBuf {
        self.keeps(source.kind).join(&source.file)
    }

    /// The lock. Not in the cache: that may be deleted while the picture is open.
    pub(crate) fn lock(&self) -> PathBuf {
        self.0.join(".lock")
    }

    /// The lock of the studio that the picture lies open in.
    pub(crate) fn desk(&self) -> PathBuf {
        self.0.join(".desk")
    }

    /// A name for something that is set aside: the next number where there is one already.
    pub(crate) fn free(&self, stem: &str, extension: &str) -> PathBuf {
        let first = self.0.join(format!("{stem}.{extension}"));
        let later = (2..).map(|n: u32| self.0.join(format!("{stem}-{n}.{extension}")));
        std::iter::once(first).chain(later).find(|path| !path.exists()).unwrap_or_else(|| self.0.join(stem))
    }

    /// All folders within.
    pub(crate) fn folders(&self) -> [PathBuf; 5] {
        [self.sources(), self.cutouts(), self.rights(), self.out(), self.0.join(".cache")]
    }
}

/// A file name for a source: the beginning of its digest, which tells it apart, and what it was called, made
/// harmless for every file system.
pub(crate) fn source_file_name(short_digest: &str, called: &str) -> String {
    /// Of the old name, in bytes: with digest and temporary suffix it stays under every system's 255.
    const LONGEST: usize = 120;
    let bare = called.rsplit(['/', '\\']).next().unwrap_or_default();
    let mut name = String::new();
    for c in bare.chars() {
        let c = if c.is_alphanumeric() || matches!(c, '.' | '-' | '_') { c } else { '-' };
        // Runs of replaced characters become one.
        if c != '-' || !name.ends_with('-') {
            name.push(c);
        }
    }
    // Some systems drop dots and dashes at the end, or take one in front for an option or a hidden file.
    let name = name.trim_matches(['.', '-']);
    // The end is kept: it says what kind of file it is.
    let from = name.char_indices().map(|(i, _)| i).find(|i| name.len() - i <= LONGEST).unwrap_or(name.len());
    if name.is_empty() { short_digest.to_owned() } else { format!("{short_digest}-{}", &name[from..]) }
}

#[cfg(test)]
mod tests {
    use super::source_file_name;

    #[test]
    fn names_are_harmless_and_still_readable() {
        for (called, name) in [
            ("DSC_0007.tif", "abc-DSC_0007.tif"),
            ("/home/x/évening marsh (2).JPG", "abc-évening-marsh-2-.JPG"),
            ("C:\\shots\\crane.png", "abc-crane.png"),
            ("../../etc/passwd", "abc-passwd"),
            ("..", "abc"),
            ("", "abc"),
            ("a\0b\n.png", "abc-a-b-.png"),
            ("con. ", "abc-con"),
        ] {
            assert_eq!(source_file_name("abc", called), name, "{called:?}");
        }
        let long = source_file_name("abc", &format!("{}.tif", "é".repeat(300)));
        assert!(long.len() <= 124 && long.ends_with("é.tif"), "{long}");
    }
}
