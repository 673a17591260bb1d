//! Words: help, what is not understood, exit codes, JSON.

use crate::support::Room;
use std::fs;

#[test]
fn every_command_explains_itself() {
    let room = Room::new();
    let help = room.run("--help").fine().out;
    for command in [
        "new", "read", "cut", "place", "light", "tone", "take", "render", "edges", "check", "undo", "redo",
        "log", "demo", "help",
    ] {
        assert!(help.contains(command), "{command}");
        let own = room.run(&format!("help {command}")).fine().out;
        assert!(own.contains("Usage: setpiece") && own.len() > 100, "{own}");
        assert!(room.run(&format!("{command} --help")).fine().out.contains("Usage"));
    }
    assert!(room.run("help place nudge").fine().out.contains("size=+6%"));
    room.run("help plcae").refused(2, &["did you mean place?"]);
    assert!(room.run("--version").fine().out.starts_with("setpiece "));
}

#[test]
fn exit_codes_are_one_table() {
    let room = Room::new();
    let table = room.run("help exit-codes").fine().out;
    for code in ["0 ", "1 ", "2 ", "3 ", "4 ", "130 "] {
        assert!(table.lines().any(|l| l.trim_start().starts_with(code)), "{code}: {table}");
    }
}

#[test]
fn what_is_not_understood_says_what_would_be() {
    let room = Room::new();
    room.run("plase marsh list").refused(2, &["place"]);
    room.run("render marsh --widht 30").refused(2, &["--widht", "--width"]);
    room.run("render").refused(2, &["FOLDER", "setpiece render --help"]);
    room.run("render marsh --depth 12").refused(2, &["\"12\"", "8, 16"]);
    room.run("place marsh").refused(2, &["what to do"]);
    room.run("new a --size 10x10 --size 20x20").refused(2, &["--size"]);
    room.run("render marsh -o").refused(2, &["--out", "value"]);
    let bare = room.run("--json");
    assert!(bare.code == 2 && bare.err.contains("what to do"), "{bare:?}");
}

#[test]
fn errors_are_json_too() {
    let room = Room::new();
    for words in ["check nowhere --json", "render nowhere --depth 12 --json"] {
        let ran = room.run(words);
        let said: serde_json::Value = serde_json::from_str(&ran.err).unwrap();
        assert_eq!(said["error"]["exit_code"].as_i64(), Some(i64::from(ran.code)), "{said}");
        for field in ["what", "place", "remedy"] {
            assert!(!said["error"][field].as_str().unwrap().is_empty(), "{field}: {said}");
        }
    }
}

#[test]
fn completions_and_manual_pages_come_from_the_table() {
    let room = Room::new();
    for shell in ["bash", "zsh", "fish"] {
        assert!(room.run(&format!("completions {shell}")).fine().out.contains("camera-height"), "{shell}");
    }
    fs::create_dir(room.join("man")).unwrap();
    room.run("man man").fine();
    let page = fs::read_to_string(room.join("man/setpiece-read.1")).unwrap();
    assert!(page.contains("camera\\-height"), "{page}");
    room.run("man nowhere").refused(3, &["nowhere"]);
}
