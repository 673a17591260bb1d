//! How far the paper reaches evenly from the frame's rim.

use super::cells::Cells;
use super::small::{apart, brightness, part};
use pixels::{Image, Rgb};
use rayon::prelude::*;
use std::collections::VecDeque;

/// How far neighbours on the paper differ at most, in evened light from 0 to 1; and how many times what a quarter of all neighbours do
/// not exceed, for noise.
const EVEN: f32 = 0.008;
const NOISE: f32 = 6.0;
/// What differs more from pixel to pixel is no paper, whatever the noise.
const UNEVEN: f32 = 0.04;
/// By how much the paper's hue and whiteness may change over the sheet: the distance of colours brought to the same brightness.
const TINT: f32 = 0.03;
/// And by how much more in deep shadow, for what is lost below a share of the brightness: other light reaches into them, and the sheet's own.
const SHADE_TINT: f32 = 0.35;
const DEEP: f32 = 0.6;
/// How high an edge is over three cells, at least, and what share of the step over nine that is, at least: a shadow's is wider. And how far
/// it reaches.
const EDGE: f32 = 0.03;
const SHARP: f32 = 0.6;
const BY_EDGE: u32 = 4;
/// Cells from the border of what is narrow to its middle, at most.
const NARROW: u32 = 12;
/// Darkest and brightest share of the most frequent brightness, in evened light: the paper's, with its shadows.
const DARKEST: f32 = 0.22;
const BRIGHTEST: f32 = 2.8;
/// Colours along the frame that are tried, and cells of the shorter side that they are tried in.
const CANDIDATES: usize = 6;
const FEW: usize = 200;
/// Least share of the frame that is paper.
const LEAST: f64 = 0.05;

/// The paper's colour in a calmed picture in evened light: of the most frequent even ones along the frame, the one that
/// reaches farthest, within the frame and along its border: a smooth thing may fill more of the frame, and a wall beside the paper more
/// of its border, but hardly both.
pub(super) fn colour(soft: &Image<Rgb>) -> Option<[f32; 3]> {
    let grid = Cells { width: soft.width(), height: soft.height() };
    let all = soft.pixels();
    let step = even_step(
        soft.pixels().chunks(grid.width.max(1)).flat_map(|row| row.windows(2).map(|p| apart(p[0].0, p[1].0))),
    );
    let is_even = |i: &usize| grid.beside(*i).all(|j| apart(all[*i].0, all[j].0) < step);
    let rim = (0..grid.count()).filter(|i| grid.is_rim(*i)).filter(is_even).map(|i| all[i].0);
    // How far each reaches is seen well enough in few cells.
    let every = (grid.width.min(grid.height) / FEW).max(1);
    let few = Cells { width: grid.width.div_ceil(every), height: grid.height.div_ceil(every) };
    let reached = |paper: &[f32; 3]| {
        let share = |i: usize| {
            let (x, y) = few.at(i);
            let own = all[y * every * grid.width + x * every].0;
            std::array::from_fn(|c| own[c] / paper[c].max(1e-3))
        };
        let small: Vec<[f32; 3]> = (0..few.count()).map(share).collect();
        reach(few, &small, None, 1.0).map_or(0, |found| {
            let reached = (0..few.count()).filter(|i| found[*i]);
            let border = reached.clone().filter(|i| {
                let (x, y) = few.at(*i);
                x.min(few.width - 1 - x).min(y.min(few.height - 1 - y)) == 0
            });
            border.count() * reached.count()
        })
    };
    most_frequent(rim).into_iter().rev().max_by_key(reached)
}

fn even_step(steps: impl Iterator<Item = f32>) -> f32 {
    let mut steps: Vec<f32> = steps.collect();
    (NOISE * part(&mut steps, 0.25).unwrap_or(0.0)).clamp(EVEN, UNEVEN)
}

/// Where the paper is, of calmed colours in which it is 1 and tint counts so many times; or the share of the frame that it
/// takes up, where that is too little. `near` are colours that are calmed less: what lies by an edge there is reached from beside it alone, so
/// that no narrow gap leads into a thing that is nearly as light as the paper.
pub(super) fn reach(
    grid: Cells,
    soft: &[[f32; 3]],
    near: Option<&[[f32; 3]]>,
    times: f32,
) -> Result<Vec<bool>, f64> {
    let all = soft;
    let even_step =
        even_step(all.chunks(grid.width.max(1)).flat_map(|row| row.windows(2).map(|p| apart(p[0], p[1]))));
    let is_even = |i: usize| grid.beside(i).all(|j| apart(all[i], all[j]) < even_step);
    let rim = (0..grid.count()).filter(|i| grid.is_rim(*i) && is_even(*i));
    let is_like = |p: [f32; 3]| {
        let share = brightness(p);
        let tint = TINT + SHADE_TINT * (DEEP - share).max(0.0);
        (DARKEST..BRIGHTEST).contains(&share) && apart(p.map(|v| v / share), [1.0; 3]) < tint * times
    };
    // Deep shadow is smooth; a dark thing's soft edge is not.
    let even = |p: [f32; 3]| (brightness(p) / DEEP).clamp(0.8, 1.0);
    let by_edge = near.map_or_else(|| vec![false; all.len()], |near| by_edge(grid, near));
    let goes_on = |i: usize, j: usize| apart(all[i], all[j]) < even_step * even(all[j]) && is_like(all[j]);
    let mut found = vec![false; all.len()];
    let next: VecDeque<usize> =
        rim.filter(|i| !by_edge[*i] && apart(all[*i], [1.0; 3]) < 2.0 * even_step).collect();
    flood(grid, &mut found, next, |i, j| !by_edge[j] && goes_on(i, j));
    let at_edge = |found: &[bool]| -> VecDeque<usize> {
        (0..all.len()).filter(|i| found[*i] && grid.beside(*i).any(|j| !found[j])).collect()
    };
    for _ in 0..2 * BY_EDGE {
        let front = at_edge(&found);
        for i in front {
            for j in grid.beside(i) {
                found[j] |= goes_on(i, j);
            }
        }
    }
    if near.is_some() {
        let mut beyond = found.clone();
        flood(grid, &mut beyond, at_edge(&found), goes_on);
        join(grid, &mut found, &beyond);
    }
    let share = found.iter().filter(|f| **f).count() as f64 / all.len().max(1) as f64;
    if share < LEAST { Err(share) } else { Ok(found) }
}

/// Goes on from some cells to those beside them, as long as it may.
fn flood(grid: Cells, found: &mut [bool], mut next: VecDeque<usize>, goes_on: impl Fn(usize, usize) -> bool) {
    next.iter().for_each(|i| found[*i] = true);
    while let Some(i) = next.pop_front() {
        for j in grid.beside(i) {
            if !found[j] && goes_on(i, j) {
                found[j] = true;
                next.push_back(j);
            }
        }
    }
}

/// Joins to the paper what lies beyond narrow gaps and is narrow itself, as between strands. What is wide is the thing's, nearly as light as
/// the paper; or it is found as a gap.
fn join(grid: Cells, found: &mut [bool], beyond: &[bool]) {
    let (numbers, patches) = grid.patches(|i| beyond[i] && !found[i]);
    let deep = grid.distances(|i| numbers[i] == 0);
    let mut wide = vec![false; patches.len()];
    for (n, deep) in numbers.iter().zip(&deep).filter(|(n, _)| **n > 0) {
        wide[*n as usize - 1] |= *deep > NARROW;
    }
    found.iter_mut().zip(&numbers).for_each(|(is, n)| *is |= *n > 0 && !wide[*n as usize - 1]);
}

/// What lies within a few cells of an edge: of a step over three cells that no even paper has.
fn by_edge(grid: Cells, near: &[[f32; 3]]) -> Vec<bool> {
    // Along a row, or a column: over three cells, and as far again to each side.
    let steps = |(at, count, stride): (usize, usize, usize), i: usize| {
        let to = |far: isize| i + at.saturating_add_signed(far).min(count - 1) * stride - at * stride;
        (apart(near[i], near[to(3)]), apart(near[to(-3)], near[to(6)]))
    };
    let sharp = |(step, wide): (f32, f32)| if step > SHARP * wide { step } else { 0.0 };
    let both = |i: usize| {
        let (x, y) = grid.at(i);
        [steps((x, grid.width, 1), i), steps((y, grid.height, grid.width), i)]
    };
    let all: Vec<[(f32, f32); 2]> = (0..grid.count()).into_par_iter().map(both).collect();
    let mut sizes: Vec<f32> = all.iter().map(|[x, y]| x.0.max(y.0)).collect();
    let edge = (NOISE * part(&mut sizes, 0.25).unwrap_or(0.0)).max(EDGE);
    let is_edge = |i: usize| all[i].into_iter().map(sharp).any(|step| step > edge);
    // It lies between the first of four cells and the last.
    let from = grid.distances(is_edge);
    from.into_par_iter().map(|d| d <= BY_EDGE).collect()
}

/// The mean colours of the fullest of cells a sixteenth wide, the fullest first.
fn most_frequent(colours: impl Iterator<Item = [f32; 3]>) -> Vec<[f32; 3]> {
    const CELLS: usize = 16;
    let mut cells = vec![([0.0f64; 3], 0.0f64); CELLS * CELLS * CELLS];
    for p in colours {
        let [r, g, b] = p.map(|v| ((v * CELLS as f32) as usize).min(CELLS - 1));
        let cell = &mut cells[(r * CELLS + g) * CELLS + b];
        (0..3).for_each(|c| cell.0[c] += f64::from(p[c]));
        cell.1 += 1.0;
    }
    cells.retain(|cell| cell.1 > 0.0);
    cells.sort_by(|a, b| b.1.total_cmp(&a.1));
    cells.iter().take(CANDIDATES).map(|(sum, count)| sum.map(|s| (s / count) as f32)).collect()
}
