//! A set-up's shots, all cut out alike, with a sheet to look them over.

use super::contact::{self, Strip};
use super::cut::{self, Report};
use super::render::Existing;
use super::{Error, Kind};
use cutting::matting::Effort;
use files::Format;
use pixels::Budget;
use serde::Serialize;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

/// What is wanted of many shots.
#[derive(Clone, PartialEq, Debug)]
pub struct Wanted {
    /// The shots, and folders of shots.
    pub shots: Vec<PathBuf>,
    /// What was drawn once and holds for all of them.
    pub strokes: Option<PathBuf>,
    /// The folder their mattes go to; it is made where it is not there.
    pub mattes: PathBuf,
    /// Where the sheet goes.
    pub sheet: Option<PathBuf>,
    /// How much time each may take.
    pub effort: Effort,
    /// What is done where there is a file already.
    pub existing: Existing,
}

/// What became of a shot.
#[derive(Clone, PartialEq, Debug, Serialize)]
#[serde(untagged)]
pub enum Outcome {
    /// It was cut out.
    Cut {
        /// The shot.
        shot: PathBuf,
        /// How.
        report: Report,
    },
    /// It was not.
    Refused {
        /// The shot.
        shot: PathBuf,
        /// Why.
        error: String,
        /// What can be done.
        remedy: String,
    },
}

/// What became of all of them.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Batch {
    /// Each shot, in the order given, those of a folder by their names.
    pub shots: Vec<Outcome>,
    /// The sheet.
    pub sheet: Option<PathBuf>,
}

impl Batch {
    /// How many were not cut out.
    #[must_use]
    pub fn refused(&self) -> usize {
        self.shots.iter().filter(|o| matches!(o, Outcome::Refused { .. })).count()
    }
}

/// Cuts every shot out by itself; one that cannot be does not keep the others. `go_on` is told the share that is done, and says whether
/// to.
///
/// # Errors
/// Where it is called off (mattes that are whole stay), there is no shot, the folder cannot be made, two shots would have one matte, or the sheet cannot be written.
pub fn cut_all(
    wanted: &Wanted,
    (budget, threads): (&Budget, NonZeroUsize),
    go_on: &dyn Fn(f64) -> bool,
) -> Result<Batch, Error> {
    let shots = listed(&wanted.shots)?;
    if let Some(sheet) = &wanted.sheet {
        contact::may_be(sheet)?;
        let mattes: Vec<PathBuf> = shots.iter().map(|s| wanted.mattes.join(matte_name(s))).collect();
        let from: Vec<&Path> = shots.iter().chain(&wanted.strokes).map(PathBuf::as_path).collect();
        let beside: Vec<&Path> = mattes.iter().map(PathBuf::as_path).collect();
        super::write::may_be(sheet, (&from, &beside), wanted.existing)?;
    }
    std::fs::create_dir_all(&wanted.mattes)
        .map_err(crate::Error::disk("make the folder for the mattes", &wanted.mattes))?;
    let (mut outcomes, mut strips) = (Vec::new(), Vec::new());
    let all = shots.len() as f64;
    for shot in shots {
        if !go_on(outcomes.len() as f64 / all) {
            return Err(Error::new(
                Kind::CalledOff,
                "called off",
                format!("after {} of {all} shots", outcomes.len()),
                "start again; with --over what is done is done anew",
            ));
        }
        let matte = wanted.mattes.join(matte_name(&shot));
        let one = cut::Wanted {
            shot: shot.clone(),
            trimap: None,
            strokes: wanted.strokes.clone(),
            matte: matte.clone(),
            foreground: None,
            effort: wanted.effort,
            existing: wanted.existing,
        };
        let outcome = match cut::cut(&one, (budget, threads)) {
            Ok(report) => {
                if wanted.sheet.is_some() {
                    strips.push(Strip::of(
                        (&shot, &matte),
                        wanted.strokes.as_deref(),
                        report.doubts.clone(),
                        budget,
                    )?);
                }
                Outcome::Cut { shot, report }
            }
            Err(e) => {
                if wanted.sheet.is_some() {
                    strips.push(Strip::refused(&shot, format!("Not cut out: {}", e.what()), budget));
                }
                Outcome::Refused { shot, error: e.what().to_owned(), remedy: e.remedy().to_owned() }
            }
        };
        outcomes.push(outcome);
    }
    if let Some(sheet) = &wanted.sheet {
        contact::write(&strips, sheet, budget)?;
    }
    Ok(Batch { shots: outcomes, sheet: wanted.sheet.clone() })
}

fn matte_name(shot: &Path) -> String {
    format!("{}-matte.png", shot.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned()))
}

fn is_hidden(path: &Path) -> bool {
    path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'))
}

/// The shots that are meant: files as they are, folders by the photographs in them.
fn listed(given: &[PathBuf]) -> Result<Vec<PathBuf>, Error> {
    let mut shots = Vec::new();
    for path in given {
        if !path.is_dir() {
            shots.push(path.clone());
            continue;
        }
        let inside = std::fs::read_dir(path).map_err(crate::Error::unread("list the shots", path))?;
        let mut inside: Vec<PathBuf> = inside
            .filter_map(|entry| Some(entry.ok()?.path()))
            .filter(|p| p.is_file() && !is_hidden(p) && Format::promised_by(p).is_some())
            .collect();
        inside.sort();
        shots.extend(inside);
    }
    if shots.is_empty() {
        let place = given.iter().map(|p| p.display().to_string()).collect::<Vec<_>>().join(", ");
        return Err(Error::new(
            Kind::Files,
            "there is no photograph here",
            place,
            "name shots, or a folder that holds some",
        ));
    }
    let mut named: Vec<(String, &PathBuf)> =
        shots.iter().map(|s| (matte_name(s).to_lowercase(), s)).collect();
    named.sort();
    match named.windows(2).find(|pair| pair[0].0 == pair[1].0) {
        Some(pair) => Err(Error::new(
            Kind::Wording,
            "two shots would have one matte",
            format!("{} and {}", pair[0].1.display(), pair[1].1.display()),
            "leave one out, or cut them into folders of their own",
        )),
        None => Ok(shots),
    }
}
