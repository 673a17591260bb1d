//! Where exactly a small window of one shot is seen in another: by the slopes of its grey, again and again (Lucas and Kanade 1981,
//! inversely composed after Baker and Matthews 2004), whatever the brightness and contrast there.

use super::grey::Grey;
use rayon::prelude::*;
use units::Mat3;

/// Half the side of a window.
pub(super) const HALF: usize = 10;
const SIDE: usize = 2 * HALF + 1;
/// Steps, and the one that is small enough, in pixels.
const STEPS: usize = 12;
const SMALL: f64 = 0.004;
/// Farthest that a window may be from where it was thought to be.
const FARTHEST: f64 = 4.0;
/// Least likeness (1 is the same) of what was found.
const LEAST: f64 = 0.8;

/// A window of the first shot, and where it was found in the other; points of the level.
#[derive(Clone, Copy)]
pub(super) struct Found {
    pub(super) at: [f64; 2],
    pub(super) seen: [f64; 2],
    pub(super) trust: f64,
}

/// The middle of a window, and how far it is to be trusted, 0 to 1.
#[derive(Clone, Copy)]
pub(super) struct Asked {
    pub(super) at: [f64; 2],
    pub(super) trust: f64,
}

/// Those of the windows around these points that are found near where the mapping has them.
pub(super) fn found(first: &Grey, other: &Grey, mapping: &Mat3, points: &[Asked]) -> Vec<Found> {
    points.par_iter().filter_map(|p| window(first, other, mapping, *p)).collect()
}

fn window(first: &Grey, other: &Grey, mapping: &Mat3, Asked { at, trust }: Asked) -> Option<Found> {
    if !first.holds((at[0], at[1]), HALF) {
        return None;
    }
    let corner = at.map(|v| v as usize - HALF);
    let middle = at.map(|v| v.floor() + 0.5);
    let pixels = || (0..SIDE * SIDE).map(|i| (corner[0] + i % SIDE, corner[1] + i / SIDE));
    let own: Vec<f64> = pixels().map(|(x, y)| f64::from(first.row(y)[x])).collect();
    let (own_mean, own_spread) = mean_and_spread(&own);
    // The slopes, freed of what brightness and contrast explain.
    let mut slopes: [Vec<f64>; 2] = Default::default();
    for (gx, gy) in pixels().map(|(x, y)| first.slope(x, y)) {
        slopes[0].push(f64::from(gx));
        slopes[1].push(f64::from(gy));
    }
    let shape: Vec<f64> = own.iter().map(|v| v - own_mean).collect();
    for slope in &mut slopes {
        let (mean, _) = mean_and_spread(slope);
        let share = dot(slope, &shape) / dot(&shape, &shape).max(1e-12);
        slope.iter_mut().zip(&shape).for_each(|(s, t)| *s -= mean + share * t);
    }
    let [sxx, sxy, syy] =
        [dot(&slopes[0], &slopes[0]), dot(&slopes[0], &slopes[1]), dot(&slopes[1], &slopes[1])];
    let determinant = sxx * syy - sxy * sxy;
    if determinant <= 1e-12 || own_spread <= 0.0 {
        return None;
    }
    let places: Vec<(f64, f64)> =
        pixels().map(|(x, y)| mapping.project(x as f64 + 0.5, y as f64 + 0.5)).collect::<Option<_>>()?;
    let thought = mapping.project(middle[0], middle[1])?;
    let right = mapping.project(middle[0] + 1.0, middle[1])?;
    let down = mapping.project(middle[0], middle[1] + 1.0)?;
    let mut shift = [0.0f64; 2];
    let mut likeness = 0.0;
    for _ in 0..STEPS {
        let here = (thought.0 + shift[0], thought.1 + shift[1]);
        if shift[0].abs().max(shift[1].abs()) > FARTHEST || !other.holds(here, 2 * HALF) {
            return None;
        }
        let seen: Vec<f64> =
            places.iter().map(|(x, y)| f64::from(other.at(x + shift[0], y + shift[1]))).collect();
        let (mean, spread) = mean_and_spread(&seen);
        if spread <= 0.0 {
            return None;
        }
        let contrast = own_spread / spread;
        let off: Vec<f64> = seen.iter().zip(&shape).map(|(v, s)| (v - mean) * contrast - s).collect();
        likeness = 1.0 - 0.5 * dot(&off, &off) / (own_spread * own_spread);
        let (bx, by) = (dot(&slopes[0], &off), dot(&slopes[1], &off));
        let step = [(syy * bx - sxy * by) / determinant, (sxx * by - sxy * bx) / determinant];
        shift[0] -= step[0] * (right.0 - thought.0) + step[1] * (down.0 - thought.0);
        shift[1] -= step[0] * (right.1 - thought.1) + step[1] * (down.1 - thought.1);
        if step[0].abs().max(step[1].abs()) < SMALL {
            break;
        }
    }
    let near = shift[0].abs().max(shift[1].abs()) <= FARTHEST;
    (near && likeness >= LEAST).then(|| Found {
        at: middle,
        seen: [thought.0 + shift[0], thought.1 + shift[1]],
        trust,
    })
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The mean, and the length of what is left without it.
fn mean_and_spread(values: &[f64]) -> (f64, f64) {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (mean, values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>().sqrt())
}
