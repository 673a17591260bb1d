//! Separable resampling: stretching a picture along its rows and columns.
//!
//! Weights are those of a [`Filter`] stretched by the reduction where the picture is reduced, and sum to 1 over
//! the whole filter. Linear light; premultiplied where there is alpha.

use super::filter::Filter;
use super::simd;
use crate::{Budget, Image, OverBudget, Pixel, Rgba};
use units::PxRect;

/// What lies outside the source.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Edge {
    /// Nothing: zero samples. For cut-outs.
    Clear,
    /// The border pixel, on and on. For backdrops.
    Repeat,
}

/// Where the result's coordinates lie in the source, along one axis: `source = scale * result + offset`, both
/// measured in pixels from the origin of their grids (a pixel's centre is at its index + 1/2).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Along {
    /// Source pixels per result pixel; negative mirrors, never 0.
    pub scale: f64,
    /// Source coordinate of the result's origin.
    pub offset: f64,
}

impl Along {
    /// One to one.
    pub const SAME: Self = Self { scale: 1.0, offset: 0.0 };

    /// From a length of `from` pixels to one of `to`.
    #[must_use]
    pub fn fit(from: u32, to: u32) -> Self {
        Self { scale: f64::from(from) / f64::from(to), offset: 0.0 }
    }
}

/// The weights of one axis for a range of result pixels.
#[derive(Clone, Debug)]
struct Taps {
    /// First source index of each result pixel, relative to the source's first.
    first: Vec<usize>,
    /// Weights of each, `count` in number (zero-padded).
    weights: Vec<f32>,
    count: usize,
}

impl Taps {
    fn new(filter: Filter, along: Along, edge: Edge, from: (i64, i64), want: (i64, i64)) -> Self {
        let stretch = along.scale.abs().max(1.0);
        let support = filter.support(stretch);
        let length = (from.1 - from.0) as usize;
        let count = ((2.0 * support).floor() as usize + 1).min(length.max(1));
        let n = (want.1 - want.0) as usize;
        let mut first = Vec::with_capacity(n);
        let mut weights = vec![0.0f32; n * count];
        for (i, taps) in (want.0..want.1).zip(weights.chunks_exact_mut(count)) {
            let centre = along.scale * (i as f64 + 0.5) + along.offset;
            let lo = (centre - 0.5 - support).ceil() as i64;
            let hi = (centre - 0.5 + support).floor() as i64;
            let raw: Vec<f64> = (lo..=hi).map(|j| filter.weight(j as f64 + 0.5 - centre, stretch)).collect();
            let sum: f64 = raw.iter().sum();
            let start = lo.clamp(from.0, (from.1 - count as i64).max(from.0));
            for (j, w) in (lo..=hi).zip(&raw) {
                let at = match edge {
                    Edge::Clear if j < from.0 || j >= from.1 => continue,
                    _ => j.clamp(from.0, (from.1 - 1).max(from.0)),
                };
                // A filter far outside a repeated border folds on to the border pixel, which `start` then is.
                let slot = (at - start).clamp(0, count as i64 - 1) as usize;
                taps[slot] += (w / sum) as f32;
            }
            first.push((start - from.0) as usize);
        }
        Self { first, weights, count }
    }

    fn of(&self, i: usize) -> (usize, &[f32]) {
        (self.first[i], &self.weights[i * self.count..(i + 1) * self.count])
    }

    /// The source indices that any of the result pixels uses.
    fn span(&self) -> (usize, usize) {
        let lo = self.first.iter().copied().min().unwrap_or(0);
        let hi = self.first.iter().copied().max().map_or(0, |f| f + self.count);
        (lo, hi)
    }
}

/// A resampling made ready for a rectangle of the result; hands it out row by row.
#[derive(Clone, Debug)]
pub struct Resampler {
    want: PxRect,
    from: PxRect,
    across: Taps,
    down: Taps,
    columns: (usize, usize),
}

impl Resampler {
    /// For `want`, a rectangle of the result's grid, out of a source that stands at `from` on its own grid.
    #[must_use]
    pub fn new(filter: Filter, x: Along, y: Along, edge: Edge, from: PxRect, want: PxRect) -> Self {
        let across = Taps::new(filter, x, edge, (from.x0(), from.x1()), (want.x0(), want.x1()));
        let down = Taps::new(filter, y, edge, (from.y0(), from.y1()), (want.y0(), want.y1()));
        let columns = across.span();
        Self { want, from, across, down, columns }
    }

    /// The rectangle of the source's grid that the result depends on.
    #[must_use]
    pub fn needs(&self) -> PxRect {
        let (y0, y1) = self.down.span();
        let (x0, x1) = self.columns;
        let f = self.from;
        PxRect::new(f.x0() + x0 as i64, f.y0() + y0 as i64, f.x0() + x1 as i64, f.y0() + y1 as i64)
            .intersect(f)
    }

    /// Row `y` of the result into `out`, which has the width of the rectangle. `scratch` is reused from row to row.
    /// The source need not be whole: what [`Resampler::needs`] names is enough.
    ///
    /// # Panics
    /// Where the source lacks a needed pixel, or the row is not in the rectangle.
    pub fn row<P: Pixel>(&self, source: &Image<P>, y: i64, scratch: &mut Vec<f32>, out: &mut [P]) {
        assert!(y >= self.want.y0() && y < self.want.y1() && out.len() == self.want.width());
        if self.from.is_empty() {
            out.fill(P::default());
            return;
        }
        let (x0, x1) = (self.columns.0, self.columns.1.min(self.from.width()));
        let left = x0 as i64 + self.from.x0() - source.place().x0();
        assert!(left >= 0, "the source begins right of what is needed");
        let left = left as usize;
        let (first, weights) = self.down.of((y - self.want.y0()) as usize);
        let ch = P::CHANNELS;
        let rows: Vec<(&[f32], f32)> = weights
            .iter()
            .enumerate()
            .filter(|&(i, &w)| w != 0.0 && first + i < self.from.height())
            .map(|(i, &w)| {
                let row = source.row(self.from.y0() + (first + i) as i64);
                (&bytemuck::cast_slice::<P, f32>(row)[left * ch..(left + x1 - x0) * ch], w)
            })
            .collect();
        scratch.clear();
        // Room for a whole last block of `gather`, whatever the taps' number.
        scratch.resize((x1 - x0 + self.across.count) * ch, 0.0);
        simd::widest(
            #[inline(always)]
            || {
                weighted_rows(&rows, &mut scratch[..(x1 - x0) * ch]);
                gather::<P>(scratch, &self.across, x0, out);
            },
        );
    }

    /// The whole rectangle.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn run<P: Pixel>(&self, source: &Image<P>, budget: &Budget) -> Result<Image<P>, OverBudget> {
        let mut out = Image::new(self.want, budget)?;
        let mut scratch = Vec::new();
        for y in self.want.y0()..self.want.y1() {
            self.row(source, y, &mut scratch, out.row_mut(y));
        }
        Ok(out)
    }
}

/// Weighted sum of rows, sample by sample, in the order of the rows.
#[inline(always)]
fn weighted_rows(rows: &[(&[f32], f32)], out: &mut [f32]) {
    const BLOCK: usize = 64;
    let mut blocks = out.chunks_exact_mut(BLOCK);
    let mut at = 0;
    for block in &mut blocks {
        let mut sum = [0.0f32; BLOCK];
        for (row, w) in rows {
            let s: &[f32; BLOCK] = row[at..at + BLOCK].try_into().expect("the slice has the block's length");
            for i in 0..BLOCK {
                sum[i] = s[i].mul_add(*w, sum[i]);
            }
        }
        block.copy_from_slice(&sum);
        at += BLOCK;
    }
    for (i, o) in blocks.into_remainder().iter_mut().enumerate() {
        let mut sum = 0.0f32;
        for (row, w) in rows {
            sum = row[at + i].mul_add(*w, sum);
        }
        *o = sum;
    }
}

/// Weighted sum along a row, pixel by pixel.
#[inline(always)]
fn gather<P: Pixel>(row: &[f32], taps: &Taps, x0: usize, out: &mut [P]) {
    match P::CHANNELS {
        4 => gather_of::<4>(row, taps, x0, bytemuck::cast_slice_mut(out)),
        3 => gather_of::<3>(row, taps, x0, bytemuck::cast_slice_mut(out)),
        _ => gather_of::<1>(row, taps, x0, bytemuck::cast_slice_mut(out)),
    }
}

/// One sum a pixel, in the order of the source: split sums would pair the samples by where the weights happen to begin,
/// which depends on the part that is asked for.
#[inline(always)]
fn gather_of<const CH: usize>(row: &[f32], taps: &Taps, x0: usize, out: &mut [f32]) {
    for (i, o) in out.chunks_exact_mut(CH).enumerate() {
        let (first, weights) = taps.of(i);
        let from = &row[(first - x0) * CH..(first - x0 + weights.len()) * CH];
        let mut sum = [0.0f32; CH];
        for (w, s) in weights.iter().zip(from.chunks_exact(CH)) {
            for c in 0..CH {
                sum[c] = s[c].mul_add(*w, sum[c]);
            }
        }
        o.copy_from_slice(&sum);
    }
}

/// Takes back what a filter overshot: coverage into 0..1, colour to at least 0.
pub fn settle(pixels: &mut [Rgba]) {
    for Rgba([r, g, b, a]) in pixels {
        *r = r.max(0.0);
        *g = g.max(0.0);
        *b = b.max(0.0);
        *a = a.clamp(0.0, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Coverage;

    fn budget() -> Budget {
        Budget::of_bytes(1 << 28)
    }

    fn pattern(place: PxRect) -> Image<Rgba> {
        Image::from_fn(place, &budget(), |x, y| {
            let h = (x.wrapping_mul(7919) ^ y.wrapping_mul(104_729)).rem_euclid(97) as f32 / 97.0;
            Rgba([h * 0.5, h * h, 1.0 - h, h])
        })
        .unwrap()
    }

    #[test]
    fn one_to_one_lanczos_changes_nothing() {
        let image = pattern(PxRect::new(0, 0, 40, 23));
        let same = Resampler::new(
            Filter::Lanczos3,
            Along::SAME,
            Along::SAME,
            Edge::Clear,
            image.place(),
            image.place(),
        );
        let out = same.run(&image, &budget()).unwrap();
        for (a, b) in image.samples().iter().zip(out.samples()) {
            assert!((a - b).abs() < 1e-6);
        }
    }

    #[test]
    fn against_the_definition() {
        // The double sum over all source pixels, straight from the definition, in f64.
        let image = pattern(PxRect::new(0, 0, 31, 22));
        for (to_x, to_y) in [(12, 9), (31, 22), (77, 40), (5, 60), (1, 1)] {
            let (x, y) = (Along::fit(31, to_x), Along { scale: -22.0 / f64::from(to_y), offset: 22.0 });
            let want = PxRect::new(0, 0, i64::from(to_x), i64::from(to_y));
            for edge in [Edge::Clear, Edge::Repeat] {
                let out = Resampler::new(Filter::Lanczos3, x, y, edge, image.place(), want)
                    .run(&image, &budget())
                    .unwrap();
                for v in 0..want.y1() {
                    for u in 0..want.x1() {
                        let taps = |along: Along, i: i64| {
                            let s = along.scale.abs().max(1.0);
                            let c = along.scale * (i as f64 + 0.5) + along.offset;
                            let lo = (c - 3.0 * s).floor() as i64 - 1;
                            let hi = (c + 3.0 * s).ceil() as i64 + 1;
                            let raw: Vec<_> = (lo..=hi)
                                .map(|j| (j, Filter::Lanczos3.weight(j as f64 + 0.5 - c, s)))
                                .collect();
                            let sum: f64 = raw.iter().map(|r| r.1).sum();
                            raw.into_iter().map(|(j, w)| (j, w / sum)).collect::<Vec<_>>()
                        };
                        let mut expected = [0.0f64; 4];
                        for (j, wy) in taps(y, v) {
                            for (i, wx) in taps(x, u) {
                                let p = match edge {
                                    Edge::Clear => image.at(i, j),
                                    Edge::Repeat => image.at_clamped(i, j),
                                };
                                for c in 0..4 {
                                    expected[c] += wx * wy * f64::from(p.0[c]);
                                }
                            }
                        }
                        for c in 0..4 {
                            let got = f64::from(out.at(u, v).0[c]);
                            assert!(
                                (got - expected[c]).abs() < 3e-6,
                                "{to_x}x{to_y} {edge:?} {u},{v}: {got} {}",
                                expected[c]
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_part_is_the_crop_of_the_whole_bit_for_bit() {
        let image = pattern(PxRect::new(-5, 3, 60, 70));
        let (x, y) = (Along { scale: 1.7, offset: -4.2 }, Along { scale: 0.6, offset: 2.9 });
        let make = |want| {
            Resampler::new(Filter::Lanczos3, x, y, Edge::Clear, image.place(), want)
                .run(&image, &budget())
                .unwrap()
        };
        let whole = make(PxRect::new(-10, -10, 60, 130));
        for part in [PxRect::new(3, 7, 4, 8), PxRect::new(-10, 20, 31, 25), PxRect::new(50, 100, 60, 130)] {
            assert_eq!(make(part).pixels(), whole.crop(part, &budget()).unwrap().pixels());
        }
    }

    #[test]
    fn a_flat_border_stays_flat_when_it_is_repeated() {
        let image = Image::from_fn(PxRect::new(0, 0, 9, 9), &budget(), |_, _| Coverage(0.25)).unwrap();
        let out = Resampler::new(
            Filter::Lanczos3,
            Along::fit(9, 40),
            Along::fit(9, 4),
            Edge::Repeat,
            image.place(),
            PxRect::new(-20, -3, 60, 9),
        )
        .run(&image, &budget())
        .unwrap();
        assert!(out.pixels().iter().all(|c| (c.0 - 0.25).abs() < 1e-6));
    }
}
