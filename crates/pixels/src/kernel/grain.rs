//! Film grain: noise of unit variance that is fixed to the picture, whatever part or scale of it is made.
//!
//! Gaussian values stand on a lattice whose cells have the grain's size; between them the cubic B-spline mixes
//! 4 x 4 neighbours, divided by the length of its weights, so that the variance is 1 at every place. Our own
//! construction; the fall of a grain's strength below the size of a pixel follows Selwyn's law (1935, from memory):
//! density fluctuation times the square root of the measured area is constant.

use super::filter::Filter;

/// Grain over some columns of a picture, made ready for their rows.
#[derive(Clone, Debug)]
pub struct Grain {
    size: f64,
    seed: u64,
    x0: i64,
    /// The first lattice column that is needed.
    first: i64,
    /// For each pixel of a row: the first of its four lattice columns, counted from the first of all, and their weights.
    across: Vec<(usize, [f32; 4])>,
}

impl Grain {
    /// For `columns` pixels from `x0` on. `size` is the diameter of a grain in pixels.
    #[must_use]
    pub fn new(size: f64, seed: u64, x0: i64, columns: usize) -> Self {
        let at = |x: i64| taps((x as f64 + 0.5) / size.max(1.0));
        let first = at(x0).0;
        let across = (x0..).take(columns).map(at).map(|(i, w)| ((i - first) as usize, w)).collect();
        Self { size, seed, x0, first, across }
    }

    /// Whether it was made for these.
    #[must_use]
    pub fn is_for(&self, size: f64, seed: u64, x0: i64, columns: usize) -> bool {
        (self.size, self.seed, self.x0, self.across.len()) == (size, seed, x0, columns)
    }

    /// Row `y`: mean 0, standard deviation 1 (less where grains are smaller than pixels). `room` is used again from row to row.
    pub fn row(&self, y: i64, room: &mut Vec<f32>, out: &mut [f32]) {
        let strength = self.size.clamp(0.0, 1.0) as f32;
        let (j, down) = taps((y as f64 + 0.5) / self.size.max(1.0));
        let lattice = self.across.last().map_or(0, |(last, _)| last + 4);
        room.clear();
        room.extend(
            (self.first..)
                .take(lattice)
                .map(|i| (0..4).map(|l| down[l] * gauss(i, j + l as i64, self.seed)).sum::<f32>()),
        );
        for (o, (i, across)) in out.iter_mut().zip(&self.across) {
            *o = strength * room[*i..i + 4].iter().zip(across).map(|(c, w)| c * w).sum::<f32>();
        }
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
        let (grain, mut room) = (Grain::new(size, 7, 0, n as usize), Vec::new());
        for (y, line) in out.chunks_exact_mut(n as usize).enumerate() {
            grain.row(y as i64, &mut room, line);
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
        Grain::new(2.3, 7, 31, 10).row(17, &mut Vec::new(), &mut part);
        assert_eq!(part, whole[17 * 64 + 31..17 * 64 + 41]);
    }

    #[test]
    fn finer_than_a_pixel_it_weakens() {
        let rms = |size| (picture(size, 200).iter().map(|v| v * v).sum::<f32>() / 40_000.0).sqrt();
        assert!((rms(0.25) / rms(1.0) - 0.25).abs() < 0.01);
    }
}
