//! Cut-outs laid on even grounds, to be looked at: what is left of the paper shows on one or the other.

use super::making::mended;
use super::strokes::Strokes;
use super::{Error, Kind, write};
use crate::handwork::Handwork;
use crate::parts::measured;
use cutting::foreground;
use files::encode::{self, Codes, Description, Form, Packing};
use files::{Channels, Depth, Limits};
use pixels::encode::{Encoder as Curve, Transfer};
use pixels::{Budget, Image, Rgb, Rgba};
use std::path::Path;
use units::{Primaries, PxRect, PxSize};

/// What a cut-out is laid on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ground {
    /// Black velvet.
    Velvet,
    /// A grey card.
    GreyCard,
    /// White paper.
    WhitePaper,
}

impl Ground {
    /// Share of light it returns (18 % is the photographer's grey card; the others are common practice, no source).
    pub(crate) const fn reflectance(self) -> f32 {
        match self {
            Self::Velvet => 0.004,
            Self::GreyCard => 0.18,
            Self::WhitePaper => 0.9,
        }
    }
}

/// A shot cut out by a matte, in linear sRGB; `strokes` are those that it was cut out with, and mended by.
///
/// # Errors
/// Where one cannot be read, they do not belong together, or the memory does not suffice.
pub(crate) fn cut_out(
    shot: &Path,
    matte: &Path,
    strokes: Option<&Path>,
    budget: &Budget,
) -> Result<(PxSize, Image<Rgba>), Error> {
    let read = files::read(shot, &Limits::default(), budget)?;
    let size = read.size();
    let told = strokes.map(|s| Strokes::read(s)?.over(size)).transpose()?.unwrap_or_default();
    let picture = mended(&read, Primaries::Srgb, &Handwork::by_strokes(&told), budget)?;
    drop(read);
    let covers = files::read(matte, &Limits::default(), budget)?;
    if covers.size() != size {
        return Err(Error::new(
            Kind::Files,
            "the matte has not the size of its shot",
            matte.display().to_string(),
            "name the matte that was made of this shot",
        ));
    }
    let covers = covers.to_coverage(budget)?;
    let rows = |y: usize, out: &mut [Rgb]| out.copy_from_slice(picture.row(y as i64));
    let covered = measured(size, &covers).covered;
    Ok((size, foreground::freed(&rows, (&covers, &covers), covered, budget)?))
}

/// The means of `step` by `step` pixels of a frame; what the picture does not reach is clear.
pub(crate) fn reduced(
    image: &Image<Rgba>,
    frame: PxSize,
    step: u32,
    budget: &Budget,
) -> Result<Image<Rgba>, Error> {
    let step = i64::from(step.max(1));
    let cells = |n: u32| (i64::from(n) + step - 1) / step;
    let place = PxRect::new(0, 0, cells(frame.width()), cells(frame.height()));
    let (w, h) = (i64::from(frame.width()), i64::from(frame.height()));
    Ok(Image::from_fn(place, budget, |u, v| {
        let (mut sum, mut count) = ([0.0f32; 4], 0.0f32);
        for y in v * step..((v + 1) * step).min(h) {
            for x in u * step..((u + 1) * step).min(w) {
                let Rgba(p) = image.at(x, y);
                (0..4).for_each(|c| sum[c] += p[c]);
                count += 1.0;
            }
        }
        Rgba(sum.map(|s| s / count.max(1.0)))
    })?)
}

/// Laid on a ground: light, in the same primaries.
pub(crate) fn over(image: &Image<Rgba>, ground: Ground, budget: &Budget) -> Result<Image<Rgb>, Error> {
    let behind = ground.reflectance();
    Ok(Image::from_fn(image.place(), budget, |x, y| {
        let Rgba([r, g, b, a]) = image.at(x, y);
        Rgb([r, g, b].map(|v| v + (1.0 - a) * behind))
    })?)
}

/// The codes of linear sRGB as a file of 8 bits holds them.
pub(crate) fn codes(image: &Image<Rgb>) -> Vec<u8> {
    let mut codes = vec![0; image.samples().len()];
    Curve::of(Transfer::Srgb).u8s(image.samples(), &mut codes);
    codes
}

/// The form of a picture of 8 bits that a file's name promises.
///
/// # Errors
/// Where it promises none.
pub fn form(to: &Path) -> Result<Form, Error> {
    match write::form_of(to) {
        Some(Form::Png { .. }) => Ok(Form::Png { depth: Depth::U8 }),
        Some(Form::Tiff { .. }) => Ok(Form::Tiff { depth: Depth::U8, packing: Packing::Deflate }),
        Some(form @ Form::Jpeg { .. }) => Ok(form),
        _ => Err(Error::new(
            Kind::Wording,
            "this name promises no picture of 8 bits",
            to.display().to_string(),
            "give a name that ends in .png, .tif or .jpg",
        )),
    }
}

/// Writes a shot, cut out by its matte and laid on a ground, to a picture file of 8 bits. `strokes` are those that it
/// was cut out with.
///
/// # Errors
/// Where shot or matte cannot be read or do not belong together, the file's name promises no picture, or it cannot be written.
pub fn write(
    (shot, matte): (&Path, &Path),
    strokes: Option<&Path>,
    ground: Ground,
    to: &Path,
    budget: &Budget,
) -> Result<(), Error> {
    let form = form(to)?;
    let (size, image) = cut_out(shot, matte, strokes, budget)?;
    let whole = over(&image.crop(size.rect(), budget)?, ground, budget)?;
    let colour = Some((Primaries::Srgb, Transfer::Srgb));
    let description = Description { size, channels: Channels::Rgb, colour, ppi: None };
    files::atomic::write(to, |out| {
        encode::whole(out, description, form, Codes::U8(&codes(&whole))).map(drop)
    })?;
    Ok(())
}
