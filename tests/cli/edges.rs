//! `edges`.

use crate::support::{Room, extras, picture};
use files::Samples;
use serde_json::Value;

/// The post, 20 x 100 pixels of its shot, behind another one that stands half a post to the right and nearer.
fn half_covered() -> Room {
    let room = Room::with_post();
    // 3 m away it is 40 pixels high and 8 wide, in place of 30 and 6.
    room.run("place marsh add near --cut-out post --at 0.15,3").fine();
    room
}

fn number(v: &Value, name: &str) -> f64 {
    v[name].as_f64().unwrap_or_else(|| panic!("no {name} in {v}"))
}

/// The sum of a number over the stretches whose middle lies left or right of the post's middle in its shot.
fn on_side(told: &Value, right: bool, name: &str) -> f64 {
    let all = told["stretches"].as_array().unwrap().iter();
    all.filter(|s| (s["shot_px"][0].as_f64().unwrap() > 30.0) == right).map(|s| number(s, name)).sum()
}

#[test]
fn an_edge_behind_something_has_no_attention() {
    let room = half_covered();
    let told = room.run("edges marsh post --map map.png --json").fine().json();
    let (left, right) = (on_side(&told, false, "attention"), on_side(&told, true, "attention"));
    // On the right a little of the upper edge is seen.
    assert!(left > 0.3 && right < 0.15 * left, "{left} {right}");
    let shares = told["stretches"].as_array().unwrap();
    let seen: Vec<f64> = shares.iter().map(|s| number(s, "attention")).collect();
    assert!(seen.is_sorted_by(|a, b| a >= b), "worst first: {seen:?}");
    assert!(shares.iter().all(|s| (0.0..=1.0).contains(&number(s, "seen_share"))));
    // The worst stands where the card says: 4 m away, 0.3 px of the picture to one of the shot.
    assert!((number(&shares[0], "size_factor") - 0.3).abs() < 0.02, "{}", shares[0]);
    let x = shares[0]["picture_px"][0].as_f64().unwrap();
    assert!((56.0..61.0).contains(&x), "{}", shares[0]);
    // The map: the left edge alone.
    let map = picture(&room.join("map.png"));
    let Samples::U16(codes) = map.samples() else { panic!("a map has 16 bits") };
    let most = |x0: usize, x1: usize| {
        (30..90).flat_map(|y| (x0..x1).map(move |x| (x, y))).map(|(x, y)| codes[y * 60 + x]).max()
    };
    assert!(most(18, 22) > Some(40_000) && most(38, 42) < Some(6000) && most(25, 35) == Some(0));
    // The near one is seen whole, both edges.
    let near = room.run("edges marsh near --json").fine().json();
    assert!(number(&near, "seen_share") > 0.9, "{near}");
    assert!(room.run("edges marsh post").fine().out.contains("attention"));
}

#[test]
fn a_defocused_edge_has_less() {
    let room = Room::with_post();
    let sum = || {
        let told = room.run("edges marsh post --json").fine().json();
        let all = told["stretches"].as_array().unwrap();
        (all.iter().map(|s| number(s, "attention")).sum::<f64>(), number(&all[0], "blur_px"))
    };
    let (sharp, disc) = sum();
    assert!(disc < 0.5, "{disc}");
    room.run("read marsh --f-number 0.5 --focus 1").fine();
    let (soft, disc) = sum();
    assert!(disc > 2.0 && soft < 0.5 * sharp, "{disc}: {soft} {sharp}");
}

#[test]
fn what_has_no_edge_in_the_picture_is_refused() {
    let room = half_covered();
    extras(&room);
    room.run("place marsh add glow --shot sparks.png --additive --at 0,4 --height 1m").fine();
    room.refuses("edges marsh glow", 1, &["glow", "no edge"]);
    room.refuses("edges marsh pots", 1, &["did you mean post"]);
    room.refuses("edges marsh post --map map.jpg", 2, &["map.jpg", ".png"]);
    room.run("edges marsh post --map map.png").fine();
    room.refuses("edges marsh post --map map.png", 1, &["--over"]);
    room.run("edges marsh post --map map.png --over").fine();
    room.run("place marsh hide post").fine();
    room.refuses("edges marsh post", 1, &["post", "not drawn"]);
}
