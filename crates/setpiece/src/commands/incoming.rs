//! Original files on their way into a picture: looked at before anything is changed, copied before the edit that names
//! them.

use super::measure::measured_alone;
use super::{Error, Kind};
use crate::disk::Local;
use crate::source::bring_in;
use crate::{NewSource, Picture};
use files::{Limits, Photograph};
use pixels::Budget;
use scene::{CutOutKind, Edit, Put, Scene, Source, SourceKind};
use staging::measured::MeasuredCut;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use units::{Digest, PxSize};

/// A file that was looked at and may come in.
#[derive(Clone, PartialEq, Debug)]
pub struct Incoming {
    /// Where it is.
    pub path: PathBuf,
    /// Of its bytes.
    pub digest: Digest,
    /// What it is for.
    pub kind: SourceKind,
    /// The picture in it, upright.
    pub size: PxSize,
    /// Its length.
    pub bytes: u64,
    /// What is odd about it but does not hinder.
    pub warnings: Vec<String>,
    /// Its bytes, where it was made here and is on no disk yet.
    pub made: Option<Arc<[u8]>>,
}

impl Incoming {
    /// What it is called.
    #[must_use]
    pub fn name(&self) -> String {
        self.path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    /// Its name without the extension.
    #[must_use]
    pub fn stem(&self) -> String {
        self.path.file_stem().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }
}

/// Looks at a photograph, to its last pixel: one that is cut short must not come in.
///
/// # Errors
/// Where it cannot be read.
pub fn photograph(path: &Path, kind: SourceKind, budget: &Budget) -> Result<(Incoming, Photograph), Error> {
    let read = files::read(path, &Limits::default(), budget)?;
    let (digest, bytes) = files::digest(path)?;
    let incoming = Incoming {
        path: path.to_owned(),
        digest,
        kind,
        size: read.size(),
        bytes,
        warnings: read.warnings().to_vec(),
        made: None,
    };
    Ok((incoming, read))
}

/// A shot with what it is cut out by.
#[derive(Clone, PartialEq, Debug)]
pub struct IncomingCut {
    /// The shot.
    pub shot: Incoming,
    /// Its matte, where that is a file of its own.
    pub matte: Option<Incoming>,
    /// Solid, or light alone.
    pub kind: CutOutKind,
    /// What was measured in it.
    pub measured: MeasuredCut,
}

impl IncomingCut {
    /// What is odd about its files. Of a matte that came in, coverage alone is read: its colours do not matter; of one that was made,
    /// what is doubtful.
    pub fn notes(&self) -> impl Iterator<Item = String> {
        let made = self.matte.iter().filter(|m| m.made.is_some());
        std::iter::once(&self.shot)
            .chain(made)
            .flat_map(|file| file.warnings.iter().map(|warning| format!("{}: {warning}", file.name())))
    }
}

/// What becomes of a shot that cannot be cut out by itself.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Uncut {
    /// It stays out.
    Refused,
    /// It comes in whole, for strokes to cut it.
    Whole,
}

/// What there is to do with a shot that came in whole.
const WHOLE: &str = "It is there whole: draw a few strokes inside and outside of what is to stay";

/// Looks at a shot and its matte, and whether they belong together. Where none is given, it is the one that this picture made for the shot
/// before. A shot that has no matte, nor an alpha that cuts anything out, is cut out.
///
/// # Errors
/// Where one cannot be read, their sizes differ, or the shot cannot be cut out by itself and may not come in whole.
pub fn cut(
    picture: &mut Picture,
    (shot, matte): (&Path, Option<&Path>),
    manner: (CutOutKind, Uncut),
    budget: &Budget,
) -> Result<IncomingCut, Error> {
    let made = matte.is_none().then(|| matte_made(picture, shot)).flatten();
    let matte = matte.or(made.as_deref());
    picture.once(&format!("{shot:?} {matte:?} {manner:?}"), || looked_at(shot, matte, manner, budget))
}

fn looked_at(
    shot: &Path,
    matte: Option<&Path>,
    (kind, uncut): (CutOutKind, Uncut),
    budget: &Budget,
) -> Result<IncomingCut, Error> {
    let (mut shot, read) = photograph(shot, SourceKind::Shot, budget)?;
    // An alpha that is opaque throughout cuts nothing out: many files carry one.
    let is_cut =
        read.channels().has_alpha() && !read.to_coverage(budget)?.pixels().iter().all(|c| c.0 >= 1.0);
    if matte.is_none() && kind == CutOutKind::Solid && !is_cut {
        let (matte, measured) = match (super::making::matte(&shot, read, budget), uncut) {
            (Err(e), Uncut::Whole) if e.kind() == Kind::Refused => {
                shot.warnings.push(format!("{}. {WHOLE}", e.what()));
                super::making::whole(&shot, budget)?
            }
            (made, _) => made?,
        };
        return Ok(IncomingCut { shot, matte: Some(matte), kind, measured });
    }
    drop(read);
    let matte = matte.map(|m| photograph(m, SourceKind::Matte, budget)).transpose()?.map(|(m, _)| m);
    let measured = measured_alone(&shot, matte.as_ref(), kind, budget)?;
    if measured.covered.is_empty() {
        let (of, remedy) = match &matte {
            Some(matte) => (matte, "give the matte that was made for this shot: white where the thing is"),
            None => (&shot, "cut it out again: its alpha channel is clear throughout"),
        };
        return Err(Error::new(
            Kind::Files,
            "nothing is cut out: the coverage is 0 everywhere",
            of.path.display().to_string(),
            remedy,
        ));
    }
    Ok(IncomingCut { shot, matte, kind, measured })
}

/// The matte that this picture made for a shot before, where there is one.
fn matte_made(picture: &Picture, shot: &Path) -> Option<PathBuf> {
    let scene = picture.scene();
    let (digest, _) = files::digest(shot).ok()?;
    let of_shot = scene.cutouts().values().filter(|c| c.shot == digest).filter_map(|c| c.matte);
    let mut made = of_shot.filter_map(|m| scene.sources().get(&m)).filter(|s| s.kind == SourceKind::Cutting);
    made.next().map(|source| picture.folder().file(source))
}

/// The edits that name files in the picture; those that are there already are left out, each file comes once.
#[must_use]
pub fn edits(scene: &Scene, incoming: &[&Incoming]) -> Vec<Edit> {
    let mut edits: Vec<Edit> = Vec::new();
    for file in incoming {
        let named = edits.iter().any(|e| matches!(e, Edit::Source { digest, .. } if *digest == file.digest));
        if named || scene.sources().contains_key(&file.digest) {
            continue;
        }
        let source = Source {
            file: crate::folder::source_file_name(&file.digest.short(), &file.name()),
            name: file.name(),
            kind: file.kind,
            bytes: file.bytes,
            size: Some(file.size),
            note: String::new(),
        };
        edits.push(Edit::Source { digest: file.digest, put: Put::Add(Box::new(source)) });
    }
    edits
}

/// Copies files into the picture's folder, byte for byte. When this returns, they outlast a power failure. One that is
/// there already and whole is not copied again, and in a rehearsal none is.
///
/// # Errors
/// Where one cannot be read or copied, or is no longer what it was when it was looked at.
pub fn copy(picture: &Picture, incoming: &[&Incoming]) -> Result<(), Error> {
    if picture.is_rehearsal() {
        return Ok(());
    }
    let folder = picture.folder();
    for file in incoming {
        let there = picture.scene().sources().get(&file.digest);
        let path = there.map(|s| folder.file(s));
        if path.as_ref().is_some_and(|p| files::digest(p).is_ok_and(|(found, _)| found == file.digest)) {
            continue;
        }
        let new =
            NewSource { name: file.name(), kind: file.kind, size: Some(file.size), note: String::new() };
        let mut open: Box<dyn Read> = match &file.made {
            Some(bytes) => Box::new(&bytes[..]),
            None => Box::new(files::open(&file.path)?.0),
        };
        let (digest, source) = bring_in(&Local, folder, &mut open, new)?;
        if digest != file.digest {
            // Nothing names the copy: the picture is as it was.
            let _ = std::fs::remove_file(folder.file(&source));
            return Err(Error::new(
                Kind::Files,
                "the file changed while it was being copied",
                file.path.display().to_string(),
                "wait until it is written, then try again",
            ));
        }
        if let Some(path) = path.filter(|p| *p != folder.file(&source)) {
            let from = folder.file(&source);
            std::fs::rename(&from, &path)
                .map_err(crate::Error::disk("copy the file into the picture", &path))?;
        }
    }
    Ok(())
}
