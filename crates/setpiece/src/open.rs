//! An open picture.

use crate::disk::{Disk, Local, beside, write_whole};
use crate::history::{Entry, Step};
use crate::journal::{Found, Head, Journal, Kind, of_edit, of_new};
use crate::lock::Lock;
use crate::source::bring_in;
use crate::{Error, Folder, NewSource, Notice, Timestamp};
use scene::file::Saved;
use scene::{Edit, Format, Put, Scene};
use std::io::Read;
use std::path::Path;
use units::Digest;

/// A picture open for editing. There is one of it at a time, on this machine and on others that keep to the
/// system's file locks.
pub struct Picture {
    folder: Folder,
    scene: Scene,
    journal: Journal,
    notices: Vec<Notice>,
    disk: Box<dyn Disk>,
    /// The last line that is in the picture's file.
    saved: Option<u64>,
    _lock: Lock,
}

/// An edit that was accepted: it is on the disk.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Accepted {
    /// The number of its line in the journal.
    pub number: u64,
}

/// A picture as it is, to be looked at: no lock, nothing is written.
pub struct Look {
    folder: Folder,
    scene: Scene,
    entries: Vec<Entry>,
    notices: Vec<Notice>,
}

/// What opening found.
struct Loaded {
    scene: Scene,
    journal: Journal,
    notices: Vec<Notice>,
    /// The last line that is in the picture's file; `None` where that has to be written.
    saved: Option<u64>,
    /// The picture's file is damaged.
    damaged: bool,
    torn: bool,
    /// The journal ends before the picture's file.
    short: bool,
}

impl Picture {
    /// Makes a new picture in a folder that does not exist yet, or is empty.
    ///
    /// # Errors
    /// [`Error`] where the folder holds something, the name or format is not possible, or the disk refuses.
    pub fn create(path: &Path, format: Format, name: &str, at: Timestamp) -> Result<Self, Error> {
        Self::create_on(Box::new(Local), path, format, name, at)
    }

    /// As [`Picture::create`], on another disk than this machine's.
    ///
    /// # Errors
    /// As [`Picture::create`].
    pub fn create_on(
        disk: Box<dyn Disk>,
        path: &Path,
        format: Format,
        name: &str,
        at: Timestamp,
    ) -> Result<Self, Error> {
        let scene = Scene::new(name, format)?;
        let folder = Folder::at(path);
        let doing = "make the picture's folder";
        disk.make_folder(path).map_err(Error::disk(doing, path))?;
        let lock = Lock::take(&folder)?;
        // Asked under the lock: two at once must not both find it empty.
        if !is_unused(&folder).map_err(Error::disk(doing, path))? {
            return Err(Error::Folder {
                path: path.to_owned(),
                what: "the folder is not empty",
                remedy: "name a folder that does not exist yet",
            });
        }
        let mut journal = match Journal::find(&*disk, &folder)? {
            Some(Found { journal, .. }) if !journal.is_empty() => {
                return Err(Error::Folder {
                    path: path.to_owned(),
                    what: "the folder holds a picture already",
                    remedy: "open it, or name a folder that does not exist yet",
                });
            }
            // An earlier beginning was cut short before anything of it was acknowledged.
            Some(Found { mut journal, .. }) => {
                journal.cut(&*disk)?;
                journal
            }
            None => Journal::empty(&folder, 0),
        };
        for inner in folder.folders() {
            disk.make_folder(&inner).map_err(Error::disk(doing, &inner))?;
        }
        let says = format!("Picture {name} begun");
        let head = Head { n: 0, at, kind: Kind::New, of: None, says };
        let line = of_new(&head, &scene::file::to_file(&scene));
        // The journal before the picture's file: with the journal alone the picture can be made anew.
        journal.append(&*disk, head, &line)?;
        let mut picture =
            Self { folder, scene, journal, notices: Vec::new(), disk, saved: None, _lock: lock };
        picture.save()?;
        if let Some(above) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            picture.disk.sync_folder(above).map_err(Error::disk(doing, above))?;
        }
        Ok(picture)
    }

    /// Opens a picture for editing.
    ///
    /// # Errors
    /// [`Error`] where someone else has it open, the folder is no picture, its file or journal is damaged, or
    /// the disk refuses.
    pub fn open(path: &Path) -> Result<Self, Error> {
        Self::open_on(Box::new(Local), path)
    }

    /// As [`Picture::open`], on another disk than this machine's.
    ///
    /// # Errors
    /// As [`Picture::open`].
    pub fn open_on(disk: Box<dyn Disk>, path: &Path) -> Result<Self, Error> {
        let folder = Folder::at(path);
        // Asked before the lock is taken: taking it leaves a file, which has no business in any other folder.
        if !folder.picture().exists() && !folder.journal().exists() {
            return Err(no_picture(path));
        }
        let lock = Lock::take(&folder)?;
        let Loaded { scene, mut journal, mut notices, saved, damaged, torn, short } = load(&*disk, &folder)?;
        if damaged {
            let (from, kept) = (folder.picture(), folder.path().join("picture.damaged.json"));
            disk.rename(&from, &kept).map_err(Error::disk("keep the damaged file", &from))?;
            for notice in &mut notices {
                if let Notice::Rebuilt { kept: named, .. } = notice {
                    *named = Some(kept.clone());
                }
            }
        }
        if torn {
            journal.cut(&*disk)?;
        }
        if let (true, Some(applied)) = (short, saved) {
            let name = format!("journal-to-{}.ndjson", journal.next().saturating_sub(1));
            let aside = folder.path().join(name);
            let doing = "set the short journal aside";
            disk.rename(journal.path(), &aside).map_err(Error::disk(doing, journal.path()))?;
            journal = Journal::empty(&folder, applied + 1);
        }
        // What a write that was cut short left behind; where there is none, that is as well.
        for file in [folder.picture(), folder.sources().join("incoming")] {
            if let Ok((_, temporary)) = beside(&file) {
                let _ = disk.remove(&temporary);
            }
        }
        let mut picture = Self { folder, scene, journal, notices, disk, saved, _lock: lock };
        if saved.is_none() {
            picture.save()?;
        }
        Ok(picture)
    }

    /// Looks at a picture, also while someone else edits it, and where nothing may be written.
    ///
    /// # Errors
    /// [`Error`] where the folder is no picture, its file or journal is damaged, or cannot be read.
    pub fn look(path: &Path) -> Result<Look, Error> {
        let folder = Folder::at(path);
        let Loaded { scene, journal, notices, .. } = load(&Local, &folder)?;
        Ok(Look { folder, scene, entries: journal.history().entries().to_vec(), notices })
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

    /// What was found at its opening.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// What was done to it, oldest first.
    #[must_use]
    pub fn log(&self) -> &[Entry] {
        self.journal.history().entries()
    }

    /// The number of the edit that [`Picture::undo`] would take back.
    #[must_use]
    pub fn next_undo(&self) -> Option<u64> {
        self.journal.history().next_undo().map(|step| step.of)
    }

    /// The number of the edit that [`Picture::redo`] would do again.
    #[must_use]
    pub fn next_redo(&self) -> Option<u64> {
        self.journal.history().next_redo().map(|step| step.of)
    }

    /// Carries out an edit. When this returns, the edit is on the disk.
    ///
    /// # Errors
    /// [`Error`] where the edit does not fit or the disk refuses; the picture is as it was.
    pub fn edit(&mut self, edit: Edit, at: Timestamp) -> Result<Accepted, Error> {
        let says = edit.sentence(&self.scene);
        self.carry_out(edit, at, (Kind::Do, None, says))
    }

    /// Takes back the last edit that stands; without end, and over restarts.
    ///
    /// # Errors
    /// [`Error`] where there is none, or the disk refuses; the picture is as it was.
    pub fn undo(&mut self, at: Timestamp) -> Result<Accepted, Error> {
        let step = self.journal.history().next_undo().ok_or(Error::Nothing { to: "undo" })?;
        self.turn(step, at, (Kind::Undo, "Taken back: "))
    }

    /// Does again the edit that was taken back last.
    ///
    /// # Errors
    /// [`Error`] where there is none, or the disk refuses; the picture is as it was.
    pub fn redo(&mut self, at: Timestamp) -> Result<Accepted, Error> {
        let step = self.journal.history().next_redo().ok_or(Error::Nothing { to: "do again" })?;
        self.turn(step, at, (Kind::Redo, "Done again: "))
    }

    fn turn(&mut self, step: Step, at: Timestamp, (kind, way): (Kind, &str)) -> Result<Accepted, Error> {
        let edit = self.journal.inverse_of(&*self.disk, step)?;
        let done = self.log().binary_search_by_key(&step.of, |e| e.number);
        let says = done.map_or_else(|_| edit.sentence(&self.scene), |i| self.log()[i].says.clone());
        self.carry_out(edit, at, (kind, Some(step.of), format!("{way}{says}")))
    }

    fn carry_out(
        &mut self,
        edit: Edit,
        at: Timestamp,
        (kind, of, says): (Kind, Option<u64>, String),
    ) -> Result<Accepted, Error> {
        let written = scene::file::to_line(&edit);
        // On a copy, so that a disk that refuses leaves the picture as it was, the next id included.
        let mut next = self.scene.clone();
        let inverse = next.apply(edit)?;
        let number = self.journal.next();
        let head = Head { n: number, at, kind, of, says };
        let line = of_edit(&head, &written, &scene::file::to_line(&inverse));
        self.journal.append(&*self.disk, head, &line)?;
        self.scene = next;
        Ok(Accepted { number })
    }

    /// Brings an original file into the picture, byte for byte, and returns its digest. A file that is there already is not
    /// added again.
    ///
    /// # Errors
    /// [`Error`] where it cannot be read or copied, or the edit that names it is refused.
    pub fn add_source(&mut self, from: impl Read, new: NewSource, at: Timestamp) -> Result<Digest, Error> {
        let (digest, source) = bring_in(&*self.disk, &self.folder, from, new)?;
        if let Some(there) = self.scene.sources().get(&digest) {
            // The same bytes under another name would be a file that nothing names; in place of the one that is
            // named it mends that, should it have been lost or damaged.
            if there.file != source.file {
                let sources = self.folder.sources();
                let renamed = self.disk.rename(&sources.join(&source.file), &sources.join(&there.file));
                renamed.map_err(Error::disk("copy the file into the picture", &sources))?;
            }
            return Ok(digest);
        }
        self.edit(Edit::Source { digest, put: Put::Add(Box::new(source)) }, at)?;
        Ok(digest)
    }

    /// Brings a file of the disk into the picture.
    ///
    /// # Errors
    /// As [`Picture::add_source`].
    pub fn add_source_file(&mut self, path: &Path, new: NewSource, at: Timestamp) -> Result<Digest, Error> {
        let file = std::fs::File::open(path).map_err(Error::disk("read the file", path))?;
        self.add_source(file, new, at)
    }

    /// Writes the picture's file, so that the next opening has nothing to carry out again. Nothing would be lost
    /// without it.
    ///
    /// # Errors
    /// [`Error`] where the disk refuses; the file is then the old one or the new one, and whole.
    pub fn save(&mut self) -> Result<(), Error> {
        let applied = self.journal.next().saturating_sub(1);
        if self.saved == Some(applied) {
            return Ok(());
        }
        let path = self.folder.picture();
        let text = scene::file::to_saved(&self.scene, applied);
        write_whole(&*self.disk, &path, text.as_bytes()).map_err(Error::disk("save the picture", &path))?;
        self.saved = Some(applied);
        Ok(())
    }
}

impl Look {
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

/// Whether a folder holds nothing but what the beginning of a picture, cut short, leaves behind.
fn is_unused(folder: &Folder) -> std::io::Result<bool> {
    for other in std::fs::read_dir(folder.path())? {
        let other = other?.path();
        let left_behind = other == folder.lock()
            || other == folder.journal()
            || beside(&folder.picture()).is_ok_and(|(_, part)| part == other)
            || folder.folders().contains(&other) && std::fs::read_dir(&other)?.next().is_none();
        if !left_behind {
            return Ok(false);
        }
    }
    Ok(true)
}

fn no_picture(path: &Path) -> Error {
    Error::Folder {
        path: path.to_owned(),
        what: "there is no picture in this folder",
        remedy: "name a folder that holds a picture.json, or begin a new picture",
    }
}

/// Reads the picture's file and carries out the lines of the journal that are not in it. Writes nothing.
fn load(disk: &dyn Disk, folder: &Folder) -> Result<Loaded, Error> {
    let path = folder.picture();
    // The picture's file first: lines are added meanwhile, never taken away.
    let file = match disk.read(&path) {
        Ok(bytes) => Some(bytes),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
        Err(e) => return Err(Error::disk("read the picture", &path)(e)),
    };
    let found = Journal::find(disk, folder)?;
    let mut notices = Vec::new();
    let (mut scene, saved) = match (file.as_deref().map(scene::file::from_saved_bytes), &found) {
        (None, None) => return Err(no_picture(folder.path())),
        (Some(Ok(Saved { scene, applied })), _) => (scene, Some(applied)),
        // Missing or cut short it is made anew; but what someone else wrote, or changed by hand, is not passed over.
        (Some(Err(error)), _) if error.kind() != scene::file::Kind::NotJson => {
            return Err(Error::Picture { path, error });
        }
        (missing, found) => match found.as_ref().map(Found::beginning).transpose()?.flatten() {
            Some(scene) => {
                notices.push(Notice::Rebuilt { path, kept: None });
                (scene, None)
            }
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
