//! What holds across the crates: published compositing values, and the repository's own rules.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod compositing;
mod repository;
