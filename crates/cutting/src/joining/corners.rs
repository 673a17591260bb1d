//! Places that can be told from those around them: where grey changes in two directions (Shi and Tomasi 1994).

use super::grey::Grey;
use rayon::prelude::*;

/// Half the side of the square that is looked at around a place.
const HALF: usize = 3;
/// Side of a cell, and how many corners it may have: so that they are spread over the shot.
const CELL: usize = 32;
const IN_A_CELL: usize = 6;
/// Least distance between two.
const APART: usize = 4;
/// Least strength: absolute, and in times of what a quarter of the shot does not exceed, which is noise.
const LEAST: f32 = 2e-6;
const OVER_NOISE: f32 = 8.0;

/// Where they are, of all within a margin that `counts` says count; column and row.
pub(super) fn corners(
    grey: &Grey,
    margin: usize,
    counts: impl Fn(usize, usize) -> bool + Sync,
) -> Vec<(usize, usize)> {
    let margin = margin.max(HALF + 1);
    if grey.width <= 2 * margin || grey.height <= 2 * margin {
        return Vec::new();
    }
    let (w, h) = (grey.width, grey.height);
    let rows: Vec<usize> = (margin..h - margin).collect();
    let strengths: Vec<Vec<f32>> = rows.par_iter().map(|y| strengths(grey, *y, margin)).collect();
    let at = |x: usize, y: usize| strengths[y - margin][x - margin];
    let mut all: Vec<f32> = strengths.iter().flatten().copied().step_by(7).collect();
    let quarter = all.len() / 4;
    let noise = *all.select_nth_unstable_by(quarter, f32::total_cmp).1;
    let least = (OVER_NOISE * noise).max(LEAST);
    let cells: Vec<(usize, usize)> = (margin..h - margin)
        .step_by(CELL)
        .flat_map(|y| (margin..w - margin).step_by(CELL).map(move |x| (x, y)))
        .collect();
    let found = cells.par_iter().flat_map_iter(|(x0, y0)| {
        let mut here: Vec<(usize, usize)> = (*y0..(y0 + CELL).min(h - margin))
            .flat_map(|y| (*x0..(x0 + CELL).min(w - margin)).map(move |x| (x, y)))
            .filter(|(x, y)| at(*x, *y) >= least && counts(*x, *y))
            .collect();
        here.sort_by(|a, b| at(b.0, b.1).total_cmp(&at(a.0, a.1)).then(a.cmp(b)));
        let mut kept: Vec<(usize, usize)> = Vec::new();
        for (x, y) in here {
            if kept.len() == IN_A_CELL {
                break;
            }
            if kept.iter().all(|k| k.0.abs_diff(x).max(k.1.abs_diff(y)) >= APART) {
                kept.push((x, y));
            }
        }
        kept
    });
    found.collect()
}

/// The lesser eigenvalue of the mean of squared slopes around each pixel of a row.
fn strengths(grey: &Grey, y: usize, margin: usize) -> Vec<f32> {
    let (from, to) = (margin - HALF, grey.width - margin + HALF);
    // Sums down the columns, then along the row.
    let columns: Vec<[f32; 3]> = (from..to)
        .map(|x| {
            (y - HALF..=y + HALF).fold([0.0; 3], |[a, b, c], v| {
                let (gx, gy) = grey.slope(x, v);
                [a + gx * gx, b + gx * gy, c + gy * gy]
            })
        })
        .collect();
    let count = ((2 * HALF + 1) * (2 * HALF + 1)) as f32;
    columns
        .windows(2 * HALF + 1)
        .map(|w| {
            let [a, b, c] = w.iter().fold([0.0; 3], |s, v| [s[0] + v[0], s[1] + v[1], s[2] + v[2]]);
            (0.5 * (a + c - ((a - c) * (a - c) + 4.0 * b * b).sqrt()) / count).max(0.0)
        })
        .collect()
}
