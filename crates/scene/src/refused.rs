//! Why an edit or a file was not accepted.

use std::fmt;

/// An edit that was refused: what is wrong, where, and what to do. The picture is as it was.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Refused {
    what: String,
    place: String,
    remedy: String,
}

impl Refused {
    pub(crate) fn new(what: impl Into<String>, place: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { what: what.into(), place: place.into(), remedy: remedy.into() }
    }

    /// Something that refers to nothing.
    pub(crate) fn unknown(id: impl fmt::Display, place: &str, remedy: &str) -> Self {
        Self::new(format!("there is no {id} in the picture"), place, remedy)
    }

    /// The same, said of a larger thing that holds the place.
    pub(crate) fn inside(mut self, holder: &str) -> Self {
        self.place = match (holder.is_empty(), self.place.is_empty()) {
            (true, _) => self.place,
            (_, true) => holder.to_owned(),
            _ if self.place.starts_with('[') => format!("{holder}{}", self.place),
            _ => format!("{holder}.{}", self.place),
        };
        self
    }

    /// The same, said of a thing of the picture, named as people name it.
    pub(crate) fn about(mut self, thing: &str) -> Self {
        self.place =
            if self.place.is_empty() { thing.to_owned() } else { format!("{thing}, {}", self.place) };
        self
    }

    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> &str {
        &self.what
    }

    /// Where: the piece or other thing, and the field, named as in the picture's file.
    #[must_use]
    pub fn place(&self) -> &str {
        &self.place
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> &str {
        &self.remedy
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (at {}); {}", self.what, self.place, self.remedy)
    }
}

impl std::error::Error for Refused {}
