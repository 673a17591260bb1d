//! How wide the band along the border is: a few cells where the edge is clean, and as far as cells look like mixtures of what is
//! on both sides where there is hair, a veil or blur (own construction, no source).

use super::grid::Grid;
use super::ways;
use rayon::prelude::*;

/// Cells to each side of a clean edge.
const CLEAN: u32 = 2;
/// How far from the border doubtful cells may be, outwards and inwards; what is laid around them, and what gaps between are
/// closed.
const OUTWARDS: u32 = 70;
const INWARDS: u32 = 30;
const MARGIN: u32 = 3;
const GAPS: u32 = 2;
/// From how far from the border on cells show what is on their side; what those nearer to it weigh; and how far around a cell
/// they are looked at, in pairs of cells.
const SHOWS: u32 = 12;
const HARDLY: f32 = 0.02;
const LOCAL: usize = 12;
/// How many times the spread of its side a mixture is off, and what share of the other side it has at least; and how many times the
/// spread a colour that is no mixture of both is off.
const OFF: f32 = 1.6;
const LEAST: f32 = 0.06;
const OTHER: f32 = 5.0;
/// Added to that spread, for noise: squares of evened colour.
const NOISE: f32 = 4e-4;

/// Less than any cell weighs.
const FEWEST: f32 = 1e-3;

/// Sums of what a cell's neighbourhood holds: weight, three colours, six products of two.
type Sums = [f32; 10];

/// Which cells are not sure.
pub(super) fn between(grid: &Grid, is_thing: &[bool]) -> Vec<bool> {
    let far = ways::from_border(grid, is_thing);
    let doubts = doubts(grid, is_thing, &far);
    let open = |i: usize| doubts[i] && far[i] <= if is_thing[i] { INWARDS } else { OUTWARDS };
    // Along doubtful cells, over gaps of one, which stay sure themselves.
    let mut left = vec![0u8; grid.len()];
    let mut next: Vec<u32> = (0..grid.len()).filter(|i| far[*i] <= CLEAN).map(|i| i as u32).collect();
    next.iter().for_each(|i| left[*i as usize] = 2);
    let mut k = 0;
    while k < next.len() {
        let i = next[k] as usize;
        k += 1;
        for j in (0..8).filter_map(|way| grid.near(i, way)) {
            let reach = if open(j) { 2 } else { left[i].saturating_sub(1) };
            if reach > left[j] && is_thing[j] == is_thing[i] {
                left[j] = reach;
                next.push(j as u32);
            }
        }
    }
    let reached = ways::to(grid, |i| left[i] == 2 && far[i] > CLEAN);
    let closed = ways::to(grid, |i| reached[i] > MARGIN + GAPS);
    (0..grid.len()).map(|i| far[i] <= CLEAN || closed[i] > GAPS).collect()
}

/// Cells whose colour is mixed from what is sure on both sides nearby.
fn doubts(grid: &Grid, is_thing: &[bool], far: &[u32]) -> Vec<bool> {
    let colours = grid.colours.pixels();
    // Four cells together: what is looked at reaches much farther.
    let (w, h) = (grid.width.div_ceil(2), grid.height.div_ceil(2));
    let side = |thing: bool| {
        let of = |k: usize| -> Sums {
            let (x, y) = (2 * (k % w), 2 * (k / w));
            let cells = (y..(y + 2).min(grid.height))
                .flat_map(|y| (x..(x + 2).min(grid.width)).map(move |x| y * grid.width + x));
            let mut sums = [0.0; 10];
            for i in cells.filter(|i| is_thing[*i] == thing) {
                let weight = if far[i] >= SHOWS { 1.0 } else { HARDLY };
                let [r, g, b] = colours[i].0;
                let each = [1.0, r, g, b, r * r, r * g, r * b, g * g, g * b, b * b];
                (0..10).for_each(|k| sums[k] += weight * each[k]);
            }
            sums
        };
        let all: Vec<Sums> = (0..w * h).into_par_iter().map(of).collect();
        let along = |all: &[Sums], width: usize| -> Vec<Sums> {
            all.par_chunks(width).map(blurred).collect::<Vec<_>>().concat()
        };
        turn(&along(&turn(&along(&all, w), w), h), h)
    };
    let (inside, outside) = (side(true), side(false));
    (0..grid.len())
        .into_par_iter()
        .map(|i| {
            let k = i / grid.width / 2 * w + i % grid.width / 2;
            let (f, b) = (&inside[k], &outside[k]);
            if f[0] < FEWEST || b[0] < FEWEST {
                return false;
            }
            let mean = |s: &Sums| [1, 2, 3].map(|k| s[k] / s[0]);
            let (mf, mb) = (mean(f), mean(b));
            let d: [f32; 3] = std::array::from_fn(|c| mf[c] - mb[c]);
            let length2 = d.iter().map(|v| v * v).sum::<f32>().max(1e-6);
            // Spread along the line from the one colour to the other, as a share of it; and across it.
            let spread = |s: &Sums, m: [f32; 3]| {
                let q = |k: usize, x: usize, y: usize| s[k] / s[0] - m[x] * m[y];
                let m = [q(4, 0, 0), q(5, 0, 1), q(6, 0, 2), q(7, 1, 1), q(8, 1, 2), q(9, 2, 2)];
                let along = d[0] * (m[0] * d[0] + 2.0 * (m[1] * d[1] + m[2] * d[2]))
                    + d[1] * (m[3] * d[1] + 2.0 * m[4] * d[2])
                    + m[5] * d[2] * d[2];
                let all = m[0] + m[3] + m[5];
                ((along / (length2 * length2)).max(0.0).sqrt(), (all - along / length2).max(0.0))
            };
            let ((sf, af), (sb, ab)) = (spread(f, mf), spread(b, mb));
            let own = colours[i].0;
            let e: [f32; 3] = std::array::from_fn(|c| own[c] - mb[c]);
            let a = (0..3).map(|c| e[c] * d[c]).sum::<f32>() / length2;
            let across = (e.iter().map(|v| v * v).sum::<f32>() - a * a * length2).max(0.0);
            if across > OTHER * OTHER * (af.max(ab) + NOISE) {
                return false;
            }
            if is_thing[i] { 1.0 - a > LEAST.max(OFF * sf) } else { a > LEAST.max(OFF * sb) }
        })
        .collect()
}

/// Sums over [`LOCAL`] cells to each side.
fn blurred(row: &[Sums]) -> Vec<Sums> {
    let mut sum = [0.0f64; 10];
    let mut out = Vec::with_capacity(row.len());
    row.iter().take(LOCAL).for_each(|s| (0..10).for_each(|k| sum[k] += f64::from(s[k])));
    for i in 0..row.len() {
        if let Some(s) = row.get(i + LOCAL) {
            (0..10).for_each(|k| sum[k] += f64::from(s[k]));
        }
        if let Some(s) = i.checked_sub(LOCAL + 1).map(|j| &row[j]) {
            (0..10).for_each(|k| sum[k] -= f64::from(s[k]));
        }
        out.push(sum.map(|v| v as f32));
    }
    out
}

/// Columns for rows.
fn turn(all: &[Sums], width: usize) -> Vec<Sums> {
    let height = all.len() / width.max(1);
    let rows: Vec<Vec<Sums>> =
        (0..width).into_par_iter().map(|x| (0..height).map(|y| all[y * width + x]).collect()).collect();
    rows.concat()
}

/// How far each cell is from the rim of those that are not sure, in cells: below 0 within.
pub(super) fn depth(grid: &Grid, between: &[bool]) -> Vec<f32> {
    let outer = ways::far(grid, |i| between[i]);
    let inner = ways::far(grid, |i| !between[i]);
    outer.iter().zip(&inner).map(|(o, i)| if *o > 0.0 { o - 0.5 } else { 0.5 - i }).collect()
}
