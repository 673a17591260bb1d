//! What lies along a line on both sides of each pixel, taken together; the border is repeated.

use pixels::{Budget, Coverage, Image, OverBudget};
use rayon::prelude::*;
use units::{PxRect, math};

/// Each pixel of `place` from those up to `half` steps of (`dx`, `dy`) away, in order, by `add`: what was, the next, and the
/// step's number from 0 on. At first it is `start`.
pub(crate) fn along(
    image: &Image<Coverage>,
    place: PxRect,
    (half, dx, dy): (i64, i64, i64),
    start: f32,
    add: impl Fn(f32, f32, usize) -> f32 + Sync,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let all = image.place();
    let mut out = Image::<Coverage>::unset(place, budget)?;
    out.samples_mut().par_chunks_mut(place.width().max(1)).enumerate().for_each(|(i, row)| {
        let y = place.y0() + i as i64;
        row.fill(start);
        for k in -half..=half {
            let number = (k + half) as usize;
            let from = image.row((y + k * dy).clamp(all.y0(), all.y1() - 1));
            // Columns of the row whose partner lies before the image, in it, and after it.
            let first = (all.x0() - place.x0() - k * dx).clamp(0, row.len() as i64) as usize;
            let last = (all.x1() - place.x0() - k * dx).clamp(first as i64, row.len() as i64) as usize;
            let (start, end) = (from[0].0, from[from.len() - 1].0);
            row[..first].iter_mut().for_each(|o| *o = add(*o, start, number));
            row[last..].iter_mut().for_each(|o| *o = add(*o, end, number));
            let skipped = (place.x0() + first as i64 + k * dx - all.x0()).max(0) as usize;
            let inner = row[first..last].iter_mut().zip(from.get(skipped..).unwrap_or_default());
            inner.for_each(|(o, v)| *o = add(*o, v.0, number));
        }
    });
    Ok(out)
}

/// Standard deviations of a Gaussian that are counted to each side.
const COUNTED: f64 = 3.0;

/// How many pixels around a blur looks at.
pub(crate) fn reach(sigma: f64) -> i64 {
    (COUNTED * sigma).ceil() as i64
}

/// The weights of a Gaussian; their sum is 1.
pub(crate) fn gaussian(sigma: f64) -> Vec<f32> {
    let n = reach(sigma);
    let weight = |k: i64| math::exp(-((k * k) as f64) / (2.0 * sigma * sigma).max(1e-12));
    let sum: f64 = (-n..=n).map(weight).sum();
    (-n..=n).map(|k| (weight(k) / sum) as f32).collect()
}

/// The image within `place`, blurred by a Gaussian.
pub(crate) fn blurred(
    image: &Image<Coverage>,
    place: PxRect,
    sigma: f64,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let n = reach(sigma);
    let weights = gaussian(sigma);
    let tall = place.grow(n).intersect(image.place());
    let rows = PxRect::new(place.x0(), tall.y0(), place.x1(), tall.y1());
    let add = |o: f32, v: f32, k: usize| o + weights[k] * v;
    let across = along(image, rows, (n, 1, 0), 0.0, add, budget)?;
    along(&across, place, (n, 0, 1), 0.0, add, budget)
}
