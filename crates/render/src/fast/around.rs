//! The light around every pixel, as halation and sharpness look at it: a Gaussian mean.
//!
//! A wide Gaussian leaves nothing that a coarser grid cannot hold: there the picture's cells are averaged, spread with the rest of
//! the width, and enlarged by a cubic spline. The variances of the three add up to the Gaussian's. The grid is anchored to the
//! picture's origin.

use super::{Job, threads};
use crate::Error;
use crate::plain::toning as defined;
use pixels::kernel::filter::Filter;
use pixels::kernel::gauss;
use pixels::kernel::resample::{Along, Edge, Resampler, Room};
use pixels::{Image, Rgb};
use std::sync::{Mutex, PoisonError};
use units::PxRect;

/// Coarse pixels to a standard deviation, at least: then what the cells and the spline do to its shape is too little to see.
const WIDE: f64 = 5.0;
/// Rows that a thread makes at a time.
const ROWS: usize = 16;
/// Coarse pixels that the spline looks at beyond a pixel's own.
const SPLINE: i64 = 2;

/// Picture pixels to a coarse one.
fn coarseness(sigma: f64) -> i64 {
    ((sigma / WIDE) as i64).max(1)
}

/// What is left of the width, in coarse pixels, beside cells k wide (variance (1 - 1/k²)/12) and the spline (1/3).
fn rest(sigma: f64, k: i64) -> f64 {
    let k = k as f64;
    ((sigma / k).powi(2) - (1.0 - 1.0 / (k * k)) / 12.0 - 1.0 / 3.0).sqrt()
}

/// How many pixels away a pixel counts.
pub(super) fn reach(sigma: f64) -> i64 {
    match coarseness(sigma) {
        1 => defined::gauss_reach(sigma),
        // To the far end of the last cell.
        k => (defined::gauss_reach(rest(sigma, k)) + SPLINE + 1) * k,
    }
}

/// The means around the pixels of a picture, handed out part by part.
pub(super) enum Around {
    /// Spread across; what is handed out is spread down.
    Fine { across: Image<Rgb>, weights: Vec<f32> },
    /// Spread on a coarse grid; what is handed out is enlarged.
    Coarse { wide: Image<Rgb>, up: Box<Resampler> },
}

impl Around {
    /// For the part `place` of a picture. Beyond the picture's border the border goes on.
    pub(super) fn new(job: &Job<'_>, picture: &Image<Rgb>, sigma: f64, place: PxRect) -> Result<Self, Error> {
        let k = coarseness(sigma);
        if k == 1 {
            let weights = weights(sigma);
            let across = across(job, picture, &weights, place)?;
            return Ok(Self::Fine { across, weights });
        }
        let grid = picture.place().coarser(k);
        let cells = made(job, grid, &|part, out| cells(picture, k, part, out))?;
        let weights = weights(rest(sigma, k));
        let across = across(job, &cells, &weights, grid)?;
        let wide = made(job, grid, &|part, out| down(&across, &weights, part, out))?;
        let up = Along { scale: 1.0 / k as f64, offset: 0.0 };
        let up = Box::new(Resampler::new(Filter::Spline, up, up, Edge::Repeat, grid, place));
        Ok(Self::Coarse { wide, up })
    }

    /// The means around the pixels of a part of that place, row after row.
    pub(super) fn part(&self, part: PxRect, out: &mut [Rgb]) {
        match self {
            Self::Fine { across, weights } => down(across, weights, part, out),
            Self::Coarse { wide, up } => up.part(wide, part, &mut Room::default(), out),
        }
    }
}

fn weights(sigma: f64) -> Vec<f32> {
    defined::gauss_weights(sigma).into_iter().map(|w| w as f32).collect()
}

/// The picture spread across, as far as the part `place` of it spread both ways looks at it.
fn across(job: &Job<'_>, picture: &Image<Rgb>, weights: &[f32], place: PxRect) -> Result<Image<Rgb>, Error> {
    let n = (weights.len() / 2) as i64;
    let rows = PxRect::new(place.x0(), place.y0() - n, place.x1(), place.y1() + n).intersect(picture.place());
    made(job, rows, &|part, out| {
        for (y, out) in (part.y0()..).zip(out.chunks_exact_mut(part.width())) {
            gauss::across(picture, weights, (part.x0(), y), out);
        }
    })
}

fn down(across: &Image<Rgb>, weights: &[f32], part: PxRect, out: &mut [Rgb]) {
    for (y, out) in (part.y0()..).zip(out.chunks_exact_mut(part.width())) {
        gauss::down(across, weights, (part.x0(), y), out);
    }
}

/// The means over cells of k x k pixels, of those that the picture has.
fn cells(picture: &Image<Rgb>, k: i64, part: PxRect, out: &mut [Rgb]) {
    let place = picture.place();
    for (cy, out) in (part.y0()..).zip(out.chunks_exact_mut(part.width())) {
        let rows = (cy * k).max(place.y0())..((cy + 1) * k).min(place.y1());
        out.fill(Rgb::default());
        for y in rows.clone() {
            let row = picture.row(y);
            for (cx, o) in (part.x0()..).zip(&mut *out) {
                let columns = (cx * k).max(place.x0())..((cx + 1) * k).min(place.x1());
                for p in &row[(columns.start - place.x0()) as usize..(columns.end - place.x0()) as usize] {
                    (0..3).for_each(|c| o.0[c] += p.0[c]);
                }
            }
        }
        for (cx, o) in (part.x0()..).zip(out) {
            let columns = ((cx + 1) * k).min(place.x1()) - (cx * k).max(place.x0());
            let share = 1.0 / (columns * (rows.end - rows.start)) as f32;
            o.0 = o.0.map(|v| v * share);
        }
    }
}

/// A picture whose slices of rows are made on all threads.
fn made(
    job: &Job<'_>,
    place: PxRect,
    make: &(dyn Fn(PxRect, &mut [Rgb]) + Sync),
) -> Result<Image<Rgb>, Error> {
    let mut out = Image::unset(place, job.budget)?;
    if place.is_empty() {
        return Ok(out);
    }
    let parts: Vec<PxRect> = place.slices(ROWS).collect();
    let rows: Vec<Mutex<&mut [Rgb]>> =
        out.pixels_mut().chunks_mut(place.width() * ROWS).map(Mutex::new).collect();
    threads::each(job.threads, parts.len(), &|i| {
        job.check()?;
        make(parts[i], &mut rows[i].lock().unwrap_or_else(PoisonError::into_inner));
        Ok(())
    })?;
    drop(rows);
    Ok(out)
}
