//! What goes between the page and the program. The page's own types are made from these (`cargo xtask gen`).
//!
//! Texts are JSON, one message each. Pictures come as binary messages: four bytes, little-endian, that tell the length of a [`Screen`] as JSON,
//! the JSON, then the codes.

use serde::{Deserialize, Serialize};
use setpiece::commands::cutouts::FactsReport;
use setpiece::commands::doubts::DoubtReport;
use setpiece::commands::dressings::DressingReport;
use setpiece::commands::edges::StretchReport;
use setpiece::commands::history::LogLine;
use setpiece::commands::lamps::LampReport;
use setpiece::commands::line_up::Card;
use setpiece::commands::papers::PaperReport;
use setpiece::commands::projection::Projection;
use setpiece::commands::reading::Report as Reading;
use setpiece::commands::takes::TakeReport;
use setpiece::commands::toning::TreatmentReport;
use setpiece::commands::touch_up::Report as Handwork;
use setpiece::commands::wedge::Share;
use std::collections::BTreeMap;
use ts_rs::{TS, TypeVisitor};

/// What the page asks.
#[derive(Clone, PartialEq, Debug, Deserialize, TS)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
pub enum Ask {
    /// To be shown something through a glass, now and whenever it changes.
    Show {
        /// Which glass: 0 is the lens, which comes first; the others are laid on the sheet.
        glass: u32,
        /// What it shows; nothing more, where there is none.
        view: Option<View>,
    },
    /// Which piece is seen at a place of the picture.
    Pick {
        /// Column and row, in the picture's pixels.
        at_px: [f64; 2],
    },
    /// Which place of the ground is seen at a place of the picture.
    Ground {
        /// Column and row, in the picture's pixels.
        at_px: [f64; 2],
    },
    /// What strokes would do to a cut-out, at once: it is shown through the glass until that is drawn anew.
    Sketch {
        /// The glass that shows the cut-out.
        glass: u32,
        /// The cut-out's number.
        cutout: u64,
        /// What it is laid on.
        on: On,
        /// The strokes, as a strokes file holds them; none makes ready.
        strokes: Option<String>,
    },
    /// How much of the picture lies at each step of the wedge.
    Wedge,
    /// Where the edge of a piece can be seen.
    Edge {
        /// Its number.
        piece: u64,
    },
    /// What is doubtful of a cut-out that was found by its paper.
    Doubts {
        /// Its number.
        cutout: u64,
    },
    /// The leaf on top as a file in the folder for what leaves the house.
    Print {
        /// The file's bare name; its ending says the form.
        to: String,
        /// Its width in pixels; the picture's own where there is none.
        width: Option<u32>,
        /// Replace a file of this name.
        over: bool,
    },
    /// To have no more of what is being printed, and of decisions that take long.
    CallOff {
        /// Of the decision of this message alone.
        only: Option<u32>,
    },
    /// To see what a decision would do, without deciding anything.
    Try {
        /// Which.
        deed: Deed,
    },
    /// To see the picture as it is again.
    LetGo,
    /// A decision. It is laid into the leaf that lies on top.
    Do {
        /// Which.
        deed: Deed,
    },
    /// A picture of the rack.
    Open {
        /// Its folder's name.
        folder: String,
    },
    /// A new picture in the rack.
    Begin {
        /// Its folder's name.
        folder: String,
        /// How large: a print, as 60x40cm, or pixels, as 6000x4000.
        extent: String,
    },
    /// The picture that lies open goes back into the rack.
    Leave,
    /// Another leaf on top.
    Leaf {
        /// The take; none is the picture itself.
        take: Option<u64>,
    },
}

/// Something to look at.
#[derive(Clone, Copy, PartialEq, Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct View {
    /// What.
    pub of: Of,
    /// In the colours of Display P3, for a screen that has them; in those of sRGB otherwise.
    pub is_wide: bool,
    /// Screen pixels to a pixel of it.
    pub scale: f64,
    /// Left, top, right, bottom, in screen pixels from its corner.
    pub part: [i32; 4],
}

/// What a glass shows.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize, TS)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
pub enum Of {
    /// The leaf that lies on top.
    Top,
    /// A leaf.
    Leaf {
        /// The take; none is the picture itself.
        take: Option<u64>,
    },
    /// The leaf on top with a treatment at another strength.
    Strength {
        /// The treatment's number.
        treatment: u64,
        /// Its strength.
        percent: u32,
    },
    /// The leaf on top with a wash where a treatment works.
    Wash {
        /// The treatment's number.
        treatment: u64,
    },
    /// The whole photograph that everything stands in.
    Backdrop,
    /// A cut-out, in the pixels of its shot.
    CutOut {
        /// Its number.
        cutout: u64,
        /// What it is laid on.
        on: On,
    },
}

/// What a cut-out is laid on, to be looked at.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum On {
    /// Black velvet.
    Velvet,
    /// A grey card.
    GreyCard,
    /// White paper.
    WhitePaper,
    /// Its matte alone, white where it covers.
    Lith,
    /// Nothing: the shot as it was photographed.
    Shot,
}

/// Where a piece is moved.
#[derive(Clone, Copy, PartialEq, Debug, Deserialize, TS)]
#[serde(tag = "on", rename_all = "snake_case", deny_unknown_fields)]
pub enum Whereto {
    /// To the ground that is seen there.
    Picture {
        /// Column and row of its foot, in the picture's pixels.
        foot_px: [f64; 2],
    },
    /// To a mark.
    Ground {
        /// To the right; as it is where nothing is said.
        x_m: Option<f64>,
        /// Away; as it is where nothing is said.
        z_m: Option<f64>,
        /// Above its level; as it is where nothing is said.
        lift_m: Option<f64>,
    },
}

/// A decision.
#[derive(Clone, PartialEq, Debug, Deserialize, TS)]
#[serde(tag = "deed", rename_all = "snake_case", deny_unknown_fields)]
pub enum Deed {
    /// A piece stands elsewhere.
    Move {
        /// Its number.
        piece: u64,
        /// Where to.
        to: Whereto,
    },
    /// What the words of the command line say, without the program's name and the folder.
    Say {
        /// Such as `place`, `nudge`, `#3`, `e=+0.3`.
        words: Vec<Word>,
    },
}

impl Deed {
    /// What may take long about it, if anything.
    pub(crate) fn work(&self) -> Option<Work> {
        let Self::Say { words } = self else { return None };
        let says = |at: usize, text: &str| matches!(words.get(at), Some(Word::Text(t)) if t == text);
        if says(0, "place") && words.iter().any(|w| matches!(w, Word::File(_))) {
            Some(Work::Shot)
        } else {
            (says(0, "touch-up") && says(1, "again")).then_some(Work::Cut)
        }
    }

    /// Whether it lays ground with pieces.
    pub(crate) fn dresses(&self) -> bool {
        let Self::Say { words } = self else { return false };
        matches!(words.first(), Some(Word::Text(t)) if t == "dress")
    }

    /// Whether it goes through what was decided before.
    pub(crate) fn is_turn(&self) -> bool {
        let Self::Say { words } = self else { return false };
        matches!(words.first(), Some(Word::Text(t)) if t == "undo" || t == "redo")
    }
}

/// Work that other decisions need not wait for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Work {
    /// A shot comes in.
    Shot,
    /// What is in the picture is cut out anew.
    Cut,
}

/// A word of the command line.
#[derive(Clone, PartialEq, Eq, Debug, Deserialize, TS)]
#[serde(untagged)]
pub enum Word {
    /// As it is.
    Text(String),
    /// A file that was handed in.
    File(HandedIn),
}

/// A file that was handed in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize, Serialize, TS)]
#[serde(deny_unknown_fields)]
pub struct HandedIn {
    /// The number that was answered for it.
    pub file: u64,
}

/// A message from the page: what it asks, and a number by which it knows the answer.
#[derive(Clone, PartialEq, Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// Its number.
    pub n: u32,
    /// What is asked.
    pub of: Ask,
}

/// A message to the page.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
#[serde(tag = "tell", rename_all = "snake_case")]
pub enum Tell {
    /// The picture as it is now.
    Sheet(Box<Sheet>),
    /// No picture lies open: those that can be opened.
    Rack {
        /// By the names of their folders.
        pictures: Vec<Racked>,
    },
    /// What was asked is done.
    Done {
        /// The number of the message.
        n: u32,
        /// What was done, in a sentence.
        says: String,
        /// What is odd about it.
        notes: Vec<String>,
    },
    /// What was asked is not done.
    Refused {
        /// The number of the message.
        n: u32,
        /// Why not.
        why: Refusal,
    },
    /// A piece that was picked.
    Picked {
        /// The number of the message.
        n: u32,
        /// The piece's number, where one is seen there.
        piece: Option<u64>,
    },
    /// A place on the ground.
    Ground {
        /// The number of the message.
        n: u32,
        /// To the right and away, where there is ground.
        at_m: Option<[f64; 2]>,
    },
    /// How much of the picture lies at each step of the wedge.
    Wedge {
        /// The number of the message.
        n: u32,
        /// From the darkest on.
        shares: Vec<Share>,
    },
    /// The stretches of a piece's edge, those that can be seen most first.
    Edge {
        /// The number of the message.
        n: u32,
        /// The stretches.
        stretches: Vec<StretchReport>,
    },
    /// What is doubtful of a cut-out.
    Doubts {
        /// The number of the message.
        n: u32,
        /// What is.
        doubts: Vec<DoubtReport>,
    },
    /// How far something is that takes its time.
    Going {
        /// The number of the message.
        n: u32,
        /// 0 to 1.
        share: f64,
    },
    /// How everything stands while something is tried.
    Tried {
        /// The number of the message.
        n: u32,
        /// The picture shows it already, if it ever will: the next may be tried.
        is_seen: bool,
        /// The cards of the pieces that it is about.
        cards: Vec<Card>,
        /// The views.
        projection: Option<Box<Projection>>,
        /// The toning card.
        toning: Vec<TreatmentReport>,
        /// The set dressings.
        dressings: Vec<DressingReport>,
    },
}

/// Why something is not done.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, TS)]
pub struct Refusal {
    /// What is wrong.
    pub what: String,
    /// Where.
    pub place: String,
    /// What to do.
    pub remedy: String,
}

/// A picture in the rack.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Racked {
    /// Its folder's name.
    pub folder: String,
    /// What it is called; none where it cannot be read.
    pub title: Option<String>,
    /// Its width.
    pub width_px: u32,
    /// Its height.
    pub height_px: u32,
    /// How many pieces are in it.
    pub pieces: usize,
    /// When it was last changed.
    pub kept: Option<String>,
}

/// The picture as it is now, as the leaf on top shows it.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Sheet {
    /// The last line of its journal.
    pub number: u64,
    /// What it is called.
    pub name: String,
    /// The take on top; none is the picture itself.
    pub take: Option<u64>,
    /// Its takes.
    pub takes: Vec<TakeReport>,
    /// Its pieces' cards, nearest first.
    pub pieces: Vec<Card>,
    /// Its three views.
    pub projection: Option<Projection>,
    /// Its cut-outs.
    pub cutouts: Vec<FactsReport>,
    /// What was done by hand on each of them, in the same order.
    pub handwork: Vec<Handwork>,
    /// Its lamps.
    pub lamps: Vec<LampReport>,
    /// Its toning card, in the order of the light's way.
    pub toning: Vec<TreatmentReport>,
    /// Its set dressings.
    pub dressings: Vec<DressingReport>,
    /// Receipts, licences and releases kept with it.
    pub papers: Vec<PaperReport>,
    /// What is known of its backdrop and stage.
    pub reading: Option<Reading>,
    /// What was done to it last.
    pub log: Vec<LogLine>,
    /// Whether there is something to take back.
    pub can_undo: bool,
    /// Whether there is something to do again.
    pub can_redo: bool,
    /// Whether there is a rack to lay it back into.
    pub has_rack: bool,
}

/// The head of a picture for the screen.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Screen {
    /// The glass it is seen through.
    pub glass: u32,
    /// Where its codes lie: left, top, right, bottom, in screen pixels of the view it was asked for.
    pub part: [i32; 4],
    /// Screen pixels that one of its pixels is wide: 1, or more where it is coarse; 0 for a sketch of its own size.
    pub coarse: u32,
    /// Its own width and height.
    pub size: [u32; 2],
    /// Screen pixels to a picture pixel, as the view asked.
    pub scale: f64,
    /// The last line of the journal that it shows.
    pub number: u64,
    /// Whether it shows something that is tried, about which nothing was decided.
    pub is_tried: bool,
}

/// The types of all this for the page, in TypeScript.
#[must_use]
pub fn page_types() -> String {
    let mut all = All { config: ts_rs::Config::default().with_large_int("number"), types: BTreeMap::new() };
    all.visit::<Asked>();
    all.visit::<Tell>();
    all.visit::<Screen>();
    all.visit::<HandedIn>();
    let types = all.types.into_values().map(|text| format!("\n{text}\n"));
    format!(
        "// What goes between the page and the program. Made by `cargo xtask gen`.\n{}",
        types.collect::<String>()
    )
}

/// Types by their names, each with all that it is made of.
struct All {
    config: ts_rs::Config,
    types: BTreeMap<String, String>,
}

impl TypeVisitor for All {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        // What has no file of its own is a type of the language.
        if T::output_path().is_some() {
            let name = T::ident(&self.config);
            if self.types.contains_key(&name) {
                return;
            }
            let text = format!("{}export {}", T::docs().unwrap_or_default(), T::decl(&self.config));
            self.types.insert(name, text);
        }
        T::visit_dependencies(self);
    }
}
