//! `light dusk`: the daylight taken down while the lamps shine on.

use crate::support::{Room, samples8};
use units::math;

/// Luminance of an sRGB sample as linear light.
fn linear(code: u8) -> f64 {
    let v = f64::from(code) / 255.0;
    if v <= 0.04045 { v / 12.92 } else { math::pow((v + 0.055) / 1.055, 2.4) }
}

/// The mean linear light of a part of a picture, 120 pixels wide: red, green, blue.
fn mean(samples: &[u8], columns: std::ops::Range<usize>, rows: std::ops::Range<usize>) -> [f64; 3] {
    let count = (columns.len() * rows.len()) as f64;
    let places = rows.flat_map(|y| columns.clone().map(move |x| (y * 120 + x) * 3));
    let sum =
        places.fold([0.0; 3], |sum: [f64; 3], at| std::array::from_fn(|c| sum[c] + linear(samples[at + c])));
    sum.map(|v| v / count)
}

fn shown(room: &Room, name: &str) -> Vec<u8> {
    assert!(room.run(&format!("render marsh -o {name} --depth 8")).fine().out.contains("120 x 80"));
    samples8(&room.join(name))
}

fn stops(room: &Room, piece: &str) -> f64 {
    room.card(piece)["light"]["computed_stops"].as_f64().unwrap()
}

#[test]
fn dusk_takes_the_daylight_down_and_leaves_the_lamps() {
    let room = Room::with_post();
    let day = shown(&room, "day.png");
    let before = stops(&room, "post");
    let said = room.run("light marsh dusk 1").fine().out;
    assert!(said.contains("Dusk: the daylight 1 stops down and 0 mired cooler"), "{said}");
    assert!((stops(&room, "post") - (before - 1.0)).abs() < 1e-9);
    let dusk = shown(&room, "dusk.png");
    // A corner of the backdrop, where nothing stands.
    let (a, b) = (mean(&day, 0..20, 0..20), mean(&dusk, 0..20, 0..20));
    assert!((0..3).all(|c| (b[c] / a[c] - 0.5).abs() < 0.02), "{a:?} {b:?}");

    // Cooler: the red goes more than the blue.
    room.run("light marsh dusk 1,60").fine();
    let c = mean(&shown(&room, "cool.png"), 0..20, 0..20);
    assert!(c[0] / b[0] < 0.95 && c[2] / b[2] > 1.05, "{b:?} {c:?}");
    assert!(room.run("read marsh").fine().out.contains("dusk: daylight 1 stops down, 60 mired cooler"));

    // A lamp adds as much light as by day, on the piece and on the ground.
    let added = |room: &Room, tag: &str| {
        let gain = |room: &Room| math::exp2(stops(room, "post"));
        let (bare, dark) = (gain(room), shown(room, &format!("{tag}-bare.png")));
        room.run("light marsh add lantern --at 0.3,0.8,3.6 --strength 0.3@5000K").fine();
        let (lit, light) = (gain(room), shown(room, &format!("{tag}-lit.png")));
        room.run("light marsh remove lantern").fine();
        let ground = |s: &[u8]| mean(s, 0..120, 60..80)[1];
        (lit - bare, ground(&light) / ground(&dark))
    };
    let (piece, ground) = added(&room, "dusk");
    room.run("light marsh dusk none").fine();
    assert!((stops(&room, "post") - before).abs() < 1e-9);
    assert_eq!(shown(&room, "again.png"), day);
    let (piece_by_day, ground_by_day) = added(&room, "day");
    assert!((piece / piece_by_day - 1.0).abs() < 0.02, "{piece} {piece_by_day}");
    assert!(ground - 1.0 > 1.7 * (ground_by_day - 1.0), "{ground} {ground_by_day}");
}

#[test]
fn dusk_lies_in_a_take_and_is_checked() {
    let room = Room::with_post();
    let day = stops(&room, "post");
    room.run("take marsh add night").fine();
    room.run("light marsh dusk 2.5,50 --take night").fine();
    assert!((stops(&room, "post") - day).abs() < 1e-12);
    let said = room.run("take marsh list").fine().out;
    assert!(said.contains("Dusk: the daylight 2.5 stops down and 50 mired cooler"), "{said}");
    room.refuses("light marsh dusk 40", 1, &["12"]);
    room.refuses("light marsh dusk dark", 2, &["1.5,40"]);
    room.run("light marsh dusk 0").fine();
    assert!(!room.run("read marsh").fine().out.contains("dusk:"));
}
