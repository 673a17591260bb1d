//! Why a picture could not be drawn.

use pixels::OverBudget;
use std::fmt;

/// Why a picture could not be drawn.
#[derive(Clone, PartialEq, Debug)]
pub enum Error {
    /// The pixels of a photograph could not be had.
    Source {
        /// What is wrong.
        what: String,
        /// Which photograph.
        place: String,
        /// What helps.
        remedy: String,
    },
    /// The memory set aside for pictures is too small.
    Memory(OverBudget),
    /// The caller called it off.
    Cancelled,
}

impl Error {
    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> String {
        match self {
            Self::Source { what, .. } => what.clone(),
            Self::Memory(over) => over.to_string(),
            Self::Cancelled => "the rendering was called off".to_owned(),
        }
    }

    /// Where.
    #[must_use]
    pub fn place(&self) -> String {
        match self {
            Self::Source { place, .. } => place.clone(),
            Self::Memory(_) | Self::Cancelled => "the rendering".to_owned(),
        }
    }

    /// What helps.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Source { remedy, .. } => remedy.clone(),
            Self::Memory(_) => "render a region or a smaller scale, or allow more memory".to_owned(),
            Self::Cancelled => "start it again when it is wanted".to_owned(),
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.what(), self.place())
    }
}

impl std::error::Error for Error {}

impl From<OverBudget> for Error {
    fn from(over: OverBudget) -> Self {
        Self::Memory(over)
    }
}
