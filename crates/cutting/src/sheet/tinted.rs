//! Colours as they are compared with the paper's: as shares of it, and with tint as strong as its noise allows.
//!
//! Shadow and falling light change brightness alone, and most noise does; a tint of its own tells a thing from paper at far smaller
//! differences.

use super::small::{apart, brightness, part};
use pixels::{Image, Rgb};
use rayon::prelude::*;

/// How many times tint counts beside brightness at most.
const MOST: f32 = 4.0;

/// How colours are compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tinted {
    paper: [f32; 3],
    times: f32,
}

impl Tinted {
    /// For a paper of this evened colour, by the noise of an evened picture.
    pub(super) fn of(paper: [f32; 3], raw: &Image<Rgb>) -> Self {
        let plain = Self { paper: paper.map(|v| v.max(1e-3)), times: 1.0 };
        let all = plain.colours(raw);
        let (mut light, mut tint): (Vec<f32>, Vec<f32>) = all
            .chunks(raw.width().max(1))
            .flat_map(|row| row.windows(2))
            .map(|pair| {
                let (a, b) = (brightness(pair[0]), brightness(pair[1]));
                ((a - b).abs(), apart(pair[0].map(|v| v - a), pair[1].map(|v| v - b)))
            })
            .unzip();
        let noise = |v: &mut [f32]| part(v, 0.25).unwrap_or(0.0);
        Self { times: (noise(&mut light) / noise(&mut tint).max(1e-4)).clamp(1.0, MOST), ..plain }
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
