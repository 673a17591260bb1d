//! The one error of the crate: what is wrong, where, and what to do about it.

use pixels::OverBudget;
use std::fmt;
use std::io;
use std::path::Path;

/// Why a file could not be read or written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Error {
    fault: Fault,
    what: String,
    place: String,
    remedy: String,
}

/// The kinds of trouble, for a caller that acts on them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fault {
    /// Not a picture, or of a kind that is not read.
    Unknown,
    /// A picture whose content breaks the rules of its format, or ends too soon.
    Damaged,
    /// A sound picture that uses a part of its format that is not read.
    Unsupported,
    /// Declared larger than the limits allow.
    TooLarge,
    /// More memory would be needed than the budget holds.
    OverBudget,
    /// Samples that are infinite or not a number.
    BadSamples,
    /// Sound perhaps, but not the file that was meant: its content is another.
    Changed,
    /// The disk or the operating system refused.
    Disk,
    /// What was asked for cannot be written in that format.
    Refused,
}

/// What the system says, without its number for it.
#[must_use]
pub fn in_words(e: &io::Error) -> String {
    let said = e.to_string();
    said.split_once(" (os error").map_or(said.clone(), |(words, _)| words.to_owned())
}

impl Error {
    pub(crate) fn new(fault: Fault, what: impl Into<String>, place: impl Into<String>) -> Self {
        let remedy = match fault {
            Fault::Unknown => "use a JPEG, PNG, TIFF, WebP or OpenEXR file",
            Fault::Damaged => "copy the file again from the card or a backup, or export it again",
            Fault::Unsupported => "export the picture again as RGB, 8 or 16 bits, in PNG or TIFF",
            Fault::TooLarge => "reduce the picture, or raise the limit if it is really meant to be so large",
            Fault::OverBudget => "raise the memory budget, or reduce the picture",
            Fault::BadSamples => "render or export the picture again with finite values only",
            Fault::Changed => "bring the file back from a copy",
            Fault::Disk => "check that the place exists, that it may be written, and that there is room",
            Fault::Refused => "choose another format or another depth",
        };
        Self { fault, what: what.into(), place: place.into(), remedy: remedy.into() }
    }

    pub(crate) fn damaged(what: impl Into<String>, place: impl Into<String>) -> Self {
        Self::new(Fault::Damaged, what, place)
    }

    pub(crate) fn unsupported(what: impl Into<String>, place: impl Into<String>) -> Self {
        Self::new(Fault::Unsupported, what, place)
    }

    pub(crate) fn over_budget(over: OverBudget, place: impl Into<String>) -> Self {
        Self::new(Fault::OverBudget, over.to_string(), place)
    }

    /// The disk's refusal to let a file be read.
    pub(crate) fn unread(path: &Path, e: &io::Error) -> Self {
        let remedy = match e.kind() {
            io::ErrorKind::NotFound => "check the spelling of the path",
            io::ErrorKind::PermissionDenied => "allow reading it, or take a copy that may be read",
            _ => "check the path and the disk, then try again",
        };
        let what = format!("cannot be read: {}", in_words(e));
        Self::new(Fault::Disk, what, path.display().to_string()).with_remedy(remedy)
    }

    /// The disk's refusal to let a file be written.
    #[must_use]
    pub fn unwritten(path: &Path, e: &io::Error) -> Self {
        Self::disk("cannot be written", path, e)
    }

    pub(crate) fn disk(doing: &str, path: &Path, e: &io::Error) -> Self {
        let remedy = match e.kind() {
            io::ErrorKind::NotFound => "check the spelling of the path",
            io::ErrorKind::PermissionDenied => "allow writing there, or choose another place",
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                "make room on the disk, then try again"
            }
            io::ErrorKind::ReadOnlyFilesystem => "choose a place that may be written",
            io::ErrorKind::AlreadyExists => "choose another name, or move away what stands there",
            _ => "check the path, and that the disk is there with room on it",
        };
        Self::new(Fault::Disk, format!("{doing}: {}", in_words(e)), path.display().to_string())
            .with_remedy(remedy)
    }

    pub(crate) fn with_remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }

    /// The same error with the file's name before the place.
    #[must_use]
    pub fn in_file(mut self, path: &Path) -> Self {
        self.place = format!("{}, {}", path.display(), self.place);
        self
    }

    /// The kind of trouble.
    #[must_use]
    pub const fn fault(&self) -> Fault {
        self.fault
    }

    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> &str {
        &self.what
    }

    /// Where: the file, or the part of it.
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
