//! `cut`.

use crate::support::{Room, form_of, levels, matte, picture, samples8, write};
use files::encode::Codes;
use files::{Channels, Samples};
use std::path::Path;

const SIDE: u32 = 240;

/// How much of a dark post and of the fine strands beside it is at a place.
fn covers(x: u32, y: u32) -> f64 {
    let post = (90..130).contains(&x) && (60..215).contains(&y);
    let strand = (130..180).contains(&x) && (70..200).contains(&y) && y.is_multiple_of(12);
    match (post, strand) {
        (true, _) => 1.0,
        (_, true) => 0.6,
        _ => 0.0,
    }
}

/// The post before cream paper that darkens by more than a stop to the right, with a soft shadow at its foot.
pub(crate) fn shot(room: &Room, name: &str) {
    let encoded = |light: f64| pixels::encode::Transfer::Srgb.encode(light);
    let codes: Vec<u8> = (0..SIDE * SIDE)
        .flat_map(|i| {
            let (x, y) = (i % SIDE, i / SIDE);
            let far = units::math::hypot(f64::from(x) - 110.0, 2.0 * (f64::from(y) - 215.0));
            let light =
                (1.0 - 0.55 * f64::from(x) / f64::from(SIDE)) * (1.0 - 0.4 * units::math::exp(-far / 40.0));
            let a = covers(x, y);
            [(0.85, 0.10), (0.80, 0.06), (0.68, 0.05)]
                .map(|(paper, thing)| (255.0 * encoded(a * thing + (1.0 - a) * paper * light)).round() as u8)
        })
        .collect();
    write(&room.join(name), (SIDE, SIDE), Channels::Rgb, form_of(Path::new(name)), Codes::U8(&codes));
}

fn off(room: &Room, name: &str) -> f64 {
    let each =
        levels(&room.join(name)).into_iter().zip(0..).map(|(a, i)| (a - covers(i % SIDE, i / SIDE)).abs());
    each.sum::<f64>() / 1000.0
}

#[test]
fn a_shot_before_paper_is_cut_out_by_itself() {
    let room = Room::new();
    shot(&room, "shot.png");
    let told = room.run("cut shot.png --matte matte.png --foreground own.png --json").fine().json();
    assert_eq!((told["by"].as_str(), told["width_px"].as_u64()), (Some("paper"), Some(u64::from(SIDE))));
    assert!(told["doubts"].as_array().unwrap().is_empty(), "{told}");
    let by_itself = off(&room, "matte.png");
    // The strands alone amount to 0.33.
    assert!(by_itself < 0.08, "{by_itself}");
    // Its own colour, also in the strands, where the shot shows mostly paper: reddish and dark.
    let own = samples8(&{
        room.run("cut shot.png --matte m.tif --foreground own.tif --quick --threads 1").fine();
        let read = picture(&room.join("own.tif"));
        let Samples::U16(codes) = read.samples() else { panic!("16 bits were asked for") };
        let codes: Vec<u8> = codes.iter().map(|c| (c >> 8) as u8).collect();
        write(
            &room.join("own8.png"),
            (SIDE, SIDE),
            Channels::Rgb,
            form_of(Path::new("a.png")),
            Codes::U8(&codes),
        );
        room.join("own8.png")
    });
    let at = |x: usize, y: usize| own[(y * SIDE as usize + x) * 3];
    assert!(at(150, 120) < 130 && at(110, 120).abs_diff(89) < 4, "{} {}", at(150, 120), at(110, 120));
    // And it stands in a picture.
    room.run("new p --size 60x40").fine();
    room.run("place p add post --shot shot.png --matte matte.png --at 0,4 --height 1m").fine();
}

/// Coverage that a shot came with is not passed over in silence.
#[test]
fn an_alpha_of_its_own_is_told_of() {
    let room = Room::new();
    shot(&room, "shot.png");
    let colours = samples8(&room.join("shot.png"));
    for (alpha, is_told) in [(255, false), (120, true)] {
        let with: Vec<u8> = colours.chunks_exact(3).flat_map(|p| [p[0], p[1], p[2], alpha]).collect();
        write(
            &room.join("a.png"),
            (SIDE, SIDE),
            Channels::Rgba,
            form_of(Path::new("a.png")),
            Codes::U8(&with),
        );
        let told = room.run("cut a.png --matte m.png --quick --over").fine().out;
        assert_eq!(told.contains("alpha of its own"), is_told, "{told}");
    }
}

/// A smooth ball that fills most of the frame: the paper is what reaches the frame, not what there is most of.
#[test]
fn a_large_smooth_thing_is_not_taken_for_paper() {
    let room = Room::new();
    let inside = |x: u32, y: u32| units::math::hypot(f64::from(x) - 120.0, f64::from(y) - 120.0) < 110.0;
    let codes: Vec<u8> = (0..SIDE * SIDE)
        .flat_map(|i| if inside(i % SIDE, i / SIDE) { [180, 60, 40] } else { [230, 228, 222] })
        .collect();
    write(
        &room.join("ball.png"),
        (SIDE, SIDE),
        Channels::Rgb,
        form_of(Path::new("a.png")),
        Codes::U8(&codes),
    );
    room.run("cut ball.png --matte m.png").fine();
    let read = picture(&room.join("m.png"));
    let Samples::U16(codes) = read.samples() else { panic!("a matte has 16 bits") };
    let at = |x: u32, y: u32| codes[(y * SIDE + x) as usize];
    assert_eq!((at(120, 120), at(4, 4), at(236, 236)), (u16::MAX, 0, 0));
}

/// Folded white paper on white paper (tests/sheets): its edges are lost, and that is said.
#[test]
fn a_thing_as_light_as_its_paper_is_doubted() {
    let room = Room::new();
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/shots");
    std::fs::copy(sheets.join("white.jpg"), room.join("white.jpg")).unwrap();
    let told = room.run("cut white.jpg --matte m.png --quick --json").fine().json();
    let doubts = told["doubts"].to_string();
    assert!(doubts.contains("% of the edge is hard to tell from paper"), "{doubts}");
}

#[test]
fn a_trimap_says_what_is_sure() {
    let room = Room::new();
    shot(&room, "shot.png");
    let grey: Vec<u8> = (0..SIDE * SIDE)
        .map(|i| match (i % SIDE, i / SIDE) {
            (96..124, 66..209) => 255,
            (80..190, 50..225) => 128,
            _ => 0,
        })
        .collect();
    write(&room.join("t.png"), (SIDE, SIDE), Channels::Grey, form_of(Path::new("t.png")), Codes::U8(&grey));
    let told = room.run("cut shot.png --matte matte.png --trimap t.png").fine();
    assert!(told.out.contains("sure from the trimap"), "{told:?}");
    let with = off(&room, "matte.png");
    assert!(with < 0.2, "{with}");
}

#[test]
fn what_cannot_be_cut_is_refused_and_nothing_is_written() {
    let room = Room::new();
    shot(&room, "shot.png");
    matte(&room.join("small.png"), 20, 20, |x, _| x > 9);
    matte(&room.join("white.png"), SIDE, SIDE, |_, _| true);
    matte(&room.join("black.png"), SIDE, SIDE, |_, _| false);
    let noise: Vec<u8> = (0..SIDE * SIDE * 3).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    write(
        &room.join("room.png"),
        (SIDE, SIDE),
        Channels::Rgb,
        form_of(Path::new("a.png")),
        Codes::U8(&noise),
    );
    let paper = vec![200u8; (SIDE * SIDE * 3) as usize];
    write(
        &room.join("paper.png"),
        (SIDE, SIDE),
        Channels::Rgb,
        form_of(Path::new("a.png")),
        Codes::U8(&paper),
    );
    write(&room.join("one.png"), (1, 1), Channels::Rgb, form_of(Path::new("a.png")), Codes::U8(&[9, 9, 9]));
    for (words, code, said) in [
        ("cut shot.png --matte m.png --trimap small.png", 3, "20 x 20"),
        ("cut shot.png --matte m.png --trimap white.png", 3, "of no pixel that it is outside"),
        ("cut shot.png --matte m.png --trimap black.png", 3, "of no pixel that it is inside"),
        ("cut room.png --matte m.png", 1, "no paper is found"),
        ("cut paper.png --matte m.png", 1, "nothing is found before the paper"),
        ("cut one.png --matte m.png", 1, "--trimap"),
        ("cut shot.png --matte m.jpg", 2, ".png or .tif"),
        ("cut shot.png --matte m.png --foreground m.png", 2, "two files"),
        ("cut shot.png --matte shot.png --over", 1, "stays as it is"),
        ("cut shot.png --matte m.png --foreground shot.png --over", 1, "stays as it is"),
        ("cut shot.png --matte m.png --laid shot.png --over", 1, "stays as it is"),
        ("cut shot.png --matte m.png --trimap small.png --laid ./small.png --over", 1, "stays as it is"),
        ("cut shot.png --matte m.png --laid m.png", 2, "two files"),
        ("cut shot.png --mattes new --sheet shot.png --over", 1, "stays as it is"),
        ("cut shot.png --mattes new --sheet new/shot-matte.png --over", 2, "two files"),
        ("cut shot.png --matte small.png", 1, "--over"),
        ("cut shot.png --matte m.png --memory 2MB", 3, "memory"),
        ("cut shot.png --matte m.png --memory 5MB", 3, "a smaller copy of the shot, or raise --memory"),
        ("cut nowhere.png --matte m.png", 3, "spelling"),
    ] {
        room.run(words).refused(code, &[said]);
        assert!(!room.join("m.png").exists(), "{words}");
    }
}

/// The look is at what is cut out: the shot, mended.
#[test]
fn a_look_shows_what_was_mended() {
    let room = Room::new();
    shot(&room, "shot.png");
    let strokes = r#"{"setpiece_strokes": 1, "size": [240, 240], "strokes": [
        {"says": "mend", "path": [[110, 150]], "width": 14}]}"#;
    std::fs::write(room.join("mend.json"), strokes).unwrap();
    let mut codes = samples8(&room.join("shot.png"));
    for (x, y) in (146..154).flat_map(|y| (106..114).map(move |x| (x, y))) {
        codes[3 * (y * SIDE as usize + x)..][..3].fill(255);
    }
    let speck = room.join("speck.png");
    write(&speck, (SIDE, SIDE), Channels::Rgb, form_of(&speck), Codes::U8(&codes));
    let middle = |words: &str| {
        room.run(&format!("cut speck.png --matte m.png --over --quick --laid look.png {words}")).fine();
        samples8(&room.join("look.png"))[3 * (150 * SIDE as usize + 110)]
    };
    let (as_shot, mended) = (middle(""), middle("--strokes mend.json"));
    assert!(as_shot > 200 && mended < 110, "{as_shot} {mended}");
}
