//! What is sure of a shot before any background: from a few strokes that say what is surely the thing, and what is not.
//!
//! The shot is looked at in small. There the thing is cut from what is behind it where that costs least, first coarsely, by colours
//! and by the way to the strokes, then finer near the border (`segments`); the band along the border is as wide as the border
//! is uncertain (`border`). What strokes say stands; of two that lie on one another the later counts.

mod border;
mod colours;
mod contradicted;
mod flow;
mod grid;
mod segments;
mod ways;

pub use contradicted::{Together, over_paper};

use crate::even;
use crate::matting::{Sure, Trimap};
use crate::pen::{Dot, Stroke};
use grid::Grid;
use pixels::budget::Receipt;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;
use segments::Word;
use std::fmt;
use units::PxRect;

/// Longest side of the picture that regions are found in.
const SIDE: usize = 900;
/// The same for sketches (own choice, no source).
const SKETCHED: usize = 450;
/// Of the light that colours are compared in: about the eye's scale.
const POWER: f64 = 2.4;

/// What a stroke says of what it lies on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Said {
    /// Surely the thing.
    Inside,
    /// Surely not.
    Outside,
    /// In part: hair, a veil.
    Between,
}

impl Said {
    const fn sure(self) -> Sure {
        match self {
            Self::Inside => Sure::Inside,
            Self::Outside => Sure::Outside,
            Self::Between => Sure::Between,
        }
    }
}

/// Why strokes say too little of a shot.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unsaid {
    /// No stroke that lies on the frame says what is inside, or later ones took it all back.
    Inside,
    /// The same of outside.
    Outside,
}

impl fmt::Display for Unsaid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Inside => "inside",
            Self::Outside => "outside",
        })
    }
}

/// A shot made ready: what does not depend on strokes.
#[derive(Debug)]
pub struct Prepared {
    place: PxRect,
    fine: Grid,
    coarse: Grid,
    _room: Receipt,
}

impl Prepared {
    /// Of a picture in linear light.
    ///
    /// # Errors
    /// Where the budget does not hold what it needs.
    pub fn of(picture: &Image<Rgb>, budget: &Budget) -> Result<Self, OverBudget> {
        Self::in_small(picture, SIDE, budget)
    }

    /// The same, looked at so small that strokes are answered at once: thin parts may be missed.
    ///
    /// # Errors
    /// Where the budget does not hold what it needs.
    pub fn to_sketch(picture: &Image<Rgb>, budget: &Budget) -> Result<Self, OverBudget> {
        Self::in_small(picture, SKETCHED, budget)
    }

    fn in_small(picture: &Image<Rgb>, side: usize, budget: &Budget) -> Result<Self, OverBudget> {
        let light = grid::smaller(picture, side, budget)?;
        let half = grid::smaller(&light, light.width().max(light.height()).div_ceil(2), budget)?;
        let cells = (light.width() * light.height() + half.width() * half.height()) as u64;
        let room = budget.take(cells * Grid::EACH)?;
        let fine = Grid::of(even::image(&light, POWER, budget)?);
        let coarse = Grid::of(even::image(&half, POWER, budget)?);
        Ok(Self { place: picture.place(), fine, coarse, _room: room })
    }

    /// What strokes over the picture say of its every pixel.
    ///
    /// # Errors
    /// Where the budget does not hold what it needs.
    pub fn trimap(
        &self,
        strokes: &[(Said, Stroke)],
        budget: &Budget,
    ) -> Result<Result<Trimap, Unsaid>, OverBudget> {
        let coarse_words = self.words(&self.coarse, strokes, budget)?;
        let fine_words = self.words(&self.fine, strokes, budget)?;
        for (word, unsaid) in [(Word::Inside, Unsaid::Inside), (Word::Outside, Unsaid::Outside)] {
            if !fine_words.contains(&word) {
                return Ok(Err(unsaid));
            }
        }
        let _room = budget.take(self.fine.len() as u64 * EACH)?;
        let is_thing = if coarse_words.contains(&Word::Inside) && coarse_words.contains(&Word::Outside) {
            let (coarse, mixtures) = segments::coarse(&self.coarse, &coarse_words, budget)?;
            segments::finer(&self.fine, (&self.coarse, &coarse), &fine_words, &mixtures, budget)?
        } else {
            // Strokes that are so near to one another are not told apart coarsely.
            segments::coarse(&self.fine, &fine_words, budget)?.0
        };
        let between = border::between(&self.fine, &is_thing);
        let trimap = laid(self.whole(&is_thing, &between), strokes, budget)?;
        for (sure, unsaid) in [(Sure::Inside, Unsaid::Inside), (Sure::Outside, Unsaid::Outside)] {
            if !trimap.cells().contains(&sure) {
                return Ok(Err(unsaid));
            }
        }
        Ok(Ok(trimap))
    }

    /// What is said of each cell of a grid.
    fn words(
        &self,
        grid: &Grid,
        strokes: &[(Said, Stroke)],
        budget: &Budget,
    ) -> Result<Vec<Word>, OverBudget> {
        let place = PxRect::new(0, 0, grid.width as i64, grid.height as i64);
        let (sx, sy) = (
            grid.width as f64 / self.place.width().max(1) as f64,
            grid.height as f64 / self.place.height().max(1) as f64,
        );
        let (x0, y0) = (self.place.x0() as f64, self.place.y0() as f64);
        let mut words = vec![Word::Nothing; grid.len()];
        for (said, stroke) in strokes {
            let dot = |d: &Dot| Dot { x: (d.x - x0) * sx, y: (d.y - y0) * sy, radius: d.radius * sx.max(sy) };
            let word = match said {
                Said::Inside => Word::Inside,
                Said::Outside => Word::Outside,
                Said::Between => Word::Between,
            };
            over(stroke, dot, place, budget, |i| words[i] = word)?;
        }
        Ok(words)
    }

    /// At full size.
    fn whole(&self, is_thing: &[bool], between: &[bool]) -> Trimap {
        let (place, grid) = (self.place, &self.fine);
        let depth = border::depth(grid, between);
        let width = place.width().max(1);
        // Of each pixel the cells to both sides of its middle, and how far it is from the one to the other.
        let axis = |n: usize, cells: usize| -> Vec<(usize, usize, f32)> {
            (0..n)
                .map(|x| {
                    let at =
                        ((x as f64 + 0.5) * cells as f64 / n as f64 - 0.5).clamp(0.0, (cells - 1) as f64);
                    let low = at as usize;
                    (low, (low + 1).min(cells - 1), (at - low as f64) as f32)
                })
                .collect()
        };
        let (across, down) = (axis(place.width(), grid.width), axis(place.height(), grid.height));
        let mut cells = vec![Sure::Between; place.area()];
        cells.par_chunks_mut(width).zip(&down).for_each(|(row, (v0, v1, fy))| {
            let (up, low) =
                (&depth[v0 * grid.width..][..grid.width], &depth[v1 * grid.width..][..grid.width]);
            let line: Vec<f32> = up.iter().zip(low).map(|(a, b)| a + (b - a) * fy).collect();
            let thing = &is_thing[if *fy < 0.5 { v0 } else { v1 } * grid.width..][..grid.width];
            for (cell, (u0, u1, fx)) in row.iter_mut().zip(&across) {
                if line[*u0] + (line[*u1] - line[*u0]) * fx > 0.0 {
                    *cell =
                        if thing[if *fx < 0.5 { *u0 } else { *u1 }] { Sure::Inside } else { Sure::Outside };
                }
            }
        });
        Trimap::of_cells(place, cells)
    }
}

/// Bytes for each cell while regions are found, beside the flow.
const EACH: u64 = 160;
/// Least radius of a stroke, in pixels or cells: what is thinner counts all the same, wherever between them it lies.
const THIN: f64 = 0.75;
/// Share of the radius within which a further point of a stroke changes nothing.
const CLOSE: f64 = 0.1;

/// Calls `each` with the place, row by row, of every pixel that a stroke lies on, once its dots were moved.
fn over(
    stroke: &Stroke,
    dot: impl Fn(&Dot) -> Dot,
    place: PxRect,
    budget: &Budget,
    mut each: impl FnMut(usize),
) -> Result<(), OverBudget> {
    // Pens tell many more points than a line needs.
    let mut dots: Vec<Dot> = Vec::new();
    let last = stroke.dots().len() - 1;
    for (i, d) in stroke.dots().iter().enumerate() {
        let d = dot(d);
        let d = Dot { radius: d.radius.max(THIN), ..d };
        let close = |p: &Dot| {
            let least = (CLOSE * p.radius).max(THIN);
            (p.x - d.x).abs() + (p.y - d.y).abs() < least && (p.radius - d.radius).abs() < least
        };
        if i == last || !dots.last().is_some_and(close) {
            dots.push(d);
        }
    }
    let Some(stroke) = Stroke::new(dots, stroke.form(), stroke.soft()) else { return Ok(()) };
    let drawn: Image<Coverage> = stroke.drawn(place, budget)?;
    let reach = drawn.place();
    for y in reach.y0()..reach.y1() {
        let start = (y - place.y0()) as usize * place.width() + (reach.x0() - place.x0()) as usize;
        let row = drawn.row(y).iter().enumerate();
        row.filter(|(_, c)| c.0 >= 0.5).for_each(|(x, _)| each(start + x));
    }
    Ok(())
}

/// A trimap with what strokes say laid over it: of two that lie on one another the later counts.
///
/// # Errors
/// Where the budget does not hold a stroke.
pub fn laid(mut trimap: Trimap, strokes: &[(Said, Stroke)], budget: &Budget) -> Result<Trimap, OverBudget> {
    let place = trimap.place();
    for (said, stroke) in strokes {
        let (sure, cells) = (said.sure(), trimap.cells_mut());
        over(stroke, |d| *d, place, budget, |i| cells[i] = sure)?;
    }
    Ok(trimap)
}

/// What strokes over a picture in linear light say of its every pixel.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn trimap(
    picture: &Image<Rgb>,
    strokes: &[(Said, Stroke)],
    budget: &Budget,
) -> Result<Result<Trimap, Unsaid>, OverBudget> {
    Prepared::of(picture, budget)?.trimap(strokes, budget)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pen::Form;
    use units::math;

    const PLACE: PxRect = PxRect::new(0, 0, 420, 280);

    fn line(radius: f64, points: &[(f64, f64)]) -> Stroke {
        Stroke::new(points.iter().map(|&(x, y)| Dot { x, y, radius }).collect(), Form::Line, 0.0).unwrap()
    }

    /// A disc of two colours before patches of others, one of them its own; with fine strands to its right.
    fn covers(x: i64, y: i64) -> f32 {
        let (dx, dy) = (x as f64 + 0.5 - 180.0, y as f64 + 0.5 - 140.0);
        let disc = (80.5 - (dx * dx + dy * dy).sqrt()).clamp(0.0, 1.0) as f32;
        let strand = dx > 0.0 && dx < 125.0 && dy.abs() < 50.0 && (y % 6) == 0;
        disc.max(if strand { 0.7 } else { 0.0 })
    }

    fn picture(budget: &Budget) -> Image<Rgb> {
        let mut seed = 1u32;
        let mut image = Image::from_fn(PLACE, budget, |x, y| {
            let thing = if y < 140 { [0.40, 0.10, 0.05] } else { [0.30, 0.20, 0.02] };
            let behind = match (x / 60 + y / 70) % 3 {
                0 => [0.10, 0.25, 0.50],
                1 => [0.15, 0.45, 0.30],
                _ => [0.50, 0.55, 0.60],
            };
            let a = covers(x, y);
            let far = x > 380 && y < 60;
            Rgb([0, 1, 2].map(|c| if far { thing[c] } else { a * thing[c] + (1.0 - a) * behind[c] }))
        })
        .unwrap();
        for p in image.pixels_mut() {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = (seed >> 16) as f32 / 65536.0 - 0.5;
            p.0 = p.0.map(|v| v * (1.0 + 0.15 * noise));
        }
        image
    }

    fn strokes() -> Vec<(Said, Stroke)> {
        vec![
            (Said::Inside, line(5.0, &[(140.0, 100.0), (200.0, 90.0), (220.0, 180.0), (150.0, 190.0)])),
            (Said::Outside, line(6.0, &[(20.0, 20.0), (60.0, 260.0), (300.0, 260.0)])),
            (Said::Outside, line(6.0, &[(100.0, 20.0), (300.0, 20.0), (370.0, 140.0), (330.0, 240.0)])),
        ]
    }

    #[test]
    fn the_thing_is_found_and_the_band_is_wide_where_strands_are() {
        let budget = Budget::of_bytes(1 << 28);
        let picture = picture(&budget);
        let found = trimap(&picture, &strokes(), &budget).unwrap().unwrap();
        let (mut wrong, mut narrow, mut strands) = (0, 0, 0);
        for (x, y) in (0..280).flat_map(|y| (0..420).map(move |x| (x, y))) {
            let (sure, a) = (found.at(x, y), covers(x, y));
            wrong += usize::from((sure == Sure::Inside && a < 1.0) || (sure == Sure::Outside && a > 0.0));
            let left = x < 160;
            narrow += usize::from(left && sure == Sure::Between);
            strands += usize::from(!left && a == 0.7 && sure == Sure::Between);
        }
        // Half of the disc's border is 250 pixels long; there are 17 strands of some 45 pixels.
        assert!(wrong < 120 && narrow < 250 * 12 && strands > 500, "{wrong} {narrow} {strands}");
        // What has its colours but does not hang together with it is not the thing.
        assert_eq!(found.at(400, 20), Sure::Outside);
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| trimap(&picture, &strokes(), &budget)).unwrap().unwrap()
        };
        assert!(on(1) == on(3));
        assert!(trimap(&picture, &strokes(), &Budget::of_bytes(1 << 20)).is_err());
        assert_eq!(budget.taken(), (PLACE.area() * 12) as u64, "only the picture is still held");
    }

    #[test]
    fn strokes_stand_and_the_later_counts() {
        let budget = Budget::of_bytes(1 << 28);
        let picture = picture(&budget);
        let mut said = strokes();
        said.push((Said::Between, line(8.0, &[(180.0, 140.0), (180.0, 60.0)])));
        said.push((Said::Outside, line(4.0, &[(180.0, 140.0)])));
        said.push((Said::Inside, line(4.0, &[(350.0, 40.0), (-900.0, 40.0)])));
        let found = trimap(&picture, &said, &budget).unwrap().unwrap();
        assert_eq!(found.at(180, 140), Sure::Outside);
        assert_eq!(found.at(180, 120), Sure::Between);
        assert_eq!(found.at(2, 40), Sure::Inside);
    }

    #[test]
    fn what_is_not_said_is_told() {
        let budget = Budget::of_bytes(1 << 28);
        let picture = picture(&budget);
        let by = |said: &[(Said, Stroke)]| trimap(&picture, said, &budget).unwrap().map(drop);
        let all = strokes();
        assert_eq!(by(&[]), Err(Unsaid::Inside));
        assert_eq!(by(&all[..1]), Err(Unsaid::Outside));
        assert_eq!(by(&all[1..]), Err(Unsaid::Inside));
        let beyond = (Said::Inside, line(5.0, &[(-90.0, -90.0), (900.0, -50.0)]));
        assert_eq!(by(&[beyond, all[1].clone()]), Err(Unsaid::Inside));
        // Taken back altogether.
        let everywhere = (Said::Outside, line(900.0, &[(100.0, 100.0)]));
        assert_eq!(by(&[all[0].clone(), everywhere.clone()]), Err(Unsaid::Inside));
        let mut all_is = strokes();
        all_is.push((Said::Inside, everywhere.1));
        assert_eq!(by(&all_is), Err(Unsaid::Outside));
    }

    #[test]
    fn a_dot_counts_wherever_it_lies() {
        let budget = Budget::of_bytes(1 << 26);
        for at in [(10.0, 10.0), (10.5, 10.0), (10.5, 10.5), (10.2, 10.7)] {
            let none = Trimap::of_cells(PLACE, Vec::new());
            let found = laid(none, &[(Said::Inside, line(0.0, &[at]))], &budget).unwrap();
            let count = found.cells().iter().filter(|c| **c == Sure::Inside).count();
            assert!((1..=5).contains(&count), "{at:?}: {count}");
        }
    }

    #[test]
    fn small_pictures_and_even_ones_are_no_trouble() {
        let budget = Budget::of_bytes(1 << 26);
        for (w, h) in [(1, 1), (2, 1), (1, 9), (7, 5), (1200, 2)] {
            let place = PxRect::new(0, 0, w, h);
            let even = Image::from_fn(place, &budget, |_, _| Rgb([0.2; 3])).unwrap();
            let said = [
                (Said::Outside, line(0.0, &[(0.5, 0.5)])),
                (Said::Inside, line(0.0, &[(w as f64 - 0.5, h as f64 - 0.5)])),
            ];
            let found = trimap(&even, &said, &budget).unwrap();
            assert_eq!(found.is_ok(), (w, h) != (1, 1), "{w} x {h}: {found:?}");
        }
        assert!(trimap(&Image::new(PxRect::EMPTY, &budget).unwrap(), &strokes(), &budget).unwrap().is_err());
    }

    #[test]
    fn a_stroke_with_many_points_is_the_stroke_with_few() {
        let budget = Budget::of_bytes(1 << 26);
        let many: Vec<(f64, f64)> = (0..30_000)
            .map(|i| (40.0 + f64::from(i) / 100.0, 100.0 + 30.0 * math::sin(f64::from(i) / 4000.0)))
            .collect();
        let few: Vec<(f64, f64)> = many.iter().step_by(100).chain(many.last()).copied().collect();
        let drawn = |points: &[(f64, f64)]| {
            let none = Trimap::of_cells(PLACE, Vec::new());
            laid(none, &[(Said::Inside, line(12.0, points))], &budget).unwrap()
        };
        let (many, few) = (drawn(&many), drawn(&few));
        let differ = many.cells().iter().zip(few.cells()).filter(|(a, b)| a != b).count();
        assert!(differ < 40, "{differ}");
    }
}
