//! Where one shot ends and the other begins: the line across which the two differ least (Kwatra, Schödl, Essa, Turk and Bobick 2003).
//!
//! The cut is found in small first, and at each larger size in a narrow band along the one before.

use super::flow::{self, NONE, Net, SIDES};
use pixels::{Budget, Coverage, Image, OverBudget};
use rayon::prelude::*;
use units::PxRect;

/// Up to how many cells a cut is sought among at once.
const CELLS: usize = 60_000;
/// Cells to each side of a cut within which it may move at the next size.
const BAND: i64 = 3;
/// What a cut costs for each pixel of its length, and for a whole square of difference on it.
const LENGTH: f32 = 2.0;
const DIFFERENCE: f32 = 20_000.0;

/// How far the cut may leave the outline of what was drawn, in pixels: outwards all of it; inwards half of the way to the middle at most.
#[derive(Clone, Copy)]
pub(super) struct Leeway(pub(super) f64);

/// What is asked of the cut.
pub(super) struct Asked<'a> {
    /// What is to be taken, as it was drawn.
    pub(super) taken: &'a Image<Coverage>,
    /// Where nothing is taken, whatever was drawn: what is to stay, and what the other shot does not hold.
    pub(super) kept: &'a Image<Coverage>,
    /// Squared differences of the two.
    pub(super) differences: &'a Image<Coverage>,
    pub(super) leeway: Leeway,
}

/// What of each cell is to be taken.
struct Level {
    place: PxRect,
    taken: Vec<bool>,
}

/// Of each pixel whether the other shot's is taken; all images stand at the same place.
pub(super) fn cut(asked: &Asked<'_>, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    let place = asked.taken.place();
    let mut sizes = vec![reduced(asked.differences, 1, budget)?];
    let mut step = 1i64;
    let free = loop {
        let free = free(asked, step);
        let cells = free.iter().filter(|f| f.is_none()).count();
        if cells <= CELLS || step >= 64 {
            break free;
        }
        step *= 2;
        let last = sizes.len() - 1;
        let next = reduced(&sizes[last], 2, budget)?;
        sizes.push(next);
    };
    let mut level = solved(&sizes[sizes.len() - 1], &free, budget)?;
    for k in (0..sizes.len() - 1).rev() {
        let step = 1i64 << k;
        let free = along(&level, &sizes[k], |x, y| is_kept(asked.kept, x, y, step));
        level = solved(&sizes[k], &free, budget)?;
    }
    let w = place.width();
    Image::from_fn(place, budget, |x, y| {
        let i = (y - place.y0()) as usize * w + (x - place.x0()) as usize;
        Coverage(f32::from(u8::from(level.taken[i])))
    })
}

/// Means of `by` by `by` pixels, counted from the place's corner; the result stands at the origin.
fn reduced(fine: &Image<Coverage>, by: i64, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    let from = fine.place();
    let cells = |n: usize| (n as i64 + by - 1) / by;
    let mut out =
        Image::<Coverage>::new(PxRect::new(0, 0, cells(from.width()), cells(from.height())), budget)?;
    let width = out.width().max(1);
    out.pixels_mut().par_chunks_mut(width).enumerate().for_each(|(v, row)| {
        for (u, o) in row.iter_mut().enumerate() {
            let (x0, y0) = (from.x0() + u as i64 * by, from.y0() + v as i64 * by);
            let all = (y0..(y0 + by).min(from.y1()))
                .flat_map(|y| (x0..(x0 + by).min(from.x1())).map(move |x| (x, y)));
            let (sum, count) = all.fold((0.0, 0.0), |(s, n), (x, y)| (s + fine.at(x, y).0, n + 1.0));
            o.0 = sum / count;
        }
    });
    Ok(out)
}

/// The pixel in the middle of a cell.
fn middle(place: PxRect, (u, v): (i64, i64), step: i64) -> (i64, i64) {
    let at = |from: i64, to: i64, i: i64| (from + i * step + step / 2).min(to - 1);
    (at(place.x0(), place.x1(), u), at(place.y0(), place.y1(), v))
}

fn is_kept(kept: &Image<Coverage>, u: i64, v: i64, step: i64) -> bool {
    let (x, y) = middle(kept.place(), (u, v), step);
    kept.at(x, y).0 >= 0.5
}

/// Of each cell whether it is sure to be taken or not; `None` where the cut decides.
fn free(asked: &Asked<'_>, step: i64) -> Vec<Option<bool>> {
    let place = asked.taken.place();
    let cells = |n: usize| (n as i64 + step - 1) / step;
    let (w, h) = (cells(place.width()), cells(place.height()));
    let at = |i: usize| (i as i64 % w, i as i64 / w);
    let drawn: Vec<bool> = (0..(w * h) as usize)
        .map(|i| {
            let (x, y) = middle(place, at(i), step);
            asked.taken.at(x, y).0 >= 0.5
        })
        .collect();
    let outwards = distances(&drawn, w as usize, true);
    let inwards = distances(&drawn, w as usize, false);
    let leeway = (asked.leeway.0 / step as f64) as f32;
    let deepest = inwards.iter().copied().filter(|d| d.is_finite()).fold(0.0, f32::max);
    let sure_from = leeway.min(deepest / 2.0).max(0.5);
    (0..drawn.len())
        .map(|i| {
            let (u, v) = at(i);
            if is_kept(asked.kept, u, v, step) || outwards[i] > leeway {
                Some(false)
            } else if drawn[i] && inwards[i] >= sure_from {
                Some(true)
            } else {
                None
            }
        })
        .collect()
}

/// Of each cell how far it is to one that is as asked, in cells: by steps of 1 and √2 (Borgefors 1986).
fn distances(cells: &[bool], w: usize, to: bool) -> Vec<f32> {
    const ACROSS: f32 = 1.414;
    let mut out: Vec<f32> = cells.iter().map(|c| if *c == to { 0.0 } else { f32::INFINITY }).collect();
    let h = out.len() / w.max(1);
    let mut take = |x: usize, y: usize, beside: [(i64, i64, f32); 4]| {
        for (dx, dy, far) in beside {
            let (u, v) = (x as i64 + dx, y as i64 + dy);
            if (0..w as i64).contains(&u) && (0..h as i64).contains(&v) {
                out[y * w + x] = out[y * w + x].min(out[v as usize * w + u as usize] + far);
            }
        }
    };
    for y in 0..h {
        (0..w).for_each(|x| take(x, y, [(-1, 0, 1.0), (-1, -1, ACROSS), (0, -1, 1.0), (1, -1, ACROSS)]));
    }
    for y in (0..h).rev() {
        (0..w).rev().for_each(|x| take(x, y, [(1, 0, 1.0), (1, 1, ACROSS), (0, 1, 1.0), (-1, 1, ACROSS)]));
    }
    out
}

/// A level's cells at twice the size, free along the cut.
fn along(
    coarse: &Level,
    fine: &Image<Coverage>,
    kept: impl Fn(i64, i64) -> bool + Sync,
) -> Vec<Option<bool>> {
    let (w, h) = (coarse.place.x1(), coarse.place.y1());
    let is = |u: i64, v: i64| coarse.taken[(v.clamp(0, h - 1) * w + u.clamp(0, w - 1)) as usize];
    // Where a cut is near, in steps to the side or across a corner.
    let near: Vec<bool> = (0..w * h)
        .into_par_iter()
        .map(|i| {
            let (u, v) = (i % w, i / w);
            let own = is(u, v);
            let reach = (BAND + 1) / 2;
            (-reach..=reach).any(|dv| (-reach..=reach).any(|du| is(u + du, v + dv) != own))
        })
        .collect();
    let (fine_w, fine_h) = (fine.width() as i64, fine.height() as i64);
    (0..fine_w * fine_h)
        .into_par_iter()
        .map(|i| {
            let (u, v) = (i % fine_w, i / fine_w);
            let at = ((v / 2).min(h - 1) * w + (u / 2).min(w - 1)) as usize;
            match () {
                () if kept(u, v) => Some(false),
                () if near[at] => None,
                () => Some(coarse.taken[at]),
            }
        })
        .collect()
}

/// Cuts a level where it is free.
fn solved(
    differences: &Image<Coverage>,
    free: &[Option<bool>],
    budget: &Budget,
) -> Result<Level, OverBudget> {
    let place = differences.place();
    let (w, h) = (place.x1(), place.y1());
    let _cells = budget.take(free.len() as u64 * 6)?;
    let mut numbers = vec![NONE; free.len()];
    let mut nodes = Vec::new();
    for (i, f) in free.iter().enumerate() {
        if f.is_none() {
            numbers[i] = nodes.len() as u32;
            nodes.push(i as i64);
        }
    }
    let _nodes = budget.take(nodes.len() as u64 * flow::EACH)?;
    let beside = |i: i64, d: usize| -> Option<usize> {
        let (x, y) = (i % w, i / w);
        let (x, y) = [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)][d];
        (x >= 0 && y >= 0 && x < w && y < h).then_some((y * w + x) as usize)
    };
    let next = nodes
        .iter()
        .map(|i| std::array::from_fn::<u32, SIDES, _>(|d| beside(*i, d).map_or(NONE, |j| numbers[j])))
        .collect();
    let mut net = Net::new(next);
    let values = differences.samples();
    let cost = |i: usize, j: usize| (LENGTH + DIFFERENCE * (values[i] + values[j]).min(2.0)).round();
    for (n, i) in nodes.iter().enumerate() {
        for d in 0..SIDES {
            let Some(j) = beside(*i, d) else { continue };
            let cost = cost(*i as usize, j);
            match free[j] {
                None => net.join(n, d, cost as i32),
                Some(true) => net.tie(n, cost as i64),
                Some(false) => net.tie(n, -(cost as i64)),
            }
        }
    }
    let cut = net.cut();
    let taken = free.iter().zip(&numbers).map(|(f, n)| f.unwrap_or_else(|| cut[*n as usize])).collect();
    Ok(Level { place, taken })
}
