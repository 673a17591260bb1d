//! Papers kept with a picture: receipts, licences, releases, byte for byte. That they are there says nothing of what they allow.

use super::cutouts::gone;
use super::layer::done;
use super::{Done, Error, Kind};
use crate::{NewSource, Picture, Timestamp};
use scene::{Edit, Put, Scene, SourceKind};
use serde::Serialize;
use std::path::Path;
use ts_rs::TS;
use units::Digest;

/// Largest paper: a long scan, and no film.
const LARGEST: u64 = 256 << 20;

/// A paper.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, TS)]
pub struct PaperReport {
    /// What it was called.
    pub name: String,
    /// Its file in the folder `rights`.
    pub file: String,
    /// Its length.
    pub bytes: u64,
    /// The artist's remark; may be empty.
    pub note: String,
}

/// Keeps a file with the picture, once; nothing is done in a rehearsal.
///
/// # Errors
/// Where it cannot be read or copied, is larger than papers are, or is in the picture as something else.
pub fn keep(picture: &mut Picture, path: &Path, note: &str, at: Timestamp) -> Result<Option<Done>, Error> {
    let place = || path.display().to_string();
    let is_file = |e: files::Error| Error::from(e).advising("name a file that can be read, as receipt.pdf");
    let (digest, bytes) = files::digest(path).map_err(is_file)?;
    if bytes > LARGEST {
        let what = format!("this is no paper: it has {} MB", bytes / 1_000_000);
        return Err(Error::new(Kind::Refused, what, place(), "keep papers of at most 256 MB with a picture"));
    }
    if bytes == 0 {
        return Err(Error::new(
            Kind::Refused,
            "the paper is empty",
            place(),
            "keep the file that was bought or signed",
        ));
    }
    match picture.scene().sources().get(&digest) {
        Some(there) if there.kind == SourceKind::Other => {
            let says = format!("It is kept already, as {}", there.name);
            return Ok(Some(Done { number: None, says, notes: Vec::new() }));
        }
        Some(there) => {
            let what = format!("it is in the picture already, as {}", there.name);
            return Err(Error::new(Kind::Refused, what, place(), "keep another file with it"));
        }
        None => {}
    }
    if picture.is_rehearsal() {
        return Ok(None);
    }
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let new = NewSource { name, kind: SourceKind::Other, size: None, note: note.to_owned() };
    picture.add_source_file(path, new, at)?;
    let number = picture.log().last().map(|entry| entry.number);
    Ok(number.map(|number| done(picture, number)))
}

/// The edit that takes a paper out of the picture; its file stays in the folder, so that this can be taken back.
///
/// # Errors
/// Where there is none of this name, or several.
pub fn remove(scene: &Scene, name: &str) -> Result<Edit, Error> {
    let mut all = papers(scene).filter(|(_, s)| s.name == name || s.file == name);
    let Some((digest, _)) = all.next() else { return Err(gone(name)) };
    if all.next().is_some() {
        return Err(Error::refused(
            "several papers are called so",
            name,
            "name it by its file in the folder rights",
        ));
    }
    Ok(Edit::Source { digest: *digest, put: Put::Remove })
}

/// All papers, by their names.
#[must_use]
pub fn list(scene: &Scene) -> Vec<PaperReport> {
    let report = |(_, s): (&Digest, &scene::Source)| PaperReport {
        name: s.name.clone(),
        file: s.file.clone(),
        bytes: s.bytes,
        note: s.note.clone(),
    };
    let mut all: Vec<PaperReport> = papers(scene).map(report).collect();
    all.sort_by(|a, b| (&a.name, &a.file).cmp(&(&b.name, &b.file)));
    all
}

fn papers(scene: &Scene) -> impl Iterator<Item = (&Digest, &scene::Source)> {
    scene.sources().iter().filter(|(_, s)| s.kind == SourceKind::Other)
}
