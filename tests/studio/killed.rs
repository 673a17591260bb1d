//! A studio that dies in the middle of something, and is opened again where it was: the page that waits goes on by itself.

use crate::browser::{Pen, Point};
use crate::served::Studio;
use crate::stage::{Stage, part};
use serde_json::Value;

/// Ends the studio as a power cut would, and waits until the page says that it does not answer.
fn kill(stage: &mut Stage) {
    // What is loaded meanwhile fails, and the browser notes every try of the page to find its line again.
    stage.browser.forgive("WebSocket connection to");
    stage.browser.forgive("net::ERR");
    stage.browser.evaluate("window.stays = true");
    stage.studio.kill();
    stage.browser.wait_for_text(part::NOTICE, "does not answer");
}

/// Opens it again; the page must find it without being loaded anew.
fn again(stage: &mut Stage) {
    again_at(stage, "marsh");
}

fn again_at(stage: &mut Stage, folder: &str) {
    let (port, key) = (stage.studio.port, stage.studio.key.clone());
    stage.studio = Studio::open_at(&stage.room.join(folder), port);
    assert_eq!(stage.studio.key, key, "the page waits with another key");
    stage.browser.wait(&format!("!document.querySelector(\"{}\")", part::NOTICE));
    assert_eq!(stage.browser.evaluate("window.stays"), true, "the page was loaded anew");
}

/// Everything that was acknowledged is there; what was in the hand stands where it stood, or is dragged on.
#[test]
fn a_studio_killed_during_a_drag_has_lost_nothing() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.choose("post");
    stage.decides(|stage| stage.write_on_card("d 5"));
    stage.browser.wait_for_text(part::CARD, "5 m");
    let acknowledged = stage.room.card("post");
    assert_eq!(acknowledged["z_m"], 5.0);
    stage.draw("post", (60.0, 0.0));
    kill(&mut stage);
    assert_eq!(stage.room.card("post"), acknowledged);
    // Let go of while nobody listens: nothing is decided, and nothing looks as if it were.
    stage.browser.release();
    again(&mut stage);
    assert_eq!(stage.room.card("post"), acknowledged);
    stage.browser.wait_for_text(part::CARD, "5 m");
    crate::pixels::assert_as_rendered(&mut stage);
    // Held all the while, it is dragged on and let go of: decided once, where it was let go of.
    let metre = stage.metre_at("post");
    stage.draw("post", (0.25 * metre, 0.0));
    kill(&mut stage);
    again(&mut stage);
    let at = stage.middle_of("post");
    stage.decides(|stage| {
        stage.browser.move_to(at.by(0.5 * metre, 0.0));
        stage.browser.release();
    });
    let now = stage.room.card("post");
    assert!((now["x_m"].as_f64().unwrap() - 0.5).abs() < 0.05, "{now}");
    crate::pixels::assert_as_rendered(&mut stage);
    assert_eq!(stage.browser.evaluate("window.stays"), true, "the page was loaded anew");
}

/// Strokes that the studio has, as it tells them.
fn strokes(stage: &Stage) -> Vec<Value> {
    stage.studio.sheet()["handwork"][0]["strokes"].as_array().unwrap().clone()
}

/// Takes a nib up on the cut-outs sheet; answers where a share of the frame's width and height lies.
fn take_nib(stage: &mut Stage, does: &str) -> impl Fn(f64, f64) -> Point + use<> {
    stage.turn("3");
    stage.browser.wait("document.querySelector('.table canvas')?.dataset.drawn === 'sharp'");
    let nib = format!("button.nib[title='{does}']");
    stage.browser.click(nib.as_str());
    stage.browser.wait(&format!("document.querySelector(\"{nib}\").ariaPressed === 'true'"));
    let [x, y, width, height] = stage.browser.frame(".table");
    move |across, down| Point { x: x + across * width, y: y + down * height }
}

#[test]
fn a_studio_killed_during_a_stroke_has_lost_nothing() {
    let Some(mut stage) = Stage::with_post() else { return };
    // A nib that touches up: what it does is done at once.
    let at = take_nib(&mut stage, "make the edge softer");
    stage.decides(|stage| {
        let pen = |down: f64| Pen { at: at(0.35, down), force: 0.6 };
        stage.browser.stroke(&[pen(0.3), pen(0.5), pen(0.7)]);
    });
    let acknowledged = strokes(&stage);
    assert_eq!(acknowledged.len(), 1, "{acknowledged:?}");
    stage.browser.wait_for_text(".strokes", "soften");
    // In the middle of the next one.
    stage.browser.press(at(0.65, 0.3));
    stage.browser.move_to(at(0.65, 0.6));
    stage.browser.wait("document.querySelector('.table .ink-soften')");
    kill(&mut stage);
    assert_eq!(stage.room.run("check marsh").fine().code, 0);
    // It ends while nobody listens, and is gone from the sheet as well.
    stage.browser.release();
    stage.browser.wait("!document.querySelector('.table .ink-soften')");
    again(&mut stage);
    assert_eq!(strokes(&stage), acknowledged);
    stage.browser.wait("document.querySelectorAll('.strokes li').length === 1");
    // And it is drawn on.
    stage.decides(|stage| {
        stage.browser.drag(at(0.65, 0.3), at(0.65, 0.6));
    });
    assert_eq!(strokes(&stage).len(), 2);
    stage.browser.wait("document.querySelectorAll('.strokes li').length === 2");
    stage.browser.wait("!document.querySelector('.table .ink-soften')");
    assert_eq!(stage.browser.evaluate("window.stays"), true, "the page was loaded anew");
}

/// A stroke that says what is sure is kept at once and cut by later, if need be by the next studio. Whoever takes that cut back is not given
/// it again.
#[test]
fn a_cut_that_is_owed_is_made_after_all() {
    let Some(mut stage) = Stage::with_post() else { return };
    let at = take_nib(&mut stage, "is not");
    let owes = |stage: &Stage| stage.studio.sheet()["handwork"][0]["owes_cut"] == true;
    stage.decides(|stage| stage.browser.drag(at(0.33, 0.2), at(0.33, 0.5)));
    assert!(owes(&stage));
    kill(&mut stage);
    again(&mut stage);
    assert_eq!(strokes(&stage).len(), 1);
    stage.browser.wait_for_text(part::SAID, "cut");
    let cut = |is: bool| {
        format!("document.querySelector('.cutting').textContent.includes('Not cut by its strokes') !== {is}")
    };
    stage.browser.wait(&cut(true));
    assert!(!owes(&stage));
    stage.decides(|stage| stage.browser.click("[aria-keyshortcuts='Control+Z']"));
    stage.browser.wait(&cut(false));
    std::thread::sleep(std::time::Duration::from_secs(4));
    assert!(owes(&stage));
}

/// A page at a picture of a rack goes on with that picture.
#[test]
fn a_rack_killed_lays_the_same_picture_out_again() {
    let Some(mut stage) = Stage::at_rack() else { return };
    stage.begin("300x200");
    kill(&mut stage);
    again_at(&mut stage, "");
    stage.browser.wait_for_text(part::TITLE, "marsh");
    stage.browser.click("button[aria-keyshortcuts='1']");
    assert_eq!(stage.studio.sheet()["name"], "marsh");
    assert_eq!(stage.browser.evaluate("window.stays"), true, "the page was loaded anew");
}

/// What takes long is called off by a click, and nothing of it comes in.
#[test]
fn a_shot_that_comes_in_is_called_off_by_a_click() {
    let Some(mut stage) = Stage::with_post() else { return };
    let shots = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/shots");
    for (key, shot) in [("4", "sitter_1.jpg"), ("3", "sitter_2.jpg")] {
        stage.turn(key);
        let middle = Point { x: 300.0, y: 300.0 };
        stage.browser.drop_files(middle, &[&shots.join(shot)]);
        stage.browser.wait("document.querySelector('.going .word')");
        stage.browser.click(".going .word");
        stage.browser.wait_for_text(part::SAID, "called off");
        assert_eq!(stage.studio.sheet()["cutouts"].as_array().unwrap().len(), 1);
    }
}
