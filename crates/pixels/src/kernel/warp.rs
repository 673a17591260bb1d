//! Resampling through a plane-to-plane mapping (a homography): cut-outs on to the plane they stand in.
//!
//! A result pixel at (u, v) looks at the source point s = H (u, v). There the mapping is nearly linear, with
//! Jacobian J (source pixels per result pixel); along each axis of the source the filter is stretched by
//! the length of J's row, at least 1, so that what is reduced is averaged and what is enlarged is
//! interpolated. Where H only stretches along the axes this is [`super::resample`], exactly.
//!
//! Linear light, premultiplied; outside the source is clear.

mod table;

use super::filter::Filter;
use super::resample::{Along, Edge, Resampler};
use super::simd;
use crate::{Budget, Image, OverBudget, Pixel};
use table::{MOST, TAPS};
pub use table::{Table, most_stretch};
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
        return Resampler::new(table.filter(), x, y, Edge::Clear, source.place(), want).run(source, budget);
    }
    let mut out = Image::new(want, budget)?;
    simd::widest(
        #[inline(always)]
        || {
            for y in want.y0()..want.y1() {
                match P::CHANNELS {
                    4 => line::<P, 4, { 4 * TAPS }>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                    3 => line::<P, 3, { 3 * TAPS }>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                    _ => line::<P, 1, TAPS>(source, to_source, table, want.x0(), y, out.row_mut(y)),
                }
            }
        },
    );
    Ok(out)
}

/// Pixels of a row that look at once.
const RUN: usize = 16;

/// Where a run of pixels looks, as [`look`] has it, with the stretches squared.
#[derive(Default)]
struct Looks {
    x: [f64; RUN],
    y: [f64; RUN],
    across: [f32; RUN],
    down: [f32; RUN],
    before_the_vanishing_line: [bool; RUN],
}

impl Looks {
    #[inline(always)]
    fn through(&mut self, to_source: &Mat3, x0: i64, y: i64) {
        let m = &to_source.0;
        let (first, v) = (x0 as f64 + 0.5, y as f64 + 0.5);
        let row = |m: &[f64; 3]| m[1].mul_add(v, m[2]);
        let (mx, my, mw) = (row(&m[0]), row(&m[1]), row(&m[2]));
        for i in 0..RUN {
            let u = first + i as f64;
            let w = m[2][0].mul_add(u, mw);
            let inverse = 1.0 / w;
            let (x, y) = (m[0][0].mul_add(u, mx) * inverse, m[1][0].mul_add(u, my) * inverse);
            let squared = |row: &[f64; 3], at: f64| {
                let a = (-m[2][0]).mul_add(at, row[0]) * inverse;
                let b = (-m[2][1]).mul_add(at, row[1]) * inverse;
                a.mul_add(a, b * b) as f32
            };
            (self.x[i], self.y[i]) = (x, y);
            (self.across[i], self.down[i]) = (squared(&m[0], x), squared(&m[1], y));
            self.before_the_vanishing_line[i] = w > 0.0;
        }
    }
}

/// A row of the result. [`TAPS`] samples of a source row, which are `BLOCK` numbers, are summed side by side.
#[inline(always)]
fn line<P: Pixel, const CH: usize, const BLOCK: usize>(
    source: &Image<P>,
    to_source: &Mat3,
    table: &Table,
    x0: i64,
    y: i64,
    out: &mut [P],
) {
    let place = source.place();
    let samples = source.samples();
    let pitch = source.width() * CH;
    let (mut across, mut down) = ([0.0f32; MOST], [0.0f32; MOST]);
    let mut parts = [[0.0f32; BLOCK]; MOST / TAPS];
    let mut looks = Looks::default();
    let reach = table.reach();
    let near_x = place.x0() as f64 - reach..place.x1() as f64 + reach;
    let near_y = place.y0() as f64 - reach..place.y1() as f64 + reach;
    let out: &mut [f32] = bytemuck::cast_slice_mut(out);
    for (first, run) in (x0..).step_by(RUN).zip(out.chunks_mut(RUN * CH)) {
        looks.through(to_source, first, y);
        for (i, o) in run.as_chunks_mut::<CH>().0.iter_mut().enumerate() {
            let (x, y) = (looks.x[i], looks.y[i]);
            if !(looks.before_the_vanishing_line[i] && near_x.contains(&x) && near_y.contains(&y)) {
                continue;
            }
            let (i0, columns) = table.weights(x, looks.across[i], &mut across);
            let (j0, rows) = table.weights(y, looks.down[i], &mut down);
            // From the first sample that exists.
            let (i0, j0) = (i0 - place.x0(), j0 - place.y0());
            let skipped = (-j0).clamp(0, rows as i64);
            let rows = skipped as usize..(place.height() as i64 - j0).clamp(skipped, rows as i64) as usize;
            if rows.is_empty() {
                continue;
            }
            let blocks = columns.div_ceil(TAPS);
            let whole = i0 >= 0 && i0 as usize + blocks * TAPS <= place.width();
            let parts = &mut parts[..blocks];
            if whole {
                let mut at = (j0 + rows.start as i64) as usize * pitch + i0 as usize * CH;
                for part in parts.iter_mut() {
                    *part = weighted_rows(&samples[at..], pitch, &down[rows.clone()]);
                    at += BLOCK;
                }
            } else {
                for (left, part) in (i0..).step_by(TAPS).zip(parts.iter_mut()) {
                    *part = [0.0; BLOCK];
                    for (j, w) in rows.clone().zip(&down[rows.clone()]) {
                        let row = &samples[(j0 + j as i64) as usize * pitch..][..pitch];
                        for (tap, part) in (left..).zip(part.as_chunks_mut::<CH>().0) {
                            if (0..place.width() as i64).contains(&tap) {
                                for (part, s) in part.iter_mut().zip(&row[tap as usize * CH..][..CH]) {
                                    *part = s.mul_add(*w, *part);
                                }
                            }
                        }
                    }
                }
            }
            // Set apart from the rows' sums: a compiler that sees both at once makes narrow vectors of them.
            let mut sum = [0.0f32; CH];
            for (part, weights) in parts.iter().zip(across.as_chunks::<TAPS>().0) {
                for (tap, w) in part.as_chunks::<CH>().0.iter().zip(weights) {
                    for c in 0..CH {
                        sum[c] = tap[c].mul_add(*w, sum[c]);
                    }
                }
            }
            *o = sum;
        }
    }
}

/// Weighted sums of rows that lie `pitch` apart.
#[inline(always)]
fn weighted_rows<const BLOCK: usize>(samples: &[f32], pitch: usize, weights: &[f32]) -> [f32; BLOCK] {
    let mut sum = [0.0f32; BLOCK];
    for (row, w) in samples.chunks(pitch).zip(weights) {
        let row: &[f32; BLOCK] = row[..BLOCK].try_into().expect("the slice has the block's length");
        for k in 0..BLOCK {
            sum[k] = row[k].mul_add(*w, sum[k]);
        }
    }
    sum
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
