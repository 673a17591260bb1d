//! Least squares by Levenberg and Marquardt (Marquardt 1963), with bounds.

/// How a fit goes about it, a value for each parameter.
pub(super) struct How<const N: usize> {
    /// Step of the difference that stands for the derivative, as a share of the parameter.
    pub(super) step: [f64; N],
    /// By how much it may change in a step as a matter of course: damping holds all back alike in these terms.
    pub(super) scale: [f64; N],
    /// Least values.
    pub(super) low: [f64; N],
    /// Greatest values.
    pub(super) high: [f64; N],
}

const MOST_STEPS: usize = 40;
const MOST_TRIES: usize = 14;
/// Step where a parameter is zero.
const LEAST_STEP: f64 = 1e-8;
const LEAST_DAMPING: f64 = 1e-9;
/// Of the sum of squares: what is gained less is not gone after.
const LEAST_GAIN: f64 = 1e-12;

/// The parameters near `start` with the least sum of squared residuals, and that sum.
pub(super) fn least_squares<const N: usize>(
    residual: &dyn Fn(&[f64; N]) -> Vec<f64>,
    start: [f64; N],
    how: &How<N>,
) -> ([f64; N], f64) {
    let sum = |r: &[f64]| r.iter().map(|v| v * v).sum::<f64>();
    let bounded = |p: [f64; N]| -> [f64; N] { std::array::from_fn(|i| p[i].clamp(how.low[i], how.high[i])) };
    let mut at = bounded(start);
    let mut r = residual(&at);
    let mut cost = sum(&r);
    let mut damping = LEAST_DAMPING;
    for _ in 0..MOST_STEPS {
        let columns: [Vec<f64>; N] = std::array::from_fn(|i| {
            let mut beside = at;
            let step = (how.step[i] * at[i].abs()).max(LEAST_STEP).copysign(at[i]);
            beside[i] += step;
            residual(&beside).iter().zip(&r).map(|(b, a)| (b - a) / step).collect()
        });
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let square: [[f64; N]; N] =
            std::array::from_fn(|i| std::array::from_fn(|j| dot(&columns[i], &columns[j])));
        let slope: [f64; N] = std::array::from_fn(|i| dot(&columns[i], &r));
        // What stands at a bound and wants beyond it stays.
        let held: [bool; N] = std::array::from_fn(|i| {
            (at[i] <= how.low[i] && slope[i] > 0.0) || (at[i] >= how.high[i] && slope[i] < 0.0)
        });
        let most = (0..N).map(|i| square[i][i] * how.scale[i] * how.scale[i]).fold(0.0, f64::max);
        let before = cost;
        for _ in 0..MOST_TRIES {
            let by = solve(&square, &slope, &held, &how.scale.map(|s| damping * most / (s * s)));
            let to = bounded(std::array::from_fn(|i| at[i] - by[i]));
            let there = residual(&to);
            let less = sum(&there);
            if less < cost {
                (at, r, cost) = (to, there, less);
                damping = (damping * 0.1).max(LEAST_DAMPING);
                break;
            }
            damping *= 10.0;
        }
        if before - cost <= LEAST_GAIN * before {
            break;
        }
    }
    (at, cost)
}

/// Solves (A + damping as a diagonal) x = b by elimination; zero for what is held.
fn solve<const N: usize>(a: &[[f64; N]; N], b: &[f64; N], held: &[bool; N], damping: &[f64; N]) -> [f64; N] {
    let (mut a, mut b) = (*a, *b);
    for i in 0..N {
        a[i][i] += damping[i].max(f64::MIN_POSITIVE);
        if held[i] {
            (0..N).for_each(|j| (a[i][j], a[j][i]) = (0.0, 0.0));
            (a[i][i], b[i]) = (1.0, 0.0);
        }
    }
    // Symmetric and positive: no need to look for pivots.
    for i in 0..N {
        for k in i + 1..N {
            let f = a[k][i] / a[i][i];
            (i..N).for_each(|j| a[k][j] -= f * a[i][j]);
            b[k] -= f * b[i];
        }
    }
    let mut x = [0.0; N];
    for i in (0..N).rev() {
        x[i] = (b[i] - (i + 1..N).map(|j| a[i][j] * x[j]).sum::<f64>()) / a[i][i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock 1960, as residuals: least at (1, 1), where it is 0.
    fn valley(p: &[f64; 2]) -> Vec<f64> {
        vec![10.0 * (p[1] - p[0] * p[0]), 1.0 - p[0]]
    }

    #[test]
    fn the_floor_of_the_valley_is_found() {
        let how = How { step: [1e-6; 2], scale: [1.0; 2], low: [-5.0; 2], high: [5.0; 2] };
        let (at, cost) = least_squares(&valley, [-1.2, 1.0], &how);
        assert!((at[0] - 1.0).abs() < 1e-5 && (at[1] - 1.0).abs() < 1e-5 && cost < 1e-10, "{at:?} {cost}");
    }

    #[test]
    fn bounds_hold() {
        // With x at most 1/2 the least is at y = x^2 = 1/4, and (1 - x)^2 = 1/4 is left.
        let how = How { step: [1e-6; 2], scale: [1.0; 2], low: [-5.0; 2], high: [0.5, 5.0] };
        let (at, cost) = least_squares(&valley, [-1.2, 1.0], &how);
        assert!(at[0] == 0.5 && (at[1] - 0.25).abs() < 1e-6 && (cost - 0.25).abs() < 1e-9, "{at:?} {cost}");
    }
}
