//! The commands: what can be done with a picture, as one function each.
//!
//! Values in, values out: nothing here prints, asks, or reads a clock. The command line and the studio both only
//! translate to these calls, so that neither can do what the other cannot.
//!
//! Whatever changes a picture is first made as an [`Edit`](scene::Edit) by a pure function of the scene, then carried out by
//! [`carry_out`], on the picture itself or in one of its takes. Reports are plain data whose fields, also in JSON, name their
//! units.

pub mod batch;
pub mod check;
mod contact;
pub mod cut;
pub mod cutouts;
pub mod demo;
pub mod doubts;
pub mod dressings;
pub mod edges;
mod error;
pub mod history;
pub mod incoming;
pub mod joining;
pub mod laid;
pub mod lamps;
mod layer;
pub mod line_up;
pub mod looks;
mod making;
pub mod marks;
pub mod measure;
pub mod names;
pub mod new;
mod out;
pub mod out_and_back;
pub mod papers;
pub mod pieces;
pub mod projection;
pub mod quantity;
pub mod read;
pub mod reading;
pub mod reframe;
pub mod render;
pub mod rows;
pub mod sketch;
pub mod stand_ins;
pub mod strokes;
mod sure;
pub mod takes;
mod telling;
pub mod toning;
pub mod touch_up;
pub mod views;
pub mod wedge;
pub mod white;
pub mod write;

pub use error::{Error, Kind};
pub use layer::{Done, Layer, carry_out, seen};
pub use telling::carry_out_on_edge;

// Whoever calls the commands speaks in these types.
pub use ::{cutting, files, optics, pixels, render as rendering, scene, staging, units};
