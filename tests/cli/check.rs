//! `check`.

use crate::support::{Room, names};
use std::fs;

#[test]
fn a_sound_picture_has_no_snags() {
    let room = Room::with_post();
    let found = room.run("check marsh").fine();
    assert!(found.out.contains("No snags."), "{found:?}");
    let found = room.run("check marsh --json").fine().json();
    assert_eq!((found["pieces"].as_u64(), found["sources"].as_u64()), (Some(1), Some(3)));
}

#[test]
fn missing_and_changed_originals_are_snags() {
    let room = Room::with_post();
    let sources = room.join("marsh/sources");
    let file = |part: &str| sources.join(names(&sources).iter().find(|n| n.contains(part)).unwrap());
    let matte = file("post-matte");
    let mut bytes = fs::read(&matte).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    fs::write(&matte, bytes).unwrap();
    fs::remove_file(file("backdrop")).unwrap();
    fs::write(sources.join("stray.png"), "who am I").unwrap();
    let found = room.run("check marsh");
    assert_eq!(found.code, 1, "{found:?}");
    for said in ["post-matte.png is not what it was", "backdrop.png is missing", "sources/stray.png"] {
        assert!(found.out.contains(said), "{said}: {found:?}");
    }
    let found = room.run("check marsh --json");
    assert_eq!(found.code, 1);
    assert!(found.json()["snags"].as_array().unwrap().len() >= 2, "{found:?}");
}

#[test]
fn pieces_behind_the_camera_and_takes_that_do_not_fit_are_snags() {
    let room = Room::with_post();
    room.run("take marsh add dawn").fine();
    room.run("take marsh lay dawn place move post --at 1,3").fine();
    room.run("place marsh add far --cut-out post --at 0,0.5").fine();
    // The camera, tilted straight up as good as, now has the near one behind it.
    room.run("read marsh --pitch -70").fine();
    let found = room.run("check marsh");
    assert_eq!(found.code, 1, "{found:?}");
    assert!(found.out.contains("far") && found.out.contains("behind the camera"), "{found:?}");
    room.run("read marsh --pitch 0").fine();
    room.run("check marsh").fine();
    room.run("place marsh remove post").fine();
    let found = room.run("check marsh");
    assert_eq!(found.code, 1, "{found:?}");
    assert!(found.out.contains("no longer fits") && found.out.contains("dawn"), "{found:?}");
}

/// It may well be meant: an artist paints on from the edge.
#[test]
fn a_window_beyond_the_photograph_is_remarked() {
    let room = Room::with_post();
    let told = room.run("read marsh --window -20,0,260").fine();
    let said = "by 20 px on the left, by 13 px at the bottom";
    assert!(told.out.contains(said), "{told:?}");
    let found = room.run("check marsh").fine();
    assert!(found.out.contains(said), "{found:?}");
    room.run("read marsh --window 0,0,240").fine();
    assert!(!room.run("check marsh").fine().out.contains("mirror image"));
}

/// A focal length that was mistyped.
#[test]
fn a_lens_that_sees_more_than_lenses_do_is_remarked() {
    let room = Room::with_post();
    room.run("read marsh --focal 1 --sensor 36").fine();
    let found = room.run("check marsh").fine();
    assert!(found.out.contains("174° from side to side"), "{found:?}");
    room.run("read marsh --focal 10 --sensor 36").fine();
    assert!(!room.run("check marsh").fine().out.contains("side to side"));
}

/// What looks at a picture answers 1 where it finds a snag; what changes it answers 0 once the change is accepted.
#[test]
fn an_accepted_edit_is_fine_whatever_its_card_tells() {
    let room = Room::with_post();
    room.run("place marsh add far --cut-out post --at 0,0.5").fine();
    // The camera, tilted straight up as good as, now has the near one behind it.
    room.run("read marsh --pitch -70").fine();
    let nudged = room.run("place marsh nudge far light=+0.3").fine();
    assert!(nudged.out.contains("behind the camera"), "{nudged:?}");
    for words in ["place marsh list", "check marsh", "render marsh -o a.png"] {
        assert_eq!(room.run(words).code, 1, "{words}");
    }
    assert!(room.join("a.png").exists());
}
