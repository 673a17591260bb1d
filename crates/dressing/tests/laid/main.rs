//! Set dressings as they are laid, and laid again.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod hands;
mod rules;
mod stage;
