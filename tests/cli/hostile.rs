//! Folders that are none, damaged files, full disks, other writers.

use crate::support::{Room, binary, names};
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

#[test]
fn a_folder_without_a_picture_is_said_and_left_alone() {
    let room = Room::new();
    fs::create_dir(room.join("empty")).unwrap();
    for words in [
        "read empty",
        "place empty list",
        "render empty",
        "check empty",
        "undo empty",
        "log nowhere",
        "tone nowhere list",
    ] {
        room.run(words).refused(3, &["no picture"]);
    }
    assert_eq!(fs::read_dir(room.join("empty")).unwrap().count(), 0);
}

#[test]
fn a_newer_schema_is_refused() {
    let room = Room::with_post();
    let file = room.join("marsh/picture.json");
    let newer =
        fs::read_to_string(&file).unwrap().replacen("\"setpiece_picture\": 1", "\"setpiece_picture\": 99", 1);
    fs::write(&file, newer).unwrap();
    for words in ["place marsh move post --at 0,5", "render marsh", "check marsh", "undo marsh"] {
        room.refuses(words, 3, &["99"]);
    }
}

#[test]
fn a_damaged_journal_is_told_by_its_line() {
    let room = Room::with_post();
    let file = room.join("marsh/journal.ndjson");
    let text = fs::read_to_string(&file).unwrap();
    let at = text.find("\"kind\"").unwrap();
    let mut bytes = text.into_bytes();
    bytes[at + 1] = b'X';
    fs::write(&file, bytes).unwrap();
    room.refuses("place marsh move post --at 0,5", 3, &["line 1"]);
}

#[test]
fn a_torn_last_line_is_dropped_and_said() {
    let room = Room::with_post();
    let file = room.join("marsh/journal.ndjson");
    let mut bytes = fs::read(&file).unwrap();
    bytes.extend(b"{\"n\":9,\"at\":\"20");
    fs::write(&file, bytes).unwrap();
    let done = room.run("place marsh move post --at 0,5").fine();
    assert!(done.err.contains("cut short"), "{done:?}");
}

#[test]
fn a_backdrop_that_is_none_does_not_come_in() {
    let room = Room::with_marsh();
    let whole = fs::read(room.join("backdrop.png")).unwrap();
    fs::write(room.join("short.png"), &whole[..whole.len() - 40]).unwrap();
    fs::write(room.join("letter.jpg"), "Dear sitter,").unwrap();
    room.refuses("read marsh short.png", 3, &["short.png"]);
    room.refuses("read marsh letter.jpg", 3, &["text"]);
    room.refuses("read marsh nowhere.jpg", 3, &["nowhere.jpg"]);
    // As good as the photograph is: with a number that is none, it does not come in either.
    room.refuses("read marsh backdrop.png --pitch 120", 1, &["-89 to 89"]);
}

/// Whether this process may do whatever it likes with files.
fn is_root() -> bool {
    fs::read_to_string("/proc/self/status").is_ok_and(|s| s.lines().any(|l| l.starts_with("Uid:\t0\t")))
}

#[test]
fn a_folder_that_may_not_be_written_is_left_alone() {
    let room = Room::with_post();
    if is_root() {
        // Root may write anywhere but where the file system itself refuses.
        if mount(&["--bind"], &room.join("marsh"), &room.join("marsh")).is_none() {
            println!("skipped: a read-only folder (no mount here, and root may write everywhere)");
            return;
        }
        let again = Command::new("mount").args(["-o", "remount,ro,bind"]).arg(room.join("marsh")).status();
        let _held = Mounted(room.join("marsh"));
        assert!(again.is_ok_and(|s| s.success()));
        only_looks(&room);
    } else {
        let marsh = room.join("marsh");
        let old = fs::metadata(&marsh).unwrap().permissions();
        let mut locked = old.clone();
        locked.set_readonly(true);
        for path in [marsh.clone(), marsh.join("journal.ndjson"), marsh.join(".lock")] {
            fs::set_permissions(path, locked.clone()).unwrap();
        }
        only_looks(&room);
        fs::set_permissions(marsh, old).unwrap();
    }
}

fn only_looks(room: &Room) {
    room.refuses("place marsh move post --at 0,5", 3, &["marsh"]);
    room.run("place marsh list").fine();
    room.run("check marsh").fine();
    room.run("render marsh -o here.png").fine();
}

struct Mounted(std::path::PathBuf);

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

/// Mounts something where this machine lets us.
fn mount(how: &[&str], what: &Path, at: &Path) -> Option<()> {
    let done = Command::new("mount").args(how).arg(what).arg(at).stderr(Stdio::null()).status().ok()?;
    done.success().then_some(())
}

#[test]
fn a_full_disk_changes_nothing() {
    if !is_root() {
        println!("skipped: a full disk (not root, so no small disk can be mounted)");
        return;
    }
    let room = Room::with_post();
    let disk = room.join("disk");
    fs::create_dir(&disk).unwrap();
    if mount(&["-t", "tmpfs", "-o", "size=1m"], Path::new("none"), &disk).is_none() {
        println!("skipped: a full disk (no small disk can be mounted here)");
        return;
    }
    let _held = Mounted(disk.clone());
    let words = ["new", "disk/marsh", "--size", "1200x800"].map(String::from);
    room.command(words).fine();
    let marsh = disk.join("marsh");
    let state =
        || (fs::read(marsh.join("picture.json")).unwrap(), fs::read(marsh.join("journal.ndjson")).unwrap());
    // All that is left of the disk, to the last page.
    let fill = || {
        use std::io::Write as _;
        let mut file = fs::File::create(disk.join("filler")).unwrap();
        while file.write_all(&[7; 4096]).is_ok() {}
    };
    let before = state();
    room.run("render disk/marsh -o disk/big.tif --packing none").refused(3, &["big.tif", "room"]);
    assert_eq!(names(&disk), ["marsh"]);
    fill();
    room.run("read disk/marsh backdrop.png").refused(3, &["room"]);
    room.run("place disk/marsh add post --shot post.png --matte post-matte.png --at 0,4")
        .refused(3, &["room"]);
    assert_eq!(before, state());
    assert_eq!(names(&marsh.join("sources")), Vec::<String>::new());
    fs::remove_file(disk.join("filler")).unwrap();
    room.run("place disk/marsh add post --shot post.png --matte post-matte.png --at 0,4").fine();
}

#[test]
fn a_second_writer_is_told_to_wait() {
    let room = Room::with_post();
    // The lock as another process would hold it.
    let held = fs::OpenOptions::new().read(true).write(true).open(room.join("marsh/.lock")).unwrap();
    held.lock().unwrap();
    room.refuses("place marsh move post --at 0,5", 4, &["open elsewhere"]);
    room.refuses("undo marsh", 4, &["open elsewhere"]);
    // Looking is free.
    room.run("place marsh list").fine();
    room.run("check marsh").fine();
    room.run("render marsh -o a.png").fine();
    held.unlock().unwrap();
    room.run("place marsh move post --at 0,5").fine();
}

#[test]
fn a_reader_that_goes_away_is_no_trouble() {
    let room = Room::with_post();
    for _ in 0..60 {
        room.run("place marsh move post --by 0,0.01").fine();
    }
    let mut child = Command::new(binary())
        .args(["log", "marsh"])
        .current_dir(room.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    let done = child.wait_with_output().unwrap();
    assert_eq!((done.status.code(), String::from_utf8(done.stderr).unwrap()), (Some(0), String::new()));
}
