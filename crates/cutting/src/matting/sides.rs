//! Coverage told by the colours on both sides of an edge.
//!
//! Beside an edge what is behind is seen where nothing covers it, and the thing where little else is mixed in. How far along the
//! line between these two a pixel's colour lies is its coverage (Chuang, Curless, Salesin and Szeliski, "A Bayesian approach to
//! digital matting", 2001, the step for coverage). What was found before is weighed against that: the more, the surer it was, the
//! more both colours vary, and the farther the pixel lies off the line. In linear light, as light mixes.

use crate::along::gaussian;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;

/// Standard deviation of what was found, where half is covered.
const FOUND: f32 = 0.12;
/// Coverage below which a pixel shows what is behind alone.
const CLEAR: f32 = 0.002;
/// Standard deviations, in pixels, of the weights by which the colours behind and of the thing are averaged.
const BEHIND: f64 = 4.0;
const THING: f64 = 2.0;
/// Variances beside what is seen of them: of the colour behind and the thing's, as shares of their squares; of light, and as a
/// share of its square.
const BEHIND_VARIES: f32 = 0.003;
const THING_VARIES: f32 = 0.01;
const LIGHT_VARIES: f32 = 1e-5;
const LIGHT_VARIES_BY: f32 = 2e-4;
/// Mean square, in standard deviations, by which a pixel off the line counts half.
const OFF: f32 = 5.0;
/// Least weight of a mean.
const LEAST: f32 = 1e-3;
/// Pixels along a side of what is worked on at once.
const TILE: usize = 64;
/// Bytes that a thread takes meanwhile.
const EACH: u64 = 2 << 20;

/// A matte with the coverage of what is part covered told anew from the picture, in linear light.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub(super) fn told(
    picture: &Image<Rgb>,
    found: &Image<Coverage>,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let _room = budget.take(EACH * rayon::current_num_threads() as u64)?;
    let place = found.place();
    let mut told = found.crop(place, budget)?;
    let kernels = (gaussian(BEHIND), gaussian(THING));
    let width = place.width().max(1);
    told.pixels_mut().par_chunks_mut(width * TILE).enumerate().for_each(|(i, strip)| {
        let y0 = place.y0() + (i * TILE) as i64;
        for (j, x0) in (place.x0()..place.x1()).step_by(TILE).enumerate() {
            let columns = j * TILE..((j + 1) * TILE).min(width);
            let is_open = |a: &Coverage| a.0 > 0.0 && a.0 < 1.0;
            if strip.chunks(width).any(|row| row[columns.clone()].iter().any(is_open)) {
                let tile = Tile::of(picture, found, (x0, y0), &kernels);
                for (v, row) in strip.chunks_mut(width).enumerate() {
                    for (u, a) in row[columns.clone()].iter_mut().enumerate().filter(|(_, a)| is_open(a)) {
                        a.0 = tile.told(u, v, picture.at(x0 + u as i64, y0 + v as i64), a.0);
                    }
                }
            }
        }
    });
    Ok(told)
}

/// A weight, and by it the sums of a colour and of its squares.
type Sums = [f32; 8];

fn sums(weight: f32, [r, g, b]: [f32; 3]) -> Sums {
    [1.0, r, g, b, r * r, g * g, b * b, 0.0].map(|v| weight * v)
}

/// A colour and its variance; `None` where next to nothing is seen of it.
fn seen(sums: &Sums) -> Option<([f32; 3], [f32; 3])> {
    let [weight, sums @ ..] = sums;
    let mean = [0, 1, 2].map(|c| sums[c] / weight);
    let varies = [0, 1, 2].map(|c| (sums[c + 3] / weight - mean[c] * mean[c]).max(0.0));
    (*weight >= LEAST).then_some((mean, varies))
}

/// A square of sums.
struct Square {
    side: usize,
    cells: Vec<Sums>,
}

impl Square {
    fn from_fn(side: usize, f: impl Fn(usize, usize) -> Sums) -> Self {
        Self { side, cells: (0..side * side).map(|i| f(i % side, i / side)).collect() }
    }

    /// Averaged, without the margin that a kernel reaches over.
    fn averaged(&self, kernel: &[f32]) -> Self {
        let small = self.side + 1 - kernel.len();
        let weighed = |cells: &[Sums], step: usize| {
            let mut sum = Sums::default();
            for (k, cell) in kernel.iter().zip(cells.iter().step_by(step)) {
                (0..8).for_each(|c| sum[c] += k * cell[c]);
            }
            sum
        };
        let from = |i: usize| i / small * self.side + i % small;
        let across: Vec<Sums> = (0..self.side * small).map(|i| weighed(&self.cells[from(i)..], 1)).collect();
        Self { side: small, cells: (0..small * small).map(|i| weighed(&across[i..], small)).collect() }
    }

    fn at(&self, x: usize, y: usize) -> &Sums {
        &self.cells[y * self.side + x]
    }
}

/// What is seen on both sides around the pixels of a tile.
struct Tile {
    behind: Square,
    thing: Square,
    /// Cells of `behind` before the first of `thing`.
    margin: usize,
}

impl Tile {
    fn of(
        picture: &Image<Rgb>,
        found: &Image<Coverage>,
        (x0, y0): (i64, i64),
        (behind, thing): &(Vec<f32>, Vec<f32>),
    ) -> Self {
        let (wide, margin) = (behind.len() / 2 + thing.len() / 2, thing.len() / 2);
        let place = found.place();
        // Nothing is seen beyond the picture.
        let seen_at = |x: usize, y: usize, margin: usize| {
            let (x, y) = (x0 + x as i64 - margin as i64, y0 + y as i64 - margin as i64);
            place.contains(x, y).then(|| (found.at(x, y).0, picture.at(x, y).0))
        };
        let clear = Square::from_fn(TILE + 2 * wide, |x, y| match seen_at(x, y, wide) {
            Some((a, light)) if a < CLEAR => sums(1.0, light),
            _ => Sums::default(),
        });
        let behind = clear.averaged(behind);
        let covered = Square::from_fn(TILE + 2 * margin, |x, y| {
            let Some((a, light)) = seen_at(x, y, margin).filter(|(a, _)| *a > 0.0) else {
                return Sums::default();
            };
            // What is left of the light without that from behind.
            let paper = seen(behind.at(x, y)).map_or(light, |(mean, _)| mean);
            let own = [0, 1, 2].map(|c| ((light[c] - (1.0 - a) * paper[c]) / a.max(0.02)).clamp(0.0, 1.0));
            sums(a * a * a, own)
        });
        Self { behind, thing: covered.averaged(thing), margin }
    }

    /// The coverage of a pixel, by its light and what was found.
    fn told(&self, u: usize, v: usize, Rgb(light): Rgb, a: f32) -> f32 {
        let behind = seen(self.behind.at(u + self.margin, v + self.margin));
        let (Some((paper, paper_varies)), Some((own, own_varies))) = (behind, seen(self.thing.at(u, v)))
        else {
            return a;
        };
        let away = [0, 1, 2].map(|c| light[c] - paper[c]);
        let line = [0, 1, 2].map(|c| own[c] - paper[c]);
        let varies = [0, 1, 2].map(|c| {
            let thing = own_varies[c] + THING_VARIES * own[c] * own[c];
            let behind = paper_varies[c] + BEHIND_VARIES * paper[c] * paper[c];
            a * a * thing
                + (1.0 - a) * (1.0 - a) * behind
                + LIGHT_VARIES
                + LIGHT_VARIES_BY * light[c] * light[c]
        });
        let mean = |f: &dyn Fn(usize) -> f32| (0..3).map(|c| f(c) / varies[c]).sum::<f32>() / 3.0;
        let spread = FOUND * 4.0 * a * (1.0 - a);
        let found = 1.0 / (spread * spread).max(f32::MIN_POSITIVE);
        let told = (mean(&|c| away[c] * line[c]) + found * a) / (mean(&|c| line[c] * line[c]) + found);
        let told = told.clamp(0.0, 1.0);
        let off = mean(&|c| (away[c] - told * line[c]) * (away[c] - told * line[c]));
        a + (told - a) / (1.0 + off / OFF)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{PxRect, math};

    /// A soft edge between even colours, found too wide and too dark.
    #[test]
    fn coverage_comes_nearer_to_what_the_colours_on_both_sides_say() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(-3, 5, 150, 90);
        let truth = |x: i64| ((x as f32 - 60.0) / 6.0).clamp(0.0, 1.0);
        let picture = Image::from_fn(place, &budget, |x, y| {
            let (a, paper) = (truth(x), 0.8 - 0.001 * y as f32);
            Rgb([0.2, 0.1, 0.05].map(|v| a * v + (1.0 - a) * paper))
        })
        .unwrap();
        let found =
            Image::from_fn(place, &budget, |x, _| Coverage(math::pow(f64::from(truth(x)), 1.4) as f32))
                .unwrap();
        let told = told(&picture, &found, &budget).unwrap();
        let error = |matte: &Image<Coverage>| {
            let at = (place.y0()..place.y1()).flat_map(|y| (place.x0()..place.x1()).map(move |x| (x, y)));
            at.map(|(x, y)| f64::from((matte.at(x, y).0 - truth(x)).abs())).sum::<f64>()
        };
        assert!(error(&told) < 0.5 * error(&found), "{} {}", error(&told), error(&found));
    }

    #[test]
    fn what_is_sure_and_what_shows_one_side_alone_stay() {
        let budget = Budget::of_bytes(1 << 26);
        for (w, h) in [(1, 1), (70, 3), (2, 130)] {
            let place = PxRect::new(0, 0, w, h);
            let picture = Image::from_fn(place, &budget, |x, y| Rgb([x as f32, 0.3, y as f32])).unwrap();
            for a in [0.0, 0.3, 1.0] {
                let found = Image::from_fn(place, &budget, |_, _| Coverage(a)).unwrap();
                assert_eq!(told(&picture, &found, &budget).unwrap().pixels(), found.pixels());
            }
        }
    }

    /// A pixel that is on neither side's line is not told by it.
    #[test]
    fn a_colour_of_its_own_hardly_moves() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(0, 0, 40, 40);
        let found = Image::from_fn(place, &budget, |x, y| match (x, y) {
            (20, 20) => Coverage(0.5),
            (..20, _) => Coverage(0.0),
            _ => Coverage(1.0),
        });
        let found = found.unwrap();
        let of = |colour: [f32; 3]| {
            let picture = Image::from_fn(place, &budget, |x, y| match (x, y) {
                (20, 20) => Rgb(colour),
                (..20, _) => Rgb([0.8; 3]),
                _ => Rgb([0.1; 3]),
            });
            told(&picture.unwrap(), &found, &budget).unwrap().at(20, 20).0
        };
        assert!(of([0.24; 3]) > 0.7, "{}", of([0.24; 3]));
        assert!((of([0.9, 0.05, 0.05]) - 0.5).abs() < 0.05, "{}", of([0.9, 0.05, 0.05]));
    }
}
