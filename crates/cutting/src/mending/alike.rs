//! For each patch that touches something unknown, the known patch most like it (Barnes, Shechtman, Finkelstein and Goldman 2009):
//! neighbours try what their neighbours found, in leaps, and each tries places at random, nearer and nearer. All of a round
//! look at the round before, so that threads do not matter.

use super::canvas::Canvas;
use rayon::prelude::*;

/// Half a patch, without its middle.
pub(super) const REACH: usize = 3;
const SIDE: usize = 2 * REACH + 1;
/// How far neighbours are that are asked, in turn.
const LEAPS: [i64; 3] = [4, 2, 1];

/// A known patch and how well it fits.
#[derive(Clone, Copy)]
pub(super) struct Match {
    /// Its middle.
    pub(super) from: u32,
    /// Mean of squared differences, the surer pixels counting more.
    pub(super) cost: f32,
}

/// The patches of a canvas that touch what is unknown, and what each is made from.
pub(super) struct Alike {
    width: i64,
    /// Their middles.
    pub(super) middles: Vec<u32>,
    /// The number of each pixel's patch.
    numbers: Vec<u32>,
    pub(super) found: Vec<Match>,
    known: Vec<bool>,
    sources: Vec<u32>,
    seed: u64,
}

const NONE: u32 = u32::MAX;

impl Alike {
    /// With sources at random. `None` where no patch is known whole.
    pub(super) fn new(canvas: &Canvas, seed: u64) -> Option<Self> {
        let (w, h) = (canvas.width(), canvas.height());
        if w.min(h) < SIDE {
            return None;
        }
        let touched = widened(&canvas.open, w, h);
        let whole = |i: usize| (REACH..w - REACH).contains(&(i % w)) && (REACH..h - REACH).contains(&(i / w));
        let mut numbers = vec![NONE; w * h];
        let middles: Vec<u32> = (0..w * h).filter(|i| whole(*i) && touched[*i]).map(|i| i as u32).collect();
        middles.iter().enumerate().for_each(|(n, i)| numbers[*i as usize] = n as u32);
        let known: Vec<bool> = (0..w * h).map(|i| whole(i) && !touched[i]).collect();
        let sources: Vec<u32> = (0..w * h).filter(|i| known[*i]).map(|i| i as u32).collect();
        let mut new = Self { width: w as i64, middles, numbers, found: Vec::new(), known, sources, seed };
        if new.sources.is_empty() {
            return None;
        }
        new.found = new.middles.iter().map(|i| new.any(*i)).collect();
        Some(new)
    }

    /// Of the pixel `i`, where it is the middle of a patch.
    pub(super) fn number(&self, i: usize) -> Option<usize> {
        Some(self.numbers[i]).filter(|n| *n != NONE).map(|n| n as usize)
    }

    /// Takes what was found at half the size.
    pub(super) fn take(&mut self, small: &Self) {
        let (w, half) = (self.width as u32, small.width as u32);
        for (i, found) in self.middles.iter().zip(&mut self.found) {
            let (x, y) = (i % w, i / w);
            if let Some(n) = small.number((y / 2 * half + x / 2) as usize) {
                let from = small.found[n].from;
                let at = (from / half * 2 + y % 2) * w + from % half * 2 + x % 2;
                if self.known.get(at as usize) == Some(&true) {
                    *found = Match { from: at, cost: 0.0 };
                }
            }
        }
    }

    /// Looks for better matches, at random up to `far` pixels from the best.
    pub(super) fn search(&mut self, canvas: &Canvas, far: i64, round: u64) {
        let found = |(i, m): (&u32, &Match)| compared(canvas, *i, m.from);
        self.found = self.middles.par_iter().zip(&self.found).map(found).collect();
        for (time, leap) in LEAPS.into_iter().enumerate() {
            let seed = mixed(self.seed ^ mixed(round << 8 | time as u64));
            let better = |(n, i): (usize, &u32)| self.better(canvas, n, *i, leap, far, seed);
            self.found = self.middles.par_iter().enumerate().map(better).collect();
        }
    }

    fn better(&self, canvas: &Canvas, n: usize, i: u32, leap: i64, far: i64, seed: u64) -> Match {
        let mut best = self.found[n];
        let mut tried = |at: i64| {
            if at >= 0 && at as u32 != best.from && self.known.get(at as usize) == Some(&true) {
                let other = compared(canvas, i, at as u32);
                if other.cost < best.cost {
                    best = other;
                }
            }
            best.from
        };
        for step in [-leap, leap, -leap * self.width, leap * self.width] {
            let beside = i64::from(i) + step;
            let number = self.numbers.get(beside as usize).filter(|n| beside >= 0 && **n != NONE);
            if let Some(number) = number {
                tried(i64::from(self.found[*number as usize].from) - step);
            }
        }
        let mut dice = mixed(seed ^ u64::from(i));
        let mut from = i64::from(tried(i64::from(self.sources[(dice >> 32) as usize % self.sources.len()])));
        let mut far = far;
        while far >= 1 {
            dice = mixed(dice);
            let side = 2 * far as u64 + 1;
            let (dx, dy) = ((dice % side) as i64 - far, ((dice >> 32) % side) as i64 - far);
            let (x, y) = (from % self.width + dx, from / self.width + dy);
            if (0..self.width).contains(&x) {
                from = i64::from(tried(y * self.width + x));
            }
            far /= 2;
        }
        best
    }

    fn any(&self, i: u32) -> Match {
        let from = self.sources[mixed(self.seed ^ u64::from(i)) as usize % self.sources.len()];
        Match { from, cost: 0.0 }
    }
}

/// How the patch around pixel `b` fits the one around `a`.
fn compared(canvas: &Canvas, a: u32, b: u32) -> Match {
    let w = canvas.width();
    let first = |i: u32| i as usize - REACH * w - REACH;
    let (mut all, mut squares) = (0.0f32, [0.0f32; 4]);
    for k in 0..SIDE {
        let row = |i: u32| &canvas.light[first(i) + k * w..][..SIDE];
        for (p, q) in row(a).iter().zip(row(b)) {
            all += p[3];
            for c in 0..4 {
                let d = p[c] - q[c];
                squares[c] += p[3] * d * d;
            }
        }
    }
    Match { from: b, cost: (squares[0] + squares[1] + squares[2]) / all }
}

/// What lies within the reach of a patch of something that is set.
fn widened(set: &[bool], w: usize, h: usize) -> Vec<bool> {
    let mut along = vec![false; w * h];
    for i in (0..w * h).filter(|i| set[*i]) {
        let (x, row) = (i % w, i - i % w);
        along[row + x.saturating_sub(REACH)..row + (x + REACH + 1).min(w)].fill(true);
    }
    let any = |i: usize| {
        let (x, y) = (i % w, i / w);
        (y.saturating_sub(REACH)..(y + REACH + 1).min(h)).any(|v| along[v * w + x])
    };
    (0..w * h).into_par_iter().map(any).collect()
}

/// A number that has nothing to do with the one before (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014).
pub(super) fn mixed(v: u64) -> u64 {
    let v = v.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let v = (v ^ v >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let v = (v ^ v >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    v ^ v >> 31
}
