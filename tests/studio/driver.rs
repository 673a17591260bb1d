//! The driver itself, on a page of its own: what its hands do reaches the page as a person's would, and is counted.

use crate::browser::{Browser, Pen, Point};
use crate::support::Room;
use serde_json::json;

/// A page that writes down what happens to it.
const PAGE: &str = "
    document.body.innerHTML = '<button style=\"width: 100px; height: 40px\">press</button> <input id=words> <input id=files type=file multiple> <p style=\"height: 3000px\">long</p>';
    window.seen = [];
    const note = (kind, of) => addEventListener(kind, (e) => { const s = of(e); if (s !== null) seen.push(kind + ' ' + s); }, { passive: false });
    note('click', (e) => e.target.tagName);
    note('keydown', (e) => (e.ctrlKey ? 'ctrl ' : '') + (e.shiftKey ? 'shift ' : '') + e.key + ' ' + e.code);
    note('pointermove', (e) => (e.pointerType === 'pen' && e.buttons ? 'pen ' + e.pressure.toFixed(2) : null));
    note('pointerdown', (e) => e.pointerType + ' ' + e.buttons);
    note('pointerup', (e) => e.pointerType + ' ' + e.buttons);
    note('wheel', (e) => e.deltaX + ' ' + e.deltaY);
    note('dragover', (e) => { e.preventDefault(); return null; });
    note('drop', (e) => { e.preventDefault(); return [...e.dataTransfer.files].map((f) => f.name).join(); });
    0
";

#[test]
fn hands_reach_the_page_and_are_counted() {
    let Some(mut browser) = Browser::start() else { return };
    browser.resize(800, 600, 2.0);
    browser.evaluate(PAGE);
    browser.click("button");
    browser.click("#words");
    browser.type_text("e +0.3 ü");
    browser.key("Control+a");
    browser.key("Shift+ArrowLeft");
    browser.drag(Point { x: 20.0, y: 300.0 }, Point { x: 60.0, y: 330.0 });
    let pen = |x: f64, force: f64| Pen { at: Point { x, y: 400.0 }, force };
    browser.stroke(&[pen(20.0, 0.25), pen(40.0, 0.5), pen(60.0, 0.75)]);
    browser.wheel(Point { x: 60.0, y: 400.0 }, 0.0, 120.0);
    browser.wait("scrollY > 0");
    browser.evaluate("scrollTo(0, 0)");
    let room = Room::new();
    let files = ["a.tif", "b.tif"].map(|name| room.join(name));
    files.iter().for_each(|f| std::fs::write(f, "II").unwrap());
    browser.drop_files(Point { x: 60.0, y: 400.0 }, &[&files[0], &files[1]]);
    browser.choose_files("#files", &[&files[1]]);
    assert_eq!(browser.actions(), 10);
    let seen = browser.evaluate("seen");
    let has = |what: &str| seen.as_array().unwrap().iter().any(|s| s == what);
    for what in [
        "click BUTTON",
        "click INPUT",
        "keydown + ",
        "keydown 0 Digit0",
        "keydown ctrl a KeyA",
        "keydown shift ArrowLeft ArrowLeft",
        "pointerdown mouse 1",
        "pointerup mouse 0",
        "pointerdown pen 1",
        "pointermove pen 0.50",
        "pointermove pen 0.75",
        "wheel 0 120",
        "drop a.tif,b.tif",
    ] {
        assert!(has(what), "{what} is missing: {seen}");
    }
    assert_eq!(browser.evaluate("document.querySelector('#words').value"), "e +0.3 ü");
    assert_eq!(
        browser.evaluate("[...document.querySelector('#files').files].map((f) => f.name)"),
        json!(["b.tif"])
    );
    let file = room.join("seen.png");
    browser.screenshot(&file);
    assert_eq!(crate::support::picture(&file).size().width(), 1600);
}

#[test]
fn troubles_in_a_page_are_found() {
    let Some(mut browser) = Browser::start() else { return };
    browser.evaluate("console.error('bad', { a: 1 }, 7); console.log('good')");
    browser.evaluate("setTimeout(() => { throw new Error('worse') }, 0)");
    browser.evaluate("Promise.reject(new Error('worst')) && 0");
    browser.evaluate("new Promise((done) => setTimeout(done, 50))");
    let troubles = browser.troubles();
    assert_eq!(troubles.len(), 3, "{troubles:?}");
    for (words, trouble) in ["bad", "worse", "worst"].iter().zip(&troubles) {
        assert!(trouble.contains(words), "{trouble}");
        browser.forgive(words);
    }
    assert!(browser.troubles().is_empty());
}
