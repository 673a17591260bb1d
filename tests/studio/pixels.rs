//! What is seen is what is rendered; and pictures of the sheet at several sizes, to be looked at.

use crate::browser::screens;
use crate::stage::{ORDINARY, Shown, Stage, Window, part};

/// Waits until the canvas shows what the command line renders at its size, to the last code. Where the size of the picture on the
/// screen is no whole number of pixels, the canvas may have one more of them.
#[track_caller]
pub(crate) fn assert_as_rendered(stage: &mut Stage) {
    let mut rendered: Option<Shown> = None;
    stage.until("the canvas shows what is rendered", |stage| {
        let shown = stage.shown();
        let width = shown.width;
        let is_at_hand = rendered.as_ref().is_some_and(|r| r.width == width);
        let wanted = if is_at_hand { rendered.take() } else { None }.unwrap_or_else(|| render(stage, width));
        let is_so = shown.shows(&wanted);
        rendered = Some(wanted);
        is_so
    });
}

/// The whole picture so many pixels wide, by the command line.
fn render(stage: &Stage, width: u32) -> Shown {
    stage.room.run(&format!("render marsh -o seen.png --over --depth 8 --width {width}")).fine();
    Shown::read(&stage.room.join("seen.png"))
}

/// At one screen pixel to a CSS pixel and at two, and while the window grows.
#[test]
fn what_is_seen_is_what_is_rendered() {
    let Some(mut stage) = Stage::with_post() else { return };
    assert_as_rendered(&mut stage);
    stage.browser.resize(1001, 777, 1.0);
    assert_as_rendered(&mut stage);
    stage.browser.resize(900, 640, 2.0);
    stage.enter();
    assert_as_rendered(&mut stage);
    stage.choose("post");
    stage.decides(|stage| stage.write_on_card("e -1"));
    assert_as_rendered(&mut stage);
}

/// Nothing of the sheet lies outside the window, and nothing is cut off; pictures of it are written.
#[test]
fn the_sheet_fits_windows_of_all_sizes() {
    const SIZES: [Window; 4] = [ORDINARY, (1600, 1000, 1.0), (3840, 2160, 1.0), (1920, 1080, 2.0)];
    let Some(mut stage) = Stage::open(crate::sheets::posts, ORDINARY) else { return };
    for (width, height, density) in SIZES {
        stage.browser.resize(width, height, density);
        // A window with another density is another window.
        stage.enter();
        stage.choose("post");
        for part in [part::CANVAS, part::PLAN, part::SECTION, part::LINE_UP, part::CARD, part::TITLE] {
            let [x, y, w, h] = stage.browser.frame(part);
            let is_within = x >= 0.0 && y >= 0.0 && x + w <= f64::from(width) && y + h <= f64::from(height);
            assert!(is_within && w > 0.0 && h > 0.0, "{part} in {width} x {height}: {x}, {y}, {w} x {h}");
        }
        // A large picture takes long to be read from the page.
        if width < 2000 && density == 1.0 {
            assert_as_rendered(&mut stage);
        }
        let times = if density == 1.0 { String::new() } else { format!("@{density}") };
        let file = screens().join(format!("staging-{width}x{height}{times}.png"));
        stage.browser.screenshot(&file);
        println!("to be looked at: {}", file.display());
    }
}
