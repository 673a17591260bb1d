//! `dress`: rules that fill ground with pieces, on the command line.

use crate::support::Room;
use serde_json::Value;

fn list(room: &Room) -> Value {
    room.run("dress marsh list --json").fine().json()["dressings"].clone()
}

/// Numbers and marks of what stands.
fn stands(room: &Room) -> Vec<(u64, [f64; 3])> {
    let scene: Value =
        serde_json::from_str(&std::fs::read_to_string(room.join("marsh/picture.json")).unwrap()).unwrap();
    let pieces = scene["pieces"].as_object().unwrap();
    let mark = |p: &Value, axis: &str| p["mark"][axis].as_f64().unwrap_or_default();
    pieces.iter().map(|(id, p)| (id.parse().unwrap(), [mark(p, "x"), mark(p, "y"), mark(p, "z")])).collect()
}

const LAY: &str = "dress marsh lay Row --of post --outline -3,3_3,3_4,12_-4,12 --drift 0.7m";

#[test]
fn a_dressing_is_laid_changed_taken_back_and_struck() {
    let room = Room::with_post();
    let before = stands(&room);
    let told = room.run(LAY).fine();
    assert!(told.out.starts_with("Row laid, "), "{}", told.out);
    let laid = list(&room)[0].clone();
    let many = laid["pieces"].as_array().unwrap().len();
    assert!(
        many > 10 && laid["arrangement"]["way"] == "drift" && laid["arrangement"]["spacing_m"] == 0.7,
        "{laid}"
    );
    assert!((laid["ground_m2"].as_f64().unwrap() - 63.0).abs() < 2.0, "{laid}");
    assert_eq!(stands(&room).len(), before.len() + many);

    // What a hand does stays, and so does the gap that it leaves.
    let first = laid["pieces"][0].as_u64().unwrap();
    let (second, third) = (laid["pieces"][1].as_u64().unwrap(), laid["pieces"][2].as_u64().unwrap());
    room.run(&format!("place marsh move #{first} --by 0.1,0.2")).fine();
    room.run(&format!("place marsh nudge #{second} e=+0.5")).fine();
    room.run(&format!("place marsh remove #{third}")).fine();
    let by_hand = stands(&room);
    let told = room.run("dress marsh change Row --drift 0.5m --leans -2..2").fine();
    assert!(told.out.contains("Row, 0.5 m apart, leaning -2° to 2°, "), "{}", told.out);
    assert!(told.out.contains("3 pieces stayed as the hand left it"), "{}", told.out);
    let after = stands(&room);
    assert!(after.len() > by_hand.len());
    // Nothing that stood has moved, and what was removed has not come again.
    assert!(by_hand.iter().all(|was| after.contains(was)), "{by_hand:?} {after:?}");
    let card = room.run(&format!("place marsh list #{second} --json")).fine().json()["pieces"][0].clone();
    assert_eq!(card["light"]["nudge_stops"], 0.5);

    room.run("undo marsh").fine();
    assert_eq!(stands(&room), by_hand);
    room.run("redo marsh").fine();
    assert_eq!(stands(&room), after);
    room.run(&format!("dress marsh release #{first}")).fine();
    let told = room.run("dress marsh strike Row").fine();
    assert!(told.out.contains("Row is no longer a dressing"), "{}", told.out);
    assert_eq!(list(&room).as_array().unwrap().len(), 0);
    let left = stands(&room);
    assert_eq!(left.len(), before.len() + 1, "what was let go stays");
    assert!(left.iter().any(|(id, _)| *id == first));
}

#[test]
fn a_dressing_in_a_take_is_the_takes_alone() {
    let room = Room::with_post();
    room.run("take marsh add dense").fine();
    let before = stands(&room);
    room.run("take marsh lay dense dress lay Row --of post --band -2,4_2,9 --width 1m --ranks 0.6m,0.5m,20")
        .fine();
    assert_eq!(stands(&room), before);
    let inside = room.run("dress marsh list --take dense --json").fine().json()["dressings"][0].clone();
    assert!(inside["pieces"].as_array().unwrap().len() > 5, "{inside}");
    assert_eq!(list(&room).as_array().unwrap().len(), 0);
}

#[test]
fn so_many_are_laid_as_are_asked_for() {
    let room = Room::with_post();
    room.run("dress marsh lay Row --of post --outline -1.5,3_1.5,3_4,12_-4,12 --pieces 40").fine();
    assert_eq!(list(&room)[0]["pieces"].as_array().unwrap().len(), 40);
    let told = room.run("dress marsh change Row --drift 3m").fine();
    assert!(told.out.contains("found room, of 40 that were asked for"), "{}", told.out);
}

#[test]
fn ground_may_be_drawn_in_the_picture() {
    let room = Room::with_post();
    // The picture is 120 x 80 px; its camera is level, so that the horizon lies in its middle.
    room.run("dress marsh lay Row --of post --seen 10,60_110,60_110,78_10,78 --pieces 12").fine();
    let laid = list(&room)[0].clone();
    let mine: Vec<u64> = laid["pieces"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect();
    let height = {
        let text = std::fs::read_to_string(room.join("marsh/picture.json")).unwrap();
        let scene: Value = serde_json::from_str(&text).unwrap();
        scene["stage"]["camera"]["height"].as_f64().unwrap()
    };
    for (_, [x, _, z]) in stands(&room).into_iter().filter(|(id, _)| mine.contains(id)) {
        // F = 120 px: rows and columns where the feet are seen.
        let (u, v) = (60.0 + 120.0 * x / z, 40.0 + 120.0 * height / z);
        assert!((9.9..=110.1).contains(&u) && (59.9..=78.1).contains(&v), "{x} {z}: {u} {v}");
    }
    room.refuses(
        "dress marsh lay Sky --of post --seen 10,10_110,10_60,30 ",
        1,
        &["no ground to stand on", "below the horizon"],
    );
}

#[test]
fn what_is_not_said_or_not_there_is_told() {
    let room = Room::with_post();
    for (line, code, says) in [
        ("dress marsh lay Row --outline 0,3_1,3_1,4 ", 2, "does not say what to lay"),
        ("dress marsh lay Row --of post", 2, "does not say where to lay it"),
        ("dress marsh lay Row --of reed --outline 0,3_1,3_1,4 ", 1, "reed"),
        ("dress marsh lay Row --of post --band 0,3_1,3 ", 2, "does not say how wide"),
        (
            "dress marsh lay Row --of post --around post --outline 0,3_1,3_1,4 --width 1m",
            2,
            "said in several ways",
        ),
        (
            "dress marsh lay Row --of post --outline 0,3_1,3_1,4 --heights 120%..80%",
            1,
            "the least is more than the most",
        ),
        ("dress marsh lay Row --of post=0 --outline 0,3_1,3_1,4 ", 2, "how often it is taken"),
        ("dress marsh change Row --pieces 3", 1, "no dressing called Row"),
        ("dress marsh release post", 1, "no dressing laid it"),
    ] {
        room.refuses(line, code, &[says]);
    }
    room.run(LAY).fine();
    room.refuses(LAY, 1, &["there is a dressing called Row already"]);
}

#[test]
fn what_stands_is_taken_as_a_pattern() {
    let room = Room::with_post();
    for (i, at) in ["-1,5", "-0.3,5.4", "0.4,4.9", "1,5.6"].iter().enumerate() {
        room.run(&format!("place marsh add p{i} --cut-out post --at {at}")).fine();
    }
    let before = stands(&room);
    room.run("dress marsh like More p* --drift 0.4m").fine();
    let after = stands(&room);
    assert!(after.len() > before.len());
    assert!(before.iter().all(|was| after.contains(was)));
    // Elsewhere they are the pattern alone.
    room.run("dress marsh like Far p* --outline -2,9_2,9_2,12_-2,12 ").fine();
    let far = list(&room)[1].clone();
    assert!(far["pieces"].as_array().unwrap().iter().all(|n| !before.iter().any(|(id, _)| n == id)), "{far}");
}
