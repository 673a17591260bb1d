//! How tall things are that were shot in a set-up where one thing's height is known.

use crate::support::{Room, form_of, write};
use files::Channels;
use files::encode::Codes;
use std::path::Path;
use units::math::{cos, radians, sin};

const SIZE: (u32, u32) = (400, 700);
const FOCAL: f64 = 1100.0;

/// A post of this height, 5 m from a camera 1.4 m above the floor, as a pinhole shows it (docs/model.md, *Coordinates*).
fn post(room: &Room, name: &str, pitch: f64, height: f64) {
    let (c, s) = (cos(radians(pitch)), sin(radians(pitch)));
    let row = |y: f64| 350.0 - FOCAL * ((y - 1.4) * c + 5.0 * s) / (5.0 * c - (y - 1.4) * s);
    let (top, foot) = (row(height), row(0.0));
    let codes: Vec<u8> = (0..SIZE.1)
        .flat_map(|y| {
            let covered = (foot.min(f64::from(y) + 1.0) - top.max(f64::from(y))).clamp(0.0, 1.0);
            (0..SIZE.0).flat_map(move |x| {
                let a = if (190..210).contains(&x) { (255.0 * covered).round() as u8 } else { 0 };
                [90, 60, 40, a]
            })
        })
        .collect();
    write(&room.join(name), SIZE, Channels::Rgba, form_of(Path::new(name)), Codes::U8(&codes));
}

#[test]
fn one_known_height_tells_the_others() {
    for (pitch, words) in [(0.0, ""), (7.0, " --shot-pitch 7 --focal-px 1100")] {
        let room = Room::new();
        room.run("new p --size 60x40").fine();
        room.run("place p set-up studio --cct 5500K").fine();
        for (name, height) in [("card", 1.0), ("stool", 0.45), ("reed", 1.83)] {
            post(&room, &format!("{name}.png"), pitch, height);
            room.run(&format!("place p view --shot {name}.png --set-up studio")).fine();
        }
        let before = room.run("place p facts reed --json").fine().json();
        assert_eq!(before["height_from"], "assumed");
        room.run(&format!("place p set-up studio --known card=1m{words}")).fine();
        for (name, height) in [("card", 1.0), ("stool", 0.45), ("reed", 1.83)] {
            let told = room.run(&format!("place p facts {name} --json")).fine().json();
            let seen = told["seen_height_m"].as_f64().unwrap();
            // To a pixel in 220 to the metre.
            assert!((seen - height).abs() < 0.005, "{name}, {pitch}: {seen}");
            assert_eq!(told["height_from"], "set-up");
        }
        // And it stands in the picture as tall.
        room.run("place p add Reed --cut-out reed --at 0,5").fine();
        let card = room.run("place p list --json").fine().json();
        let stands = card["pieces"][0]["height_m"].as_f64().unwrap();
        assert!((stands - 1.83).abs() < 0.005, "{stands}");
        // Undone, everything is as it was.
        room.run("undo p").fine();
        room.run("undo p").fine();
        assert_eq!(room.run("place p facts reed --json").fine().json()["height_from"], "assumed");
    }
}

/// A jar whose rims lie level: of them the far side is seen above its top, the near one below its foot.
fn jar(room: &Room, name: &str, height: f64, radius: f64) {
    let spot = |x: f64, y: f64, z: f64| (200.0 + FOCAL * x / z, 350.0 - FOCAL * (y - 1.4) / z);
    // Where it is at its left and right, by rows.
    let mut across = vec![(f64::INFINITY, f64::NEG_INFINITY); SIZE.1 as usize];
    for i in 0..200_000 {
        let turn = f64::from(i % 2000) / 2000.0 * core::f64::consts::TAU;
        let y = height * f64::from(i / 2000) / 99.0;
        let (u, v) = spot(radius * sin(turn), y, 5.0 + radius * cos(turn));
        let row = &mut across[v as usize];
        *row = (row.0.min(u), row.1.max(u));
    }
    let codes: Vec<u8> = (0..SIZE.1)
        .flat_map(|y| {
            let (left, right) = across[y as usize];
            (0..SIZE.0).flat_map(move |x| {
                let inside = (left..right).contains(&(f64::from(x) + 0.5));
                [90, 60, 40, if inside { 255 } else { 0 }]
            })
        })
        .collect();
    write(&room.join(name), SIZE, Channels::Rgba, form_of(Path::new(name)), Codes::U8(&codes));
}

#[test]
fn the_far_rim_of_a_jar_is_not_taken_for_its_top() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    room.run("place p set-up studio --cct 5500K").fine();
    post(&room, "card.png", 0.0, 1.0);
    jar(&room, "jar.png", 0.4, 0.22);
    jar(&room, "known.png", 1.0, 0.2);
    for name in ["card", "jar", "known"] {
        room.run(&format!("place p view --shot {name}.png --set-up studio")).fine();
    }
    // By its topmost row the jar would be 5 % higher.
    for known in ["card", "known"] {
        room.run(&format!("place p set-up studio --known {known}=1m")).fine();
        let told = room.run("place p facts jar --json").fine().json();
        let seen = told["seen_height_m"].as_f64().unwrap();
        assert!((seen / 0.4 - 1.0).abs() < 0.015, "{known}: {seen}");
    }
}

/// Path-traced set-ups of known heights, before a level camera and one that looks down (tests/sheets).
#[test]
fn heights_of_traced_set_ups_are_right_to_two_per_cent() {
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets");
    let facts: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(sheets.join("facts.json")).unwrap()).unwrap();
    for (set_up, words) in [("level", ""), ("down", " --shot-pitch 6 --focal-px 2916.67")] {
        let room = Room::new();
        room.run("new p --size 60x40").fine();
        room.run("place p set-up studio --cct 5500K").fine();
        let shots: Vec<_> =
            facts["shots"].as_array().unwrap().iter().filter(|s| s["setup"] == set_up).collect();
        assert!(shots.len() >= 4, "{set_up}: {} shots", shots.len());
        let known = facts["setups"][set_up]["known"].as_str().unwrap();
        for shot in &shots {
            let file = |key: &str| sheets.join(shot[key].as_str().unwrap()).display().to_string();
            let words = [
                "place",
                "p",
                "view",
                "--set-up",
                "studio",
                "--shot",
                &file("file"),
                "--matte",
                &file("matte"),
            ];
            room.command(words.map(str::to_owned)).fine();
        }
        let words = format!("place p set-up studio --known {known}=1m{words}");
        room.command(words.split(' ').map(str::to_owned)).fine();
        for shot in &shots {
            let (name, height) = (shot["name"].as_str().unwrap(), shot["height_m"].as_f64().unwrap());
            let told = room.command(["place", "p", "facts", name, "--json"].map(str::to_owned)).fine().json();
            let seen = told["seen_height_m"].as_f64().unwrap();
            assert!((seen / height - 1.0).abs() < 0.02, "{name}: {seen} for {height}");
        }
    }
}

#[test]
fn what_cannot_be_known_is_refused() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    post(&room, "card.png", 7.0, 1.0);
    room.run("place p view --shot card.png").fine();
    let refused = |words: &str, code, said: &[&str]| {
        room.run(&format!("place p set-up studio {words}")).refused(code, said);
    };
    refused("--known card=1m --shot-pitch 7", 2, &["not level", "--focal-px"]);
    refused("--focal-px 900", 2, &["known height", "--known"]);
    refused("--known nobody=1m", 1, &["nobody"]);
    refused("--known card=0m", 2, &["more than 0"]);
    refused("--known card", 2, &["as post=1m"]);
}
