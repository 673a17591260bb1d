//! A disk that fails at any one place loses no accepted edit and keeps no refused one.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod support;

use scene::file::{to_file, to_saved};
use setpiece::{Error, Picture};
use support::{Fault, Faulty, at, begin, format, moved, new_source};

const FAULTS: [Fault; 5] = [Fault::Full(0), Fault::Full(1), Fault::Full(150), Fault::Broken, Fault::Denied];

type Deed = fn(&mut Picture) -> Result<(), Error>;

const DEEDS: [(&str, Deed); 5] = [
    ("edit", |p| p.edit(moved(3.0), at(9)).map(drop)),
    ("undo", |p| p.undo(1, at(9)).map(drop)),
    ("redo", |p| p.redo(1, at(9)).map(drop)),
    ("save", Picture::save),
    ("add a source", |p| p.add_source(&b"another crane"[..], new_source("c2.png"), at(9)).map(drop)),
];

/// A picture with an edit to undo, one to do again, and something to save, on a disk that can fail.
fn ready(path: &std::path::Path) -> (Faulty, Picture) {
    drop(begin(path));
    let disk = Faulty::sound();
    let mut picture = Picture::open_on(Box::new(disk.clone()), path).unwrap();
    picture.edit(moved(4.0), at(3)).unwrap();
    picture.edit(moved(6.0), at(4)).unwrap();
    picture.undo(1, at(5)).unwrap();
    (disk, picture)
}

#[test]
fn one_failure_anywhere_leaves_the_acknowledged_picture() {
    for (what, deed) in DEEDS {
        for fault in FAULTS {
            let mut places = 0;
            for good in 0.. {
                let room = tempfile::tempdir().unwrap();
                let path = room.path().join("marsh");
                let (disk, mut picture) = ready(&path);
                let saved = std::fs::read(picture.folder().picture()).unwrap();
                let before = to_file(picture.scene());
                disk.arm(good, fault, false);
                let outcome = deed(&mut picture);
                let said = format!("{what}, {fault:?} after {good}: {outcome:?}");
                let hit = disk.disarm();
                if let Err(e) = &outcome {
                    assert!(hit && !e.what().is_empty() && !e.place().is_empty() && !e.remedy().is_empty());
                    assert_eq!(to_file(picture.scene()), before, "{said}");
                    // The old file or, where the disk failed after the rename, the new one; never a part of it.
                    let file = std::fs::read(picture.folder().picture()).unwrap();
                    let applied = picture.log().last().unwrap().number;
                    let new = to_saved(picture.scene(), applied).into_bytes();
                    assert!(file == saved || what == "save" && file == new, "{said}");
                    // The disk works again, and so does the picture, unless its journal had to be closed.
                    if !matches!(picture.edit(moved(2.0), at(10)), Err(Error::Closed { .. })) {
                        assert_eq!(picture.next_undo(), Some(picture.log().last().unwrap().number), "{said}");
                    }
                }
                let acknowledged = to_file(picture.scene());
                let log = picture.log().to_vec();
                drop(picture);
                let again = Picture::open(&path).unwrap();
                assert_eq!(to_file(again.scene()), acknowledged, "{said}");
                assert_eq!(again.log(), log, "{said}");
                if !hit {
                    outcome.unwrap();
                    break;
                }
                places += 1;
            }
            assert!(places >= 2, "{what}: the disk was asked {places} times");
        }
    }
}

/// With a disk that fails from some place on, the picture takes no more, and what reopens is what was
/// acknowledged, at most with the line whose fate the disk did not tell.
#[test]
fn a_dying_disk_closes_the_picture() {
    for fault in FAULTS {
        for good in 0.. {
            let room = tempfile::tempdir().unwrap();
            let path = room.path().join("marsh");
            let (disk, mut picture) = ready(&path);
            let before = to_file(picture.scene());
            let lines = picture.log().len();
            disk.arm(good, fault, true);
            let outcome = picture.edit(moved(3.0), at(9));
            let after = to_file(picture.scene());
            if !disk.disarm() {
                outcome.unwrap();
                break;
            }
            assert_eq!(after, before);
            assert!(matches!(picture.edit(moved(2.0), at(10)), Err(Error::Closed { .. })));
            drop(picture);
            let again = Picture::open(&path).unwrap();
            assert!(again.log().len() <= lines + 1, "{fault:?} after {good}");
            if again.log().len() == lines {
                assert_eq!(to_file(again.scene()), before, "{fault:?} after {good}");
            }
        }
    }
}

#[test]
fn a_picture_that_could_not_be_begun_can_be_begun_again() {
    for fault in FAULTS {
        for good in 0.. {
            let room = tempfile::tempdir().unwrap();
            let path = room.path().join("marsh");
            let disk = Faulty::sound();
            disk.arm(good, fault, false);
            let first = Picture::create_on(Box::new(disk.clone()), &path, format(), "Marsh", at(0)).map(drop);
            if !disk.disarm() {
                first.unwrap();
                break;
            }
            // What was refused either left nothing that stands in the way, or a whole picture.
            let second = Picture::create(&path, format(), "Marsh", at(1)).map(drop);
            let opened = second.or_else(|_| Picture::open(&path).map(drop));
            assert!(opened.is_ok(), "{fault:?} after {good}: {first:?}, then {opened:?}");
        }
    }
}
