//! Shots that nobody has cut out yet, placed in a picture.

use crate::cut::shot;
use crate::support::{Room, form_of, levels, names, samples8, write};
use files::Channels;
use files::encode::Codes;

#[test]
fn an_uncut_shot_is_cut_out_where_it_is_placed() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    shot(&room, "post.png");
    room.run("cut post.png --matte alone.png").fine();
    room.run("place p add Left --shot post.png --at -1,4 --height 1m").fine();
    let made = names(&room.join("p/cutouts"));
    assert_eq!(made.len(), 1, "{made:?}");
    assert!(made[0].ends_with("post-matte.png"), "{made:?}");
    // The very same as cut alone, whatever primaries the picture is worked in.
    let placed = room.join("p/cutouts").join(&made[0]);
    assert_eq!(levels(&room.join("alone.png")), levels(&placed));
    // Another piece of it is not cut again, and is the same cut-out.
    room.run("place p add Right --shot post.png --at 1,4").fine();
    assert_eq!(names(&room.join("p/cutouts")), made);
    let list = room.run("place p cut-outs --json").fine().json();
    assert_eq!(list["cutouts"].as_array().unwrap().len(), 1, "{list}");
    room.run("check p").fine();
    room.run("render p -o p.png").fine();
    // Taken back, nothing is left of it but a file that nothing names; done again, it is whole.
    room.run("undo p").fine();
    room.run("undo p").fine();
    let told = room.run("check p --json").fine().json();
    assert!(told["remarks"].to_string().contains("cutouts/"), "{told}");
    room.run("redo p").fine();
    room.run("check p").fine();
    // A matte that is lost is missed.
    std::fs::remove_file(room.join("p/cutouts").join(&made[0])).unwrap();
    let lost = room.run("check p");
    assert!(lost.code == 1 && lost.out.contains("missing"), "{lost:?}");
}

/// Many files carry an alpha that says nothing: the shot is cut out as one without.
#[test]
fn an_opaque_alpha_is_no_cut_out() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    shot(&room, "post.png");
    room.run("cut post.png --matte alone.png").fine();
    let colours = samples8(&room.join("post.png"));
    let with: Vec<u8> = colours.chunks_exact(3).flat_map(|p| [p[0], p[1], p[2], 255]).collect();
    let side = 240;
    write(&room.join("a.png"), (side, side), Channels::Rgba, form_of("a.png".as_ref()), Codes::U8(&with));
    room.run("place p add Post --shot a.png --at 0,4 --height 1m").fine();
    let made = names(&room.join("p/cutouts"));
    assert_eq!(levels(&room.join("alone.png")), levels(&room.join("p/cutouts").join(&made[0])));
}

#[test]
fn a_shot_without_paper_is_refused_with_a_way_out() {
    let room = Room::new();
    room.run("new p --size 60x40").fine();
    // Patches of all colours.
    let patch = |i: u32| i.wrapping_mul(2_654_435_761).rotate_left(9).wrapping_mul(0x9e37_79b1) >> 24;
    let codes: Vec<u8> = (0..64 * 48 * 3u32)
        .map(|i| patch(i / 3 % 64 / 7 + 16 * (i / 192 / 7) + 256 * (i % 3)) as u8)
        .collect();
    let path = room.join("room.png");
    write(&path, (64, 48), Channels::Rgb, form_of(&path), Codes::U8(&codes));
    room.run("place p add Left --shot room.png --at -1,4 --height 1m")
        .refused(1, &["cut it out first", "--matte"]);
}
