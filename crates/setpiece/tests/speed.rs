//! A long journal opens, and its edits undo. Says how long that takes; asserts nothing about time.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod support;

use setpiece::Picture;
use setpiece::disk::{Disk, Local, Writing};
use std::io;
use std::path::Path;
use std::time::Instant;
use support::{at, begin, moved};

/// This machine's disk, but that nothing waits for it: to make a long journal quickly.
struct Hasty;

struct HastyFile(Box<dyn Writing>);

impl Disk for Hasty {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        Local.read(path)
    }
    fn read_part(&self, path: &Path, from: u64, length: usize) -> io::Result<Vec<u8>> {
        Local.read_part(path, from, length)
    }
    fn create(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(HastyFile(Local.create(path)?)))
    }
    fn append(&self, path: &Path) -> io::Result<Box<dyn Writing>> {
        Ok(Box::new(HastyFile(Local.append(path)?)))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        Local.rename(from, to)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        Local.remove(path)
    }
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        Local.make_folder(path)
    }
    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }
}

impl Writing for HastyFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write(bytes)
    }
    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.0.cut(length)
    }
}

#[test]
fn ten_thousand_lines_open() {
    let room = tempfile::tempdir().unwrap();
    let path = room.path().join("marsh");
    drop(begin(&path));
    let mut picture = Picture::open_on(Box::new(Hasty), &path).unwrap();
    for n in 0..10_000 {
        picture.edit(moved(1.0 + f64::from(n) / 1000.0), at(3)).unwrap();
    }
    let last = picture.scene().clone();
    drop(picture);
    let bytes = std::fs::metadata(path.join("journal.ndjson")).unwrap().len();
    let started = Instant::now();
    let mut picture = Picture::open(&path).unwrap();
    println!("10,000 lines ({bytes} bytes), none saved: opened in {:?}", started.elapsed());
    assert_eq!(*picture.scene(), last);
    picture.save().unwrap();
    drop(picture);
    let started = Instant::now();
    let mut picture = Picture::open(&path).unwrap();
    println!("the same, saved: opened in {:?}", started.elapsed());
    assert_eq!(*picture.scene(), last);
    let started = Instant::now();
    for n in 0..50 {
        picture.edit(moved(f64::from(n) + 1.0), at(4)).unwrap();
    }
    println!("an edit, synced: {:?}", started.elapsed() / 50);
}
