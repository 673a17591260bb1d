//! The likeness (shift, turn, scale) that most of the shot agrees on, whatever else moved (Fischler and Bolles 1981).

use super::matches::Pair;
use units::Mat3;

/// How many pairs of pairs are tried.
const TRIES: u32 = 4000;
/// Farthest that what agrees may miss, in pixels of the level.
pub(super) const MISS: f64 = 2.0;
/// Least distance between two corners that a likeness is made of, as a share of the longer side.
const SPREAD: f64 = 0.05;
/// The camera was nearly still: how much larger or smaller, and how far turned (sine), a shot may be.
const SCALE: f64 = 1.25;
const TURN: f64 = 0.35;
/// Cells along the longer side in which pairs share a say: a face has many corners, a coat few.
const CELLS: f64 = 12.0;

/// x' = a x - b y + c, y' = b x + a y + d.
#[derive(Clone, Copy)]
struct Likeness([f64; 4]);

impl Likeness {
    fn of_two((p, q): Pair, (r, s): Pair) -> Option<Self> {
        let (u, v) = ([r[0] - p[0], r[1] - p[1]], [s[0] - q[0], s[1] - q[1]]);
        let length2 = u[0] * u[0] + u[1] * u[1];
        let a = (u[0] * v[0] + u[1] * v[1]) / length2;
        let b = (u[0] * v[1] - u[1] * v[0]) / length2;
        let scale2 = a * a + b * b;
        let still = (SCALE.powi(-2)..=SCALE.powi(2)).contains(&scale2) && b.abs() <= TURN && a > 0.0;
        still.then(|| Self([a, b, q[0] - a * p[0] + b * p[1], q[1] - b * p[0] - a * p[1]]))
    }

    /// The one that misses all pairs least.
    fn of_all(pairs: &[Pair], weights: &[f64]) -> Option<Self> {
        let sum: f64 = weights.iter().sum();
        let mean =
            |f: &dyn Fn(&Pair) -> f64| pairs.iter().zip(weights).map(|(p, w)| w * f(p)).sum::<f64>() / sum;
        let (px, py) = (mean(&|p| p.0[0]), mean(&|p| p.0[1]));
        let (qx, qy) = (mean(&|p| p.1[0]), mean(&|p| p.1[1]));
        let spread = mean(&|p| (p.0[0] - px).powi(2) + (p.0[1] - py).powi(2));
        let a = mean(&|p| (p.0[0] - px) * (p.1[0] - qx) + (p.0[1] - py) * (p.1[1] - qy)) / spread;
        let b = mean(&|p| (p.0[0] - px) * (p.1[1] - qy) - (p.0[1] - py) * (p.1[0] - qx)) / spread;
        (spread > 0.0).then_some(Self([a, b, qx - a * px + b * py, qy - b * px - a * py]))
    }

    fn misses(self, (p, q): &Pair) -> f64 {
        let [a, b, c, d] = self.0;
        let (x, y) = (a * p[0] - b * p[1] + c - q[0], b * p[0] + a * p[1] + d - q[1]);
        (x * x + y * y).sqrt()
    }
}

/// The likeness from the first shot to the other, in pixels of the level; `None` where no two pairs agree.
pub(super) fn found(pairs: &[Pair], side: f64) -> Option<Mat3> {
    let weights = says(pairs, side);
    let score = |l: &Likeness| {
        let agrees = |(p, w): (&Pair, &f64)| w * (1.0 - (l.misses(p) / MISS).powi(2)).max(0.0);
        pairs.iter().zip(&weights).map(agrees).sum::<f64>()
    };
    let mut chance = Chance(0x9E37_79B9_7F4A_7C15);
    let mut best: Option<(f64, Likeness)> = None;
    for _ in 0..TRIES {
        if pairs.len() < 2 {
            break;
        }
        let (p, q) = (pairs[chance.below(pairs.len())], pairs[chance.below(pairs.len())]);
        if (p.0[0] - q.0[0]).abs().max((p.0[1] - q.0[1]).abs()) < SPREAD * side {
            continue;
        }
        let Some(l) = Likeness::of_two(p, q) else { continue };
        let agreed = score(&l);
        if best.is_none_or(|(most, _)| agreed > most) {
            best = Some((agreed, l));
        }
    }
    let mut l = best?.1;
    let agree = |l: &Likeness| -> Vec<bool> { pairs.iter().map(|p| l.misses(p) < MISS).collect() };
    for _ in 0..3 {
        let agreed = agree(&l);
        let own: Vec<f64> = weights.iter().zip(&agreed).map(|(w, a)| if *a { *w } else { 0.0 }).collect();
        l = Likeness::of_all(pairs, &own)?;
    }
    let [a, b, c, d] = l.0;
    Some(Mat3([[a, -b, c], [b, a, d], [0.0, 0.0, 1.0]]))
}

/// Whether a pair agrees with a mapping.
pub(super) fn agrees(mapping: &Mat3, (p, q): &Pair) -> bool {
    let miss = |(x, y): (f64, f64)| ((x - q[0]) * (x - q[0]) + (y - q[1]) * (y - q[1])).sqrt();
    mapping.project(p[0], p[1]).map(miss).is_some_and(|m| m < MISS)
}

/// The say of each pair: cells of many pairs speak louder than those of few, but not as much louder as they are more.
fn says(pairs: &[Pair], side: f64) -> Vec<f64> {
    let cell = |p: &Pair| p.0.map(|v| (v / side * CELLS) as i64);
    let mut count = std::collections::BTreeMap::new();
    pairs.iter().for_each(|p| *count.entry(cell(p)).or_insert(0.0) += 1.0);
    pairs.iter().map(|p| 1.0 / f64::sqrt(count[&cell(p)])).collect()
}

/// Numbers without order, the same every time (Marsaglia 2003: xorshift).
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % n as u64) as usize
    }
}
