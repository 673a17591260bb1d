//! What happened to a picture while nobody looked, told at its opening. Nothing of it needs an answer.

use std::path::PathBuf;

/// Something worth knowing about how a picture was opened.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum Notice {
    /// The last line of the journal was cut short and is dropped: its edit had not been acknowledged.
    TornLine {
        /// The journal.
        path: PathBuf,
        /// Which line, counted from 1.
        line: u64,
        /// Where it begins, counted from 0.
        byte: u64,
    },
    /// The picture's file was missing or cut short, and was made anew from the journal: nothing is lost.
    Rebuilt {
        /// The picture's file.
        path: PathBuf,
        /// Where the damaged one is kept.
        kept: Option<PathBuf>,
    },
    /// The picture's file is missing or damaged. What is shown was made from the journal; nothing was written.
    Broken {
        /// The picture's file.
        path: PathBuf,
        /// Whether it is there.
        damaged: bool,
    },
    /// The journal ends before what the picture's file holds: undo begins here.
    ShortJournal {
        /// The journal.
        path: PathBuf,
        /// Number of its last line.
        last: u64,
        /// Number of the last line that is in the picture's file.
        applied: u64,
    },
    /// Edits that had not been saved were carried out again from the journal.
    Replayed {
        /// How many lines.
        lines: u64,
    },
}

impl Notice {
    /// As a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::TornLine { path, line, byte } => format!(
                "the last line of {} (line {line}, byte {byte}) was cut short and is dropped; its edit had not been \
                 acknowledged",
                path.display()
            ),
            Self::Rebuilt { path, kept: None } => {
                format!("{} was missing and was made anew from the journal; nothing is lost", path.display())
            }
            Self::Rebuilt { path, kept: Some(kept) } => format!(
                "{} was damaged and was made anew from the journal; nothing is lost; the damaged file is kept as {}",
                path.display(),
                kept.display()
            ),
            Self::Broken { path, damaged } => format!(
                "{} is {}; the picture is shown as the journal tells it, and nothing was written; the next edit makes the \
                 file anew",
                path.display(),
                if *damaged { "damaged" } else { "missing" }
            ),
            Self::ShortJournal { path, last, applied } => format!(
                "{} ends at line {last}, the picture holds {applied}: nothing of the picture is lost, but undo begins here",
                path.display()
            ),
            Self::Replayed { lines: 1 } => {
                "one edit newer than picture.json was read from the journal".to_owned()
            }
            Self::Replayed { lines } => {
                format!("{lines} edits newer than picture.json were read from the journal")
            }
        }
    }
}
