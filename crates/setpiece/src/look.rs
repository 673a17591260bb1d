//! A picture as it is found in its folder. Nothing is written here.

use crate::disk::{Disk, Local};
use crate::history::Entry;
use crate::journal::{Found, Journal};
use crate::{Error, Folder, Notice};
use scene::Scene;
use scene::file::Saved;
use std::io::ErrorKind;
use std::path::Path;

/// A picture as it is, to be looked at: no lock, nothing is written.
pub struct Look {
    folder: Folder,
    scene: Scene,
    entries: Vec<Entry>,
    notices: Vec<Notice>,
}

impl Look {
    pub(crate) fn at(path: &Path) -> Result<Self, Error> {
        let folder = Folder::at(path);
        let Loaded { scene, journal, mut notices, saved, damaged, .. } = load(&Local, &folder)?;
        if saved.is_none() {
            notices.insert(0, Notice::Broken { path: folder.picture(), damaged });
        }
        Ok(Self { folder, scene, entries: journal.history().entries().to_vec(), notices })
    }

    /// The picture.
    #[must_use]
    pub const fn scene(&self) -> &Scene {
        &self.scene
    }

    /// Where its files are.
    #[must_use]
    pub const fn folder(&self) -> &Folder {
        &self.folder
    }

    /// What was done to it, oldest first.
    #[must_use]
    pub fn log(&self) -> &[Entry] {
        &self.entries
    }

    /// What was found at its opening.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }
}

/// What opening found.
pub(crate) struct Loaded {
    pub(crate) scene: Scene,
    pub(crate) journal: Journal,
    pub(crate) notices: Vec<Notice>,
    /// The last line that is in the picture's file; `None` where that has to be written.
    pub(crate) saved: Option<u64>,
    /// The picture's file is damaged.
    pub(crate) damaged: bool,
    pub(crate) torn: bool,
    /// The journal ends before the picture's file.
    pub(crate) short: bool,
}

pub(crate) fn no_picture(path: &Path) -> Error {
    let what = if path.is_file() {
        "this is a file, not the folder of a picture"
    } else {
        "there is no picture in this folder"
    };
    Error::Folder {
        path: path.to_owned(),
        what,
        remedy: "name a folder that holds a picture.json, or begin a new picture",
    }
}

/// Reads the picture's file and carries out the lines of the journal that are not in it. Writes nothing.
pub(crate) fn load(disk: &dyn Disk, folder: &Folder) -> Result<Loaded, Error> {
    let path = folder.picture();
    // The picture's file first: lines are added meanwhile, never taken away.
    let file = match disk.read(&path) {
        Ok(bytes) => Some(bytes),
        Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => None,
        Err(e) => return Err(Error::unread("read the picture", &path)(e)),
    };
    let found = Journal::find(disk, folder)?;
    let mut notices = Vec::new();
    let (mut scene, saved) = match (file.as_deref().map(read), &found) {
        (None, None) => return Err(no_picture(folder.path())),
        (Some(Ok(Saved { scene, applied })), _) => (scene, Some(applied)),
        // Missing or cut short it is made anew; but what someone else wrote, or changed by hand, is not passed over.
        (Some(Err(error)), _) if error.kind() != scene::file::Kind::NotJson => {
            return Err(Error::Picture { path, error });
        }
        (missing, found) => match found.as_ref().map(Found::beginning).transpose()?.flatten() {
            Some(scene) => (scene, None),
            None => return Err(unrecoverable(folder, missing)),
        },
    };
    let damaged = saved.is_none() && file.is_some();
    let Some(mut found) = found else {
        let journal = Journal::empty(folder, saved.map_or(0, |applied| applied + 1));
        return Ok(Loaded { scene, journal, notices, saved, damaged, torn: false, short: false });
    };
    let torn = found.torn.take();
    let is_torn = torn.is_some();
    notices.extend(torn);
    let applied = saved.unwrap_or(0);
    let mut short = false;
    if found.journal.is_empty() {
        found.journal = Journal::empty(folder, applied + u64::from(saved.is_some()));
    } else if found.journal.first() > applied + 1 {
        let first = found.journal.first();
        return Err(Error::Journal {
            path: folder.journal(),
            line: 1,
            byte: 0,
            what: format!(
                "the journal begins with number {first}, where {} should follow the picture",
                applied + 1
            ),
        });
    } else if found.journal.next() <= applied {
        short = true;
        let last = found.journal.next() - 1;
        notices.push(Notice::ShortJournal { path: folder.journal(), last, applied });
    } else {
        let lines = found.replay(&mut scene, applied)?;
        if lines > 0 {
            notices.push(Notice::Replayed { lines });
        }
    }
    Ok(Loaded { scene, journal: found.journal, notices, saved, damaged, torn: is_torn, short })
}

/// Some editors put a byte order mark before what a hand changed.
fn read(bytes: &[u8]) -> Result<Saved, scene::file::Error> {
    scene::file::from_saved_bytes(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes))
}

/// The picture's file is missing or damaged, and the journal does not go back to the beginning.
fn unrecoverable(folder: &Folder, missing: Option<Result<Saved, scene::file::Error>>) -> Error {
    match missing {
        Some(Err(error)) => Error::Picture { path: folder.picture(), error },
        _ => Error::Folder {
            path: folder.picture(),
            what: "the picture's file is missing, and the journal does not go back to the picture's beginning",
            remedy: "bring back picture.json from a copy",
        },
    }
}
