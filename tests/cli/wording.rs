//! That what is said is taken as it is said: nothing is accepted and ignored, and answers speak in the words of the question.

use crate::support::{Room, backdrop, extras};
use std::fs;

fn close(value: &serde_json::Value, wanted: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() < 1e-6 * wanted.abs().max(1.0), "{value} is not {wanted}");
}

#[test]
fn what_is_stated_is_given_though_it_is_what_was_assumed() {
    let room = Room::new();
    room.run("new marsh --size 120x80").fine();
    let before = room.run("read marsh").fine().out;
    assert!(before.contains("35 mm (assumed) on 36 mm (assumed)"), "{before}");
    let said = room.run("read marsh --focal 35 --sensor 36").fine().out;
    assert!(said.starts_with("Focal length, sensor width stated"), "{said}");
    assert!(said.contains("35 mm (given) on 36 mm (given)"), "{said}");
    let missing = &said[said.find("Missing before pieces can stand rightly").unwrap()..];
    assert!(!missing.contains("--focal") && !missing.contains("--sensor"), "{said}");
    // Pitch alone is not height; aperture alone is not focus.
    let camera = room.run("read marsh --pitch 0 --f-number 8 --json").fine().json()["camera"].clone();
    for (field, from) in [
        ("attitude_from", "given"),
        ("height_from", "assumed"),
        ("f_number_from", "given"),
        ("focus_from", "assumed"),
    ] {
        assert_eq!(camera[field], from, "{field}: {camera}");
    }
    room.run("read marsh --camera-height 1.6 --focus 5 --sky-level 1,1,1").fine();
    let known = room.run("read marsh --json").fine().json();
    assert!(known["missing"].as_array().unwrap().iter().all(|m| m["what"] == "backdrop"), "{known}");
    room.run("undo marsh 3").fine();
    assert!(room.run("read marsh").fine().out.contains("35 mm (assumed)"));
}

#[test]
fn light_and_air_are_told_with_their_numbers() {
    let room = Room::with_marsh();
    let words = "read marsh --sky-level -1EV@8500K --sun -40,12,2.5@4800K --haze 320m --haze-colour 0.2,0.3,0.4 --ground 0.1,0.2,0.3";
    let said = room.run(words).fine().out;
    for text in [
        "0.5@8500K on a level card",
        "0.5,0.5,0.5 on an upright one",
        "sun: 40° to the left, 12° high, 2.5@4800K",
        "visibility 320 m, colour 0.2,0.3,0.4",
        "the ground returns 0.1,0.2,0.3",
    ] {
        assert!(said.contains(text), "{text}: {said}");
    }
    let known = room.run("read marsh --json").fine().json();
    close(&known["sun"]["bearing_deg"], -40.0);
    close(&known["sun"]["height_deg"], 12.0);
    close(&known["sun"]["light"]["strength"], 2.5);
    close(&known["sky_level"]["cct_k"], 8500.0);
    close(&known["haze_rgb"][2], 0.4);
    close(&known["ground_rgb"][0], 0.1);
}

#[test]
fn two_of_size_print_and_resolution_give_the_third() {
    let room = Room::new();
    let said = room.run("new a --size 600x400 --ppi 300 --json").fine().json();
    close(&said["print_width_mm"], 50.8);
    close(&room.run("new b --size 600x400 --print 60x40cm --json").fine().json()["ppi"], 25.4);
    room.run("new c --size 7087x4724 --print 60x40cm --ppi 300").fine();
    room.run("new d --size 100x100 --print 60x40cm").refused(2, &["shape", "--size", "--print"]);
    room.run("new d --size 600x400 --print 60x40cm --ppi 300").refused(2, &["7087 x 4724", "two of them"]);
    room.run("new d --size 600x400 --ppi 0").refused(2, &["--ppi", "1 to 10000"]);
    assert!(!room.join("d").exists());
}

#[test]
fn a_piece_without_a_mark_stands_where_the_lens_is_focused() {
    let room = Room::new();
    room.run("new marsh --size 120x80").fine();
    extras(&room);
    room.refuses("place marsh add cut --shot cut.png", 2, &["--at", "--focus"]);
    room.run("read marsh --camera-height 1 --focus inf").fine();
    room.refuses("place marsh add cut --shot cut.png", 2, &["--at"]);
    room.run("read marsh --focus 4").fine();
    room.run("place marsh add cut --shot cut.png").fine();
    close(&room.card("cut")["z_m"], 4.0);
    room.run("place marsh add lantern --cut-out cut --attached-to cut --lift 1").fine();
    close(&room.card("lantern")["z_m"], 0.0);
    assert!(room.run("place marsh add --help").fine().out.contains("focused at"));
}

#[test]
fn facts_of_a_cut_out_in_the_picture_are_not_dropped() {
    let room = Room::with_post();
    room.refuses(
        "place marsh add b --cut-out post --at 1,4 --height 3 --foot 1,1",
        2,
        &["facts", "--cut-out"],
    );
    room.refuses("place marsh add b --cut-out post --at 1,4 --never-mirror", 2, &["facts"]);
}

#[test]
fn pins_speak_as_the_card_does() {
    let room = Room::with_post();
    room.run("read marsh --white-balance 6500K").fine();
    room.run("place marsh facts post --height 2m").fine();
    let said = room.run("place marsh pin post size=50 warmth=5000K").fine().out;
    assert!(said.contains("50 px pinned") && said.contains("5000 K pinned"), "{said}");
    assert!(said.contains("size pinned at 50 px"), "{said}");
    let card = room.card("post");
    close(&card["height_px"], 50.0);
    close(&card["size"]["result_px_per_m"], 25.0);
    assert!((card["warmth"]["result_k"].as_f64().unwrap() - 5000.0).abs() < 1.0, "{card}");
    room.run("place marsh pin post size=30px/m").fine();
    close(&room.card("post")["height_px"], 60.0);
    for wrong in ["warmth=0", "warmth=99000", "size=0", "size=-4"] {
        room.refuses(&format!("place marsh pin post {wrong}"), 2, &["give"]);
    }
    // A nudge on what is pinned is not applied, and the card says that it waits.
    let said = room.run("place marsh nudge post size=+4%").fine().out;
    assert!(said.contains("60 px pinned (+4% once released)"), "{said}");
    let said = room.run("place marsh release post size").fine().out;
    assert!(said.contains("(+4%)") && !said.contains("size pinned"), "{said}");
}

#[test]
fn a_known_height_stands_on_the_ground() {
    let room = Room::with_marsh();
    // The horizon is at row 80 of the photograph.
    for wrong in [
        "120,70,120,50,1.7m",
        "120,80,120,50,1.7m",
        "120,110,120,150,1.7m",
        "120,110,120,110,1.7m",
        "120,150,180,140,1.7m",
    ] {
        room.refuses(&format!("read marsh --known {wrong}"), 1, &["foot below the horizon"]);
    }
    room.run("read marsh --known 120,150,120,110,1m").fine();
    // Standing higher than the camera is well: the top lies above the horizon.
    room.run("read marsh --known 120,100,123,40,3m").fine();
}

#[test]
fn what_must_not_be_mirrored_is_not() {
    let room = Room::with_post();
    room.run("place marsh add b --cut-out post --at 1,4 --mirror").fine();
    room.run("place marsh facts post --never-mirror").fine();
    let found = room.run("check marsh");
    assert_eq!(found.code, 1, "{found:?}");
    assert!(found.out.contains("Snag 1: b: is mirrored"), "{found:?}");
    room.refuses("place marsh stand post --mirror", 1, &["no mirror image of post"]);
    room.refuses("place marsh add c --cut-out post --at 1,4 --mirror", 1, &["no mirror image of post"]);
    room.run("place marsh stand b --no-mirror").fine();
    room.run("check marsh").fine();
}

#[test]
fn what_is_not_seen_is_remarked_and_hinders_nothing() {
    let room = Room::with_post();
    assert!(!room.run("check marsh").fine().out.contains("Note"));
    let said = room.run("place marsh add aside --cut-out post --at 40,4").fine().out;
    assert!(said.contains("aside: is not seen: it stands outside the picture"), "{said}");
    let said = room.run("place marsh add tiny --cut-out post --at 0,60").fine().out;
    assert!(said.contains("tiny: is 2 px high"), "{said}");
    // Its feet are cut by the lower edge, as those of what stands near are.
    let said = room.run("place marsh add near --cut-out post --at 0,1.2").fine().out;
    assert!(!said.contains("near: "), "{said}");
    let found = room.run("check marsh").fine().out;
    assert!(found.contains("Note: aside is not seen") && found.contains("No snags"), "{found}");
    assert_eq!(room.card("aside")["remarks"].as_array().unwrap().len(), 1);
}

#[test]
fn a_card_says_what_is_assumed_and_what_is_not_cast() {
    let room = Room::with_marsh();
    extras(&room);
    room.run("read marsh --level pool=0,water").fine();
    let said = room.run("place marsh add cut --shot cut.png --at 0,4 --level pool").fine().out;
    assert!(said.contains("1.7 m (assumed)") && !said.contains("100%"), "{said}");
    assert_eq!(room.card("cut")["casts_shadow"], false);
    let said = room.run("place marsh nudge cut h=5ft").fine().out;
    assert!(said.contains("1.52 m") && !said.contains("(assumed)"), "{said}");
    // On dry ground it hides some of the sky, without a sun too.
    room.run("place marsh move cut --at 0,4 --level ground").fine();
    assert!(room.run("place marsh list").fine().out.contains("100%"));
    assert_eq!(room.card("cut")["casts_shadow"], true);
}

#[test]
fn a_lamp_in_the_wings_is_dark() {
    let room = Room::with_post();
    room.run("place marsh add bearer --cut-out post --at 0.5,4").fine();
    let dark = room.card("post")["light"]["computed_stops"].as_f64().unwrap();
    room.run("light marsh add lantern --at 0,0.8,-0.5 --on bearer --strength 4@2400K").fine();
    assert!(room.card("post")["light"]["computed_stops"].as_f64().unwrap() > dark + 0.5);
    room.run("place marsh hide bearer").fine();
    close(&room.card("post")["light"]["computed_stops"], dark);
    assert!(room.run("light marsh list").fine().out.contains("bearer (wings: dark)"));
    // A treatment around it works where it is, not everywhere.
    room.run("tone marsh add exposure --stops 1 --within 1m:lantern:0m").fine();
    assert!(room.run("render marsh -o a.png --depth 8").fine().out.contains("120 x 80"));
    let (lit, whole) = (crate::support::samples8(&room.join("a.png")), 120 * 80 * 3);
    room.run("undo marsh").fine();
    room.run("render marsh -o b.png --depth 8").fine();
    let unlit = crate::support::samples8(&room.join("b.png"));
    let changed = lit.iter().zip(&unlit).filter(|(a, b)| a != b).count();
    assert!(changed < whole / 2, "{changed} of {whole} samples");
}

#[test]
fn cut_outs_are_listed_and_called_otherwise() {
    let room = Room::with_post();
    let white = |x: u32, y: u32| (20..40).contains(&x) && (10..60).contains(&y);
    crate::support::matte(&room.join("half.png"), 60, 120, white);
    room.run("place marsh add half --shot post.png --matte half.png --at 1,4 --height 50cm").fine();
    let list = room.run("place marsh cut-outs --json").fine().json()["cutouts"].clone();
    assert_eq!((&list[0]["name"], &list[1]["name"]), (&"post".into(), &"post-2".into()));
    assert_eq!((&list[1]["matte"], &list[1]["pieces"][0]), (&"half.png".into(), &"half".into()));
    room.run("place marsh facts post-2 --name upper_half --height 60cm").fine();
    let shown = room.run("place marsh cut-outs").fine().out;
    assert!(shown.contains("upper half") && shown.contains("0.6 m"), "{shown}");
    room.run("place marsh swap half post").fine();
}

#[test]
fn names_are_names() {
    let room = Room::with_post();
    let rename = |name: &str| room.command(["place", "marsh", "rename", "post", name].map(String::from));
    for wrong in ["", "  ", "a\u{7}b", "a\nb"] {
        rename(wrong).refused(2, &["name"]);
    }
    room.refuses("read marsh --level ground=1", 2, &["ground", "another name"]);
    room.run("light marsh add lamp --at 0,1,0 --strength 1@3000K --on post").fine();
    room.refuses("place marsh remove post", 1, &["the lamp lamp"]);
    room.refuses(
        "tone marsh add exposure --stops 1 --within 4m:lapm",
        1,
        &["nothing called lapm", "--within", "did you mean lamp?"],
    );
    room.refuses("place marsh stand post --facing lapm", 1, &["to face", "did you mean lamp?"]);
}

#[test]
fn numbers_are_shown_as_people_write_them() {
    let room = Room::with_post();
    room.refuses("place marsh nudge post size=-100%", 1, &["post, size nudge", "0.001 to 1000"]);
    room.refuses("place marsh move post --at 0,1e9", 1, &["post, mark, away"]);
    room.refuses("read marsh --camera-height 1e300", 1, &["is 1e300"]);
    room.refuses("undo marsh 0", 2, &["1 or more"]);
    room.refuses("render marsh --width 0", 2, &["1 or more"]);
    room.refuses("render marsh --ppi 0", 2, &["1 to 10000"]);
    room.refuses("render marsh --ppi 1e300", 2, &["1 to 10000"]);
    room.refuses("render marsh -o a.jpg --quality 0", 2, &["1 to 100"]);
    room.refuses("render marsh --memory 100KB", 2, &["too little", "1MB"]);
    room.run("render marsh -o a.png --memory 2GiB").fine();
    room.run("render marsh -o b.png --memory 900000KiB").fine();
}

#[test]
fn treatments_are_listed_and_their_places_count_from_one() {
    let room = Room::with_post();
    let help = room.run("tone marsh add --help").fine().out;
    for treatment in ["veil", "edge-fall-off", "grain", "characteristic-curve", "sharpness"] {
        assert!(help.contains(treatment), "{treatment}");
    }
    room.run("tone marsh add exposure --stops 1").fine();
    room.refuses("tone marsh move exposure 2", 1, &["there is no place 2", "only one"]);
    room.run("tone marsh add grain").fine();
    room.refuses("tone marsh move grain 99", 1, &["there is no place 99", "1 to 2"]);
    room.refuses("tone marsh move grain 0", 2, &["1 or more"]);
    room.run("tone marsh move grain 1").fine();
}

#[test]
fn a_group_is_told_by_what_it_is_about() {
    let room = Room::with_marsh();
    let said = room.run("place marsh add post --shot post.png --matte post-matte.png --at 0.4,4").fine().out;
    assert!(said.starts_with("post stands 4 m away, 0.4 m right\n"), "{said}");
    backdrop(&room.join("other.png"), 120, 80);
    assert!(room.run("read marsh other.png").fine().out.starts_with("Backdrop other.png"));
    assert!(fs::read_to_string(room.join("marsh/journal.ndjson")).unwrap().contains("post stands"));
}
