//! `touch-up join`.

use crate::support::{Room, form_of, levels, matte, names, picture, write};
use files::Channels;
use files::encode::Codes;
use std::path::Path;

const SIZE: (u32, u32) = (300, 400);

/// Blotches of cloth, smooth between places 9 pixels apart.
fn cloth(x: f64, y: f64) -> f64 {
    let at = |i: f64, j: f64| {
        let n = (i as i64 * 7919 + j as i64 * 104_729) as u32;
        f64::from(n.wrapping_mul(2_654_435_761).rotate_left(13).wrapping_mul(0x9e37_79b1) >> 16) / 65535.0
    };
    let (i, j) = ((x / 9.0).floor(), (y / 9.0).floor());
    let (u, v) = (x / 9.0 - i, y / 9.0 - j);
    let across = |j: f64| at(i, j) * (1.0 - u) + at(i + 1.0, j) * u;
    0.08 + 0.25 * (across(j) * (1.0 - v) + across(j + 1.0) * v)
}

/// A figure of cloth with a round head, before paper. The whole frame is moved, lighter, and the head is elsewhere on the body.
fn frame(room: &Room, name: &str, (dx, dy): (f64, f64), light: f64, head: f64) {
    let encode = |v: f64| (255.0 * pixels::encode::Transfer::Srgb.encode(v.min(1.0))).round() as u8;
    let codes: Vec<u8> = (0..SIZE.0 * SIZE.1)
        .flat_map(|i| {
            let (x, y) = (f64::from(i % SIZE.0) - dx, f64::from(i / SIZE.0) - dy);
            let is_body = (90.0..210.0).contains(&x) && (150.0..370.0).contains(&y);
            let is_head = units::math::hypot(x - head, y - 110.0) < 45.0;
            let v = if is_head {
                cloth(x - head + 500.0, y + 900.0)
            } else if is_body {
                cloth(x, y)
            } else {
                0.72
            };
            [v, v * 0.97, v * 0.9].map(|v| encode(v * light))
        })
        .collect();
    let path = room.join(name);
    write(&path, SIZE, Channels::Rgb, form_of(Path::new(name)), Codes::U8(&codes));
    matte(&room.join(&format!("m-{name}")), SIZE.0, SIZE.1, |x, y| {
        let (x, y) = (f64::from(x) - dx, f64::from(y) - dy);
        let is_body = (90.0..210.0).contains(&x) && (150.0..370.0).contains(&y);
        is_body || units::math::hypot(x - head, y - 110.0) < 45.0
    });
}

#[test]
fn a_head_is_taken_from_another_shot_of_the_sitting() {
    let room = Room::new();
    frame(&room, "one.png", (0.0, 0.0), 1.0, 150.0);
    frame(&room, "two.png", (4.0, -3.0), 1.08, 165.0);
    // As it would be, had it been shot so.
    frame(&room, "wanted.png", (0.0, 0.0), 1.0, 165.0);
    room.run("new p --size 300x400").fine();
    room.run("place p add Sitter --shot one.png --matte m-one.png --at 0,4 --height 1.5m").fine();
    // How each is lit, and its ground, follow from its own outline: that is no matter here.
    room.run("place p as-photographed Sitter light shadow").fine();
    let take = r#"{"setpiece_strokes": 1, "size": [300, 400], "strokes": [
        {"says": "take", "area": true, "path": [[90, 40], [225, 40], [225, 158], [90, 158]]},
        {"says": "stay", "path": [[150, 200], [150, 350]], "width": 60}]}"#;
    std::fs::write(room.join("s.json"), take).unwrap();
    let told = room
        .run("touch-up p join Sitter --from two.png --matte m-two.png --strokes s.json --json")
        .fine()
        .json();
    assert!(told["joined"]["alignment_error_px"].as_f64().unwrap() < 0.3, "{told}");
    room.run("check p").fine();
    let seen = |room: &Room, folder: &str| {
        room.run(&format!("render {folder} -o seen.png --depth 16 --over")).fine();
        levels(&room.join("seen.png"))
    };
    let joined = seen(&room, "p");
    room.run("new q --size 300x400").fine();
    room.run("place q add Sitter --shot wanted.png --matte m-wanted.png --at 0,4 --height 1.5m").fine();
    room.run("place q as-photographed Sitter light shadow").fine();
    let wanted = seen(&room, "q");
    room.run("new r --size 300x400").fine();
    room.run("place r add Sitter --shot one.png --matte m-one.png --at 0,4 --height 1.5m").fine();
    room.run("place r as-photographed Sitter light shadow").fine();
    let before = seen(&room, "r");
    let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>();
    let (off, was) = (apart(&joined, &wanted), apart(&before, &wanted));
    assert!(off < 0.04 * was, "{off} of {was}");
    // What is added to it shows the shot, as with any cut-out.
    let add = r#"{"setpiece_strokes": 1, "size": [300, 400], "strokes": [
        {"says": "add", "path": [[225, 250]], "width": 16}]}"#;
    std::fs::write(room.join("a.json"), add).unwrap();
    room.run("touch-up p strokes Sitter a.json").fine();
    room.run("touch-up r strokes Sitter a.json").fine();
    let (more, as_shot) = (seen(&room, "p"), seen(&room, "r"));
    let added: Vec<usize> = (0..before.len()).filter(|i| (as_shot[*i] - before[*i]).abs() > 0.02).collect();
    assert!(
        !added.is_empty() && added.iter().all(|i| (more[*i] - as_shot[*i]).abs() < 0.05),
        "{}",
        added.len()
    );
    room.run("undo p").fine();
    // An edge moved outwards is the thing's, not the paper's, which is lighter than any cloth.
    room.run("touch-up p edge Sitter --margin 6").fine();
    let wider = seen(&room, "p");
    let grown: Vec<f64> = (0..joined.len())
        .filter(|i| joined[*i] == joined[*i % 3] && wider[*i] != joined[*i])
        .map(|i| wider[i])
        .collect();
    assert!(
        grown.len() > 500 && grown.iter().all(|v| *v < 0.72),
        "{} {:?}",
        grown.len(),
        grown.iter().copied().fold(0.0, f64::max)
    );
    room.run("undo p").fine();
    // Its edge is still to be finished, its shot to go out and back, and the join goes along.
    room.run("touch-up p edge Sitter --margin -0.4").fine();
    room.run("touch-up p out Sitter out.tif").fine();
    room.run("touch-up p back Sitter out.tif").fine();
    let again = apart(&seen(&room, "p"), &wanted);
    assert!(again < 0.08 * was, "{again} of {was}");
    room.run("touch-up p again Sitter --quick").fine();
    assert_eq!(room.run("touch-up p list Sitter --json").fine().json()["joined"][0], "two.png");
    while room.run("touch-up p list Sitter --json").fine().json()["joined"] != serde_json::json!([]) {
        room.run("undo p").fine();
    }
    assert_eq!(seen(&room, "p"), before);
    assert!(names(&room.join("p/sources")).len() >= 2, "originals are kept");
}

/// Three traced frames of a sitting, and what they should become (tests/sheets): head of the first, hands of the second, feet of the third.
#[test]
fn a_traced_sitting_of_three_frames_becomes_the_wanted_one() {
    let room = Room::new();
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets");
    let file = |kind: &str, name: &str| {
        let end = if kind == "shots" { "jpg" } else { "png" };
        sheets.join(kind).join(format!("{name}.{end}")).display().to_string()
    };
    let run = |words: &[&str]| room.command(words.iter().map(|w| (*w).to_owned())).fine();
    room.run("new p --size 1000x1500").fine();
    let (one, matte) = (file("shots", "sitter_1"), file("mattes", "sitter_1"));
    run(&["place", "p", "add", "S", "--shot", &one, "--matte", &matte, "--at", "0,4"]);
    for (from, take, stay) in [
        ("sitter_2", "[245,390],[755,390],[755,870],[245,870]", "[[500,120],[500,330]]"),
        ("sitter_3", "[335,1060],[680,1060],[680,1455],[335,1455]", "[[500,120],[500,960]]"),
    ] {
        let text = format!(
            "{{\"setpiece_strokes\":1,\"size\":[1000,1500],\"strokes\":[{{\"says\":\"take\",\"area\":true,\"path\":[{take}]}},{{\"says\":\"stay\",\"path\":{stay},\"width\":60}}]}}"
        );
        std::fs::write(room.join("s.json"), text).unwrap();
        let (shot, matte) = (file("shots", from), file("mattes", from));
        run(&["touch-up", "p", "join", "S", "--from", &shot, "--matte", &matte, "--strokes", "s.json"]);
    }
    let scene: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(room.join("p/picture.json")).unwrap()).unwrap();
    let cutout = scene["cutouts"].as_object().unwrap().values().next().unwrap().clone();
    let made = |key: &str| {
        let source = &scene["sources"][cutout[key].as_str().unwrap()];
        room.join("p/cutouts").join(source["file"].as_str().unwrap())
    };
    let budget = pixels::Budget::of_bytes(1 << 30);
    let light = |path: &Path| picture(path).to_rgb(units::Primaries::Srgb, &budget).unwrap();
    let code = |v: f32| 255.0 * pixels::encode::Transfer::Srgb.encode(f64::from(v).clamp(0.0, 1.0));
    let (own, truth) = (light(&made("colour")), light(Path::new(&file("shots", "sitter_truth"))));
    let before = light(Path::new(&one));
    let (found, wanted) = (levels(&made("matte")), levels(Path::new(&file("mattes", "sitter_truth"))));
    let solid: Vec<usize> = (0..found.len()).filter(|i| found[*i] > 0.99 && wanted[*i] > 0.99).collect();
    let errors = |image: &pixels::Image<pixels::Rgb>| {
        let off = |i: &usize| {
            let (a, b) = (image.pixels()[*i].0, truth.pixels()[*i].0);
            (0..3).map(|c| (code(a[c]) - code(b[c])).abs()).sum::<f64>() / 3.0
        };
        let mut all: Vec<f64> = solid.iter().map(off).collect();
        all.sort_by(f64::total_cmp);
        (all.iter().sum::<f64>() / all.len() as f64, all[all.len() * 99 / 100])
    };
    let ((mean, most), (was, _)) = (errors(&own), errors(&before));
    // The frames' own noise and coding is 1.3 in the mean.
    assert!(mean < 2.0 && most < 9.0 && was > 8.0, "{mean} {most}, before {was}");
    let matte = found.iter().zip(&wanted).map(|(a, b)| (a - b).abs()).sum::<f64>() / 1000.0;
    assert!(matte < 1.0, "{matte}");
}

#[test]
fn what_cannot_be_joined_is_refused() {
    let room = Room::new();
    frame(&room, "one.png", (0.0, 0.0), 1.0, 150.0);
    room.run("new p --size 300x400").fine();
    room.run("place p add Sitter --shot one.png --matte m-one.png --at 0,4 --height 1.5m").fine();
    let strokes = |list: &str| {
        let text = format!("{{\"setpiece_strokes\": 1, \"size\": [300, 400], \"strokes\": [{list}]}}");
        std::fs::write(room.join("s.json"), text).unwrap();
    };
    let join = |words: &str| {
        room.run(&format!("touch-up p join Sitter --from one.png --matte m-one.png --strokes s.json {words}"))
    };
    strokes(r#"{"says": "stay", "path": [[5, 5]], "width": 9}"#);
    join("").refused(3, &["what to take"]);
    strokes(r#"{"says": "take", "path": [[150, 110]], "width": 80}"#);
    join("--scale 0").refused(2, &["above 0"]);
    room.run("touch-up p join Sitter --from none.png --strokes s.json").refused(3, &["none.png"]);
    join("--by-hand").fine();
    join("--by-hand --shift 900,0").refused(1, &["nothing of what is to be taken", "one.png"]);
    // Beyond the frame there is nothing to take.
    strokes(r#"{"says": "take", "path": [[-500, -500]], "width": 80}"#);
    join("--by-hand").refused(3, &["what to take"]);
    // What a join does not go by is not passed over, nor drawn beside the shot.
    room.run("touch-up p strokes Sitter s.json").refused(3, &["beside the shot", "stroke 1"]);
    strokes(
        r#"{"says": "take", "path": [[150, 110]], "width": 80}, {"says": "add", "path": [[9, 9]], "width": 5}"#,
    );
    join("--by-hand").refused(3, &["it says add", "stroke 2"]);
    strokes(r#"{"says": "take", "path": [[150, 110]], "width": 80}"#);
    // And strokes for a join are nothing that one shot alone is touched up or cut by.
    room.run("touch-up p strokes Sitter s.json").refused(3, &["take or stay", "join"]);
    let cut = room.run("cut one.png --matte m.png --strokes s.json --quick").fine().out;
    assert!(cut.contains("Look at: strokes that say take or stay do nothing"), "{cut}");
    room.run("check p").fine();
}
