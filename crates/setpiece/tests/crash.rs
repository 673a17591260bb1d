//! Killed at random moments, a picture keeps every edit that it acknowledged.
//!
//! The test starts itself as another process that edits without end and says each number once it is accepted,
//! and kills that process 300 times.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a failed unwrap is a failed test; this one prints its own result"
)]

mod support;

use scene::file::to_file;
use setpiece::Picture;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use support::{at, begin, moved, new_source};
use units::Digest;

/// Set in the process that edits: the picture's folder.
const EDITS: &str = "SETPIECE_TEST_EDITS";
const ROUNDS: u64 = 300;

fn main() {
    if let Some(path) = std::env::var_os(EDITS) {
        edit_without_end(&PathBuf::from(path));
    }
    let room = tempfile::tempdir().unwrap();
    let path = room.path().join("marsh");
    let picture = begin(&path);
    let mut known = picture.log().last().unwrap().number;
    drop(picture);
    let (mut acknowledged, mut torn) = (0, 0);
    for round in 0..ROUNDS {
        // Spread over 0 to 20 ms, each moment once (the multiplier has no factor in common with the number).
        let moment = Duration::from_micros(round * 7919 % ROUNDS * 20_000 / ROUNDS);
        let mut child = Command::new(std::env::current_exe().unwrap())
            .env(EDITS, &path)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut line = String::new();
        out.read_line(&mut line).unwrap();
        assert_eq!(line, "open\n", "round {round}");
        let mut first = String::new();
        if round % 2 == 0 {
            // So that edits are acknowledged on the slowest disk too; the other rounds kill at any time.
            out.read_line(&mut first).unwrap();
        }
        std::thread::sleep(moment);
        child.kill().unwrap();
        child.wait().unwrap();
        let mut last = None;
        let first = first.strip_suffix('\n').map(str::to_owned);
        for line in first.into_iter().chain(out.lines().map_while(Result::ok)) {
            // The last line may have been cut short in the pipe: then it is not taken for acknowledged.
            if let Some((number, digest)) = line.strip_suffix('.').and_then(|l| l.split_once(' ')) {
                last = Some((number.parse::<u64>().unwrap(), digest.to_owned()));
                acknowledged += 1;
            }
        }
        let picture = Picture::open(&path).unwrap();
        torn += picture.notices().iter().filter(|n| matches!(n, setpiece::Notice::TornLine { .. })).count();
        check(&picture, last.as_ref(), known, round);
        known = picture.log().last().unwrap().number;
    }
    assert!(
        acknowledged >= ROUNDS / 2,
        "only {acknowledged} edits were acknowledged: the test tests nothing"
    );
    println!("{acknowledged} edits acknowledged, {torn} torn lines dropped");
    println!("1 passed, 0 failed");
}

fn check(picture: &Picture, last: Option<&(u64, String)>, known: u64, round: u64) {
    let there = picture.log().last().unwrap().number;
    let said = last.map_or(known, |(number, _)| *number);
    // At most the one that was on the disk, and not said yet.
    assert!(there == said || there == said + 1, "round {round}: {said} acknowledged, {there} there");
    if let Some((number, digest)) = last.filter(|(number, _)| *number == there) {
        assert_eq!(*digest, state(picture), "round {round}: the picture after edit {number}");
    }
    for (digest, source) in picture.scene().sources() {
        let bytes = std::fs::read(picture.folder().sources().join(&source.file)).unwrap();
        assert_eq!(Digest::of(&bytes), *digest, "round {round}: {}", source.file);
    }
}

fn state(picture: &Picture) -> String {
    Digest::of(to_file(picture.scene()).as_bytes()).to_string()
}

fn edit_without_end(path: &Path) -> ! {
    let mut picture = Picture::open(path).unwrap();
    let mut out = std::io::stdout();
    out.write_all(b"open\n").unwrap();
    for n in picture.log().len() as u64.. {
        let accepted = match n % 11 {
            3 => picture.undo(1, at(n)).map(|a| a[0].number),
            4 => picture.redo(1, at(n)).map(|a| a[0].number),
            7 => {
                picture.add_source(&n.to_le_bytes()[..], new_source("shot.png"), at(n)).unwrap();
                Ok(picture.log().last().unwrap().number)
            }
            8 => picture.save().map(|()| picture.log().last().unwrap().number),
            _ => {
                let edited = picture.edit(moved(1.0 + n as f64 / 1000.0), at(n));
                edited.map(|_| picture.log().last().unwrap().number)
            }
        };
        if let Ok(number) = accepted {
            // In one write, so that the pipe holds whole lines but for the last.
            out.write_all(format!("{number} {}.\n", state(&picture)).as_bytes()).unwrap();
        }
    }
    unreachable!("the numbers do not end")
}
