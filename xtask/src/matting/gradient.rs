//! The size of a matte's gradient, by first-order Gaussian derivative filters.

use super::figures::Grey;
use units::math;

/// Of the Gaussian, in pixels (Rhemann et al. 2009).
const SIGMA: f64 = 1.4;
/// Pixels to each side that the filters reach: three and a half sigma, rounded up.
const REACH: usize = 5;
const TAPS: usize = 2 * REACH + 1;

/// The size of the gradient at each pixel. Beyond its edges the matte goes on as the nearest pixel.
pub(super) fn gradient(matte: &Grey) -> Vec<f64> {
    let (smooth, slope) = filters();
    let side = |across, down| filtered_down(&filtered_across(matte, across), matte.width, down);
    let (x, y) = (side(&slope, &smooth), side(&smooth, &slope));
    x.into_iter().zip(y).map(|(x, y)| math::hypot(x, y)).collect()
}

/// A Gaussian and its derivative, each with a sum of squares of one.
fn filters() -> ([f64; TAPS], [f64; TAPS]) {
    let x: [f64; TAPS] = std::array::from_fn(|i| i as f64 - REACH as f64);
    let smooth = x.map(|x| math::exp(-x * x / (2.0 * SIGMA * SIGMA)));
    let slope = std::array::from_fn(|i| x[i] * smooth[i]);
    (of_unit_norm(smooth), of_unit_norm(slope))
}

fn of_unit_norm(filter: [f64; TAPS]) -> [f64; TAPS] {
    let norm = filter.iter().map(|w| w * w).sum::<f64>().sqrt();
    filter.map(|w| w / norm)
}

fn filtered_across(matte: &Grey, filter: &[f64; TAPS]) -> Vec<f64> {
    let mut wide = vec![0.0; matte.width + 2 * REACH];
    let mut out = Vec::with_capacity(matte.values.len());
    for row in matte.values.chunks_exact(matte.width) {
        for (i, v) in wide.iter_mut().enumerate() {
            *v = row[i.saturating_sub(REACH).min(matte.width - 1)];
        }
        out.extend(wide.array_windows::<TAPS>().map(|w| (0..TAPS).map(|i| w[i] * filter[i]).sum::<f64>()));
    }
    out
}

fn filtered_down(values: &[f64], width: usize, filter: &[f64; TAPS]) -> Vec<f64> {
    let height = values.len() / width;
    let mut out = vec![0.0; values.len()];
    for (y, line) in out.chunks_exact_mut(width).enumerate() {
        for (i, weight) in filter.iter().enumerate() {
            let from = (y + i).saturating_sub(REACH).min(height - 1) * width;
            for (sum, v) in line.iter_mut().zip(&values[from..from + width]) {
                *sum += weight * v;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn even_is_flat_and_a_slope_is_even() {
        let even = Grey { width: 7, values: vec![0.3; 7 * 4] };
        assert!(gradient(&even).iter().all(|g| g.abs() < 1e-15));
        // Far from the edges a slope of s a pixel gives s times the derivative's first moment times the Gaussian's sum.
        let ramp = Grey { width: 30, values: (0..30 * 12).map(|i| f64::from(i % 30) * 0.01).collect() };
        let (smooth, slope) = filters();
        let moment: f64 = slope.iter().enumerate().map(|(i, w)| w * (i as f64 - REACH as f64)).sum();
        let expected = 0.01 * moment * smooth.iter().sum::<f64>();
        assert!((gradient(&ramp)[5 * 30 + 15] - expected).abs() < 1e-14);
    }

    #[test]
    fn a_step_by_hand() {
        // On the bright side of an upright step the filter sums its half: taps of x and more against what lies below.
        let step = Grey { width: 24, values: (0..24 * 12).map(|i| f64::from(i % 24 / 12)).collect() };
        let (smooth, slope) = filters();
        let expected = slope[REACH..].iter().sum::<f64>() * smooth.iter().sum::<f64>();
        assert!((gradient(&step)[6 * 24 + 12] - expected).abs() < 1e-14);
    }
}
