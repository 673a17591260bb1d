//! A file is whole or not there, whatever the disk does.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use files::atomic::{Disk, TheDisk, write, write_on};
use files::encode::{Codes, Form, Packing, whole};
use files::{Channels, Depth, Fault};
use std::cell::RefCell;
use std::fs::{self, File};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use support::*;

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("files-atomic-{}-{name}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<_> =
            fs::read_dir(&self.0).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A disk that fails at one thing.
struct Failing {
    room: u64,
    at: &'static str,
    asked: RefCell<Vec<&'static str>>,
}

struct Short {
    file: File,
    room: u64,
}

impl Write for Short {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if bytes.len() as u64 > self.room {
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.room -= bytes.len() as u64;
        self.file.write(bytes)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Short {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

impl Failing {
    fn new(at: &'static str, room: u64) -> Self {
        Self { room, at, asked: RefCell::default() }
    }

    fn step(&self, name: &'static str) -> io::Result<()> {
        self.asked.borrow_mut().push(name);
        if name == self.at { Err(io::ErrorKind::PermissionDenied.into()) } else { Ok(()) }
    }
}

impl Disk for Failing {
    type File = Short;
    fn create(&self, path: &Path) -> io::Result<Short> {
        self.step("create")?;
        Ok(Short { file: TheDisk.create(path)?, room: self.room })
    }
    fn sync(&self, file: &mut Short) -> io::Result<()> {
        self.step("sync")?;
        file.file.sync_all()
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step("rename")?;
        TheDisk.rename(from, to)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.step("sync_folder")?;
        TheDisk.sync_folder(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step("remove")?;
        TheDisk.remove(path)
    }
}

#[test]
fn a_new_file_takes_the_place_of_the_old_one() {
    let folder = Folder::new("plain");
    let path = folder.0.join("a.tif");
    fs::write(&path, "old").unwrap();
    let soft = soft(200, 100);
    let d = describe(200, 100, Channels::Rgb, SRGB);
    for form in [
        Form::Tiff { depth: Depth::U8, packing: Packing::Deflate },
        Form::Png { depth: Depth::U8 },
        Form::Jpeg { quality: 90, sampling: files::encode::Sampling::Half },
    ] {
        write(&path, |out| whole(out, d, form, Codes::U8(&soft)).map(drop)).unwrap();
        assert_eq!(fs::read(&path).unwrap(), file(d, form, Codes::U8(&soft)));
        assert_eq!(folder.names(), ["a.tif"]);
    }
    let (digest, length) = files::digest(&path).unwrap();
    let bytes = fs::read(&path).unwrap();
    assert_eq!((digest, length), (units::Digest::of(&bytes), bytes.len() as u64));
}

#[test]
fn a_full_disk_leaves_the_old_file_and_nothing_else() {
    let folder = Folder::new("full");
    let path = folder.0.join("a.tif");
    fs::write(&path, "old").unwrap();
    let soft = soft(200, 100);
    let d = describe(200, 100, Channels::Rgb, SRGB);
    let form = Form::Tiff { depth: Depth::U8, packing: Packing::None };
    let needed = file(d, form, Codes::U8(&soft)).len() as u64;
    for room in [0, 1, 7, 1000, 59_999, 60_000, needed - 1] {
        let disk = Failing::new("nothing", room);
        let e = write_on(&disk, &path, |out| whole(out, d, form, Codes::U8(&soft)).map(drop)).unwrap_err();
        assert_eq!(e.fault(), Fault::Disk, "{e}");
        assert!(e.remedy().contains("room"), "{e}");
        assert!(e.place().contains("a.tif"), "{e}");
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(folder.names(), ["a.tif"], "room {room}");
    }
    // Writing the header's offset afterwards takes four bytes more than the file has.
    let disk = Failing::new("nothing", needed + 4);
    write_on(&disk, &path, |out| whole(out, d, form, Codes::U8(&soft)).map(drop)).unwrap();
    assert_eq!(disk.asked.into_inner(), ["create", "sync", "rename", "sync_folder"]);
    assert_eq!(fs::read(&path).unwrap().len() as u64, needed);
}

#[test]
fn each_refusal_of_the_disk_leaves_the_old_file_and_nothing_else() {
    let folder = Folder::new("refused");
    let path = folder.0.join("note.txt");
    fs::write(&path, "old").unwrap();
    for at in ["create", "sync", "rename"] {
        let e = write_on(&Failing::new(at, 1 << 20), &path, |out| {
            out.write_all(b"new").map_err(|_| unreachable!("there is room"))
        })
        .unwrap_err();
        assert_eq!(e.fault(), Fault::Disk);
        assert!(e.remedy().contains("allow writing"), "{e}");
        assert_eq!(fs::read(&path).unwrap(), b"old", "{at}");
        assert_eq!(folder.names(), ["note.txt"], "{at}");
    }
}

#[test]
fn a_caller_that_fails_leaves_nothing() {
    let folder = Folder::new("caller");
    let path = folder.0.join("a.png");
    let d = describe(200, 100, Channels::Rgba, SRGB);
    let form = Form::Jpeg { quality: 90, sampling: files::encode::Sampling::Half };
    let e = write(&path, |out| whole(out, d, form, Codes::U8(&[])).map(drop)).unwrap_err();
    assert_eq!(e.fault(), Fault::Refused);
    assert!(folder.names().is_empty());
}

#[test]
fn places_that_cannot_be_written_are_named() {
    let folder = Folder::new("nowhere");
    let path = folder.0.join("no/such/folder/a.png");
    let e = write(&path, |_| Ok(())).unwrap_err();
    assert!(e.place().contains("no/such/folder") && e.remedy().contains("spelling"), "{e}");
    assert!(files::digest(&path).unwrap_err().remedy().contains("spelling"));
    assert!(write(Path::new("/"), |_| Ok(())).is_err());
}

#[test]
fn a_file_whose_name_lies_is_read_and_told() {
    let folder = Folder::new("lie");
    let path = folder.0.join("portrait.jpg");
    let soft = soft(20, 10);
    let d = describe(20, 10, Channels::Rgb, SRGB);
    fs::write(&path, file(d, Form::Png { depth: Depth::U8 }, Codes::U8(&soft))).unwrap();
    let budget = budget();
    let photograph = files::read(&path, &files::Limits::default(), &budget).unwrap();
    assert_eq!(photograph.warnings(), ["the name says JPEG, the content is PNG"]);
    let small = files::Limits { file: 10, ..Default::default() };
    assert_eq!(files::read(&path, &small, &budget).unwrap_err().fault(), Fault::TooLarge);
    fs::write(&path, "just words").unwrap();
    let e = files::read(&path, &files::Limits::default(), &budget).unwrap_err();
    assert!(e.what().contains("text") && e.place().contains("portrait.jpg"), "{e}");
}
