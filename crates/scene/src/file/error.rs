//! Why a picture's file was not read.

use crate::Refused;
use std::fmt;

/// A file that was not read: what is wrong, where, and what to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Error {
    kind: Kind,
    refused: Refused,
}

/// What sort of thing is wrong with a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// It is not JSON: cut short, or never was.
    NotJson,
    /// It is JSON, but not a picture.
    NotAPicture,
    /// It was written by a newer Setpiece.
    Newer,
    /// It is a picture or edit, but something in it is wrong.
    Content,
}

impl Error {
    pub(super) fn not_json(error: &serde_json::Error) -> Self {
        let place = format!("line {}, column {}", error.line(), error.column());
        Self {
            kind: Kind::NotJson,
            refused: Refused::new(
                format!("it is not JSON: {}", without_place(error)),
                place,
                "mend that place in a text editor, or bring back the file from a copy",
            ),
        }
    }

    pub(super) fn not_text(byte: usize) -> Self {
        Self {
            kind: Kind::NotJson,
            refused: Refused::new(
                "it is not text (UTF-8)",
                format!("byte {byte}"),
                "bring back the file from a copy",
            ),
        }
    }

    pub(super) fn from_json(error: &serde_path_to_error::Error<serde_json::Error>) -> Self {
        let json = error.inner();
        if !json.is_data() {
            return Self::not_json(json);
        }
        let path = error.path().to_string();
        let field = if path == "." { String::new() } else { format!("{path} ") };
        Self {
            kind: Kind::Content,
            refused: Refused::new(
                without_place(json),
                format!("{field}(line {}, column {})", json.line(), json.column()),
                "correct that field; docs/formats/picture.schema.json says what it may hold",
            ),
        }
    }

    /// The same, said while only looking what the file is.
    pub(super) fn said_of_head(self) -> Self {
        match self.kind {
            Kind::Content => Self::not_a_picture(),
            Kind::NotJson | Kind::NotAPicture | Kind::Newer => self,
        }
    }

    pub(super) fn not_a_picture() -> Self {
        Self {
            kind: Kind::NotAPicture,
            refused: Refused::new(
                "it is not a Setpiece picture: it has no schema number",
                "setpiece_picture",
                "open the picture.json of a picture's folder",
            ),
        }
    }

    pub(super) fn newer(found: u64, known: u64) -> Self {
        Self {
            kind: Kind::Newer,
            refused: Refused::new(
                format!("it was written by a newer Setpiece (schema {found}; this one reads up to {known})"),
                "setpiece_picture",
                "open it with that version or a later one",
            ),
        }
    }

    pub(super) fn no_such_schema(found: u64) -> Self {
        Self {
            kind: Kind::Content,
            refused: Refused::new(
                format!("there is no schema {found}"),
                "setpiece_picture",
                "bring back the file from a copy",
            ),
        }
    }

    /// What sort of thing is wrong.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        self.kind
    }

    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> &str {
        self.refused.what()
    }

    /// Where: the path of the field, or line and column.
    #[must_use]
    pub fn place(&self) -> &str {
        self.refused.place()
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> &str {
        self.refused.remedy()
    }
}

impl From<Refused> for Error {
    fn from(refused: Refused) -> Self {
        Self { kind: Kind::Content, refused }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.refused.fmt(f)
    }
}

impl std::error::Error for Error {}

/// The message without the line and column that are said apart.
fn without_place(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ").map_or(text.clone(), |(message, _)| message.to_owned())
}
