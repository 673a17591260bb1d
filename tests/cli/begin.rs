//! `new` and `read`.

use crate::support::{Room, backdrop, with_exif};
use std::fs;

#[test]
fn a_picture_begins_in_pixels_or_as_a_print() {
    let room = Room::new();
    room.run("new marsh --size 6000x4000 --name Lantern_marsh").fine();
    let text = fs::read_to_string(room.join("marsh/picture.json")).unwrap();
    assert!(text.contains("\"Lantern marsh\"") && text.contains("6000"), "{text}");
    // 60 cm / 2.54 cm * 300 = 7086.6
    let said = room.run("new print --print 60x40cm --ppi 300 --primaries p3 --json").fine().json();
    assert_eq!((said["width_px"].as_u64(), said["height_px"].as_u64()), (Some(7087), Some(4724)));
    let known = room.run("read print --json").fine().json();
    assert_eq!((known["picture"].as_str(), known["primaries"].as_str()), (Some("print"), Some("p3")));
}

#[test]
fn a_folder_that_holds_something_is_not_taken() {
    let room = Room::new();
    fs::create_dir(room.join("full")).unwrap();
    fs::write(room.join("full/letter.txt"), "hello").unwrap();
    room.run("new full --size 10x10").refused(3, &["not empty", "full"]);
    assert_eq!(fs::read_dir(room.join("full")).unwrap().count(), 1);
    room.run("new a --size 10x10").fine();
    room.run("new a --size 10x10").refused(3, &["a"]);
}

#[test]
fn a_size_is_needed_and_must_be_one() {
    let room = Room::new();
    room.run("new a").refused(2, &["--size", "--print"]);
    room.run("new a --size 0x10").refused(2, &["--size", "6000x4000"]);
    room.run("new a --size -5x10").refused(2, &["6000x4000"]);
    room.run("new a --print 60x40").refused(2, &["unit", "60x40cm"]);
    room.run("new a --print 90000x40cm").refused(1, &["larger"]);
    room.run("new a --print 60x40m").refused(1, &["708661 x 472441", "GB", "megapixels"]);
    room.run("new a --size 70000x70000").refused(1, &["--size", "GB"]);
    assert!(!room.join("a").exists());
    room.run("new a --size 120x80").fine();
    room.run("read a --print 60x40m").refused(1, &["708661 x 472441", "GB"]);
}

#[test]
fn a_backdrop_comes_in_byte_for_byte_and_says_what_is_missing() {
    let room = Room::new();
    room.run("new marsh --size 120x80").fine();
    let known = room.run("read marsh").fine();
    assert!(known.out.contains("backdrop") && known.out.contains("--camera-height"), "{known:?}");
    backdrop(&room.join("back drop.jpg"), 240, 160);
    let said = room.command(["read", "marsh", "back drop.jpg"].map(String::from)).fine();
    assert!(said.out.contains("Missing before pieces can stand rightly"), "{said:?}");
    for option in
        ["--camera-height", "--horizon", "--pitch", "--focal", "--sensor", "--f-number", "--sky-level"]
    {
        assert!(said.out.contains(option), "{option}: {said:?}");
    }
    let file = room.run("read marsh --json").fine().json()["backdrop"]["file"].as_str().unwrap().to_owned();
    let kept = fs::read(room.join("marsh/sources").join(file)).unwrap();
    assert_eq!(kept, fs::read(room.join("back drop.jpg")).unwrap());
}

#[test]
fn what_is_said_is_known_and_what_the_camera_wrote_as_well() {
    let room = Room::new();
    room.run("new marsh --size 120x80").fine();
    with_exif(&room.join("evening.jpg"), 300, 200);
    let said =
        room.run("read marsh evening.jpg --camera-height 135cm --pitch 2.5 --roll -1 --json").fine().json();
    let camera = &said["camera"];
    assert_eq!(camera["height_m"], 1.35);
    assert_eq!(camera["pitch_deg"], 2.5);
    assert_eq!(camera["roll_deg"], -1.0);
    assert_eq!(camera["viewpoint_from"], "given");
    assert_eq!((camera["focal_mm"].as_f64(), camera["focal_from"].as_str()), (Some(50.0), Some("file")));
    // A crop factor of 75/50 = 1.5 on a picture of 3:2: 36 mm / 1.5.
    assert!((camera["sensor_width_mm"].as_f64().unwrap() - 24.0).abs() < 1e-9, "{camera}");
    assert_eq!(camera["sensor_from"], "file");
    assert_eq!((camera["f_number"].as_f64(), camera["focus_m"].as_f64()), (Some(2.8), Some(5.5)));
    assert_eq!(said["backdrop"]["camera"], "Box");
    assert!(said["missing"].as_array().unwrap().iter().all(|m| m["needed"] == false), "{said}");
    let shown = room.run("read marsh").fine().out;
    assert!(shown.contains("50 mm (file)") && shown.contains("(given)"), "{shown}");
}

#[test]
fn a_horizon_gives_pitch_and_a_known_height_the_camera() {
    let room = Room::new();
    room.run("new marsh --size 240x160").fine();
    backdrop(&room.join("b.png"), 240, 160);
    // Level: the horizon in the middle row. F = 240 px; a thing of 1 m at 4 m from a camera 1.5 m up: foot at 80 + 240*1.5/4, top at 80 + 240*0.5/4.
    let words = "read marsh b.png --focal 36 --sensor 36 --horizon 80 --known 120,170,120,110,1m --json";
    let camera = room.run(words).fine().json()["camera"].clone();
    assert!(camera["pitch_deg"].as_f64().unwrap().abs() < 1e-9);
    assert!((camera["height_m"].as_f64().unwrap() - 1.5).abs() < 1e-9, "{camera}");
    assert_eq!(camera["viewpoint_from"], "read");
    // A horizon above the middle: the camera looks down by atan(40/240).
    let camera = room.run("read marsh --horizon 40 --declared --json").fine().json()["camera"].clone();
    assert!((camera["pitch_deg"].as_f64().unwrap() - 9.462_322).abs() < 1e-5, "{camera}");
    assert_eq!(camera["viewpoint_from"], "declared");
    assert!((camera["horizon_px"].as_f64().unwrap() - 40.0).abs() < 1e-6, "{camera}");
}

#[test]
fn light_air_frame_and_levels_are_said() {
    let room = Room::with_marsh();
    let words = "read marsh --sky-level -1EV@8500K --sky-upright 0.2,0.25,0.3 --sun -40,12,2.5@4800K --haze 320m \
                 --ground 0.2,0.2,0.15 --white-balance 5600K --blades 7,12,0.4 --depth x1.5 --window 10,5,200 --mirror \
                 --level bank=0.4 --level pool=-0.2,water --json";
    let said = room.run(words).fine().json();
    assert_eq!(said["visibility_m"], 320.0);
    assert_eq!(said["has_sun"], true);
    assert_eq!(said["camera"]["white_balance_k"], 5600.0);
    assert_eq!(said["camera"]["blades"], 7);
    assert_eq!(said["camera"]["depth_factor"], 1.5);
    assert_eq!(said["backdrop"]["mirrored"], true);
    assert_eq!(said["backdrop"]["window_px"][2], 200.0);
    assert_eq!(said["levels"].as_array().unwrap().len(), 2);
    assert_eq!(said["levels"][1]["surface"], "water");
    let said =
        room.run("read marsh --sun none --haze none --no-mirror --level bank=0.5 --json").fine().json();
    assert_eq!((said["has_sun"].as_bool(), said["visibility_m"].as_f64()), (Some(false), None));
    assert_eq!(said["levels"][0]["height_m"], 0.5);
    assert_eq!(said["levels"].as_array().unwrap().len(), 2);
}

#[test]
fn numbers_that_are_none_are_refused_and_change_nothing() {
    let room = Room::with_marsh();
    for (words, code, said) in [
        ("--camera-height nan", 2, "--camera-height"),
        ("--camera-height 0", 2, "more than 0"),
        ("--camera-height -1.3", 2, "1.7m"),
        ("--camera-height 1e999", 2, "--camera-height"),
        ("--pitch inf", 2, "--pitch"),
        ("--pitch 120", 1, "-89 to 89"),
        ("--focus 0", 2, "--focus"),
        ("--focus -4", 2, "--focus"),
        ("--focus 0.02", 1, "focus"),
        ("--f-number 0", 1, "f-number"),
        ("--f-number -2", 1, "f-number"),
        ("--sensor 0mm", 2, "--sensor"),
        ("--haze 0m", 2, "--haze"),
        ("--sun -40,95,1@5000K", 1, "height"),
        ("--sun 3", 2, "--sun"),
        ("--sky-level 0.5@200K", 1, "kelvin"),
        ("--white-balance 90000", 1, "white balance"),
        ("--blades 2", 2, "3 to 16"),
        ("--haze-colour 1,1,1", 1, "haze"),
        ("--window 0,0,0", 2, "--window"),
        ("--level =3", 2, "--level"),
        ("--horizon 80 --pitch 2", 2, "--pitch"),
    ] {
        room.refuses(&format!("read marsh {words}"), code, &[said]);
    }
}

/// What was seen in the photograph is the horizon; pitch and roll follow from it and the lens.
#[test]
fn a_horizon_stays_where_it_was_seen_whatever_the_lens() {
    let room = Room::with_marsh();
    let camera =
        |words: &str| room.run(&format!("read marsh {words} --json")).fine().json()["camera"].clone();
    let seen = camera("--horizon 20,70,220,64");
    let (row, pitch) = (seen["horizon_px"].as_f64().unwrap(), seen["pitch_deg"].as_f64().unwrap());
    assert_eq!(seen["attitude_from"], "read");
    let longer = camera("--focal 72");
    assert!((longer["horizon_px"].as_f64().unwrap() - row).abs() < 1e-9, "{longer}");
    assert!((longer["pitch_deg"].as_f64().unwrap() - pitch).abs() > 1.0, "{longer}");
    assert!((longer["roll_deg"].as_f64().unwrap() - seen["roll_deg"].as_f64().unwrap()).abs() < 1e-6);
    // A pitch that is said is no horizon any more: it stays, whatever the sensor.
    let said = camera("--pitch 3");
    assert_eq!(said["attitude_from"], "given");
    assert_eq!(camera("--sensor 24")["pitch_deg"], 3.0);
    assert_ne!(camera("--sensor 36")["horizon_px"], camera("--sensor 24")["horizon_px"]);
}

#[test]
fn a_mirrored_backdrop_takes_camera_and_sun_with_it() {
    let room = Room::with_marsh();
    room.run("read marsh --roll 4 --sun -40,25,1,1,1 --window 0,20,150").fine();
    let told = room.run("read marsh --mirror").fine();
    assert!(told.out.contains("Backdrop mirrored, with its camera and sun"), "{told:?}");
    let now = room.run("read marsh --json").fine().json();
    assert_eq!(now["backdrop"]["window_px"][0], 90.0);
    assert_eq!((&now["camera"]["roll_deg"], &now["sun"]["bearing_deg"]), (&(-4.0).into(), &40.0.into()));
    room.run("undo marsh").fine();
    let now = room.run("read marsh --mirror --roll 1 --sun 5,25,1,1,1 --json").fine().json();
    assert_eq!((&now["camera"]["roll_deg"], &now["sun"]["bearing_deg"]), (&1.0.into(), &5.0.into()));
}

/// Another shape shows what was seen; what stands keeps its mark, and its place over the photograph.
#[test]
fn the_frame_of_a_picture_can_be_changed() {
    let room = Room::with_post();
    // How tall the post is, and where the horizon runs, in pixels of the photograph.
    let foot = |room: &Room| {
        let said = room.run("read marsh --json").fine().json();
        let window = |i: usize| said["backdrop"]["window_px"][i].as_f64().unwrap();
        let scale = window(2) / said["width_px"].as_f64().unwrap();
        let card = room.card("post");
        let tall = card["height_px"].as_f64().unwrap() * scale;
        let horizon = window(1) + said["camera"]["horizon_px"].as_f64().unwrap() * scale;
        (said, [tall, horizon], card["z_m"].clone())
    };
    let (_, before, mark) = foot(&room);
    for (words, size, window) in [
        ("--size 80x80", (80, 80), [40.0, 0.0, 160.0]),
        ("--print 10x15cm --ppi 25.4", (100, 150), [66.666_666, 0.0, 106.666_666]),
        ("--size 120x80", (120, 80), [0.0, 0.0, 240.0]),
        ("--size 60x40 --window -24,-16,288", (60, 40), [-24.0, -16.0, 288.0]),
    ] {
        let told = room.run(&format!("read marsh {words}")).fine();
        assert!(told.out.starts_with("Picture "), "{told:?}");
        let (said, now, at) = foot(&room);
        assert_eq!((said["width_px"].as_u64(), said["height_px"].as_u64()), (Some(size.0), Some(size.1)));
        for (i, wanted) in window.iter().enumerate() {
            let found = said["backdrop"]["window_px"][i].as_f64().unwrap();
            assert!((found - wanted).abs() < 1e-4, "{words}: {found} for {wanted}");
        }
        assert_eq!(at, mark);
        assert!(
            (now[0] - before[0]).abs() < 0.01 && (now[1] - before[1]).abs() < 0.01,
            "{words}: {now:?} {before:?}"
        );
    }
    room.run("undo marsh 4").fine();
    assert_eq!(foot(&room).1, before);
    // Before there is a photograph, the camera sees the picture itself.
    room.run("new bare --size 120x80").fine();
    room.run("read bare --camera-height 1 --pitch 0 --focal 36 --sensor 36 --size 80x120").fine();
    let said = room.run("read bare --json").fine().json();
    assert_eq!(said["camera"]["horizon_px"], 60.0, "{said}");
    room.refuses("read marsh --ppi 300", 2, &["how large"]);
    room.refuses("read marsh --size 0x40", 2, &["--size"]);
}
