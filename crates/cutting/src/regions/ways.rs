//! Ways over a grid: distances, and what hangs together.

use super::flow::STEPS;
use super::grid::Grid;
use super::segments::Word;

/// What a way costs: for each cell, for each difference in what colours say from 0 to 1, and in the colours themselves.
const PLAIN: f32 = 0.005;
const STEEP: f32 = 1.0;
const EDGE: f32 = 6.0;
/// Times that the rows are gone over, down and up.
const SWEEPS: usize = 3;

/// Of every cell the steps, to the side or across a corner, to the border of the thing: 1 for cells beside it.
pub(super) fn from_border(grid: &Grid, is_thing: &[bool]) -> Vec<u32> {
    let beside = |i: usize| (0..8).filter_map(|way| grid.near(i, way)).any(|j| is_thing[j] != is_thing[i]);
    let mut far: Vec<u32> = (0..grid.len()).map(|i| if beside(i) { 1 } else { u32::MAX }).collect();
    sweep(grid, &mut far, |_, _, _, d| d.saturating_add(1), 1);
    far
}

/// Of every cell the steps to the nearest that `is`.
pub(super) fn to(grid: &Grid, is: impl Fn(usize) -> bool) -> Vec<u32> {
    let mut far: Vec<u32> = (0..grid.len()).map(|i| if is(i) { 0 } else { u32::MAX }).collect();
    sweep(grid, &mut far, |_, _, _, d| d.saturating_add(1), 1);
    far
}

/// Of every cell the way, in cells, to the nearest that `is`.
pub(super) fn far(grid: &Grid, is: impl Fn(usize) -> bool) -> Vec<f32> {
    let lengths = STEPS.map(|(dx, dy)| ((dx * dx + dy * dy) as f32).sqrt());
    let mut far: Vec<f32> = (0..grid.len()).map(|i| if is(i) { 0.0 } else { 1e9 }).collect();
    sweep(grid, &mut far, |_, _, way, d| d + lengths[way], 1);
    far
}

/// Lets every cell have what it can have from its neighbours, over the rows down and up again, `times` times.
fn sweep<T: Copy + PartialOrd>(
    grid: &Grid,
    far: &mut [T],
    step: impl Fn(usize, usize, usize, T) -> T,
    times: usize,
) {
    for _ in 0..times {
        for i in 0..far.len() {
            for way in 0..4 {
                if let Some(j) = grid.near(i, way) {
                    let d = step(i, j, way, far[j]);
                    if d < far[i] {
                        far[i] = d;
                    }
                }
            }
        }
        for i in (0..far.len()).rev() {
            for way in 4..8 {
                if let Some(j) = grid.near(i, way) {
                    let d = step(i, j, way, far[j]);
                    if d < far[i] {
                        far[i] = d;
                    }
                }
            }
        }
    }
}

/// How much nearer each cell is to strokes inside than to strokes outside, by the way along which what colours say changes least:
/// from -1 to 1 (Criminisi, Sharp and Blake, geodesic image segmentation, 2008, section 2, for the sweeps).
pub(super) fn nearer(grid: &Grid, words: &[Word], leans: &[f32]) -> Vec<f32> {
    let share: Vec<f32> = leans.iter().map(|l| l.clamp(-6.0, 6.0) / 12.0).collect();
    let colours = grid.colours.pixels();
    let lengths = STEPS.map(|(dx, dy)| ((dx * dx + dy * dy) as f32).sqrt());
    let step = |i: usize, j: usize, way: usize, d: f32| {
        let apart = (0..3).map(|c| (colours[i].0[c] - colours[j].0[c]).abs()).sum::<f32>() / 3.0;
        d + PLAIN * lengths[way] + STEEP * (share[i] - share[j]).abs() + EDGE * apart
    };
    let from = |word: Word| {
        let mut far: Vec<f32> = words.iter().map(|w| if *w == word { 0.0 } else { 1e9 }).collect();
        sweep(grid, &mut far, step, SWEEPS);
        far
    };
    let (inside, outside) = rayon::join(|| from(Word::Inside), || from(Word::Outside));
    inside.iter().zip(&outside).map(|(a, b)| (b - a) / (a + b).max(f32::MIN_POSITIVE)).collect()
}

/// The parts, across sides and corners for the thing and across sides for what is not, of cells that are `thing`.
pub(super) fn parts(grid: &Grid, is_thing: &[bool], thing: bool) -> Vec<Vec<u32>> {
    let ways: &[usize] = if thing { &[0, 1, 2, 3, 4, 5, 6, 7] } else { &[1, 3, 4, 6] };
    let mut seen: Vec<bool> = is_thing.iter().map(|is| *is != thing).collect();
    let mut parts = Vec::new();
    for start in 0..grid.len() {
        if seen[start] {
            continue;
        }
        seen[start] = true;
        let mut part = vec![start as u32];
        let mut next = 0;
        while next < part.len() {
            let i = part[next] as usize;
            for j in ways.iter().filter_map(|way| grid.near(i, *way)) {
                if !seen[j] {
                    seen[j] = true;
                    part.push(j as u32);
                }
            }
            next += 1;
        }
        parts.push(part);
    }
    parts
}
