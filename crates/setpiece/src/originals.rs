//! Original files where the picture keeps them: whether each is still, byte for byte, what it was.

use render::Error;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::Metadata;
use std::io::ErrorKind;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use units::{Digest, PxSize};

/// An original file, and what the picture states of it.
#[derive(Clone, Debug)]
pub(crate) struct Original {
    /// Where it lies.
    pub(crate) path: PathBuf,
    /// Its length, where that is stated.
    pub(crate) bytes: Option<u64>,
    /// The picture in it, where that is stated.
    pub(crate) size: Option<PxSize>,
}

/// What the system says of a file without its being read: length, when it was written, and on Unix when anything of it
/// was changed, and which file it is. While all of that stays, so does the content.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub(crate) struct Stamp([u64; 5]);

impl Stamp {
    fn of(found: &Metadata) -> Self {
        let written = found.modified().ok().and_then(|m| m.duration_since(std::time::UNIX_EPOCH).ok());
        let written = written.map_or(0, |w| w.as_nanos() as u64);
        #[cfg(unix)]
        let [changed, nanos, file] = {
            use std::os::unix::fs::MetadataExt as _;
            [found.ctime() as u64, found.ctime_nsec() as u64, found.ino()]
        };
        #[cfg(not(unix))]
        let [changed, nanos, file] = [0; 3];
        Self([found.len(), written, changed, nanos, file])
    }
}

/// The original files of a picture.
#[derive(Clone, Debug, Default)]
pub(crate) struct Originals {
    files: BTreeMap<Digest, Original>,
    /// How the files looked whose content was found to be right.
    known: Arc<Mutex<BTreeMap<Digest, Stamp>>>,
}

impl Originals {
    pub(crate) fn add(&mut self, digest: Digest, original: Original) {
        self.files.insert(digest, original);
    }

    /// Takes what an earlier program found to be right.
    pub(crate) fn know(&self, stamps: impl IntoIterator<Item = (Digest, Stamp)>) {
        self.known.lock().unwrap_or_else(PoisonError::into_inner).extend(stamps);
    }

    /// What was found to be right so far.
    pub(crate) fn known(&self) -> BTreeMap<Digest, Stamp> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The original of this content; whether it is there and has it is asked by [`Originals::check`].
    pub(crate) fn get(&self, digest: Digest) -> Result<&Original, Error> {
        self.files.get(&digest).ok_or_else(|| Error::Source {
            what: "the original file is not among the picture's".to_owned(),
            place: format!("source {}", digest.short()),
            remedy: "add it to the picture again".to_owned(),
        })
    }

    /// That the file is there and of the length it had; with how it looks now.
    fn found(&self, digest: Digest) -> Result<(&Original, Stamp), Error> {
        let original = self.get(digest)?;
        let found = std::fs::metadata(&original.path).map_err(|e| match e.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => {
                original.trouble("the original file is missing")
            }
            _ => original.trouble(format!("the original file cannot be read: {}", files::in_words(&e))),
        })?;
        match original.bytes {
            Some(bytes) if found.is_file() && found.len() != bytes => {
                Err(original.changed(format!("{} bytes where it had {bytes}", found.len())))
            }
            _ => Ok((original, Stamp::of(&found))),
        }
    }

    /// That the file has the content it had. Read is only what was never read, or was touched since.
    pub(crate) fn check(&self, digest: Digest) -> Result<&Original, Error> {
        let (original, stamp) = self.found(digest)?;
        let known = |k: &BTreeMap<Digest, Stamp>| k.get(&digest) == Some(&stamp);
        if known(&self.known.lock().unwrap_or_else(PoisonError::into_inner)) {
            return Ok(original);
        }
        let (content, _) = files::digest(&original.path).map_err(|e| in_words(&e))?;
        if content != digest {
            return Err(original.changed("other content"));
        }
        self.know([(digest, stamp)]);
        Ok(original)
    }

    /// What `read` makes of the file. It says [`files::Fault::Changed`] where the content is not what it was.
    pub(crate) fn read<T>(
        &self,
        digest: Digest,
        read: impl FnOnce(&Original) -> Result<T, files::Error>,
    ) -> Result<T, Error> {
        let (original, stamp) = self.found(digest)?;
        let made = read(original).map_err(|e| match e.fault() {
            files::Fault::Changed => original.changed("other content"),
            _ => in_words(&e),
        })?;
        self.know([(digest, stamp)]);
        Ok(made)
    }
}

impl Original {
    fn changed(&self, how: impl AsRef<str>) -> Error {
        self.trouble(format!("the original file is not what it was: {}", how.as_ref()))
    }

    fn trouble(&self, what: impl Into<String>) -> Error {
        Error::Source {
            what: what.into(),
            place: self.path.display().to_string(),
            remedy: "bring it back from a copy, or add the file to the picture again".to_owned(),
        }
    }
}

pub(crate) fn in_words(e: &files::Error) -> Error {
    Error::Source { what: e.what().to_owned(), place: e.place().to_owned(), remedy: e.remedy().to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(path: &std::path::Path, content: &[u8]) -> (Originals, Digest) {
        std::fs::write(path, content).unwrap();
        let mut originals = Originals::default();
        let original = Original { path: path.to_owned(), bytes: Some(content.len() as u64), size: None };
        originals.add(Digest::of(content), original);
        (originals, Digest::of(content))
    }

    #[test]
    fn what_was_touched_is_read_again_and_what_was_not_is_known() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("crane.png");
        let (originals, digest) = one(&path, b"a crane");
        originals.check(digest).unwrap();
        let stamps = originals.known();
        assert_eq!(stamps.len(), 1);
        // Known from an earlier program: not read, so that a wrong digest is not noticed.
        let (again, _) = one(&path, b"a crane");
        let wrong = Digest::of(b"another");
        let mut files = again.clone();
        files.add(wrong, Original { path: path.clone(), bytes: None, size: None });
        files.know([(wrong, Stamp::of(&std::fs::metadata(&path).unwrap()))]);
        assert!(files.check(wrong).is_ok());
        std::fs::write(&path, b"a crime").unwrap();
        for bytes in [&b"a crime"[..], b"a cran", b""] {
            std::fs::write(&path, bytes).unwrap();
            let said = originals.check(digest).unwrap_err();
            assert!(said.what().contains("not what it was"), "{said}");
            assert!(said.place().contains("crane.png"));
        }
        std::fs::remove_file(&path).unwrap();
        assert!(originals.check(digest).unwrap_err().what().contains("missing"));
        std::fs::create_dir(&path).unwrap();
        assert!(originals.check(digest).unwrap_err().what().contains("folder"));
    }
}
