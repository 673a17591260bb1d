//! Where files wait that were laid on the sheet, until a decision brings them into the picture.
//!
//! They lie in the picture's cache, each in a folder of its own by its number, under the name it came with.

use crate::wire::{HandedIn, Word};
use setpiece::Folder;
use setpiece::commands::{Error, Kind};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Most bytes of one file.
pub(crate) const LARGEST: u64 = 4 << 30;

/// Files that wait.
pub(crate) struct Inbox {
    folder: Option<PathBuf>,
    next: AtomicU64,
}

impl Inbox {
    /// What waited there before is forgotten: no decision names it any more.
    pub(crate) fn of(folder: &Folder) -> Self {
        let folder = folder.cache().map(|cache| cache.join("handed-in"));
        if let Some(folder) = &folder {
            let _ = std::fs::remove_dir_all(folder);
        }
        Self { folder, next: AtomicU64::new(1) }
    }

    /// An empty file to write into, its number and its place.
    ///
    /// # Errors
    /// Where the disk refuses, or the name is none of a file.
    pub(crate) fn begin(&self, name: &str) -> io::Result<(HandedIn, PathBuf, std::fs::File)> {
        let folder = self.folder.as_ref().ok_or(io::ErrorKind::NotFound)?;
        let name = bare(name).ok_or(io::ErrorKind::InvalidInput)?;
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        let place = folder.join(number.to_string());
        std::fs::create_dir_all(&place)?;
        let path = place.join(name);
        let file = std::fs::File::create_new(&path)?;
        Ok((HandedIn { file: number }, path, file))
    }

    /// The words, with the places of files.
    ///
    /// # Errors
    /// Where a file is not there.
    pub(crate) fn texts(&self, words: &[Word]) -> Result<Vec<String>, Error> {
        let text = |word: &Word| match word {
            Word::Text(text) => Ok(text.clone()),
            Word::File(handed) => {
                let path = self.file(*handed)?;
                path.to_str().map(str::to_owned).ok_or_else(|| gone(*handed))
            }
        };
        words.iter().map(text).collect()
    }

    /// The files among words.
    ///
    /// # Errors
    /// Where one is not there.
    pub(crate) fn files(&self, words: &[Word]) -> Result<Vec<PathBuf>, Error> {
        let handed = words.iter().filter_map(|word| match word {
            Word::Text(_) => None,
            Word::File(handed) => Some(self.file(*handed)),
        });
        handed.collect()
    }

    fn file(&self, handed: HandedIn) -> Result<PathBuf, Error> {
        let folder = self.folder.as_ref().map(|f| f.join(handed.file.to_string()));
        let mut files = folder.and_then(|f| std::fs::read_dir(f).ok()).into_iter().flatten().flatten();
        files.next().map(|entry| entry.path()).ok_or_else(|| gone(handed))
    }

    /// They need not wait any longer.
    pub(crate) fn clear(&self, files: &[PathBuf]) {
        for place in files.iter().filter_map(|f| f.parent()) {
            let _ = std::fs::remove_dir_all(place);
        }
    }
}

/// The bare name of a file, where it is one that leads nowhere.
pub(crate) fn bare(name: &str) -> Option<&str> {
    let bare = name.rsplit(['/', '\\']).next()?;
    let is_plain = Path::new(bare).components().count() == 1 && !bare.starts_with('.');
    (is_plain && bare == name && bare.len() <= 200 && !bare.chars().any(char::is_control)).then_some(bare)
}

fn gone(handed: HandedIn) -> Error {
    Error::new(
        Kind::Files,
        "the file is not there any more",
        format!("file {} of those that were handed in", handed.file),
        "lay it on the sheet again",
    )
}

#[cfg(test)]
mod tests {
    use super::bare;

    #[test]
    fn names_lead_nowhere() {
        for good in ["sitter.tif", "évening marsh (2).JPG", "a b.png"] {
            assert_eq!(bare(good), Some(good));
        }
        for bad in ["", "..", ".", "../x", "a/b", "a\\b", "/etc/passwd", ".lock", "a\nb", &"x".repeat(300)] {
            assert_eq!(bare(bad), None, "{bad:?}");
        }
    }
}
