//! `cut --strokes`.

use crate::support::{Room, form_of, picture, write};
use files::encode::Codes;
use files::{Channels, Samples};
use std::fs;
use std::path::Path;

const W: u32 = 300;
const H: u32 = 200;

fn in_disc(x: u32, y: u32) -> bool {
    units::math::hypot(f64::from(x) + 0.5 - 140.0, f64::from(y) + 0.5 - 100.0) < 60.0
}

/// A red disc before patches of three colours, so that no paper is found.
fn shot(room: &Room, name: &str, by: u32) {
    let noise = |i: u32| (i.wrapping_mul(2_654_435_761) >> 28) as u8;
    let codes: Vec<u8> = (0..W * by * H * by)
        .flat_map(|i| {
            let (x, y) = (i % (W * by) / by, i / (W * by) / by);
            let colour = match (x / 40 + y / 30) % 3 {
                _ if in_disc(x, y) => [190, 60, 40],
                0 => [60, 110, 180],
                1 => [70, 150, 90],
                _ => [170, 170, 180],
            };
            colour.map(|v| v + noise(i))
        })
        .collect();
    write(&room.join(name), (W * by, H * by), Channels::Rgb, form_of(Path::new(name)), Codes::U8(&codes));
}

/// The post on even paper of tests of `cut`, with a second one beside it.
fn paper(room: &Room) {
    let codes: Vec<u8> = (0..W * H)
        .flat_map(|i| match (i % W, i / W) {
            (60..100, 40..160) | (200..230, 80..160) => [90, 60, 50],
            _ => [230, 226, 215],
        })
        .collect();
    write(&room.join("posts.png"), (W, H), Channels::Rgb, form_of(Path::new("a.png")), Codes::U8(&codes));
}

const INSIDE: &str = r#"{"says": "inside", "width": 8, "path": [[110, 80], [160, 80, 0.5], [170, 120]]}"#;
const OUTSIDE: &str =
    r#"{"says": "outside", "width": 8, "path": [[20, 20], [270, 30], [280, 180], [30, 180]]}"#;

fn strokes(room: &Room, name: &str, strokes: &[&str]) {
    let text =
        format!("{{\"setpiece_strokes\": 1, \"size\": [{W}, {H}], \"strokes\": [{}]}}", strokes.join(", "));
    fs::write(room.join(name), text).unwrap();
}

fn codes(path: &Path) -> Vec<u16> {
    match picture(path).samples() {
        Samples::U16(codes) => codes.to_vec(),
        other => panic!("a matte has 16 bits: {other:?}"),
    }
}

/// The posts before paper, and their matte as it is found by itself.
fn posts() -> (Room, Vec<u16>) {
    let room = Room::new();
    paper(&room);
    room.run("cut posts.png --matte m.png --quick").fine();
    let whole = codes(&room.join("m.png"));
    (room, whole)
}

fn at(matte: &[u16], x: u32, y: u32) -> u16 {
    matte[(y * W + x) as usize]
}

#[test]
fn a_few_strokes_cut_a_thing_before_anything() {
    let room = Room::new();
    strokes(&room, "s.json", &[INSIDE, OUTSIDE]);
    // Over the picture that they were drawn on, and over one twice as large.
    for by in [1, 2] {
        shot(&room, "shot.png", by);
        let told =
            room.run("cut shot.png --matte m.png --strokes s.json --quick --over --json").fine().json();
        assert_eq!(told["by"].as_str(), Some("strokes"));
        let found = codes(&room.join("m.png"));
        let each = found.iter().zip(0..).map(|(c, i)| {
            let is = in_disc(i % (W * by) / by, i / (W * by) / by);
            (f64::from(*c) / 65535.0 - f64::from(u8::from(is))).abs()
        });
        let off = each.sum::<f64>() / f64::from(by * by);
        // The disc has 11310 pixels, its border some 377.
        assert!(off < 150.0, "{by}: {off}");
    }
}

#[test]
fn strokes_outside_leave_out_what_was_found_before_paper() {
    let (room, whole) = posts();
    assert_eq!((at(&whole, 80, 100), at(&whole, 215, 120)), (u16::MAX, u16::MAX));
    strokes(
        &room,
        "s.json",
        &[r#"{"says": "outside", "area": true, "path": [[180, 60], [250, 60], [250, 180], [180, 180]]}"#],
    );
    let told = room.run("cut posts.png --matte m.png --quick --over --strokes s.json --json").fine().json();
    assert_eq!(told["by"].as_str(), Some("paper and strokes"));
    let without = codes(&room.join("m.png"));
    assert_eq!((at(&without, 80, 100), at(&without, 215, 120)), (u16::MAX, 0));
}

/// Beyond the frame, however far, a stroke says nothing; and nothing else is changed by it.
#[test]
fn strokes_beyond_the_frame_change_nothing() {
    const FAR: &str = r#"{"says": "inside", "width": 30, "path": [[-500, -400], [-1e5, 90], [1e5, 1e5]]}"#;
    let room = Room::new();
    shot(&room, "shot.png", 1);
    let mut mattes = Vec::new();
    for (name, drawn) in [("s.json", vec![INSIDE, OUTSIDE]), ("far.json", vec![INSIDE, OUTSIDE, FAR])] {
        strokes(&room, name, &drawn);
        room.run(&format!("cut shot.png --matte m.png --strokes {name} --quick --over")).fine();
        mattes.push(codes(&room.join("m.png")));
    }
    assert!(mattes[0] == mattes[1]);
    strokes(&room, "all.json", &[FAR, OUTSIDE]);
    room.run("cut shot.png --matte n.png --strokes all.json --quick").refused(1, &["inside"]);
    assert!(!room.join("n.png").exists());
}

/// Part of the thing that is taken for paper is said to be inside: the rest stays as it was found.
#[test]
fn strokes_inside_keep_what_was_taken_for_paper() {
    let (room, whole) = posts();
    assert_eq!((at(&whole, 80, 100), at(&whole, 150, 100)), (u16::MAX, 0));
    strokes(&room, "s.json", &[r#"{"says": "inside", "width": 20, "path": [[150, 90], [150, 110]]}"#]);
    let told = room.run("cut posts.png --matte m.png --quick --over --strokes s.json --json").fine().json();
    assert_eq!(told["by"].as_str(), Some("paper and strokes"));
    let kept = codes(&room.join("m.png"));
    for [x, y] in [[80, 100], [215, 120], [150, 100]] {
        assert_eq!(at(&kept, x, y), u16::MAX, "{x}, {y}");
    }
    assert_eq!(at(&kept, 20, 20), 0);
}

/// Mean difference of a matte from the true one of a sheet shot, both cut at the least effort: by paper alone, and by strokes as well.
fn off(name: &str, drawn: &[&str]) -> [f64; 2] {
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets");
    let room = Room::new();
    fs::copy(sheets.join(format!("shots/{name}.jpg")), room.join("shot.jpg")).unwrap();
    let budget = pixels::Budget::of_bytes(1 << 28);
    let truth = picture(&sheets.join(format!("mattes/{name}.png"))).to_coverage(&budget).unwrap();
    let size = [truth.width(), truth.height()];
    let list = drawn.join(",");
    let text =
        format!(r#"{{"setpiece_strokes": 1, "size": [{}, {}], "strokes": [{list}]}}"#, size[0], size[1]);
    fs::write(room.join("s.json"), text).unwrap();
    ["", " --strokes s.json"].map(|more| {
        room.run(&format!("cut shot.jpg --matte m.png --quick --over{more}")).fine();
        let found = codes(&room.join("m.png"));
        let each = found.iter().zip(truth.samples());
        each.map(|(m, a)| (f64::from(*m) / 65535.0 - f64::from(*a)).abs()).sum::<f64>() / found.len() as f64
    })
}

/// A stroke that says what was found already changes nothing elsewhere: thin parts and hair stay, which a few strokes do not tell.
#[test]
fn strokes_that_agree_with_the_paper_leave_it() {
    let drawn = [
        r#"{"says": "inside", "width": 6, "path": [[387, 704], [495, 704]]}"#,
        r#"{"says": "outside", "width": 6, "path": [[619, 1189], [731, 1189]]}"#,
    ];
    let [alone, with] = off("sitter_1", &drawn);
    assert!(alone < 0.003 && (with - alone).abs() < 1e-5, "{alone} {with}");
}

/// White on white, the paper takes most of the thing for itself: where strokes contradict it, all that hangs together is put right.
#[test]
fn strokes_that_contradict_the_paper_put_it_right() {
    let drawn = [
        r#"{"says": "inside", "width": 6, "path": [[885, 451], [1005, 451]]}"#,
        r#"{"says": "inside", "width": 6, "path": [[987, 469], [1107, 469]]}"#,
        r#"{"says": "outside", "width": 6, "path": [[1061, 795], [1181, 795]]}"#,
        r#"{"says": "outside", "width": 6, "path": [[1029, 938], [1149, 938]]}"#,
    ];
    let [alone, with] = off("white", &drawn);
    assert!(with < 0.6 * alone, "{alone} {with}");
}

/// A dab over the tip of a limb takes the tip, not the limb.
#[test]
fn what_a_stroke_takes_out_is_no_farther_away_than_it_is_long() {
    let shots = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/shots");
    let room = Room::new();
    fs::copy(shots.join("sitter_2.jpg"), room.join("shot.jpg")).unwrap();
    let drawn = r#"{"setpiece_strokes": 1, "size": [1000, 1500], "strokes": [
        {"says": "inside", "width": 8, "path": [[480, 700], [520, 760]]},
        {"says": "outside", "width": 8, "path": [[60, 200], [110, 200]]},
        {"says": "outside", "width": 12, "path": [[536, 1408], [586, 1408]]}]}"#;
    fs::write(room.join("s.json"), drawn).unwrap();
    let told = room.run("cut shot.jpg --matte m.png --quick --strokes s.json --json").fine().json();
    assert_eq!(told["by"].as_str(), Some("paper and strokes"));
    let found = codes(&room.join("m.png"));
    let at = |x: usize, y: usize| found[y * 1000 + x];
    // The shoe, its leg, the other shoe.
    assert_eq!((at(570, 1380), at(557, 1150), at(395, 1380)), (0, u16::MAX, u16::MAX));
}

#[test]
fn strokes_are_laid_over_a_trimap() {
    let room = Room::new();
    shot(&room, "shot.png", 1);
    let grey: Vec<u8> = (0..W * H)
        .map(|i| match units::math::hypot(f64::from(i % W) - 140.0, f64::from(i / W) - 100.0) {
            ..50.0 => 255,
            50.0..70.0 => 128,
            _ => 0,
        })
        .collect();
    write(&room.join("t.png"), (W, H), Channels::Grey, form_of(Path::new("t.png")), Codes::U8(&grey));
    strokes(&room, "s.json", &[r#"{"says": "outside", "width": 30, "path": [[140, 100]]}"#]);
    let told =
        room.run("cut shot.png --matte m.png --trimap t.png --strokes s.json --quick --json").fine().json();
    assert_eq!(told["by"].as_str(), Some("trimap and strokes"));
    let found = codes(&room.join("m.png"));
    let at = |x: u32, y: u32| found[(y * W + x) as usize];
    assert_eq!((at(140, 100), at(140, 70), at(20, 20)), (0, u16::MAX, 0));
}

#[test]
fn strokes_that_cannot_be_used_are_refused_and_nothing_is_written() {
    let room = Room::new();
    shot(&room, "shot.png", 1);
    paper(&room);
    let mixed = |i: u32| i.wrapping_mul(2_654_435_761);
    let noise: Vec<u8> = (0..W * H * 3).map(|i| (mixed(mixed(i) ^ (mixed(i) >> 15)) >> 24) as u8).collect();
    write(&room.join("noise.png"), (W, H), Channels::Rgb, form_of(Path::new("a.png")), Codes::U8(&noise));
    strokes(&room, "inside.json", &[INSIDE]);
    strokes(&room, "outside.json", &[OUTSIDE]);
    strokes(&room, "beyond.json", &[OUTSIDE, r#"{"says": "inside", "path": [[-50, -50]]}"#]);
    strokes(&room, "over.json", &[INSIDE, r#"{"says": "outside", "width": 900, "path": [[100, 100]]}"#]);
    strokes(&room, "word.json", &[INSIDE, OUTSIDE, r#"{"says": "smear", "path": [[1, 1]]}"#]);
    strokes(&room, "far.json", &[r#"{"says": "inside", "path": [[1e300, 1]]}"#]);
    fs::write(room.join("deep.json"), "[".repeat(100_000)).unwrap();
    fs::write(room.join("bytes.json"), [0xff, 0xfe, 0x00]).unwrap();
    fs::write(room.join("turned.json"), r#"{"setpiece_strokes": 1, "size": [200, 300], "strokes": []}"#)
        .unwrap();
    strokes(&room, "none.json", &[]);
    for (words, code, said) in [
        ("shot.png --strokes inside.json", 1, "surely outside"),
        ("noise.png --strokes outside.json", 1, "no paper is found"),
        ("shot.png --strokes beyond.json", 1, "surely inside"),
        ("shot.png --strokes over.json", 1, "surely inside"),
        ("noise.png --strokes none.json", 1, "--strokes"),
        ("shot.png --strokes word.json", 3, "stroke 3"),
        ("shot.png --strokes far.json", 3, "stroke 1"),
        ("shot.png --strokes deep.json", 3, "no strokes file"),
        ("shot.png --strokes bytes.json", 3, "text"),
        ("shot.png --strokes turned.json", 3, "its shape is another"),
        ("shot.png --strokes nowhere.json", 3, "nowhere.json"),
        ("posts.png --strokes over.json", 1, "surely inside"),
    ] {
        room.run(&format!("cut {words} --matte m.png")).refused(code, &[said]);
        assert!(!room.join("m.png").exists(), "{words}");
    }
    let before = fs::read(room.join("inside.json")).unwrap();
    room.run("cut shot.png --matte inside.json --strokes inside.json --over").refused(2, &[".png or .tif"]);
    assert_eq!(before, fs::read(room.join("inside.json")).unwrap());
}

#[test]
fn a_shot_that_is_not_cut_by_itself_comes_in_whole_where_it_may() {
    let room = Room::with_marsh();
    shot(&room, "disc.png", 1);
    room.run("place marsh add disc --shot disc.png --at 0,5 --height 1m").refused(1, &["--matte"]);
    let said = room.run("place marsh add disc --shot disc.png --or-whole --at 0,5 --height 1m --json");
    let note = said.fine().json()["done"][0]["notes"][0].as_str().unwrap().to_owned();
    assert!(note.starts_with("disc.png") && note.contains("whole"), "{note}");
    let made = |room: &Room| {
        let all = fs::read_dir(room.join("marsh/cutouts")).unwrap().map(|e| e.unwrap().path());
        all.filter(|p| p.to_string_lossy().ends_with("disc-matte.png")).collect::<Vec<_>>()
    };
    let whole = made(&room);
    assert!(whole.len() == 1 && codes(&whole[0]).iter().all(|c| *c == u16::MAX));
    strokes(&room, "s.json", &[INSIDE, OUTSIDE]);
    room.run("touch-up marsh strokes disc s.json --quick").fine();
    let cut = made(&room).into_iter().find(|p| !whole.contains(p)).unwrap();
    let inside = codes(&cut).iter().filter(|c| **c > 32768).count();
    assert!((10_900..11_700).contains(&inside), "the disc has 11310 pixels, found {inside}");
    // What can be cut by itself is.
    paper(&room);
    room.run("place marsh add posts --shot posts.png --or-whole --at 1,5 --height 1m").fine();
    room.run("place marsh add a --shot posts.png --or-whole --matte disc.png --at 1,5")
        .refused(2, &["--or-whole"]);
}

#[test]
fn strokes_are_kept_to_be_cut_by_later() {
    let room = Room::with_marsh();
    paper(&room);
    room.run("place marsh add posts --shot posts.png --at 0,5 --height 1m").fine();
    let matte = |room: &Room| {
        let list = room.run("place marsh cut-outs --json").fine().json();
        list["cutouts"][0]["seen_per_metre_px"].as_f64().unwrap()
    };
    let before = matte(&room);
    // The second post is not meant; the first reaches from row 40 to 160, the second from 80.
    let out = r#"{"says": "outside", "width": 60, "path": [[80, 50], [80, 90]]}"#;
    strokes(&room, "out.json", &[out]);
    let said = room.run("touch-up marsh strokes posts out.json --later --json").fine().json();
    assert!(said["done"][0]["notes"][0].as_str().unwrap().contains("not cut by them yet"), "{said}");
    assert_eq!(matte(&room), before);
    assert_eq!(
        room.run("touch-up marsh list posts --json").fine().json()["strokes"].as_array().unwrap().len(),
        1
    );
    room.run("touch-up marsh again posts --quick").fine();
    assert!(matte(&room) < 0.8 * before, "{} of {before}", matte(&room));
}
