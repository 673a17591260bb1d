//! How far a matte is from the true alpha, over the pixels that the trimap leaves open.
//!
//! After Rhemann, Rother, Wang, Gelautz, Kohli, Rott: A perceptually motivated online benchmark for image matting, CVPR 2009.
//! Scaling of the gradient's filters, a distance weight of 1 and regions taken from both mattes follow the evaluation programs in
//! common use (no source), so that figures compare with papers that used those.

use super::connectivity::connectivity;
use super::gradient::gradient;

/// One channel, 0 to 1, row by row.
pub(super) struct Grey {
    pub(super) width: usize,
    pub(super) values: Vec<f64>,
}

/// The four measures; 0 is best.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(super) struct Figures {
    /// Sum of absolute differences, in thousands.
    pub(super) sad: f64,
    /// Mean of squared differences.
    pub(super) mse: f64,
    /// Sum of squared differences of the gradients' sizes, in thousands.
    pub(super) grad: f64,
    /// Sum of absolute differences of connectivity, in thousands.
    pub(super) conn: f64,
}

/// Of a matte against the truth, both of one size; `between` says which pixels count. Nothing counts: all zero.
pub(super) fn figures(ours: &Grey, truth: &Grey, between: &[bool]) -> Figures {
    let sum = |of: &dyn Fn(usize) -> f64| -> f64 {
        between.iter().enumerate().filter(|(_, counts)| **counts).map(|(i, _)| of(i)).sum()
    };
    let apart = |i: usize| ours.values[i] - truth.values[i];
    let count = sum(&|_| 1.0);
    let slopes = [gradient(ours), gradient(truth)];
    let connected = connectivity(ours, truth);
    Figures {
        sad: sum(&|i| apart(i).abs()) / 1000.0,
        mse: if count > 0.0 { sum(&|i| apart(i) * apart(i)) / count } else { 0.0 },
        grad: sum(&|i| (slopes[0][i] - slopes[1][i]) * (slopes[0][i] - slopes[1][i])) / 1000.0,
        conn: sum(&|i| (connected[0][i] - connected[1][i]).abs()) / 1000.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_by_hand() {
        // Open are the first three: |0.5 - 0.25| + |1 - 1| + |0 - 0.5| = 0.75; squares 0.0625 + 0.25, a third of it.
        let ours = Grey { width: 2, values: vec![0.5, 1.0, 0.0, 1.0] };
        let truth = Grey { width: 2, values: vec![0.25, 1.0, 0.5, 0.0] };
        let f = figures(&ours, &truth, &[true, true, true, false]);
        assert!((f.sad - 0.75e-3).abs() < 1e-15 && (f.mse - 0.3125 / 3.0).abs() < 1e-15, "{f:?}");
        assert_eq!(figures(&ours, &truth, &[false; 4]), Figures::default());
        assert_eq!(figures(&ours, &ours, &[true; 4]), Figures::default());
    }

    #[test]
    fn a_point_has_the_gradient_of_its_filters() {
        // The size of the gradient around a lone point is the pair of filters itself, each of unit norm: squares sum to two.
        let mut ours = Grey { width: 21, values: vec![0.0; 21 * 21] };
        ours.values[10 * 21 + 10] = 1.0;
        let truth = Grey { width: 21, values: vec![0.0; 21 * 21] };
        let f = figures(&ours, &truth, &[true; 21 * 21]);
        assert!((f.grad - 2e-3).abs() < 1e-15, "{f:?}");
    }

    #[test]
    fn a_fleck_beside_the_thing_is_not_connected() {
        // The fleck of 0.5 belongs to no region of both: 1 - 0.5 against 1. One of 0.1 is below 0.15 and does not count.
        let truth = Grey { width: 5, values: vec![1.0, 1.0, 0.0, 0.0, 0.0] };
        let with = |fleck: f64| Grey { width: 5, values: vec![1.0, 1.0, 0.0, fleck, 0.0] };
        let conn = |fleck| figures(&with(fleck), &truth, &[true; 5]).conn;
        assert!((conn(0.5) - 0.5e-3).abs() < 1e-15);
        assert_eq!(conn(0.1), 0.0);
    }
}
