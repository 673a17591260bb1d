//! From small to large: what the picture at half its size says of four pixels is the mean of theirs.
//!
//! Seen from afar a strand is near its thing and its own gaps, so that evidence reaches farther and noise has gone; on the way
//! back to full size only detail is left to find, and windows find it. Against the solution at full size alone the errors are
//! smaller where strands are wider than a pixel, and the time is a fraction.

use super::band::Band;
use super::mixture::{Among, Mixture};
use super::solve::Wanted;
use super::trimap::{Sure, Trimap};
use super::{Effort, laplacian, samples};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;
use units::PxRect;

/// Added to the spread of colours in a window, in squares of evened colour.
const EPSILON: f64 = 1e-7;
/// What evidence of pairs weighs where it is trusted, and mixtures, beside the windows.
const PAIRS: f64 = 0.1;
const MIXED: f64 = 0.5;
/// On the way to full size: what the means of the smaller picture weigh, and mixtures.
const MEANS: f64 = 0.03;
const MIXED_AGAIN: f64 = 0.1;

/// Up to how many pixels of a band all evidence is weighed, and up to how many mixtures are.
const fn most(effort: Effort) -> (usize, usize) {
    match effort {
        Effort::Quick => (20_000, 20_000),
        Effort::Best => (40_000, 700_000),
    }
}

/// Bytes that a pixel of the band takes while it is solved: the windows' rows and their matrix, the vectors; and with mixtures.
const EACH: u64 = 400;
const EACH_MIXED: u64 = 900;

/// The matte of evened colours, between what is sure.
pub(super) fn solved(
    colours: &Image<Rgb>,
    trimap: &Trimap,
    effort: Effort,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let place = colours.place();
    let band = Band::of(trimap);
    let (whole, mixed) = most(effort);
    let half = if band.len() > whole && place.width().min(place.height()) > 1 {
        // A quarter of the pixels, and all that is smaller still.
        Some(solved(&halved(colours, budget)?, &trimap.halved(), effort, &budget.within(0.0, 0.3))?)
    } else {
        None
    };
    budget.reached(0.3);
    let is_mixed = band.len() <= mixed;
    let _room = budget.take(band.len() as u64 * if is_mixed { EACH_MIXED } else { EACH })?;
    let sure = |x: i64, y: i64| if trimap.at(x, y) == Sure::Inside { 1.0 } else { 0.0 };
    let mut form = laplacian::form(colours, &band, EPSILON);
    let among = if half.is_some() { Among::Nearby } else { Among::Everywhere };
    let mixture = is_mixed.then(|| Mixture::new(colours, &band, among, sure));
    let (guess, wanted): (Vec<f64>, Wanted) = if let Some(half) = half {
        form.keep_means(&band, &half, MEANS);
        let guess = band.spread(|(x, y)| f64::from(half.at_clamped(x.div_euclid(2), y.div_euclid(2)).0));
        let (smooth, sides) = form.with_sure(&band, sure);
        let mixture = mixture.map(|m| (m, MIXED_AGAIN));
        (guess, Wanted { smooth, sides, mixture, evidence: Vec::new() })
    } else {
        let found = samples::found(colours, trimap, &band);
        let guess = found.iter().map(|f| f.coverage).collect();
        let evidence = found.iter().map(|f| (f.coverage, PAIRS * f.trust)).collect();
        let (smooth, sides) = form.with_sure(&band, sure);
        (guess, Wanted { smooth, sides, mixture: mixture.map(|m| (m, MIXED)), evidence })
    };
    budget.reached(0.55);
    let solved = wanted.solve(guess);
    budget.reached(1.0);
    Image::from_fn(place, budget, |x, y| {
        Coverage(band.number(x, y).map_or_else(|| sure(x, y) as f32, |n| solved[n].clamp(0.0, 1.0) as f32))
    })
}

/// A place at half the size: whatever its pixels touch.
pub(super) fn half_of(place: PxRect) -> PxRect {
    let up = |v: i64| (v + 1).div_euclid(2);
    PxRect::new(place.x0().div_euclid(2), place.y0().div_euclid(2), up(place.x1()), up(place.y1()))
}

/// Colours at half the size: means of four.
pub(super) fn halved(colours: &Image<Rgb>, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let mut half = Image::<Rgb>::new(half_of(colours.place()), budget)?;
    let (place, width) = (half.place(), half.width().max(1));
    half.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(v, row)| {
        let v = place.y0() + v as i64;
        for (u, mean) in (place.x0()..).zip(row) {
            let four =
                [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(x, y)| colours.at_clamped(2 * u + x, 2 * v + y).0);
            *mean = Rgb([0, 1, 2].map(|c| four.iter().map(|p| p[c]).sum::<f32>() / 4.0));
        }
    });
    Ok(half)
}
