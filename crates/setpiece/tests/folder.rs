//! The folder of a picture: made, opened, locked, looked at, damaged and mended.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod support;

use scene::file::to_file;
use setpiece::{Error, Notice, Picture, Turn};
use std::fs;
use std::path::{Path, PathBuf};
use support::{CRANE, at, begin, format, moved, new_source};
use units::Digest;

fn room() -> (tempfile::TempDir, PathBuf) {
    let room = tempfile::tempdir().unwrap();
    let path = room.path().join("marsh");
    (room, path)
}

fn distance(picture: &Picture) -> f64 {
    picture.scene().pieces()[&CRANE].mark.z.get()
}

/// Every file below a folder with its bytes.
fn all_files(path: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(path).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(all_files(&path));
        } else {
            files.push((path.clone(), fs::read(&path).unwrap()));
        }
    }
    files.sort();
    files
}

/// The journal with its last `drop` lines left out, and what follows put after it.
fn rewrite_journal(path: &Path, drop: usize, then: &str) {
    let journal = path.join("journal.ndjson");
    let text = fs::read_to_string(&journal).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let kept: String = lines[..lines.len() - drop].iter().flat_map(|l| [l, "\n"]).collect();
    fs::write(&journal, kept + then).unwrap();
}

#[test]
fn edits_undo_and_redo_survive_restarts() {
    let (_room, path) = room();
    let mut picture = begin(&path);
    for z in [4.0, 3.0, 2.0] {
        picture.edit(moved(z), at(3)).unwrap();
    }
    picture.undo(1, at(4)).unwrap();
    let last = to_file(picture.scene());
    drop(picture);
    let picture = Picture::open(&path).unwrap();
    assert_eq!(to_file(picture.scene()), last);
    assert_eq!(picture.notices(), [Notice::Replayed { lines: 6 }]);
    assert_eq!(distance(&picture), 3.0);
    drop(picture);
    // Told once: the opening saved them.
    let mut picture = Picture::open(&path).unwrap();
    assert!(picture.notices().is_empty());
    picture.undo(1, at(5)).unwrap();
    picture.save().unwrap();
    drop(picture);
    let mut picture = Picture::open(&path).unwrap();
    assert!(picture.notices().is_empty());
    assert_eq!(distance(&picture), 4.0);
    picture.redo(1, at(6)).unwrap();
    picture.redo(1, at(6)).unwrap();
    assert_eq!(distance(&picture), 2.0);
    assert!(matches!(picture.redo(1, at(6)), Err(Error::Nothing { .. })));
    // Undone after being done again, and all the way back to the beginning.
    while picture.undo(1, at(7)).is_ok() {}
    assert!(picture.scene().pieces().is_empty() && picture.scene().sources().is_empty());
    let numbers: Vec<_> = picture.log().iter().map(|e| e.number).collect();
    assert_eq!(numbers, (1..=numbers.len() as u64).collect::<Vec<_>>());
    while picture.redo(1, at(8)).is_ok() {}
    assert_eq!(distance(&picture), 2.0);
    picture.undo(1, at(9)).unwrap();
    picture.edit(moved(9.0), at(9)).unwrap();
    assert_eq!(picture.next_redo(), None);
    let says: Vec<&str> = picture.log().iter().rev().take(2).map(|e| e.says.as_str()).collect();
    assert_eq!(says, ["Crane 7, 6 m farther", "Taken back: Crane 7, 1 m nearer"]);
    assert_eq!(picture.log()[picture.log().len() - 2].turn, Turn::Undo(5));
}

#[test]
fn one_writer_and_any_number_of_lookers() {
    let (_room, path) = room();
    let mut picture = begin(&path);
    let refused = Picture::open(&path).map(drop).unwrap_err();
    assert!(matches!(refused, Error::Locked { by: Some(by), .. } if by == std::process::id()), "{refused}");
    assert!(refused.remedy().starts_with("close it there first"));
    picture.edit(moved(4.0), at(3)).unwrap();
    let look = Picture::look(&path).unwrap();
    assert_eq!(look.scene(), picture.scene());
    assert_eq!(look.log(), picture.log());
    drop(picture);
    Picture::open(&path).unwrap();
}

#[test]
fn looking_writes_nothing() {
    let (_room, path) = room();
    let mut picture = begin(&path);
    picture.edit(moved(4.0), at(3)).unwrap();
    drop(picture);
    rewrite_journal(&path, 0, "{\"n\":4,");
    fs::remove_file(path.join("picture.json")).unwrap();
    fs::remove_file(path.join(".lock")).unwrap();
    let before = all_files(&path);
    let look = Picture::look(&path).unwrap();
    assert_eq!(look.scene().pieces()[&CRANE].mark.z.get(), 4.0);
    assert_eq!(look.notices().len(), 3);
    assert_eq!(all_files(&path), before);
}

#[test]
fn a_folder_in_use_is_left_alone() {
    let (_room, path) = room();
    fs::create_dir(&path).unwrap();
    fs::write(path.join("letter.txt"), "dear").unwrap();
    assert!(matches!(Picture::create(&path, format(), "Marsh", at(0)).map(drop), Err(Error::Folder { .. })));
    let before = all_files(&path);
    assert!(matches!(Picture::open(&path).map(drop), Err(Error::Folder { .. })));
    assert!(matches!(Picture::look(&path).map(drop), Err(Error::Folder { .. })));
    assert_eq!(all_files(&path), before);
    let (_room, path) = room_with_picture();
    assert!(matches!(Picture::create(&path, format(), "Dune", at(0)).map(drop), Err(Error::Folder { .. })));
    assert_eq!(Picture::open(&path).unwrap().scene().name(), "Marsh");
}

fn room_with_picture() -> (tempfile::TempDir, PathBuf) {
    let (room, path) = room();
    drop(begin(&path));
    (room, path)
}

#[test]
fn a_torn_last_line_is_dropped_and_said() {
    let (_room, path) = room_with_picture();
    let journal = path.join("journal.ndjson");
    let whole = fs::read(&journal).unwrap();
    let mut picture = Picture::open(&path).unwrap();
    picture.edit(moved(4.0), at(3)).unwrap();
    drop(picture);
    let longer = fs::read(&journal).unwrap();
    for end in whole.len() + 1..longer.len() {
        fs::write(&journal, &longer[..end]).unwrap();
        let mut picture = Picture::open(&path).unwrap();
        let torn = Notice::TornLine { path: journal.clone(), line: 4, byte: whole.len() as u64 };
        assert!(picture.notices().contains(&torn), "{end}: {:?}", picture.notices());
        assert_eq!(fs::read(&journal).unwrap(), whole);
        if end == longer.len() - 1 {
            picture.edit(moved(3.0), at(4)).unwrap();
        }
    }
    assert_eq!(distance(&Picture::open(&path).unwrap()), 3.0);
}

#[test]
fn a_bad_line_in_the_middle_is_named() {
    let (_room, path) = room_with_picture();
    let journal = path.join("journal.ndjson");
    let text = fs::read_to_string(&journal).unwrap();
    let first = text.lines().next().unwrap().len() as u64 + 1;
    fs::write(&journal, text.replacen("crane.png", "crame.png", 1)).unwrap();
    let error = Picture::open(&path).map(drop).unwrap_err();
    assert!(matches!(&error, Error::Journal { line: 2, byte, .. } if *byte == first), "{error}");
    assert_eq!(error.what(), "the line does not match its checksum: it was changed or damaged");
    assert_eq!(error.place(), format!("{}, line 2 (byte {first})", journal.display()));
    // A line that is missing is found by the numbers.
    let without: String =
        text.lines().enumerate().filter(|(i, _)| *i != 1).flat_map(|(_, l)| [l, "\n"]).collect();
    fs::write(&journal, without + &text.lines().next_back().unwrap().replace('{', "[") + "\n").unwrap();
    let error = Picture::open(&path).map(drop).unwrap_err();
    assert_eq!(error.what(), "the line has the number 2, where 1 should follow");
}

fn is_kept(entry: &fs::DirEntry) -> bool {
    entry.file_name().to_str().unwrap().starts_with("picture.damaged")
}

#[test]
fn a_lost_or_damaged_file_is_made_anew_from_the_journal() {
    let (_room, path) = room_with_picture();
    let file = path.join("picture.json");
    let mut picture = Picture::open(&path).unwrap();
    picture.save().unwrap();
    let last = to_file(picture.scene());
    drop(picture);
    let saved = fs::read(&file).unwrap();
    let half = &saved[..saved.len() / 2];
    for damaged in [None, Some(&b""[..]), Some(half), Some(&b"\xff\xfe"[..]), Some(&[0; 900][..])] {
        match damaged {
            None => fs::remove_file(&file).unwrap(),
            Some(bytes) => fs::write(&file, bytes).unwrap(),
        }
        let picture = Picture::open(&path).unwrap();
        assert_eq!(to_file(picture.scene()), last);
        let number = fs::read_dir(&path).unwrap().filter(|e| is_kept(e.as_ref().unwrap())).count();
        // Kept by the opening just above, beside those of before.
        let kept = path.join(match number {
            0 | 1 => "picture.damaged.json".to_owned(),
            n => format!("picture.damaged-{n}.json"),
        });
        let said = Notice::Rebuilt { path: file.clone(), kept: damaged.map(|_| kept.clone()) };
        assert!(picture.notices().contains(&said), "{:?}", picture.notices());
        if let Some(bytes) = damaged {
            assert_eq!(fs::read(kept).unwrap(), bytes);
        }
        assert_eq!(fs::read(&file).unwrap(), saved);
    }
}

#[test]
fn what_a_newer_setpiece_or_a_hand_wrote_is_not_passed_over() {
    let (_room, path) = room_with_picture();
    let file = path.join("picture.json");
    let saved = fs::read_to_string(&file).unwrap();
    for changed in [
        saved.replace("\"setpiece_picture\": 1", "\"setpiece_picture\": 2"),
        saved.replace("\"white_balance\": 6504.0", "\"white_balance\": 1.0"),
        "{}".to_owned(),
    ] {
        fs::write(&file, &changed).unwrap();
        let error = Picture::open(&path).map(drop).unwrap_err();
        assert!(matches!(error, Error::Picture { .. }), "{error}");
        assert_eq!(fs::read_to_string(&file).unwrap(), changed);
    }
}

#[test]
fn without_its_journal_a_picture_opens_as_saved() {
    let (_room, path) = room_with_picture();
    let mut picture = Picture::open(&path).unwrap();
    picture.save().unwrap();
    let last = to_file(picture.scene());
    drop(picture);
    fs::remove_file(path.join("journal.ndjson")).unwrap();
    let mut picture = Picture::open(&path).unwrap();
    assert_eq!(to_file(picture.scene()), last);
    assert_eq!(picture.next_undo(), None);
    assert_eq!(picture.edit(moved(3.0), at(5)).unwrap().unwrap().number, 3);
    drop(picture);
    let mut picture = Picture::open(&path).unwrap();
    assert_eq!(distance(&picture), 3.0);
    picture.undo(1, at(6)).unwrap();
    assert_eq!(to_file(picture.scene()), last);
    // Without its file too, nothing can be made of it, and that is said.
    drop(picture);
    fs::remove_file(path.join("picture.json")).unwrap();
    assert!(matches!(Picture::open(&path).map(drop), Err(Error::Folder { .. })));
}

#[test]
fn a_journal_shorter_than_the_file_is_set_aside() {
    let (_room, path) = room_with_picture();
    let mut picture = Picture::open(&path).unwrap();
    picture.edit(moved(3.0), at(3)).unwrap();
    picture.save().unwrap();
    drop(picture);
    rewrite_journal(&path, 2, "");
    let mut picture = Picture::open(&path).unwrap();
    assert!(matches!(picture.notices(), [Notice::ShortJournal { last: 1, applied: 3, .. }]));
    assert_eq!(distance(&picture), 3.0);
    assert!(path.join("journal-to-1.ndjson").exists());
    assert_eq!(picture.edit(moved(2.0), at(4)).unwrap().unwrap().number, 4);
    drop(picture);
    let picture = Picture::open(&path).unwrap();
    assert_eq!(picture.notices(), [Notice::Replayed { lines: 1 }]);
    assert_eq!(distance(&picture), 2.0);
}

#[test]
fn sources_come_in_byte_for_byte_and_once() {
    let (_room, path) = room_with_picture();
    let mut picture = Picture::open(&path).unwrap();
    let bytes: Vec<u8> = (0..3_000_000_u32).map(|n| ((n * 7) >> 3) as u8).collect();
    let digest = picture.add_source(&bytes[..], new_source("../a\u{7}b/Évening (1).TIF"), at(3)).unwrap();
    assert_eq!(digest, Digest::of(&bytes));
    let source = picture.scene().sources()[&digest].clone();
    assert_eq!(source.file, format!("{}-Évening-1-.TIF", digest.short()));
    assert_eq!((source.bytes, source.name.as_str()), (3_000_000, "../a\u{fffd}b/Évening (1).TIF"));
    let kept = picture.folder().sources().join(&source.file);
    assert_eq!(fs::read(&kept).unwrap(), bytes);
    // Brought in again under another name it mends the one that was lost.
    fs::remove_file(&kept).unwrap();
    let lines = picture.log().len();
    assert_eq!(picture.add_source(&bytes[..], new_source("other.tif"), at(4)).unwrap(), digest);
    assert_eq!(picture.log().len(), lines);
    assert_eq!(fs::read(&kept).unwrap(), bytes);
    assert_eq!(fs::read_dir(picture.folder().sources()).unwrap().count(), 2);
}

/// Whatever one byte of the folder's files becomes, opening ends in a picture or an error, and a look changes nothing.
#[test]
fn damage_is_met_with_an_error_or_a_whole_picture() {
    let (_room, path) = room_with_picture();
    let whole = to_file(Picture::look(&path).unwrap().scene());
    for name in ["picture.json", "journal.ndjson"] {
        let file = path.join(name);
        let bytes = fs::read(&file).unwrap();
        for place in 0..bytes.len() {
            for new in [b'0', b'\n', 0] {
                let mut damaged = bytes.clone();
                damaged[place] = new;
                fs::write(&file, &damaged).unwrap();
                match Picture::look(&path) {
                    Ok(look) if name == "journal.ndjson" => {
                        let said = look.notices().iter().any(|n| matches!(n, Notice::TornLine { .. }));
                        assert!(said || to_file(look.scene()) == whole, "{name}, byte {place}");
                        let lines = look.log().len();
                        assert!(lines == 2 || said && lines == 1, "{name}, byte {place}: {lines} lines");
                    }
                    Ok(_) => {}
                    Err(error) => assert!(!error.what().is_empty() && !error.remedy().is_empty()),
                }
            }
        }
        fs::write(&file, &bytes).unwrap();
    }
}

#[test]
fn a_damaged_file_that_is_only_looked_at_is_told_as_it_is() {
    let (_room, path) = room_with_picture();
    let file = path.join("picture.json");
    let saved = fs::read(&file).unwrap();
    for (bytes, said) in [(None, "is missing"), (Some(&saved[..40]), "is damaged")] {
        fs::remove_file(&file).unwrap();
        bytes.into_iter().for_each(|b| fs::write(&file, b).unwrap());
        let before = all_files(&path);
        let look = Picture::look(&path).unwrap();
        let told = look.notices()[0].sentence();
        assert!(told.contains(said) && told.contains("nothing was written"), "{told}");
        assert_eq!(all_files(&path), before);
        fs::write(&file, &saved).unwrap();
    }
    fs::write(&file, [b"\xef\xbb\xbf", &saved[..]].concat()).unwrap();
    assert!(Picture::look(&path).unwrap().notices().is_empty() || Picture::open(&path).is_ok());
    assert!(!path.join("picture.damaged.json").exists());
}

#[test]
fn undo_past_what_a_hand_changed_is_refused_as_a_whole() {
    let (_room, path) = room_with_picture();
    let mut picture = Picture::open(&path).unwrap();
    for name in ["Heron", "Stork"] {
        let crane = picture.scene().pieces()[&CRANE].clone();
        let piece = scene::Piece { name: name.into(), ..crane };
        let id = picture.scene().fresh().piece();
        picture.edit(scene::Edit::Piece { id, put: scene::Put::Add(Box::new(piece)) }, at(3)).unwrap();
    }
    picture.edit(moved(4.0), at(4)).unwrap();
    picture.save().unwrap();
    drop(picture);
    // A hand takes the heron out.
    let file = path.join("picture.json");
    let mut json: serde_json::Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    let pieces = json["pieces"].as_object_mut().unwrap();
    pieces.retain(|_, piece| piece["name"] != "Heron");
    fs::write(&file, json.to_string()).unwrap();
    let mut picture = Picture::open(&path).unwrap();
    let before = (to_file(picture.scene()), picture.log().to_vec());
    let refused = picture.undo(9, at(5)).unwrap_err();
    assert!(refused.what().contains("edited by hand"), "{refused}");
    assert!(refused.remedy().contains("2 can be taken back") && refused.remedy().contains("move it out"));
    assert_eq!((to_file(picture.scene()), picture.log().to_vec()), before);
    assert_eq!(picture.undo(2, at(6)).unwrap().len(), 2);
    assert!(matches!(picture.undo(1, at(7)), Err(Error::ChangedByHand { before: 0, .. })));
    drop(picture);
    // The way out that was told.
    fs::remove_file(&file).unwrap();
    let mut picture = Picture::open(&path).unwrap();
    assert_eq!(picture.undo(9, at(8)).unwrap().len(), 3);
    assert!(picture.scene().sources().is_empty());
}

#[test]
fn what_changes_nothing_is_no_edit() {
    let (_room, path) = room_with_picture();
    let mut picture = Picture::open(&path).unwrap();
    picture.edit(moved(4.0), at(3)).unwrap().unwrap();
    picture.undo(1, at(4)).unwrap();
    let lines = picture.log().len();
    assert_eq!(picture.edit(moved(5.0), at(5)).unwrap(), None);
    assert_eq!(picture.edit(scene::Edit::Group(Vec::new()), at(5)).unwrap(), None);
    assert_eq!(picture.log().len(), lines);
    picture.redo(1, at(6)).unwrap();
    assert_eq!(distance(&picture), 4.0);
}

#[test]
fn what_a_killed_writer_left_is_removed() {
    let (_room, path) = room_with_picture();
    // No process has such a number.
    let (left, mine) = (path.join("out/.a.tif.4294967295-0.part"), path.join("out/.b.part"));
    for file in [&left, &mine] {
        fs::write(file, "half").unwrap();
    }
    Picture::look(&path).unwrap();
    assert!(left.exists());
    Picture::open(&path).unwrap();
    assert!(!left.exists() && mine.exists());
}
