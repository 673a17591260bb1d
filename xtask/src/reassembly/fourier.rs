//! The discrete Fourier transform, for lengths that are products of 2, 3 and 5: the self-sorting form of Stockham (as in
//! Van Loan, Computational Frameworks for the Fast Fourier Transform, 1992, 1.7), in mixed radix.

use std::array;
use std::f64::consts::TAU;
use units::math;

/// Real and imaginary part.
pub(super) type Complex = [f64; 2];

/// A transform of one length.
pub(super) struct Fourier {
    length: usize,
    factors: Vec<usize>,
    /// exp(-2 pi i k / length).
    roots: Vec<Complex>,
}

/// The least even length from `least` on that can be transformed.
pub(super) fn good_length(least: usize) -> usize {
    (least..).find(|n| n.is_multiple_of(2) && factors(*n).is_some()).unwrap_or(least)
}

/// 4 before 2: fewer passes.
fn factors(mut n: usize) -> Option<Vec<usize>> {
    let mut found = Vec::new();
    for p in [4, 2, 3, 5] {
        while n > 1 && n.is_multiple_of(p) {
            n /= p;
            found.push(p);
        }
    }
    (n == 1).then_some(found)
}

fn times(a: Complex, b: Complex) -> Complex {
    [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]]
}

impl Fourier {
    /// For a length that [`good_length`] names.
    pub(super) fn new(length: usize) -> Self {
        let factors = factors(length).unwrap_or_default();
        let root = |k: usize| {
            let angle = -TAU * k as f64 / length as f64;
            [math::cos(angle), math::sin(angle)]
        };
        Self { length, factors, roots: (0..length).map(root).collect() }
    }

    /// Transforms each line of a plane.
    fn lines(&self, plane: &mut [Complex]) {
        let mut room = vec![[0.0; 2]; self.length];
        for line in plane.chunks_exact_mut(self.length) {
            let (mut rest, mut stride) = (self.length, 1);
            for p in &self.factors {
                match p {
                    4 => self.pass::<4>(rest, stride, line, &mut room),
                    2 => self.pass::<2>(rest, stride, line, &mut room),
                    3 => self.pass::<3>(rest, stride, line, &mut room),
                    _ => self.pass::<5>(rest, stride, line, &mut room),
                }
                line.copy_from_slice(&room);
                rest /= p;
                stride *= p;
            }
        }
    }

    fn pass<const P: usize>(&self, rest: usize, stride: usize, from: &[Complex], to: &mut [Complex]) {
        let m = rest / P;
        let part = self.length / P;
        let small: [[Complex; P]; P] = array::from_fn(|t| array::from_fn(|r| self.roots[r * t % P * part]));
        for k in 0..m {
            let turns: [Complex; P] = array::from_fn(|t| self.roots[k * t * stride]);
            for q in 0..stride {
                let a: [Complex; P] = array::from_fn(|r| from[q + stride * (k + m * r)]);
                for t in 0..P {
                    let mut sum = a[0];
                    for r in 1..P {
                        let [re, im] = times(a[r], small[t][r]);
                        sum = [sum[0] + re, sum[1] + im];
                    }
                    to[q + stride * (P * k + t)] = times(sum, turns[t]);
                }
            }
        }
    }
}

/// Filters a plane of two real pictures (one in the real, one in the imaginary parts) that repeats itself beyond its edges.
pub(super) struct Filtering {
    across: Fourier,
    down: Fourier,
}

impl Filtering {
    pub(super) fn new(width: usize, height: usize) -> Self {
        Self { across: Fourier::new(width), down: Fourier::new(height) }
    }

    /// Multiplies with a real, even transfer function: `transfer(i, j)` of the i-th frequency across and the j-th down, both up to half
    /// the length.
    pub(super) fn run(&self, plane: &mut [Complex], transfer: impl Fn(usize, usize) -> f64) {
        let (w, h) = (self.across.length, self.down.length);
        self.across.lines(plane);
        let mut turned = transposed(plane, w);
        self.down.lines(&mut turned);
        let (half, area) = (h / 2, (w * h) as f64);
        let mut factors = Vec::new();
        for i in 0..=w / 2 {
            factors.clear();
            factors.extend((0..=half).map(|j| transfer(i, j) / area));
            let mirrored = (w - i) % w;
            for x in [i, mirrored].into_iter().take(if mirrored == i { 1 } else { 2 }) {
                for (y, v) in turned[x * h..(x + 1) * h].iter_mut().enumerate() {
                    let f = factors[y.min(h - y)];
                    // Parts exchanged before and after make the forward transform the inverse one.
                    *v = [v[1] * f, v[0] * f];
                }
            }
        }
        self.down.lines(&mut turned);
        plane.copy_from_slice(&transposed(&turned, h));
        self.across.lines(plane);
        plane.iter_mut().for_each(|v| v.swap(0, 1));
    }
}

/// Columns as rows; by blocks, which the cache holds.
fn transposed(plane: &[Complex], width: usize) -> Vec<Complex> {
    const BLOCK: usize = 16;
    let height = plane.len() / width;
    let mut out = vec![[0.0; 2]; plane.len()];
    for y0 in (0..height).step_by(BLOCK) {
        for x0 in (0..width).step_by(BLOCK) {
            for y in y0..(y0 + BLOCK).min(height) {
                for x in x0..(x0 + BLOCK).min(width) {
                    out[x * height + y] = plane[y * width + x];
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_transform_is_the_sum_that_defines_it() {
        for n in [2, 8, 30, 60, 90] {
            let line: Vec<Complex> = (0..n).map(|i| [(i * i % 7) as f64, (i % 5) as f64 - 1.0]).collect();
            let fourier = Fourier::new(n);
            let mut got = line.clone();
            fourier.lines(&mut got);
            for (k, got) in got.iter().enumerate() {
                let sum = line.iter().enumerate().fold([0.0, 0.0], |sum, (i, v)| {
                    let [re, im] = times(*v, fourier.roots[i * k % n]);
                    [sum[0] + re, sum[1] + im]
                });
                assert!((got[0] - sum[0]).abs() + (got[1] - sum[1]).abs() < 1e-10, "{n}: {k}");
            }
        }
        assert_eq!([good_length(2), good_length(7), good_length(61), good_length(97)], [2, 8, 64, 100]);
    }

    #[test]
    fn a_filter_that_lets_all_through_changes_nothing() {
        let plane: Vec<Complex> = (0..12 * 10).map(|i| [(i * 7 % 11) as f64, (i % 3) as f64]).collect();
        let mut got = plane.clone();
        Filtering::new(12, 10).run(&mut got, |_, _| 1.0);
        assert!(plane.iter().zip(&got).all(|(a, b)| (a[0] - b[0]).abs() + (a[1] - b[1]).abs() < 1e-12));
        // Only the mean gets through.
        Filtering::new(12, 10).run(&mut got, |i, j| f64::from(u8::from(i + j == 0)));
        let mean = plane.iter().map(|v| v[0]).sum::<f64>() / 120.0;
        assert!(got.iter().all(|v| (v[0] - mean).abs() < 1e-12));
    }
}
