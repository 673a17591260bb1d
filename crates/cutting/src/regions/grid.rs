//! A picture as a grid of cells: their colours, and what it costs to part neighbours.

use super::colours::Palette;
use super::flow::STEPS;
use pixels::{Budget, Image, OverBudget, Rgb};
use rayon::prelude::*;
use units::{PxRect, math};

/// What parting two cells of the same colour costs, and what it costs at least.
pub(super) const BOND: f64 = 100.0;
const LEAST: f64 = 0.02;

/// Ways to neighbours that lie after a cell, as those before it know of it themselves.
pub(super) const AFTER: std::ops::Range<usize> = 4..8;

/// Cells, row by row.
#[derive(Debug)]
pub(super) struct Grid {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) colours: Image<Rgb>,
    pub(super) palette: Palette,
    /// What parting a cell from each neighbour of [`AFTER`] costs.
    pub(super) bonds: Vec<[f32; 4]>,
}

impl Grid {
    /// Bytes for each cell, beside its colour.
    pub(super) const EACH: u64 = 24;

    /// Of evened colours that stand at the origin.
    pub(super) fn of(colours: Image<Rgb>) -> Self {
        let (width, height) = (colours.width(), colours.height());
        let apart = |x: usize, y: usize, way: usize| {
            let (u, v) = (x as i64 + STEPS[way].0, y as i64 + STEPS[way].1);
            let there = colours.place().contains(u, v);
            there.then(|| apart2(colours.at(x as i64, y as i64), colours.at(u, v)))
        };
        let each: Vec<[Option<f32>; 4]> = (0..width * height)
            .into_par_iter()
            .map(|i| std::array::from_fn(|k| apart(i % width, i / width, k + AFTER.start)))
            .collect();
        // Beside the mean difference the noise is small and edges are great.
        let (sum, count) =
            each.iter().flatten().flatten().fold((0.0f64, 0.0f64), |(s, n), v| (s + f64::from(*v), n + 1.0));
        let scale = 1.0 / (2.0 * sum / count.max(1.0)).max(1e-7);
        let bond = |k: usize, d: f32| {
            let (dx, dy) = STEPS[k + AFTER.start];
            let far = ((dx * dx + dy * dy) as f64).sqrt();
            (BOND / far * (LEAST + math::exp(-scale * f64::from(d)))) as f32
        };
        let bonds =
            each.into_par_iter().map(|d| std::array::from_fn(|k| d[k].map_or(0.0, |d| bond(k, d)))).collect();
        let palette = Palette::of(&colours);
        Self { width, height, colours, palette, bonds }
    }

    pub(super) fn len(&self) -> usize {
        self.width * self.height
    }

    /// The cell one of the steps away.
    pub(super) fn near(&self, i: usize, way: usize) -> Option<usize> {
        let (x, y) = ((i % self.width) as i64 + STEPS[way].0, (i / self.width) as i64 + STEPS[way].1);
        let there = (0..self.width as i64).contains(&x) && (0..self.height as i64).contains(&y);
        there.then(|| y as usize * self.width + x as usize)
    }
}

fn apart2(a: Rgb, b: Rgb) -> f32 {
    (0..3).map(|c| (a.0[c] - b.0[c]).powi(2)).sum()
}

/// A picture with at most `side` cells along its longer side, each the mean of the pixels in it.
pub(super) fn smaller(picture: &Image<Rgb>, side: usize, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let place = picture.place();
    let longest = place.width().max(place.height()).max(1);
    let cells = |n: usize| (n * side.min(longest)).div_ceil(longest).max(1).min(n.max(1));
    let (w, h) = (cells(place.width()), cells(place.height()));
    let mut out = Image::<Rgb>::new(PxRect::new(0, 0, w as i64, h as i64), budget)?;
    if place.is_empty() {
        return Ok(out);
    }
    let bounds = |u: usize, cells: usize, n: usize| (u * n / cells, (u + 1) * n / cells);
    out.pixels_mut().par_chunks_mut(w).enumerate().for_each(|(v, row)| {
        let (y0, y1) = bounds(v, h, place.height());
        let mut sums = vec![[0.0f32; 3]; w];
        for y in y0..y1 {
            let pixels = picture.row(place.y0() + y as i64);
            for (u, sum) in sums.iter_mut().enumerate() {
                let (x0, x1) = bounds(u, w, place.width());
                pixels[x0..x1].iter().for_each(|p| (0..3).for_each(|c| sum[c] += p.0[c]));
            }
        }
        for (u, (o, sum)) in row.iter_mut().zip(&sums).enumerate() {
            let (x0, x1) = bounds(u, w, place.width());
            *o = Rgb(sum.map(|s| s / ((y1 - y0) * (x1 - x0)) as f32));
        }
    });
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_means_of_their_pixels() {
        let budget = Budget::of_bytes(1 << 20);
        let place = PxRect::new(3, -2, 13, 3);
        let picture = Image::from_fn(place, &budget, |x, y| Rgb([x as f32, y as f32, 1.0])).unwrap();
        let small = smaller(&picture, 4, &budget).unwrap();
        assert_eq!((small.width(), small.height()), (4, 2));
        // Columns 3 and 4; rows -2 and -1.
        assert_eq!(small.at(0, 0), Rgb([3.5, -1.5, 1.0]));
        assert_eq!(small.at(3, 1), Rgb([11.0, 1.0, 1.0]));
        let same = smaller(&picture, 100, &budget).unwrap();
        assert_eq!(same.pixels(), picture.pixels());
    }

    #[test]
    fn edges_are_cheap_to_part() {
        let budget = Budget::of_bytes(1 << 20);
        let picture =
            Image::from_fn(PxRect::new(0, 0, 8, 4), &budget, |x, _| Rgb([if x < 4 { 0.2 } else { 0.8 }; 3]));
        let grid = Grid::of(picture.unwrap());
        let right = |x: usize| grid.bonds[8 + x][0];
        assert!(right(3) < 0.2 * right(2) && right(2) > 0.9 * BOND as f32, "{} {}", right(3), right(2));
        assert_eq!(right(7), 0.0);
    }
}
