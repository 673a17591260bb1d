//! The real binary in fresh folders: what each command does, and that what it refuses leaves the picture as it was.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod begin;
mod check;
mod cut;
mod demo;
mod history;
mod hostile;
mod originals;
mod place;
mod render;
mod strokes;
mod support;
mod tone;
mod wording;
mod words;
