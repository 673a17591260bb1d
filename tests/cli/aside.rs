//! `open`: what takes long is done aside of other decisions.

use crate::served::{Line, Studio};
use crate::support::Room;
use serde_json::{Value, json};
use std::path::Path;

/// A studio with a window, and a shot that is being cut out in it: the number of its message.
fn cutting(room: &Room) -> (Studio, Line, u32) {
    let studio = Studio::open(&room.join("marsh"));
    let mut line = studio.own_line();
    line.told("sheet");
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/shots");
    let shot = std::fs::read(sheets.join("white.jpg")).unwrap();
    let handed: Value = serde_json::from_str(&studio.hand_in("white.jpg", &shot).body).unwrap();
    let n =
        say(&mut line, json!(["place", "add", "bird", "--shot", {"file": handed["file"]}, "--at", "0,3"]));
    (studio, line, n)
}

fn say(line: &mut Line, words: Value) -> u32 {
    line.send(&json!({"ask": "do", "deed": {"deed": "say", "words": words}}))
}

/// The same, in which the post was moved meanwhile; and the number of that message.
fn moved_meanwhile(room: &Room) -> (Studio, Line, u32, u32) {
    let (studio, mut line, shot) = cutting(room);
    assert_eq!(line.told("going")["n"], shot);
    let far = say(&mut line, json!(["place", "move", "post", "--at", "0.3,5"]));
    assert_eq!(line.answer(far)["tell"], "done");
    (studio, line, shot, far)
}

/// The pieces of the picture on the disk.
fn pieces(room: &Room) -> Vec<Value> {
    room.run("place marsh list --json").fine().json()["pieces"].as_array().unwrap().clone()
}

/// The window is told how far it is.
#[test]
fn a_window_hears_how_far_a_cut_is() {
    let room = Room::with_post();
    let (_studio, mut line, n) = cutting(&room);
    let mut shares = Vec::new();
    while shares.len() < 3 {
        let told = line.told("going");
        assert_eq!(told["n"], n);
        shares.push(told["share"].as_f64().unwrap());
    }
    assert!(shares.is_sorted() && shares[0] > 0.0 && shares[2] < 1.0, "{shares:?}");
    assert_eq!(line.answer(n)["tell"], "done");
}

/// What is decided while a shot comes in is done at once, and taken back at once; the shot comes in after it.
#[test]
fn decisions_do_not_wait_for_a_shot_that_comes_in() {
    let room = Room::with_post();
    let (_studio, mut line, shot) = cutting(&room);
    assert_eq!(line.told("going")["n"], shot);
    let nudge = say(&mut line, json!(["place", "nudge", "post", "e=+0.5"]));
    let far = say(&mut line, json!(["place", "move", "post", "--at", "0.3,5"]));
    let undo = say(&mut line, json!(["undo", "1"]));
    for n in [nudge, far, undo] {
        // The next one that is done, or refused, is this one: not the shot.
        let told = loop {
            let told = line.next();
            if told["tell"] == "done" || told["tell"] == "refused" {
                break told;
            }
        };
        assert_eq!((&told["n"], &told["tell"]), (&json!(n), &json!("done")), "{told}");
    }
    assert_eq!(pieces(&room).len(), 1);
    assert_eq!(line.answer(shot)["tell"], "done");
    let now = pieces(&room);
    assert_eq!(now.len(), 2);
    let post = now.iter().find(|p| p["name"] == "post").unwrap();
    assert_eq!((&post["light"]["nudge_stops"], &post["z_m"]), (&json!(0.5), &json!(4.0)), "{post}");
}

/// Killed while a shot comes in, it has what was decided meanwhile.
#[test]
fn what_is_decided_while_a_shot_comes_in_outlasts_a_kill() {
    let room = Room::with_post();
    let (mut studio, ..) = moved_meanwhile(&room);
    studio.kill();
    let now = pieces(&room);
    assert_eq!((now.len(), &now[0]["z_m"]), (1, &json!(5.0)), "{now:?}");
}

/// Called off, nothing comes in, and what was decided meanwhile stays.
#[test]
fn a_shot_is_called_off_alone() {
    let room = Room::with_post();
    let (_studio, mut line, shot, far) = moved_meanwhile(&room);
    // Another one than this.
    line.send(&json!({"ask": "call_off", "only": far}));
    line.send(&json!({"ask": "call_off", "only": shot}));
    let told = line.answer(shot);
    assert_eq!(told["tell"], "refused", "{told}");
    let now = pieces(&room);
    assert_eq!((now.len(), &now[0]["z_m"]), (1, &json!(5.0)), "{now:?}");
}

/// What the hand did last is what was cut anew: taking back waits for it.
#[test]
fn taking_back_waits_for_what_is_cut_anew() {
    let room = Room::with_post();
    let (_studio, mut line, shot) = cutting(&room);
    assert_eq!(line.answer(shot)["tell"], "done");
    let before = room.run("touch-up marsh list bird --json").fine().json();
    let again = say(&mut line, json!(["touch-up", "again", "bird", "--quick"]));
    let undo = say(&mut line, json!(["undo", "1"]));
    let told = line.answer(again);
    assert_eq!(told["tell"], "done", "{told}");
    let told = line.answer(undo);
    assert!(told["says"].as_str().is_some_and(|s| s.contains("Taken back")), "{told}");
    assert_eq!(pieces(&room).len(), 2, "the piece was taken back, not the cut");
    assert_eq!(room.run("touch-up marsh list bird --json").fine().json(), before);
}
