//! The paper's colour everywhere, as a smooth field: where it is seen, as it is seen, shadows included; elsewhere carried on.
//!
//! In squares of a few cells the middle of what is seen of the paper; between and under the thing by pull and push over a pyramid (Gortler,
//! Grzeszczuk, Szeliski, Cohen 1996, section 3.4).

use super::cells::Cells;
use super::small::part;
use rayon::prelude::*;

/// Cells along a square's side, and the least share of them that must be paper for it to be seen there.
const SQUARE: usize = 8;
const LEAST: f32 = 0.1;

/// Colour and weight.
type Known = [f32; 4];

/// Of each cell the paper's colour, from cells that are paper alone.
pub(super) fn field(
    cells: Cells,
    colours: &[[f32; 3]],
    is_paper: impl Fn(usize) -> bool + Sync,
) -> Vec<[f32; 3]> {
    let squares = Cells { width: cells.width.div_ceil(SQUARE), height: cells.height.div_ceil(SQUARE) };
    let known = |s: usize| -> Known {
        let (sx, sy) = squares.at(s);
        let (x1, y1) = ((sx * SQUARE + SQUARE).min(cells.width), (sy * SQUARE + SQUARE).min(cells.height));
        let here = (sy * SQUARE..y1).flat_map(|y| (sx * SQUARE..x1).map(move |x| y * cells.width + x));
        let seen: Vec<usize> = here.filter(|i| is_paper(*i)).collect();
        if (seen.len() as f32) < LEAST * (SQUARE * SQUARE) as f32 {
            return [0.0; 4];
        }
        let middle = |c: usize| {
            let mut values: Vec<f32> = seen.iter().map(|i| colours[*i][c]).collect();
            part(&mut values, 0.5).unwrap_or(0.0)
        };
        [middle(0), middle(1), middle(2), 1.0]
    };
    let coarse: Vec<Known> = (0..squares.count()).into_par_iter().map(known).collect();
    let coarse = filled(squares, evened(squares, &coarse));
    let at = |i: usize| {
        let (x, y) = cells.at(i);
        let [r, g, b, _] = between(squares, &coarse, (x, y), SQUARE);
        [r, g, b]
    };
    (0..cells.count()).into_par_iter().map(at).collect()
}

/// Each square's mean with its neighbours', so that noise is less; what is not known stays so.
fn evened(cells: Cells, known: &[Known]) -> Vec<Known> {
    let mean = |i: usize| {
        if known[i][3] == 0.0 {
            return known[i];
        }
        let mut sum = known[i].map(|v| 2.0 * v);
        for j in cells.beside(i) {
            (0..4).for_each(|c| sum[c] += known[j][c]);
        }
        [sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3], 1.0]
    };
    (0..known.len()).map(mean).collect()
}

/// Fills what is not known from what is: pull (means of four), then push (what lacks weight is mixed with the coarser level).
fn filled(cells: Cells, mut fine: Vec<Known>) -> Vec<Known> {
    if cells.count() <= 1 || fine.iter().all(|p| p[3] >= 1.0) {
        return fine;
    }
    let half = Cells { width: cells.width.div_ceil(2), height: cells.height.div_ceil(2) };
    let mut coarse = vec![[0.0f32; 4]; half.count()];
    for (i, p) in fine.iter().enumerate() {
        let (x, y) = cells.at(i);
        let sum = &mut coarse[y / 2 * half.width + x / 2];
        (0..4).for_each(|c| sum[c] += p[c]);
    }
    for p in &mut coarse {
        if p[3] > 1.0 {
            *p = p.map(|v| v / p[3]);
        }
    }
    let coarse = filled(half, coarse);
    for (i, p) in fine.iter_mut().enumerate() {
        let lacks = 1.0 - p[3];
        if lacks > 0.0 {
            let below = between(half, &coarse, cells.at(i), 2);
            (0..4).for_each(|c| p[c] += lacks * below[c]);
        }
    }
    fine
}

/// A coarse field at a fine cell: bilinear, the border repeated.
fn between(cells: Cells, coarse: &[Known], (x, y): (usize, usize), step: usize) -> Known {
    let axis = |v: usize, count: usize| {
        let t = ((v as f32 + 0.5) / step as f32 - 0.5).clamp(0.0, count as f32 - 1.0);
        let i = t as usize;
        (i, (i + 1).min(count - 1), t - i as f32)
    };
    let ((x0, x1, fx), (y0, y1, fy)) = (axis(x, cells.width), axis(y, cells.height));
    let at = |x: usize, y: usize| &coarse[y * cells.width + x];
    let (a, b, c, d) = (at(x0, y0), at(x1, y0), at(x0, y1), at(x1, y1));
    std::array::from_fn(|k| {
        let top = a[k] + (b[k] - a[k]) * fx;
        let low = c[k] + (d[k] - c[k]) * fx;
        top + (low - top) * fy
    })
}
