//! The coverage of a band that fits all that is asked of it best, as the least of a quadratic form.

use super::mixture::Mixture;
use super::sparse::Sparse;
use rayon::prelude::*;

/// What is asked of the coverage x of a band.
pub(super) struct Wanted {
    /// The form's matrix among the band's pixels ...
    pub(super) smooth: Sparse,
    /// ... and what sure pixels beside them bring: the right side.
    pub(super) sides: Vec<f64>,
    /// That x be as it is mixed, and how much that weighs.
    pub(super) mixture: Option<(Mixture, f64)>,
    /// For each pixel a coverage that other evidence speaks for, and its weight; empty where there is none.
    pub(super) evidence: Vec<(f64, f64)>,
}

/// Steps after which a solution is taken as it is.
const MOST_STEPS: usize = 2000;
/// Numbers that a thread takes at a time.
const RUN: usize = 4096;
/// Least share of the first residual that is left.
const EXACT: f64 = 2e-4;

impl Wanted {
    /// The coverage, from a first guess, by conjugate gradients (Hestenes and Stiefel 1952) on the system scaled by its diagonal.
    pub(super) fn solve(&self, guess: Vec<f64>) -> Vec<f64> {
        let n = guess.len();
        let turned = self.mixture.as_ref().map(|(m, _)| m.weights.transposed(n));
        let mut room = vec![0.0; n];
        let mut x = guess;
        let mut r = vec![0.0; n];
        self.times(&x, turned.as_ref(), &mut room, &mut r);
        let b = self.right(turned.as_ref());
        r.iter_mut().zip(&b).for_each(|(r, b)| *r = b - *r);
        let scale: Vec<f64> = self.diagonal(turned.as_ref()).iter().map(|d| 1.0 / d.max(1e-12)).collect();
        let mut z: Vec<f64> = r.iter().zip(&scale).map(|(r, s)| r * s).collect();
        let mut p = z.clone();
        let mut q = vec![0.0; n];
        let mut rz = dot(&r, &z);
        let enough = EXACT * EXACT * b.iter().zip(&scale).map(|(b, s)| b * b * s).sum::<f64>();
        for _ in 0..MOST_STEPS {
            if rz <= enough || rz == 0.0 {
                break;
            }
            self.times(&p, turned.as_ref(), &mut room, &mut q);
            let step = rz / dot(&p, &q);
            x.par_iter_mut().zip(&p).with_min_len(RUN).for_each(|(x, p)| *x += step * p);
            let rest = r.par_iter_mut().zip(&q).zip(z.par_iter_mut().zip(&scale)).with_min_len(RUN);
            rest.for_each(|((r, q), (z, s))| {
                *r -= step * q;
                *z = *r * s;
            });
            let next = dot(&r, &z);
            let turn = next / rz;
            p.par_iter_mut().zip(&z).with_min_len(RUN).for_each(|(p, z)| *p = z + turn * *p);
            rz = next;
        }
        x
    }

    fn times(&self, x: &[f64], turned: Option<&Sparse>, room: &mut [f64], out: &mut [f64]) {
        self.smooth.times(x, out);
        if let (Some((m, weight)), Some(turned)) = (&self.mixture, turned) {
            m.weights.times(x, room);
            room.par_iter_mut().zip(x).with_min_len(RUN).for_each(|(r, x)| *r = x - *r);
            let room: &[f64] = room;
            out.par_iter_mut().with_min_len(RUN).enumerate().for_each(|(i, o)| {
                let back: f64 = turned.row(i).map(|(j, w)| w * room[j]).sum();
                *o += weight * (room[i] - back);
            });
        }
        for ((o, x), (_, weight)) in out.iter_mut().zip(x).zip(&self.evidence) {
            *o += weight * x;
        }
    }

    fn right(&self, turned: Option<&Sparse>) -> Vec<f64> {
        let mut b = self.sides.clone();
        if let (Some((m, weight)), Some(turned)) = (&self.mixture, turned) {
            for (i, b) in b.iter_mut().enumerate() {
                let back: f64 = turned.row(i).map(|(j, w)| w * m.sure[j]).sum();
                *b += weight * (m.sure[i] - back);
            }
        }
        b.iter_mut().zip(&self.evidence).for_each(|(b, (value, weight))| *b += weight * value);
        b
    }

    fn diagonal(&self, turned: Option<&Sparse>) -> Vec<f64> {
        let own = |i: usize| self.smooth.row(i).filter(|(j, _)| *j == i).map(|(_, w)| w).sum::<f64>();
        (0..self.sides.len())
            .map(|i| {
                let mixed = self.mixture.as_ref().zip(turned).map_or(0.0, |((_, weight), t)| {
                    weight * (1.0 + t.row(i).map(|(_, w)| w * w).sum::<f64>())
                });
                own(i) + mixed + self.evidence.get(i).map_or(0.0, |e| e.1)
            })
            .collect()
    }
}

/// In runs of a fixed length, so that however many threads there are the sum is the same to the last bit.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let run = |(a, b): (&[f64], &[f64])| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    a.par_chunks(RUN).zip(b.par_chunks(RUN)).map(run).collect::<Vec<f64>>().iter().sum()
}
