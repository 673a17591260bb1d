//! A picture on the desk: opened once, looked at often, edited now and then.
//!
//! Between edits nobody is kept from it: the lock is taken with an edit and given back when the desk comes to rest, so that commands may
//! work on the same picture meanwhile, and what they did is noticed.

use crate::lock::Lock;
use crate::{Entry, Error, Folder, Look, Picture};
use scene::Scene;
use std::path::{Path, PathBuf};

/// A picture on the desk.
pub struct Desk {
    path: PathBuf,
    held: Held,
    /// Length of the journal when the picture was last read or written.
    length: u64,
    /// No other desk has it.
    _lock: Lock,
}

enum Held {
    /// As it was found.
    Look(Box<Look>),
    /// Locked, for edits.
    Open(Box<Picture>),
}

impl Desk {
    /// Lays a picture on the desk.
    ///
    /// # Errors
    /// Where the folder is no picture, its file or journal is damaged, or cannot be read; or it lies on another desk.
    pub fn open(path: &Path) -> Result<Self, Error> {
        let length = length(&Folder::at(path));
        let held = Held::Look(Box::new(Picture::look(path)?));
        let lock = Lock::of_desk(&Folder::at(path))?;
        Ok(Self { path: path.to_owned(), held, length, _lock: lock })
    }

    /// The picture.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        match &self.held {
            Held::Look(look) => look.scene(),
            Held::Open(picture) => picture.scene(),
        }
    }

    /// Where its files are.
    #[must_use]
    pub fn folder(&self) -> &Folder {
        match &self.held {
            Held::Look(look) => look.folder(),
            Held::Open(picture) => picture.folder(),
        }
    }

    /// What was done to it, oldest first.
    #[must_use]
    pub fn log(&self) -> &[Entry] {
        match &self.held {
            Held::Look(look) => look.log(),
            Held::Open(picture) => picture.log(),
        }
    }

    /// The picture for editing: locked until [`Desk::rest`].
    ///
    /// # Errors
    /// As [`Picture::open`]: where somebody else is editing it, above all.
    pub fn picture(&mut self) -> Result<&mut Picture, Error> {
        if let Held::Look(_) = self.held {
            self.held = Held::Open(Box::new(Picture::open(&self.path)?));
        }
        match &mut self.held {
            Held::Open(picture) => Ok(picture),
            Held::Look(_) => unreachable!("it was opened above"),
        }
    }

    /// Writes the picture's file and gives the lock back. What the disk refuses here is in the journal already, and is written at
    /// the next opening.
    ///
    /// # Errors
    /// Where the picture cannot be read any more.
    pub fn rest(&mut self) -> Result<(), Error> {
        if let Held::Open(picture) = &mut self.held {
            let _ = picture.save();
            self.look_again()?;
        }
        Ok(())
    }

    /// Whether somebody else has edited the picture since it was last read.
    #[must_use]
    pub fn is_behind(&self) -> bool {
        matches!(self.held, Held::Look(_)) && length(self.folder()) != self.length
    }

    /// Reads the picture anew.
    ///
    /// # Errors
    /// Where it cannot be read any more.
    pub fn look_again(&mut self) -> Result<(), Error> {
        self.length = length(self.folder());
        self.held = Held::Look(Box::new(Picture::look(&self.path)?));
        Ok(())
    }
}

fn length(folder: &Folder) -> u64 {
    std::fs::metadata(folder.journal()).map_or(0, |m| m.len())
}
