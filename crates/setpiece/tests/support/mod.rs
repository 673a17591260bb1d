//! Small pictures for tests, and a disk that fails on demand.
#![allow(dead_code, reason = "each test uses a part of it")]

use scene::{CutOut, CutOutId, Edit, Format, Mark, Piece, PieceId, Put, SourceKind};
use setpiece::disk::{Disk, Local, Writing};
use setpiece::{NewSource, Picture, Timestamp};
use std::io;
use std::path::Path;
use std::sync::{Arc, Mutex};
use units::{Metres, PxSize};

pub(crate) fn at(n: u64) -> Timestamp {
    Timestamp::from_unix_millis(1_772_000_000_000 + n as i64).unwrap()
}

pub(crate) fn format() -> Format {
    Format::of_size(PxSize::new(1200, 800).unwrap())
}

pub(crate) fn new_source(name: &str) -> NewSource {
    NewSource { name: name.to_owned(), kind: SourceKind::Shot, size: None, note: String::new() }
}

/// The piece that tests move about.
pub(crate) const CRANE: PieceId = PieceId::from_number(2);

pub(crate) fn moved(z: f64) -> Edit {
    let mark = Mark::on_ground(Metres::ZERO, Metres::of(z));
    Edit::Change { piece: CRANE, change: scene::PieceChange::Mark(mark) }
}

/// A picture with one crane in it, and what is on the disk of it.
pub(crate) fn begin(path: &Path) -> Picture {
    let mut picture = Picture::create(path, format(), "Marsh", at(0)).unwrap();
    let shot = picture.add_source(&b"a crane"[..], new_source("crane.png"), at(1)).unwrap();
    let cutout = CutOut::of("Crane", shot, None);
    let id = CutOutId::from_number(1);
    let piece = Piece::standing("Crane 7", id, Mark::on_ground(Metres::ZERO, Metres::of(5.0)));
    let group = Edit::Group(vec![
        Edit::CutOut { id, put: Put::Add(Box::new(cutout)) },
        Edit::Piece { id: CRANE, put: Put::Add(Box::new(piece)) },
    ]);
    picture.edit(group, at(2)).unwrap();
    picture
}

/// How the disk fails.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Fault {
    /// It is full: of a write, so many bytes get through.
    Full(usize),
    /// It does not take what was written.
    Broken,
    /// It is not allowed.
    Denied,
}

#[derive(Clone, Debug)]
struct Plan {
    /// Operations still to come that succeed.
    good: Option<u32>,
    fault: Fault,
    /// All later ones fail too.
    lasting: bool,
    hit: bool,
}

/// A disk on which one operation, or all from one on, fail.
#[derive(Clone)]
pub(crate) struct Faulty(Arc<Mutex<Plan>>);

impl Faulty {
    pub(crate) fn sound() -> Self {
        Self(Arc::new(Mutex::new(Plan { good: None, fault: Fault::Broken, lasting: false, hit: false })))
    }

    /// Lets `good` operations succeed, and the next one fail.
    pub(crate) fn arm(&self, good: u32, fault: Fault, lasting: bool) {
        *self.0.lock().unwrap() = Plan { good: Some(good), fault, lasting, hit: false };
    }

    /// Whether anything failed since it was armed; it is sound from now on.
    pub(crate) fn disarm(&self) -> bool {
        let mut plan = self.0.lock().unwrap();
        plan.good = None;
        plan.hit
    }

    fn turn(&self) -> Result<(), Fault> {
        let mut plan = self.0.lock().unwrap();
        match plan.good {
            None => Ok(()),
            Some(0) => {
                plan.hit = true;
                plan.good = plan.lasting.then_some(0);
                Err(plan.fault)
            }
            Some(n) => {
                plan.good = Some(n - 1);
                Ok(())
            }
        }
    }

    fn ask(&self) -> io::Result<()> {
        self.turn().map_err(error)
    }
}

fn error(fault: Fault) -> io::Error {
    io::Error::from(match fault {
        Fault::Full(_) => io::ErrorKind::StorageFull,
        Fault::Broken => io::ErrorKind::Other,
        Fault::Denied => io::ErrorKind::PermissionDenied,
    })
}

struct FaultyFile(Box<dyn Writing>, Faulty);

impl Disk for Faulty {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        Local.read(path)
    }

    fn read_part(&self, path: &Path, from: u64, length: usize) -> io::Result<Vec<u8>> {
        Local.read_part(path, from, length)
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        self.ask()?;
        Ok(Box::new(FaultyFile(Local.create(path)?, self.clone())))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        self.ask()?;
        Ok(Box::new(FaultyFile(Local.append(path)?, self.clone())))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.ask()?;
        Local.rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.ask()?;
        Local.remove(path)
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.ask()?;
        Local.make_folder(path)
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        self.ask()?;
        Local.sync_folder(path)
    }
}

impl Writing for FaultyFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        if let Err(fault) = self.1.turn() {
            if let Fault::Full(room) = fault {
                self.0.write(&bytes[..room.min(bytes.len())])?;
            }
            return Err(error(fault));
        }
        self.0.write(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.1.ask()?;
        self.0.sync()
    }

    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.1.ask()?;
        self.0.cut(length)
    }
}
