//! `place` and `light`: pieces, cards, lamps.

use crate::support::{Room, extras, matte, post};
use std::fs;
use units::math;

fn close(value: &serde_json::Value, wanted: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() < 1e-6 * wanted.abs().max(1.0), "{value} is not {wanted}");
}

#[test]
fn a_piece_stands_where_its_mark_says() {
    let room = Room::with_post();
    let card = room.card("post");
    // F = 36/36 * 120 px; at 4 m, 30 px to the metre; the post is 1 m.
    close(&card["depth_m"], 4.0);
    close(&card["size"]["computed_px_per_m"], 30.0);
    close(&card["height_m"], 1.0);
    close(&card["height_px"], 30.0);
    close(&card["defocus"]["computed_px"], 0.0);
    assert!(room.join("marsh/sources").read_dir().unwrap().count() == 3);
}

#[test]
fn moving_keeps_nudges_and_computes_the_rest() {
    let room = Room::with_post();
    room.run("place marsh nudge post size=+6% light=+0.3 warmth=-20 defocus=x1.2 haze=+10% shadow=50%")
        .fine();
    room.run("place marsh move post --by 0,-2").fine();
    let card = room.card("post");
    close(&card["depth_m"], 2.0);
    close(&card["size"]["computed_px_per_m"], 60.0);
    close(&card["size"]["nudge_factor"], 1.06);
    close(&card["size"]["result_px_per_m"], 63.6);
    close(&card["light"]["nudge_stops"], 0.3);
    close(&card["warmth"]["nudge_mired"], -20.0);
    // (f²/N)/(s-f) |d-s|/d, f = 36 mm, N = 2, s = 4 m, d = 2 m, on 36 mm and 120 px.
    let disc = 0.036 * 0.036 / 2.0 / (4.0 - 0.036) * 1.0 / 0.036 * 120.0;
    close(&card["defocus"]["computed_px"], disc);
    close(&card["defocus"]["result_px"], disc * 1.2);
    close(&card["shadow"]["result_share"], 0.5);
    // The same in the card's letters; a nudge is the whole nudge.
    room.run("place marsh nudge post s=+6% e=-1/3 d=3 h=2m v=lens").fine();
    let card = room.card("post");
    close(&card["depth_m"], 3.0);
    close(&card["height_m"], 2.0);
    close(&card["size"]["nudge_factor"], 1.06);
    close(&card["light"]["nudge_stops"], -1.0 / 3.0);
    assert_eq!(card["facing"], "lens");
    room.run("place marsh nudge post d=-0.5").fine();
    close(&room.card("post")["depth_m"], 2.5);
}

#[test]
fn rows_are_pinned_released_and_left_as_photographed() {
    let room = Room::with_post();
    room.run("place marsh nudge post size=+10%").fine();
    room.run("place marsh pin post size light=-1").fine();
    room.run("place marsh move post --at 0,8").fine();
    let card = room.card("post");
    assert_eq!(card["size"]["basis"], "pinned");
    // As it was: 30 px/m and a tenth more.
    close(&card["size"]["result_px_per_m"], 33.0);
    close(&card["size"]["computed_px_per_m"], 15.0);
    close(&card["light"]["result_stops"], -1.0);
    room.run("place marsh release post size").fine();
    let card = room.card("post");
    assert_eq!(
        (card["size"]["basis"].as_str(), card["light"]["basis"].as_str()),
        (Some("computed"), Some("pinned"))
    );
    room.run("place marsh as-photographed post").fine();
    let card = room.card("post");
    for row in ["size", "defocus", "light", "warmth", "haze", "shadow"] {
        assert_eq!(card[row]["basis"], "as photographed", "{row}");
    }
    close(&card["light"]["result_stops"], 0.0);
}

#[test]
fn a_cut_out_serves_again_with_alpha_or_as_light() {
    let room = Room::with_post();
    extras(&room);
    room.run("place marsh add post-2 --cut-out post --at 1,6 --mirror --lift 0.2").fine();
    // The same files are the same cut-out.
    room.run("place marsh add post-3 --shot post.png --matte post-matte.png --at -1,6").fine();
    room.run(
        "place marsh add cut --shot cut.png --at 0,3 --height 30cm --stance facing-lens --lean 5 --turn -3",
    )
    .fine();
    room.run("place marsh add sparks --shot sparks.png --additive --at 0,3.5").fine();
    let facts = room.run("place marsh facts post --json").fine().json();
    assert_eq!(facts["pieces"].as_array().unwrap().len(), 3);
    assert_eq!(facts["height_m"], 1.0);
    assert_eq!(room.card("sparks")["shows"], "sparks");
    assert_eq!(room.card("post-2")["mirrored"], true);
    let listed = room.run("place marsh list").fine().out;
    let order: Vec<usize> = ["cut", "sparks", "post-2"].iter().map(|n| listed.find(n).unwrap()).collect();
    assert!(order.is_sorted(), "nearest first: {listed}");
    for letter in [
        "d distance",
        "h height",
        "s size",
        "f defocus",
        "e light",
        "w warmth",
        "a haze",
        "v view",
        "k shadow",
    ] {
        assert!(listed.contains(letter), "{letter}");
    }
}

#[test]
fn views_of_a_prop_turn_to_what_they_face() {
    let room = Room::with_marsh();
    room.run("place marsh view --shot post.png --matte post-matte.png --prop crane --bearing 0 --name front --height 1m").fine();
    fs::copy(room.join("post.png"), room.join("side.png")).unwrap();
    // Another file of other bytes: the same picture as a TIFF.
    let shot = crate::support::picture(&room.join("post.png"));
    assert_eq!(shot.size().width(), 60);
    extras(&room);
    room.run("place marsh view --shot cut.png --prop crane --bearing 90 --name side --height 1m").fine();
    room.run("place marsh add crane --cut-out front --at 0,4 --facing 3,4").fine();
    let card = room.card("crane");
    assert_eq!((card["shows"].as_str(), card["mirrored"].as_bool()), (Some("side"), Some(false)));
    close(&card["facing_missed_by_deg"], 0.0);
    room.run("place marsh stand crane --facing -3,4").fine();
    assert_eq!(room.card("crane")["mirrored"], true);
    room.run("place marsh stand crane --facing lens").fine();
    assert_eq!(room.card("crane")["shows"], "front");
    assert!(room.run("place marsh views").fine().out.contains("No view is wanting"));
}

#[test]
fn views_that_are_missed_would_be_worth_photographing() {
    let room = Room::with_marsh();
    room.run("place marsh view --shot post.png --matte post-matte.png --prop crane --bearing 0 --name front --height 1m").fine();
    // From five metres away and 2.5 m up: 22 degrees down on its middle.
    room.run("place marsh facts front --eye-height 2.5m --camera-distance 5m").fine();
    // Turned by 45 degrees to the right and to the left, for which one view and its mirror image would do; and by 90.
    for (name, at, facing) in
        [("a", "0,5", "2,3"), ("b", "0.2,5", "-1.8,3"), ("c", "-1,6", "1,6.2"), ("d", "1,5", "lens")]
    {
        room.run(&format!("place marsh add {name} --cut-out front --at {at} --facing {facing}")).fine();
    }
    let card = room.card("d");
    close(&card["facing_missed_by_deg"], 0.0);
    // The picture's camera looks at it from its own height over its middle, from farther away.
    let eye = room.run("read marsh --json").fine().json()["camera"]["height_m"].as_f64().unwrap_or(1.5);
    let seen = math::degrees(math::atan((eye - 0.5) / 26f64.sqrt()));
    let miss = card["height_of_view_missed_by_deg"].as_f64().unwrap();
    assert!((miss - (math::degrees(math::atan(0.4)) - seen)).abs() < 0.5, "{miss} {eye} {card}");
    let views = room.run("place marsh views --json").fine().json()["views"].clone();
    let of = |i: usize| {
        views[i]["pieces"].as_array().unwrap().iter().map(|p| p.as_str().unwrap()).collect::<Vec<_>>()
    };
    assert_eq!((of(0), of(1)), (vec!["a", "b"], vec!["c"]), "{views}");
    let bearing = views[0]["bearing_deg"].as_f64().unwrap().abs();
    assert!((bearing - 45.0).abs() < 4.0 && views[0]["off_deg"].as_f64().unwrap() > 40.0, "{views}");
    assert!(views[0]["distance_m"].as_f64().unwrap() > 4.9 && views[0]["height_px"].as_f64().unwrap() > 5.0);
    let told = room.run("place marsh views").fine().out;
    assert!(told.contains("crane") && told.contains("a, b"), "{told}");
}

#[test]
fn pieces_are_carried_hidden_renamed_swapped_and_removed() {
    let room = Room::with_post();
    room.run("place marsh add lantern --cut-out post --at 0.5,4.5 --lift 0.5").fine();
    room.run("place marsh attach lantern post").fine();
    let card = room.card("lantern");
    assert_eq!(card["attached_to"], "post");
    close(&card["x_m"], 0.5);
    close(&card["z_m"], 0.5);
    room.run("place marsh move post --by 0,2").fine();
    close(&room.card("lantern")["depth_m"], 6.5);
    room.refuses("place marsh attach post lantern", 1, &["carr"]);
    room.refuses("place marsh remove post", 1, &["lantern"]);
    room.run("place marsh detach lantern").fine();
    close(&room.card("lantern")["z_m"], 6.5);
    room.run("place marsh hide l*").fine();
    assert_eq!(room.card("lantern")["hidden"], true);
    assert!(room.card("lantern")["depth_m"].is_null());
    room.run("place marsh show all").fine();
    room.run("place marsh rename lantern light_1").fine();
    room.run("place marsh subject light_1").fine();
    assert_eq!(room.card("light 1")["is_subject"], true);
    room.run("place marsh subject none").fine();
    room.run("place marsh in-front light_1 --region 10,10 50,10 50,60").fine();
    room.run("place marsh in-front light_1 --what post --region 10,10 50,10 50,60").fine();
    assert_eq!(room.card("light 1")["in_front"], serde_json::json!(["backdrop", "post"]));
    room.run("place marsh in-front light_1 --what post --lift-off").fine();
    assert_eq!(room.card("light 1")["in_front"], serde_json::json!(["backdrop"]));
    room.refuses(
        "place marsh in-front light_1 --what post --lift-off",
        1,
        &["nothing was put in front of it"],
    );
    room.run("place marsh in-front light_1 --lift-off").fine();
    assert_eq!(room.card("light 1")["in_front"], serde_json::json!([]));
    room.run("undo marsh").fine();
    room.run("place marsh remove post").fine();
    assert_eq!(room.run("place marsh list --json").fine().json()["pieces"].as_array().unwrap().len(), 1);
}

#[test]
fn set_ups_hold_what_shots_share() {
    let room = Room::with_post();
    let white = "--white 1.5:0.91,0.89,0.86 0.1:0.97,0.95,0.91";
    room.run(&format!(
        "place marsh set-up studio --cct 5450K --white-balance 5600K --camera-distance 5m {white}"
    ))
    .fine();
    let before = room.card("post")["light"]["computed_stops"].as_f64().unwrap();
    room.run("place marsh facts post --set-up studio --bearing 30 --eye-height 1.2").fine();
    let facts = room.run("place marsh facts post --json").fine().json();
    assert_eq!((facts["set_up"].as_str(), facts["bearing_deg"].as_f64()), (Some("studio"), Some(30.0)));
    // What was not said stays.
    assert_eq!(facts["height_m"], 1.0);
    let after = room.card("post")["light"]["computed_stops"].as_f64().unwrap();
    assert!((before - after).abs() > 0.1, "the exposure follows from the reading: {before} {after}");
    room.refuses("place marsh facts post --set-up studoi", 1, &["did you mean studio?"]);
}

#[test]
fn lamps_shine_on_pieces_and_move_with_them() {
    let room = Room::with_post();
    let dark = room.card("post")["light"]["computed_stops"].as_f64().unwrap();
    room.run("light marsh add lantern --at 0.3,0.8,3.5 --strength 4@2400K --radius 5cm").fine();
    let card = room.card("post");
    assert!(card["light"]["computed_stops"].as_f64().unwrap() > dark + 0.5, "{card}");
    assert!(card["warmth"]["computed_mired"].as_f64().unwrap() > 20.0, "{card}");
    // Fixed to the post, it stays where it is.
    room.run("light marsh change lantern --on post --reach 3m --floor 1%").fine();
    let lamp = room.run("light marsh list --json").fine().json()["lamps"][0].clone();
    close(&lamp["at_m"][2], -0.5);
    assert_eq!((lamp["on"].as_str(), lamp["reach_m"].as_f64()), (Some("post"), Some(3.0)));
    room.run("light marsh change lantern --no-reach").fine();
    room.refuses("light marsh add torch --at 0,1,2", 1, &["--strength"]);
    room.refuses("light marsh remove lantrn", 1, &["did you mean lantern?"]);
    room.run("light marsh remove lantern").fine();
    assert!(room.run("light marsh list").fine().out.contains("no lamp"));
}

#[test]
fn what_cannot_come_in_leaves_nothing_behind() {
    let room = Room::with_marsh();
    post(&room);
    matte(&room.join("small.png"), 30, 60, |_, _| true);
    matte(&room.join("clear.png"), 60, 120, |_, _| false);
    let whole = fs::read(room.join("post.png")).unwrap();
    fs::write(room.join("cut-short.png"), &whole[..whole.len() / 2]).unwrap();
    fs::write(room.join("letter.png"), "Dear sitter,").unwrap();
    fs::write(room.join("empty.jpg"), "").unwrap();
    fs::create_dir(room.join("folder.png")).unwrap();
    for (words, code, said) in [
        ("--shot nowhere.png --matte post-matte.png --at 0,4", 3, "nowhere.png"),
        ("--shot cut-short.png --matte post-matte.png --at 0,4", 3, "cut-short.png"),
        ("--shot letter.png --matte post-matte.png --at 0,4", 3, "letter.png"),
        ("--shot empty.jpg --at 0,4", 3, "empty"),
        ("--shot folder.png --at 0,4", 3, "folder"),
        ("--shot post.png --matte small.png --at 0,4", 3, "30 x 60"),
        ("--shot post.png --matte clear.png --at 0,4", 3, "nothing is cut out"),
        ("--shot post.png --matte post.png --at 0,4", 3, "coloured"),
        ("--shot post.png --matte post-matte.png --at 0,0", 1, "behind the camera"),
        ("--shot post.png --matte post-matte.png --at 0,-3", 1, "behind the camera"),
        ("--shot post.png --matte post-matte.png --at nan,4", 2, "--at"),
        ("--shot post.png --matte post-matte.png --at 4", 2, "--at"),
        ("--shot post.png --matte post-matte.png --at 0,1e9", 1, "mark"),
        ("--shot post.png --matte post-matte.png --at 0,4 --height 0", 2, "--height"),
        ("--shot post.png --matte post-matte.png --at 0,4 --height -1m", 2, "--height"),
        ("--shot post.png --matte post-matte.png --at 0,4 --per-metre 0", 2, "--per-metre"),
        ("--shot post.png --matte post-matte.png --at 0,4 --level bank", 1, "level"),
        ("--shot post.png --matte post-matte.png --at 0,4 --facing sitter", 1, "sitter"),
        ("--shot post.png --matte post-matte.png --at 0,4 --set-up studio", 1, "set-up"),
        ("--shot post.png --matte post-matte.png --additive --at 0,4", 2, "--additive"),
        ("--cut-out post --at 0,4", 1, "cut-out"),
        ("--at 0,4", 2, "--shot"),
    ] {
        room.refuses(&format!("place marsh add thing {words}"), code, &[said]);
    }
}

#[test]
fn a_mislabelled_photograph_is_read_by_its_content() {
    let room = Room::with_marsh();
    fs::copy(room.join("post.png"), room.join("post.jpg")).unwrap();
    room.run("place marsh add post --shot post.jpg --matte post-matte.png --at 0,4 --height 1m").fine();
    close(&room.card("post")["height_px"], 30.0);
}

#[test]
fn names_that_are_none_are_answered_with_the_nearest() {
    let room = Room::with_post();
    room.run("place marsh add crane --cut-out post --at 1,5").fine();
    room.refuses("place marsh move carne --at 1,4", 1, &["carne", "did you mean crane?"]);
    room.refuses("place marsh nudge sitter size=+6%", 1, &["there are: crane, post"]);
    room.refuses("place marsh nudge reed* size=+6%", 1, &["reed*"]);
    room.refuses("place marsh move crane --at 1,4 --level bnak", 1, &["bnak"]);
    room.refuses("place marsh nudge crane sise=+6%", 2, &["size (s)"]);
    room.refuses("place marsh nudge crane size=6", 2, &["+6%"]);
    room.refuses("place marsh nudge crane size=-100%", 1, &["nudge"]);
    room.refuses("place marsh nudge crane d=-9", 1, &["behind the camera"]);
    room.refuses("place marsh move crane --at 1,0", 1, &["behind the camera"]);
    room.run("place marsh add crane --cut-out post --at 2,5").fine();
    room.refuses("place marsh move crane --at 1,4", 1, &["2 are called crane", "#"]);
}

#[test]
fn the_subject_stays_as_it_was_photographed_whatever_its_height() {
    let room = Room::with_post();
    // A lamp just above: a metre more or less of height is stops of light.
    room.run("light marsh add lamp --at 0.1,0.5,3.9 --strength 1@2500K").fine();
    room.run("place marsh subject post").fine();
    let card = room.card("post");
    close(&card["light"]["computed_stops"], 0.0);
    assert!(!room.run("place marsh list").fine().out.contains("counted from"), "there is nothing else");
    room.run("place marsh add crane --cut-out post --at 1,5").fine();
    assert!(room.run("place marsh list").fine().out.contains("counted from post, the subject"));
    for height in ["30cm", "3m"] {
        room.run(&format!("place marsh facts post --height {height}")).fine();
        close(&room.card("post")["light"]["computed_stops"], 0.0);
    }
}

#[test]
fn a_stand_in_holds_the_place_until_there_is_a_shot() {
    let room = Room::with_post();
    room.refuses("place marsh add her --stand-in figure --at 0.5,5", 2, &["something is missing"]);
    room.run("place marsh add her --stand-in figure --height 1.62m --at 0.5,5").fine();
    room.run("place marsh add him --cut-out stand-in-figure --at -0.5,6").fine();
    room.run("place marsh nudge her light=+0.3").fine();
    close(&room.card("her")["height_m"], 1.62);
    // Another height is another stand-in; the same one is used again.
    room.run("place marsh add child --stand-in figure --height 1.1m --at 0,5").fine();
    close(&room.card("child")["height_m"], 1.1);
    close(&room.card("her")["height_m"], 1.62);
    matte(&room.join("own.png"), 40, 60, |x, y| (15..25).contains(&x) && (10..50).contains(&y));
    room.run("place marsh recast her --shot post.png --matte own.png").refused(3, &["must be the same"]);
    assert_eq!(room.card("her")["shows"], "stand-in-figure");
    room.run("place marsh recast her --shot post.png --matte post-matte.png --name heroine").fine();
    for piece in ["her", "him"] {
        let card = room.card(piece);
        assert_eq!(card["shows"], "heroine", "{piece}");
        close(&card["height_m"], 1.62);
    }
    let her = room.card("her");
    close(&her["light"]["nudge_stops"], 0.3);
    close(&her["x_m"], 0.5);
    assert_eq!(room.card("child")["shows"], "stand-in-figure-2");
    room.run("undo marsh").fine();
    assert_eq!(room.card("him")["shows"], "stand-in-figure");
    assert_eq!(room.run("check marsh").code, 0);
}

#[test]
fn several_pieces_move_alike() {
    let room = Room::with_post();
    room.run("place marsh add other --cut-out post --at 1,5").fine();
    room.run("place marsh add held --cut-out post --attached-to other --at 0.2,0").fine();
    room.run("place marsh move post,other,held --by 0.5,1").fine();
    close(&room.card("post")["x_m"], 0.5);
    close(&room.card("post")["z_m"], 5.0);
    close(&room.card("other")["x_m"], 1.5);
    // What is carried goes along once.
    close(&room.card("held")["x_m"], 0.2);
    close(&room.card("held")["depth_m"], room.card("other")["depth_m"].as_f64().unwrap());
    room.refuses("place marsh move post,nobody --by 0,1", 1, &["there is no piece called nobody"]);
}
