//! What was done, and what can be undone and done again: a walk over the journal's lines.

use crate::Timestamp;
use crate::journal::{Head, Kind};

/// One line of the log of edits.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Entry {
    /// Its number.
    pub number: u64,
    /// When it was accepted.
    pub at: Timestamp,
    /// Whether it did something new.
    pub turn: Turn,
    /// What it did, in words.
    pub says: String,
}

/// Whether a line of the log did something new.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Turn {
    /// An edit.
    Do,
    /// The edit of this number was taken back.
    Undo(u64),
    /// The edit of this number was done again.
    Redo(u64),
}

/// An edit that can be undone or done again, and the line whose inverse does that.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Step {
    /// The number of the edit.
    pub(crate) of: u64,
    /// The number of the line that did it last, or took it back.
    pub(crate) line: u64,
}

/// The edits that stand, and those taken back, the last at the end.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct History {
    done: Vec<Step>,
    undone: Vec<Step>,
    entries: Vec<Entry>,
}

impl History {
    /// Takes in the next line. Refuses one that undoes or does again what it cannot.
    pub(crate) fn follow(&mut self, head: Head) -> Result<(), String> {
        let turn = match (head.kind, head.of) {
            (Kind::New, _) => return Ok(()),
            (Kind::Do, _) => {
                self.done.push(Step { of: head.n, line: head.n });
                // Going on after an undo leaves what was undone behind; its lines stay in the journal.
                self.undone.clear();
                Turn::Do
            }
            (Kind::Undo, Some(of)) => {
                take(&mut self.done, of, "undoes")?;
                self.undone.push(Step { of, line: head.n });
                Turn::Undo(of)
            }
            (Kind::Redo, Some(of)) => {
                take(&mut self.undone, of, "does again")?;
                self.done.push(Step { of, line: head.n });
                Turn::Redo(of)
            }
            (Kind::Undo | Kind::Redo, None) => return Err("the line does not say of which edit".to_owned()),
        };
        self.entries.push(Entry { number: head.n, at: head.at, turn, says: head.says });
        Ok(())
    }

    /// What undoing would take back, the last first.
    pub(crate) fn to_undo(&self) -> impl Iterator<Item = Step> {
        self.done.iter().rev().copied()
    }

    /// What redoing would do again, in that order.
    pub(crate) fn to_redo(&self) -> impl Iterator<Item = Step> {
        self.undone.iter().rev().copied()
    }

    pub(crate) fn entries(&self) -> &[Entry] {
        &self.entries
    }
}

fn take(from: &mut Vec<Step>, of: u64, does: &str) -> Result<(), String> {
    match from.last() {
        Some(step) if step.of == of => {
            from.pop();
            Ok(())
        }
        // The lines before a journal that was started anew are gone: what they did cannot be followed, nor doubted.
        _ => Err(format!("the line {does} edit {of}, which was not the last")),
    }
}
