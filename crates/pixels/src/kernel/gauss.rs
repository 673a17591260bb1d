//! Gaussian blur, row by row: across, then down. The border is repeated.

use super::simd;
use crate::{Image, Rgb};

/// Row `y` of the picture from column `x0` on, each pixel the weighted sum of its row; an odd number of weights, the middle one its own.
pub fn across(image: &Image<Rgb>, weights: &[f32], (x0, y): (i64, i64), out: &mut [Rgb]) {
    let n = weights.len() / 2;
    let row = image.row(y);
    // The row with its border repeated, so that the loop needs no clamping.
    let mut wide = Vec::with_capacity(row.len() + 2 * n);
    wide.extend(std::iter::repeat_n(row[0], n));
    wide.extend_from_slice(row);
    wide.extend(std::iter::repeat_n(row[row.len() - 1], n));
    let wide: &[f32] = bytemuck::cast_slice(&wide[(x0 - image.place().x0()) as usize..]);
    simd::widest(
        #[inline(always)]
        || blocks(bytemuck::cast_slice_mut(out), |i| &wide[3 * i..], weights),
    );
}

/// Row `y` of the picture from column `x0` on, each pixel the weighted sum of its column.
pub fn down(image: &Image<Rgb>, weights: &[f32], (x0, y): (i64, i64), out: &mut [Rgb]) {
    let n = (weights.len() / 2) as i64;
    let place = image.place();
    let from = (x0 - place.x0()) as usize;
    let row = |i: usize| image.row((y - n + i as i64).clamp(place.y0(), place.y1() - 1));
    let rows: Vec<&[f32]> = (0..weights.len()).map(|i| bytemuck::cast_slice(&row(i)[from..])).collect();
    simd::widest(
        #[inline(always)]
        || blocks(bytemuck::cast_slice_mut(out), |i| rows[i], weights),
    );
}

/// Each number the weighted sum of those at its place in the rows; so many at once that the sums stay in registers.
#[inline(always)]
fn blocks<'r>(out: &mut [f32], row: impl Fn(usize) -> &'r [f32], weights: &[f32]) {
    const BLOCK: usize = 48;
    let (blocks, rest) = out.as_chunks_mut::<BLOCK>();
    let mut at = 0;
    for block in blocks {
        let mut sum = [0.0f32; BLOCK];
        for (i, w) in weights.iter().enumerate() {
            let v: &[f32; BLOCK] =
                row(i)[at..at + BLOCK].try_into().expect("the slice has the block's length");
            for k in 0..BLOCK {
                sum[k] = v[k].mul_add(*w, sum[k]);
            }
        }
        *block = sum;
        at += BLOCK;
    }
    rest.fill(0.0);
    for (i, w) in weights.iter().enumerate() {
        for (o, v) in rest.iter_mut().zip(&row(i)[at..]) {
            *o = v.mul_add(*w, *o);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Budget;
    use units::PxRect;

    #[test]
    fn against_the_double_sum() {
        let budget = Budget::of_bytes(1 << 24);
        let place = PxRect::new(3, -2, 24, 15);
        let image = Image::from_fn(place, &budget, |x, y| {
            let v = (x * 31 + y * 17).rem_euclid(23) as f32 / 23.0;
            Rgb([v, v * v, 1.0 - v])
        })
        .unwrap();
        let weights = [0.1f32, 0.2, 0.4, 0.2, 0.1];
        let mut first = Image::<Rgb>::new(place, &budget).unwrap();
        for y in place.y0()..place.y1() {
            across(&image, &weights, (place.x0(), y), first.row_mut(y));
        }
        let mut row = vec![Rgb::default(); place.width()];
        for y in place.y0()..place.y1() {
            down(&first, &weights, (place.x0(), y), &mut row);
            for (x, p) in (place.x0()..).zip(&row) {
                for c in 0..3 {
                    let sum: f64 = (-2..=2)
                        .flat_map(|j| (-2..=2).map(move |i| (i, j)))
                        .map(|(i, j)| {
                            f64::from(weights[(i + 2) as usize] * weights[(j + 2) as usize])
                                * f64::from(image.at_clamped(x + i, y + j).0[c])
                        })
                        .sum();
                    assert!((sum - f64::from(p.0[c])).abs() < 1e-6);
                }
            }
        }
    }
}
