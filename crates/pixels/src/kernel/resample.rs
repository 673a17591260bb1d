//! Separable resampling: stretching a picture along its rows and columns.
//!
//! Weights are those of a [`Filter`] stretched by the reduction where the picture is reduced, and sum to 1 over
//! the whole filter. Linear light; premultiplied where there is alpha.

use super::filter::Filter;
use super::simd;
use crate::{Budget, Image, OverBudget, Pixel, Rgba};
use std::ops::Range;
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
    /// First source index of each result pixel, relative to the source's first: up to `count` before it, or just beyond its
    /// last. Rises or falls steadily.
    first: Vec<isize>,
    /// The source index just before each result pixel's centre, counted from `first`.
    near: Vec<isize>,
    /// Weights of each, `count` in number (zero-padded).
    weights: Vec<f32>,
    count: usize,
}

impl Taps {
    fn new(filter: Filter, along: Along, edge: Edge, from: (i64, i64), want: (i64, i64)) -> Self {
        let stretch = along.scale.abs().max(1.0);
        let support = filter.support(stretch);
        let count = (2.0 * support).floor() as usize + 1;
        let n = (want.1 - want.0) as usize;
        let (mut first, mut near) = (Vec::with_capacity(n), Vec::with_capacity(n));
        let mut weights = vec![0.0f32; n * count];
        let mut raw = Vec::with_capacity(count);
        for (i, taps) in (want.0..want.1).zip(weights.chunks_exact_mut(count)) {
            let centre = along.scale * (i as f64 + 0.5) + along.offset;
            let lo = (centre - 0.5 - support).ceil() as i64;
            let hi = (centre - 0.5 + support).floor() as i64;
            raw.clear();
            raw.extend((lo..=hi).map(|j| filter.weight(j as f64 + 0.5 - centre, stretch)));
            let sum: f64 = raw.iter().sum();
            // Where nothing of the source is in reach, any place near it will do: there are no weights.
            let start = match edge {
                Edge::Clear => lo.clamp(from.0 - count as i64, from.1),
                Edge::Repeat => lo.clamp(from.0, (from.1 - count as i64).max(from.0)),
            };
            for (j, w) in (lo..=hi).zip(&raw) {
                let at = match edge {
                    Edge::Clear if j < from.0 || j >= from.1 => continue,
                    _ => j.clamp(from.0, (from.1 - 1).max(from.0)),
                };
                // A filter far outside a repeated border folds on to the border pixel, which `start` then is.
                let slot = (at - start).clamp(0, count as i64 - 1) as usize;
                taps[slot] += (w / sum) as f32;
            }
            first.push((start - from.0) as isize);
            near.push(((centre - 0.5).floor() as i64 - start) as isize);
        }
        Self { first, near, weights, count }
    }

    fn of(&self, i: usize) -> (isize, &[f32]) {
        (self.first[i], &self.weights[i * self.count..(i + 1) * self.count])
    }

    /// The source indices that a range of the result pixels uses, of those that exist.
    fn span(&self, part: Range<usize>, length: usize) -> Range<usize> {
        let Some((&a, &b)) = self.first[part.clone()].first().zip(self.first[part].last()) else {
            return 0..0;
        };
        let exists = |i: isize| i.clamp(0, length as isize) as usize;
        exists(a.min(b))..exists(a.max(b) + self.count as isize)
    }
}

/// A resampling made ready for a rectangle of the result; hands it out in parts.
#[derive(Clone, Debug)]
pub struct Resampler {
    want: PxRect,
    from: PxRect,
    across: Taps,
    down: Taps,
    between: bool,
}

/// Rows that are made together: a weight along the row is then fetched once for all of them, and their samples lie side by
/// side, as wide as a vector whatever the number of channels.
pub const TOGETHER: usize = 8;

/// Columns of those rows that are made before they are set out.
const COLUMNS: usize = 16;

impl Resampler {
    /// For `want`, a rectangle of the result's grid, out of a source that stands at `from` on its own grid.
    #[must_use]
    pub fn new(filter: Filter, x: Along, y: Along, edge: Edge, from: PxRect, want: PxRect) -> Self {
        let across = Taps::new(filter, x, edge, (from.x0(), from.x1()), (want.x0(), want.x1()));
        let down = Taps::new(filter, y, edge, (from.y0(), from.y1()), (want.y0(), want.y1()));
        Self { want, from, across, down, between: false }
    }

    /// The same, but along each axis a result keeps to the range of the two source samples that it lies between, give or take an
    /// eighth, and never falls below 0 between two that do not: for enlarging light, where a filter's overshoot would ring
    /// around whatever is much brighter than its neighbourhood.
    #[must_use]
    pub fn between(mut self) -> Self {
        let enlarges = |taps: &Taps| taps.near.iter().all(|&n| n >= 0 && n + 1 < taps.count as isize);
        self.between = enlarges(&self.across) && enlarges(&self.down);
        self
    }

    /// The rectangle of the source's grid that the result depends on.
    #[must_use]
    pub fn needs(&self) -> PxRect {
        let f = self.from;
        let x = self.across.span(0..self.want.width(), f.width());
        let y = self.down.span(0..self.want.height(), f.height());
        let at = |first: i64, i: usize| first + i as i64;
        PxRect::new(at(f.x0(), x.start), at(f.y0(), y.start), at(f.x0(), x.end), at(f.y0(), y.end))
    }

    /// A part of the result into `out`, row by row. `room` is reused from part to part. The source need not be whole: what
    /// [`Resampler::needs`] names is enough.
    ///
    /// # Panics
    /// Where the source lacks a needed pixel, the part is not in the rectangle, or `out` has not its size.
    pub fn part<P: Pixel>(&self, source: &Image<P>, part: PxRect, room: &mut Room, out: &mut [P]) {
        assert!(self.want.intersect(part) == part && out.len() == part.area(), "{part:?} in {:?}", self.want);
        if part.is_empty() || self.from.is_empty() {
            out.fill(P::default());
            return;
        }
        let first = (part.x0() - self.want.x0()) as usize;
        let columns = first..first + part.width();
        for (y, rows) in (part.y0()..).step_by(TOGETHER).zip(out.chunks_mut(TOGETHER * part.width())) {
            let out: &mut [f32] = bytemuck::cast_slice_mut(rows);
            let columns = columns.clone();
            match (P::CHANNELS, self.between) {
                (4, false) => self.together::<P, 4, { 4 * TOGETHER }, false>(source, y, columns, room, out),
                (4, true) => self.together::<P, 4, { 4 * TOGETHER }, true>(source, y, columns, room, out),
                (3, false) => self.together::<P, 3, { 3 * TOGETHER }, false>(source, y, columns, room, out),
                (3, true) => self.together::<P, 3, { 3 * TOGETHER }, true>(source, y, columns, room, out),
                (_, false) => self.together::<P, 1, TOGETHER, false>(source, y, columns, room, out),
                (_, true) => self.together::<P, 1, TOGETHER, true>(source, y, columns, room, out),
            }
        }
    }

    /// Up to [`TOGETHER`] rows from `y` on; `WIDE` samples stand side by side for a column.
    fn together<P: Pixel, const CH: usize, const WIDE: usize, const BETWEEN: bool>(
        &self,
        source: &Image<P>,
        y: i64,
        columns: Range<usize>,
        room: &mut Room,
        out: &mut [f32],
    ) {
        let length = self.from.width();
        let span = self.across.span(columns.clone(), length);
        let left = span.start as i64 + self.from.x0() - source.place().x0();
        assert!(left >= 0, "the source begins right of what is needed");
        let left = left as usize * CH;
        let samples = span.len() * CH;
        // What lies beside the source is clear: as many columns as a filter that hangs over its end looks at.
        let pad = self.across.count;
        let needed = (span.len() + 2 * pad) * WIDE;
        if room.columns.len() < needed {
            room.columns.resize(needed, 0.0);
        }
        room.columns[..pad * WIDE].fill(0.0);
        room.columns[needed - pad * WIDE..needed].fill(0.0);
        let count = out.len() / (columns.len() * CH);
        let clear = if BETWEEN { vec![0.0; samples] } else { Vec::new() };
        let row = |j: isize| {
            let exists = j >= 0 && j < self.from.height() as isize;
            let row = exists.then(|| source.row(self.from.y0() + j as i64))?;
            Some(&bytemuck::cast_slice::<P, f32>(row)[left..left + samples])
        };
        let mut sums: [Sum<'_>; TOGETHER] = Default::default();
        for (r, sum) in sums.iter_mut().enumerate().take(count) {
            let i = (y - self.want.y0()) as usize + r;
            let (first, weights) = self.down.of(i);
            let used = (first..).zip(weights).filter(|(_, w)| **w != 0.0);
            sum.rows.extend(used.filter_map(|(j, &w)| Some((row(j)?, w))));
            if BETWEEN {
                let near = first + self.down.near[i];
                sum.near = [near, near + 1].map(|j| row(j).unwrap_or(&clear));
            }
        }
        let side_by_side = &mut room.columns[pad * WIDE..needed - pad * WIDE];
        simd::widest(
            #[inline(always)]
            || weighted_rows::<CH, WIDE, BETWEEN>(&sums[..count], side_by_side),
        );
        let line = columns.len() * CH;
        simd::widest(
            #[inline(always)]
            || {
                let mut done = [0.0f32; COLUMNS * 4 * TOGETHER];
                for first in (0..columns.len()).step_by(COLUMNS) {
                    let run = first..(first + COLUMNS).min(columns.len());
                    for (i, done) in run.clone().zip(done.as_chunks_mut::<WIDE>().0) {
                        let column = columns.start + i;
                        let (first, weights) = self.across.of(column);
                        let at = (first - span.start as isize + pad as isize) as usize;
                        let from = room.columns[at * WIDE..(at + weights.len()) * WIDE].as_chunks::<WIDE>().0;
                        *done = along(from, weights);
                        if BETWEEN {
                            let near = self.across.near[column] as usize;
                            keep_between(&from[near], &from[near + 1], done);
                        }
                    }
                    for r in 0..count {
                        let out =
                            out[r * line + run.start * CH..r * line + run.end * CH].as_chunks_mut::<CH>().0;
                        for (to, from) in out.iter_mut().zip(done.as_chunks::<WIDE>().0) {
                            to.copy_from_slice(&from[r * CH..][..CH]);
                        }
                    }
                }
            },
        );
    }

    /// The whole rectangle.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn run<P: Pixel>(&self, source: &Image<P>, budget: &Budget) -> Result<Image<P>, OverBudget> {
        let mut out = Image::unset(self.want, budget)?;
        self.part(source, self.want, &mut Room::default(), out.pixels_mut());
        Ok(out)
    }
}

/// What [`Resampler::part`] reuses from part to part.
#[derive(Default, Debug)]
pub struct Room {
    columns: Vec<f32>,
}

/// What a row is made from: source rows with their weights, and the two that it lies between.
#[derive(Default)]
struct Sum<'a> {
    rows: Vec<(&'a [f32], f32)>,
    near: [&'a [f32]; 2],
}

/// Weighted sums of rows, sample by sample, each in the order of its rows; the sums side by side for a column.
#[inline(always)]
fn weighted_rows<const CH: usize, const WIDE: usize, const BETWEEN: bool>(sums: &[Sum<'_>], out: &mut [f32]) {
    /// Of whole pixels, whatever the channels.
    const BLOCK: usize = 48;
    /// As many samples of all rows that are made together as stay in the first cache.
    const STRIP: usize = 4 * BLOCK;
    // The sums stand in a row before they are set apart: a compiler that sees both at once makes narrow vectors of them.
    let mut strip = [0.0f32; STRIP];
    for (at, out) in (0..).step_by(STRIP).zip(out.chunks_mut(STRIP / CH * WIDE)) {
        let strip = &mut strip[..out.len() / WIDE * CH];
        for (r, sum) in sums.iter().enumerate() {
            let mut at = at;
            let (blocks, rest) = strip.as_chunks_mut::<BLOCK>();
            for block in blocks {
                sum.samples(at, block);
                at += BLOCK;
            }
            for pixel in rest.as_chunks_mut::<CH>().0 {
                sum.samples(at, pixel);
                at += CH;
            }
            if BETWEEN {
                let [a, b] = sum.near.map(|row| &row[at - strip.len()..]);
                keep_between(a, b, strip);
            }
            for (to, from) in out.as_chunks_mut::<WIDE>().0.iter_mut().zip(strip.as_chunks::<CH>().0) {
                to[r * CH..][..CH].copy_from_slice(from);
            }
        }
    }
}

impl Sum<'_> {
    /// The samples from `at` on.
    #[inline(always)]
    fn samples<const N: usize>(&self, at: usize, out: &mut [f32; N]) {
        let mut sum = [0.0f32; N];
        for (row, w) in &self.rows {
            let s = block_of::<N>(row, at);
            for i in 0..N {
                sum[i] = s[i].mul_add(*w, sum[i]);
            }
        }
        *out = sum;
    }
}

#[inline(always)]
fn block_of<const N: usize>(row: &[f32], at: usize) -> &[f32; N] {
    row[at..at + N].try_into().expect("the slice has the block's length")
}

/// Weighted sum along the rows that stand side by side, column by column: in the order of the source, whatever the part.
#[inline(always)]
fn along<const WIDE: usize>(columns: &[[f32; WIDE]], weights: &[f32]) -> [f32; WIDE] {
    let mut sum = [0.0f32; WIDE];
    for (w, column) in weights.iter().zip(columns) {
        for i in 0..WIDE {
            sum[i] = column[i].mul_add(*w, sum[i]);
        }
    }
    sum
}

/// Share of two samples' difference by which what lies between them may leave it: crests are higher than the samples beside them.
const SLACK: f32 = 0.125;

#[inline(always)]
fn keep_between(a: &[f32], b: &[f32], sums: &mut [f32]) {
    for ((&a, &b), sum) in a.iter().zip(b).zip(sums) {
        let (low, high) = (a.min(b), a.max(b));
        let slack = (high - low) * SLACK;
        *sum = sum.max((low - slack).max(low.min(0.0))).min(high + slack);
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
    fn between_two_samples_it_is_between_them() {
        // One bright sample: its filter rings, and must not.
        let mut image = Image::<Rgba>::new(PxRect::new(0, 0, 15, 13), &budget()).unwrap();
        image.row_mut(6)[7] = Rgba([100.0, 10.0, 1.0, 1.0]);
        let up = Along { scale: 0.2, offset: 0.0 };
        let want = PxRect::new(0, 0, 75, 65);
        let new = || Resampler::new(Filter::Lanczos3, up, up, Edge::Clear, image.place(), want);
        let free = new().run(&image, &budget()).unwrap();
        assert!(free.samples().iter().any(|v| *v < -1.0));
        let kept = new().between().run(&image, &budget()).unwrap();
        for y in 0..65 {
            for x in 0..75 {
                let p = kept.at(x, y).0[0];
                let near = (x - 37).abs() < 5 && (y - 32).abs() < 5;
                assert!(if near { (0.0..=128.0).contains(&p) } else { p.abs() < 1e-12 }, "{x} {y}: {p}");
            }
        }
        assert_eq!(kept.at(37, 32), image.at(7, 6));
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
