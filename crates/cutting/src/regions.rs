//! What is sure of a shot before any background: from a few strokes that say what is surely the thing, and what is not.
//!
//! The shot is looked at in small. There the thing is cut from what is behind it where that costs least, first coarsely, by colours
//! and by the way to the strokes, then finer near the border (`segments`); the band along the border is as wide as the border
//! is uncertain (`border`). What strokes say stands; of two that lie on one another the later counts.

mod border;
mod colours;
mod flow;
mod grid;
mod segments;
mod ways;

use crate::even;
use crate::matting::{Sure, Trimap};
use crate::pen::{Dot, Stroke};
use grid::Grid;
use pixels::budget::Receipt;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;
use segments::{Found, Word};
use std::fmt;
use units::PxRect;

/// Longest side of the picture that regions are found in.
const SIDE: usize = 900;
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
        let light = grid::smaller(picture, SIDE, budget)?;
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
        let t = std::time::Instant::now();
        let words = [&self.coarse, &self.fine].map(|grid| self.words(grid, strokes, budget));
        let [coarse_words, fine_words] = words;
        let (coarse_words, fine_words) = (coarse_words?, fine_words?);
        for (word, unsaid) in [(Word::Inside, Unsaid::Inside), (Word::Outside, Unsaid::Outside)] {
            if !coarse_words.contains(&word) {
                return Ok(Err(unsaid));
            }
        }
        let _room = budget.take(self.fine.len() as u64 * EACH)?;
        let (coarse, mixtures) = segments::coarse(&self.coarse, &coarse_words, budget)?;
        let t1 = t.elapsed();
        let found = segments::finer(&self.fine, (&self.coarse, &coarse), &fine_words, &mixtures, budget)?;
        let t2 = t.elapsed();
        let between = border::between(&self.fine, &found);
        let t3 = t.elapsed();
        let trimap = self.whole(&found, &between);
        let t4 = t.elapsed();
        let r = Ok(Ok(laid(trimap, strokes, budget)?));
        if std::env::var("TIMES").is_ok() {
            eprintln!("coarse {t1:?} fine {t2:?} border {t3:?} whole {t4:?} laid {:?}", t.elapsed());
        }
        r
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
    fn whole(&self, found: &Found, between: &[bool]) -> Trimap {
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
            let thing = &found.is_thing[if *fy < 0.5 { v0 } else { v1 } * grid.width..][..grid.width];
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
/// Least radius of a stroke, in pixels or cells: what is thinner counts all the same.
const THIN: f64 = 0.5;

/// Calls `each` with the place, row by row, of every pixel that a stroke lies on, once its dots were moved.
fn over(
    stroke: &Stroke,
    dot: impl Fn(&Dot) -> Dot,
    place: PxRect,
    budget: &Budget,
    mut each: impl FnMut(usize),
) -> Result<(), OverBudget> {
    let dots = stroke.dots().iter().map(|d| {
        let d = dot(d);
        Dot { radius: d.radius.max(THIN), ..d }
    });
    let Some(stroke) = Stroke::new(dots.collect(), stroke.form(), stroke.soft()) else { return Ok(()) };
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
        let sure = match said {
            Said::Inside => Sure::Inside,
            Said::Outside => Sure::Outside,
            Said::Between => Sure::Between,
        };
        let cells = trimap.cells_mut();
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
