//! Another shot as it lies over the first.

use super::Part;
use crate::even;
use pixels::kernel::filter::Filter;
use pixels::kernel::warp::{self, Table};
use pixels::{Budget, Buffer, Coverage, Image, OverBudget, Pixel, Rgb};
use rayon::prelude::*;
use units::{Mat3, PxRect};

/// Rows that a thread resamples at a time.
const ROWS: usize = 32;
/// Pixels from its border where a shot cannot be resampled.
const MARGIN: f64 = 3.0;
/// Of the light that colours are compared in: the eye's scale.
const POWER: f64 = 2.4;

/// A part of a shot, where the first shot has it.
pub(super) struct Laid {
    pub(super) colour: Image<Rgb>,
    pub(super) matte: Image<Coverage>,
    /// For each pixel what the shot has of it: [`NOTHING`], [`LIGHT`], or [`BLOWN`].
    pub(super) holds: Buffer<u8>,
}

/// The shot does not reach there.
pub(super) const NOTHING: u8 = 0;
/// It has its light.
pub(super) const LIGHT: u8 = 1;
/// It has it, but as bright as a sensor can tell, so that the light may have been more.
pub(super) const BLOWN: u8 = 2;

/// From where on light is as bright as a sensor can tell.
pub(super) const BRIGHT: f32 = 0.95;

impl Laid {
    /// What of the part's shot lies over a place of the first.
    pub(super) fn over(place: PxRect, part: &Part<'_>, budget: &Budget) -> Result<Self, OverBudget> {
        let to_shot = part.alignment.to_shot();
        let table = Table::new(Filter::Lanczos3);
        let mut colour = resampled(part.shot, &to_shot, &table, place, budget)?;
        let mut matte = resampled(part.matte, &to_shot, &table, place, budget)?;
        colour.samples_mut().par_iter_mut().for_each(|v| *v = v.max(0.0));
        matte.samples_mut().par_iter_mut().for_each(|v| *v = v.clamp(0.0, 1.0));
        let mut holds = budget.buffer::<u8>(place.area())?;
        let own = part.shot.place();
        let (left, right) = (own.x0() as f64 + MARGIN, own.x1() as f64 - MARGIN);
        let (top, low) = (own.y0() as f64 + MARGIN, own.y1() as f64 - MARGIN);
        holds.par_chunks_mut(place.width().max(1)).enumerate().for_each(|(j, row)| {
            let y = (place.y0() + j as i64) as f64 + 0.5;
            let light = colour.row(place.y0() + j as i64);
            for ((x, h), p) in (place.x0()..).zip(row).zip(light) {
                let there = to_shot.project(x as f64 + 0.5, y);
                let held = there.is_some_and(|(u, v)| u >= left && u < right && v >= top && v < low);
                *h = match () {
                    () if !held => NOTHING,
                    () if p.0.iter().any(|v| *v >= BRIGHT) => BLOWN,
                    () => LIGHT,
                };
            }
        });
        Ok(Self { colour, matte, holds })
    }

    /// Adds what the shot does not hold to what is kept; of what was drawn, its share.
    pub(super) fn without(&self, kept: &mut Image<Coverage>, taken: &Image<Coverage>) -> f64 {
        let (mut drawn, mut missing) = (0.0, 0.0);
        for ((k, t), h) in kept.samples_mut().iter_mut().zip(taken.samples()).zip(self.holds.iter()) {
            drawn += f64::from(*t);
            if *h == NOTHING {
                *k = 1.0;
                missing += f64::from(*t);
            }
        }
        if drawn > 0.0 { missing / drawn } else { 0.0 }
    }

    /// Brings it to the first shot's light.
    pub(super) fn brighten(&mut self, gain: [f64; 3]) {
        let gain = gain.map(|g| g as f32);
        self.colour.pixels_mut().par_iter_mut().for_each(|p| *p = Rgb([0, 1, 2].map(|c| p.0[c] * gain[c])));
    }

    /// Of each pixel the squared difference from the first shot: of colour, on the eye's scale and as far as it is covered, and of
    /// coverage.
    pub(super) fn differences(
        &self,
        (colour, matte): (&Image<Rgb>, &Image<Coverage>),
        budget: &Budget,
    ) -> Result<Image<Coverage>, OverBudget> {
        let place = self.colour.place();
        let first = even::in_place(colour.crop(place, budget)?, POWER);
        let other = even::image(&self.colour, POWER, budget)?;
        let mut out = Image::<Coverage>::new(place, budget)?;
        let width = place.width().max(1);
        out.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(j, row)| {
            let y = place.y0() + j as i64;
            let from = (place.x0() - matte.place().x0()) as usize;
            let a = first.row(y).iter().zip(&matte.row(y)[from..]);
            let b = other.row(y).iter().zip(self.matte.row(y));
            for (o, ((p, m), (q, n))) in row.iter_mut().zip(a.zip(b)) {
                let colours: f32 = (0..3).map(|c| (m.0 * p.0[c] - n.0 * q.0[c]).powi(2)).sum();
                o.0 = colours / 3.0 + (m.0 - n.0) * (m.0 - n.0);
            }
        });
        Ok(out)
    }
}

/// On all threads, slice by slice.
fn resampled<P: Pixel>(
    shot: &Image<P>,
    to_shot: &Mat3,
    table: &Table,
    place: PxRect,
    budget: &Budget,
) -> Result<Image<P>, OverBudget> {
    let mut out = Image::<P>::new(place, budget)?;
    let slices: Vec<PxRect> = place.slices(ROWS).collect();
    let width = place.width().max(1);
    out.pixels_mut().par_chunks_mut(ROWS * width).zip(slices).try_for_each(|(rows, slice)| {
        let part = warp::run(shot, to_shot, table, slice, budget)?;
        rows.copy_from_slice(part.pixels());
        Ok(())
    })?;
    Ok(out)
}
