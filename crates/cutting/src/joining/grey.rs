//! A shot in grey, at its own size and halved again and again: what alignment looks at.

use pixels::{Budget, Buffer, Image, OverBudget, Rgb};
use rayon::prelude::*;

/// Grey from 0 to 1, row by row; a shot's corner is its origin, and the first pixel's middle at (0.5, 0.5).
pub(super) struct Grey {
    pub(super) width: usize,
    pub(super) height: usize,
    samples: Buffer,
}

impl Grey {
    /// The square root of the mean light, so that noise is about even.
    pub(super) fn of(shot: &Image<Rgb>, budget: &Budget) -> Result<Self, OverBudget> {
        let mut samples = budget.buffer::<f32>(shot.place().area())?;
        let runs =
            samples.par_chunks_mut(shot.width().max(1)).zip(shot.pixels().par_chunks(shot.width().max(1)));
        runs.for_each(|(out, row)| {
            for (o, Rgb([r, g, b])) in out.iter_mut().zip(row) {
                *o = ((r + g + b) / 3.0).clamp(0.0, 1.0).sqrt();
            }
        });
        Ok(Self { width: shot.width(), height: shot.height(), samples })
    }

    /// At half the size: means of four, an odd last row or column left out.
    pub(super) fn halved(&self, budget: &Budget) -> Result<Self, OverBudget> {
        let (width, height) = (self.width / 2, self.height / 2);
        let mut samples = budget.buffer::<f32>(width * height)?;
        samples.par_chunks_mut(width.max(1)).enumerate().for_each(|(y, out)| {
            let (a, b) = (self.row(2 * y), self.row(2 * y + 1));
            for (x, o) in out.iter_mut().enumerate() {
                *o = (a[2 * x] + a[2 * x + 1] + b[2 * x] + b[2 * x + 1]) / 4.0;
            }
        });
        Ok(Self { width, height, samples })
    }

    pub(super) fn row(&self, y: usize) -> &[f32] {
        &self.samples[y * self.width..(y + 1) * self.width]
    }

    /// By how much it changes from pixel to pixel, across and down; not at the border.
    pub(super) fn slope(&self, x: usize, y: usize) -> (f32, f32) {
        let i = y * self.width + x;
        let s = &self.samples;
        ((s[i + 1] - s[i - 1]) / 2.0, (s[i + self.width] - s[i - self.width]) / 2.0)
    }

    /// Whether a square of this radius around a point, and a margin of two, lies within.
    pub(super) fn holds(&self, (x, y): (f64, f64), radius: usize) -> bool {
        let reach = radius as f64 + 3.0;
        x >= reach && y >= reach && x < self.width as f64 - reach && y < self.height as f64 - reach
    }

    /// At a point, by the interpolating cubic of Catmull and Rom 1974; at least two pixels from the border.
    pub(super) fn at(&self, x: f64, y: f64) -> f32 {
        let (u, v) = (x - 0.5, y - 0.5);
        let (i, j) = (u.floor(), v.floor());
        let (across, down) = (cubic((u - i) as f32), cubic((v - j) as f32));
        let (i, j) = (i as usize - 1, j as usize - 1);
        (0..4)
            .map(|k| {
                let row = &self.samples[(j + k) * self.width + i..][..4];
                down[k] * (row[0] * across[0] + row[1] * across[1] + row[2] * across[2] + row[3] * across[3])
            })
            .sum()
    }
}

fn cubic(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [-0.5 * t3 + t2 - 0.5 * t, 1.5 * t3 - 2.5 * t2 + 1.0, -1.5 * t3 + 2.0 * t2 + 0.5 * t, 0.5 * t3 - 0.5 * t2]
}

/// A shot in grey, each level half the size of the one before, down to where no side is longer than `side`.
pub(super) fn levels(shot: &Image<Rgb>, side: usize, budget: &Budget) -> Result<Vec<Grey>, OverBudget> {
    let mut all = vec![Grey::of(shot, budget)?];
    while let Some(last) = all.last()
        && last.width.max(last.height) > side
        && last.width.min(last.height) > 1
    {
        let next = last.halved(budget)?;
        all.push(next);
    }
    Ok(all)
}
