//! The mapping that fits most windows best: a likeness, and as much of a homography as the windows speak for.
//!
//! With points brought to the middle and to half the diagonal, x' = x + e0 + e2 x - e3 y + e4 x + e5 y + x (e6 x + e7 y),
//! y' = y + e1 + e3 x + e2 y + e5 x - e4 y + y (e6 x + e7 y): shift, scale and turn are free, the stretches e4 and e5 and the perspective e6
//! and e7 are held back, each as if it were known to be [`HELD`] pixels at most at half the diagonal. Windows far off lose their say
//! (Beaton and Tukey 1974).

use super::windows::Found;
use units::{Mat3, PxRect};

const UNKNOWNS: usize = 8;
/// Pixels at half the diagonal by which a nearly still camera stretches a shot, about.
const HELD: f64 = 1.0;
/// Rounds of weighing, and where a window has no say any more, in times of the spread.
const ROUNDS: usize = 12;
const CUT_OFF: f64 = 4.685;
/// Of a median of distances in two directions, the spread in one (Rayleigh's distribution).
const TO_SPREAD: f64 = 1.0 / 1.1774;
/// Least spread, pixels.
const LEAST: f64 = 0.01;

/// What fits.
pub(super) struct Fit {
    pub(super) mapping: Mat3,
    /// Of each window, how much say it has, 0 to 1.
    pub(super) say: Vec<f64>,
    /// By how much windows with a say miss, along an axis, in pixels.
    pub(super) spread: f64,
    /// Unknowns' variances and covariances.
    doubt: [[f64; UNKNOWNS]; UNKNOWNS],
    frame: Frame,
}

/// Middle and half the diagonal.
#[derive(Clone, Copy)]
pub(super) struct Frame {
    pub(super) middle: [f64; 2],
    pub(super) reach: f64,
}

impl Frame {
    pub(super) fn of(width: usize, height: usize) -> Self {
        let (w, h) = (width as f64, height as f64);
        Self { middle: [w / 2.0, h / 2.0], reach: (w * w + h * h).sqrt() / 2.0 }
    }

    /// How a point moves with each unknown, in pixels.
    fn moves(self, p: [f64; 2]) -> [[f64; UNKNOWNS]; 2] {
        let [x, y] = [0, 1].map(|c| (p[c] - self.middle[c]) / self.reach);
        [[1.0, 0.0, x, -y, x, y, x * x, x * y], [0.0, 1.0, y, x, -y, x, x * y, y * y]]
    }

    /// As a mapping of the plane.
    fn mapping(self, e: &[f64; UNKNOWNS]) -> Mat3 {
        let e = e.map(|v| v / self.reach);
        // (1 + e6 x + e7 y) in the numerator is its reverse in the denominator, to first order.
        let m = Mat3([
            [1.0 + e[2] + e[4], e[5] - e[3], e[0]],
            [e[3] + e[5], 1.0 + e[2] - e[4], e[1]],
            [-e[6], -e[7], 1.0],
        ]);
        let [x, y] = self.middle;
        let to = Mat3::scaling(1.0 / self.reach, 1.0 / self.reach) * Mat3::translation(-x, -y);
        Mat3::translation(x, y) * Mat3::scaling(self.reach, self.reach) * m * to
    }
}

/// Fits what is found, as a small change before `rough`. `None` where it does not say enough.
pub(super) fn fitted(found: &[Found], rough: &Mat3, frame: Frame) -> Option<Fit> {
    let back = rough.inverse()?;
    let mut e = [0.0; UNKNOWNS];
    let mut spread;
    let mut say = vec![1.0; found.len()];
    // Where each window should have been in the first shot, for the rough mapping to be right.
    let wanted: Vec<[f64; 2]> = found
        .iter()
        .map(|f| back.project(f.seen[0], f.seen[1]).map(|(x, y)| [x, y]))
        .collect::<Option<_>>()?;
    let moves: Vec<[[f64; UNKNOWNS]; 2]> = found.iter().map(|f| frame.moves(f.at)).collect();
    let miss = |e: &[f64; UNKNOWNS], i: usize| -> [f64; 2] {
        [0, 1].map(|c| {
            wanted[i][c] - found[i].at[c] - (0..UNKNOWNS).map(|k| moves[i][c][k] * e[k]).sum::<f64>()
        })
    };
    let mut round = 0;
    loop {
        let misses: Vec<f64> = (0..found.len())
            .map(|i| {
                let [x, y] = miss(&e, i);
                (x * x + y * y).sqrt()
            })
            .collect();
        spread = (median(&misses)? * TO_SPREAD).max(LEAST);
        if round > 0 {
            for (s, m) in say.iter_mut().zip(&misses) {
                let t = m / (CUT_OFF * spread);
                *s = if t < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 };
            }
        }
        // Sums of products, in units of the spread.
        let mut form = [[0.0; UNKNOWNS]; UNKNOWNS];
        let mut right = [0.0; UNKNOWNS];
        for (i, m) in moves.iter().enumerate() {
            for c in 0..2 {
                let w = say[i] * found[i].trust / (spread * spread);
                let r = wanted[i][c] - found[i].at[c];
                for k in 0..UNKNOWNS {
                    right[k] += w * m[c][k] * r;
                    (0..UNKNOWNS).for_each(|l| form[k][l] += w * m[c][k] * m[c][l]);
                }
            }
        }
        for k in 4..UNKNOWNS {
            form[k][k] += 1.0 / (HELD * HELD);
        }
        let doubt = inverse(form)?;
        e = std::array::from_fn(|k| (0..UNKNOWNS).map(|l| doubt[k][l] * right[l]).sum());
        round += 1;
        if round == ROUNDS {
            return Some(Fit { mapping: *rough * frame.mapping(&e), say, spread, doubt, frame });
        }
    }
}

impl Fit {
    /// How many windows have a say.
    pub(super) fn kept(&self) -> usize {
        self.say.iter().filter(|s| **s > 0.0).count()
    }

    /// The standard error of the mapping at the worst corner of a place, in pixels.
    pub(super) fn error(&self, place: PxRect) -> f64 {
        let xs = [place.x0() as f64, place.x1() as f64];
        let ys = [place.y0() as f64, place.y1() as f64];
        let at = |p: [f64; 2]| -> f64 {
            let variance = |m: &[f64; UNKNOWNS]| -> f64 {
                (0..UNKNOWNS)
                    .map(|k| (0..UNKNOWNS).map(|l| m[k] * self.doubt[k][l] * m[l]).sum::<f64>())
                    .sum()
            };
            self.frame.moves(p).iter().map(variance).sum::<f64>().max(0.0).sqrt()
        };
        xs.iter().flat_map(|x| ys.iter().map(move |y| at([*x, *y]))).fold(0.0, f64::max)
    }
}

fn median(values: &[f64]) -> Option<f64> {
    let mut all = values.to_vec();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}

/// By elimination with the largest pivot.
fn inverse(mut a: [[f64; UNKNOWNS]; UNKNOWNS]) -> Option<[[f64; UNKNOWNS]; UNKNOWNS]> {
    let mut out = [[0.0; UNKNOWNS]; UNKNOWNS];
    (0..UNKNOWNS).for_each(|i| out[i][i] = 1.0);
    for i in 0..UNKNOWNS {
        let p = (i..UNKNOWNS).max_by(|p, q| a[*p][i].abs().total_cmp(&a[*q][i].abs()))?;
        if a[p][i].abs() < 1e-12 {
            return None;
        }
        a.swap(i, p);
        out.swap(i, p);
        let k = 1.0 / a[i][i];
        a[i].iter_mut().chain(&mut out[i]).for_each(|v| *v *= k);
        let (pivot, own) = (a[i], out[i]);
        for j in (0..UNKNOWNS).filter(|j| *j != i) {
            let f = a[j][i];
            for c in 0..UNKNOWNS {
                a[j][c] -= f * pivot[c];
                out[j][c] -= f * own[c];
            }
        }
    }
    Some(out)
}
