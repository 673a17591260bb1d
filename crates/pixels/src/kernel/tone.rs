//! Tones of rows of linear light, pixel by pixel.

use super::simd;
use crate::Rgb;
use std::sync::Arc;
use units::{PxSize, math};

/// Pixels that are worked on in steps: what must go one by one, such as looking up, apart from what goes side by side.
const RUN: usize = 16;

/// A factor on each channel.
pub fn gain(gain: [f32; 3], row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for p in row {
                for c in 0..3 {
                    p.0[c] *= gain[c];
                }
            }
        },
    );
}

/// Part of the light kept, and other light added.
pub fn veil(keep: f32, light: [f32; 3], row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for p in row {
                for c in 0..3 {
                    p.0[c] = p.0[c].mul_add(keep, light[c]);
                }
            }
        },
    );
}

/// From the row by a factor of the way to another: 0 leaves it, 1 is the other, what is below 0 leads away from it.
pub fn towards(other: &[Rgb], factor: f32, row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            let (row, other): (&mut [f32], &[f32]) =
                (bytemuck::cast_slice_mut(row), bytemuck::cast_slice(other));
            for (v, o) in row.iter_mut().zip(other) {
                *v = (o - *v).mul_add(factor, *v);
            }
        },
    );
}

/// What is below 0, to 0.
pub fn not_below_black(row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || bytemuck::cast_slice_mut(row).iter_mut().for_each(|v: &mut f32| *v = v.max(0.0)),
    );
}

/// Between a row as it was and as it is now, pixel by pixel: weight 0 is as it was.
pub fn mix(before: &[Rgb], weights: &[f32], row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for ((p, b), w) in row.iter_mut().zip(before).zip(weights) {
                for c in 0..3 {
                    p.0[c] = (p.0[c] - b.0[c]).mul_add(*w, b.0[c]);
                }
            }
        },
    );
}

/// Away from the grey of the same luminance, by a factor: 0 is grey, 1 as it was.
pub fn saturation(factor: f32, luminance: [f32; 3], row: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for p in row {
                let grey = p.0[0] * luminance[0] + p.0[1] * luminance[1] + p.0[2] * luminance[2];
                for c in 0..3 {
                    p.0[c] = (p.0[c] - grey).mul_add(factor, grey);
                }
            }
        },
    );
}

/// A factor that grows with the distance from the picture's middle, in half diagonals, from `before` at `from` to
/// `after` at `to`, cubic between.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Edge {
    /// The factor where the share is 1.
    pub factor: [f32; 3],
    /// Distance where the share starts to change.
    pub from: f32,
    /// Distance where it has changed.
    pub to: f32,
    /// Share up to `from`.
    pub before: f32,
    /// Share beyond `to`.
    pub after: f32,
}

impl Edge {
    /// Row `y` from column `x0` of a picture of this size.
    pub fn run(&self, size: PxSize, x0: i64, y: i64, row: &mut [Rgb]) {
        let (w, h) = (f64::from(size.width()), f64::from(size.height()));
        let scale = 2.0 / (w * w + h * h).sqrt();
        let dy = ((y as f64 + 0.5 - h / 2.0) * scale) as f32;
        let dy_squared = dy * dy;
        // From the picture's own column, not from the row's: a part must be the crop of the whole.
        let (middle, step) = ((w / 2.0 - 0.5) as f32, scale as f32);
        let width = self.to - self.from;
        let inverse = if width > 0.0 { 1.0 / width } else { f32::MAX };
        let range = self.after - self.before;
        let slopes: [f32; 3 * RUN] = std::array::from_fn(|i| self.factor[i % 3] - 1.0);
        simd::widest(
            #[inline(always)]
            || {
                let (mut shares, mut spread) = ([0.0f32; RUN], [0.0f32; 3 * RUN]);
                for (first, run) in (x0 as i32..).step_by(RUN).zip(row.chunks_mut(RUN)) {
                    for (i, share) in (first..).zip(&mut shares) {
                        let dx = (i as f32 - middle) * step;
                        let r = dx.mul_add(dx, dy_squared).sqrt();
                        let t = ((r - self.from) * inverse).clamp(0.0, 1.0);
                        *share = (t * t * 2.0f32.mul_add(-t, 3.0)).mul_add(range, self.before);
                    }
                    for (three, share) in spread.as_chunks_mut::<3>().0.iter_mut().zip(&shares) {
                        *three = [*share; 3];
                    }
                    let run: &mut [f32] = bytemuck::cast_slice_mut(run);
                    for ((v, share), slope) in run.iter_mut().zip(&spread).zip(&slopes) {
                        *v *= slope.mul_add(*share, 1.0);
                    }
                }
            },
        );
    }
}

/// A function of each channel by itself, as a table over the bits of the number: between two powers of two the
/// entries lie at equal steps, and a straight line joins them.
#[derive(Clone, Debug)]
pub struct Curve {
    channels: [Arc<[Line; LINES]>; 3],
    lowest: f32,
    highest: f32,
    /// From a number's bits to its line.
    base: u32,
}

/// A straight piece: its value at 0, and its slope.
#[derive(Clone, Copy, Debug)]
#[repr(C, align(8))]
struct Line {
    value: f32,
    slope: f32,
}

/// Lines between two powers of two.
const PIECES: u32 = 128;
const SHIFT: u32 = 23 - PIECES.ilog2();
/// A power of two, so that the compiler sees that a masked index is in the table.
const LINES: usize = 32 * PIECES as usize;

impl Curve {
    /// From a function of channel and linear value, between 2^lowest and 2^highest; below, a straight line leads to its value
    /// at 0 (and is carried on for negative values); beyond, it is level.
    ///
    /// # Panics
    /// Where there are more than 30 powers of two between the bounds.
    #[must_use]
    pub fn from_fn(lowest: i32, highest: i32, f: impl Fn(usize, f64) -> f64) -> Self {
        let channel = |c: usize| channel((lowest, highest), |v| f(c, v));
        Self::of([channel(0), channel(1), channel(2)], (lowest, highest))
    }

    /// The same where one function does for all channels.
    ///
    /// # Panics
    /// As [`Curve::from_fn`].
    #[must_use]
    pub fn of_all(lowest: i32, highest: i32, f: impl Fn(f64) -> f64) -> Self {
        let one = channel((lowest, highest), f);
        Self::of([Arc::clone(&one), Arc::clone(&one), one], (lowest, highest))
    }

    fn of(channels: [Arc<[Line; LINES]>; 3], (lowest, highest): (i32, i32)) -> Self {
        // The largest number of the first line.
        let below = f32::from_bits(bound(lowest).to_bits() - 1);
        Self {
            channels,
            lowest: below,
            highest: bound(highest),
            base: (bound(lowest).to_bits() >> SHIFT) - 1,
        }
    }

    /// One value.
    #[inline(always)]
    #[must_use]
    pub fn at(&self, c: usize, v: f32) -> f32 {
        let Line { value, slope } = self.channels[c][self.line_of(v)];
        v.mul_add(slope, value)
    }

    #[inline(always)]
    fn line_of(&self, v: f32) -> usize {
        let bits = v.max(self.lowest).min(self.highest).to_bits();
        ((bits >> SHIFT) - self.base) as usize % LINES
    }

    /// A row.
    pub fn run(&self, row: &mut [Rgb]) {
        simd::widest(
            #[inline(always)]
            || {
                let (runs, rest) = row.as_chunks_mut::<RUN>();
                let (mut at, mut lines) = ([0u32; 3 * RUN], [Line { value: 0.0, slope: 0.0 }; 3 * RUN]);
                for run in runs {
                    let run: &mut [f32] = bytemuck::cast_slice_mut(run);
                    for (at, v) in at.iter_mut().zip(&*run) {
                        *at = self.line_of(*v) as u32;
                    }
                    for (at, line) in at.as_chunks::<3>().0.iter().zip(lines.as_chunks_mut::<3>().0) {
                        for c in 0..3 {
                            line[c] = self.channels[c][at[c] as usize % LINES];
                        }
                    }
                    for (v, line) in run.iter_mut().zip(&lines) {
                        *v = v.mul_add(line.slope, line.value);
                    }
                }
                for p in rest {
                    for c in 0..3 {
                        p.0[c] = self.at(c, p.0[c]);
                    }
                }
            },
        );
    }
}

fn bound(exponent: i32) -> f32 {
    math::exp2(f64::from(exponent)) as f32
}

/// The lines of one channel.
fn channel((lowest, highest): (i32, i32), f: impl Fn(f64) -> f64) -> Arc<[Line; LINES]> {
    assert!((1..=30).contains(&(highest - lowest)), "2^{lowest} to 2^{highest}");
    let (lowest, highest) = (bound(lowest), bound(highest));
    // The first line stands for all below, the last for all beyond.
    let base = (lowest.to_bits() >> SHIFT) - 1;
    let last = highest.to_bits() >> SHIFT;
    let line = |(a, va): (f64, f64), (b, vb): (f64, f64)| {
        let slope = (vb - va) / (b - a);
        Line { value: (va - slope * a) as f32, slope: slope as f32 }
    };
    let at = |v: f32| (f64::from(v), f(f64::from(v)));
    let level = Line { value: f(f64::from(highest)) as f32, slope: 0.0 };
    let mut lines = vec![level; LINES].into_boxed_slice();
    let mut from = at(lowest);
    lines[0] = line(at(0.0), from);
    for (i, l) in (base + 1..last).zip(&mut lines[1..]) {
        let to = at(f32::from_bits((i + 1) << SHIFT));
        *l = line(from, to);
        from = to;
    }
    let lines: Box<[Line; LINES]> = lines.try_into().expect("it was made with that many lines");
    lines.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_its_function() {
        let f = |c: usize, v: f64| (v + 0.1 * c as f64).sqrt();
        let curve = Curve::from_fn(-16, 8, f);
        for i in 0..1900 {
            let v = math::exp2(f64::from(i) / 90.0 - 14.0) as f32;
            for c in 0..3 {
                let (got, want) = (f64::from(curve.at(c, v)), f(c, f64::from(v)));
                assert!((got - want).abs() < 2e-5 * want, "{v} {c}: {got} {want}");
            }
        }
        assert_eq!(curve.at(1, 0.0), 0.1f32.sqrt());
        assert_eq!(curve.at(0, 1e9), 16.0);
        assert_eq!(curve.at(0, f32::MAX), 16.0);
    }

    #[test]
    fn no_saturation_is_grey_and_the_middle_is_not_burned() {
        let mut row = [Rgb([0.2, 0.4, 0.6])];
        saturation(0.0, [0.25, 0.5, 0.25], &mut row);
        assert_eq!(row[0], Rgb([0.4; 3]));
        let edge = Edge { factor: [0.5, 0.25, 0.0], from: 0.4, to: 0.9, before: 0.0, after: 1.0 };
        let size = PxSize::new(101, 51).unwrap();
        let mut row = vec![Rgb([1.0; 3]); 101];
        edge.run(size, 0, 25, &mut row);
        assert_eq!(row[50], Rgb([1.0; 3]));
        edge.run(size, 0, 0, &mut row);
        assert_eq!(row[0].0[2], 0.0);
    }
}
