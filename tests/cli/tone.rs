//! `tone` and `take`.

use crate::support::{Room, levels, samples8};

#[test]
fn treatments_lie_in_the_order_of_the_lights_way() {
    let room = Room::with_post();
    room.run("light marsh add lantern --at 0,1,4 --strength 1@2400K").fine();
    room.run("place marsh subject post").fine();
    for words in [
        "edge-burn --stops 0.7 --tint 0.8,0.9,1 --not-on-subject",
        "exposure --stops +0.5 --within 4m:lantern:1m --strength 80%",
        "veil --amount 3% --behind 12m",
        "characteristic-curve --toe 3 --slope 1.2 --shoulder 1 --pull -2=+0.3 --pull 1=-0.2",
        "split-toning --shadow 0.9,1,1.1 --tones ..-2",
        "balance --warmth +12/-2 --gradient 0.5,1:0.5,0",
        "saturation --factor 0.8 --hues 120:60 --on post",
        "edge-fall-off",
        "flashing --colour 0.01,0.01,0.012",
        "halation --amount 0.1 --radius 20px",
        "grain --amount 0.05 --size 1.5 --seed 9",
        "sharpness --amount 0.4 --radius 1.2",
    ] {
        let words = words.replace("3%", "0.03");
        room.run(&format!("tone marsh add {words}")).fine();
    }
    let card = room.run("tone marsh list").fine().out;
    let heads: Vec<usize> =
        ["At the lens", "On the film", "In the print"].iter().map(|h| card.find(h).unwrap()).collect();
    assert!(heads.is_sorted(), "{card}");
    for sentence in [
        "edge burn 0.7 stops",
        "not on the subject",
        "within 4 m of lantern",
        "tones below -2 stops",
        "at 80%",
    ] {
        assert!(card.contains(sentence), "{sentence}: {card}");
    }
    assert_eq!(room.run("tone marsh list --json").fine().json()["treatments"].as_array().unwrap().len(), 12);
    room.run("render marsh -o toned.png --over").fine();
}

#[test]
fn a_treatment_changes_moves_and_goes() {
    let room = Room::with_post();
    room.run("tone marsh add exposure --stops +1 --behind 3m").fine();
    room.run("tone marsh add balance --warmth 10").fine();
    room.run("tone marsh change exposure --stops +2 --strength 50%").fine();
    let list = room.run("tone marsh list --json").fine().json()["treatments"].clone();
    assert_eq!((list[0]["told"].as_str(), list[0]["strength_share"].as_f64()), (Some("+2 stops"), Some(0.5)));
    assert_eq!(list[0]["where"][0], "behind 3 m, soft over 0.75 m");
    room.run("tone marsh change exposure --everywhere").fine();
    room.run("tone marsh move exposure 2").fine();
    let list = room.run("tone marsh list --json").fine().json()["treatments"].clone();
    assert_eq!((list[1]["does"].as_str(), list[1]["where"].as_array().unwrap().len()), (Some("exposure"), 0));
    room.run("tone marsh remove balance").fine();
    assert_eq!(room.run("tone marsh list --json").fine().json()["treatments"].as_array().unwrap().len(), 1);
}

#[test]
fn what_a_treatment_is_not_is_refused() {
    let room = Room::with_post();
    room.run("tone marsh add exposure --stops +1").fine();
    for (words, code, said) in [
        ("add edge-brun", 2, "did you mean edge-burn?"),
        ("add exposure --radius 3", 2, "--stops"),
        ("add exposure --stops nan", 2, "--stops"),
        ("add exposure --stops 400", 1, "stops"),
        ("add exposure --strength 140%", 2, "--strength"),
        ("add exposure --within lantern", 2, "--within"),
        ("add exposure --within 4m:lantern", 1, "lantern"),
        ("add exposure --on sitter", 1, "sitter"),
        ("add exposure --tones 3", 2, "--tones"),
        ("add exposure --on-subject --not-on-subject", 2, "subject"),
        ("change grain --amount 1", 1, "grain"),
        ("move exposure 5", 1, "to"),
        ("remove #99", 1, "#99"),
    ] {
        room.refuses(&format!("tone marsh {words}"), code, &[said]);
    }
}

#[test]
fn a_take_lies_over_the_picture() {
    let room = Room::with_post();
    room.run("take marsh add dawn --depth x2").fine();
    room.run("take marsh lay dawn place move post --at 1,3").fine();
    room.run("take marsh lay dawn tone add exposure --stops +1").fine();
    room.run("place marsh --take dawn nudge post size=+50%").fine();
    assert_eq!(room.card("post")["depth_m"], 4.0);
    let seen = room.run("place marsh --take dawn list --json").fine().json()["pieces"][0].clone();
    assert_eq!((seen["depth_m"].as_f64(), seen["size"]["nudge_factor"].as_f64()), (Some(3.0), Some(1.5)));
    let takes = room.run("take marsh list --json").fine().json()["takes"].clone();
    assert_eq!(takes[0]["changes"].as_array().unwrap().len(), 3, "{takes}");
    room.run("render marsh -o base.png --depth 8").fine();
    room.run("render marsh -o dawn.png --depth 8 --take dawn").fine();
    assert_ne!(samples8(&room.join("base.png")), samples8(&room.join("dawn.png")));
    // Moved again, the same change is replaced.
    room.run("take marsh lay dawn place move post --at 1,5").fine();
    assert_eq!(
        room.run("take marsh list --json").fine().json()["takes"][0]["changes"].as_array().unwrap().len(),
        3
    );
    room.run("take marsh lift dawn 1").fine();
    room.run("take marsh depth dawn x1").fine();
    room.refuses("take marsh lift dawn 7", 1, &["1 to 2"]);
    room.refuses("take marsh add dawn", 1, &["already"]);
    room.refuses("take marsh lay dusk place move post --at 1,3", 1, &["dusk"]);
    room.refuses("take marsh lay dawn place move pots --at 1,3", 1, &["did you mean post?"]);
    room.refuses("take marsh lay dawn render -o a.png", 2, &["place, dress, light, tone or read"]);
    room.run("take marsh remove dawn").fine();
    assert!(room.run("take marsh list").fine().out.contains("no take"));
}

/// Light that is added is toned as its own: three times as much of it, and what is behind stays.
#[test]
fn added_light_is_toned_where_it_is() {
    let room = Room::with_marsh();
    crate::support::extras(&room);
    let render = |to: &str| {
        room.run(&format!("render marsh -o {to} --depth float")).fine();
        crate::support::floats(&room.join(to))
    };
    let without = render("a.tif");
    room.run("place marsh add sparks --shot sparks.png --additive --at 0,3.5 --height 1m").fine();
    let with = render("b.tif");
    room.run("tone marsh add exposure --stops 1 --on sparks").fine();
    let toned = render("c.tif");
    let luminance = |v: &[f32], i: usize| {
        let [r, g, b] = [0, 1, 2].map(|c| f64::from(v[3 * i + c]));
        0.2627 * r + 0.678 * g + 0.0593 * b
    };
    let mut lit = 0;
    for i in 0..120 * 80 {
        let [before, after, toned] = [&without, &with, &toned].map(|v| luminance(v, i));
        let doubled = before + 2.0 * (after - before);
        assert!((toned - doubled).abs() < 1e-3 * doubled.max(0.01), "{i}: {before} {after} {toned}");
        lit += u32::from(after > before + 0.01);
    }
    assert!(lit > 20, "{lit}");
    // By its own mark, not by that of what is behind it.
    room.run("tone marsh remove exposure").fine();
    room.run("tone marsh add exposure --stops 1 --before 3.6m:0.1m").fine();
    let near = render("d.tif");
    let brighter = (0..120 * 80).filter(|i| luminance(&near, *i) > luminance(&with, *i) + 0.01).count();
    assert!(brighter > 20, "{brighter}");
}

#[test]
fn how_softly_a_where_ends_is_listed() {
    let room = Room::with_post();
    room.run("tone marsh add exposure --stops 1 --behind 10m:3m --tones ..-2:0.5").fine();
    let told = room.run("tone marsh list").fine();
    for said in ["behind 10 m, soft over 3 m", "tones below -2 stops, soft over 0.5 stops"] {
        assert!(told.out.contains(said), "{told:?}");
    }
}

/// Columns and rows at which two renderings of the marsh differ; it is 120 pixels wide.
fn differing(before: &[f64], after: &[f64]) -> Vec<(i64, i64)> {
    let channels = before.len() / (120 * 80);
    let pixels = before.chunks(channels).zip(after.chunks(channels)).enumerate();
    pixels.filter(|(_, (a, b))| a != b).map(|(i, _)| ((i % 120) as i64, (i / 120) as i64)).collect()
}

fn strokes(room: &Room, says: &str, [x, y]: [f64; 2]) {
    let text = format!(
        r#"{{"setpiece_strokes":1,"size":[120,80],"strokes":[{{"says":"{says}","width":16,"soft":0.5,"path":[[{x},{y}],[{},{y}]]}}]}}"#,
        x + 10.0
    );
    std::fs::write(room.join("card.json"), text).unwrap();
}

#[test]
fn a_treatment_works_where_its_dodging_card_is_painted() {
    let room = Room::with_post();
    let rendered = |name: &str| {
        room.run(&format!("render marsh -o {name}.png")).fine();
        levels(&room.join(&format!("{name}.png")))
    };
    let plain = rendered("plain");
    room.run("tone marsh add exposure --stops +1").fine();
    assert!(differing(&plain, &rendered("all")).len() > 9000);
    strokes(&room, "add", [20.0, 60.0]);
    room.run("tone marsh paint exposure card.json").fine();
    let spots = differing(&plain, &rendered("card"));
    // A line of ten pixels, eight wide to each side.
    assert!(spots.contains(&(25, 60)) && (150..=380).contains(&spots.len()), "{}", spots.len());
    assert!(spots.iter().all(|(x, y)| (11..=39).contains(x) && (51..=69).contains(y)));
    // Where else it works is said without it; rubbed off, it works nowhere.
    room.run("tone marsh change exposure --before 100m:0m").fine();
    let list = room.run("tone marsh list --json").fine().json()["treatments"][0].take();
    assert_eq!(list["where"][1], "on the dodging card");
    assert_eq!((list["card"]["strokes"].as_u64(), list["card"]["of"].is_null()), (Some(1), true));
    room.run("tone marsh change exposure --everywhere").fine();
    assert_eq!(differing(&plain, &rendered("again")), spots);
    strokes(&room, "remove", [20.0, 60.0]);
    room.run("tone marsh paint exposure card.json").fine();
    assert!(differing(&plain, &rendered("rubbed")).len() < spots.len());
    room.refuses("tone marsh paint exposure card.json --on post", 1, &["is fixed to the picture", "--clear"]);
    room.run("tone marsh paint exposure --clear").fine();
    assert!(differing(&plain, &rendered("cleared")).len() > 9000);
    room.refuses("tone marsh paint exposure --clear", 1, &["it has no dodging card"]);
    strokes(&room, "inside", [20.0, 60.0]);
    room.refuses("tone marsh paint exposure card.json", 3, &["lines are painted", "stroke 1"]);
}

#[test]
fn a_dodging_card_fixed_to_a_piece_goes_with_it() {
    let room = Room::with_post();
    room.run("tone marsh add exposure --stops -2").fine();
    let middle = |room: &Room| {
        room.run("render marsh -o toned.png --over").fine();
        room.run("tone marsh change exposure --strength 0%").fine();
        room.run("render marsh -o plain.png --over").fine();
        room.run("undo marsh").fine();
        let (plain, toned) = (levels(&room.join("plain.png")), levels(&room.join("toned.png")));
        let spots = differing(&plain, &toned);
        assert!(!spots.is_empty());
        spots.iter().map(|s| s.0).sum::<i64>() as f64 / spots.len() as f64
    };
    room.run("place marsh move post --at 0,4").fine();
    strokes(&room, "add", [55.0, 45.0]);
    room.run("tone marsh paint exposure card.json --on post").fine();
    let list = room.run("tone marsh list").fine().out;
    assert!(list.contains("on the dodging card fixed to post"), "{list}");
    let before = middle(&room);
    assert!((before - 60.0).abs() < 1.5, "{before}");
    room.run("place marsh move post --at 0.5,4").fine();
    let moved = middle(&room);
    // Half a metre, at the post's distance.
    let metre = room.card("post")["size"]["result_px_per_m"].as_f64().unwrap();
    assert!((moved - before - 0.5 * metre).abs() < 1.5, "{before} {moved} {metre}");
    // Where the piece is not seen, nothing is; and it is not taken away under the card.
    room.run("place marsh hide post").fine();
    room.run("render marsh -o hidden.png").fine();
    room.run("tone marsh remove exposure").fine();
    room.run("render marsh -o untoned.png").fine();
    assert_eq!(levels(&room.join("hidden.png")), levels(&room.join("untoned.png")));
    room.run("undo marsh").fine();
    room.refuses("place marsh remove post", 1, &["exposure still needs it"]);
}
