//! Checking a picture: its files, and what would bar it or give it away.

use super::Error;
use super::line_up::SnagReport;
use super::measure::measure;
use crate::{Folder, Look};
use pixels::Budget;
use scene::Scene;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;

/// What was found.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Checked {
    /// What the picture is called.
    pub picture: String,
    /// How many original files it has.
    pub sources: usize,
    /// How many pieces.
    pub pieces: usize,
    /// How many edits its journal holds.
    pub edits: usize,
    /// What bars it or gives it away.
    pub snags: Vec<SnagReport>,
    /// What is worth knowing and hinders nothing.
    pub remarks: Vec<String>,
}

/// Checks a picture: that each original file is there, byte for byte what it was; that each cut-out can be read; that each
/// piece can stand; that each take fits. That picture.json and the journal are sound is known from its being open.
///
/// # Errors
/// Where the folder of original files cannot be listed.
pub fn check(look: &Look, budget: &Budget) -> Result<Checked, Error> {
    let (scene, folder) = (look.scene(), look.folder());
    let mut snags = sources(scene, folder);
    let measures = measure(scene, folder, budget);
    let missing: BTreeSet<String> = snags.iter().map(|s| s.place.clone()).collect();
    // A file that is missing is said once, not once for each cut-out of it.
    let unread = measures.unread.values().chain(&measures.backdrop).map(SnagReport::from);
    snags.extend(unread.filter(|s| !missing.contains(&s.place) && !s.place.starts_with("source ")));
    let resolved = staging::resolve(scene, &measures.measured);
    snags.extend(resolved.snags.iter().map(SnagReport::from));
    for (id, take) in scene.takes() {
        let (seen, passed) = scene.seen_as(*id);
        snags.extend(passed.iter().map(|r| SnagReport {
            what: format!("no longer fits: {}", scene::with_names(r.what(), scene)),
            place: scene::fields_in_words(&scene::with_names(r.place(), scene)),
            remedy: format!("take it back (take lift {}), or mend what it needs", take.name),
        }));
        // What the take alone brings about.
        let taken = staging::resolve(&seen, &measure(&seen, folder, budget).measured);
        snags.extend(taken.snags.iter().filter(|s| !resolved.snags.contains(s)).map(|s| SnagReport {
            place: format!("take {}: {}", take.name, s.place),
            ..SnagReport::from(s)
        }));
    }
    let mut remarks: Vec<String> = look.notices().iter().map(crate::Notice::sentence).collect();
    remarks.extend(resolved.remarks.iter().map(|s| format!("{} {}; {}", s.place, s.what, s.remedy)));
    remarks.extend(strays(scene, folder)?);
    Ok(Checked {
        picture: scene.name().to_owned(),
        sources: scene.sources().len(),
        pieces: scene.pieces().len(),
        edits: look.log().len(),
        snags,
        remarks,
    })
}

/// Original files that are missing, or no longer what they were.
fn sources(scene: &Scene, folder: &Folder) -> Vec<SnagReport> {
    let mut snags = Vec::new();
    for (digest, source) in scene.sources() {
        let path = folder.file(source);
        let mut snag = |what: String, remedy: &str| {
            snags.push(SnagReport { what, place: path.display().to_string(), remedy: remedy.to_owned() });
        };
        match files::digest(&path) {
            Ok((found, _)) if found == *digest => {}
            Ok((_, length)) => {
                let bytes = match length == source.bytes {
                    true => String::new(),
                    false => format!("{length} bytes where it had {}, ", source.bytes),
                };
                snag(
                    format!("the original file {} is not what it was: {bytes}other content", source.name),
                    "bring it back from a copy",
                );
            }
            Err(_) if !path.exists() => {
                snag(format!("the original file {} is missing", source.name), "bring it back from a copy");
            }
            Err(e) => snag(format!("the original file {} {}", source.name, e.what()), e.remedy()),
        }
    }
    snags
}

/// Files among the originals that the picture does not name.
fn strays(scene: &Scene, folder: &Folder) -> Result<Vec<String>, Error> {
    let mut names = Vec::new();
    for (inner, path) in [("sources", folder.sources()), ("cutouts", folder.cutouts())] {
        names.extend(unused_in(scene, &path)?.into_iter().map(|name| format!("{inner}/{name}")));
    }
    Ok(names.into_iter().map(|name| format!("nothing in the picture uses {name}")).collect())
}

fn unused_in(scene: &Scene, path: &Path) -> Result<Vec<String>, Error> {
    let known: BTreeSet<&str> = scene.sources().values().map(|s| s.file.as_str()).collect();
    let listed = match std::fs::read_dir(path) {
        Ok(listed) => listed,
        // That nothing is there is said of each file that should be.
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(crate::Error::unread("list the original files", path)(e).into()),
    };
    let mut names: Vec<String> = listed
        .filter_map(Result::ok)
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| !known.contains(name.as_str()) && name != ".incoming.part")
        .collect();
    names.sort();
    Ok(names)
}
