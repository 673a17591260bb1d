//! The real binary in fresh folders: what each command does, and that what it refuses leaves the picture as it was.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod aside;
mod batch;
mod begin;
mod check;
mod cut;
mod demo;
mod dress;
mod dusk;
mod edges;
mod facts;
mod heights;
mod history;
mod hostile;
mod joining;
mod open;
mod originals;
mod papers;
mod place;
mod render;
mod served;
mod strokes;
mod support;
mod tone;
mod touch_up;
mod uncut;
mod water;
mod wording;
mod words;
