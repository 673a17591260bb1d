//! The studio in a real browser: what a person sees and does, and that the command line agrees.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]
#![allow(clippy::print_stdout, reason = "what is left out, and where pictures lie, is told")]

mod audit;
mod browser;
mod dressing;
mod driver;
mod job;
mod killed;
mod pixels;
#[path = "../cli/served.rs"]
#[allow(dead_code, reason = "the command line's tests use the rest")]
mod served;
mod sheet;
mod sheets;
mod stage;
#[path = "../cli/support.rs"]
#[allow(dead_code, reason = "the command line's tests use the rest")]
mod support;
mod types;
