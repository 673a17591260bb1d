//! One-dimensional resampling filters, as functions of the distance in samples.

use units::math;

/// A resampling filter.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Filter {
    /// Windowed sinc, three lobes (Lanczos 1956; Duchon 1979): sharpest, with overshoot.
    Lanczos3,
    /// What a sensor's square pixels would have seen, for photographs: the photograph interpolated (the cubic of Catmull and
    /// Rom 1974), and integrated over a square that makes up, with the photograph's own pixels, the pixel of the result:
    /// pixels are uniform, their variances add, so of s of them along an axis into one the square has a side of
    /// √(s² - 1). One to one it is the interpolating cubic, and changes nothing; reducing much it is the mean over
    /// the pixel, without overshoot.
    Sensor {
        /// Pixels of the photograph that went into one of the source's, along an axis: 1 for the photograph itself. The square is
        /// then √(s² - 1/own²).
        own: f64,
    },
    /// Cubic B-spline: no overshoot at all, softest.
    Spline,
}

impl Filter {
    /// Distance in source samples beyond which the weight is zero, for so many source samples to a result sample (at
    /// least 1: what is enlarged is interpolated).
    #[must_use]
    pub fn support(self, stretch: f64) -> f64 {
        match self {
            Self::Lanczos3 => 3.0 * stretch,
            Self::Sensor { own } => 2.0 + 0.5 * square(stretch, own),
            Self::Spline => 2.0 * stretch,
        }
    }

    /// Weight at a distance in source samples.
    #[must_use]
    pub fn weight(self, distance: f64, stretch: f64) -> f64 {
        match self {
            Self::Lanczos3 => lanczos3(distance / stretch),
            Self::Spline => cubic(distance / stretch, 1.0, 0.0),
            Self::Sensor { own } => {
                let side = square(stretch, own);
                if side < LEAST_SQUARE {
                    interpolating(distance)
                } else {
                    (integral(distance + 0.5 * side) - integral(distance - 0.5 * side)) / side
                }
            }
        }
    }
}

/// Below this side the square of [`Filter::Sensor`] counts as none.
pub(crate) const LEAST_SQUARE: f64 = 1e-3;

/// Side of the square of [`Filter::Sensor`] in source samples.
#[inline(always)]
pub(crate) fn square(stretch: f64, own: f64) -> f64 {
    (stretch * stretch - 1.0 / (own * own)).max(0.0).sqrt()
}

/// The interpolating cubic of Catmull and Rom 1974 (Mitchell and Netravali's with B = 0, C = 1/2).
pub(crate) fn interpolating(x: f64) -> f64 {
    cubic(x, 0.0, 0.5)
}

/// Its integral from the far left: 0 below -2, 1 above 2.
pub(crate) fn integral(x: f64) -> f64 {
    let t = x.abs().min(2.0);
    // Term by term of the two cubics: 3/2 t³ - 5/2 t² + 1, and -1/2 t³ + 5/2 t² - 4 t + 2.
    let inner = |t: f64| ((0.375 * t - 5.0 / 6.0) * t * t + 1.0) * t;
    let outer = |t: f64| (((-0.125 * t + 5.0 / 6.0) * t - 2.0) * t + 2.0) * t;
    let half = if t < 1.0 { inner(t) } else { inner(1.0) + outer(t) - outer(1.0) };
    0.5 + half.copysign(x)
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
        assert!((cubic(0.0, 1.0 / 3.0, 1.0 / 3.0) - 8.0 / 9.0).abs() < 1e-15);
        assert!((cubic(1.0, 1.0 / 3.0, 1.0 / 3.0) - 1.0 / 18.0).abs() < 1e-15);
        assert!((Filter::Spline.weight(0.0, 1.0) - 2.0 / 3.0).abs() < 1e-15);
        assert!((Filter::Spline.weight(-1.0, 1.0) - 1.0 / 6.0).abs() < 1e-15);
        let sensor = Filter::Sensor { own: 1.0 };
        assert!((sensor.weight(0.0, 1.0) - 1.0).abs() < 1e-15 && sensor.weight(1.0, 1.0).abs() < 1e-15);
    }

    #[test]
    fn the_integral_is_that_of_the_cubic() {
        assert!(integral(-2.0).abs() < 1e-15 && (integral(2.0) - 1.0).abs() < 1e-15);
        let n = 2000;
        let mut sum = 0.0;
        for i in -2 * n..2 * n {
            sum += interpolating((f64::from(i) + 0.5) / f64::from(n)) / f64::from(n);
            assert!((sum - integral(f64::from(i + 1) / f64::from(n))).abs() < 1e-6);
        }
    }

    #[test]
    fn the_sensors_filter_makes_up_a_pixel() {
        // Second moment of the kernel by a fine sum, and what the photograph's own pixels bring along: a square s
        // samples wide has s²/12 in all.
        for (stretch, own) in [(1.0, 1.0), (2.0, 1.0), (2.0, 4.0), (7.5, 1.0)] {
            let filter = Filter::Sensor { own };
            let (n, reach) = (1000, filter.support(stretch));
            let end = (reach * f64::from(n)) as i32;
            let moment: f64 = (-end..=end)
                .map(|i| f64::from(i) / f64::from(n))
                .map(|x| x * x * filter.weight(x, stretch) / f64::from(n))
                .sum();
            let whole = stretch * stretch / 12.0;
            assert!(
                (moment + 1.0 / 12.0 / own / own - whole).abs() < 1e-3 * whole,
                "{stretch} {own}: {moment}"
            );
        }
    }

    #[test]
    fn weights_sum_to_the_stretch_at_any_shift() {
        for filter in [Filter::Sensor { own: 3.0 }, Filter::Sensor { own: 1.0 }, Filter::Spline] {
            for i in 0..20 {
                let t = f64::from(i) / 20.0;
                let stretch = if filter == Filter::Spline { 2.0 } else { 1.0 };
                let sum: f64 = (-9..=9).map(|j| filter.weight(t + f64::from(j), 2.0)).sum();
                assert!((sum - stretch).abs() < 1e-12, "{filter:?}: {sum}");
            }
        }
    }
}
