//! Words of the command line, said on an open picture: how the studio's page tells what is decided.

use crate::answer::Trouble;
use crate::bench::Bench;
use crate::run;
use crate::typed::{Command, Layer, Typed};
use setpiece::Picture;
use setpiece::commands::{Error, Kind};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use studio::{Said, Saying};

/// What decides something about one picture and leaves the others, and all files but the picture's own, alone.
const SAID: [&str; 10] =
    ["place", "dress", "light", "tone", "read", "take", "touch-up", "rights", "undo", "redo"];

/// Carries out what is said, as its command would.
pub(crate) fn carry_out(picture: &mut Picture, saying: &Saying<'_>) -> Result<Said, Error> {
    said(picture, saying).map_err(Trouble::into_error)
}

fn said(picture: &mut Picture, saying: &Saying<'_>) -> Result<Said, Trouble> {
    let (command, rest) = saying.words.split_first().ok_or_else(|| wrong("nothing is said"))?;
    if !SAID.contains(&command.as_str()) {
        return Err(wrong(&format!("{command} is not said of an open picture")));
    }
    let folder = picture.folder().path().to_owned();
    let words = ["setpiece".into(), command.into(), folder.clone().into_os_string()];
    let words = words.into_iter().chain(rest.iter().map(OsString::from));
    let typed = Typed::read(words).map_err(|e| Trouble::of_words(&e))?;
    if let Some(file) = typed.files().into_iter().find(|f| !saying.files.iter().any(|handed| handed == *f)) {
        return Err(not_handed(file));
    }
    let typed = match saying.take {
        Some(take) => typed.in_layer(&Layer { take: Some(take.to_owned()) }),
        None => typed,
    };
    let answer = run::run(typed, &mut Bench::with(picture, saying.budget, saying.now))?;
    let done = answer.json["done"].as_array().cloned().unwrap_or_default();
    let texts = |of: &str| -> Vec<String> {
        let each = done.iter().flat_map(|d| match &d[of] {
            serde_json::Value::String(one) => vec![one.clone()],
            serde_json::Value::Array(all) => {
                all.iter().filter_map(|v| v.as_str().map(str::to_owned)).collect()
            }
            _ => Vec::new(),
        });
        each.collect()
    };
    let says = texts("says");
    let says = if done.is_empty() { answer.text.trim().to_owned() } else { says.join("; ") };
    Ok(Said { says, notes: texts("notes").into_iter().chain(answer.asides).collect() })
}

fn wrong(what: &str) -> Trouble {
    Trouble::new(Kind::Wording, what, "what was said", format!("begin it with {}", SAID.join(", ")))
}

fn not_handed(file: &Path) -> Trouble {
    Trouble::new(
        Kind::Wording,
        "the studio takes files alone that were laid on its sheet",
        file.display().to_string(),
        "drop the file on the sheet; or use the command line, which may read any",
    )
}

impl Typed {
    /// The files that are named, to be read or written.
    fn files(&self) -> Vec<&PathBuf> {
        use crate::typed::place::What as Place;
        use crate::typed::tone::What as Tone;
        use crate::typed::touch_up::What as TouchUp;
        match &self.command {
            Command::Read(c) => c.photograph.iter().collect(),
            Command::Place(c) => match &c.what {
                Place::Add(said) => said.shot.iter().chain(&said.shows.matte).collect(),
                Place::Recast { view: said, .. } | Place::View(said) => {
                    std::iter::once(&said.shot).chain(&said.shows.matte).collect()
                }
                _ => Vec::new(),
            },
            Command::Tone(c) => match &c.what {
                Tone::Paint { file, .. } => file.iter().collect(),
                _ => Vec::new(),
            },
            Command::Rights(c) => match &c.what {
                Some(crate::typed::rights::What::Keep { files, .. }) => files.iter().collect(),
                _ => Vec::new(),
            },
            Command::TouchUp(c) => match &c.what {
                TouchUp::Out { file, .. } | TouchUp::Back { file, .. } | TouchUp::Strokes { file, .. } => {
                    vec![file]
                }
                TouchUp::Join { from, matte, strokes, .. } => {
                    std::iter::once(from).chain(matte).chain(std::iter::once(strokes)).collect()
                }
                _ => Vec::new(),
            },
            _ => Vec::new(),
        }
    }
}
