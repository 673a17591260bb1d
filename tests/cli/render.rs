//! `render`: files, parts, scales, depths.

use crate::support::{Room, names, picture, samples8};
use std::fs;

#[test]
fn every_format_is_written_and_reads_back() {
    let room = Room::with_post();
    let said = room.run("render marsh --json").fine().json();
    assert_eq!((said["format"].as_str(), said["width_px"].as_u64()), (Some("TIFF"), Some(120)));
    assert_eq!(names(&room.join("marsh/out")), ["marsh.tif"]);
    let whole = picture(&room.join("marsh/out/marsh.tif"));
    assert!(matches!(whole.samples(), files::Samples::U16(_)));
    for (words, form, depth) in [
        ("-o a.png", files::Format::Png, files::Depth::U16),
        ("-o b.png --depth 8 --colours p3", files::Format::Png, files::Depth::U8),
        ("-o c.jpg --quality 80 --chroma 420", files::Format::Jpeg, files::Depth::U8),
        ("-o d.tif --depth 8 --packing none", files::Format::Tiff, files::Depth::U8),
        ("-o e.tiff --packing lzw --colours romm --ppi 240", files::Format::Tiff, files::Depth::U16),
        ("-o f.tif --depth float", files::Format::Tiff, files::Depth::F32),
        ("-o g.exr", files::Format::Exr, files::Depth::F32),
        ("-o h.exr --depth float", files::Format::Exr, files::Depth::F32),
    ] {
        room.run(&format!("render marsh {words}")).fine();
        let file = room.join(words.split_whitespace().nth(1).unwrap());
        let read = picture(&file);
        assert_eq!((read.format(), read.depth()), (form, depth), "{words}");
        assert_eq!((read.size().width(), read.size().height()), (120, 80), "{words}");
    }
    let ppi = picture(&room.join("e.tiff")).ppi().unwrap();
    assert!((ppi - 240.0).abs() < 0.1, "{ppi}");
}

#[test]
fn the_post_is_in_the_picture_and_the_ground_around_it_is_the_backdrop() {
    let room = Room::with_post();
    room.run("render marsh -o a.png --depth 8").fine();
    room.run("place marsh hide post").fine();
    room.run("render marsh -o b.png --depth 8").fine();
    let (with, without) = (samples8(&room.join("a.png")), samples8(&room.join("b.png")));
    // At 4 m the post is 6 px wide and 30 px high; its foot lies 1 m below the camera: row 40 + 30.
    let at = |v: &[u8], x: usize, y: usize| {
        [v[(y * 120 + x) * 3], v[(y * 120 + x) * 3 + 1], v[(y * 120 + x) * 3 + 2]]
    };
    assert_ne!(at(&with, 60, 55), at(&without, 60, 55));
    assert_eq!(at(&with, 20, 10), at(&without, 20, 10));
    // The backdrop, halved, is what it was: sky [120 + right, ...].
    let sky = at(&without, 60, 10);
    assert!(sky[2].abs_diff(190) <= 1 && sky[0].abs_diff(140) <= 1, "{sky:?}");
}

#[test]
fn a_region_is_the_crop_of_the_whole() {
    let room = Room::with_post();
    room.run("tone marsh add edge-burn --stops 0.5").fine();
    room.run("tone marsh add grain").fine();
    room.run("render marsh -o whole.png --depth 8").fine();
    room.run("render marsh -o part.png --depth 8 --region 40,30,50,45").fine();
    let (whole, part) = (samples8(&room.join("whole.png")), samples8(&room.join("part.png")));
    for y in 0..45 {
        let from = ((y + 30) * 120 + 40) * 3;
        assert_eq!(part[y * 150..(y + 1) * 150], whole[from..from + 150], "row {y}");
    }
}

#[test]
fn a_scale_a_width_and_a_region_go_together() {
    let room = Room::with_post();
    for (words, size) in [
        ("--scale 0.25", (30, 20)),
        ("--width 60", (60, 40)),
        ("--scale 2", (240, 160)),
        ("--scale 0.5 --region 40,30,50,45", (25, 23)),
    ] {
        let said = room.run(&format!("render marsh -o s.png --over {words} --json")).fine().json();
        assert_eq!(
            (said["width_px"].as_u64(), said["height_px"].as_u64()),
            (Some(size.0), Some(size.1)),
            "{words}"
        );
    }
}

#[test]
fn threads_change_nothing() {
    let room = Room::with_post();
    room.run("tone marsh add halation --radius 6").fine();
    for threads in [1, 2, 5] {
        room.run(&format!("render marsh -o t{threads}.tif --threads {threads}")).fine();
        room.run(&format!("render marsh -o t{threads}.exr --threads {threads}")).fine();
    }
    for form in ["tif", "exr"] {
        let one = fs::read(room.join(&format!("t1.{form}"))).unwrap();
        for threads in [2, 5] {
            assert!(one == fs::read(room.join(&format!("t{threads}.{form}"))).unwrap(), "{threads} {form}");
        }
    }
}

#[test]
fn what_does_not_fit_is_clipped_and_said() {
    let room = Room::with_post();
    room.run("tone marsh add exposure --stops +5").fine();
    let said = room.run("render marsh -o bright.png --json").fine().json();
    assert!(said["clipped"]["over_white_share"].as_f64().unwrap() > 0.9, "{said}");
    let text = room.run("render marsh -o bright.png --over").fine().out;
    assert!(text.contains("Clipped") && text.contains("brighter than white"), "{text}");
    let said = room.run("render marsh -o bright.exr --json").fine().json();
    assert_eq!(said["clipped"]["over_white_share"], 0.0);
    // Colours of Rec. 2020 that sRGB has not: the backdrop's greens pulled far out.
    room.run("tone marsh change exposure --stops 0").fine();
    room.run("tone marsh add saturation --factor 6").fine();
    let said = room.run("render marsh -o vivid.png --json").fine().json();
    assert!(said["clipped"]["out_of_gamut_share"].as_f64().unwrap() > 0.1, "{said}");
}

#[test]
fn an_existing_file_stays_unless_told() {
    let room = Room::with_post();
    fs::write(room.join("mine.png"), "precious").unwrap();
    room.refuses("render marsh -o mine.png", 1, &["mine.png", "--over"]);
    assert_eq!(fs::read(room.join("mine.png")).unwrap(), b"precious");
    room.run("render marsh -o mine.png --over").fine();
    assert_eq!(picture(&room.join("mine.png")).size().width(), 120);
    assert!(names(room.path()).iter().all(|n| !n.contains("part")), "{:?}", names(room.path()));
}

#[test]
fn what_cannot_be_rendered_is_refused() {
    let room = Room::with_post();
    for (words, code, said) in [
        ("-o a.bmp", 2, ".tif"),
        ("-o a", 2, ".tif"),
        ("-o a.jpg --depth 16", 2, "8 bits"),
        ("-o a.jpg --quality 0", 2, "--quality"),
        ("-o a.png --quality 90", 2, "quality"),
        ("-o a.png --packing lzw", 2, "packing"),
        ("-o a.exr --depth 8", 2, "half or float"),
        ("-o a.png --depth 12", 2, "8, 16"),
        ("-o a.png --scale 0", 2, "scale"),
        ("-o a.png --scale -1", 2, "scale"),
        ("-o a.png --scale nan", 2, "--scale"),
        ("-o a.png --scale 1e9", 2, "scale"),
        ("-o a.png --width 0", 2, "--width"),
        ("-o a.png --region 0,0,500,10", 2, "120 x 80"),
        ("-o a.png --region 0,0,0,10", 2, "--region"),
        ("-o a.png --take dusk", 1, "take"),
        ("-o nowhere/a.png", 3, "nowhere"),
        ("-o a.png --memory 1MB", 3, "memory"),
        ("-o marsh", 2, ".tif"),
    ] {
        room.refuses(&format!("render marsh {words}"), code, &[said]);
        assert!(!room.join("a.png").exists(), "{words}");
    }
    assert!(names(room.path()).iter().all(|n| !n.contains("part")), "{:?}", names(room.path()));
}

#[test]
fn a_missing_original_is_told_and_the_rest_rendered() {
    let room = Room::with_post();
    for file in names(&room.join("marsh/sources")) {
        if file.contains("post-matte") {
            fs::remove_file(room.join("marsh/sources").join(file)).unwrap();
        }
    }
    let done = room.run("render marsh -o a.png");
    assert_eq!(done.code, 1, "{done:?}");
    assert!(done.err.contains("Snag") && done.err.contains("post"), "{done:?}");
    assert_eq!(picture(&room.join("a.png")).size().width(), 120);
}

/// A piece that stands before another in a region is drawn there instead of in its place: see-through ones are no denser for it.
#[test]
fn a_see_through_piece_brought_forward_is_drawn_once() {
    let room = Room::with_post();
    let half: Vec<u8> = (0..40 * 40).flat_map(|_| [200, 60, 40, 128]).collect();
    crate::support::write(
        &room.join("veil.png"),
        (40, 40),
        files::Channels::Rgba,
        crate::support::form_of(std::path::Path::new("a.png")),
        files::encode::Codes::U8(&half),
    );
    room.run("place marsh add veil --shot veil.png --at 0,6 --height 1.5m").fine();
    room.run("render marsh -o a.tif --depth float").fine();
    room.run("place marsh in-front post --what veil --region 5,5 115,5 115,75 5,75").fine();
    room.run("render marsh -o b.tif --depth float").fine();
    let floats = |name: &str| crate::support::floats(&room.join(name));
    let (before, after) = (floats("a.tif"), floats("b.tif"));
    let changed = |x: usize, y: usize| {
        (0..3).any(|c| (before[(y * 120 + x) * 3 + c] - after[(y * 120 + x) * 3 + c]).abs() > 1e-4)
    };
    // The post, 6 px wide, is seen through the veil now; nothing else has changed.
    assert!(changed(60, 50));
    for (x, y) in (0..120).flat_map(|x| (0..80).map(move |y| (x, y))) {
        assert!(!changed(x, y) || (52..=68).contains(&x), "{x}, {y}");
    }
}

/// The sun stands straight ahead, 45 degrees high: shadows fall towards the camera, as far as what throws them is high.
#[test]
fn a_turned_piece_throws_a_turned_shadow() {
    let room = Room::with_marsh();
    room.run("read marsh --sun 0,45,3,3,3").fine();
    room.run("render marsh -o none.tif --depth float").fine();
    room.run("place marsh add post --shot post.png --matte post-matte.png --at 0,4 --height 1m --lift 0.5")
        .fine();
    let floats = |name: &str| {
        room.run(&format!("render marsh -o {name} --depth float")).fine();
        crate::support::floats(&room.join(name))
    };
    let upright = floats("upright.tif");
    room.run("place marsh stand post --turn 90").fine();
    let turned = floats("turned.tif");
    room.run("place marsh hide post").fine();
    let without = floats("without.tif");
    // Upright its shadow runs from 3.5 m to 2.5 m straight before the camera; turned it lies across at 3.5 m, to the right.
    let dark = |v: &[f32], x: f64, z: f64| {
        let (u, row) = ((60.0 + 120.0 * x / z) as usize, (40.0 + 120.0 / z) as usize);
        v[(row * 120 + u) * 3] < 0.8 * without[(row * 120 + u) * 3]
    };
    assert!(dark(&upright, 0.0, 3.3) && !dark(&upright, 0.6, 3.5));
    assert!(!dark(&turned, 0.0, 3.3) && dark(&turned, 0.6, 3.5));
}
