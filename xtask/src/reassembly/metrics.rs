//! How far a picture is from the truth: PSNR, SSIM and mean CIEDE2000, over the whole or a part.

use pixels::difference::{ciede2000, lab};
use pixels::encode::Transfer;
use units::primaries::xyz_of_xy;
use units::{Primaries, Vec3, math};

/// A picture as its file holds it: sRGB-encoded red, green, blue, 0 to 1, row by row.
pub(super) struct Encoded {
    pub(super) width: usize,
    pub(super) pixels: Vec<[f64; 3]>,
}

/// The measures at each pixel.
pub(super) struct Maps {
    /// Squared difference of the encoded values, mean of the channels.
    squared: Vec<f64>,
    /// Structural similarity, mean of the channels.
    similarity: Vec<f64>,
    /// CIEDE2000.
    difference: Vec<f64>,
}

/// The measures over a region.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Figures {
    /// Peak signal-to-noise ratio in dB; 120 and no more.
    pub(super) psnr: f64,
    pub(super) ssim: f64,
    pub(super) ciede2000: f64,
    pub(super) pixels: usize,
}

impl Maps {
    /// Of two pictures of one size.
    pub(super) fn new(truth: &Encoded, ours: &Encoded) -> Self {
        let pairs = || truth.pixels.iter().zip(&ours.pixels);
        let squared = pairs().map(|(a, b)| (0..3).map(|c| (a[c] - b[c]) * (a[c] - b[c])).sum::<f64>() / 3.0);
        let mut similarity = vec![0.0; truth.pixels.len()];
        for c in 0..3 {
            let [a, b] = [truth, ours].map(|p| p.pixels.iter().map(|v| v[c]).collect::<Vec<_>>());
            for (sum, s) in similarity.iter_mut().zip(structure(&a, &b, truth.width)) {
                *sum += s / 3.0;
            }
        }
        let (to_xyz, white) = (Primaries::Srgb.to_xyz(), xyz_of_xy(Primaries::Srgb.white()));
        let seen = |v: &[f64; 3]| lab(to_xyz * Vec3(v.map(|e| Transfer::Srgb.decode(e))), white);
        let difference = pairs().map(|(a, b)| ciede2000(seen(a), seen(b)));
        Self { squared: squared.collect(), similarity, difference: difference.collect() }
    }

    /// The figures where `region` says so; `None` where it says so nowhere.
    pub(super) fn figures(&self, region: impl Fn(usize) -> bool) -> Option<Figures> {
        let here: Vec<usize> = (0..self.squared.len()).filter(|i| region(*i)).collect();
        if here.is_empty() {
            return None;
        }
        let mean = |map: &[f64]| here.iter().map(|i| map[*i]).sum::<f64>() / here.len() as f64;
        Some(Figures {
            psnr: -10.0 * math::log10(mean(&self.squared).max(1e-12)),
            ssim: mean(&self.similarity),
            ciede2000: mean(&self.difference),
            pixels: here.len(),
        })
    }
}

/// SSIM of two planes of values in 0..1 at each pixel: Wang, Bovik, Sheikh, Simoncelli 2004, eq. 13, with their Gaussian
/// window (sigma 1.5, 11 pixels a side) and constants.
fn structure(a: &[f64], b: &[f64], width: usize) -> Vec<f64> {
    const C1: f64 = 0.01 * 0.01;
    const C2: f64 = 0.03 * 0.03;
    let window = |of: &dyn Fn(f64, f64) -> f64| {
        let plane: Vec<f64> = a.iter().zip(b).map(|(a, b)| of(*a, *b)).collect();
        gaussian(&plane, width, 1.5, 5)
    };
    let (ma, mb) = (window(&|a, _| a), window(&|_, b| b));
    let (aa, bb, ab) = (window(&|a, _| a * a), window(&|_, b| b * b), window(&|a, b| a * b));
    (0..a.len())
        .map(|i| {
            let (ma, mb) = (ma[i], mb[i]);
            let (va, vb, vab) = (aa[i] - ma * ma, bb[i] - mb * mb, ab[i] - ma * mb);
            let above = (2.0 * ma * mb + C1) * (2.0 * vab + C2);
            above / ((ma * ma + mb * mb + C1) * (va + vb + C2))
        })
        .collect()
}

/// A plane through a Gaussian cut off at `reach` pixels; beyond its edges it is mirrored, edge pixels twice.
pub(super) fn gaussian(plane: &[f64], width: usize, sigma: f64, reach: usize) -> Vec<f64> {
    let raw: Vec<f64> = (0..=2 * reach)
        .map(|i| {
            let x = i as f64 - reach as f64;
            math::exp(-x * x / (2.0 * sigma * sigma))
        })
        .collect();
    let sum: f64 = raw.iter().sum();
    let weights: Vec<f64> = raw.iter().map(|w| w / sum).collect();
    let height = plane.len() / width;
    let mut down = Vec::with_capacity(plane.len());
    let mut line = vec![0.0; width];
    for y in 0..height {
        line.fill(0.0);
        for (i, w) in weights.iter().enumerate() {
            let from = mirrored(y as i64 + i as i64 - reach as i64, height) * width;
            for (sum, v) in line.iter_mut().zip(&plane[from..from + width]) {
                *sum += w * v;
            }
        }
        down.extend_from_slice(&line);
    }
    let mut out = Vec::with_capacity(plane.len());
    let mut wide = vec![0.0; width + 2 * reach];
    for row in down.chunks_exact(width) {
        for (i, v) in wide.iter_mut().enumerate() {
            *v = row[mirrored(i as i64 - reach as i64, width)];
        }
        out.extend(
            wide.windows(weights.len()).map(|w| w.iter().zip(&weights).map(|(v, w)| v * w).sum::<f64>()),
        );
    }
    out
}

/// The pixel that stands for one beyond the edge.
fn mirrored(i: i64, length: usize) -> usize {
    let n = length as i64;
    let i = i.rem_euclid(2 * n);
    (if i < n { i } else { 2 * n - 1 - i }) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(a: Vec<f64>, b: Vec<f64>, width: usize) -> Figures {
        let [a, b] = [a, b].map(|p| Encoded { width, pixels: p.into_iter().map(|v| [v; 3]).collect() });
        Maps::new(&a, &b).figures(|_| true).unwrap()
    }

    #[test]
    fn a_picture_is_like_itself() {
        let picture: Vec<f64> = (0..300).map(|i| f64::from(i * 37 % 101) / 100.0).collect();
        let same = figures(picture.clone(), picture, 20);
        assert!((same.ssim - 1.0).abs() < 1e-12);
        assert_eq!((same.psnr, same.ciede2000, same.pixels), (120.0, 0.0, 300));
    }

    #[test]
    fn even_tones_by_hand() {
        // A difference of 1/10 everywhere: 10 log10(1 / 0.01) = 20 dB. Without variance eq. 13 is
        // (2 x 0.5 x 0.6 + 0.0001) / (0.25 + 0.36 + 0.0001) = 0.6001 / 0.6101.
        let f = figures(vec![0.5; 256], vec![0.6; 256], 16);
        assert!((f.psnr - 20.0).abs() < 1e-9 && (f.ssim - 0.6001 / 0.6101).abs() < 1e-12, "{f:?}");
    }

    #[test]
    fn a_pattern_as_another_program_has_it() {
        // Mean of the whole map by scikit-image 0.26: structural_similarity(a, b, data_range=1, gaussian_weights=True, sigma=1.5,
        // use_sample_covariance=False, full=True), and PSNR by NumPy; 24 x 16 pixels.
        let a: Vec<f64> = (0..384).map(|i| f64::from(i * 37 % 101) / 100.0).collect();
        let b = (0..384).map(|i| f64::from(i * 53 % 97) / 96.0 * 0.3 + a[i as usize] * 0.7).collect();
        let f = figures(a, b, 24);
        assert!((f.ssim - 0.889_507_141_844_294_6).abs() < 1e-12, "{f:?}");
        assert!((f.psnr - 18.297_087_049_747_948).abs() < 1e-9, "{f:?}");
    }

    #[test]
    fn a_region_counts_alone() {
        let (a, mut b) = (vec![0.5; 4], vec![0.5; 4]);
        b[3] = 0.51;
        let [a, b] = [a, b].map(|p| Encoded { width: 2, pixels: p.into_iter().map(|v| [v; 3]).collect() });
        let maps = Maps::new(&a, &b);
        assert!((maps.figures(|i| i == 3).unwrap().psnr - 40.0).abs() < 1e-9);
        assert_eq!(maps.figures(|i| i < 3).unwrap().psnr, 120.0);
        assert_eq!(maps.figures(|_| false), None);
    }

    #[test]
    fn a_gaussian_spreads_a_point_as_its_formula_says() {
        let mut plane = vec![0.0; 21 * 21];
        plane[10 * 21 + 10] = 1.0;
        let out = gaussian(&plane, 21, 1.5, 5);
        let w = |x: f64| math::exp(-x * x / 4.5);
        let norm: f64 = (-5..=5).map(|i| w(f64::from(i))).sum();
        assert!((out[12 * 21 + 7] - w(2.0) * w(3.0) / (norm * norm)).abs() < 1e-15);
        // Mirrored edges keep what is even.
        assert!(gaussian(&[0.25; 12], 4, 3.0, 12).iter().all(|v| (v - 0.25).abs() < 1e-15));
    }
}
