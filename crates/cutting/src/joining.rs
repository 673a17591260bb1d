//! One piece from several shots of a sitting: the face of one, the hands of another.
//!
//! Each other shot is laid over the first (`align`), brought to its light, and taken from where strokes say so, as far as a seam along
//! which the two differ least; there they are joined. All in linear light; shot and matte alike. On all threads of the pool that calls.

mod align;
mod alignment;
mod consensus;
mod corners;
mod evening;
mod exposure;
mod fit;
mod flow;
mod grey;
mod laid;
mod matches;
mod seam;
#[cfg(test)]
mod tests;
mod windows;

use crate::pen::Stroke;
pub use align::{Aligned, Asked, Astray, align};
pub use alignment::{Alignment, Nudge};
use evening::Membrane;
use laid::Laid;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;
use seam::Leeway;
use units::PxRect;

/// What is taken from another shot.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    /// The shot.
    pub shot: &'a Image<Rgb>,
    /// Its matte, at the same place.
    pub matte: &'a Image<Coverage>,
    /// How it lies over the first shot.
    pub alignment: Alignment,
    /// Roughly what is taken, in pixels of the first shot.
    pub take: &'a [Stroke],
    /// What stays as it is, in pixels of the first shot.
    pub stay: &'a [Stroke],
    /// How far the seam may leave the outline of what was drawn, in pixels; `None`: a quarter of the side of a square as large.
    pub leeway: Option<f64>,
}

/// What came of it, where the first shot stands.
#[derive(Debug)]
pub struct Joined {
    /// The shot, in linear light.
    pub colour: Image<Rgb>,
    /// Its matte.
    pub matte: Image<Coverage>,
    /// For each part how it was joined, in their order.
    pub seams: Vec<Seam>,
}

/// How a part was joined.
#[derive(Debug)]
pub struct Seam {
    /// Where the part is taken, 0 to 1; empty where nothing is.
    pub taken: Image<Coverage>,
    /// The factors that brought it to the first shot's light.
    pub gain: [f64; 3],
    /// How long the seam is where either shot covers, in pixels.
    pub length_px: f64,
    /// By how much the two differ there, root mean square: of 1, on the eye's scale.
    pub difference: f64,
    /// The same at the worst place of 16 pixels.
    pub worst: f64,
    /// The share of what was drawn that the shot does not hold.
    pub missing: f64,
}

/// Joins parts of other shots to the first, one after the other.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn join(
    base: (&Image<Rgb>, &Image<Coverage>),
    others: &[Part<'_>],
    budget: &Budget,
) -> Result<Joined, OverBudget> {
    let place = base.0.place();
    let mut joined =
        Joined { colour: base.0.crop(place, budget)?, matte: base.1.crop(place, budget)?, seams: Vec::new() };
    for part in others {
        let seam = one(&mut joined, part, budget)?;
        joined.seams.push(seam);
    }
    Ok(joined)
}

/// Strokes drawn over one another.
///
/// # Errors
/// Where the budget does not hold it.
pub fn drawn(strokes: &[Stroke], place: PxRect, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    let mut all = Image::<Coverage>::new(place, budget)?;
    for stroke in strokes {
        let one = stroke.drawn(place, budget)?;
        for y in one.place().y0()..one.place().y1() {
            let from = (one.place().x0() - place.x0()) as usize;
            for (o, v) in all.row_mut(y)[from..].iter_mut().zip(one.row(y)) {
                o.0 = o.0.max(v.0);
            }
        }
    }
    Ok(all)
}

fn one(joined: &mut Joined, part: &Part<'_>, budget: &Budget) -> Result<Seam, OverBudget> {
    let whole = joined.colour.place();
    let outline = part.take.iter().fold(PxRect::EMPTY, |all, s| all.union(s.bounds())).intersect(whole);
    let area = drawn(part.take, outline, budget)?.samples().iter().map(|v| f64::from(*v)).sum::<f64>();
    let leeway = part.leeway.unwrap_or(area.sqrt() / 4.0).clamp(2.0, 1e6);
    let place = outline.grow(leeway.ceil() as i64 + 2 * MIXED as i64).intersect(whole);
    let taken = drawn(part.take, place, budget)?;
    let mut kept = drawn(part.stay, place, budget)?;
    let mut laid = Laid::over(place, part, budget)?;
    let missing = laid.without(&mut kept, &taken);
    let gain = exposure::gain((&joined.colour, &joined.matte), (&laid.colour, &laid.matte), |i| {
        laid.holds[i] == laid::LIGHT && taken.samples()[i] < 0.5
    });
    laid.brighten(gain);
    let differences = laid.differences((&joined.colour, &joined.matte), budget)?;
    let asked = seam::Asked { taken: &taken, kept: &kept, differences: &differences, leeway: Leeway(leeway) };
    let hard = seam::cut(&asked, budget)?;
    drop((taken, kept));
    let [length_px, difference, worst] = along(&hard, &differences, (&joined.matte, &laid.matte));
    let taken = softened(&hard, budget)?;
    drop(hard);
    let membrane = Membrane::new((&joined.colour, &joined.matte), &laid, &taken, &differences, budget)?;
    mix(joined, &laid, &taken, &membrane);
    Ok(Seam { taken, gain, length_px, difference, worst, missing })
}

/// Length of the seam, the difference along it, and its worst place.
fn along(
    hard: &Image<Coverage>,
    differences: &Image<Coverage>,
    mattes: (&Image<Coverage>, &Image<Coverage>),
) -> [f64; 3] {
    /// Side of a place.
    const PLACE: i64 = 16;
    let place = hard.place();
    let mut places = std::collections::BTreeMap::<(i64, i64), (f64, f64)>::new();
    for y in place.y0()..place.y1() {
        for x in place.x0()..place.x1() {
            let own = hard.at(x, y);
            let beside = [(x + 1, y), (x, y + 1)];
            let cuts =
                beside.iter().filter(|(u, v)| place.contains(*u, *v) && hard.at(*u, *v) != own).count();
            if cuts > 0 && mattes.0.at(x, y).0.max(mattes.1.at(x, y).0) > 0.01 {
                let (sum, count) = places.entry((x.div_euclid(PLACE), y.div_euclid(PLACE))).or_default();
                *sum += cuts as f64 * f64::from(differences.at(x, y).0);
                *count += cuts as f64;
            }
        }
    }
    let (sum, count) = places.values().fold((0.0, 0.0), |(s, n), p| (s + p.0, n + p.1));
    let worst = places.values().map(|(s, n)| s / n.max(4.0)).fold(0.0, f64::max);
    [count, (sum / f64::max(count, 1.0)).sqrt(), worst.sqrt()]
}

/// Pixels to each side of the seam in which both are mixed.
const MIXED: usize = 2;

/// The cut's edge made soft, so that no step of a pixel shows: binomial weights, across and down.
fn softened(hard: &Image<Coverage>, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    const WEIGHTS: [f32; 2 * MIXED + 1] = [1.0 / 16.0, 4.0 / 16.0, 6.0 / 16.0, 4.0 / 16.0, 1.0 / 16.0];
    let along = |image: &Image<Coverage>, (dx, dy): (i64, i64)| {
        let mut out = Image::<Coverage>::new(image.place(), budget)?;
        let (place, width) = (image.place(), image.width().max(1));
        out.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(j, row)| {
            let y = place.y0() + j as i64;
            for (x, o) in (place.x0()..).zip(row) {
                let near = (-(MIXED as i64)..).zip(WEIGHTS);
                o.0 = near.map(|(k, w)| w * image.at_clamped(x + k * dx, y + k * dy).0).sum::<f32>().min(1.0);
            }
        });
        Ok(out)
    };
    along(&along(hard, (1, 0))?, (0, 1))
}

fn mix(joined: &mut Joined, laid: &Laid, taken: &Image<Coverage>, membrane: &Membrane) {
    let place = taken.place();
    let whole = joined.colour.place();
    if place.is_empty() {
        return;
    }
    let rows = (place.y0() - whole.y0()) as usize..(place.y1() - whole.y0()) as usize;
    let columns = (place.x0() - whole.x0()) as usize..(place.x1() - whole.x0()) as usize;
    let width = whole.width();
    let part = rows.start * width..rows.end * width;
    let colours = joined.colour.pixels_mut()[part.clone()].par_chunks_mut(width);
    let mattes = joined.matte.pixels_mut()[part].par_chunks_mut(width);
    colours.zip(mattes).enumerate().for_each(|(j, (colour, matte))| {
        let y = place.y0() + j as i64;
        let both = colour[columns.clone()].iter_mut().zip(&mut matte[columns.clone()]);
        let other = laid.colour.row(y).iter().zip(laid.matte.row(y)).zip(taken.row(y));
        for (x, ((c, m), ((oc, om), t))) in (place.x0()..).zip(both.zip(other)) {
            if t.0 > 0.0 {
                let factors = membrane.at(x, y);
                for k in 0..3 {
                    c.0[k] += t.0 * (oc.0[k] * factors[k] - c.0[k]);
                }
                m.0 += t.0 * (om.0 - m.0);
            }
        }
    });
}
