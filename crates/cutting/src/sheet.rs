//! What is sure of a shot before a sheet of paper: by its colour, which changes slowly over the sheet, and by what hangs together.
//!
//! The most frequent even colour along the frame is the paper's. From where it is, the paper reaches as far as it goes on evenly: the light's
//! falling off, a tilt of the sheet and soft shadows included. So its colour is known all over the frame, as a smooth field, and
//! what shows that very colour in gaps of the thing is paper as well. What is not paper is the thing; a margin around its edge stays open,
//! wide where there is hair (own construction, no source).

mod cells;
mod depth;
mod doubts;
mod field;
mod gaps;
mod reach;
mod seen;
mod small;
mod strands;
mod things;
mod tinted;

use crate::matting::{Sure, Trimap};
use cells::Cells;
pub use doubts::Doubt;
use pixels::{Budget, Image, OverBudget, Rgb};
use rayon::prelude::*;
use seen::Seen;

/// Longest side of the picture that this is found in.
const SIDE: usize = 2000;
/// Margin towards the paper, in cells; and around strands, where fainter ones are.
const OUTWARDS: u32 = 3;
const AROUND_STRANDS: u32 = 8;
/// Cells that make a thing.
const FEWEST: usize = 8;
/// Why a shot's paper was not found.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum NotFound {
    /// No even colour takes up enough of the frame or of its border; the share.
    NoPaper(f64),
    /// There is nothing on it.
    NothingOnIt,
}

/// What was found before the paper.
#[derive(Debug)]
pub struct Found {
    /// What is sure of every pixel.
    pub trimap: Trimap,
    /// The paper's colour all over the shot, in linear light, smaller: each of its pixels stands for `step` by `step`.
    pub paper: Image<Rgb>,
    /// Pixels of the shot along a side of one of `paper`.
    pub step: i64,
    /// What is worth looking at.
    pub doubts: Vec<Doubt>,
}

/// Least share of the frame's left, upper and right border that is paper: a thing stands before it, and is not all around.
const LEAST_BORDER: f64 = 0.35;

fn free_border(grid: Cells, sure: &[Sure]) -> f64 {
    let border = (0..grid.count()).filter(|i| {
        let (x, y) = grid.at(*i);
        x == 0 || y == 0 || x + 1 == grid.width
    });
    let free = border.clone().filter(|i| sure[*i] == Sure::Outside).count();
    free as f64 / border.count().max(1) as f64
}

/// Bytes that a cell takes meanwhile.
const EACH: u64 = 120;

/// What is sure of every pixel of a shot, in linear light.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn found(picture: &Image<Rgb>, budget: &Budget) -> Result<Result<Found, NotFound>, OverBudget> {
    let step = picture.width().max(picture.height()).div_ceil(SIDE).max(1) as i64;
    let light = small::smaller(picture, step, budget)?;
    let _room = budget.take(light.place().area() as u64 * EACH)?;
    let (mut seen, mut paper) = match Seen::of(&light, budget)? {
        Ok(seen) => seen,
        Err(share) => return Ok(Err(NotFound::NoPaper(share))),
    };
    let grid = seen.grid;
    let strands = strands::take(&seen, &mut paper);
    let filled = gaps::open(&mut seen, &mut paper, budget)?;
    let rooms = things::rooms(grid, &mut paper);
    if paper.iter().filter(|is| !**is).count() < FEWEST {
        return Ok(Err(NotFound::NothingOnIt));
    }
    let to_thing = grid.distances(|i| !paper[i]);
    let to_strand = grid.distances(|i| strands[i] && !paper[i]);
    let inside = depth::Depth { seen: &seen, paper: &paper }.inside();
    let sure: Vec<Sure> = (0..grid.count())
        .map(|i| match () {
            () if to_thing[i] > OUTWARDS && to_strand[i] > AROUND_STRANDS => Sure::Outside,
            () if inside[i] => Sure::Inside,
            () => Sure::Between,
        })
        .collect();
    let place = picture.place();
    let share = free_border(grid, &sure);
    if share < LEAST_BORDER {
        return Ok(Err(NotFound::NoPaper(share)));
    }
    let doubts = doubts::Doubts { seen: &seen, paper: &paper, light: &light }.all(&filled, &rooms);
    let doubts = doubts.into_iter().map(|d| d.in_pixels(step, place)).collect();
    let trimap = Trimap::from_fn(place, |x, y| {
        let cell = |v: i64, from: i64| ((v - from) / step) as usize;
        sure[cell(y, place.y0()) * grid.width + cell(x, place.x0())]
    });
    let mut paper = Image::<Rgb>::new(light.place(), budget)?;
    paper.pixels_mut().par_iter_mut().enumerate().for_each(|(i, p)| *p = seen.paper(i));
    Ok(Ok(Found { trimap, paper, step, doubts }))
}

#[cfg(test)]
mod tests;
