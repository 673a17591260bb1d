//! Colours as they are compared with the paper's: as shares of it, and with tint as strong as its noise allows.
//!
//! Shadow and falling light change brightness alone, and most noise does; a tint of its own tells a thing from paper at far smaller
//! differences.

use super::cells::Cells;
use super::small::{Difference, brightness, part};
use pixels::{Image, Rgb};
use rayon::prelude::*;

/// How many times tint counts where it is as noisy as brightness, and at most: a smaller difference tells more.
const TINT: f32 = 1.5;
const MOST: f32 = 2.5;
/// Cells between those that noise is seen by: where files are compressed, colour is even over blocks up to sixteen pixels wide, and each
/// block has its own.
const FAR: usize = 16;
/// What half of all values of a normal distribution do not exceed, as a share of the deviation of one from the mean of two others.
const MIDDLE: f32 = 0.551;
/// What this share of the noise does not exceed, and what deviation it stands for: a few blocks may have a tint of their own.
const RARE: (f64, f32) = (0.98, 0.36);
/// What differs as much is no noise.
const NO_NOISE: f32 = 0.03;

/// How colours are compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tinted {
    paper: [f32; 3],
    times: f32,
    noise: Difference,
}

impl Tinted {
    /// For a paper of this evened colour, by the noise of an evened picture along its frame, where paper is.
    pub(super) fn of(paper: [f32; 3], raw: &Image<Rgb>) -> Self {
        let plain = Self { paper: paper.map(|v| v.max(1e-3)), times: 1.0, noise: Difference::default() };
        let grid = Cells { width: raw.width(), height: raw.height() };
        let all = plain.colours(raw);
        let first = (0..grid.count()).filter(|i| grid.is_rim(*i) && grid.at(*i).0 + 2 * FAR < grid.width);
        // Against the mean of both sides, so that the light's falling off does not count.
        let away = |i: usize| {
            let [a, b, c] = [all[i], all[i + FAR], all[i + 2 * FAR]];
            Difference::of(b, [0, 1, 2].map(|k| (a[k] + c[k]) / 2.0))
        };
        let away: Vec<Difference> = first.map(away).collect();
        let light = deviation(away.iter().map(|d| d.light));
        let tint = deviation(away.iter().map(|d| d.tint)).max(RARE.1 * rare(away.iter().map(|d| d.tint)));
        let times = (TINT * light / tint.max(1e-4)).clamp(1.0, MOST);
        let noise = Difference { light: MIDDLE * light, tint: MIDDLE * times * tint };
        Self { times, noise, ..plain }
    }

    /// The least noise of a cell: what half of the paper's cells do not differ by may be nothing, where files are compressed.
    pub(super) const fn noise(&self) -> Difference {
        self.noise
    }

    /// How many times tint counts.
    pub(super) const fn times(&self) -> f32 {
        self.times
    }

    pub(super) fn colours(&self, even: &Image<Rgb>) -> Vec<[f32; 3]> {
        let one = |p: &Rgb| {
            let share: [f32; 3] = std::array::from_fn(|c| p.0[c] / self.paper[c]);
            let light = brightness(share);
            share.map(|v| light + self.times * (v - light))
        };
        even.pixels().par_iter().map(one).collect()
    }

    /// Back to evened light.
    pub(super) fn back(&self, colour: [f32; 3]) -> [f32; 3] {
        let light = brightness(colour);
        std::array::from_fn(|c| (light + (colour[c] - light) / self.times).max(0.0) * self.paper[c])
    }
}

/// Of what may be noise.
fn deviation(differences: impl Iterator<Item = f32>) -> f32 {
    let noise = differences.filter(|d| *d < NO_NOISE);
    let (sum, count) = noise.fold((0.0f64, 0.0), |(sum, n), d| (sum + f64::from(d * d), n + 1.0));
    (sum / f64::max(count, 1.0)).sqrt() as f32
}

/// What few of those that may be noise exceed.
fn rare(differences: impl Iterator<Item = f32>) -> f32 {
    let mut noise: Vec<f32> = differences.filter(|d| *d < NO_NOISE).collect();
    part(&mut noise, RARE.0).unwrap_or(0.0)
}
