//! Why a command stopped: the errors of all crates in one form, sorted by what a caller would do about them.

use std::fmt;

/// A command that was not carried out: what is wrong, where, and what to do. The picture is as it was.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Error {
    kind: Kind,
    what: String,
    place: String,
    remedy: String,
}

/// What a caller would do about an error.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Kind {
    /// The picture does not allow it: choose something else.
    Refused,
    /// The command was given what it cannot mean: word it differently.
    Wording,
    /// A file or the disk: mend that.
    Files,
    /// The picture is open elsewhere: try again later.
    Busy,
    /// It was called off.
    CalledOff,
}

impl Error {
    /// An error of this kind.
    #[must_use]
    pub fn new(
        kind: Kind,
        what: impl Into<String>,
        place: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self { kind, what: what.into(), place: place.into(), remedy: remedy.into() }
    }

    /// What the picture does not allow.
    pub(crate) fn refused(
        what: impl Into<String>,
        place: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self::new(Kind::Refused, what, place, remedy)
    }

    /// The same, with something else to do.
    pub(crate) fn advising(self, remedy: impl Into<String>) -> Self {
        Self { remedy: remedy.into(), ..self }
    }

    /// The same, with the names of the picture's things for their ids, and words for fields.
    pub(crate) fn named(self, scene: &scene::Scene) -> Self {
        let named = |text: &str| scene::with_names(text, scene);
        let place = scene::fields_in_words(&named(&self.place));
        Self { what: named(&self.what), place, remedy: named(&self.remedy), ..self }
    }

    /// Which kind of trouble.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        self.kind
    }

    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> &str {
        &self.what
    }

    /// Where: the file, piece, field or option.
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

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}); {}", self.what, self.place, self.remedy)
    }
}

impl std::error::Error for Error {}

impl From<crate::Error> for Error {
    fn from(e: crate::Error) -> Self {
        let kind = match &e {
            crate::Error::Refused(_) | crate::Error::Nothing { .. } | crate::Error::ChangedByHand { .. } => {
                Kind::Refused
            }
            crate::Error::Locked { .. } | crate::Error::OnDesk { .. } => Kind::Busy,
            _ => Kind::Files,
        };
        Self::new(kind, e.what(), e.place(), e.remedy())
    }
}

impl From<scene::Refused> for Error {
    fn from(e: scene::Refused) -> Self {
        Self::refused(e.what(), e.place(), e.remedy())
    }
}

impl From<optics::OutOfRange> for Error {
    fn from(e: optics::OutOfRange) -> Self {
        let what = format!("the {} is {}", e.place(), scene::figure(e.value()));
        Self::refused(what, e.place(), e.remedy())
    }
}

impl From<files::Error> for Error {
    fn from(e: files::Error) -> Self {
        Self::new(Kind::Files, e.what(), e.place(), e.remedy())
    }
}

impl From<render::Error> for Error {
    fn from(e: render::Error) -> Self {
        let kind = match e {
            render::Error::Cancelled => Kind::CalledOff,
            _ => Kind::Files,
        };
        Self::new(kind, e.what(), e.place(), e.remedy())
    }
}

/// Of work on a whole shot: no region and no scale makes it smaller.
impl From<pixels::OverBudget> for Error {
    fn from(e: pixels::OverBudget) -> Self {
        let remedy = "give it a smaller copy of the shot, or allow more memory";
        Self::new(Kind::Files, e.to_string(), "the pixels of the shot", remedy)
    }
}
