//! Spreads every pixel of a picture over its neighbourhood: defocus by a known aperture.
//!
//! Linear light, colour and coverage together and premultiplied; what lies outside the source is clear.

use super::aperture::Spread;
use super::simd;
use crate::{Budget, Image, OverBudget, Pixel};
use units::PxRect;

/// The rectangle of the source that `want` depends on.
#[must_use]
pub fn needs(spread: &Spread, want: PxRect) -> PxRect {
    want.grow(spread.reach() as i64)
}

/// The definition: every result pixel is the weighted sum of the source around it, in row order. The twin of
/// [`run`], and its judge.
///
/// # Errors
/// Where the budget does not hold it.
pub fn plain<P: Pixel>(
    source: &Image<P>,
    spread: &Spread,
    want: PxRect,
    budget: &Budget,
) -> Result<Image<P>, OverBudget> {
    let n = spread.reach() as i64;
    let mut out = Image::new(want, budget)?;
    for y in want.y0()..want.y1() {
        let row: &mut [f32] = bytemuck::cast_slice_mut(out.row_mut(y));
        for (x, o) in (want.x0()..).zip(row.chunks_exact_mut(P::CHANNELS)) {
            let mut sum = [0.0f64; 4];
            for dy in -n..=n {
                for (dx, &w) in (-n..).zip(spread.row(dy)) {
                    let p = source.at(x - dx, y - dy);
                    for (s, &v) in sum.iter_mut().zip(bytemuck::cast_slice::<P, f32>(&[p])) {
                        *s += f64::from(w) * f64::from(v);
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

/// The same, many pixels at a time: a block of results stays in the processor's registers while all weights
/// pass over it.
///
/// # Errors
/// Where the budget does not hold it.
pub fn run<P: Pixel>(
    source: &Image<P>,
    spread: &Spread,
    want: PxRect,
    budget: &Budget,
) -> Result<Image<P>, OverBudget> {
    let mut out = Image::unset(want, budget)?;
    if want.is_empty() {
        return Ok(out);
    }
    let n = spread.reach() as i64;
    // The source with a clear border, as wide as a whole number of blocks needs.
    let ch = P::CHANNELS;
    let blocks = (want.width() * ch).div_ceil(BLOCK);
    let padded = needs(spread, want);
    let padded = PxRect::new(
        padded.x0(),
        padded.y0(),
        padded.x0() + 2 * n + (blocks * BLOCK).div_ceil(ch) as i64,
        padded.y1(),
    );
    let source = source.crop(padded, budget)?;
    let lines = lines(spread);
    let width = want.width() * ch;
    let reach = 2 * n as usize * ch;
    simd::widest(
        #[inline(always)]
        || {
            let mut all = vec![0.0f32; blocks * BLOCK];
            let mut sources = vec![0.0f32; lines.len() * (STRIP + reach)];
            for y in want.y0()..want.y1() {
                for (first, strip) in (0..).step_by(STRIP).zip(all.chunks_mut(STRIP)) {
                    for (line, from) in lines.iter().zip(sources.chunks_exact_mut(STRIP + reach)) {
                        let at = first + line.first * ch;
                        let from = &mut from[..strip.len() + (line.weights.len() - 1) * ch];
                        let row =
                            |dy| &bytemuck::cast_slice::<P, f32>(source.row(y + dy))[at..at + from.len()];
                        match line.rows {
                            (dy, None) => from.copy_from_slice(row(dy)),
                            (dy, Some(other)) => {
                                let (a, b) = (row(dy), row(other));
                                from.iter_mut().zip(a).zip(b).for_each(|((f, a), b)| *f = a + b);
                            }
                        }
                    }
                    for (b, block) in strip.as_chunks_mut::<BLOCK>().0.iter_mut().enumerate() {
                        let mut sum = [0.0f32; BLOCK];
                        for (line, from) in lines.iter().zip(sources.chunks_exact(STRIP + reach)) {
                            let from = &from[b * BLOCK..];
                            for (i, w) in line.weights.iter().enumerate() {
                                let s: &[f32; BLOCK] = from[i * ch..i * ch + BLOCK]
                                    .try_into()
                                    .expect("the border is as wide as the block");
                                for k in 0..BLOCK {
                                    sum[k] = s[k].mul_add(*w, sum[k]);
                                }
                            }
                        }
                        *block = sum;
                    }
                }
                bytemuck::cast_slice_mut::<P, f32>(out.row_mut(y)).copy_from_slice(&all[..width]);
            }
        },
    );
    Ok(out)
}

const BLOCK: usize = 48;
/// Numbers whose sources are made ready together: as many as stay in the first cache.
const STRIP: usize = 4 * BLOCK;

/// Weights of source rows.
struct Line {
    /// Where the row lies from the result's; the other one where two have the same weights, which pass over their sum.
    rows: (i64, Option<i64>),
    /// Column of the first weight, from the left end of the reach.
    first: usize,
    /// Without the zeros at the ends, mirrored: a result pixel gathers what its neighbours spread.
    weights: Vec<f32>,
}

fn lines(spread: &Spread) -> Vec<Line> {
    let n = spread.reach() as i64;
    let even = |dy: i64| spread.row(dy) == spread.row(-dy);
    let line = |dy: i64| {
        let row: Vec<f32> = spread.row(-dy).iter().rev().copied().collect();
        let first = row.iter().position(|&w| w != 0.0)?;
        let last = row.iter().rposition(|&w| w != 0.0)?;
        let other = (dy != 0 && even(dy)).then_some(-dy);
        Some(Line { rows: (dy, other), first, weights: row[first..=last].to_vec() })
    };
    (-n..=n).filter(|&dy| dy <= 0 || !even(dy)).filter_map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::super::aperture::{Shape, spread};
    use super::*;
    use crate::{Coverage, Rgba};
    use proptest::prelude::*;

    fn budget() -> Budget {
        Budget::of_bytes(1 << 28)
    }

    proptest! {
        #[test]
        fn many_at_a_time_is_the_definition(
            w in 1i64..40, h in 1i64..30, seed in 0u32..1000, d in 0.0f64..15.0, blades in 3u32..8, ox in -9i64..9,
        ) {
            let image = Image::from_fn(PxRect::new(ox, 2, ox + w, 2 + h), &budget(), |x, y| {
                let v = ((x * 37 + y * 91) as u32 ^ seed).wrapping_mul(2_654_435_761) as f32 / u32::MAX as f32;
                Rgba([v * 40.0, v, 0.0, v])
            }).unwrap();
            for shape in [Shape::Disc, Shape::Blades { count: blades, turn: 0.4, roundness: 0.3 }] {
                let spread = spread(d, shape);
                let want = PxRect::new(ox - 3, 0, ox + w + 5, h + 6);
                let plain = plain(&image, &spread, want, &budget()).unwrap();
                let run = run(&image, &spread, want, &budget()).unwrap();
                for (a, b) in plain.samples().iter().zip(run.samples()) {
                    prop_assert!((a - b).abs() <= 2e-5 * a.abs().max(1.0), "{a} {b}");
                }
            }
        }
    }

    #[test]
    fn a_point_takes_the_shape_of_the_aperture() {
        let mut image = Image::<Coverage>::new(PxRect::new(0, 0, 21, 21), &budget()).unwrap();
        image.row_mut(10)[10] = Coverage(1.0);
        let blades = spread(15.0, Shape::Blades { count: 3, turn: 0.0, roundness: 0.0 });
        let out = run(&image, &blades, image.place(), &budget()).unwrap();
        for dy in -7..=7i64 {
            for dx in -7..=7i64 {
                let w = blades.row(dy)[(dx + blades.reach() as i64) as usize];
                assert_eq!(out.at(10 + dx, 10 + dy).0, w);
            }
        }
    }

    #[test]
    fn a_part_is_the_crop_of_the_whole_bit_for_bit() {
        let image = Image::from_fn(PxRect::new(0, 0, 50, 40), &budget(), |x, y| {
            Rgba([(x * y % 7) as f32, x as f32 / 50.0, 0.1, (y % 3) as f32 / 2.0])
        })
        .unwrap();
        let s = spread(9.3, Shape::Disc);
        let whole = run(&image, &s, PxRect::new(-9, -9, 60, 50), &budget()).unwrap();
        for part in [PxRect::new(-9, -9, 1, 50), PxRect::new(7, 3, 8, 4), PxRect::new(11, 5, 60, 6)] {
            let out = run(&image, &s, part, &budget()).unwrap();
            assert_eq!(out.pixels(), whole.crop(part, &budget()).unwrap().pixels());
        }
    }
}
