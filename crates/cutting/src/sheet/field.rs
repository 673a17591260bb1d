//! The paper's colour everywhere, as a smooth field: where it is seen, as it is seen, shadows included; elsewhere carried on.
//!
//! In squares of a few cells the middle of what is seen of the paper; between and under the thing it is carried on.

use super::cells::Cells;
use super::small::part;
use crate::carried;
use pixels::{Budget, Image, OverBudget, Rgba};
use rayon::prelude::*;
use units::PxRect;

/// Cells along a square's side, and the least share of them that must be paper for it to be seen there.
const SQUARE: usize = 8;
const LEAST: f32 = 0.1;

/// Of each cell the paper's colour, from cells that are paper alone.
///
/// # Errors
/// Where the budget does not hold it.
pub(super) fn field(
    cells: Cells,
    colours: &[[f32; 3]],
    is_paper: impl Fn(usize) -> bool + Sync,
    budget: &Budget,
) -> Result<Vec<[f32; 3]>, OverBudget> {
    let squares = Cells { width: cells.width.div_ceil(SQUARE), height: cells.height.div_ceil(SQUARE) };
    let known = |s: usize| {
        let (sx, sy) = squares.at(s);
        let (x1, y1) = ((sx * SQUARE + SQUARE).min(cells.width), (sy * SQUARE + SQUARE).min(cells.height));
        let here = (sy * SQUARE..y1).flat_map(|y| (sx * SQUARE..x1).map(move |x| y * cells.width + x));
        let seen: Vec<usize> = here.filter(|i| is_paper(*i)).collect();
        if (seen.len() as f32) < LEAST * (SQUARE * SQUARE) as f32 {
            return Rgba::default();
        }
        let middle = |c: usize| {
            let mut values: Vec<f32> = seen.iter().map(|i| colours[*i][c]).collect();
            part(&mut values, 0.5).unwrap_or(0.0)
        };
        Rgba([middle(0), middle(1), middle(2), 1.0])
    };
    let seen: Vec<Rgba> = (0..squares.count()).into_par_iter().map(known).collect();
    let mut known = Image::new(PxRect::new(0, 0, squares.width as i64, squares.height as i64), budget)?;
    known.pixels_mut().par_iter_mut().enumerate().for_each(|(i, k)| *k = evened(squares, &seen, i));
    let all = carried::fill(known, budget)?;
    let at = |i: usize| {
        let (x, y) = cells.at(i);
        let [r, g, b, _] = carried::at(&all, x as i64, y as i64, SQUARE as i64);
        [r, g, b]
    };
    Ok((0..cells.count()).into_par_iter().map(at).collect())
}

/// A square's mean with its neighbours', so that noise is less; what is not known stays so.
fn evened(squares: Cells, seen: &[Rgba], i: usize) -> Rgba {
    if seen[i].0[3] == 0.0 {
        return seen[i];
    }
    let mut sum = seen[i].0.map(|v| 2.0 * v);
    for j in squares.beside(i) {
        (0..4).for_each(|c| sum[c] += seen[j].0[c]);
    }
    Rgba([sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3], 1.0])
}
