//! A picture in the studio, in a browser: what the tests of the sheets begin with.
//!
//! ```ignore
//! let Some(mut stage) = Stage::with_post() else { return };
//! stage.choose("post");
//! stage.decides(|stage| stage.write_on_card("d 6.5"));
//! assert_eq!(stage.room.card("post")["z_m"], 6.5);
//! assert!(stage.browser.actions() <= 4);
//! ```

use crate::browser::{Browser, Point};
use crate::served::Studio;
use crate::support::{Room, picture, samples8};
use serde_json::Value;
use std::path::Path;
use std::time::{Duration, Instant};

/// For what is waited for outside the page.
const PATIENCE: Duration = Duration::from_secs(90);

/// Where things are on the sheet, by what a screen reader knows them by, where it does.
pub(crate) mod part {
    pub(crate) const CANVAS: &str = ".frame canvas";
    pub(crate) const PLAN: &str = "[aria-label='Ground plan']";
    pub(crate) const SECTION: &str = "[aria-label='Section']";
    pub(crate) const LINE_UP: &str = "[aria-label^='Pieces, nearest first']";
    pub(crate) const CARD: &str = "[aria-label='Mark card']";
    pub(crate) const CARD_LINE: &str = "#says";
    pub(crate) const TITLE: &str = "[aria-label='Title block']";
    pub(crate) const NOTICE: &str = "[role='alert']";
    /// What was last done or refused.
    pub(crate) const SAID: &str = ".said";
    pub(crate) const TAKE: &str = "[aria-label='The take on top']";
}

/// A window: CSS pixels, and screen pixels to each.
pub(crate) type Window = (u32, u32, f64);

/// What a test's window is where it does not matter.
pub(crate) const ORDINARY: Window = (1280, 720, 1.0);

impl Studio {
    /// Where a browser goes first.
    pub(crate) fn address(&self) -> String {
        format!("http://{}/enter/{}", self.host(), self.key)
    }

    /// The picture as it tells it to a window that opens now.
    pub(crate) fn sheet(&self) -> Value {
        self.own_line().told("sheet")
    }
}

/// The studio with the picture `marsh` of a room, and a browser that shows it. Dropped in this order: a page whose studio
/// went away would complain.
pub(crate) struct Stage {
    pub(crate) browser: Browser,
    pub(crate) studio: Studio,
    pub(crate) room: Room,
}

impl Stage {
    /// The post in the marsh, in a window of ordinary size; `None` where there is no browser.
    pub(crate) fn with_post() -> Option<Self> {
        Self::open(Room::with_post, ORDINARY)
    }

    /// A room's picture in a window; `None` where there is no browser.
    pub(crate) fn open(room: impl FnOnce() -> Room, window: Window) -> Option<Self> {
        let browser = Browser::start()?;
        let room = room();
        let studio = Studio::open(&room.join("marsh"));
        let mut stage = Self { browser, studio, room };
        stage.browser.resize(window.0, window.1, window.2);
        stage.enter();
        Some(stage)
    }

    /// An empty rack in a fresh folder, in a window of ordinary size; `None` where there is no browser.
    pub(crate) fn at_rack() -> Option<Self> {
        let browser = Browser::start()?;
        let room = Room::new();
        let studio = Studio::open(room.path());
        let mut stage = Self { browser, studio, room };
        stage.browser.resize(ORDINARY.0, ORDINARY.1, ORDINARY.2);
        stage.enter();
        Some(stage)
    }

    /// Begins the picture `marsh` in the rack.
    #[track_caller]
    pub(crate) fn begin(&mut self, size: &str) {
        self.browser.click("[aria-label='What it is called']");
        self.browser.type_text("marsh");
        self.browser.replace("[aria-label='Size of the print']", "another size");
        self.browser.click("[aria-label^='Size, as']");
        self.browser.type_text(size);
        self.browser.key("Enter");
        self.browser.wait_for_text(part::TITLE, "marsh");
    }

    /// Turns another sheet up, by its key.
    #[track_caller]
    pub(crate) fn turn(&mut self, key: &str) {
        self.browser.key(key);
        self.browser
            .wait(&format!("document.querySelector(\"nav [aria-keyshortcuts='{key}'][aria-current]\")"));
    }

    /// Pulls a figure by so many steps.
    #[track_caller]
    pub(crate) fn pull(&mut self, figure: &str, steps: f64) {
        /// CSS pixels to a step.
        const WIDE: f64 = 6.0;
        let at = self.browser.at(figure);
        self.browser.drag(at, at.by(steps * WIDE, 0.0));
    }

    /// Goes in by the address that the studio printed, and waits until the sheet lies there.
    pub(crate) fn enter(&mut self) {
        self.browser.open(&self.studio.address());
        self.browser.wait("document.querySelector('#sheet')");
    }

    /// The last line of the journal, as the studio tells it.
    pub(crate) fn number(&self) -> u64 {
        self.studio.sheet()["number"].as_u64().unwrap()
    }

    /// Does something, and waits until it is decided: until the journal is longer.
    #[track_caller]
    pub(crate) fn decides(&mut self, deed: impl FnOnce(&mut Self)) {
        let before = self.number();
        deed(self);
        self.until("it is decided", |stage| stage.number() > before);
    }

    /// Waits for what is outside the page.
    #[track_caller]
    pub(crate) fn until(&mut self, what: &str, mut is_so: impl FnMut(&mut Self) -> bool) {
        let since = Instant::now();
        while !is_so(self) {
            assert!(since.elapsed() < PATIENCE, "not within {PATIENCE:?}: {what}");
            std::thread::sleep(Duration::from_millis(30));
        }
    }

    /// How a piece stands in the three views, as the studio tells it.
    #[track_caller]
    fn stand(&self, piece: &str) -> (Value, Value) {
        let mut sheet = self.studio.sheet();
        let number = self.room.card(piece)["piece"].clone();
        let mut views = sheet["projection"].take();
        let mut stands = views["pieces"].take();
        let found = stands.as_array_mut().unwrap().iter_mut().find(|s| s["piece"] == number);
        (found.unwrap_or_else(|| panic!("{piece} does not stand")).take(), views)
    }

    /// A place of the picture, in its own pixels, in the window.
    #[track_caller]
    pub(crate) fn in_picture(&mut self, [column, row]: [f64; 2]) -> Point {
        let views = self.studio.sheet()["projection"].take();
        let [x, y, width, height] = self.browser.frame(part::CANVAS);
        let of = |key: &str| views[key].as_f64().unwrap();
        Point { x: x + column * width / of("width_px"), y: y + row * height / of("height_px") }
    }

    /// The middle of a piece's staff in the picture, in the window.
    #[track_caller]
    pub(crate) fn middle_of(&mut self, piece: &str) -> Point {
        let (stand, _) = self.stand(piece);
        let middle = |k: usize| {
            let of = |key: &str| stand[key][k].as_f64().unwrap();
            f64::midpoint(of("foot_px"), of("top_px"))
        };
        self.in_picture([middle(0), middle(1)])
    }

    /// CSS pixels across, in the picture, for a metre at a piece's distance.
    #[track_caller]
    pub(crate) fn metre_at(&mut self, piece: &str) -> f64 {
        let (stand, views) = self.stand(piece);
        let of = |value: &Value| value.as_f64().unwrap();
        let scale = self.browser.frame(part::CANVAS)[2] / of(&views["width_px"]);
        of(&views["focal_px"]) / of(&stand["depth_m"]) * scale
    }

    /// Clicks a piece in the picture, and waits for its card.
    #[track_caller]
    pub(crate) fn choose(&mut self, piece: &str) {
        let at = self.middle_of(piece);
        self.browser.click(at);
        self.wait_for_card(piece);
    }

    #[track_caller]
    fn wait_for_card(&mut self, piece: &str) {
        let piece = Value::from(piece);
        self.browser.wait(&format!("document.querySelector('.mark-card .name').textContent === {piece}"));
    }

    /// Takes hold of a piece in the picture, waits until the page knows which it is, and draws it by so many CSS pixels.
    #[track_caller]
    pub(crate) fn draw(&mut self, piece: &str, by: (f64, f64)) {
        let at = self.middle_of(piece);
        self.browser.press(at);
        self.wait_for_card(piece);
        self.browser.move_to(at.by(by.0, by.1));
    }

    /// Writes a line on the card of the chosen piece.
    #[track_caller]
    pub(crate) fn write_on_card(&mut self, line: &str) {
        self.browser.click(part::CARD_LINE);
        self.browser.type_text(line);
        self.browser.key("Enter");
    }

    /// What the picture's canvas shows.
    #[track_caller]
    pub(crate) fn shown(&mut self) -> Shown {
        let file = self.room.join("shown.png");
        self.browser.canvas(part::CANVAS, &file);
        Shown::read(&file)
    }
}

/// Pixels: codes for red, green and blue, row by row.
#[derive(PartialEq, Eq)]
pub(crate) struct Shown {
    pub(crate) width: u32,
    pub(crate) height: u32,
    codes: Vec<u8>,
}

impl Shown {
    /// Those of a file with 8 bits; without its alpha, where it has one.
    pub(crate) fn read(file: &Path) -> Self {
        let size = picture(file).size();
        let codes = samples8(file);
        let channels = codes.len() / (size.width() as usize * size.height() as usize);
        let codes = codes.chunks_exact(channels).flat_map(|p| [p[0], p[1], p[2]]).collect();
        Self { width: size.width(), height: size.height(), codes }
    }

    /// A pixel's codes.
    pub(crate) fn at(&self, column: u32, row: u32) -> [u8; 3] {
        let at = 3 * (row as usize * self.width as usize + column as usize);
        self.codes[at..at + 3].try_into().unwrap()
    }

    /// Whether these are the pixels of another, but for a row below.
    pub(crate) fn shows(&self, other: &Self) -> bool {
        let rows_more = self.height.checked_sub(other.height);
        self.width == other.width && matches!(rows_more, Some(0 | 1)) && self.codes.starts_with(&other.codes)
    }
}
