//! What goes between the page and the program. The page's own types are made from these (`cargo xtask gen`).
//!
//! Texts are JSON, one message each. Pictures come as binary messages: four bytes, little-endian, that tell the length of a [`Screen`] as JSON,
//! the JSON, then the codes.

use serde::{Deserialize, Serialize};
use setpiece::commands::history::LogLine;
use setpiece::commands::line_up::Card;
use setpiece::commands::projection::Projection;
use std::collections::BTreeMap;
use ts_rs::{TS, TypeVisitor};

/// What the page asks.
#[derive(Clone, PartialEq, Debug, Deserialize, TS)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
pub enum Ask {
    /// To be shown a part of the picture, now and whenever it changes.
    Show {
        /// Which.
        view: View,
    },
    /// Which piece is seen at a place of the picture.
    Pick {
        /// Column and row, in the picture's pixels.
        at_px: [f64; 2],
    },
    /// To see a piece at another mark, without deciding anything.
    Drag {
        /// Its number.
        piece: u64,
        /// Where to.
        to: Whereto,
    },
    /// To see it where it stands again.
    LetGo,
    /// A decision.
    Do {
        /// Which.
        deed: Deed,
    },
}

/// A part of the picture on the screen.
#[derive(Clone, Copy, PartialEq, Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct View {
    /// Screen pixels to a picture pixel.
    pub scale: f64,
    /// Left, top, right, bottom, in screen pixels from the picture's corner.
    pub part: [i32; 4],
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
    /// Something is written on the cards of pieces, in the card's words: `d 4.5`, `e +0.3`.
    Card {
        /// Their numbers.
        pieces: Vec<u64>,
        /// What.
        says: String,
    },
    /// The last decisions are taken back.
    Undo {
        /// How many.
        times: u32,
    },
    /// Decisions that were taken back are done again.
    Redo {
        /// How many.
        times: u32,
    },
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
    /// What was asked is done.
    Done {
        /// The number of the message.
        n: u32,
        /// What was done, in a sentence.
        says: String,
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
    /// How the pieces stand while one is dragged.
    Dragged {
        /// The number of the message.
        n: u32,
        /// The dragged piece's card.
        card: Option<Box<Card>>,
        /// The views.
        projection: Option<Box<Projection>>,
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

/// The picture as it is now.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Sheet {
    /// The last line of its journal.
    pub number: u64,
    /// What it is called.
    pub name: String,
    /// Its pieces' cards, nearest first.
    pub pieces: Vec<Card>,
    /// Its three views.
    pub projection: Option<Projection>,
    /// What was done to it.
    pub log: Vec<LogLine>,
}

/// The head of a picture for the screen.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Screen {
    /// Where its codes lie: left, top, right, bottom, in screen pixels of the view it was asked for.
    pub part: [i32; 4],
    /// Screen pixels that one of its pixels is wide: 1, or more where it is coarse.
    pub coarse: u32,
    /// Screen pixels to a picture pixel, as the view asked.
    pub scale: f64,
    /// The last line of the journal that it shows.
    pub number: u64,
    /// Whether it shows a drag that nothing was decided about.
    pub is_drag: bool,
}

/// The types of all this for the page, in TypeScript.
#[must_use]
pub fn page_types() -> String {
    let mut all = All { config: ts_rs::Config::default().with_large_int("number"), types: BTreeMap::new() };
    all.visit::<Asked>();
    all.visit::<Tell>();
    all.visit::<Screen>();
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
