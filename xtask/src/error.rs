//! Why a tool stopped.

use std::fmt;

/// A message with its place in it.
#[derive(Debug)]
pub(crate) struct Error(String);

impl Error {
    pub(crate) fn new(message: impl Into<String>) -> Self {
        Self(message.into())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

macro_rules! from {
    ($($error:ty),+) => {
        $(impl From<$error> for Error {
            fn from(e: $error) -> Self {
                Self(e.to_string())
            }
        })+
    };
}

from!(
    setpiece::Error,
    setpiece::commands::Error,
    std::io::Error,
    serde_json::Error,
    optics::OutOfRange,
    render::Error,
    files::Error,
    pixels::OverBudget,
    setpiece::facts::Unclear
);

impl From<scene::Refused> for Error {
    fn from(e: scene::Refused) -> Self {
        Self(format!("{e:?}"))
    }
}
