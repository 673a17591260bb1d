//! Facts of cut-outs and set-ups that are read from their shots.

use crate::cut::shot;
use crate::support::{Room, form_of, write};
use files::Channels;
use files::encode::Codes;
use std::path::Path;

#[test]
fn facts_are_taken_over_for_a_sequence() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    for name in ["crane-1", "crane-2", "crane-3", "other"] {
        let codes: Vec<u8> =
            (0..40 * 40).flat_map(|i| [90, name.len() as u8, 9, u8::from(i % 40 > 9) * 255]).collect();
        let mut codes = codes;
        codes[0] = name.bytes().last().unwrap();
        let path = room.join(&format!("{name}.png"));
        write(&path, (40, 40), Channels::Rgba, form_of(Path::new("a.png")), Codes::U8(&codes));
        room.run(&format!("place p view --shot {name}.png")).fine();
    }
    room.run("place p set-up studio --cct 5500K").fine();
    room.run(
        "place p facts crane-1 --set-up studio --per-metre 300 --bearing 45 --shot-defocus 2 --never-mirror",
    )
    .fine();
    room.run("place p facts crane-* --like crane-1 --noise 0.01").fine();
    for name in ["crane-1", "crane-2", "crane-3"] {
        let told = room.run(&format!("place p facts {name} --json")).fine().json();
        assert_eq!(told["per_metre_px"], 300.0, "{name}");
        assert_eq!((told["defocus_px"].as_f64(), told["noise"].as_f64()), (Some(2.0), Some(0.01)));
        assert_eq!((told["set_up"].as_str(), told["may_mirror"].as_bool()), (Some("studio"), Some(false)));
    }
    // Its bearing is each one's own.
    assert!(room.run("place p facts crane-2 --json").fine().json()["bearing_deg"].is_null());
    assert!(room.run("place p facts other --json").fine().json()["per_metre_px"].is_null());
    room.run("place p facts heron-* --like crane-1").refused(1, &["heron-*"]);
    room.run("place p facts crane-* --like nobody").refused(1, &["nobody"]);
}

#[test]
fn white_is_read_from_paper_and_from_a_grey_card() {
    let room = Room::new();
    room.run("new p --size 60x40 --primaries srgb").fine();
    // Cream paper of 0.85, 0.80, 0.68 in the middle of the light that falls off to the right.
    shot(&room, "post.png");
    room.run("place p view --shot post.png --height 1m").fine();
    room.run("place p set-up studio --paper post").fine();
    let set_ups = std::fs::read_to_string(room.join("p/picture.json")).unwrap();
    let picture: serde_json::Value = serde_json::from_str(&set_ups).unwrap();
    let set_up = picture["set_ups"].as_object().unwrap().values().next().unwrap();
    let readings = set_up["white_readings"].as_array().unwrap();
    assert_eq!(readings.len(), 2, "{set_up}");
    assert_eq!(readings[0]["height"], 0.0);
    assert!((readings[1]["height"].as_f64().unwrap() - 1.0).abs() < 0.01);
    // At the post's top, 110 of 240 columns in, 155 rows above the shadow's middle: the light the shot was made with.
    let light = (1.0 - 0.55 * 110.0 / 240.0) * (1.0 - 0.4 * units::math::exp(-2.0 * 155.0 / 40.0));
    for (found, paper) in readings[1]["reading"].as_array().unwrap().iter().zip([0.85, 0.80, 0.68]) {
        let wanted = paper * light / 0.85;
        assert!((found.as_f64().unwrap() / wanted - 1.0).abs() < 0.03, "{found} for {wanted}");
    }
    // The same place taken for a grey card: of a light that gives 18 %.
    room.run("place p set-up studio --grey-card post:30,20").fine();
    let picture: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(room.join("p/picture.json")).unwrap()).unwrap();
    let set_up = picture["set_ups"].as_object().unwrap().values().next().unwrap();
    let read = set_up["white_readings"][0]["reading"][0].as_f64().unwrap();
    let wanted = 0.85 * (1.0 - 0.55 * 30.5 / 240.0) / 0.18;
    assert!((read / wanted - 1.0).abs() < 0.02, "{read} for {wanted}");
    room.run("place p set-up studio --grey-card post:900,20").refused(1, &["outside"]);
    room.run("place p set-up studio --paper nobody").refused(1, &["nobody"]);
}
