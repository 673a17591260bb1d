//! The journal: every accepted edit as one line, on the disk before it is acknowledged.

mod line;

pub(crate) use line::{Head, Kind, of_edit, of_new};

use crate::disk::{Disk, Writing};
use crate::history::{History, Step};
use crate::{Error, Folder, Notice};
use scene::{Edit, Scene};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Where a line is in the file.
#[derive(Clone, Copy, Debug)]
struct Slot {
    byte: u64,
    length: usize,
}

/// The journal of a picture: what its lines did, and where they are.
pub(crate) struct Journal {
    path: PathBuf,
    /// Number of the first line.
    first: u64,
    slots: Vec<Slot>,
    /// Length of the file as far as its lines are whole.
    length: u64,
    history: History,
    /// Open for writing, once something was written.
    writing: Option<Box<dyn Writing>>,
    /// A failed write could not be taken back.
    closed: bool,
}

/// A journal as it was found.
pub(crate) struct Found {
    pub(crate) journal: Journal,
    /// The whole file, to carry out what is not in the picture's file yet.
    bytes: Vec<u8>,
    /// Said where the last line was dropped.
    pub(crate) torn: Option<Notice>,
}

impl Journal {
    /// An empty journal whose first line will have this number.
    pub(crate) fn empty(folder: &Folder, first: u64) -> Self {
        Self {
            path: folder.journal(),
            first,
            slots: Vec::new(),
            length: 0,
            history: History::default(),
            writing: None,
            closed: false,
        }
    }

    /// Reads and checks every line. A last line that an interrupted write left behind is left out: it was not
    /// acknowledged. Any other damage is an error: what was acknowledged is not dropped in silence.
    pub(crate) fn find(disk: &dyn Disk, folder: &Folder) -> Result<Option<Found>, Error> {
        let path = folder.journal();
        let bytes = match disk.read(&path) {
            Ok(bytes) => bytes,
            Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => return Ok(None),
            Err(e) => return Err(Error::unread("read the journal", &path)(e)),
        };
        let mut journal = Self::empty(folder, 0);
        let mut torn = None;
        let mut at = 0;
        while at < bytes.len() {
            let end = bytes[at..].iter().position(|b| *b == b'\n').map(|n| at + n);
            let wrong = match end {
                None => "the line is cut short".to_owned(),
                Some(end) => match journal.take_in(&bytes[at..end], at as u64) {
                    Ok(()) => {
                        at = end + 1;
                        continue;
                    }
                    Err(wrong) => wrong,
                },
            };
            let (line, byte) = (journal.slots.len() as u64 + 1, at as u64);
            let last = end.is_none_or(|end| end + 1 == bytes.len());
            if !last || !line::is_torn(&bytes[at..]) {
                return Err(Error::Journal { path, line, byte, what: wrong });
            }
            torn = Some(Notice::TornLine { path: path.clone(), line, byte });
            break;
        }
        Ok(Some(Found { journal, bytes, torn }))
    }

    /// Takes in the next line of the file.
    fn take_in(&mut self, bytes: &[u8], byte: u64) -> Result<(), String> {
        let (head, _) = line::read(bytes)?;
        if self.slots.is_empty() {
            self.first = head.n;
        } else if head.kind == Kind::New {
            return Err("a picture can begin at the first line alone".to_owned());
        }
        let expected = self.next();
        if head.n != expected {
            return Err(format!("the line has the number {}, where {expected} should follow", head.n));
        }
        self.history.follow(head)?;
        self.slots.push(Slot { byte, length: bytes.len() });
        self.length = byte + bytes.len() as u64 + 1;
        Ok(())
    }

    /// Number of the next line.
    pub(crate) fn next(&self) -> u64 {
        self.first + self.slots.len() as u64
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    pub(crate) const fn first(&self) -> u64 {
        self.first
    }

    pub(crate) const fn history(&self) -> &History {
        &self.history
    }

    /// Cuts off what a line that was not acknowledged left behind.
    pub(crate) fn cut(&mut self, disk: &dyn Disk) -> Result<(), Error> {
        let doing = "cut the torn line off the journal";
        let mut file = disk.append(&self.path).map_err(Error::disk(doing, &self.path))?;
        file.cut(self.length).and_then(|()| file.sync()).map_err(Error::disk(doing, &self.path))?;
        self.writing = Some(file);
        Ok(())
    }

    /// Puts lines on the disk. When this returns, they outlast a power failure; where it fails, none of them is there, or the
    /// journal takes no more.
    pub(crate) fn append(&mut self, disk: &dyn Disk, lines: Vec<(Head, String)>) -> Result<(), Error> {
        if self.closed {
            return Err(Error::Closed { path: self.path.clone() });
        }
        let doing = "write the journal";
        let mut file = match self.writing.take() {
            Some(file) => file,
            None => {
                let file = disk.append(&self.path).map_err(Error::disk(doing, &self.path))?;
                if self.slots.is_empty() {
                    // The file may just have been made: its name must outlast a power failure too.
                    let folder = self.path.parent().unwrap_or(&self.path);
                    disk.sync_folder(folder).map_err(Error::disk(doing, folder))?;
                }
                file
            }
        };
        let text: String = lines.iter().map(|(_, text)| text.as_str()).collect();
        if let Err(error) = file.write(text.as_bytes()).and_then(|()| file.sync()) {
            // What may be there of the line must go: a later opening would take it for acknowledged.
            self.closed = file.cut(self.length).and_then(|()| file.sync()).is_err();
            // The handle is not used again: after a failed sync some systems forget what was not written.
            return Err(Error::disk(doing, &self.path)(error));
        }
        self.writing = Some(file);
        for (head, text) in lines {
            self.slots.push(Slot { byte: self.length, length: text.len() - 1 });
            self.length += text.len() as u64;
            self.history.follow(head).expect("the line was made from this history");
        }
        Ok(())
    }

    /// The edit that takes a step back, or does it again.
    pub(crate) fn inverse_of(&self, disk: &dyn Disk, step: Step) -> Result<Edit, Error> {
        let at = (step.line - self.first) as usize;
        let slot = self.slots[at];
        let doing = "read the journal";
        let bytes =
            disk.read_part(&self.path, slot.byte, slot.length).map_err(Error::unread(doing, &self.path))?;
        let damaged = |what| self.damaged(at, what);
        let (_, line) = line::read(&bytes).map_err(damaged)?;
        let text = line.inverse.map_or("", serde_json::value::RawValue::get);
        scene::file::from_line(text).map_err(|e| self.damaged(at, e.to_string()))
    }

    fn damaged(&self, at: usize, what: String) -> Error {
        Error::Journal { path: self.path.clone(), line: at as u64 + 1, byte: self.slots[at].byte, what }
    }
}

impl Found {
    /// The picture as it was made, where the journal goes back that far.
    pub(crate) fn beginning(&self) -> Result<Option<Scene>, Error> {
        let Some(slot) = self.journal.slots.first() else { return Ok(None) };
        let damaged = |what| self.journal.damaged(0, what);
        let (_, line) = line::read(self.line(*slot)).map_err(damaged)?;
        let picture = line.picture.map(|p| scene::file::from_file(p.get()));
        picture.transpose().map_err(|e| self.journal.damaged(0, e.to_string()))
    }

    /// Carries out the lines after `applied`; says how many.
    pub(crate) fn replay(&self, scene: &mut Scene, applied: u64) -> Result<u64, Error> {
        let skip = (applied + 1).saturating_sub(self.journal.first) as usize;
        let mut lines = 0;
        for (at, slot) in self.journal.slots.iter().enumerate().skip(skip) {
            let damaged = |what| self.journal.damaged(at, what);
            let (_, line) = line::read(self.line(*slot)).map_err(damaged)?;
            let Some(edit) = line.edit else { continue };
            let edit =
                scene::file::from_line(edit.get()).map_err(|e| self.journal.damaged(at, e.to_string()))?;
            let unfit = |e: scene::Refused| {
                self.journal.damaged(at, format!("the edit does not fit the picture: {e}"))
            };
            scene.apply(edit).map_err(unfit)?;
            lines += 1;
        }
        Ok(lines)
    }

    fn line(&self, slot: Slot) -> &[u8] {
        let from = slot.byte as usize;
        &self.bytes[from..from + slot.length]
    }
}
