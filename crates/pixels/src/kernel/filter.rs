//! One-dimensional resampling filters, as functions of the distance in samples.

use units::math;

/// A resampling filter.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Filter {
    /// Windowed sinc, three lobes (Lanczos 1956; Duchon 1979): sharpest, with slight overshoot.
    Lanczos3,
    /// Cubic of Mitchell and Netravali 1988 with B = C = 1/3: little overshoot, a little softer.
    Mitchell,
    /// Cubic B-spline: no overshoot at all, softest.
    Spline,
}

impl Filter {
    /// Distance in samples beyond which the weight is zero.
    #[must_use]
    pub const fn support(self) -> f64 {
        match self {
            Self::Lanczos3 => 3.0,
            Self::Mitchell | Self::Spline => 2.0,
        }
    }

    /// Weight at a distance in samples.
    #[must_use]
    pub fn weight(self, x: f64) -> f64 {
        match self {
            Self::Lanczos3 => lanczos3(x),
            Self::Mitchell => cubic(x, 1.0 / 3.0, 1.0 / 3.0),
            Self::Spline => cubic(x, 1.0, 0.0),
        }
    }
}

/// sinc(x) sinc(x/3) within three samples, 0 beyond.
#[must_use]
pub fn lanczos3(x: f64) -> f64 {
    if x.abs() >= 3.0 { 0.0 } else { sinc(x) * sinc(x / 3.0) }
}

/// The two-parameter cubics of Mitchell and Netravali 1988, eq. 8.
fn cubic(x: f64, b: f64, c: f64) -> f64 {
    let x = x.abs();
    let p = if x < 1.0 {
        ((12.0 - 9.0 * b - 6.0 * c) * x + (-18.0 + 12.0 * b + 6.0 * c)) * x * x + (6.0 - 2.0 * b)
    } else if x < 2.0 {
        (((-b - 6.0 * c) * x + (6.0 * b + 30.0 * c)) * x + (-12.0 * b - 48.0 * c)) * x + (8.0 * b + 24.0 * c)
    } else {
        0.0
    };
    p / 6.0
}

fn sinc(x: f64) -> f64 {
    let p = std::f64::consts::PI * x;
    if p.abs() < 1e-9 { 1.0 } else { math::sin(p) / p }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_at_whole_distances() {
        assert_eq!(lanczos3(0.0), 1.0);
        assert!(lanczos3(1.0).abs() < 1e-15 && lanczos3(3.0) == 0.0);
        // Mitchell and Netravali 1988: k(0) = 8/9, k(1) = 1/18 for B = C = 1/3. The B-spline: 2/3, 1/6.
        assert!((Filter::Mitchell.weight(0.0) - 8.0 / 9.0).abs() < 1e-15);
        assert!((Filter::Mitchell.weight(1.0) - 1.0 / 18.0).abs() < 1e-15);
        assert!((Filter::Spline.weight(0.0) - 2.0 / 3.0).abs() < 1e-15);
        assert!((Filter::Spline.weight(-1.0) - 1.0 / 6.0).abs() < 1e-15);
    }

    #[test]
    fn cubics_sum_to_one_at_any_shift() {
        for filter in [Filter::Mitchell, Filter::Spline] {
            for i in 0..20 {
                let t = f64::from(i) / 20.0;
                let sum: f64 = (-3..=3).map(|j| filter.weight(t + f64::from(j))).sum();
                assert!((sum - 1.0).abs() < 1e-12);
            }
        }
    }
}
