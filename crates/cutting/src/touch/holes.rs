//! Holes in a matte: what lies lower than all that goes round it.
//!
//! A flood that comes in from outside and always goes on from the lowest pixel it has reached (Barnes, Lehman and Mulla,
//! "Priority-flood", 2014) says up to what coverage each hole is enclosed. Of each of them all is filled, from its lowest
//! coverage up, that is no larger than asked (the area closing of Vincent, "Grayscale area openings and closings", 1992).

use pixels::{Budget, Coverage, Image, OverBudget};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// Bytes that a pixel takes.
const EACH: u64 = 24;

/// The matte with enclosed holes of up to `size` pixels filled: all, or those wholly where the stroke lies by half or more.
pub(super) fn filled(
    matte: &Image<Coverage>,
    lies: Option<&Image<Coverage>>,
    size: f64,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let place = matte.place();
    let (w, h) = (place.width(), place.height());
    let _room = budget.take((w * h) as u64 * EACH)?;
    let own = matte.samples();
    let is_outside = |i: usize| {
        let (x, y) = (i % w, i / w);
        let at_frame = x == 0 || y == 0 || x + 1 == w || y + 1 == h;
        at_frame || lies.is_some_and(|l| l.at(place.x0() + x as i64, place.y0() + y as i64).0 < 0.5)
    };
    let most = if size < (w * h) as f64 { size as usize } else { w * h };
    let up_to = enclosed(own, w, h, is_outside);
    let mut out = matte.crop(place, budget)?;
    let levels = out.samples_mut();
    let (mut seen, mut numbers) = (vec![false; w * h], Vec::new());
    for first in 0..w * h {
        if seen[first] || up_to[first] <= own[first] {
            continue;
        }
        // All that hangs together and lies below what encloses it.
        let mut hole = vec![first];
        seen[first] = true;
        let mut next = 0;
        while next < hole.len() {
            for j in beside(hole[next], w, h) {
                if !seen[j] && up_to[j] > own[j] {
                    seen[j] = true;
                    hole.push(j);
                }
            }
            next += 1;
        }
        if hole.len() <= most {
            hole.iter().for_each(|i| levels[*i] = up_to[*i]);
        } else {
            close(&mut hole, own, levels, most, w, h, &mut numbers);
        }
    }
    Ok(out)
}

/// The lowest coverage over which one has to go to get outside.
fn enclosed(own: &[f32], w: usize, h: usize, is_outside: impl Fn(usize) -> bool) -> Vec<f32> {
    // Coverage is 0 or more, and such numbers are in the order of their bits.
    let mut heap = BinaryHeap::new();
    let mut level = vec![-1.0f32; w * h];
    for i in (0..w * h).filter(|i| is_outside(*i)) {
        level[i] = own[i];
        let is_rim = beside(i, w, h).any(|j| !is_outside(j));
        if is_rim {
            heap.push(Reverse((own[i].max(0.0).to_bits(), i)));
        }
    }
    // What lies no higher than where the flood stands is reached at once.
    let mut low = VecDeque::new();
    while let Some(i) = low.pop_front().or_else(|| heap.pop().map(|Reverse((_, i))| i)) {
        for j in beside(i, w, h) {
            if level[j] >= 0.0 {
                continue;
            }
            level[j] = own[j].max(level[i]);
            if own[j] <= level[i] {
                low.push_back(j);
            } else {
                heap.push(Reverse((own[j].to_bits(), j)));
            }
        }
    }
    level
}

const NONE: u32 = u32::MAX;

/// Fills what of a hole is itself enclosed and no larger than `most` pixels.
fn close(
    hole: &mut [usize],
    own: &[f32],
    levels: &mut [f32],
    most: usize,
    w: usize,
    h: usize,
    numbers: &mut Vec<u32>,
) {
    hole.sort_by(|a, b| own[*a].total_cmp(&own[*b]).then(a.cmp(b)));
    numbers.resize(own.len(), NONE);
    hole.iter().enumerate().for_each(|(n, i)| numbers[*i] = n as u32);
    // Basins that hang together below the level reached, by their highest pixel.
    let mut up: Vec<usize> = (0..hole.len()).collect();
    let mut sizes = vec![0usize; hole.len()];
    let mut parents: Vec<usize> = (0..hole.len()).collect();
    for n in 0..hole.len() {
        sizes[n] = 1;
        for j in beside(hole[n], w, h) {
            if numbers[j] >= n as u32 {
                continue;
            }
            let root = root(&mut up, numbers[j] as usize);
            if root != n {
                (up[root], parents[root]) = (n, n);
                sizes[n] += sizes[root];
            }
        }
    }
    hole.iter().for_each(|i| numbers[*i] = NONE);
    // From the highest down: a basin that is small enough rises to the lowest pixel of those above it that make it too large.
    for n in (0..hole.len()).rev() {
        let over = parents[n];
        levels[hole[n]] = match over {
            _ if sizes[n] > most || over == n => own[hole[n]],
            _ => levels[hole[over]].max(own[hole[n]]),
        };
    }
}

fn root(up: &mut [usize], mut n: usize) -> usize {
    while up[n] != n {
        up[n] = up[up[n]];
        n = up[n];
    }
    n
}

/// The pixels beside a pixel, up to four.
fn beside(i: usize, w: usize, h: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (i % w, i / w);
    [(x > 0, i.wrapping_sub(1)), (x + 1 < w, i + 1), (y > 0, i.wrapping_sub(w)), (y + 1 < h, i + w)]
        .into_iter()
        .filter_map(|(there, j)| there.then_some(j))
}
