//! `demo`.

use crate::support::{Room, names, picture};
use std::path::Path;

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

/// Paper with a glow of the cloak on it, a post in a narrow frame, a pale crane with its shadow: nothing of the paper is taken for the thing's,
/// up to the frame.
#[test]
fn of_the_demos_shots_nothing_but_the_thing_is_cut_out() {
    let room = Room::new();
    let parts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo/parts/shots");
    for name in ["sitter", "post_b", "crane_stand_000"] {
        std::fs::copy(parts.join(format!("{name}.jpg")), room.join("shot.jpg")).unwrap();
        let told = room.run("cut shot.jpg --matte m.png --quick --over --json").fine().json();
        assert_eq!(told["doubts"], serde_json::json!([]), "{name}");
    }
}
