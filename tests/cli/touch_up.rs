//! `touch-up`.

use crate::cut::shot;
use crate::support::{Room, form_of, levels, names, picture, write};
use files::encode::Codes;
use files::{Channels, Samples};
use std::path::Path;

/// A picture in which the post of [`shot`] stands, cut out by itself.
fn room() -> Room {
    let room = Room::new();
    shot(&room, "post.png");
    room.run("new p --size 300x200").fine();
    room.run("place p add Post --shot post.png --at 0,4 --height 1m").fine();
    room
}

fn rendered(room: &Room) -> Vec<f64> {
    room.run("render p -o seen.png --depth 16 --over").fine();
    levels(&room.join("seen.png"))
}

fn strokes(room: &Room, list: &str) {
    let text = format!("{{\"setpiece_strokes\": 1, \"size\": [240, 240], \"strokes\": [{list}]}}");
    std::fs::write(room.join("s.json"), text).unwrap();
}

#[test]
fn strokes_are_laid_over_the_matte_kept_and_taken_back() {
    let room = room();
    let before = rendered(&room);
    strokes(
        &room,
        r#"{"says": "add", "path": [[30, 30], [60, 30]], "width": 20, "strength": 0.5},
           {"says": "remove", "path": [[110, 90]], "width": 30},
           {"says": "soften", "path": [[90, 150], [90, 200]], "width": 16, "radius": 5}"#,
    );
    let said = room.run("touch-up p strokes Post s.json").fine().out;
    assert!(said.contains("covers more") && said.contains("2 more"), "{said}");
    let after = rendered(&room);
    assert_ne!(before, after);
    let told = room.run("touch-up p list Post --json").fine().json();
    assert_eq!(told["strokes"].as_array().unwrap().len(), 3);
    assert_eq!(told["strokes"][2]["radius_px"], 5.0);
    // Each can go by itself; all of them by one undo. What was seen before comes back to the last bit.
    room.run("touch-up p drop Post 2").fine();
    assert_ne!(rendered(&room), after);
    room.run("undo p").fine();
    assert_eq!(rendered(&room), after);
    room.run("undo p").fine();
    assert_eq!(rendered(&room), before);
    // The same strokes, drawn on a copy of twice the size.
    let text = std::fs::read_to_string(room.join("s.json")).unwrap();
    let twice = text
        .replace("[240, 240]", "[480, 480]")
        .replace("[[30, 30], [60, 30]], \"width\": 20", "[[60, 60], [120, 60]], \"width\": 40")
        .replace("[[110, 90]], \"width\": 30", "[[220, 180]], \"width\": 60")
        .replace(
            "[[90, 150], [90, 200]], \"width\": 16, \"radius\": 5",
            "[[180, 300], [180, 400]], \"width\": 32, \"radius\": 10",
        );
    std::fs::write(room.join("s.json"), twice).unwrap();
    room.run("touch-up p strokes Post s.json").fine();
    assert_eq!(rendered(&room), after);
    room.run("check p").fine();
}

#[test]
fn an_edge_is_finished_all_over() {
    let room = room();
    let before = rendered(&room);
    for said in ["--margin -1.5", "--margin 1.5", "--clear-at 30% --solid-at 70%"] {
        room.run(&format!("touch-up p edge Post {said}")).fine();
        assert_ne!(rendered(&room), before, "{said}");
        room.run("undo p").fine();
        assert_eq!(rendered(&room), before, "{said}");
    }
    room.run("touch-up p edge Post --calm 80% --cast 50% --rim 9").fine();
    rendered(&room);
    room.run("undo p").fine();
    let nothing = room.run("touch-up p edge Post --margin 0 --calm 0%").fine().out;
    assert!(nothing.contains("Nothing changed"), "{nothing}");
    room.run("touch-up p edge Post --clear-at 80% --solid-at 20%").refused(1, &["smaller first"]);
    room.run("touch-up p edge Post --margin 900").refused(1, &["out of range"]);
    room.run("touch-up p edge Post").refused(2, &[]);
    room.run("touch-up p edge Nobody --margin 1").refused(1, &["Nobody"]);
    room.run("touch-up p drop Post 1").refused(2, &["no stroke 1"]);
}

/// A typed height goes from foot to top: where the top was cut away, all of it grows, and that is told with what keeps its size.
#[test]
fn what_became_of_its_size_is_told() {
    let room = room();
    let per_metre = |room: &Room| {
        room.run("place p facts Post --json").fine().json()["seen_per_metre_px"].as_f64().unwrap()
    };
    let before = per_metre(&room);
    strokes(&room, r#"{"says": "remove", "path": [[60, 0], [180, 0], [180, 100], [60, 100]], "area": true}"#);
    let done = room.run("touch-up p strokes Post s.json --json").fine().json();
    let note = done["done"][0]["notes"][0].as_str().unwrap().to_owned();
    let grown = (before / per_metre(&room) - 1.0) * 100.0;
    assert!(grown > 5.0);
    assert!(note.contains(&format!("{grown:.1} % larger")), "{grown}: {note}");
    let kept = note.split("it is with ").nth(1).unwrap().split(' ').next().unwrap();
    room.run(&format!("place p facts Post --per-metre {kept}")).fine();
    assert!((per_metre(&room) / before - 1.0).abs() < 1e-3);
    // Now its scale is typed, and nothing changes any more.
    let done = room.run("touch-up p drop Post 1 --json").fine().json();
    assert!(done["done"][0]["notes"].is_null(), "{done}");
    assert!((per_metre(&room) / before - 1.0).abs() < 1e-3);
}

#[test]
fn a_shot_is_cut_anew_by_strokes() {
    let room = room();
    strokes(
        &room,
        r#"{"says": "inside", "path": [[110, 80], [110, 140]], "width": 10},
           {"says": "outside", "path": [[10, 10], [230, 10], [230, 230], [10, 230], [10, 10]], "width": 12},
           {"says": "outside", "path": [[80, 180], [200, 180], [200, 230], [80, 230]], "area": true}"#,
    );
    room.run("touch-up p strokes Post s.json").fine();
    let made = names(&room.join("p/cutouts"));
    assert_eq!(
        made.len(),
        2,
        "the first matte and the second: its paper tells the thing's own colour: {made:?}"
    );
    let matte = made.iter().find(|n| n.ends_with("Post-matte.png") || n.ends_with("post-matte.png"));
    assert!(matte.is_some(), "{made:?}");
    // What was said to be outside is out.
    let facts = room.run("place p facts Post --json").fine().json();
    let foot = facts["seen_foot_px"][1].as_f64().unwrap();
    assert!((170.0..=181.0).contains(&foot), "{foot}");
    room.run("check p").fine();
    room.run("render p -o seen.png --over").fine();
    room.run("touch-up p again Post --quick").fine();
    while room.run("touch-up p list Post --json").fine().json()["strokes"] != serde_json::json!([]) {
        room.run("undo p").fine();
    }
    let facts = room.run("place p facts Post --json").fine().json();
    assert!(facts["seen_foot_px"][1].as_f64().unwrap() > 210.0);
}

/// What work on a cut-out leaves undone, or undoes, is told where it is done.
#[test]
fn what_a_stroke_leaves_undone_is_told() {
    let room = room();
    let does = |room: &Room, list: &str| {
        strokes(room, list);
        room.run("touch-up p strokes Post s.json").fine().out
    };
    // Cut anew, it is by what was made here: nothing was given. Without the stroke it stays cut until it is cut again.
    let out = r#"{"says": "outside", "path": [[80, 180], [200, 180], [200, 230], [80, 230]], "area": true}"#;
    assert!(!does(&room, out).contains("replaced"));
    let dropped = room.run("touch-up p drop Post 1").fine().out;
    assert!(dropped.contains("until it is cut anew"), "{dropped}");
    room.run("undo p 2").fine();
    let mended = does(&room, r#"{"says": "mend", "path": [[20, 20], [40, 30]], "width": 6}"#);
    assert!(mended.contains("still in the matte"), "{mended}");
    room.run("undo p").fine();
    // A matte that came with the shot goes when it is cut anew.
    crate::support::matte(&room.join("m.png"), 240, 240, |x, y| {
        (90..130).contains(&x) && (60..215).contains(&y)
    });
    room.run("place p add Given --shot post.png --matte m.png --at 1,4 --height 1m").fine();
    let given = room.run("touch-up p again Given --quick").fine().out;
    assert!(given.contains("replaced"), "{given}");
    // Nothing is left: said there, and where the pieces are listed.
    let all = r#"{"says": "remove", "path": [[0, 0], [240, 0], [240, 240], [0, 240]], "area": true}"#;
    let gone = does(&room, all);
    assert!(gone.contains("nothing of the cut-out is left"), "{gone}");
    let list = room.run("place p list").out;
    assert!(list.contains("nothing of post is left"), "{list}");
    let cut = room.run("cut post.png --matte none.png --strokes s.json --quick").fine().out;
    assert!(cut.contains("nothing is left in the matte"), "{cut}");
    strokes(&room, r#"{"says": "add", "path": [[20, 20]], "width": 9e6}"#);
    room.run("touch-up p strokes Post s.json").refused(3, &["s.json, stroke 1", "wider than 200000"]);
}

#[test]
fn a_shot_goes_out_and_comes_back() {
    let room = room();
    room.run("touch-up p edge Post --margin -0.5").fine();
    room.run("place p nudge Post light=+0.3").fine();
    let (before, card) = (rendered(&room), room.run("place p list --json").fine().json());
    room.run("touch-up p out Post post.tif").fine();
    let out = picture(&room.join("post.tif"));
    assert_eq!((out.size().width(), out.channels()), (240, Channels::Rgb));
    // Back unchanged it is the same picture: 8 bits became 16, nothing else.
    room.run("touch-up p back Post post.tif").fine();
    let unchanged = rendered(&room);
    let most = before.iter().zip(&unchanged).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(most < 2e-4, "{most}");
    // Brightened, it is that everywhere, and stands as it stood.
    let Samples::U16(codes) = out.samples() else { panic!("16 bits") };
    let lighter: Vec<u16> = codes.iter().map(|c| c.saturating_add(4000)).collect();
    let form = form_of(Path::new("a.tif"));
    let form = match form {
        files::encode::Form::Tiff { packing, .. } => {
            files::encode::Form::Tiff { depth: files::Depth::U16, packing }
        }
        other => other,
    };
    write(&room.join("lighter.tif"), (240, 240), Channels::Rgb, form, Codes::U16(&lighter));
    room.run("touch-up p back Post lighter.tif").fine();
    assert_ne!(rendered(&room), unchanged);
    assert_eq!(room.run("place p list --json").fine().json()["pieces"], card["pieces"]);
    assert_eq!(room.run("touch-up p list Post --json").fine().json()["margin_px"], -0.5);
    room.run("check p").fine();
    room.run("undo p").fine();
    assert_eq!(rendered(&room), unchanged);
    // Cropped it does not fit, and nothing is overwritten.
    write(&room.join("small.tif"), (240, 239), Channels::Rgb, form, Codes::U16(&lighter[..240 * 239 * 3]));
    room.run("touch-up p back Post small.tif").refused(3, &["240 x 239", "neither cropped"]);
    room.run("touch-up p out Post post.tif").refused(1, &["already"]);
    room.run("touch-up p out Post post.png").refused(2, &[".tif"]);
    room.run("touch-up p out Post p/sources/x.tif").refused(1, &["own files"]);
}

#[test]
fn dust_is_mended() {
    let room = Room::new();
    // A grey thing with its own alpha, and a white speck on it.
    let codes: Vec<u8> = (0..90u32 * 90)
        .flat_map(|i| {
            let (x, y) = (i % 90, i / 90);
            let speck = (40..44).contains(&x) && (50..53).contains(&y);
            let a = if (20..70).contains(&x) && (10..85).contains(&y) { 255 } else { 0 };
            if speck { [250, 250, 250, a] } else { [100, 90, 80, a] }
        })
        .collect();
    let path = room.join("thing.png");
    write(&path, (90, 90), Channels::Rgba, form_of(&path), Codes::U8(&codes));
    room.run("new p --size 300x200").fine();
    room.run("place p add Thing --shot thing.png --at 0,4 --height 1m").fine();
    let before = rendered(&room);
    strokes(&room, r#"{"says": "mend", "path": [[42, 51.5]], "width": 12}"#);
    let text = std::fs::read_to_string(room.join("s.json")).unwrap().replace("[240, 240]", "[90, 90]");
    std::fs::write(room.join("s.json"), text).unwrap();
    room.run("touch-up p strokes Thing s.json").fine();
    let after = rendered(&room);
    let brightest = |seen: &[f64]| {
        let near = |i: usize| {
            let (x, y) = (i / 3 % 300, i / 900);
            (140..160).contains(&x) && (150..200).contains(&y)
        };
        seen.iter().enumerate().filter(|(i, _)| near(*i)).map(|(_, v)| *v).fold(0.0, f64::max)
    };
    assert!(brightest(&before) > brightest(&after) + 0.1, "{} {}", brightest(&before), brightest(&after));
}

/// What was doubtful when it was cut can be asked for again, with its places; what a stroke says of one settles it.
#[test]
fn doubts_are_kept_until_strokes_settle_them() {
    let room = Room::with_marsh();
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/shots");
    std::fs::copy(sheets.join("white.jpg"), room.join("white.jpg")).unwrap();
    let told = room.run("place marsh add bird --shot white.jpg --at 0,3 --height 30cm").fine();
    let asked = |room: &Room| room.run("touch-up marsh doubts bird --json").fine().json()["doubts"].clone();
    let all = asked(&room);
    let all = all.as_array().unwrap();
    let placed: Vec<_> = all.iter().filter(|d| !d["place_px"].is_null()).collect();
    assert!(!placed.is_empty() && placed.len() < all.len(), "{all:?}");
    for doubt in all {
        let what = doubt["what"].as_str().unwrap();
        assert!(told.out.contains(what), "{what}: {told:?}");
    }
    let [x, y, w, h] = [0, 1, 2, 3].map(|i| placed[0]["place_px"][i].as_f64().unwrap());
    let size = files_size(&room.join("white.jpg"));
    let stroke = format!(
        r#"{{"setpiece_strokes":1,"size":[{},{}],"strokes":[{{"says":"between","path":[[{},{}]],"width":4}}]}}"#,
        size.0,
        size.1,
        x + w / 2.0,
        y + h / 2.0
    );
    std::fs::write(room.join("s.json"), stroke).unwrap();
    room.run("touch-up marsh strokes bird s.json --later").fine();
    let after = asked(&room);
    assert!(after.as_array().unwrap().len() < all.len(), "{after}");
    assert!(after.as_array().unwrap().iter().all(|d| d["place_px"] != placed[0]["place_px"]));
    // Of a matte that came with it nothing is known.
    room.run("place marsh add post --shot post.png --matte post-matte.png --at 0,4 --height 1m").fine();
    assert_eq!(
        room.run("touch-up marsh doubts post --json").fine().json()["doubts"].as_array().unwrap().len(),
        0
    );
    assert!(room.run("touch-up marsh doubts post").fine().out.contains("Nothing is doubtful"));
    room.refuses("touch-up marsh doubts none", 1, &["none"]);
}

fn files_size(file: &Path) -> (u32, u32) {
    let size = picture(file).size();
    (size.width(), size.height())
}
