//! What a command answers, and what it says when it could not.

use crate::exit;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use serde::Serialize;
use serde_json::{Value, json};
use setpiece::commands::quantity::Unreadable;
use setpiece::commands::{Error, Kind};
use std::error::Error as _;
use std::fmt;

/// What a command answers.
#[derive(Debug)]
pub(crate) struct Answer {
    /// For people.
    pub(crate) text: String,
    /// The same, for programs.
    pub(crate) json: Value,
    /// Said beside it.
    pub(crate) asides: Vec<String>,
    pub(crate) exit: u8,
}

impl Answer {
    pub(crate) fn new(text: impl Into<String>, report: &impl Serialize) -> Self {
        let json = serde_json::to_value(report).expect("reports have plain fields and string keys");
        Self { text: text.into(), json, asides: Vec::new(), exit: exit::FINE }
    }
}

/// A command that was not carried out.
#[derive(Debug)]
pub(crate) struct Trouble(Error);

impl From<Error> for Trouble {
    fn from(e: Error) -> Self {
        Self(e)
    }
}

impl From<setpiece::Error> for Trouble {
    fn from(e: setpiece::Error) -> Self {
        Self(e.into())
    }
}

impl Trouble {
    pub(crate) fn new(
        kind: Kind,
        what: impl Into<String>,
        place: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self(Error::new(kind, what, place, remedy))
    }

    /// What the library says of it.
    pub(crate) fn into_error(self) -> Error {
        self.0
    }

    /// The same, with a remedy that the command has.
    pub(crate) fn told_by(self, command: Has) -> Self {
        let remedy = remedy(self.0.remedy(), command);
        Self(Error::new(self.0.kind(), self.0.what(), self.0.place(), remedy))
    }

    pub(crate) const fn exit(&self) -> u8 {
        exit::of(self.0.kind())
    }

    pub(crate) fn json(&self) -> Value {
        json!({ "error": {
            "what": self.0.what(), "place": self.0.place(), "remedy": self.0.remedy(), "exit_code": self.exit(),
        } })
    }

    /// What could not be understood of a command line.
    pub(crate) fn of_words(e: &clap::Error) -> Self {
        let text = |kind| e.get(kind).map(in_words);
        let argument = text(ContextKind::InvalidArg);
        let help = match text(ContextKind::Usage) {
            Some(usage) => {
                let usage = usage.trim().trim_start_matches("Usage:").trim();
                let command: Vec<&str> =
                    usage.split_whitespace().take_while(|w| !w.starts_with(['[', '<', '-'])).collect();
                format!("see {} --help", command.join(" "))
            }
            None => "see setpiece --help".to_owned(),
        };
        let suggested =
            [ContextKind::SuggestedArg, ContextKind::SuggestedSubcommand, ContextKind::SuggestedValue]
                .into_iter()
                .find_map(text)
                .map(|s| format!("did you mean {s}?"));
        let place = argument.clone().unwrap_or_else(|| "the command line".to_owned());
        let value = text(ContextKind::InvalidValue).unwrap_or_default();
        let (what, place, remedy) = match e.kind() {
            ErrorKind::ValueValidation => match e.source().and_then(|s| s.downcast_ref::<Unreadable>()) {
                Some(unreadable) => (unreadable.what.clone(), place, format!("give {}", unreadable.allowed)),
                None => {
                    let why = e.source().map_or_else(|| "it cannot be read".to_owned(), ToString::to_string);
                    (format!("\"{value}\" is not possible: {why}"), place, help)
                }
            },
            ErrorKind::InvalidValue if value.is_empty() => (format!("{place} lacks its value"), place, help),
            ErrorKind::InvalidValue => {
                let choices = text(ContextKind::ValidValue).unwrap_or_default();
                let choose = suggested.unwrap_or_else(|| format!("choose from {choices}"));
                (format!("\"{value}\" is no choice here"), place, choose)
            }
            ErrorKind::UnknownArgument => {
                (format!("{place} is not understood here"), place, suggested.unwrap_or(help))
            }
            ErrorKind::InvalidSubcommand => {
                let name = text(ContextKind::InvalidSubcommand).unwrap_or_default();
                (
                    format!("there is no command {name}"),
                    "the command line".to_owned(),
                    suggested.unwrap_or(help),
                )
            }
            ErrorKind::MissingRequiredArgument => ("something is missing".to_owned(), place, help),
            ErrorKind::MissingSubcommand => {
                let choices = text(ContextKind::ValidSubcommand).unwrap_or_default();
                ("it does not say what to do".to_owned(), place, format!("choose from {choices}; {help}"))
            }
            ErrorKind::ArgumentConflict => {
                let other = text(ContextKind::PriorArg).unwrap_or_else(|| "the others".to_owned());
                if other == place {
                    return Self::new(
                        Kind::Wording,
                        format!("{place} is given twice"),
                        place,
                        "give it once",
                    );
                }
                (format!("{place} does not go with {other}"), place, "give one of them".to_owned())
            }
            ErrorKind::TooFewValues | ErrorKind::WrongNumberOfValues => {
                (format!("{place} has too few values"), place, help)
            }
            _ => {
                let whole = e.to_string();
                let first = whole.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned();
                (first, place, help)
            }
        };
        Self::new(Kind::Wording, what, place, remedy)
    }
}

/// Whether a command has the option --memory.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Has {
    Memory,
    NoMemory,
}

/// A remedy of the library in the words of the command line: what is in reach there.
pub(crate) fn remedy(text: &str, command: Has) -> String {
    let text = text.replace(", or raise the limit if it is really meant to be so large", "");
    match command {
        Has::Memory => text
            .replace("raise the memory budget", "raise --memory")
            .replace("allow more memory", "raise --memory"),
        Has::NoMemory => {
            text.replace("raise the memory budget, or ", "").replace(", or allow more memory", "")
        }
    }
}

fn in_words(value: &ContextValue) -> String {
    match value {
        ContextValue::Strings(all) => all.join(", "),
        other => other.to_string(),
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "Not done: {}", self.0.what())?;
        writeln!(f, "Where:    {}", self.0.place())?;
        writeln!(f, "To do:    {}", self.0.remedy())
    }
}

#[cfg(test)]
mod tests {
    use super::{Has, remedy};

    #[test]
    fn remedies_are_in_reach() {
        for (text, with, without) in [
            (
                "raise the memory budget, or reduce the picture",
                "raise --memory, or reduce the picture",
                "reduce the picture",
            ),
            (
                "reduce the picture, or raise the limit if it is really meant to be so large",
                "reduce the picture",
                "reduce the picture",
            ),
            (
                "render a region or a smaller scale, or allow more memory",
                "render a region or a smaller scale, or raise --memory",
                "render a region or a smaller scale",
            ),
            ("bring it back from a copy", "bring it back from a copy", "bring it back from a copy"),
        ] {
            assert_eq!(remedy(text, Has::Memory), with);
            assert_eq!(remedy(text, Has::NoMemory), without);
        }
    }
}
