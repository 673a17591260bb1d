//! Film grain: noise of unit variance that is fixed to the picture, whatever part or scale of it is made.
//!
//! Gaussian values stand on a lattice whose cells have the grain's size; between them the cubic B-spline mixes
//! 4 x 4 neighbours, divided by the length of its weights, so that the variance is 1 at every place. Our own
//! construction; the fall of a grain's strength below the size of a pixel follows Selwyn's law (1935, from memory):
//! density fluctuation times the square root of the measured area is constant.

use super::filter::Filter;

/// One row of grain for pixels `x0..` of row `y`: mean 0, standard deviation 1 (less where grains are smaller
/// than pixels). `size` is the diameter of a grain in pixels.
pub fn row(x0: i64, y: i64, size: f64, seed: u64, out: &mut [f32]) {
    let cell = size.max(1.0);
    let strength = size.clamp(0.0, 1.0) as f32;
    let (j, down) = taps((y as f64 + 0.5) / cell);
    let mut at = None;
    let mut columns = [0.0f32; 4];
    for (x, o) in (x0..).zip(out) {
        let (i, across) = taps((x as f64 + 0.5) / cell);
        if at != Some(i) {
            for (k, c) in columns.iter_mut().enumerate() {
                *c = (0..4).map(|l| down[l] * gauss(i + k as i64, j + l as i64, seed)).sum();
            }
            at = Some(i);
        }
        *o = strength * columns.iter().zip(across).map(|(c, w)| c * w).sum::<f32>();
    }
}

/// First of the four lattice points around a place, and their weights, of unit length.
fn taps(at: f64) -> (i64, [f32; 4]) {
    let first = (at - 0.5).floor() as i64 - 1;
    let w: [f64; 4] =
        std::array::from_fn(|k| Filter::Spline.weight((first + k as i64) as f64 + 0.5 - at, 1.0));
    let length = w.iter().map(|w| w * w).sum::<f64>().sqrt();
    (first, w.map(|w| (w / length) as f32))
}

/// A nearly Gaussian value of unit variance for a lattice point: the sum of four uniform ones.
fn gauss(i: i64, j: i64, seed: u64) -> f32 {
    let mut h = (i as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (j as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
        ^ seed.wrapping_mul(0x1656_67B1_9E37_79F9);
    // The finaliser of splitmix64 (Steele, Lea and Flood 2014).
    h = (h ^ (h >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    h = (h ^ (h >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    h ^= h >> 31;
    let sum: u64 = (0..4).map(|k| (h >> (16 * k)) & 0xFFFF).sum();
    // Four uniform values on 0..65535: mean 2 * 65535, variance 4 (65536^2 - 1) / 12.
    (sum as f32 - 131_070.0) / 37_837.23
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(size: f64, n: i64) -> Vec<f32> {
        let mut out = vec![0.0; (n * n) as usize];
        for (y, line) in out.chunks_exact_mut(n as usize).enumerate() {
            row(0, y as i64, size, 7, line);
        }
        out
    }

    #[test]
    fn mean_zero_and_variance_one_within_what_chance_allows() {
        for size in [1.0, 1.7, 3.0] {
            let n = 500;
            let p = picture(size, n);
            let count = p.len() as f64;
            let mean = p.iter().map(|&v| f64::from(v)).sum::<f64>() / count;
            let var = p.iter().map(|&v| f64::from(v).powi(2)).sum::<f64>() / count;
            // Independent values: about one a grain's cell, of which the spline mixes several. At 99.9 % (3.3 standard
            // errors) with a correlation area of 4 cells.
            let independent = count / (4.0 * size * size);
            assert!(mean.abs() < 3.3 / independent.sqrt(), "{size}: {mean}");
            assert!((var - 1.0).abs() < 3.3 * (2.0 / independent).sqrt(), "{size}: {var}");
        }
    }

    #[test]
    fn a_part_is_the_crop_of_the_whole() {
        let whole = picture(2.3, 64);
        let mut part = vec![0.0; 10];
        row(31, 17, 2.3, 7, &mut part);
        assert_eq!(part, whole[17 * 64 + 31..17 * 64 + 41]);
    }

    #[test]
    fn finer_than_a_pixel_it_weakens() {
        let rms = |size| (picture(size, 200).iter().map(|v| v * v).sum::<f32>() / 40_000.0).sqrt();
        assert!((rms(0.25) / rms(1.0) - 0.25).abs() < 0.01);
    }
}
