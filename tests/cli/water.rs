//! Levels of water: mirror images, and what is under them.

use crate::support::{Room, samples8};

fn shown(room: &Room, name: &str) -> Vec<u8> {
    assert!(room.run(&format!("render marsh -o {name} --depth 8")).fine().out.contains("120 x 80"));
    samples8(&room.join(name))
}

/// Rows, counted from the top, in which two pictures of 120 columns differ.
fn rows(a: &[u8], b: &[u8]) -> Vec<usize> {
    let row = |s: &[u8], y: usize| s[y * 360..(y + 1) * 360].to_vec();
    (0..80).filter(|y| row(a, *y) != row(b, *y)).collect()
}

#[test]
fn what_stands_in_water_is_mirrored_below_its_foot() {
    let room = Room::with_marsh();
    room.run("read marsh --level pool=0,water").fine();
    room.run("place marsh add post --shot post.png --matte post-matte.png --height 1m --at 0,9").fine();
    room.run("place marsh move post --level pool").fine();
    let water = shown(&room, "water.png");
    // Without water the picture is as before but for the mirror image and the shadow of the sky.
    room.run("place marsh hide post").fine();
    let bare = shown(&room, "bare.png");
    room.run("place marsh show post").fine();
    let foot = room.card("post");
    assert_eq!(foot["casts_shadow"], false, "{foot}");
    let all = rows(&water, &bare);
    let tall = foot["height_px"].as_f64().unwrap();
    let long = (all[all.len() - 1] - all[0] + 1) as f64;
    assert!(long > 1.7 * tall && long < 2.6 * tall, "{long} rows of a piece {tall} px tall");

    // A region keeps the mirror image where it is drawn: here nowhere near.
    room.run("read marsh --water pool_0,75_5,75_5,79").fine();
    let aside = shown(&room, "aside.png");
    let long = rows(&aside, &bare).len() as f64;
    assert!(long < 1.3 * tall, "{long} rows");
    room.run("read marsh --water pool_everywhere --ripple pool=4").fine();
    assert_ne!(shown(&room, "ripple.png"), water);
    room.run("read marsh --ripple pool=0.5").fine();
    assert_eq!(shown(&room, "again.png"), water);

    // Sunk by half, half of it is seen, and half of its image.
    room.run("place marsh move post --lift -0.5").fine();
    let sunk = rows(&shown(&room, "sunk.png"), &bare).len() as f64;
    assert!(sunk > 0.8 * tall && sunk < 1.4 * tall, "{sunk} rows");
}

#[test]
fn water_is_said_of_water_alone() {
    let room = Room::with_post();
    room.run("read marsh --level bank=0.4").fine();
    room.refuses("read marsh --ripple bank=2", 1, &["it is not water", "bank=0.4,water"]);
    room.refuses("read marsh --water pond_0,75_5,75_5,79", 1, &["pond"]);
    room.refuses("read marsh --water bank", 2, &["pool 0,1500"]);
    room.run("read marsh --level bank=0.4,water --water bank_0,75_5,75_5,79 --water bank_50,75_60,75_60,79")
        .fine();
    // Its height said anew, its region stays.
    room.run("read marsh --level bank=0.3,water").fine();
    let text = std::fs::read_to_string(room.join("marsh/picture.json")).unwrap();
    let scene: serde_json::Value = serde_json::from_str(&text).unwrap();
    let level = scene["levels"].as_object().unwrap().values().next().unwrap().clone();
    assert_eq!(level["region"].as_array().unwrap().len(), 2, "{level}");
}
