//! What is made of a shot for a picture: its matte, as a file that is still to come in.

use super::incoming::Incoming;
use super::strokes::{Told, for_cutting};
use super::sure::{self, Known};
use super::write;
use super::{Error, Kind};
use crate::handwork::Handwork;
use crate::parts::measured;
use cutting::foreground;
use cutting::matting::{self, Effort};
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth, Photograph};
use pixels::encode::Encoder as Curve;
use pixels::{Budget, Coverage, Image, Rgb};
use scene::SourceKind;
use staging::measured::MeasuredCut;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use units::{Digest, Primaries, PxRect, PxSize};

/// The primaries that a thing is told from what is behind it in, whatever its shot's and the picture's: in wider ones tints lie nearer
/// together, and a shot would be cut out otherwise where it is placed than where it is cut.
pub(crate) const SEEN_IN: Primaries = Primaries::Srgb;

/// A shot in linear light, with what was mended in it.
///
/// # Errors
/// Where the memory does not suffice.
pub(crate) fn mended(
    read: &Photograph,
    primaries: Primaries,
    hand: &Handwork,
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    let mut picture = read.to_rgb(primaries, budget)?;
    hand.mend(&mut picture, budget)?;
    Ok(picture)
}

/// The matte of a shot before paper, cut out by itself.
///
/// # Errors
/// Where no paper is found behind the thing, or the memory does not suffice.
pub(crate) fn matte(
    shot: &Incoming,
    read: Photograph,
    budget: &Budget,
) -> Result<(Incoming, MeasuredCut), Error> {
    let (matte, doubts) = by_itself(read, &shot.path, Effort::Best, budget)?;
    let measured = measured(shot.size, &matte);
    if measured.covered.is_empty() {
        return Err(Error::new(
            Kind::Refused,
            "cut out by itself, nothing of the shot is left",
            shot.path.display().to_string(),
            "give it a matte, or cut it out by a trimap: setpiece cut SHOT --trimap FILE",
        ));
    }
    Ok((incoming(shot, &matte, doubts)?, measured))
}

/// The matte of a shot that is not cut out: solid everywhere.
///
/// # Errors
/// Where the memory does not suffice.
pub(crate) fn whole(shot: &Incoming, budget: &Budget) -> Result<(Incoming, MeasuredCut), Error> {
    let matte = Image::from_fn(shot.size.rect(), budget, |_, _| Coverage(1.0))?;
    let measured = measured(shot.size, &matte);
    Ok((incoming(shot, &matte, Vec::new())?, measured))
}

/// What cutting a shot anew brings: files that are still to come in.
#[derive(Clone)]
pub(crate) struct Anew {
    /// Its coverage.
    pub(crate) matte: Incoming,
    /// The thing's own colour, where it was not cut out from paper.
    pub(crate) colour: Option<Incoming>,
}

/// Cuts the shot of a cut-out anew, by what strokes say and after what they mend.
///
/// # Errors
/// Where the shot cannot be read, strokes say too little, or the memory does not suffice.
pub(crate) fn anew(
    (read, stem): (Photograph, &str),
    told: &[Told],
    drawn: &str,
    (effort, budget): (Effort, &Budget),
) -> Result<Anew, Error> {
    let size = read.size();
    let hand = Handwork::by_strokes(told);
    let picture = mended(&read, SEEN_IN, &hand, budget)?;
    budget.reached(0.1);
    let found = sure::found(&picture, Known::Nothing, &for_cutting(told), (Path::new(stem), drawn), budget)
        .map_err(|e| {
        let is_paper = told.is_empty() && e.kind() == Kind::Refused;
        if is_paper {
            e.advising("draw a few strokes inside and outside: touch-up FOLDER strokes CUT-OUT FILE")
        } else {
            e
        }
    })?;
    budget.reached(0.3);
    let matte = matting::matte(&picture, &found.trimap, effort, &budget.within(0.3, 0.8))?;
    drop(picture);
    let mut anew = if found.by.starts_with("paper") {
        Anew { matte: made(format!("{stem}-matte.png"), size, file(&matte, size)?, Vec::new()), colour: None }
    } else {
        let picture = mended(&read, Primaries::Rec2020, &hand, budget)?;
        both(size, stem, (&picture, &matte), budget)?
    };
    anew.matte.warnings = found.doubts;
    Ok(anew)
}

/// Where a matte covers anything, and as far again around it as a quarter of that is long.
fn around(size: PxSize, matte: &Image<Coverage>) -> PxRect {
    let covered = measured(size, matte).covered;
    let far = (covered.width().max(covered.height()) / 4) as i64;
    PxRect::new(covered.x0() - far, covered.y0() - far, covered.x1() + far, covered.y1() + far)
}

/// Coverage and own colour of what a matte cuts out of a picture, as files. `picture` is linear light in Rec. 2020 primaries.
///
/// # Errors
/// Where the memory does not suffice.
pub(crate) fn both(
    size: PxSize,
    stem: &str,
    (picture, matte): (&Image<Rgb>, &Image<Coverage>),
    budget: &Budget,
) -> Result<Anew, Error> {
    let mut own = foreground::foreground(picture, matte, budget)?;
    // What is clear is kept as it was photographed, for hands to add; but not far from the thing.
    let near = around(size, matte);
    let place = own.place();
    for y in place.y0()..place.y1() {
        let seen = picture.row(y).iter().zip(matte.row(y));
        for ((x, colour), (seen, covers)) in (place.x0()..).zip(own.row_mut(y)).zip(seen) {
            if covers.0 <= 0.0 {
                *colour = if near.contains(x, y) { *seen } else { Rgb::default() };
            }
        }
    }
    let transfer = write::curve_of(Primaries::Rec2020);
    let mut codes = vec![0; own.samples().len()];
    Curve::of(transfer).u16s(own.samples(), &mut codes);
    let colour = Some((Primaries::Rec2020, transfer));
    let rgb = Description { size, channels: Channels::Rgb, colour, ppi: None };
    let form = Form::Png { depth: Depth::U16 };
    let bytes = encode::whole(Cursor::new(Vec::new()), rgb, form, Codes::U16(&codes))?.into_inner();
    Ok(Anew {
        matte: made(format!("{stem}-matte.png"), size, file(matte, size)?, Vec::new()),
        colour: Some(made(format!("{stem}-colour.png"), size, bytes, Vec::new())),
    })
}

/// What to do with a shot that is not cut out by itself.
const ELSEWHERE: &str = "cut it out first, by strokes or a trimap (setpiece help cut), and name the matte that comes of it: --matte";

/// The coverage of a shot before paper, and what is doubtful about it; `called` is what it is named by where it cannot be found.
///
/// # Errors
/// Where no paper is found behind the thing, or the memory does not suffice.
pub(crate) fn by_itself(
    read: Photograph,
    called: &Path,
    effort: Effort,
    budget: &Budget,
) -> Result<(Image<Coverage>, Vec<String>), Error> {
    let picture = read.to_rgb(SEEN_IN, budget)?;
    drop(read);
    budget.reached(0.1);
    let found = sure::found(&picture, Known::Nothing, &[], (called, ""), budget).map_err(|e| {
        let is_paper = e.kind() == Kind::Refused;
        if is_paper { e.advising(ELSEWHERE) } else { e }
    })?;
    budget.reached(0.3);
    Ok((matting::matte(&picture, &found.trimap, effort, &budget.within(0.3, 0.9))?, found.doubts))
}

/// A matte as a file: PNG, 16 bits, grey.
///
/// # Errors
/// Where it is larger than a file can be.
pub(crate) fn file(matte: &Image<Coverage>, size: PxSize) -> Result<Vec<u8>, Error> {
    let grey = Description { size, channels: Channels::Grey, colour: None, ppi: None };
    let codes: Vec<u16> = matte.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
    let form = Form::Png { depth: Depth::U16 };
    Ok(encode::whole(Cursor::new(Vec::new()), grey, form, Codes::U16(&codes))?.into_inner())
}

/// A matte as a file that comes in beside its shot.
fn incoming(shot: &Incoming, matte: &Image<Coverage>, doubts: Vec<String>) -> Result<Incoming, Error> {
    Ok(made(format!("{}-matte.png", shot.stem()), shot.size, file(matte, shot.size)?, doubts))
}

/// A file of these bytes.
pub(crate) fn made(called: String, size: PxSize, bytes: Vec<u8>, warnings: Vec<String>) -> Incoming {
    Incoming {
        path: PathBuf::from(called),
        digest: Digest::of(&bytes),
        kind: SourceKind::Cutting,
        size,
        bytes: bytes.len() as u64,
        warnings,
        made: Some(bytes.into()),
    }
}
