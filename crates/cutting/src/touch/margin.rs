//! Moves the edges of a matte by parts of a pixel.
//!
//! Coverage is moved along its own slope: a pixel takes the least coverage that lies up to so far outwards of it, or the
//! greatest that lies inwards, so that hard edges stay hard and soft ones soft; each level moves by as much, the middle one
//! too. What is thinner than twice the way and three pixels is not moved, for nothing would be left of it: of strands and tips,
//! which an opening by an octagon takes away (Serra, "Image analysis and mathematical morphology", 1982), moving inwards leaves
//! a share of the coverage, the larger the denser they stand, and moving outwards leaves them as they are. The strands'
//! treatment is an own construction.

use crate::along::{along, blurred, reach as blurs};
use pixels::{Budget, Coverage, Image, OverBudget};
use rayon::prelude::*;
use units::PxRect;

/// Least radius of the octagon.
const THIN: i64 = 2;
/// How much of its radius its slanting sides take, in steps to the side.
const SLANT: f64 = 0.293;
/// Least standard deviation that slopes are found with; else it is the way.
const SMOOTH: f64 = 1.0;
/// Steps that a pixel's way is looked along in.
const STEPS: f64 = 2.0;
/// Side of the parts that are worked on at once, where the reach is no larger.
const PART: i64 = 64;

fn octagon(margin: f64) -> i64 {
    (margin.abs().ceil() as i64 + 1).max(THIN)
}

fn smooth(margin: f64) -> f64 {
    margin.abs().max(SMOOTH)
}

/// How many pixels around are looked at.
pub(super) fn reach(margin: f64) -> i64 {
    2 * octagon(margin)
        + (margin.abs().ceil() as i64 + blurs(smooth(margin)) + 3).max(blurs(octagon(margin) as f64))
}

/// The matte with its edges moved outwards by `margin` pixels, inwards where that is below 0.
pub(super) fn moved(
    matte: &Image<Coverage>,
    margin: f64,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let place = matte.place();
    let mut out = matte.crop(place, budget)?;
    let side = PART.max(2 * reach(margin));
    let rows: Vec<PxRect> = place.slices(side as usize).collect();
    let columns = |row: &PxRect| {
        (row.x0()..row.x1()).step_by(side as usize).map(|x| (x, (x + side).min(row.x1()))).collect::<Vec<_>>()
    };
    for row in rows {
        let parts: Vec<PxRect> =
            columns(&row).into_iter().map(|(x0, x1)| PxRect::new(x0, row.y0(), x1, row.y1())).collect();
        let done: Vec<_> = parts.par_iter().map(|part| moved_part(matte, *part, margin, budget)).collect();
        for part in done {
            let Some(part) = part? else { continue };
            let own = part.place();
            for y in own.y0()..own.y1() {
                let x0 = (own.x0() - place.x0()) as usize;
                out.row_mut(y)[x0..x0 + own.width()].copy_from_slice(part.row(y));
            }
        }
    }
    Ok(out)
}

/// A part of it; `None` where nothing changes.
fn moved_part(
    matte: &Image<Coverage>,
    part: PxRect,
    margin: f64,
    budget: &Budget,
) -> Result<Option<Image<Coverage>>, OverBudget> {
    let own = matte.crop(part.grow(reach(margin)).intersect(matte.place()), budget)?;
    if own.pixels().iter().all(|a| *a == own.pixels()[0]) {
        return Ok(None);
    }
    let half = octagon(margin);
    let thick =
        extremes(extremes(own.crop(own.place(), budget)?, half, f32::min, budget)?, half, f32::max, budget)?;
    let even = blurred(&thick, own.place(), smooth(margin), budget)?;
    let way = margin.abs() as f32;
    let steps = (STEPS * margin.abs()).ceil().max(1.0) as i64;
    let shrinks = margin < 0.0;
    let edge = |x: i64, y: i64| {
        let at = |dx, dy| even.at_clamped(x + dx, y + dy).0;
        let (gx, gy) = (at(1, 0) - at(-1, 0), at(0, 1) - at(0, -1));
        let length = (gx * gx + gy * gy).sqrt();
        let start = thick.at(x, y).0;
        if length < 1e-6 {
            return start;
        }
        // Coverage rises inwards.
        let sign = if shrinks { -way / length } else { way / length };
        (1..=steps).fold(start, |best, k| {
            let t = sign * k as f32 / steps as f32;
            let there = between(&thick, x as f32 + gx * t, y as f32 + gy * t);
            if shrinks { best.min(there) } else { best.max(there) }
        })
    };
    if !shrinks {
        return Image::from_fn(part, budget, |x, y| Coverage(own.at(x, y).0.max(edge(x, y)))).map(Some);
    }
    let strands = Image::from_fn(own.place(), budget, |x, y| Coverage(own.at(x, y).0 - thick.at(x, y).0))?;
    // As far as the edge they grow from moves inwards, strands go on into it.
    let strands = extremes(strands, margin.abs().ceil() as i64 + 1, f32::max, budget)?;
    let dense = blurred(&own, part, half as f64, budget)?;
    let loss = (margin.abs() / (half as f64 + margin.abs())) as f32;
    let shrunk = |x, y| {
        let (a, share) = (own.at(x, y).0, 1.0 - loss * (1.0 - dense.at(x, y).0).max(0.0));
        Coverage((edge(x, y) + share * strands.at(x, y).0.min(a)).min(a))
    };
    Image::from_fn(part, budget, shrunk).map(Some)
}

/// The least or greatest in an octagon around each pixel.
fn extremes(
    image: Image<Coverage>,
    radius: i64,
    of: impl Fn(f32, f32) -> f32 + Sync,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let slant = (SLANT * radius as f64).round() as i64;
    let lines = [(radius - 2 * slant, 1, 0), (radius - 2 * slant, 0, 1), (slant, 1, 1), (slant, 1, -1)];
    // Neither beside what is there nor beside itself does the start count.
    let start = of(f32::MIN, f32::MAX);
    let start = if start == f32::MIN { f32::MAX } else { f32::MIN };
    lines
        .into_iter()
        .try_fold(image, |image, line| along(&image, image.place(), line, start, |o, v, _| of(o, v), budget))
}

/// Coverage between pixels: bilinear, the border repeated. (x, y) are columns and rows, a pixel's middle being whole.
fn between(image: &Image<Coverage>, x: f32, y: f32) -> f32 {
    let (x0, y0) = (x.floor(), y.floor());
    let (fx, fy) = (x - x0, y - y0);
    let at = |dx: i64, dy: i64| image.at_clamped(x0 as i64 + dx, y0 as i64 + dy).0;
    let top = at(0, 0) + (at(1, 0) - at(0, 0)) * fx;
    let low = at(0, 1) + (at(1, 1) - at(0, 1)) * fx;
    top + (low - top) * fy
}
