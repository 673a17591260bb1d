//! From a layout to pixels.
//!
//! Two renderers: [`plain`], slow and written from the definitions, which judges; and [`fast`], its twin. Neither
//! sees the scene or opens a file: pixels of photographs come from [`Sources`], what is worth keeping goes to a
//! [`Keep`], and all is decided in the layout.
#![forbid(unsafe_code)]

mod beyond;
pub mod changed;
pub mod edges;
pub mod error;
pub mod fast;
pub mod keep;
pub mod plain;
pub mod sources;

pub use changed::{Trail, changed};
pub use error::Error;
pub use fast::coarseness;
pub use fast::{Job, Progress};
pub use keep::{Held, Keep, Memory, Nothing};
pub use sources::{Photograph, Sources};
