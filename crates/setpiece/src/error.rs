//! What can go wrong with an open picture: the errors of the crates below and of the folder, in one form.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Something that was not done: what is wrong, where, and what to do. The picture is as it was.
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// The edit does not fit the picture.
    Refused(scene::Refused),
    /// The picture's file cannot be read.
    Picture {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        error: scene::file::Error,
    },
    /// The disk did not do what was asked.
    Disk {
        /// What was asked, as "save the picture".
        doing: &'static str,
        /// Of which file or folder.
        path: PathBuf,
        /// What the system said.
        error: io::Error,
    },
    /// The disk did not let something be read.
    Unread {
        /// What was asked, as "read the journal".
        doing: &'static str,
        /// Of which file or folder.
        path: PathBuf,
        /// What the system said.
        error: io::Error,
    },
    /// Someone else is writing to the picture.
    Locked {
        /// The picture's folder.
        path: PathBuf,
        /// The process that holds the lock, where it said so.
        by: Option<u32>,
    },
    /// The picture lies open in another studio.
    OnDesk {
        /// The picture's folder.
        path: PathBuf,
        /// The process that it lies open in, where it said so.
        by: Option<u32>,
    },
    /// A line of the journal is damaged or does not fit.
    Journal {
        /// The journal.
        path: PathBuf,
        /// Which line, counted from 1.
        line: u64,
        /// Where it begins, counted from 0.
        byte: u64,
        /// What is wrong with it.
        what: String,
    },
    /// The folder is not what was expected.
    Folder {
        /// The folder.
        path: PathBuf,
        /// What is wrong with it.
        what: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// There is nothing to undo, or nothing to do again.
    Nothing {
        /// "undo" or "do again".
        to: &'static str,
    },
    /// What an edit did cannot be taken back, or done again: somebody changed it in the picture's file.
    ChangedByHand {
        /// The picture's file.
        path: PathBuf,
        /// The number of the edit.
        edit: u64,
        /// "taken back" or "done again".
        turned: &'static str,
        /// How many can be, before that one.
        before: usize,
        /// Whether the journal goes back to the picture's beginning.
        whole: bool,
        /// Why it does not fit.
        refused: Box<scene::Refused>,
    },
    /// A failed write could not be taken back, so nothing more is written until the picture is opened anew.
    Closed {
        /// The picture's folder.
        path: PathBuf,
    },
}

impl Error {
    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> String {
        match self {
            Self::Refused(refused) => refused.what().to_owned(),
            Self::Picture { error, .. } => error.what().to_owned(),
            Self::Disk { doing, error, .. } | Self::Unread { doing, error, .. } => {
                format!("could not {doing}: {}", files::in_words(error))
            }
            Self::Locked { by: None, .. } => "the picture is open elsewhere".to_owned(),
            Self::Locked { by: Some(by), .. } => format!("the picture is open elsewhere (process {by})"),
            Self::OnDesk { by: None, .. } => "the picture lies open in another studio".to_owned(),
            Self::OnDesk { by: Some(by), .. } => {
                format!("the picture lies open in another studio (process {by})")
            }
            Self::Journal { what, .. } => what.clone(),
            Self::Folder { what, .. } => (*what).to_owned(),
            Self::Nothing { to } => format!("there is nothing to {to}"),
            Self::ChangedByHand { edit, turned, refused, .. } => format!(
                "edit {edit} cannot be {turned}, nor what lies beyond it: picture.json was edited by hand, and now {}",
                refused.what()
            ),
            Self::Closed { .. } => {
                "an earlier write failed and could not be taken back, so nothing more is written".to_owned()
            }
        }
    }

    /// Where: the file, and the field, line or byte in it; or the piece and field.
    #[must_use]
    pub fn place(&self) -> String {
        match self {
            Self::Refused(refused) => refused.place().to_owned(),
            Self::Picture { path, error } => format!("{}: {}", path.display(), error.place()),
            Self::ChangedByHand { path, refused, .. } => format!("{}: {}", path.display(), refused.place()),
            Self::Disk { path, .. }
            | Self::Unread { path, .. }
            | Self::Locked { path, .. }
            | Self::OnDesk { path, .. }
            | Self::Folder { path, .. }
            | Self::Closed { path } => path.display().to_string(),
            Self::Journal { path, line, byte, .. } => {
                format!("{}, line {line} (byte {byte})", path.display())
            }
            Self::Nothing { .. } => "the journal".to_owned(),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Refused(refused) => refused.remedy().to_owned(),
            Self::Picture { error, .. } => error.remedy().to_owned(),
            Self::Disk { error, .. } => match error.kind() {
                io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                    "make room on the disk, then try again"
                }
                io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                    "allow writing to the folder, or copy the picture to where you may write"
                }
                io::ErrorKind::NotFound => "check the path",
                io::ErrorKind::AlreadyExists => "choose another name, or move away what stands there",
                _ => "check the path and the disk, then try again",
            }
            .to_owned(),
            Self::Unread { error, .. } => match error.kind() {
                io::ErrorKind::PermissionDenied => "allow reading it, or take a copy that may be read",
                io::ErrorKind::NotFound => "check the path",
                _ => "check the path and the disk, then try again",
            }
            .to_owned(),
            Self::ChangedByHand { before, whole, turned, .. } => {
                let back = if *whole {
                    "bring back picture.json from a copy; or move it out of the folder: it is then made anew from the \
                     journal, without what was changed by hand"
                } else {
                    "bring back picture.json from a copy"
                };
                match before {
                    0 => back.to_owned(),
                    n => format!("{n} can be {turned}; for more, {back}"),
                }
            }
            Self::Locked { .. } => {
                "close it there first; looking at it without changing it is possible meanwhile".to_owned()
            }
            Self::OnDesk { .. } => "go on in that one's window, or close it there first".to_owned(),
            Self::Journal { .. } => {
                "bring back journal.ndjson from a copy; or move it out of the folder: the \
                 picture then opens as last saved, without undo"
                    .to_owned()
            }
            Self::Folder { remedy, .. } => (*remedy).to_owned(),
            Self::Nothing { .. } => "go on editing".to_owned(),
            Self::Closed { .. } => "check the disk, then open the picture anew".to_owned(),
        }
    }

    /// The disk's refusal to let something be read.
    pub(crate) fn unread(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |error| Self::Unread { doing, path, error }
    }

    /// The disk's refusal of something.
    pub(crate) fn disk(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |error| Self::Disk { doing, path, error }
    }
}

impl From<scene::Refused> for Error {
    fn from(refused: scene::Refused) -> Self {
        Self::Refused(refused)
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}); {}", self.what(), self.place(), self.remedy())
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Refused(e) => Some(e),
            Self::Picture { error, .. } => Some(error),
            Self::Disk { error, .. } | Self::Unread { error, .. } => Some(error),
            Self::ChangedByHand { refused, .. } => Some(&**refused),
            _ => None,
        }
    }
}
