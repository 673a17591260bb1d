//! An open picture.

use crate::ahead::Ahead;
use crate::disk::{Disk, Local, Nowhere, beside, write_whole};
use crate::history::{Entry, Step};
use crate::journal::{Found, Head, Journal, Kind, of_edit, of_new};
use crate::lock::Lock;
use crate::look::{Loaded, load, no_picture};
use crate::source::bring_in;
use crate::{Error, Folder, Look, NewSource, Notice, Timestamp};
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
    /// None in a rehearsal.
    lock: Option<Lock>,
    ahead: Ahead,
}

/// An edit that was accepted: it is on the disk.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Accepted {
    /// The number of its line in the journal.
    pub number: u64,
}

/// A way through the journal, and its words.
struct Way {
    kind: Kind,
    to: &'static str,
    turned: &'static str,
    says: &'static str,
}

const UNDO: Way = Way { kind: Kind::Undo, to: "undo", turned: "taken back", says: "Taken back" };
const REDO: Way = Way { kind: Kind::Redo, to: "do again", turned: "done again", says: "Done again" };

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
        journal.append(&*disk, vec![(head, line)])?;
        let mut picture = Self {
            folder,
            scene,
            journal,
            notices: Vec::new(),
            disk,
            saved: None,
            lock: Some(lock),
            ahead: Ahead::default(),
        };
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
        let mut kept = None;
        if damaged {
            let (from, aside) = (folder.picture(), folder.free("picture.damaged", "json"));
            disk.rename(&from, &aside).map_err(Error::disk("keep the damaged file", &from))?;
            kept = Some(aside);
        }
        if saved.is_none() {
            notices.insert(0, Notice::Rebuilt { path: folder.picture(), kept });
        }
        if torn {
            journal.cut(&*disk)?;
        }
        if let (true, Some(applied)) = (short, saved) {
            let name = format!("journal-to-{}", journal.next().saturating_sub(1));
            let aside = folder.free(&name, "ndjson");
            let doing = "set the short journal aside";
            disk.rename(journal.path(), &aside).map_err(Error::disk(doing, journal.path()))?;
            journal = Journal::empty(&folder, applied + 1);
        }
        // What a write that was cut short left behind; where there is none, that is as well.
        let incoming = [folder.sources(), folder.cutouts(), folder.rights()].map(|f| f.join("incoming"));
        for file in incoming.into_iter().chain([folder.picture()]) {
            if let Ok((_, temporary)) = beside(&file) {
                let _ = disk.remove(&temporary);
            }
        }
        for inner in std::iter::once(folder.out()).chain(folder.cache()) {
            files::atomic::sweep(&inner);
        }
        let mut picture =
            Self { folder, scene, journal, notices, disk, saved, lock: Some(lock), ahead: Ahead::default() };
        if saved.is_none() {
            picture.save()?;
        } else if picture.notices.iter().any(|n| matches!(n, Notice::Replayed { .. })) {
            // So that it is told once; where the disk refuses, it is told again, and nothing is lost.
            let _ = picture.save();
        }
        Ok(picture)
    }

    /// The same picture with all its decisions still open: edits are carried out on it as on any other, and nothing of them is
    /// written. Files are not brought into a rehearsal.
    #[must_use]
    pub fn rehearsal(scene: &Scene, folder: &Folder) -> Self {
        Self {
            folder: folder.clone(),
            scene: scene.clone(),
            journal: Journal::empty(folder, 0),
            notices: Vec::new(),
            disk: Box::new(Nowhere),
            saved: None,
            lock: None,
            ahead: Ahead::default(),
        }
    }

    /// What a decision that was rehearsed on it made from files, for [`Picture::go_by`].
    #[must_use]
    pub fn into_ahead(self) -> Ahead {
        self.ahead
    }

    /// Takes what was made ahead for the decision that comes next, in place of whatever was made for others.
    pub fn go_by(&mut self, ahead: Ahead) {
        self.ahead = ahead;
    }

    /// What `make` makes; where it was made ahead from just this, that. A rehearsal keeps it.
    pub(crate) fn once<T: Clone + Send + 'static, E>(
        &mut self,
        from: &str,
        make: impl FnOnce() -> Result<T, E>,
    ) -> Result<T, E> {
        if let Some(made) = self.ahead.take(from) {
            return Ok(made);
        }
        let made = make()?;
        if self.is_rehearsal() {
            self.ahead.lay(from, made.clone());
        }
        Ok(made)
    }

    /// Whether nothing of it is written.
    pub(crate) const fn is_rehearsal(&self) -> bool {
        self.lock.is_none()
    }

    /// Looks at a picture, also while someone else edits it, and where nothing may be written.
    ///
    /// # Errors
    /// [`Error`] where the folder is no picture, its file or journal is damaged, or cannot be read.
    pub fn look(path: &Path) -> Result<Look, Error> {
        Look::at(path)
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
        self.journal.history().to_undo().next().map(|step| step.of)
    }

    /// The number of the edit that [`Picture::redo`] would do again.
    #[must_use]
    pub fn next_redo(&self) -> Option<u64> {
        self.journal.history().to_redo().next().map(|step| step.of)
    }

    /// Carries out an edit. When this returns, the edit is on the disk. One that changes nothing is not written: it would
    /// be an edit to undo, and the end of what can be done again. It gives `None`.
    ///
    /// # Errors
    /// [`Error`] where the edit does not fit or the disk refuses; the picture is as it was.
    pub fn edit(&mut self, edit: Edit, at: Timestamp) -> Result<Option<Accepted>, Error> {
        let says = edit.sentence(&self.scene);
        let written = scene::file::to_line(&edit);
        // On a copy, so that a disk that refuses leaves the picture as it was, the next id included.
        let mut next = self.scene.clone();
        let inverse = next.apply(edit)?;
        if next == self.scene {
            return Ok(None);
        }
        let number = self.journal.next();
        let head = Head { n: number, at, kind: Kind::Do, of: None, says };
        let line = of_edit(&head, &written, &scene::file::to_line(&inverse));
        self.journal.append(&*self.disk, vec![(head, line)])?;
        self.scene = next;
        Ok(Some(Accepted { number }))
    }

    /// Takes back the last edits that stand, so many of them or all there are; without end, and over restarts.
    ///
    /// # Errors
    /// [`Error`] where there is none, one of them cannot be taken back, or the disk refuses; the picture is as it was.
    pub fn undo(&mut self, times: usize, at: Timestamp) -> Result<Vec<Accepted>, Error> {
        let steps: Vec<Step> = self.journal.history().to_undo().take(times).collect();
        self.turn(&steps, at, &UNDO)
    }

    /// Does again the edits that were taken back last, so many of them or all there are.
    ///
    /// # Errors
    /// [`Error`] where there is none, one of them cannot be done again, or the disk refuses; the picture is as it was.
    pub fn redo(&mut self, times: usize, at: Timestamp) -> Result<Vec<Accepted>, Error> {
        let steps: Vec<Step> = self.journal.history().to_redo().take(times).collect();
        self.turn(&steps, at, &REDO)
    }

    /// The edits that were taken back last and can be done again, the first to do first.
    ///
    /// # Errors
    /// [`Error`] where the journal cannot be read.
    pub fn taken_back(&self) -> Result<Vec<Edit>, Error> {
        self.journal.history().to_redo().map(|step| self.journal.inverse_of(&*self.disk, step)).collect()
    }

    /// All of the steps or none: they are carried out on a copy, and their lines are written in one go.
    fn turn(&mut self, steps: &[Step], at: Timestamp, way: &Way) -> Result<Vec<Accepted>, Error> {
        if steps.is_empty() {
            return Err(Error::Nothing { to: way.to });
        }
        let mut next = self.scene.clone();
        let (mut lines, mut accepted) = (Vec::new(), Vec::new());
        for (number, step) in (self.journal.next()..).zip(steps) {
            let edit = self.journal.inverse_of(&*self.disk, *step)?;
            let done = self.log().binary_search_by_key(&step.of, |e| e.number);
            let says = done.map_or_else(|_| edit.sentence(&next), |i| self.log()[i].says.clone());
            let written = scene::file::to_line(&edit);
            let inverse = next.apply(edit).map_err(|refused| Error::ChangedByHand {
                path: self.folder.picture(),
                edit: step.of,
                turned: way.turned,
                before: accepted.len(),
                whole: self.journal.first() == 0,
                refused: Box::new(refused),
            })?;
            let says = format!("{}: {says}", way.says);
            let head = Head { n: number, at, kind: way.kind, of: Some(step.of), says };
            let line = of_edit(&head, &written, &scene::file::to_line(&inverse));
            lines.push((head, line));
            accepted.push(Accepted { number });
        }
        self.journal.append(&*self.disk, lines)?;
        self.scene = next;
        Ok(accepted)
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
                let sources = self.folder.keeps(there.kind);
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
        let doing = "read the file";
        let found = std::fs::metadata(path).map_err(Error::unread(doing, path))?;
        if !found.is_file() {
            let error = std::io::Error::new(std::io::ErrorKind::InvalidInput, "this is not a file");
            return Err(Error::unread(doing, path)(error));
        }
        let file = std::fs::File::open(path).map_err(Error::unread(doing, path))?;
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
