//! By how much one shot is brighter than another, from what both show.

use super::laid::BRIGHT;
use pixels::{Coverage, Image, Rgb};

/// Light below this is noise.
const DARK: f32 = 0.004;
/// About how many places are asked, and the fewest that are believed.
const PLACES: usize = 200_000;
const FEWEST: usize = 200;
/// What of them agrees: ratios within this factor of the median.
const AGREES: f64 = 1.15;
const ROUNDS: usize = 4;

/// The factors on red, green and blue of `other` that make it as bright as `first`: medians of ratios, of those near the median before.
/// Where `counts`; on what both cover first, on all else only where that is too little. All stand at the same place.
pub(super) fn gain(
    first: (&Image<Rgb>, &Image<Coverage>),
    other: (&Image<Rgb>, &Image<Coverage>),
    counts: impl Fn(usize) -> bool,
) -> [f64; 3] {
    let place = other.0.place();
    let step = (place.area() / PLACES).max(1);
    let asked: Vec<(Rgb, Rgb, bool)> = (0..place.area())
        .step_by(step)
        .filter(|i| counts(*i))
        .map(|i| {
            let (x, y) = (place.x0() + (i % place.width()) as i64, place.y0() + (i / place.width()) as i64);
            let covered = first.1.at(x, y).0 > 0.5 && other.1.at(x, y).0 > 0.5;
            (first.0.at(x, y), other.0.at(x, y), covered)
        })
        .collect();
    let says = |v: f32| (DARK..BRIGHT).contains(&v);
    std::array::from_fn(|c| {
        let ratios = |covered: bool| -> Vec<f64> {
            let said = asked.iter().filter(|a| a.2 || !covered).map(|(a, b, _)| (a.0[c], b.0[c]));
            said.filter(|(a, b)| says(*a) && says(*b)).map(|(a, b)| f64::from(a) / f64::from(b)).collect()
        };
        let mut all = ratios(true);
        if all.len() < FEWEST {
            all = ratios(false);
        }
        if all.len() < FEWEST {
            return 1.0;
        }
        all.sort_by(f64::total_cmp);
        let mut middle = all[all.len() / 2];
        for _ in 0..ROUNDS {
            let from = all.partition_point(|r| *r < middle / AGREES);
            let to = all.partition_point(|r| *r <= middle * AGREES);
            middle = all[(from + to) / 2];
        }
        middle
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::Budget;
    use units::PxRect;

    #[test]
    fn it_is_found_though_a_third_has_moved() {
        let budget = Budget::of_bytes(1 << 24);
        let place = PxRect::new(3, 4, 103, 94);
        let grey = |x: i64, y: i64| 0.1 + 0.3 * ((x * 31 + y * 17) % 23) as f32 / 23.0;
        let first = Image::from_fn(place, &budget, |x, y| Rgb([grey(x, y); 3])).unwrap();
        let other = Image::from_fn(place, &budget, |x, y| {
            let p = if x < 33 { grey(x + 9, y + 4) } else { grey(x, y) };
            Rgb([p / 1.07, p / 0.9, p])
        });
        let matte = Image::from_fn(place, &budget, |_, _| Coverage(1.0)).unwrap();
        let found = gain((&first, &matte), (&other.unwrap(), &matte), |_| true);
        for (f, true_gain) in found.iter().zip([1.07, 0.9, 1.0]) {
            assert!((f / true_gain - 1.0).abs() < 1e-3, "{found:?}");
        }
        let black = Image::<Rgb>::new(place, &budget).unwrap();
        assert_eq!(gain((&first, &matte), (&black, &matte), |_| true), [1.0; 3]);
    }
}
