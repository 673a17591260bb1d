//! What the fuzzing targets share: what counts as a finding, and changes that keep an input's form.
//!
//! The findings in `findings/` are replayed by the ordinary tests.
#![forbid(unsafe_code)]

pub mod chance;
pub mod json;
pub mod judge;
pub mod png;
pub mod seeds;
