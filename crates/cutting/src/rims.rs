//! The rims of a cut-out: where the thing's own colour carries light that the paper threw on it.
//!
//! What the colour should be is seen further inside. Colour and matte stand at the same place. Both work on the thing's [own
//! colour](crate::foreground), leave coverage as it is, change each pixel by itself (nothing is blurred), and nothing beyond a
//! band of so many pixels along the edge. Own constructions; see docs/model.md, By hand. On all threads of the pool that calls,
//! with the same bits however many there are.

mod depth;
mod inside;

use crate::along::blurred;
use depth::depths;
use inside::Inside;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;

/// A band along the edge, and how strongly it is worked on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Band {
    width: f64,
    strength: f64,
}

/// Least and greatest width of a band, in pixels.
pub const WIDTHS: (f64, f64) = (1.0, 200.0);

impl Band {
    /// So many pixels wide, as seen from the edge inwards; `strength` from 0, which changes nothing, to 1. `None` out of range
    /// ([`WIDTHS`]).
    #[must_use]
    pub fn new(width: f64, strength: f64) -> Option<Self> {
        let fine = (WIDTHS.0..=WIDTHS.1).contains(&width) && (0.0..=1.0).contains(&strength);
        fine.then_some(Self { width, strength })
    }

    /// How far a pixel so deep is worked on: over the inner part of the band less and less.
    fn lies(self, deep: f32) -> f32 {
        let width = self.width as f32;
        ((width - deep) / (FADES * width)).clamp(0.0, 1.0)
    }
}

/// Share of the band's width over which it fades out inwards.
const FADES: f32 = 0.4;
/// Least coverage of a pixel that is worked on.
const FAINT: f32 = 1e-3;
/// What is added, as a share, where paper and thing are told apart: so that noise is not taken for either.
const EVEN: f32 = 0.01;
/// Squared sine of the angle between the colours of paper and thing up to which they cannot be told apart, and from which on
/// they can.
const ALIKE: f32 = 0.02;
const APART: f32 = 0.1;
/// Most of the paper's light that is taken for spill, and most of a pixel's own that is taken away.
const MOST: f32 = 0.5;
const LEFT: f32 = 0.1;
/// Standard deviation that spill is smooth over, as a share of the band's width.
const SMOOTH: f64 = 0.25;
/// How far along the edge a rim's brightness is averaged, in pixels, and how near in depth.
const ALONG: (f64, f64) = (4.0, 12.0);
const LIKE: f32 = 1.0;

/// The colour without the light of the paper that was thrown on the edge.
///
/// Near the edge a pixel shows g R + t P: the colour R further inside, lighter or darker, and a share t of the paper's P. Both
/// are fitted by least squares, t is made smooth, and t P is taken away. Where R and P have the same hue nothing tells them
/// apart, and nothing is changed: what such paper spills is brightness, for [`calmed`]. `paper` gives its colour at a column
/// and row; all in linear light, of the same primaries.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn without_cast(
    colour: &Image<Rgb>,
    matte: &Image<Coverage>,
    paper: impl Fn(i64, i64) -> Rgb + Sync,
    band: Band,
    budget: &Budget,
) -> Result<Image<Rgb>, OverBudget> {
    let place = colour.place();
    let mut out = colour.crop(place, budget)?;
    let Some((deep, inside)) = looked_at(colour, matte, band, budget)? else { return Ok(out) };
    let spill = |x: i64, y: i64| {
        let a = matte.at(x, y).0;
        let lies = if a < FAINT { 0.0 } else { band.lies(deep.at(x, y).0) };
        if lies == 0.0 { 0.0 } else { a * lies * spilt(colour.at(x, y), inside.at(x, y), paper(x, y)) }
    };
    let spilt = filled(matte, spill, budget)?;
    let sigma = SMOOTH * band.width;
    let smooth = blurred(&spilt, place, sigma, budget)?;
    let covers = blurred(matte, place, sigma, budget)?;
    let strength = band.strength as f32;
    rows(&mut out, |x, y, o| {
        let t = smooth.at(x, y).0 / covers.at(x, y).0.max(FAINT);
        if t > 0.0 && matte.at(x, y).0 >= FAINT && band.lies(deep.at(x, y).0) > 0.0 {
            let paper = paper(x, y).0;
            let most = (0..3).filter(|c| paper[*c] > 0.0).map(|c| (1.0 - LEFT) * o.0[c].max(0.0) / paper[c]);
            let t = strength * most.fold(t, f32::min);
            *o = Rgb([0, 1, 2].map(|c| o.0[c] - t * paper[c]));
        }
    });
    Ok(out)
}

/// How deep each pixel lies, and the colour further inside; `None` where there is nothing to work on.
fn looked_at(
    colour: &Image<Rgb>,
    matte: &Image<Coverage>,
    band: Band,
    budget: &Budget,
) -> Result<Option<(Image<Coverage>, Inside)>, OverBudget> {
    if band.strength == 0.0 || colour.place().is_empty() {
        return Ok(None);
    }
    let deep = depths(matte, budget)?;
    let inside = Inside::new(colour, matte, &deep, band.width, budget)?;
    Ok(inside.map(|inside| (deep, inside)))
}

/// The share of the paper's light in a colour, beside what is inside.
fn spilt(Rgb(own): Rgb, Rgb(inside): Rgb, Rgb(paper): Rgb) -> f32 {
    let dot = |a: [f32; 3], b: [f32; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let (rr, rp, pp) = (dot(inside, inside), dot(inside, paper), dot(paper, paper));
    if rr * pp <= 0.0 {
        return 0.0;
    }
    let apart = 1.0 - rp * rp / (rr * pp);
    let trust = ((apart - ALIKE) / (APART - ALIKE)).clamp(0.0, 1.0);
    let share = (rr * dot(own, paper) - rp * dot(own, inside)) / (rr * pp * (apart + EVEN));
    trust * share.clamp(0.0, MOST)
}

/// The colour with rims that are brighter than what lies further inside brought down to it: scaled, so that hue and detail stay.
///
/// By how much is seen from the mean of what lies as deep, along the edge: a strand that is lighter than its neighbours stays so.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn calmed(
    colour: &Image<Rgb>,
    matte: &Image<Coverage>,
    band: Band,
    budget: &Budget,
) -> Result<Image<Rgb>, OverBudget> {
    let place = colour.place();
    let mut out = colour.crop(place, budget)?;
    let Some((deep, inside)) = looked_at(colour, matte, band, budget)? else { return Ok(out) };
    let far = band.width.clamp(ALONG.0, ALONG.1).round() as i64;
    let strength = band.strength as f32;
    rows(&mut out, |x, y, o| {
        let own = deep.at(x, y).0;
        let lies = if matte.at(x, y).0 < FAINT { 0.0 } else { band.lies(own) };
        if lies == 0.0 {
            return;
        }
        let (mut sum, mut all) = (0.0f32, 0.0f32);
        for v in (y - far).max(place.y0())..(y + far + 1).min(place.y1()) {
            let x0 = (x - far).max(place.x0());
            let part = (x0 - place.x0()) as usize..((x + far + 1).min(place.x1()) - place.x0()) as usize;
            let beside = matte.row(v)[part.clone()].iter().zip(&deep.row(v)[part.clone()]);
            for ((a, deep), p) in beside.zip(&colour.row(v)[part]) {
                let k = a.0 * (1.0 - (deep.0 - own).abs() / LIKE).max(0.0);
                sum += k * bright(*p);
                all += k;
            }
        }
        let (here, there) = (sum / all.max(f32::MIN_POSITIVE), bright(inside.at(x, y)).max(0.0));
        if here > there {
            let by = 1.0 - strength * lies * (1.0 - there / here);
            *o = Rgb(o.0.map(|v| v * by));
        }
    });
    Ok(out)
}

/// How bright a colour is, whatever its primaries.
fn bright(Rgb([r, g, b]): Rgb) -> f32 {
    0.25 * r + 0.5 * g + 0.25 * b
}

fn filled(
    like: &Image<Coverage>,
    f: impl Fn(i64, i64) -> f32 + Sync,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let mut out = Image::<Coverage>::unset(like.place(), budget)?;
    rows(&mut out, |x, y, o| o.0 = f(x, y));
    Ok(out)
}

/// Does something with every pixel, by its column and row.
fn rows<P: pixels::Pixel>(image: &mut Image<P>, f: impl Fn(i64, i64, &mut P) + Sync) {
    let place = image.place();
    image.pixels_mut().par_chunks_mut(place.width().max(1)).enumerate().for_each(|(i, row)| {
        (place.x0()..).zip(row).for_each(|(x, p)| f(x, place.y0() + i as i64, p));
    });
}

#[cfg(test)]
mod tests;
