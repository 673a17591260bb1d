//! All sheets, empty and full: whether everybody can use them, whether keys alone can, and pictures of them to be looked at.

use crate::audit::assert_for_everybody;
use crate::browser::{Point, screens};
use crate::stage::{ORDINARY, Stage, Window, part};
use crate::support::{Room, backdrop, post};
use serde_json::Value;

/// The sheets: their keys and names.
const SHEETS: [(&str, &str); 5] =
    [("1", "backdrop"), ("3", "cutouts"), ("4", "staging"), ("5", "toning"), ("6", "dispatch")];

/// Three posts in a marsh of 1200 x 800 pixels, with a lamp, treatments, a take, and something in the wings.
pub(crate) fn posts() -> Room {
    let room = Room::new();
    room.run("new marsh --size 1200x800").fine();
    backdrop(&room.join("backdrop.png"), 1200, 800);
    post(&room);
    room.run(
        "read marsh backdrop.png --camera-height 1.4 --pitch 2 --focal 36 --sensor 36 --f-number 2 --focus 4",
    )
    .fine();
    for (name, at) in [("far", "-1.2,9"), ("post", "0.2,4"), ("near", "0.5,2.2"), ("spare", "1,3")] {
        let shot = if name == "far" {
            "--shot post.png --matte post-matte.png --height 1m"
        } else {
            "--cut-out far"
        };
        room.run(&format!("place marsh add {name} {shot} --at {at}")).fine();
    }
    for words in [
        "place marsh hide spare",
        "place marsh subject post",
        "place marsh stand post --facing lens",
        "light marsh add lantern --at 0.6,1.4,5 --strength 0.5@2700K",
        "read marsh --sun -40,25,1@5200K --haze 2km",
        "tone marsh add characteristic-curve --slope 1 --toe 3 --shoulder 1.2",
        "tone marsh add edge-burn --stops 0.6 --not-on-subject",
        "tone marsh add balance --warmth 20/2 --within 4m:lantern",
        "take marsh add dusk",
        "place marsh nudge near light=-1 --take dusk",
        "place marsh nudge post light=+0.3",
        "undo marsh",
    ] {
        room.run(words).fine();
    }
    room
}

/// Waits until the sheet stands still: what it looks through is drawn sharp.
#[track_caller]
fn settled(stage: &mut Stage) {
    stage.browser.wait("[...document.querySelectorAll('canvas')].every((c) => c.dataset.drawn === 'sharp')");
}

/// Turns every sheet up, and looks at it.
#[track_caller]
fn each(stage: &mut Stage, mut look: impl FnMut(&mut Stage, &str)) {
    for (key, name) in SHEETS {
        stage.turn(key);
        settled(stage);
        look(stage, name);
    }
}

#[test]
fn everybody_can_use_the_rack_and_empty_sheets() {
    let Some(mut stage) = Stage::at_rack() else { return };
    assert_for_everybody(&mut stage.browser);
    stage.begin("60x40");
    each(&mut stage, |stage, _| assert_for_everybody(&mut stage.browser));
    // A rack with a picture in it, and something to tell.
    stage.browser.click(".title h1 .word");
    stage.browser.wait("document.querySelector('.rack .picture')");
    assert_for_everybody(&mut stage.browser);
}

#[test]
fn everybody_can_use_full_sheets() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    each(&mut stage, |stage, _| assert_for_everybody(&mut stage.browser));
    stage.turn("4");
    stage.choose("post");
    assert_for_everybody(&mut stage.browser);
    // With a refusal, a figure that is typed over, and a name that is.
    stage.write_on_card("d");
    stage.browser.wait(&format!("document.querySelector('{}').textContent", part::SAID));
    stage.browser.click("[aria-label='light, nudge']");
    stage.browser.key("Enter");
    stage.browser.wait("document.querySelector('input.typed')");
    assert_for_everybody(&mut stage.browser);
    stage.browser.key("Escape");
    // With a counting glass on it, and the prompt book open.
    stage.browser.click("[aria-keyshortcuts='g']");
    stage.browser.wait("document.querySelector('.loupe canvas')");
    settled(&mut stage);
    assert_for_everybody(&mut stage.browser);
    stage.browser.click("[title='Prompt book (b)']");
    stage.browser.wait("document.querySelector('.book .pages')");
    assert_for_everybody(&mut stage.browser);
    // With a take on top, and what differs in it.
    stage.browser.replace(part::TAKE, "dusk");
    stage.browser.wait("document.querySelector('.book .differences li')");
    assert_for_everybody(&mut stage.browser);
}

/// More places for keys to go to than any sheet has.
const MOST: usize = 400;

/// Goes through a sheet by Tab until it begins anew; tells what was come by, each with its role and name.
#[track_caller]
fn tabbed(stage: &mut Stage) -> Vec<(String, String)> {
    stage.browser.evaluate("document.activeElement.blur(); window.passed = new Set(); 0");
    let mut all = Vec::new();
    for _ in 0..MOST {
        stage.browser.key("Tab");
        let is_new = stage.browser.evaluate(
            "(() => { const a = document.activeElement; if (a === document.body || passed.has(a)) return false; passed.add(a); return true; })()",
        );
        if is_new == false {
            break;
        }
        let Some((role, name)) = stage.browser.focused() else { break };
        assert!(!name.trim().is_empty(), "a {role} without a name, after {:?}", all.last());
        all.push((role, name));
    }
    // Nothing that hands can use is passed by; but what cannot be seen, and choices within a list, which arrows reach.
    let missed = stage.browser.evaluate(
        "[...document.querySelectorAll('button, select, input, [tabindex]')].filter((e) => !e.disabled && e.getClientRects().length > 0 && !passed.has(e)).map((e) => e.outerHTML.slice(0, 200))",
    );
    assert_eq!(missed, serde_json::json!([]), "Tab does not come by these");
    all
}

/// Tabs on until what has this name is come by.
#[track_caller]
fn tab_to(stage: &mut Stage, name: &str) {
    for _ in 0..MOST {
        stage.browser.key("Tab");
        if stage.browser.focused().is_some_and(|(_, found)| found == name) {
            return;
        }
    }
    panic!("Tab does not come by {name}");
}

#[test]
fn the_staging_sheet_can_be_used_by_keys_alone() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    // The next piece, by its key, until its card lies there.
    let mut name = String::new();
    while name != "post" {
        stage.browser.key("n");
        stage
            .browser
            .wait(&format!("![undefined, '{name}'].includes(document.querySelector('.name')?.textContent)"));
        name = stage.browser.text(".name");
    }
    let all = tabbed(&mut stage);
    let has = |role: &str, name: &str| all.iter().any(|(r, n)| r == role && n.starts_with(name));
    for (role, name) in [
        ("application", "The picture"),
        ("spinbutton", "light, nudge"),
        ("spinbutton", "distance"),
        ("spinbutton", "Lean"),
        ("button", "remove it"),
        ("button", "lay a counting glass"),
        ("button", "undo"),
    ] {
        assert!(has(role, name), "no {role} {name}: {all:?}");
    }
    // Arrows change a figure, finely with Shift; and a number is typed over it.
    tab_to(&mut stage, "light, nudge");
    stage.decides(|stage| stage.browser.key("ArrowUp"));
    stage.browser.wait_for_text(part::CARD, "+0.1");
    stage.decides(|stage| stage.browser.key("Shift+ArrowUp"));
    assert_eq!(stage.room.card("post")["light"]["nudge_stops"], 0.11);
    assert_eq!(stage.browser.focused().map(|f| f.1).as_deref(), Some("light, nudge"), "the focus is lost");
    stage.browser.key("Enter");
    stage.browser.type_text("-0.5");
    let number = stage.number();
    stage.decides(|stage| stage.browser.key("Enter"));
    assert_eq!(stage.number(), number + 1, "it is decided twice");
    stage
        .browser
        .wait("document.activeElement.ariaLabel === 'light, nudge' && !document.querySelector('.typed')");
    // What is typed and left by Escape is not meant.
    stage.browser.key("Enter");
    stage.browser.type_text("-2");
    stage.browser.key("Escape");
    stage.browser.wait("!document.querySelector('.typed')");
    assert_eq!(stage.number(), number + 1);
    assert_eq!(stage.room.card("post")["light"]["nudge_stops"], -0.5);
    // A button by its key.
    tab_to(&mut stage, "into the wings");
    stage.decides(|stage| stage.browser.key("Space"));
    assert_eq!(stage.room.card("post")["hidden"], true);
    // And the piece itself by arrows, where the picture has the keys.
    let before = stage.room.card("post")["x_m"].as_f64().unwrap();
    stage.browser.evaluate("document.querySelector('.lens').focus()");
    stage.decides(|stage| stage.browser.key("ArrowRight"));
    let after = stage.room.card("post")["x_m"].as_f64().unwrap();
    assert!((after - before - 0.1).abs() < 1e-9, "{before} {after}");
}

#[test]
fn the_toning_sheet_can_be_used_by_keys_alone() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    stage.turn("5");
    settled(&mut stage);
    stage.browser.wait("document.querySelectorAll('.step').length > 5");
    let all = tabbed(&mut stage);
    let has = |role: &str, name: &str| all.iter().any(|(r, n)| r == role && n.starts_with(name));
    for (role, name) in [
        ("spinbutton", "Edge burn, stops"),
        ("spinbutton", "Curve, slope"),
        ("button", "0 "),
        ("button", "strike out"),
        ("button", "Lift off: not on the subject"),
        ("combobox", "Add a treatment in the print"),
        ("combobox", "Where it works"),
    ] {
        assert!(has(role, name), "no {role} {name}: {all:?}");
    }
    let stops = |stage: &Stage| {
        let all = stage.room.run("tone marsh list --json").fine().json()["treatments"].take();
        let burn = all.as_array().unwrap().iter().find(|t| t["does"] == "edge burn").unwrap().clone();
        burn["figures"][0]["value"].as_f64().unwrap()
    };
    let before = stops(&stage);
    tab_to(&mut stage, "Edge burn, stops");
    stage.decides(|stage| stage.browser.key("ArrowUp"));
    assert!((stops(&stage) - before - 0.1).abs() < 1e-9);
    stage.decides(|stage| stage.browser.key("ArrowDown"));
    assert!((stops(&stage) - before).abs() < 1e-9);
}

#[test]
fn the_other_sheets_can_be_used_by_keys_alone() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    let has = |all: &[(String, String)], role: &str, name: &str| {
        assert!(all.iter().any(|(r, n)| r == role && n.starts_with(name)), "no {role} {name}: {all:?}");
    };
    // The horizon's pins, and the lamp on the plan.
    stage.turn("1");
    settled(&mut stage);
    let all = tabbed(&mut stage);
    has(&all, "slider", "The horizon");
    has(&all, "spinbutton", "camera height");
    let pin = "Horizon, right pin: arrows move it";
    let roll =
        |stage: &Stage| stage.room.run("read marsh --json").fine().json()["camera"]["roll_deg"].as_f64();
    let before = roll(&stage);
    tab_to(&mut stage, pin);
    stage.decides(|stage| stage.browser.key("ArrowDown"));
    assert_ne!(roll(&stage), before);
    stage.turn("4");
    let lamp = |stage: &Stage| stage.studio.sheet()["lamps"][0]["at_m"][0].as_f64().unwrap();
    let before = lamp(&stage);
    tab_to(&mut stage, "lantern: arrows move it along the ground");
    stage.decides(|stage| stage.browser.key("ArrowRight"));
    assert!((lamp(&stage) - before - 0.1).abs() < 1e-6);
    // A stroke: the nib is set down with Space, moved by arrows, and taken up again.
    stage.turn("3");
    settled(&mut stage);
    let all = tabbed(&mut stage);
    has(&all, "button", "soften");
    has(&all, "spinbutton", "Width of the nib");
    tab_to(&mut stage, "soften");
    stage.browser.key("Space");
    stage.browser.evaluate("document.querySelector('.table').focus()");
    stage.browser.key("Space");
    for _ in 0..4 {
        stage.browser.key("ArrowDown");
    }
    stage.decides(|stage| stage.browser.key("Space"));
    let strokes = stage.studio.sheet()["handwork"][0]["strokes"].clone();
    assert_eq!(strokes[0]["says"], "soften", "{strokes}");
    assert_eq!(strokes[0]["points"], 5);
    stage.turn("6");
    let all = tabbed(&mut stage);
    has(&all, "combobox", "Form of the file");
    has(&all, "button", "write the file");
}

/// The edge burn of the picture, as it is told.
fn burn(stage: &Stage) -> Value {
    let toning = stage.studio.sheet()["toning"].clone();
    toning.as_array().unwrap().iter().find(|t| t["does"] == "edge burn").unwrap().clone()
}

#[test]
fn a_dodging_card_is_painted_in_the_picture() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    stage.turn("5");
    settled(&mut stage);
    stage.browser.evaluate(
        "(() => { const all = [...document.querySelectorAll('.sentence')]; const burn = all.find((s) => s.textContent.includes('Edge burn')); burn.querySelector('[aria-label=\"Where it works\"]').id = 'burn'; return 0; })()",
    );
    stage.browser.replace("#burn", "where I paint it, on a dodging card");
    stage.browser.wait("document.querySelector('.nib-line')");
    let [x, y, width, height] = stage.browser.frame(".lens");
    let at = |across: f64, down: f64| Point { x: x + across * width, y: y + down * height };
    let before = stage.shown();
    stage.decides(|stage| stage.browser.drag(at(0.05, 0.1), at(0.05, 0.4)));
    assert_eq!(burn(&stage)["card"]["strokes"], 1, "{}", burn(&stage));
    assert_eq!(burn(&stage)["where"][1], "on the dodging card");
    // While it is painted a wash shows where; without it, where it burned and nothing is painted it burns no more.
    stage.browser.wait("document.querySelector('.sentence [aria-pressed=true]')");
    stage.until("the picture shows the wash", |stage| !stage.shown().shows(&before));
    let washed = stage.shown();
    stage.browser.click(".sentence .deeds [aria-pressed=true]");
    stage.until("the picture shows what it does", |stage| {
        !stage.shown().shows(&washed) && !stage.shown().shows(&before)
    });
    stage.browser.click(".nib-line button:nth-of-type(2)");
    stage.decides(|stage| stage.browser.drag(at(0.05, 0.1), at(0.05, 0.2)));
    assert_eq!(burn(&stage)["card"]["strokes"], 2);
    // By keys: set down, moved, and taken up again.
    stage.browser.evaluate("document.querySelector('.lens').focus()");
    stage.browser.key("Space");
    for _ in 0..3 {
        stage.browser.key("ArrowDown");
    }
    stage.decides(|stage| stage.browser.key("Space"));
    assert_eq!(burn(&stage)["card"]["strokes"], 3);
    // The nib laid down, the hand takes hold of nothing by it.
    stage.browser.key("Escape");
    stage.browser.wait("!document.querySelector('.nib-line')");
    stage.decides(|stage| stage.browser.click("[aria-label='Lift off: on the dodging card']"));
    assert!(burn(&stage)["card"].is_null());
    assert_eq!(burn(&stage)["where"][0], "not on the subject");
}

#[test]
fn where_a_treatment_works_is_replaced_and_pulled() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    stage.turn("5");
    settled(&mut stage);
    let clauses = |stage: &Stage| {
        let all = burn(stage)["where"].clone();
        all.as_array().unwrap().iter().map(|w| w.as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let named = |stage: &mut Stage, name: &str, id: &str| {
        stage.browser.wait(&format!("document.querySelector('.sentence [aria-label=\"{name}\"]')"));
        stage.browser.evaluate(&format!(
            "(() => {{ document.querySelector('#{id}')?.removeAttribute('id'); const burn = [...document.querySelectorAll('.sentence')].find((s) => s.textContent.includes('Edge burn')); burn.querySelector('[aria-label=\"{name}\"]').id = '{id}'; return 0; }})()"
        ));
    };
    named(&mut stage, "Where it works", "where");
    stage.decides(|stage| stage.browser.replace("#where", "within a distance of a lamp or piece"));
    assert_eq!(clauses(&stage), ["not on the subject", "within 4 m of lantern, soft over 2 m"]);
    named(&mut stage, "edge burn, within a distance of", "of");
    let other = stage.studio.sheet()["pieces"][0]["name"].as_str().unwrap().to_owned();
    stage.decides(|stage| stage.browser.replace("#of", &other));
    assert_eq!(clauses(&stage)[1], format!("within 4 m of {other}, soft over 2 m"));
    named(&mut stage, "edge burn, soft over", "soft");
    stage.browser.evaluate("document.querySelector('#soft').focus()");
    stage.decides(|stage| stage.browser.key("ArrowUp"));
    assert_eq!(clauses(&stage)[1], format!("within 4 m of {other}, soft over 2.1 m"));
    // What a sentence says but once is not offered twice.
    let offered = stage.browser.evaluate("[...document.querySelector('#where').options].map((o) => o.text)");
    let offered = offered.as_array().unwrap();
    assert!(
        offered.iter().any(|o| o == "in the greens") && !offered.iter().any(|o| o == "not on the subject")
    );
    named(&mut stage, "Where it works", "where");
    stage.decides(|stage| stage.browser.replace("#where", "in the greens"));
    assert_eq!(clauses(&stage)[2], "hues 80° wide around 136°, soft over 20°");
    named(&mut stage, "edge burn, middle of the hues", "hue");
    stage.browser.evaluate("document.querySelector('#hue').focus()");
    stage.decides(|stage| stage.browser.key("ArrowDown"));
    assert_eq!(clauses(&stage)[2], "hues 80° wide around 131°, soft over 20°");
    assert_for_everybody(&mut stage.browser);
}

#[test]
fn the_ends_of_a_rise_are_pulled_in_the_picture_and_a_tint_on_its_gel() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    stage.turn("5");
    settled(&mut stage);
    stage.browser.evaluate(
        "(() => { const burn = [...document.querySelectorAll('.sentence')].find((s) => s.textContent.includes('Edge burn')); burn.querySelector('[aria-label=\"Where it works\"]').id = 'where'; burn.querySelector('.gel').id = 'gel'; burn.querySelector('b').id = 'does'; return 0; })()",
    );
    stage.browser.click("#does");
    stage.decides(|stage| stage.browser.replace("#where", "towards the top"));
    let rise = |stage: &Stage| burn(stage)["where_options"][1][1].as_str().unwrap().to_owned();
    assert_eq!(rise(&stage), "0.5,1:0.5,0");
    let [x, y, width, height] = stage.browser.frame(".lens");
    let end = Point { x: x + 0.5 * width, y: y + 4.0 };
    let to = Point { x: x + 0.75 * width, y: y + 4.0 + 0.5 * height };
    stage.decides(|stage| stage.browser.drag(end, to));
    let [_, pulled] = rise(&stage).split(':').map(str::to_owned).collect::<Vec<_>>().try_into().unwrap();
    let [u, v] = pulled.split(',').map(|v| v.parse::<f64>().unwrap()).collect::<Vec<_>>().try_into().unwrap();
    assert!((u - 0.75).abs() < 0.01 && (v - 0.5).abs() < 0.01, "{u} {v}");
    // By keys, ten pixels of the table at a time.
    stage.browser.evaluate("document.querySelector('[aria-label*=\"where it begins\"]').focus()");
    stage.decides(|stage| stage.browser.key("ArrowUp"));
    assert!(rise(&stage).starts_with("0.5,0.97"), "{}", rise(&stage));
    // A gel is deepened, and lets as much light through as before.
    let tint = |stage: &Stage| {
        let rgb = burn(stage)["colours"][0]["rgb"].clone();
        rgb.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect::<Vec<_>>()
    };
    let apart =
        |rgb: &[f64]| rgb.iter().copied().fold(0.0, f64::max) / rgb.iter().copied().fold(f64::MAX, f64::min);
    let mean = |rgb: &[f64]| rgb.iter().map(|v| units::math::log10(*v)).sum::<f64>() / 3.0;
    let before = tint(&stage);
    stage.browser.evaluate("document.querySelector('#gel').focus()");
    stage.decides(|stage| stage.browser.key("ArrowUp"));
    let after = tint(&stage);
    assert!(apart(&after) > 1.05 * apart(&before), "{before:?} {after:?}");
    assert!((mean(&after) - mean(&before)).abs() < 1e-3, "{before:?} {after:?}");
    assert_for_everybody(&mut stage.browser);
}

#[test]
fn a_piece_that_a_phrase_asks_for_is_clicked() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    settled(&mut stage);
    let named = |stage: &Stage, name: &str| {
        let sheet = stage.studio.sheet();
        sheet["pieces"].as_array().unwrap().iter().find(|p| p["name"] == name).unwrap().clone()
    };
    stage.choose("post");
    stage.browser.replace("[aria-label='What it faces']", "what is clicked next");
    stage.browser.wait_for_text(".said", "Click it");
    let far = stage.middle_of("far");
    stage.decides(|stage| stage.browser.click(far));
    assert_eq!(named(&stage, "post")["facing"], "far");
    // What was pointed at is not chosen by that, and asked for once.
    assert_eq!(stage.browser.text(".mark-card .name"), "post");
    stage.browser.replace("[aria-label='What holds it']", "what is clicked next");
    stage.browser.key("Escape");
    stage.choose("far");
    assert!(named(&stage, "post")["attached_to"].is_null());
    // In the line-up as well.
    stage.browser.replace("[aria-label='What it faces']", "what is clicked next");
    stage.decides(|stage| stage.browser.click(".silhouette[title='post']"));
    assert_eq!(named(&stage, "far")["facing"], "post");
}

/// Pictures of all sheets, to be looked at.
fn pictured(stage: &mut Stage, size: Window, kind: &str) {
    let (width, height, density) = size;
    stage.browser.resize(width, height, density);
    stage.enter();
    each(stage, |stage, name| {
        if name == "staging" && kind == "full" {
            stage.choose("post");
            settled(stage);
        }
        let file = screens().join(format!("{name}-{kind}-{width}x{height}.png"));
        stage.browser.screenshot(&file);
        println!("to be looked at: {}", file.display());
    });
}

#[test]
fn pictures_of_all_sheets_are_taken() {
    const SIZES: [Window; 2] = [ORDINARY, (1600, 1000, 1.0)];
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    for size in SIZES {
        pictured(&mut stage, size, "full");
    }
    stage.browser.key("b");
    stage.browser.wait("document.querySelector('.book')");
    stage.browser.screenshot(&screens().join("prompt-book.png"));
    drop(stage);
    let Some(mut stage) = Stage::at_rack() else { return };
    stage.browser.screenshot(&screens().join("rack-empty.png"));
    stage.begin("60x40cm");
    for size in SIZES {
        pictured(&mut stage, size, "empty");
    }
    stage.browser.click(".title h1 .word");
    stage.browser.wait("document.querySelector('.rack .picture')");
    stage.browser.screenshot(&screens().join("rack-full.png"));
}

#[test]
fn the_frame_is_typed_and_pulled_beyond_the_photograph() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.turn("1");
    settled(&mut stage);
    let window = |stage: &Stage| -> Vec<f64> {
        let all = stage.studio.sheet()["reading"]["backdrop"]["window_px"].clone();
        all.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let size = |stage: &Stage| {
        let r = stage.studio.sheet()["reading"].clone();
        (r["width_px"].as_u64().unwrap(), r["height_px"].as_u64().unwrap())
    };
    // Typed, and turned on its side.
    stage.browser.click(".reading .manner .word");
    stage.decides(|stage| {
        stage.browser.type_text("80 x 120");
        stage.browser.key("Enter");
    });
    assert_eq!(size(&stage), (80, 120));
    stage.browser.wait("document.querySelector('#turns').textContent === 'lay the picture on its side'");
    stage.decides(|stage| stage.browser.click("#turns"));
    assert_eq!(size(&stage), (120, 80));
    // The end of the dimension line holds at the border, and gives way to a stronger pull.
    let scale =
        stage.browser.evaluate("document.querySelector('.frame.table').clientWidth").as_f64().unwrap()
            / 240.0;
    let shown = window(&stage);
    assert_eq!(shown[2], 240.0);
    stage.browser.wait_for_text(".frame.table", "240 px of the photograph");
    let at = stage.browser.at("#right-end");
    stage.browser.drag(at, at.by(16.0, 0.0));
    assert_eq!(window(&stage), shown, "it holds");
    stage.decides(|stage| stage.browser.drag(at, at.by(24.0 + 60.0, 0.0)));
    let wide = window(&stage)[2];
    assert!((wide - (240.0 + 60.0 / scale)).abs() < 2.0, "{wide} at {scale}");
    stage.browser.wait_for_text(".reading", "mirror image");
    settled(&mut stage);
    // Beyond the border it is not held again: a short pull does what it says.
    let at = stage.browser.at("#right-end");
    stage.decides(|stage| stage.browser.drag(at, at.by(8.0, 0.0)));
    assert!(window(&stage)[2] > wide, "{:?} from {wide}", window(&stage));
    assert_for_everybody(&mut stage.browser);
    stage.turn("4");
    crate::pixels::assert_as_rendered(&mut stage);
}

/// What is clicked and typed is the figure's; what is typed after it turns the sheets again.
#[test]
fn figures_and_lines_of_the_card_are_typed_without_another_click() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.turn("1");
    stage.browser.click("[aria-label='camera height']");
    stage.decides(|stage| {
        stage.browser.type_text("1.25");
        stage.browser.key("Enter");
    });
    assert_eq!(stage.studio.sheet()["reading"]["camera"]["height_m"], 1.25);
    stage.browser.wait("document.activeElement.getAttribute('aria-label') === 'camera height'");
    stage.turn("4");
    stage.choose("post");
    stage.decides(|stage| {
        stage.browser.type_text("d 5");
        stage.browser.key("Enter");
    });
    assert_eq!(stage.room.card("post")["z_m"], 5.0);
}

#[test]
fn what_is_refused_keeps_nobody_from_the_picture_and_says_why() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.turn("1");
    settled(&mut stage);
    stage.browser.click(".reading .manner .word");
    stage.browser.type_text("abc");
    stage.browser.key("Enter");
    stage.browser.wait_for_text(".said", "abc");
    stage.until("a command may work on the picture", |stage| {
        stage.room.run("place marsh nudge post light=+0.1").code == 0
    });
    // What is told belongs to its sheet.
    stage.turn("4");
    stage.browser.wait("document.querySelector('.said').textContent === ''");
    stage.turn("1");
    // Letters, and what is out of range, change nothing and say what is asked.
    let camera = |stage: &Stage| stage.room.run("read marsh --json").fine().json()["camera"].clone();
    let before = camera(&stage);
    for (typed, asked) in [("x", "Give"), ("-7", "or more")] {
        tab_to(&mut stage, "focal length");
        stage.browser.key("Enter");
        stage.browser.type_text(typed);
        stage.browser.key("Enter");
        stage.browser.wait_for_text(".said", &format!("focal length: {typed} is not taken"));
        stage.browser.wait_for_text(".said", asked);
    }
    assert_eq!(camera(&stage), before);
}

#[test]
fn keys_that_are_faster_than_what_they_do_are_all_kept() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.choose("post");
    let x = |stage: &Stage| stage.room.card("post")["x_m"].as_f64().unwrap();
    let before = x(&stage);
    for _ in 0..6 {
        stage.browser.key("ArrowLeft");
    }
    stage.until("all six are kept", |stage| (x(stage) - before + 0.6).abs() < 1e-6);
}

#[test]
fn keys_on_steps_of_the_wedge_are_all_kept_and_a_unit_may_be_typed() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    stage.turn("5");
    stage.browser.wait("document.querySelectorAll('.step').length > 5");
    settled(&mut stage);
    let of = |stage: &Stage, does: &str| {
        let all = stage.studio.sheet()["toning"].clone();
        all.as_array().unwrap().iter().find(|t| t["does"] == does).unwrap().clone()
    };
    stage.browser.evaluate("document.querySelectorAll('.step')[3].focus()");
    for _ in 0..4 {
        stage.browser.key("ArrowUp");
    }
    stage.until("all four are kept", |stage| {
        of(stage, "characteristic curve")["pulled_stops"][0][1]
            .as_f64()
            .is_some_and(|by| (by - 0.4).abs() < 1e-6)
    });
    stage.browser.click("[aria-label='edge burn, strength' i]");
    stage.browser.key("Enter");
    stage.browser.type_text("70 %");
    stage.decides(|stage| stage.browser.key("Enter"));
    assert_eq!(of(&stage, "edge burn")["strength_share"], 0.7);
}

#[test]
fn a_file_of_the_same_name_is_replaced_only_where_that_is_ticked() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.turn("6");
    settled(&mut stage);
    stage.browser.click(".docket .act");
    stage.browser.wait_for_text(".said", "printed");
    let file = stage.room.join("marsh/out/marsh.tif");
    std::fs::write(&file, "another's").unwrap();
    stage.browser.click(".docket .act");
    stage.browser.wait_for_text(".said", "tick that a file of this name is replaced");
    assert_eq!(std::fs::read(&file).unwrap(), b"another's");
    stage.browser.click(".docket [type=checkbox]");
    stage.browser.click(".docket .act");
    stage.browser.wait_for_text(".said", "printed");
    assert!(std::fs::metadata(&file).unwrap().len() > 100);
}

#[test]
fn a_receipt_is_laid_on_the_docket() {
    let Some(mut stage) = Stage::with_post() else { return };
    let receipt = stage.room.join("receipt.pdf");
    std::fs::write(&receipt, b"%PDF-1.7 one backdrop").unwrap();
    stage.turn("6");
    settled(&mut stage);
    let [x, y, width, height] = stage.browser.frame(".lens");
    let middle = Point { x: x + width / 2.0, y: y + height / 2.0 };
    // A photographed one as well: on this sheet nothing becomes a piece.
    let photographed = stage.room.join("backdrop.png");
    std::fs::copy(&photographed, stage.room.join("scan.png")).unwrap();
    let mut scan = std::fs::read(stage.room.join("scan.png")).unwrap();
    scan.extend_from_slice(b"scanned");
    std::fs::write(stage.room.join("scan.png"), scan).unwrap();
    let scan = stage.room.join("scan.png");
    stage.browser.drop_files(middle, &[&receipt, &scan]);
    stage.until("both are kept", |stage| stage.studio.sheet()["papers"].as_array().unwrap().len() == 2);
    assert_eq!(stage.studio.sheet()["pieces"].as_array().unwrap().len(), 1);
    stage.browser.wait_for_text(".papers", "receipt.pdf");
    assert_for_everybody(&mut stage.browser);
    stage.decides(|stage| stage.browser.click(".papers .word"));
    assert_eq!(stage.studio.sheet()["papers"].as_array().unwrap().len(), 1);
    // On another sheet as well, where it is no photograph.
    stage.turn("4");
    stage.browser.drop_files(middle, &[&receipt]);
    stage.until("it is kept", |stage| stage.studio.sheet()["papers"].as_array().unwrap().len() == 2);
}

#[test]
fn an_edge_is_traced_over_the_picture_as_it_is() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.choose("post");
    let button = "[...document.querySelectorAll('.deeds .word')].find((b) => b.ariaPressed !== null)";
    stage.browser.evaluate(&format!("({button}).id = 'trace'"));
    stage.browser.click("#trace");
    stage.browser.wait("document.querySelectorAll('.lens svg title').length > 0 && document.querySelector('#trace').ariaPressed === 'true'");
    stage.browser.wait("[...document.querySelectorAll('.lens svg title')].some((t) => t.textContent.includes('from what is behind'))");
    // Of another picture it says nothing.
    stage.decides(|stage| stage.write_on_card("d 5"));
    stage.browser.wait("![...document.querySelectorAll('.lens svg title')].some((t) => t.textContent.includes('from what is behind'))");
}

/// A sheet that is turned up may look through a glass before the one that goes looks away from it.
#[test]
fn who_looks_away_late_takes_no_glass_from_who_looks_now() {
    let Some(mut stage) = Stage::with_post() else { return };
    let said = stage.browser.evaluate(
        "import(new URL('store/link.js', document.querySelector('script[type=module]').src)).then((line) => {
            const view = { of: { what: 'top' }, is_wide: false, scale: 0.5, part: [0, 0, 10, 10] };
            const [old, now] = [() => {}, () => {}];
            const from = window.overheard.length;
            line.look(7, view, old);
            line.look(7, view, now);
            line.lookAway(7, old);
            const kept = window.overheard.slice(from).some((m) => m.includes('\"view\":null'));
            line.lookAway(7, now);
            return [kept, window.overheard.slice(from).some((m) => m.includes('\"view\":null'))];
        })",
    );
    assert_eq!(said, serde_json::json!([false, true]));
}
