//! Strands: what stands out from the paper around it, along a line.

use super::seen::Seen;
use super::small::Difference;
use rayon::prelude::*;

/// How far from the paper a cell of a strand is, in shares of evened light and in times of the noise; and a line's mean, in times of the
/// noise, and of noise that hangs together and is as strong along a line.
const THIN: f32 = 0.025;
const STANDS_OUT: f32 = 6.0;
const LINE_THIN: f32 = 0.012;
const LINE_STANDS_OUT: f32 = 2.4;
const BLOTCH: f32 = 5.0;
/// Cells around one that stand out as well, where it is no noise.
const COMPANY: usize = 2;
/// Cells that a line is long, to each side of its middle; and its ways, by the columns and rows of three steps.
const HALF: i64 = 3;
const WAYS: [(i64, i64); 8] = [(3, 0), (3, 1), (2, 2), (1, 3), (0, 3), (-1, 3), (-2, 2), (-3, 1)];

/// Takes from the paper what is a strand's; of each cell whether it is one's.
pub(super) fn take(seen: &Seen, paper: &mut [bool]) -> Vec<bool> {
    let before = paper.to_vec();
    let cells = 0..seen.grid.count();
    let out: Vec<bool> =
        cells.into_par_iter().map(|i| seen.away(i).exceeds(seen.noise[i], STANDS_OUT, THIN)).collect();
    paper.par_iter_mut().enumerate().filter(|(_, is)| **is).for_each(|(i, is)| {
        let alone = || seen.grid.around(i).filter(|j| out[*j]).count() < COMPANY;
        *is = (!out[i] || alone()) && !is_line(seen, i);
    });
    before.iter().zip(paper.iter()).map(|(before, is)| *before && !*is).collect()
}

/// Whether a line through the cell stands out as a whole.
fn is_line(seen: &Seen, i: usize) -> bool {
    let limit = |noise: f32, blotches: f32| (LINE_STANDS_OUT * noise).max(BLOTCH * blotches);
    let (one, mean) = (seen.noise[i], seen.blotches[i]);
    let noise = Difference { light: limit(one.light, mean.light), tint: limit(one.tint, mean.tint) };
    if !seen.away(i).exceeds(noise, 1.0, LINE_THIN) {
        return false;
    }
    let (x, y) = seen.grid.at(i);
    let (w, h) = (seen.grid.width as i64, seen.grid.height as i64);
    WAYS.iter().any(|(dx, dy)| {
        let (mut sum, mut count) = ([0.0f32; 3], 0.0);
        for k in -HALF..=HALF {
            let (u, v) = (x as i64 + (k * dx) / 3, y as i64 + (k * dy) / 3);
            if (0..w).contains(&u) && (0..h).contains(&v) {
                let j = (v * w + u) as usize;
                (0..3).for_each(|c| sum[c] += seen.raw[j][c] - seen.colour[j][c]);
                count += 1.0;
            }
        }
        let mean = sum.map(|s| s / count);
        count > HALF as f32 && Difference::of(mean, [0.0; 3]).exceeds(noise, 1.0, LINE_THIN)
    })
}
