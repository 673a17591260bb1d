//! Resampling through a plane-to-plane mapping (a homography): cut-outs on to the plane they stand in.
//!
//! A result pixel at (u, v) looks at the source point s = H (u, v). There the mapping is nearly linear, with
//! Jacobian J (source pixels per result pixel); along each axis of the source the filter is stretched by
//! the length of J's row, at least 1, so that what is reduced is averaged and what is enlarged is
//! interpolated. Where H only stretches along the axes this is [`super::resample`], exactly.
//!
//! Linear light, premultiplied; outside the source is clear.

use super::filter::{Filter, LEAST_SQUARE, integral, interpolating, square};
use super::resample::{Along, Edge, Resampler};
use super::simd;
use crate::{Budget, Image, OverBudget, Pixel};
use std::sync::Arc;
use units::{Mat3, PxRect};

/// Where a result pixel looks in the source.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Look {
    /// Source coordinates.
    pub at: (f64, f64),
    /// Source pixels that one result pixel spans along x and y; at least 1.
    pub stretch: (f64, f64),
}

/// Looks through `to_source` from the centre of the pixel in column `x`, row `y`; `None` beyond the vanishing line.
#[must_use]
#[inline]
pub fn look(to_source: &Mat3, x: i64, y: i64) -> Option<Look> {
    let (u, v) = (x as f64 + 0.5, y as f64 + 0.5);
    let m = &to_source.0;
    let w = m[2][0] * u + m[2][1] * v + m[2][2];
    if w <= 0.0 {
        return None;
    }
    let sx = (m[0][0] * u + m[0][1] * v + m[0][2]) / w;
    let sy = (m[1][0] * u + m[1][1] * v + m[1][2]) / w;
    // d(sx)/du = (m00 - m20 sx) / w, and so on.
    let row = |a: f64, b: f64| (a * a + b * b).sqrt().max(1.0);
    Some(Look {
        at: (sx, sy),
        stretch: (
            row((m[0][0] - m[2][0] * sx) / w, (m[0][1] - m[2][1] * sx) / w),
            row((m[1][0] - m[2][0] * sy) / w, (m[1][1] - m[2][1] * sy) / w),
        ),
    })
}

/// The axis-by-axis form of a mapping, where it has one: no turn, no shear, no keystone.
#[must_use]
pub fn along_axes(to_source: &Mat3) -> Option<(Along, Along)> {
    let m = &to_source.0;
    let w = m[2][2];
    let plain = m[0][1] == 0.0 && m[1][0] == 0.0 && m[2][0] == 0.0 && m[2][1] == 0.0;
    let whole = w > 0.0 && m[0][0] != 0.0 && m[1][1] != 0.0;
    (plain && whole).then(|| {
        (Along { scale: m[0][0] / w, offset: m[0][2] / w }, Along { scale: m[1][1] / w, offset: m[1][2] / w })
    })
}

/// The part of `want` outside which nothing of a source that stands at `from` can be seen through the mapping.
#[must_use]
pub fn shows(from: PxRect, to_source: &Mat3, filter: Filter, want: PxRect) -> PxRect {
    if from.is_empty() {
        return PxRect::EMPTY;
    }
    let ends =
        [(want.x0(), want.y0()), (want.x1(), want.y0()), (want.x0(), want.y1()), (want.x1(), want.y1())];
    let stretch = |(x, y)| look(to_source, x, y).map(|l| l.stretch.0.max(l.stretch.1));
    let Some(stretch) = ends.into_iter().map(stretch).collect::<Option<Vec<f64>>>() else { return want };
    let reach = filter.support(stretch.into_iter().fold(1.0, f64::max)).ceil() + 1.0;
    let (x0, y0) = (from.x0() as f64 - reach, from.y0() as f64 - reach);
    let (x1, y1) = (from.x1() as f64 + reach, from.y1() as f64 + reach);
    let Some(back) = to_source.inverse() else { return want };
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (x, y) in [(x0, y0), (x1, y0), (x0, y1), (x1, y1)] {
        // A corner beyond the vanishing line: the picture of the rectangle has no bounds.
        let Some((u, v)) = back.project(x, y).filter(|&(u, v)| {
            let m = to_source.0[2];
            m[0] * u + m[1] * v + m[2] > 0.0
        }) else {
            return want;
        };
        low = [low[0].min(u), low[1].min(v)];
        high = [high[0].max(u), high[1].max(v)];
    }
    let at = |v: f64| v.clamp(-1e15, 1e15) as i64;
    PxRect::new(at(low[0].floor()), at(low[1].floor()), at(high[0].ceil()), at(high[1].ceil()))
        .intersect(want)
}

/// The definition, as a double sum in f64. The twin of [`run`], and its judge.
///
/// # Errors
/// Where the budget does not hold it.
pub fn plain<P: Pixel>(
    source: &Image<P>,
    to_source: &Mat3,
    filter: Filter,
    edge: Edge,
    want: PxRect,
    budget: &Budget,
) -> Result<Image<P>, OverBudget> {
    let mut out = Image::new(want, budget)?;
    for y in want.y0()..want.y1() {
        let row: &mut [f32] = bytemuck::cast_slice_mut(out.row_mut(y));
        for (x, o) in (want.x0()..).zip(row.chunks_exact_mut(P::CHANNELS)) {
            let Some(look) = look(to_source, x, y) else { continue };
            let reach = source.place().grow(filter.support(look.stretch.0.max(look.stretch.1)) as i64 + 2);
            if edge == Edge::Clear && !reach.contains(look.at.0.floor() as i64, look.at.1.floor() as i64) {
                continue;
            }
            let across = weights(filter, look.at.0, look.stretch.0);
            let down = weights(filter, look.at.1, look.stretch.1);
            let mut sum = [0.0f64; 4];
            for (j, wy) in &down {
                for (i, wx) in &across {
                    let p = match edge {
                        Edge::Clear => source.at(*i, *j),
                        Edge::Repeat => source.at_clamped(*i, *j),
                    };
                    for (s, &v) in sum.iter_mut().zip(bytemuck::cast_slice::<P, f32>(&[p])) {
                        *s += wx * wy * f64::from(v);
                    }
                }
            }
            for (o, s) in o.iter_mut().zip(sum) {
                *o = s as f32;
            }
        }
    }
    Ok(out)
}

/// Filter weights of the samples around a source coordinate; they sum to 1.
fn weights(filter: Filter, at: f64, stretch: f64) -> Vec<(i64, f64)> {
    let support = filter.support(stretch);
    let lo = (at - 0.5 - support).ceil() as i64;
    let hi = (at - 0.5 + support).floor() as i64;
    let raw: Vec<_> = (lo..=hi).map(|j| (j, filter.weight(j as f64 + 0.5 - at, stretch))).collect();
    let sum: f64 = raw.iter().map(|r| r.1).sum();
    raw.into_iter().map(|(j, w)| (j, w / sum)).collect()
}

/// A filter as a table, for looking up many weights.
#[derive(Clone, Debug)]
pub struct Table {
    filter: Filter,
    /// The filter itself at distances 0, 1/STEPS, 2/STEPS ... to beyond its support; for [`Filter::Sensor`] its cubic's integral
    /// at -2 and on.
    entries: Arc<[f32]>,
}

/// Entries a sample: the straight line between two of them is within 2e-6 of the filter.
const STEPS: f32 = 1024.0;

impl Table {
    /// Of a filter.
    #[must_use]
    pub fn new(filter: Filter) -> Self {
        let at = |i: usize| i as f64 / f64::from(STEPS);
        let entries = match filter {
            Filter::Sensor { .. } => {
                (0..4 * STEPS as usize + 2).map(|i| integral(at(i) - 2.0) as f32).collect()
            }
            Filter::Lanczos3 | Filter::Spline => {
                let n = (filter.support(1.0) * f64::from(STEPS)) as usize + 3;
                (0..n).map(|i| filter.weight(at(i), 1.0) as f32).collect()
            }
        };
        Self { filter, entries }
    }

    /// Which filter it is.
    #[must_use]
    pub const fn filter(&self) -> Filter {
        self.filter
    }

    /// The same filter for a source whose pixels are means over `own` pixels of the photograph.
    #[must_use]
    pub fn over(&self, own: f64) -> Self {
        let filter = match self.filter {
            Filter::Sensor { .. } => Filter::Sensor { own },
            other => other,
        };
        Self { filter, entries: Arc::clone(&self.entries) }
    }

    /// Weights of the samples around `at` into `out`, normalised; answers the first sample's index and how many.
    #[inline(always)]
    fn fill(&self, at: f64, stretch: f64, out: &mut [f32; MOST]) -> (i64, usize) {
        let support = self.filter.support(stretch);
        let lo = (at - 0.5 - support).ceil();
        let hi = (at - 0.5 + support).floor();
        let n = ((hi - lo) as usize + 1).min(MOST);
        let start = (lo + 0.5 - at) as f32;
        match self.filter {
            Filter::Sensor { own } => {
                let side = square(stretch, own);
                if side < LEAST_SQUARE {
                    for (i, o) in out.iter_mut().enumerate().take(n) {
                        *o = interpolating(lo + 0.5 - at + i as f64) as f32;
                    }
                } else {
                    let (half, last) = (0.5 * side as f32, 4.0 * STEPS);
                    for (i, o) in out.iter_mut().enumerate().take(n) {
                        let d = start + i as f32 + 2.0;
                        let to = self.between(((d + half) * STEPS).clamp(0.0, last));
                        *o = to - self.between(((d - half) * STEPS).clamp(0.0, last));
                    }
                }
            }
            Filter::Lanczos3 | Filter::Spline => {
                let step = STEPS / stretch as f32;
                let last = (self.entries.len() - 2) as f32;
                for (i, o) in out.iter_mut().enumerate().take(n) {
                    *o = self.between(((start + i as f32).abs() * step).min(last));
                }
            }
        }
        let norm = 1.0 / out.iter().take(n).sum::<f32>();
        for o in out.iter_mut().take(n) {
            *o *= norm;
        }
        (lo as i64, n)
    }

    /// The table at a place in steps, by a straight line.
    #[inline(always)]
    fn between(&self, at: f32) -> f32 {
        let k = at as usize;
        (self.entries[k + 1] - self.entries[k]).mul_add(at - k as f32, self.entries[k])
    }
}

/// The most samples along one axis that [`run`] looks at.
const MOST: usize = 32;

/// The largest stretch that [`run`] takes; beyond it the source is reduced first.
#[must_use]
pub fn most_stretch(filter: Filter) -> f64 {
    match filter {
        Filter::Lanczos3 | Filter::Spline => (MOST - 2) as f64 / (2.0 * filter.support(1.0)),
        Filter::Sensor { .. } => (MOST - 6) as f64,
    }
}

/// The same through tables and vectors. Where the mapping stretches more than [`most_stretch`], hand in a reduced
/// source: weights beyond are cut off.
///
/// # Errors
/// Where the budget does not hold it.
pub fn run<P: Pixel>(
    source: &Image<P>,
    to_source: &Mat3,
    table: &Table,
    want: PxRect,
    budget: &Budget,
) -> Result<Image<P>, OverBudget> {
    if let Some((x, y)) = along_axes(to_source) {
        return Resampler::new(table.filter, x, y, Edge::Clear, source.place(), want).run(source, budget);
    }
    let mut out = Image::new(want, budget)?;
    simd::widest(
        #[inline(always)]
        || {
            for y in want.y0()..want.y1() {
                match P::CHANNELS {
                    4 => line::<P, 4>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                    3 => line::<P, 3>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                    _ => line::<P, 1>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                }
            }
        },
    );
    Ok(out)
}

#[inline(always)]
fn line<P: Pixel, const CH: usize>(
    source: &Image<P>,
    to_source: &Mat3,
    table: &Table,
    x0: i64,
    y: i64,
    out: &mut [P],
) {
    let place = source.place();
    let samples = source.samples();
    let width = source.width();
    let (mut across, mut down) = ([0.0f32; MOST], [0.0f32; MOST]);
    let out: &mut [f32] = bytemuck::cast_slice_mut(out);
    for (x, o) in (x0..).zip(out.chunks_exact_mut(CH)) {
        let Some(look) = look(to_source, x, y) else { continue };
        let margin = table.filter.support(look.stretch.0.max(look.stretch.1)) + 1.0;
        if look.at.0 < place.x0() as f64 - margin
            || look.at.0 > place.x1() as f64 + margin
            || look.at.1 < place.y0() as f64 - margin
            || look.at.1 > place.y1() as f64 + margin
        {
            continue;
        }
        let (i0, ni) = table.fill(look.at.0, look.stretch.0, &mut across);
        let (j0, nj) = table.fill(look.at.1, look.stretch.1, &mut down);
        // The samples that exist, as a range of each axis.
        let a = (place.x0() - i0).clamp(0, ni as i64) as usize;
        let b = (place.x1() - i0).clamp(0, ni as i64) as usize;
        if a >= b {
            continue;
        }
        let mut sum = [0.0f32; CH];
        for (j, wy) in (j0..).zip(&down[..nj]) {
            if j < place.y0() || j >= place.y1() {
                continue;
            }
            let start = ((j - place.y0()) as usize * width + (i0 + a as i64 - place.x0()) as usize) * CH;
            let row = &samples[start..start + (b - a) * CH];
            let mut part = [0.0f32; CH];
            for (s, w) in row.chunks_exact(CH).zip(&across[a..b]) {
                for c in 0..CH {
                    part[c] = s[c].mul_add(*w, part[c]);
                }
            }
            for c in 0..CH {
                sum[c] = part[c].mul_add(*wy, sum[c]);
            }
        }
        o.copy_from_slice(&sum);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Rgba;

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
    fn along_the_axes_it_is_the_separable_resampling() {
        let image = pattern(PxRect::new(0, 0, 33, 27));
        let m = Mat3([[1.9, 0.0, -3.3], [0.0, 0.7, 2.0], [0.0, 0.0, 1.0]]);
        let want = PxRect::new(-2, -4, 22, 40);
        let a = plain(&image, &m, Filter::Lanczos3, Edge::Clear, want, &budget()).unwrap();
        let b = run(&image, &m, &Table::new(Filter::Lanczos3), want, &budget()).unwrap();
        for (a, b) in a.samples().iter().zip(b.samples()) {
            assert!((a - b).abs() < 5e-6, "{a} {b}");
        }
    }

    #[test]
    fn beyond_what_shows_there_is_nothing() {
        let image = pattern(PxRect::new(20, 12, 33, 25));
        // Not so far down that the last mapping nears its vanishing line, where a pixel spans the whole source.
        let want = PxRect::new(-30, -30, 60, 45);
        for (filter, m) in [Filter::Lanczos3, Filter::Sensor { own: 1.0 }]
            .into_iter()
            .flat_map(|f| mappings().map(move |m| (f, m)))
        {
            let all = plain(&image, &m, filter, Edge::Clear, want, &budget()).unwrap();
            let shows = shows(image.place(), &m, filter, want);
            let steadily = [(want.x0(), want.y0()), (want.x1(), want.y1())]
                .into_iter()
                .all(|(x, y)| look(&m, x, y).is_some());
            assert!(!steadily || shows.area() < want.area(), "{m:?} {shows:?}");
            for y in want.y0()..want.y1() {
                for x in want.x0()..want.x1() {
                    assert!(
                        shows.contains(x, y) || all.at(x, y) == Rgba::default(),
                        "{m:?} {shows:?} {x} {y}"
                    );
                }
            }
        }
    }

    fn mappings() -> impl Iterator<Item = Mat3> {
        [
            Mat3([[0.98, -0.17, 6.0], [0.17, 0.98, -4.0], [0.0, 0.0, 1.0]]),
            Mat3([[-1.6, 0.03, 70.0], [0.02, 1.4, -2.0], [0.0005, 0.002, 1.0]]),
            Mat3([[0.4, 0.1, 10.0], [0.0, 0.5, 3.0], [0.001, -0.004, 1.0]]),
            Mat3([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -0.014, 1.0]]),
        ]
        .into_iter()
    }

    #[test]
    fn tables_and_vectors_are_the_definition() {
        let image = pattern(PxRect::new(4, -3, 60, 50));
        for (filter, m) in [Filter::Lanczos3, Filter::Sensor { own: 1.0 }, Filter::Sensor { own: 2.0 }]
            .into_iter()
            .flat_map(|f| mappings().map(move |m| (f, m)))
        {
            let table = Table::new(filter);
            let want = PxRect::new(-5, -5, 60, 50);
            let a = plain(&image, &m, filter, Edge::Clear, want, &budget()).unwrap();
            let b = run(&image, &m, &table, want, &budget()).unwrap();
            let steep =
                |x, y| look(&m, x, y).is_some_and(|l| l.stretch.0.max(l.stretch.1) > most_stretch(filter));
            for y in want.y0()..want.y1() {
                for x in want.x0()..want.x1() {
                    for c in 0..4 {
                        let (a, b) = (a.at(x, y).0[c], b.at(x, y).0[c]);
                        assert!((a - b).abs() < 2e-5 || steep(x, y), "{m:?} {x},{y}: {a} {b}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_part_is_the_crop_of_the_whole_bit_for_bit() {
        let image = pattern(PxRect::new(0, 0, 60, 50));
        let m = Mat3([[1.3, 0.1, -4.0], [-0.1, 1.2, 2.0], [0.0, 0.001, 1.0]]);
        let table = Table::new(Filter::Sensor { own: 1.0 });
        let whole = run(&image, &m, &table, PxRect::new(-4, -4, 60, 60), &budget()).unwrap();
        for part in [PxRect::new(0, 0, 1, 1), PxRect::new(13, -4, 14, 60), PxRect::new(20, 20, 41, 33)] {
            let out = run(&image, &m, &table, part, &budget()).unwrap();
            assert_eq!(out.pixels(), whole.crop(part, &budget()).unwrap().pixels());
        }
    }
}
