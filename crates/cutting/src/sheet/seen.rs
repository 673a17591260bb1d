//! A shot before paper as it is looked at: small, in shares of the paper's colour, with the paper's colour and the noise everywhere.

use super::cells::Cells;
use super::field::field;
use super::reach;
use super::small::{self, Difference};
use super::tinted::Tinted;
use crate::even;
use pixels::{Budget, Image, OverBudget, Rgb};
use rayon::prelude::*;

/// Of the light that colours are compared in.
const POWER: f64 = 1.6;
/// Cells to each side that noise is averaged over.
const CALM: i64 = 2;

/// What is seen of a shot.
pub(super) struct Seen {
    pub(super) grid: Cells,
    /// Each cell's colour, and means of three by three.
    pub(super) raw: Vec<[f32; 3]>,
    pub(super) near: Vec<[f32; 3]>,
    /// The paper's colour.
    pub(super) colour: Vec<[f32; 3]>,
    /// What half of the paper's cells do not differ from it by; and half of the means of three by three.
    pub(super) noise: Vec<Difference>,
    pub(super) blotches: Vec<Difference>,
    tinted: Tinted,
}

impl Seen {
    /// Of a shot made small, and where the paper reaches in it; or the share of the frame that is paper, where that is too little.
    pub(super) fn of(
        light: &Image<Rgb>,
        budget: &Budget,
    ) -> Result<Result<(Self, Vec<bool>), f64>, OverBudget> {
        let raw = even::image(light, POWER, budget)?;
        let soft = even::in_place(small::calm(light, CALM, budget)?, POWER);
        let near = even::in_place(small::calm(light, 1, budget)?, POWER);
        let grid = Cells { width: raw.width(), height: raw.height() };
        let Some(rim) = reach::colour(&soft) else { return Ok(Err(0.0)) };
        let tinted = Tinted::of(rim, &raw);
        let [raw, soft, near] = [&raw, &soft, &near].map(|image| tinted.colours(image));
        let paper = match reach::reach(grid, &soft, Some(&near), tinted.times()) {
            Ok(paper) => paper,
            Err(share) => return Ok(Err(share)),
        };
        // Calmed colours near the thing have some of it in them.
        let from_thing = grid.distances(|i| !paper[i]);
        let is_alone = |i: usize| from_thing[i] > CALM as u32;
        let colour = field(grid, &raw, is_alone, budget)?;
        let noise_of = |colours: &[[f32; 3]], least: Difference| -> Result<Vec<Difference>, OverBudget> {
            let away = |(r, c): (&[f32; 3], &[f32; 3])| {
                let away = Difference::of(*r, *c);
                [away.light, away.tint, 0.0]
            };
            let away: Vec<[f32; 3]> = colours.par_iter().zip(&colour).map(away).collect();
            let noise = field(grid, &away, is_alone, budget)?;
            let all = noise.iter();
            Ok(all.map(|n| Difference { light: n[0].max(least.light), tint: n[1].max(least.tint) }).collect())
        };
        let least = tinted.noise();
        let noise = noise_of(&raw, least)?;
        // Tint is even over whole blocks, and no less in the mean.
        let blotches = noise_of(&near, Difference { light: 0.0, ..least })?;
        Ok(Ok((Self { grid, raw, near, colour, noise, blotches, tinted }, paper)))
    }

    /// How much a cell differs from the paper, and the mean of three by three around it.
    pub(super) fn away(&self, i: usize) -> Difference {
        Difference::of(self.raw[i], self.colour[i])
    }

    pub(super) fn near_away(&self, i: usize) -> Difference {
        Difference::of(self.near[i], self.colour[i])
    }

    /// How many times tint counts.
    pub(super) const fn times(&self) -> f32 {
        self.tinted.times()
    }

    /// The paper's colour in linear light.
    pub(super) fn paper(&self, i: usize) -> Rgb {
        self.linear(self.colour[i])
    }

    /// A colour in linear light.
    pub(super) fn linear(&self, colour: [f32; 3]) -> Rgb {
        Rgb(self.tinted.back(colour).map(|v| even::back(v, POWER)))
    }
}
