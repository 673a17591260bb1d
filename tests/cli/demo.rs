//! `demo`.

use crate::support::{Room, names, picture};

#[test]
fn the_demo_is_made_checked_and_rendered() {
    let room = Room::new();
    let said = room.run("demo --width 240").fine().out;
    assert!(said.contains("lantern-marsh"), "{said}");
    let out = names(&room.join("lantern-marsh/out"));
    assert_eq!(out, ["Lantern marsh.tif"]);
    let made = picture(&room.join("lantern-marsh/out/Lantern marsh.tif"));
    assert_eq!((made.size().width(), made.size().height()), (240, 160));
    room.run("check lantern-marsh").fine();
    let pieces = room.run("place lantern-marsh list --json").fine().json();
    assert!(pieces["pieces"].as_array().unwrap().len() > 20);
    // It is a picture like any other.
    room.run("place lantern-marsh move sitter --by 0.1,0").fine();
    room.run("demo").refused(3, &["lantern-marsh"]);
}
