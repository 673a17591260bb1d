//! From a shot and its matte to a clean cut-out.
//!
//! Works on pixels alone; knows nothing of where a piece stands.
#![forbid(unsafe_code)]

mod even;
pub mod foreground;
pub mod matting;
pub mod paper;
pub mod sheet;
