//! How much of each pixel between sure inside and sure outside the thing covers.
//!
//! Three kinds of evidence are weighed against one another in one quadratic form: within small windows coverage goes with
//! colour (`laplacian`); pixels mix their coverage from pixels that look like them, wherever those are (`mixture`); and pairs
//! of sure colours near a pixel explain its own (`samples`). Only the band between is solved, first in small, where all
//! evidence is weighed, then larger and larger (`scales`). On all threads of the pool that calls.

mod again;
mod band;
mod laplacian;
mod mixture;
mod nearest;
mod samples;
mod scales;
mod sides;
mod solve;
mod sparse;
mod trimap;

use crate::even;
pub use again::{again, in_small};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
pub use trimap::{Sure, Trimap};

/// How much time a matte may take.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Effort {
    /// In a fraction of the time, with a somewhat larger error.
    Quick,
    /// The smallest error.
    Best,
}

/// Of the light that coverage is found in.
const POWER: f64 = 1.6;
/// How far sure pixels make others sure that look like them, and how alike.
const GROWN: (i64, f64) = (10, 0.02);

/// The matte of a picture, in linear light, between what its trimap says is sure.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn matte(
    picture: &Image<Rgb>,
    trimap: &Trimap,
    effort: Effort,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let colours = even::image(picture, POWER, budget)?;
    let trimap = trimap.grown(&colours, GROWN.0, GROWN.1);
    budget.reached(0.1);
    let found = scales::solved(&colours, &trimap, effort, &budget.within(0.1, 0.9))?;
    drop(colours);
    let matte = sides::told(picture, &found, budget);
    budget.reached(1.0);
    matte
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{PxRect, math};

    /// Fine threads of one colour over another, both uneven, with their true coverage.
    fn threads(place: PxRect, budget: &Budget) -> (Image<Rgb>, Image<Coverage>, Trimap) {
        let covered = |x: i64, y: i64| {
            let bend = math::sin(y as f64 * 0.35) * 2.0;
            let wave = ((math::sin(x as f64 * 0.9 + bend) * 0.5 + 0.5) as f32).powi(2);
            match x - place.x0() {
                ..12 => 0.0,
                36.. => 1.0,
                _ => wave,
            }
        };
        let truth = Image::from_fn(place, budget, |x, y| Coverage(covered(x, y))).unwrap();
        let picture = Image::from_fn(place, budget, |x, y| {
            let a = covered(x, y);
            let (thing, behind) = ([0.30, 0.12, 0.05], [0.5 + 0.002 * y as f32, 0.6, 0.7]);
            Rgb([0, 1, 2].map(|c| a * thing[c] + (1.0 - a) * behind[c]))
        });
        let grey = Image::from_fn(place, budget, |x, _| {
            Coverage(match x - place.x0() {
                ..12 => 0.0,
                36.. => 1.0,
                _ => 0.5,
            })
        });
        (picture.unwrap(), truth, Trimap::of_grey(&grey.unwrap()))
    }

    #[test]
    fn threads_of_one_colour_over_another_are_found() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(5, -3, 53, 37);
        let (picture, truth, trimap) = threads(place, &budget);
        for (effort, most) in [(Effort::Quick, 0.06), (Effort::Best, 0.06)] {
            let found = matte(&picture, &trimap, effort, &budget).unwrap();
            let errors = found.pixels().iter().zip(truth.pixels()).map(|(a, b)| f64::from((a.0 - b.0).abs()));
            let mean = errors.sum::<f64>() / (24.0 * place.height() as f64);
            assert!(mean < most, "{effort:?}: {mean}");
        }
    }

    /// A band of more pixels than are solved at once, so that it begins in small; threads as wide as in a large photograph.
    #[test]
    fn large_bands_are_found_from_small_to_large_by_any_number_of_threads() {
        let budget = Budget::of_bytes(1 << 29);
        let place = PxRect::new(-7, 3, 393, 263);
        let covered = |x: i64, y: i64| match x {
            ..8 => 0.0,
            378.. => 1.0,
            _ => (math::sin(x as f64 * 0.2 + math::sin(y as f64 * 0.05) * 2.0) * 0.5 + 0.5) as f32,
        };
        let picture = Image::from_fn(place, &budget, |x, y| {
            let (a, behind) = (covered(x, y), 0.5 + 0.001 * y as f32);
            Rgb([0.30 * a + behind * (1.0 - a), 0.12 * a + 0.6 * (1.0 - a), 0.05 * a + 0.7 * (1.0 - a)])
        });
        let grey = Image::from_fn(place, &budget, |x, y| {
            Coverage(if covered(x, y) % 1.0 == 0.0 { covered(x, y) } else { 0.5 })
        });
        let (picture, trimap) = (picture.unwrap(), Trimap::of_grey(&grey.unwrap()));
        for effort in [Effort::Quick, Effort::Best] {
            let on = |threads: usize| {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
                pool.install(|| matte(&picture, &trimap, effort, &budget)).unwrap()
            };
            let found = on(1);
            assert_eq!(found.pixels(), on(3).pixels());
            let at = (place.y0()..place.y1()).flat_map(|y| (8..378).map(move |x| (x, y)));
            let errors = at.map(|(x, y)| f64::from((found.at(x, y).0 - covered(x, y)).abs()));
            let mean = errors.sum::<f64>() / (370.0 * place.height() as f64);
            // A half everywhere would be 0.32 off.
            assert!(mean < 0.1, "{effort:?}: {mean}");
        }
        let scarce = Budget::of_bytes(20 << 20);
        assert!(matte(&picture, &trimap, Effort::Best, &scarce).is_err());
    }

    #[test]
    fn what_is_sure_stays_and_little_or_nothing_known_is_no_trouble() {
        let budget = Budget::of_bytes(1 << 26);
        for size in [1, 2, 9] {
            let place = PxRect::new(0, 0, size, size);
            let picture = Image::from_fn(place, &budget, |x, y| Rgb([x as f32, 0.2, y as f32])).unwrap();
            for level in [0.0, 0.5, 1.0] {
                let grey = Image::from_fn(place, &budget, |_, _| Coverage(level)).unwrap();
                for effort in [Effort::Quick, Effort::Best] {
                    let found = matte(&picture, &Trimap::of_grey(&grey), effort, &budget).unwrap();
                    let fine = |c: &Coverage| (0.0..=1.0).contains(&c.0) && (level == 0.5 || c.0 == level);
                    assert!(found.pixels().iter().all(fine), "{size} {level}");
                }
            }
        }
    }
}
