//! One cut-out from several shots of a sitting: the face of one, the hands of another.

use super::incoming::{self, Incoming, IncomingCut, Uncut};
use super::making::{self, Anew};
use super::measure::parts;
use super::strokes::{Strokes, Told};
use super::{Done, Error, Kind, Layer, carry_out_on_edge, cutouts};
use crate::handwork::Handwork;
use crate::parts::Parts;
use crate::{Picture, Timestamp};
use cutting::joining::{self, Alignment, Asked, Nudge, Part};
use cutting::pen::Stroke;
use files::Limits;
use pixels::{Budget, Coverage, Image, Rgb};
use scene::{CutOut, CutOutKind, Edit, Joining, Put, Says, Taken};
use serde::Serialize;
use std::path::PathBuf;
use units::{Primaries, PxRect};

/// What is taken from another shot, and how that lies over the first.
#[derive(Clone, PartialEq, Debug)]
pub struct Wanted {
    /// The cut-out.
    pub cut_out: String,
    /// The other shot.
    pub from: PathBuf,
    /// Its matte; without one it is cut out by itself.
    pub matte: Option<PathBuf>,
    /// What is taken, and what is not: a strokes file over the cut-out's own shot.
    pub strokes: PathBuf,
    /// Whether the two are laid over one another by what stayed in both.
    pub aligned: bool,
    /// What the other shot is moved by, after that: pixels to the right and down, degrees clockwise, times as large.
    pub nudge: (f64, f64, f64, f64),
}

/// How it was joined.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Report {
    /// What was done.
    pub done: Done,
    /// By how far the mapping between the shots may be off, in pixels; none where they were not aligned.
    pub alignment_error_px: Option<f64>,
    /// How much the shots differ along the seam: root mean square on the eye's scale, of 1.
    pub seam_difference: f64,
    /// The same at its worst place.
    pub seam_worst: f64,
    /// The seam's length where either shot covers.
    pub seam_px: f64,
    /// What is worth looking at.
    pub doubts: Vec<String>,
}

/// Joins what strokes say from another shot to a cut-out's own.
///
/// # Errors
/// Where there is no such cut-out, a file cannot be read or does not fit, the shots have too little in common to be laid over one
/// another, nothing is said to be taken, or the memory does not suffice.
pub fn join(
    picture: &mut Picture,
    layer: Layer,
    wanted: &Wanted,
    (budget, at): (&Budget, Timestamp),
) -> Result<Report, Error> {
    let mut tried = super::seen(picture.scene(), layer);
    let id = cutouts::named(&tried, &wanted.cut_out)?;
    let was = tried.cutouts()[&id].clone();
    if was.kind == CutOutKind::Additive {
        return Err(Error::refused(
            "light alone has no matte to join by",
            was.name,
            "choose a solid cut-out",
        ));
    }
    let files = parts(&tried, picture.folder());
    let size = files.size(was.shot)?;
    let told = Strokes::read(&wanted.strokes)?.over(size)?;
    if let Some(other) = told.iter().position(|t| !t.says.is_for_joining()) {
        return Err(Error::new(
            Kind::Files,
            format!(
                "it says {}: a join goes by take and stay alone",
                super::touch_up::word(told[other].says)
            ),
            format!("{}, stroke {}", wanted.strokes.display(), other + 1),
            "put it into a file of its own: setpiece touch-up FOLDER strokes CUT-OUT FILE",
        ));
    }
    let taken = told;
    let is_seen = |s: &Stroke| !s.bounds().intersect(size.rect()).is_empty();
    if !taken.iter().any(|t| t.says == Says::Take && is_seen(&t.stroke)) {
        return Err(Error::new(
            Kind::Files,
            "no stroke within the frame says what to take from the other shot",
            wanted.strokes.display().to_string(),
            "draw one that says take; those that say stay hold what is the cut-out's own",
        ));
    }
    let from = (&*wanted.from, wanted.matte.as_deref());
    let other = incoming::cut(picture, from, (CutOutKind::Solid, Uncut::Refused), budget)?;
    let base = own(&files, &was, budget)?;
    let (shot, covers) = images(&other, budget)?;
    let (alignment, error) = aligned(wanted, &base, &shot, &taken, budget)?;
    let joined = Taken {
        shot: other.shot.digest,
        matte: other.matte.as_ref().map(|m| m.digest),
        to_shot: alignment.to_shot(),
        strokes: taken.iter().map(Told::kept).collect(),
    };
    let mut joining = was.joining.clone().unwrap_or(Joining { matte: was.matte, taken: Vec::new() });
    let mut others = others(&files, &joining.taken, budget)?;
    others.push(Other { shot, covers, taken: joined.clone() });
    let result = carried_out(&base, &others, budget)?;
    joining.taken.push(joined);
    let Some(seam) = result.seams.last() else {
        return Err(Error::refused("nothing was joined", was.name, "draw what is to be taken"));
    };
    if seam.missing > NONE_OF_IT {
        return Err(Error::refused(
            "nothing of what is to be taken lies in the other shot",
            wanted.from.display().to_string(),
            "lay it over the first anew: leave --by-hand out, or give another --shift",
        ));
    }
    let made = making::both(size, &was.name, (&result.colour, &result.matte), budget)?;
    let mut doubts: Vec<String> = other.notes().collect();
    if seam.missing > 0.01 {
        doubts.push(format!(
            "{} % of what is to be taken lies outside the other shot",
            (seam.missing * 100.0).round()
        ));
    }
    if seam.worst > SHOWS {
        doubts
            .push("along the seam the shots differ: look at it, or draw what is taken otherwise".to_owned());
    }
    let (difference, worst, length) = (seam.difference, seam.worst, seam.length_px);
    let incoming: Vec<&Incoming> = std::iter::once(&other.shot)
        .chain(&other.matte)
        .chain(std::iter::once(&made.matte))
        .chain(&made.colour)
        .collect();
    let mut edits = incoming::edits(&tried, &incoming);
    let cutout = CutOut {
        matte: Some(made.matte.digest),
        colour: made.colour.as_ref().map(|c| c.digest),
        joining: Some(joining),
        ..was
    };
    edits.push(Edit::CutOut { id, put: Put::Replace(Box::new(cutout)) });
    let edit = Edit::Group(edits);
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    incoming::copy(picture, &incoming)?;
    let mut done = carry_out_on_edge(picture, (layer, &wanted.cut_out), (budget, at), |_| Ok(edit))?;
    done.notes.splice(0..0, doubts.iter().cloned());
    Ok(Report {
        done,
        alignment_error_px: error,
        seam_difference: difference,
        seam_worst: worst,
        seam_px: length,
        doubts,
    })
}

/// Share of what is to be taken that lies outside the other shot, from which on nothing is taken.
const NONE_OF_IT: f64 = 0.99;
/// Difference at a place of a seam from which on it may be seen (own measure, no source).
const SHOWS: f64 = 0.08;

/// How the other shot lies over the first, and by how far that may be off.
fn aligned(
    wanted: &Wanted,
    base: &Own,
    shot: &Image<Rgb>,
    taken: &[Told],
    budget: &Budget,
) -> Result<(Alignment, Option<f64>), Error> {
    let place = base.shot.place();
    let takes: Vec<Stroke> =
        taken.iter().filter(|t| t.says == Says::Take).map(|t| t.stroke.clone()).collect();
    let outline = takes.iter().fold(PxRect::EMPTY, |all, s| all.union(s.bounds())).intersect(place);
    let (found, error) = if wanted.aligned {
        let moved = joining::drawn(&takes, outline, budget)?;
        let side = (outline.width().max(outline.height()) / 2) as i64;
        let asked = Asked {
            near: Some(outline.grow(side).intersect(place)),
            moved: Some(&moved),
            thing: Some(&base.covers),
        };
        let found = joining::align(&base.shot, shot, asked, budget)?.map_err(|astray| {
            Error::refused(
                format!(
                    "too little stayed where it was: of {} places seen in both shots {} agree",
                    astray.matched, astray.agree
                ),
                wanted.from.display().to_string(),
                "lay it over the first by hand: --by-hand, with --shift, --turn and --scale",
            )
        })?;
        (found.alignment, Some(found.error_px))
    } else {
        (Alignment::SAME, None)
    };
    let (dx, dy, turn, scale) = wanted.nudge;
    let nudged = found.nudged(Nudge { dx, dy, turn, scale }, place);
    let nudged = nudged.ok_or_else(|| {
        Error::new(
            Kind::Wording,
            "this is no way to lay a shot over another",
            "--scale",
            "give a scale above 0, as 1.02",
        )
    })?;
    Ok((nudged, error))
}

/// A cut-out's own shot, mended, and its coverage before anything was joined to it.
pub(crate) struct Own {
    pub(crate) shot: Image<Rgb>,
    pub(crate) covers: Image<Coverage>,
}

/// A shot that is joined to another.
pub(crate) struct Other {
    shot: Image<Rgb>,
    covers: Image<Coverage>,
    taken: Taken,
}

fn own(files: &Parts, cutout: &CutOut, budget: &Budget) -> Result<Own, Error> {
    let read = files.read(cutout.shot, budget)?;
    let matte = cutout.joining.as_ref().map_or(cutout.matte, |j| j.matte);
    let covers = match matte {
        Some(matte) => files.read(matte, budget)?.to_coverage(budget)?,
        None => read.to_coverage(budget)?,
    };
    let shot = making::mended(&read, Primaries::Rec2020, &Handwork::of(cutout), budget)?;
    Ok(Own { shot, covers })
}

/// The shots that are joined to a cut-out already.
pub(crate) fn others(files: &Parts, taken: &[Taken], budget: &Budget) -> Result<Vec<Other>, Error> {
    let each = taken.iter().map(|taken| {
        let read = files.read(taken.shot, budget)?;
        let covers = match taken.matte {
            Some(matte) => files.read(matte, budget)?.to_coverage(budget)?,
            None => read.to_coverage(budget)?,
        };
        Ok(Other { shot: read.to_rgb(Primaries::Rec2020, budget)?, covers, taken: taken.clone() })
    });
    each.collect()
}

fn images(cut: &IncomingCut, budget: &Budget) -> Result<(Image<Rgb>, Image<Coverage>), Error> {
    let read = files::read(&cut.shot.path, &Limits::default(), budget)?;
    let covers = match &cut.matte {
        Some(Incoming { made: Some(bytes), .. }) => {
            files::decode(bytes, &Limits::default(), budget)?.to_coverage(budget)?
        }
        Some(matte) => files::read(&matte.path, &Limits::default(), budget)?.to_coverage(budget)?,
        None => read.to_coverage(budget)?,
    };
    Ok((read.to_rgb(Primaries::Rec2020, budget)?, covers))
}

/// Joins other shots to a cut-out's own, one after the other.
pub(crate) fn carried_out(own: &Own, others: &[Other], budget: &Budget) -> Result<joining::Joined, Error> {
    let strokes: Vec<[Vec<Stroke>; 2]> = others
        .iter()
        .map(|o| {
            let of = |says: Says| {
                let kept = o.taken.strokes.iter().filter(|s| s.says == says);
                kept.filter_map(Told::of).map(|t| t.stroke).collect()
            };
            [of(Says::Take), of(Says::Stay)]
        })
        .collect();
    let parts: Vec<Part<'_>> = others
        .iter()
        .zip(&strokes)
        .filter_map(|(o, [take, stay])| {
            let alignment = Alignment::found(o.taken.to_shot)?;
            Some(Part { shot: &o.shot, matte: &o.covers, alignment, take, stay, leeway: None })
        })
        .collect();
    Ok(joining::join((&own.shot, &own.covers), &parts, budget)?)
}

/// A cut-out's colour and coverage made again, after its shot or its own matte has changed: what was joined to it is joined again. `matte` is its
/// own, where that is still to come in.
///
/// # Errors
/// Where a file cannot be read, or the memory does not suffice.
pub(crate) fn again(
    files: &Parts,
    cutout: &CutOut,
    matte: Option<&Incoming>,
    budget: &Budget,
) -> Result<Anew, Error> {
    let mut own = own(files, cutout, budget)?;
    if let Some(bytes) = matte.and_then(|m| m.made.as_ref()) {
        own.covers = files::decode(bytes, &Limits::default(), budget)?.to_coverage(budget)?;
    }
    let taken = cutout.joining.as_ref().map_or(&[][..], |j| &j.taken);
    let result = carried_out(&own, &others(files, taken, budget)?, budget)?;
    drop(own);
    making::both(files.size(cutout.shot)?, &cutout.name, (&result.colour, &result.matte), budget)
}
