//! How much of each pixel between sure inside and sure outside the thing covers.
//!
//! Three kinds of evidence are weighed against one another in one quadratic form: within small windows coverage goes with
//! colour (`laplacian`); pixels mix their coverage from pixels that look like them, wherever those are (`mixture`); and pairs
//! of sure colours near a pixel explain its own (`samples`). Only the band between is solved.

mod band;
mod laplacian;
mod mixture;
mod nearest;
mod samples;
mod solve;
mod sparse;
mod trimap;

use band::Band;
use mixture::Mixture;
use pixels::encode::Transfer;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use solve::Wanted;
pub use trimap::{Sure, Trimap};

/// How much time a matte may take.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Effort {
    /// In a fraction of the time, with a somewhat larger error.
    Quick,
    /// The smallest error.
    Best,
}

/// Against one colour in a window, in squares of encoded colour.
const EPSILON: f64 = 1e-7;
/// How far sure pixels make others sure that look like them, and how alike.
const GROWN: (i64, f64) = (10, 0.02);
/// What evidence of pairs weighs where it is trusted, and mixtures, beside the windows.
const PAIRS: f64 = 0.1;
const MIXED: f64 = 1.0;

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
    let encoded = |v: f32| Transfer::Srgb.encode(f64::from(v).clamp(0.0, 1.0)) as f32;
    let colours = Image::from_fn(picture.place(), budget, |x, y| Rgb(picture.at(x, y).0.map(encoded)))?;
    let trimap = trimap.grown(&colours, GROWN.0, GROWN.1);
    let band = Band::of(&trimap);
    let place = picture.place();
    let sure = |x: i64, y: i64| if trimap.at(x, y) == Sure::Inside { 1.0 } else { 0.0 };
    let found = samples::found(&colours, &trimap, &band);
    let (smooth, sides) = laplacian::form(&colours, &band, EPSILON, sure);
    let mixture = (effort == Effort::Best).then(|| (Mixture::new(&colours, &band, sure), MIXED));
    let evidence = found.iter().map(|f| (f.coverage, PAIRS * f.trust)).collect();
    let guess = found.iter().map(|f| f.coverage).collect();
    let solved = Wanted { smooth, sides, mixture, evidence }.solve(guess);
    Image::from_fn(place, budget, |x, y| {
        Coverage(band.number(x, y).map_or_else(|| sure(x, y) as f32, |n| solved[n].clamp(0.0, 1.0) as f32))
    })
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
