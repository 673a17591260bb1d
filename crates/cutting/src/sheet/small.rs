//! The picture that a sheet of paper is looked for in, made small and calm.

use pixels::{Budget, Image, OverBudget, Rgb};
use rayon::prelude::*;
use units::PxRect;

/// Means of `step` by `step` pixels.
pub(super) fn smaller(picture: &Image<Rgb>, step: i64, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let place = picture.place();
    let cells = |n: usize| (n as i64 + step - 1) / step;
    let mut out = Image::<Rgb>::new(PxRect::new(0, 0, cells(place.width()), cells(place.height())), budget)?;
    let width = out.width().max(1);
    out.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(v, row)| {
        let y0 = place.y0() + v as i64 * step;
        for (u, out) in row.iter_mut().enumerate() {
            let x0 = place.x0() + u as i64 * step;
            let (mut sum, mut count) = ([0.0f32; 3], 0.0);
            for y in y0..(y0 + step).min(place.y1()) {
                for x in x0..(x0 + step).min(place.x1()) {
                    let p = picture.at(x, y).0;
                    (0..3).for_each(|c| sum[c] += p[c]);
                    count += 1.0;
                }
            }
            *out = Rgb(sum.map(|s| s / count));
        }
    });
    Ok(out)
}

/// Means of the neighbours up to `reach` pixels away.
pub(super) fn calm(small: &Image<Rgb>, reach: i64, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let along = |image: &Image<Rgb>, (dx, dy): (i64, i64)| {
        let mut out = Image::<Rgb>::new(image.place(), budget)?;
        let width = out.width().max(1);
        out.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(y, row)| {
            for (x, out) in row.iter_mut().enumerate() {
                let at = |k: i64| image.at_clamped(x as i64 + k * dx, y as i64 + k * dy).0;
                let sum = (-reach..=reach)
                    .map(at)
                    .fold([0.0f32; 3], |s, p| [s[0] + p[0], s[1] + p[1], s[2] + p[2]]);
                *out = Rgb(sum.map(|s| s / (2 * reach + 1) as f32));
            }
        });
        Ok(out)
    };
    along(&along(small, (1, 0))?, (0, 1))
}

/// The value that such a share of all values do not exceed.
pub(super) fn part(values: &mut [f32], share: f64) -> Option<f32> {
    let at = ((values.len() as f64 * share) as usize).min(values.len().checked_sub(1)?);
    Some(*values.select_nth_unstable_by(at, f32::total_cmp).1)
}

/// The largest difference of two colours' channels.
pub(super) fn apart(a: [f32; 3], b: [f32; 3]) -> f32 {
    (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max)
}

pub(super) fn brightness(p: [f32; 3]) -> f32 {
    (p[0] + p[1] + p[2]) / 3.0
}

/// How much two colours differ in brightness, and in tint beside it; or the noise of both.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(super) struct Difference {
    pub(super) light: f32,
    pub(super) tint: f32,
}

impl Difference {
    pub(super) fn of(a: [f32; 3], b: [f32; 3]) -> Self {
        let (la, lb) = (brightness(a), brightness(b));
        Self { light: (la - lb).abs(), tint: apart(a.map(|v| v - la), b.map(|v| v - lb)) }
    }

    /// Whether either is more than so many times the noise, and more than a least.
    pub(super) fn exceeds(self, noise: Self, times: f32, least: f32) -> bool {
        self.light > (times * noise.light).max(least) || self.tint > (times * noise.tint).max(least)
    }
}
