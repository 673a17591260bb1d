//! What a person does with a page: the mouse, the pen, the keys, and files.

use super::{AGAIN, Browser, PATIENCE};
use serde_json::{Value, json};
use std::path::Path;
use std::time::Instant;

/// Moves on the way of a drag.
const STEPS: u32 = 8;

/// A place in the window, in CSS pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    /// A place beside it.
    pub(crate) fn by(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y }
    }

    /// A place on the way to another: 0 is here, 1 is there.
    fn towards(self, to: Self, share: f64) -> Self {
        self.by((to.x - self.x) * share, (to.y - self.y) * share)
    }
}

/// Where a hand goes: a place, or the middle of what a selector finds first.
#[derive(Clone, Debug)]
pub(crate) enum Spot {
    At(Point),
    Of(String),
}

impl From<Point> for Spot {
    fn from(at: Point) -> Self {
        Self::At(at)
    }
}

impl From<&str> for Spot {
    fn from(selector: &str) -> Self {
        Self::Of(selector.to_owned())
    }
}

/// A place that a pen goes through, and how hard it is pressed there, from 0 to 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Pen {
    pub(crate) at: Point,
    pub(crate) force: f64,
}

/// A key as the protocol wants it.
struct Key {
    name: String,
    code: String,
    number: u32,
    text: Option<String>,
}

impl Browser {
    /// Where that is. What is covered by something else cannot be clicked by a person either.
    #[track_caller]
    pub(crate) fn at(&mut self, spot: impl Into<Spot>) -> Point {
        let selector = match spot.into() {
            Spot::At(at) => return at,
            Spot::Of(selector) => Value::from(selector),
        };
        let found = self.evaluate(&format!(
            "(() => {{
                const found = document.querySelector({selector});
                if (!found) return 'nothing is found by it';
                found.scrollIntoView({{ block: 'nearest', inline: 'nearest' }});
                const box = found.getBoundingClientRect();
                const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
                const top = document.elementFromPoint(x, y);
                if (!top) return 'it lies outside the window';
                if (top !== found && !found.contains(top) && !top.contains(found)) return 'it is covered by ' + top.outerHTML.slice(0, 200);
                return [x, y];
            }})()"
        ));
        match (&found[0], &found[1]) {
            (Value::Number(x), Value::Number(y)) => Point { x: x.as_f64().unwrap(), y: y.as_f64().unwrap() },
            _ => panic!("{selector}: {found}"),
        }
    }

    /// Left, top, width and height of what a selector finds first.
    #[track_caller]
    pub(crate) fn frame(&mut self, selector: &str) -> [f64; 4] {
        let selector = Value::from(selector);
        let found = self.evaluate(&format!(
            "(() => {{ const b = document.querySelector({selector}).getBoundingClientRect(); return [b.x, b.y, b.width, b.height]; }})()"
        ));
        serde_json::from_value(found).unwrap()
    }

    /// Clicks.
    #[track_caller]
    pub(crate) fn click(&mut self, spot: impl Into<Spot>) {
        self.press(spot);
        self.release();
    }

    /// Takes hold of something, draws it somewhere and lets go.
    #[track_caller]
    pub(crate) fn drag(&mut self, from: impl Into<Spot>, to: impl Into<Spot>) {
        self.press(from);
        self.move_to(to);
        self.release();
    }

    /// Presses the mouse's button there. With what follows until it is let go of this is one action.
    #[track_caller]
    pub(crate) fn press(&mut self, spot: impl Into<Spot>) {
        let at = self.at(spot);
        self.actions += 1;
        self.mouse("mouseMoved", at, 0);
        self.hand = (at, true);
        self.mouse("mousePressed", at, 0);
    }

    /// Moves the mouse there in steps.
    #[track_caller]
    pub(crate) fn move_to(&mut self, spot: impl Into<Spot>) {
        let (from, to) = (self.hand.0, self.at(spot));
        for step in 1..=STEPS {
            self.mouse("mouseMoved", from.towards(to, f64::from(step) / f64::from(STEPS)), 0);
        }
        self.hand.0 = to;
    }

    /// Lets go of the mouse's button.
    #[track_caller]
    pub(crate) fn release(&mut self) {
        let at = self.hand.0;
        self.mouse("mouseReleased", at, 0);
        self.hand.1 = false;
    }

    #[track_caller]
    fn mouse(&mut self, kind: &str, at: Point, modifiers: u32) {
        let is_down = self.hand.1;
        let held = if is_down { "left" } else { "none" };
        let buttons = u32::from(is_down && kind != "mouseReleased");
        let with = json!({
            "type": kind, "x": at.x, "y": at.y, "modifiers": modifiers,
            "button": held, "buttons": buttons, "clickCount": u32::from(kind != "mouseMoved"),
        });
        self.call("Input.dispatchMouseEvent", with);
    }

    /// Draws a line with a pen. One action.
    #[track_caller]
    pub(crate) fn stroke(&mut self, through: &[Pen]) {
        let (Some(first), Some(last)) = (through.first(), through.last()) else { return };
        self.actions += 1;
        let mut pen = |kind: &str, Pen { at, force }: Pen, buttons: u32| {
            let with = json!({
                "type": kind, "x": at.x, "y": at.y, "force": force, "pointerType": "pen",
                "button": "left", "buttons": buttons, "clickCount": u32::from(kind != "mouseMoved"),
            });
            self.call("Input.dispatchMouseEvent", with);
        };
        pen("mousePressed", *first, 1);
        for on_the_way in &through[1..] {
            pen("mouseMoved", *on_the_way, 1);
        }
        pen("mouseReleased", Pen { force: 0.0, ..*last }, 0);
        self.hand = (last.at, false);
    }

    /// Turns the wheel there, by so many CSS pixels across and down.
    #[track_caller]
    pub(crate) fn wheel(&mut self, spot: impl Into<Spot>, across: f64, down: f64) {
        let at = self.at(spot);
        self.actions += 1;
        // The protocol wants places in CSS pixels, but turns in screen pixels.
        let [across, down] = [across, down].map(|turn| turn * self.density);
        let with = json!({ "type": "mouseWheel", "x": at.x, "y": at.y, "deltaX": across, "deltaY": down });
        self.call("Input.dispatchMouseEvent", with);
    }

    /// Presses a key, alone or with others held: `n`, `Escape`, `Shift+ArrowLeft`, `Control+z`.
    #[track_caller]
    pub(crate) fn key(&mut self, chord: &str) {
        self.actions += 1;
        self.strike(chord);
    }

    /// Types a text where the cursor is. One action, however long.
    #[track_caller]
    pub(crate) fn type_text(&mut self, text: &str) {
        self.actions += 1;
        for c in text.chars() {
            if c.is_ascii_graphic() {
                self.strike(&c.to_string());
            } else {
                self.call("Input.insertText", json!({ "text": c.to_string() }));
            }
        }
    }

    #[track_caller]
    fn strike(&mut self, chord: &str) {
        // A plus by itself is a key.
        let (held, name) = match chord.rsplit_once('+') {
            Some((held, name)) if !name.is_empty() => (held, name),
            _ => ("", chord),
        };
        let modifiers = held.split('+').filter(|h| !h.is_empty()).map(|held| match held {
            "Alt" => 1,
            "Control" => 2,
            "Meta" => 4,
            "Shift" => 8,
            other => panic!("{other} cannot be held with another key"),
        });
        let modifiers: u32 = modifiers.sum();
        let key = Key::named(name);
        let text = key.text.filter(|_| modifiers & !8 == 0);
        let with = |kind: &str| {
            json!({
                "type": kind, "key": key.name, "code": key.code, "modifiers": modifiers,
                "windowsVirtualKeyCode": key.number, "nativeVirtualKeyCode": key.number,
            })
        };
        let mut down = with(if text.is_some() { "keyDown" } else { "rawKeyDown" });
        if let Some(text) = text {
            down["text"] = text.into();
        }
        self.call("Input.dispatchKeyEvent", down);
        self.call("Input.dispatchKeyEvent", with("keyUp"));
    }

    /// Chooses files in a field for them. One action, as the browser's own window takes them all at once.
    #[track_caller]
    pub(crate) fn choose_files(&mut self, selector: &str, files: &[&Path]) {
        self.actions += 1;
        let field = self.call("DOM.getDocument", json!({}))["root"]["nodeId"].take();
        let found = self.call("DOM.querySelector", json!({ "nodeId": field, "selector": selector }));
        assert!(found["nodeId"] != 0, "nothing is found by {selector}");
        self.call("DOM.setFileInputFiles", json!({ "nodeId": found["nodeId"], "files": names(files) }));
    }

    /// Clicks something that asks for files in the browser's own window, and chooses some there. Two actions.
    #[track_caller]
    pub(crate) fn choose_files_by(&mut self, spot: impl Into<Spot>, files: &[&Path]) {
        self.call("Page.setInterceptFileChooserDialog", json!({ "enabled": true }));
        let before = self.asked_for_files().len();
        self.click(spot);
        let since = Instant::now();
        while self.asked_for_files().len() == before {
            assert!(since.elapsed() < PATIENCE, "no files are asked for");
            // What is told meanwhile comes with this answer.
            self.evaluate("0");
            std::thread::sleep(AGAIN);
        }
        self.actions += 1;
        let field = self.asked_for_files().pop();
        self.call("DOM.setFileInputFiles", json!({ "backendNodeId": field, "files": names(files) }));
        self.call("Page.setInterceptFileChooserDialog", json!({ "enabled": false }));
    }

    /// The fields that have asked for files so far.
    fn asked_for_files(&self) -> Vec<Value> {
        let asked = self.line.events.iter().filter(|e| e["method"] == "Page.fileChooserOpened");
        asked.map(|e| e["params"]["backendNodeId"].clone()).collect()
    }

    /// Opens a choice and takes what reads so. Two actions. How a choice unfolds is the browser's own affair, and is left out.
    #[track_caller]
    pub(crate) fn replace(&mut self, selector: &str, reads: &str) {
        self.at(selector);
        self.actions += 2;
        let (selector, reads) = (Value::from(selector), Value::from(reads));
        let found = self.evaluate(&format!(
            "(() => {{
                const choice = document.querySelector({selector});
                const all = [...choice.options].map((o) => o.textContent);
                const at = all.indexOf({reads});
                if (choice.disabled || at < 0) return all;
                choice.focus();
                choice.selectedIndex = at;
                for (const kind of ['input', 'change']) choice.dispatchEvent(new Event(kind, {{ bubbles: true }}));
                return null;
            }})()"
        ));
        assert!(found.is_null(), "{selector}: {reads} is not among {found}");
    }

    /// The role and the name of what keys go to, as they are read out; none where it is the page itself.
    #[track_caller]
    pub(crate) fn focused(&mut self) -> Option<(String, String)> {
        let found = self.call("Runtime.evaluate", json!({ "expression": "document.activeElement" }));
        if found["result"]["className"] == "HTMLBodyElement" {
            return None;
        }
        let with = json!({ "objectId": found["result"]["objectId"], "fetchRelatives": false });
        let told = self.call("Accessibility.getPartialAXTree", with);
        let of = |key: &str| told["nodes"][0][key]["value"].as_str().unwrap_or_default().to_owned();
        Some((of("role"), of("name")))
    }

    /// Drops files from elsewhere there. One action.
    #[track_caller]
    pub(crate) fn drop_files(&mut self, spot: impl Into<Spot>, files: &[&Path]) {
        let at = self.at(spot);
        self.actions += 1;
        let data = json!({ "items": [], "files": names(files), "dragOperationsMask": 1 });
        for kind in ["dragEnter", "dragOver", "drop"] {
            let with = json!({ "type": kind, "x": at.x, "y": at.y, "data": data });
            self.call("Input.dispatchDragEvent", with);
        }
    }
}

fn names(files: &[&Path]) -> Vec<String> {
    files.iter().map(|f| f.canonicalize().unwrap().to_str().unwrap().to_owned()).collect()
}

impl Key {
    /// A key by the name that a page knows it by.
    #[track_caller]
    fn named(name: &str) -> Self {
        let (number, text) = match name {
            "Enter" => (13, Some("\r")),
            "Escape" => (27, None),
            "Tab" => (9, None),
            "Space" => (32, Some(" ")),
            "Backspace" => (8, None),
            "Delete" => (46, None),
            "PageUp" => (33, None),
            "PageDown" => (34, None),
            "End" => (35, None),
            "Home" => (36, None),
            "ArrowLeft" => (37, None),
            "ArrowUp" => (38, None),
            "ArrowRight" => (39, None),
            "ArrowDown" => (40, None),
            _ => return Self::printed(name),
        };
        let shown = if name == "Space" { " " } else { name };
        Self { name: shown.to_owned(), code: name.to_owned(), number, text: text.map(str::to_owned) }
    }

    /// A key with one character on it.
    #[track_caller]
    fn printed(name: &str) -> Self {
        let mut all = name.chars();
        let (Some(c), None) = (all.next(), all.next()) else { panic!("there is no key {name}") };
        let upper = c.to_ascii_uppercase();
        let (code, number) = match upper {
            'A'..='Z' => (format!("Key{upper}"), upper as u32),
            '0'..='9' => (format!("Digit{upper}"), upper as u32),
            // Where it lies differs from keyboard to keyboard; what it writes does not.
            _ => (String::new(), 0),
        };
        Self { name: name.to_owned(), code, number, text: Some(name.to_owned()) }
    }
}
