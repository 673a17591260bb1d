//! What was done, taking it back, doing it again.

use super::Error;
use super::layer::{Done, done};
use crate::{Entry, Picture, Timestamp, Turn};
use serde::Serialize;
use ts_rs::TS;

/// Takes back so many edits, the last first. Where there are fewer, all of them.
///
/// # Errors
/// Where there is none, one of them cannot be taken back, or the disk refuses; then none is.
pub fn undo(picture: &mut Picture, times: usize, at: Timestamp) -> Result<Vec<Done>, Error> {
    let all = picture.undo(times, at)?;
    Ok(all.iter().map(|accepted| done(picture, accepted.number)).collect())
}

/// Does again so many edits that were taken back.
///
/// # Errors
/// Where there is none, one of them cannot be done again, or the disk refuses; then none is.
pub fn redo(picture: &mut Picture, times: usize, at: Timestamp) -> Result<Vec<Done>, Error> {
    let all = picture.redo(times, at)?;
    Ok(all.iter().map(|accepted| done(picture, accepted.number)).collect())
}

/// A line of the log.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, TS)]
pub struct LogLine {
    /// Its number.
    pub number: u64,
    /// When, UTC (RFC 3339).
    pub at: String,
    /// `do`, `undo` or `redo`.
    pub turn: &'static str,
    /// For `undo` and `redo`: the edit that was taken back or done again.
    pub of: Option<u64>,
    /// What was done, in words.
    pub says: String,
    /// Whether what it did stands.
    pub stands: bool,
}

/// Whether there is an edit to take back, and one to do again.
#[must_use]
pub fn turns(entries: &[Entry]) -> (bool, bool) {
    let (mut done, mut undone) = (0_usize, 0_usize);
    for entry in entries {
        match entry.turn {
            Turn::Do => (done, undone) = (done + 1, 0),
            Turn::Undo(_) => (done, undone) = (done.saturating_sub(1), undone + 1),
            Turn::Redo(_) => (done, undone) = (done + 1, undone.saturating_sub(1)),
        }
    }
    (done > 0, undone > 0)
}

/// What was done, oldest first.
#[must_use]
pub fn log(entries: &[Entry]) -> Vec<LogLine> {
    // The last word on each edit.
    let mut last = std::collections::BTreeMap::new();
    for entry in entries {
        match entry.turn {
            Turn::Do => last.insert(entry.number, true),
            Turn::Undo(of) => last.insert(of, false),
            Turn::Redo(of) => last.insert(of, true),
        };
    }
    entries
        .iter()
        .map(|entry| {
            let (turn, of) = match entry.turn {
                Turn::Do => ("do", None),
                Turn::Undo(of) => ("undo", Some(of)),
                Turn::Redo(of) => ("redo", Some(of)),
            };
            LogLine {
                number: entry.number,
                at: entry.at.to_string(),
                turn,
                of,
                says: entry.says.clone(),
                stands: turn == "do" && last.get(&entry.number).copied().unwrap_or(true),
            }
        })
        .collect()
}
