//! A studio that dies in the middle of something.

use crate::served::Studio;
use crate::stage::{Stage, part};

/// Everything that was acknowledged is there; what was in the hand stands where it stood; the page says so, and goes on by the new address.
#[test]
fn a_studio_killed_during_a_drag_has_lost_nothing() {
    let Some(mut stage) = Stage::with_post() else { return };
    stage.choose("post");
    stage.decides(|stage| stage.write_on_card("d 5"));
    stage.browser.wait_for_text(part::CARD, "5 m");
    let acknowledged = stage.room.card("post");
    assert_eq!(acknowledged["z_m"], 5.0);
    stage.draw("post", (60.0, 0.0));
    // The page's line breaks, and it tries again until the studio is there: the browser notes every try.
    stage.browser.forgive("WebSocket connection to");
    stage.studio.kill();
    stage.browser.wait_for_text(part::NOTICE, "does not answer");
    assert_eq!(stage.room.card("post"), acknowledged);
    // Let go of while nobody listens: nothing is decided.
    stage.browser.release();
    let port = stage.studio.port;
    stage.studio = Studio::open_at(&stage.room.join("marsh"), port);
    assert_eq!(stage.room.card("post"), acknowledged);
    // The new studio has a new key, which the browser gets where its address is opened: all tabs go on with it.
    let address = stage.studio.address();
    stage.browser.open_beside(&address);
    stage.browser.wait(&format!("!document.querySelector(\"{}\")", part::NOTICE));
    stage.browser.wait_for_text(part::CARD, "5 m");
    // And it is worked on.
    let metre = stage.metre_at("post");
    stage.decides(|stage| {
        stage.draw("post", (0.5 * metre, 0.0));
        stage.browser.release();
    });
    let now = stage.room.card("post");
    assert!((now["x_m"].as_f64().unwrap() - 0.5).abs() < 0.05, "{now}");
}
