//! Set dressing in the studio: a foreground in a few gestures, and what a hand did to it stays.

use crate::browser::Point;
use crate::sheets::posts;
use crate::stage::{ORDINARY, Stage, part};
use serde_json::Value;

const DRESS: &str = "[aria-label='Set dressing']";

/// The middle of a button that reads so.
#[track_caller]
fn word(stage: &mut Stage, reads: &str) -> Point {
    let text = Value::from(reads);
    // On the dressing's card, if it is there.
    let button = format!(
        "[...document.querySelectorAll(\"{DRESS} button\"), ...document.querySelectorAll('button')].find((b) => b.textContent === {text})"
    );
    stage.browser.wait(&format!("{button} !== undefined"));
    let found = stage.browser.evaluate(&format!(
        "(() => {{
            const b = {button}.getBoundingClientRect();
            return [b.x + b.width / 2, b.y + b.height / 2];
        }})()"
    ));
    let [x, y]: [f64; 2] = serde_json::from_value(found).unwrap();
    Point { x, y }
}

#[track_caller]
fn say(stage: &mut Stage, reads: &str) {
    let at = word(stage, reads);
    stage.browser.click(at);
}

fn dressings(stage: &Stage) -> Vec<Value> {
    stage.studio.sheet()["dressings"].as_array().unwrap().clone()
}

fn count(of: &Value) -> usize {
    of["pieces"].as_array().unwrap().len()
}

#[test]
fn a_foreground_is_laid_in_few_actions_and_a_hand_is_respected() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    let before = stage.browser.actions();
    say(&mut stage, "dress the ground");
    stage.browser.replace(&format!("{DRESS} [aria-label='What they face']"), "lantern");
    stage.decides(|stage| say(stage, "lay it"));
    let actions = stage.browser.actions() - before;
    assert!(actions < 10, "{actions} actions");
    stage.browser.wait_for_text(DRESS, "Keeps clear");
    let laid = dressings(&stage)[0].clone();
    assert!(count(&laid) > 20 && count(&laid) <= 60, "{laid}");
    assert_eq!((&laid["facing"], &laid["ground"]["what"]), (&Value::from("lantern"), &Value::from("around")));
    let clear: Vec<&str> =
        laid["clear"].as_array().unwrap().iter().map(|c| c["says"].as_str().unwrap()).collect();
    assert!(clear.contains(&"the face of post") && clear.contains(&"lantern"), "{clear:?}");
    // Its edge lies on the plan and in the picture.
    stage.browser.wait(&format!("document.querySelector(\"{} .bed.chosen\")", part::PLAN));
    stage.browser.wait("document.querySelector('.lens .spike.dash')");

    // A hand moves one of them; then the rule is changed by a pull.
    let own = laid["pieces"][3].as_u64().unwrap();
    let mark = |stage: &Stage| {
        let sheet = stage.studio.sheet();
        let all = sheet["pieces"].as_array().unwrap().clone();
        let card = all.into_iter().find(|p| p["piece"] == own).unwrap();
        (card["x_m"].as_f64().unwrap(), card["z_m"].as_f64().unwrap())
    };
    let before = mark(&stage);
    stage.room.run(&format!("place marsh move #{own} --by 0.11,0.07")).fine();
    stage.until("the studio has it", |stage| mark(stage) != before);
    let moved = mark(&stage);
    stage.decides(|stage| stage.pull(&format!("{DRESS} [aria-label='Least distance']"), 8.0));
    let wider = dressings(&stage)[0].clone();
    let spacing = |d: &Value| d["arrangement"]["spacing_m"].as_f64().unwrap();
    assert!(spacing(&wider) > 1.2 * spacing(&laid), "{wider}");
    assert_eq!(mark(&stage), moved);
    stage.decides(|stage| say(stage, "lay again"));
    assert_eq!(mark(&stage), moved);

    // Struck, all of it goes.
    stage.decides(|stage| say(stage, "strike it"));
    assert!(dressings(&stage).is_empty());
    stage.browser.wait("document.querySelector(\"[aria-label='Mark card']\")");
}

#[test]
fn ground_is_drawn_in_the_picture_and_on_the_plan() {
    let Some(mut stage) = Stage::open(posts, ORDINARY) else { return };
    let draw = |stage: &mut Stage, corners: &[Point]| {
        say(stage, "dress the ground");
        stage
            .browser
            .replace(&format!("{DRESS} [aria-label='Where they are laid']"), "where I draw round it");
        say(stage, "draw its ground");
        stage.decides(|stage| {
            stage.browser.press(corners[0]);
            corners[1..].iter().for_each(|at| stage.browser.move_to(*at));
            stage.browser.release();
        });
        stage.browser.wait_for_text(DRESS, "on the ground that was drawn");
    };
    let corners = [[300.0, 600.0], [900.0, 600.0], [1000.0, 760.0], [200.0, 760.0]];
    let corners = corners.map(|at| stage.in_picture(at));
    draw(&mut stage, &corners);
    let [x, y, wide, high] = stage.browser.frame(part::PLAN);
    let corners = [(0.3, 0.2), (0.7, 0.2), (0.7, 0.4), (0.3, 0.4)]
        .map(|(a, b)| Point { x: x + wide * a, y: y + high * b });
    draw(&mut stage, &corners);
    let all = dressings(&stage);
    assert!(all.iter().all(|d| d["ground"]["what"] == "outline" && count(d) > 0), "{all:?}");
    // What was drawn in the picture is seen there again.
    let seen: Vec<[f64; 2]> = serde_json::from_value(all[0]["edge_px"].clone()).unwrap();
    let most = |axis: usize| seen.iter().map(|p| p[axis]).fold(0.0, f64::max);
    assert!((most(0) - 1000.0).abs() < 12.0 && (most(1) - 760.0).abs() < 12.0, "{seen:?}");

    // Escape leaves ground that is not drawn yet.
    let number = stage.number();
    say(&mut stage, "dress the ground");
    stage.browser.replace(&format!("{DRESS} [aria-label='Where they are laid']"), "where I draw round it");
    say(&mut stage, "draw its ground");
    stage.browser.key("Escape");
    let at = stage.in_picture([600.0, 400.0]);
    stage.browser.drag(at, at.by(30.0, 0.0));
    assert_eq!(stage.number(), number);
}
