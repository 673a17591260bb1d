//! The sheet of the stage: what lies on it, and what is done on it.

use crate::browser::screens;
use crate::stage::{Stage, part};

#[test]
fn a_picture_lies_on_the_sheet_with_its_plan_and_section() {
    let Some(mut stage) = Stage::with_post() else { return };
    assert_eq!(stage.browser.evaluate("document.title"), "Setpiece");
    stage.browser.wait_for_text(part::TITLE, "marsh");
    stage.browser.wait_for_text("[aria-keyshortcuts='4']", "Staging1");
    // The picture, at its shape; sky above, ground below.
    let [_, _, width, height] = stage.browser.frame(part::CANVAS);
    assert!((width / height - 1.5).abs() < 0.02, "{width} x {height}");
    stage.until("the picture is drawn", |stage| {
        let shown = stage.shown();
        let [sky, ground] = [1, 7].map(|eighth| shown.at(shown.width / 4, shown.height * eighth / 8));
        sky[2] > 150 && (1..100).contains(&ground[2])
    });
    for part in [part::PLAN, part::SECTION, part::LINE_UP] {
        let marks =
            format!("document.querySelectorAll(\"{part} :is(circle, rect, path, button)\").length > 0");
        stage.browser.wait(&marks);
    }
    assert!(stage.browser.text(part::SECTION).contains("camera height 1 m"));
    assert!(stage.browser.text(part::CARD).contains("Click a piece"));
    assert_eq!(stage.browser.evaluate("document.querySelector(\"[role='alert']\")"), serde_json::Value::Null);
    let file = screens().join("post.png");
    stage.browser.screenshot(&file);
}

/// What the card of the chosen piece says a quantity is.
#[track_caller]
fn result(stage: &mut Stage, row: &str) -> String {
    let rows = stage.browser.evaluate(&format!(
        "[...document.querySelectorAll(\"{} tbody tr\")].map((r) => [...r.cells].map((c) => c.textContent))",
        part::CARD
    ));
    let found = rows.as_array().unwrap().iter().find(|r| r[0].as_str().unwrap().ends_with(row));
    found.unwrap_or_else(|| panic!("no {row} in {rows}"))[3].as_str().unwrap().to_owned()
}

/// That the card and the command line say the same of where the piece stands.
#[track_caller]
fn assert_card_agrees(stage: &mut Stage, piece: &str) {
    let depth = stage.room.card(piece)["depth_m"].as_f64().unwrap();
    // Two digits, without the noughts at their end.
    let wanted = format!("{} m", (depth * 100.0).round() / 100.0);
    stage.until(&format!("the card says {wanted}"), |stage| result(stage, "distance") == wanted);
}

#[test]
fn a_click_chooses_a_piece_and_a_drag_in_the_picture_moves_it() {
    let Some(mut stage) = Stage::with_post() else { return };
    let before = stage.room.card("post");
    stage.choose("post");
    assert_eq!(stage.room.card("post"), before, "a click decides something");
    assert_card_agrees(&mut stage, "post");
    // Half a metre to the right, along its row: as far away as before.
    let metre = stage.metre_at("post");
    stage.decides(|stage| {
        stage.draw("post", (0.5 * metre, 0.0));
        // Dragged, it is not decided.
        assert_eq!(stage.room.card("post"), before);
        stage.browser.release();
    });
    let moved = stage.room.card("post");
    let of = |key: &str| moved[key].as_f64().unwrap();
    assert!((of("x_m") - 0.5).abs() < 0.05 && (of("z_m") - 4.0).abs() < 0.1, "{moved}");
    assert_card_agrees(&mut stage, "post");
    // Up in the picture is away.
    stage.decides(|stage| {
        stage.draw("post", (0.0, -0.05 * metre));
        stage.browser.release();
    });
    assert!(stage.room.card("post")["z_m"].as_f64().unwrap() > of("z_m") + 0.1);
    assert_card_agrees(&mut stage, "post");
    assert_eq!(stage.browser.actions(), 3);
    // Both are taken back by keys, and one is done again.
    stage.decides(|stage| stage.browser.key("Control+z"));
    assert_eq!(stage.room.card("post"), moved);
    stage.decides(|stage| stage.browser.key("Control+z"));
    assert_eq!(stage.room.card("post"), before);
    stage.decides(|stage| stage.browser.key("Control+Shift+z"));
    assert_eq!(stage.room.card("post"), moved);
    assert_card_agrees(&mut stage, "post");
}

#[test]
fn a_mark_is_dragged_on_the_plan() {
    let Some(mut stage) = Stage::with_post() else { return };
    let before = stage.room.card("post");
    let mark = format!("{} circle.mark", part::PLAN);
    let at = stage.browser.at(mark.as_str());
    stage.decides(|stage| stage.browser.drag(at, at.by(0.0, -20.0)));
    let away = stage.room.card("post");
    assert!(away["z_m"].as_f64() > before["z_m"].as_f64() && away["x_m"] == before["x_m"], "{away}");
    assert_card_agrees(&mut stage, "post");
    // To the right, at the same distance.
    let at = stage.browser.at(mark.as_str());
    stage.decides(|stage| stage.browser.drag(at, at.by(30.0, 0.0)));
    let right = stage.room.card("post");
    assert!(right["x_m"].as_f64() > away["x_m"].as_f64(), "{right}");
    let apart = right["z_m"].as_f64().unwrap() - away["z_m"].as_f64().unwrap();
    assert!(apart.abs() < 0.01, "{right}");
}

#[test]
fn a_line_is_written_on_the_card_and_taken_back_by_keys() {
    let Some(mut stage) = Stage::with_post() else { return };
    let before = stage.room.card("post");
    stage.choose("post");
    stage.decides(|stage| stage.write_on_card("d 6.5"));
    assert_eq!(stage.room.card("post")["z_m"], 6.5);
    assert_card_agrees(&mut stage, "post");
    stage.decides(|stage| stage.write_on_card("e +0.5"));
    assert_eq!(stage.room.card("post")["light"]["nudge_stops"], 0.5);
    stage.browser.wait_for_text(part::CARD, "+0.5");
    // What is not understood is told, and changes nothing.
    let number = stage.number();
    stage.write_on_card("d far");
    stage.browser.wait_for_text(part::SAID, "far");
    assert_eq!(stage.number(), number);
    // Keys take back where no line is being written.
    stage.browser.key("Tab");
    for _ in 0..2 {
        stage.decides(|stage| stage.browser.key("Control+z"));
    }
    assert_eq!(stage.room.card("post"), before);
    assert_card_agrees(&mut stage, "post");
}

#[test]
fn what_commands_do_meanwhile_appears() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.choose("post");
    stage.room.run("place marsh move post --at 0.5,7").fine();
    stage.browser.wait_for_text(part::CARD, "7 m");
    assert_card_agrees(&mut stage, "post");
    crate::pixels::assert_as_rendered(&mut stage);
    stage.room.run("undo marsh").fine();
    stage.browser.wait_for_text(part::CARD, "4 m");
    crate::pixels::assert_as_rendered(&mut stage);
}
