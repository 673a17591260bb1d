//! From a shot to a matte: by itself before paper, by strokes, or by a trimap.

use super::making::{SEEN_IN, mended};
use super::render::Existing;
use super::strokes::{Strokes, Told, for_cutting};
use super::sure::Known;
use super::sure::{self, Found};
use super::{Error, Kind};
use crate::handwork::Handwork;
use cutting::foreground;
use cutting::matting::{self, Effort, Sure, Trimap};
use files::encode::{self, Codes, Description, Form, Packing};
use files::{Channels, Colour, Depth, Format, Limits, Photograph, Samples};
use pixels::encode::{Encoder as Curve, Transfer};
use pixels::{Budget, Coverage, Image, Rgb};
use serde::Serialize;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use units::{Primaries, PxSize};

/// What is wanted of a shot.
#[derive(Clone, PartialEq, Debug)]
pub struct Wanted {
    /// The shot.
    pub shot: PathBuf,
    /// What is sure of it: black outside, white inside, grey between. Without one it is found from the paper.
    pub trimap: Option<PathBuf>,
    /// What was drawn over it. What they say is laid over what else is sure; without paper and trimap, the thing is found from them
    /// alone.
    pub strokes: Option<PathBuf>,
    /// Where the matte goes.
    pub matte: PathBuf,
    /// Where the thing's own colour goes.
    pub foreground: Option<PathBuf>,
    /// How much time it may take.
    pub effort: Effort,
    /// What is done where there is a file already.
    pub existing: Existing,
}

impl Wanted {
    /// The files that the matte is made from.
    #[must_use]
    pub fn made_from(&self) -> Vec<&Path> {
        [Some(&self.shot), self.trimap.as_ref(), self.strokes.as_ref()]
            .into_iter()
            .flatten()
            .map(PathBuf::as_path)
            .collect()
    }

    /// The files that come of it.
    #[must_use]
    pub fn results(&self) -> Vec<&Path> {
        [Some(&self.matte), self.foreground.as_ref()].into_iter().flatten().map(PathBuf::as_path).collect()
    }
}

/// What was cut.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Report {
    /// The matte.
    pub matte: PathBuf,
    /// The thing's own colour.
    pub foreground: Option<PathBuf>,
    /// Of the shot, the matte and the colour.
    pub width_px: u32,
    /// As well.
    pub height_px: u32,
    /// What is sure was found from: `paper`, `trimap` or `strokes`, or the first or second `and strokes`.
    pub by: &'static str,
    /// Share of the frame that was sure to be the thing.
    pub inside_share: f64,
    /// Share that was sure not to be.
    pub outside_share: f64,
    /// Share that was solved.
    pub between_share: f64,
    /// What is worth looking at.
    pub doubts: Vec<String>,
}

/// Cuts a shot out: the matte is written, and the thing's own colour where that is wanted; each whole or not at all.
///
/// # Errors
/// Where shot, trimap or strokes cannot be read or do not belong together, too little is said, no paper is found and nothing else
/// given, a file is in the way or cannot be written, or the memory does not suffice.
pub fn cut(wanted: &Wanted, (budget, threads): (&Budget, NonZeroUsize)) -> Result<Report, Error> {
    let matte_form = form(&wanted.matte)?;
    let foreground_form = wanted.foreground.as_deref().map(form).transpose()?;
    let from = wanted.made_from();
    super::write::may_be(&wanted.matte, (&from, &[]), wanted.existing)?;
    if let Some(path) = &wanted.foreground {
        super::write::may_be(path, (&from, &[&wanted.matte]), wanted.existing)?;
    }
    let shot = files::read(&wanted.shot, &Limits::default(), budget)?;
    let primaries = match shot.colour() {
        Colour::Untagged | Colour::Known(Primaries::Srgb, _) => Primaries::Srgb,
        _ => Primaries::Rec2020,
    };
    let size = shot.size();
    let trimap = wanted.trimap.as_deref().map(|t| trimap(t, size, budget)).transpose()?;
    let told =
        wanted.strokes.as_deref().map(|s| Strokes::read(s)?.over(size)).transpose()?.unwrap_or_default();
    let drawn = wanted.strokes.as_deref().unwrap_or(&wanted.shot).display().to_string();
    let unused = unused(&told).into_iter().chain(own_alpha(&shot, budget)?);
    let unused: Vec<String> = unused.map(str::to_owned).collect();
    let hand = Handwork::by_strokes(&told);
    cutting::on_threads(threads, || {
        let picture = mended(&shot, SEEN_IN, &hand, budget)?;
        // As long as its colour is still to be found in other primaries.
        let shot = (foreground_form.is_some() && primaries != SEEN_IN).then_some(shot);
        budget.reached(0.1);
        let called = (wanted.shot.as_path(), drawn.as_str());
        let mut found = sure::found(
            &picture,
            trimap.map_or(Known::Nothing, Known::Trimap),
            &for_cutting(&told),
            called,
            budget,
        )?;
        found.doubts.extend(unused);
        budget.reached(0.3);
        let matte = matting::matte(&picture, &found.trimap, wanted.effort, &budget.within(0.3, 0.85))?;
        let matte = hand.touched(matte, &picture, budget)?;
        if matte.pixels().iter().all(|c| c.0 <= 0.0) {
            found.doubts.push("nothing is left in the matte: what was found, strokes removed".to_owned());
        }
        let picture = match shot {
            Some(shot) => mended(&shot, primaries, &hand, budget)?,
            None => picture,
        };
        let own = match foreground_form {
            Some(_) => Some(foreground::foreground(&picture, &matte, budget)?),
            None => None,
        };
        let grey = Description { size, channels: Channels::Grey, colour: None, ppi: None };
        let codes: Vec<u16> = matte.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
        write(&wanted.matte, grey, matte_form, &codes)?;
        if let (Some(path), Some(form), Some(own)) = (&wanted.foreground, foreground_form, own) {
            let transfer = super::write::curve_of(primaries);
            let rgb =
                Description { size, channels: Channels::Rgb, colour: Some((primaries, transfer)), ppi: None };
            write(path, rgb, form, &encoded(&own, transfer))?;
        }
        Ok(report(wanted, size, found))
    })
}

/// That strokes for a join do nothing here.
fn unused(told: &[Told]) -> Option<&'static str> {
    told.iter().any(|t| t.says.is_for_joining()).then_some(
        "strokes that say take or stay do nothing while one shot is cut: setpiece touch-up FOLDER join goes by them",
    )
}

/// That the coverage a shot came with was not looked at.
fn own_alpha(shot: &Photograph, budget: &Budget) -> Result<Option<&'static str>, Error> {
    if !shot.channels().has_alpha() {
        return Ok(None);
    }
    let is_cut = shot.to_coverage(budget)?.pixels().iter().any(|c| c.0 < 1.0);
    Ok(is_cut.then_some(
        "the shot has an alpha of its own, which was not looked at: to go by it, place the shot as it is",
    ))
}

/// The form of a file that is wanted: without loss, of 16 bits.
fn form(path: &Path) -> Result<Form, Error> {
    match Format::promised_by(path) {
        Some(Format::Png) => Ok(Form::Png { depth: Depth::U16 }),
        Some(Format::Tiff) => Ok(Form::Tiff { depth: Depth::U16, packing: Packing::Deflate }),
        _ => Err(Error::new(
            Kind::Wording,
            "a matte is kept in 16 bits and without loss, and this name promises neither",
            path.display().to_string(),
            "give a name that ends in .png or .tif",
        )),
    }
}

/// A trimap, from the first channel of its file.
fn trimap(path: &Path, size: PxSize, budget: &Budget) -> Result<Trimap, Error> {
    let read = files::read(path, &Limits::default(), budget)?;
    let place = path.display().to_string();
    if read.size() != size {
        let of = |s: PxSize| format!("{} x {}", s.width(), s.height());
        return Err(Error::new(
            Kind::Files,
            format!(
                "the trimap is {} pixels and its shot {}: they must be the same",
                of(read.size()),
                of(size)
            ),
            place,
            "give the trimap that was made for this shot, at its own size",
        ));
    }
    let trimap = Trimap::of_grey(&first_channel(&read, budget)?);
    let has = |sure: Sure| trimap.cells().contains(&sure);
    if !has(Sure::Inside) || !has(Sure::Outside) {
        let what = if has(Sure::Inside) { "outside" } else { "inside" };
        return Err(Error::new(
            Kind::Files,
            format!("the trimap says of no pixel that it is {what}: nothing can be told from it"),
            place,
            "paint black what is surely not the thing, white what surely is, and leave grey what is between",
        ));
    }
    Ok(trimap)
}

fn first_channel(read: &Photograph, budget: &Budget) -> Result<Image<Coverage>, Error> {
    let (every, width) = (read.channels().count(), read.size().width() as usize);
    let at = |x: i64, y: i64| (y as usize * width + x as usize) * every;
    let level = |i: usize| match read.samples() {
        Samples::U8(v) => f32::from(v[i]) / 255.0,
        Samples::U16(v) => f32::from(v[i]) / 65535.0,
        Samples::F32(v) => v[i],
    };
    Ok(Image::from_fn(read.size().rect(), budget, |x, y| Coverage(level(at(x, y))))?)
}

fn write(path: &Path, description: Description, form: Form, codes: &[u16]) -> Result<(), Error> {
    files::atomic::write(path, |out| encode::whole(out, description, form, Codes::U16(codes)).map(drop))?;
    Ok(())
}

fn encoded(own: &Image<Rgb>, transfer: Transfer) -> Vec<u16> {
    let mut codes = vec![0; own.samples().len()];
    Curve::of(transfer).u16s(own.samples(), &mut codes);
    codes
}

fn report(wanted: &Wanted, size: PxSize, found: Found) -> Report {
    let Found { trimap, by, doubts } = found;
    let share = |sure: Sure| {
        trimap.cells().iter().filter(|s| **s == sure).count() as f64 / trimap.cells().len().max(1) as f64
    };
    Report {
        matte: wanted.matte.clone(),
        foreground: wanted.foreground.clone(),
        width_px: size.width(),
        height_px: size.height(),
        by,
        inside_share: share(Sure::Inside),
        outside_share: share(Sure::Outside),
        between_share: share(Sure::Between),
        doubts,
    }
}
