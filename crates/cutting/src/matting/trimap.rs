//! What is sure of a shot: where the thing is, where it is not, and the band between.

use super::scales::half_of;
use pixels::{Coverage, Image, Rgb};
use rayon::prelude::*;
use units::PxRect;

/// What is sure of a pixel.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sure {
    /// Nothing of the thing is in it.
    Outside,
    /// Not known.
    Between,
    /// The thing covers all of it.
    Inside,
}

/// What is sure of every pixel of a shot.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Trimap {
    place: PxRect,
    cells: Vec<Sure>,
}

impl Trimap {
    /// From a grey picture, as trimaps are kept in files: black is outside, white inside, whatever lies between a tenth and
    /// nine tenths is between.
    #[must_use]
    pub fn of_grey(grey: &Image<Coverage>) -> Self {
        let sure = |v: &Coverage| match v.0 {
            v if v <= 0.1 => Sure::Outside,
            v if v >= 0.9 => Sure::Inside,
            _ => Sure::Between,
        };
        Self { place: grey.place(), cells: grey.pixels().iter().map(sure).collect() }
    }

    /// From its cells, row by row; what is missing is between.
    #[must_use]
    pub(crate) fn of_cells(place: PxRect, mut cells: Vec<Sure>) -> Self {
        cells.resize(place.area(), Sure::Between);
        Self { place, cells }
    }

    pub(crate) fn cells_mut(&mut self) -> &mut [Sure] {
        &mut self.cells
    }

    /// Of each pixel from a function of its column and row; on all threads.
    #[must_use]
    pub fn from_fn(place: PxRect, sure: impl Fn(i64, i64) -> Sure + Sync) -> Self {
        let width = place.width().max(1);
        let at = |i: usize| sure(place.x0() + (i % width) as i64, place.y0() + (i / width) as i64);
        Self { place, cells: (0..place.area()).into_par_iter().map(at).collect() }
    }

    /// Where it stands in the shot.
    #[must_use]
    pub const fn place(&self) -> PxRect {
        self.place
    }

    /// All pixels, row by row.
    #[must_use]
    pub fn cells(&self) -> &[Sure] {
        &self.cells
    }

    /// Of the pixel at column `x`, row `y`; beyond the trimap nothing is.
    #[must_use]
    pub fn at(&self, x: i64, y: i64) -> Sure {
        if self.place.contains(x, y) {
            self.cells[(y - self.place.y0()) as usize * self.place.width() + (x - self.place.x0()) as usize]
        } else {
            Sure::Outside
        }
    }

    /// At half the size: of four pixels all must be sure of the same for it to be sure.
    #[must_use]
    pub(super) fn halved(&self) -> Self {
        let place = half_of(self.place);
        let four = |u: i64, v: i64| {
            let (x, y) = (self.place.x0()..self.place.x1(), self.place.y0()..self.place.y1());
            let cell = |i: i64| {
                self.at((2 * u + i % 2).clamp(x.start, x.end - 1), (2 * v + i / 2).clamp(y.start, y.end - 1))
            };
            if (1..4).all(|i| cell(i) == cell(0)) { cell(0) } else { Sure::Between }
        };
        Self::from_fn(place, four)
    }

    /// With unknown pixels made sure whose colour is that of a sure one near them: within `reach` pixels, and the nearer the less like it
    /// need it be, up to a distance of `like` between encoded colours (Gastal and Oliveira 2010, section 4.1).
    #[must_use]
    pub fn grown(&self, colours: &Image<Rgb>, reach: i64, like: f64) -> Self {
        let mut steps: Vec<(i64, i64)> =
            (-reach..=reach).flat_map(|dy| (-reach..=reach).map(move |dx| (dx, dy))).collect();
        steps.retain(|(dx, dy)| (1..=reach * reach).contains(&(dx * dx + dy * dy)));
        steps.sort_by_key(|(dx, dy)| dx * dx + dy * dy);
        // With the square of how far colours may be apart there.
        let limit = |(dx, dy): (i64, i64)| {
            let away = ((dx * dx + dy * dy) as f64).sqrt();
            (dx, dy, (like * (1.0 - away / reach as f64)).powi(2))
        };
        let steps: Vec<(i64, i64, f64)> = steps.into_iter().map(limit).collect();
        let near = |x: i64, y: i64| {
            let own = colours.at(x, y).0;
            steps.iter().find_map(|(dx, dy, limit)| {
                let (u, v) = (x + dx, y + dy);
                let sure = self.at(u, v);
                if sure == Sure::Between || !self.place.contains(u, v) {
                    return None;
                }
                let other = colours.at(u, v).0;
                let apart = (0..3).map(|c| f64::from(own[c] - other[c]).powi(2)).sum::<f64>();
                (apart <= *limit).then_some(sure)
            })
        };
        let place = self.place;
        let width = place.width().max(1);
        let grow = |(i, sure): (usize, &Sure)| match sure {
            Sure::Between => {
                let (x, y) = ((i % width) as i64, (i / width) as i64);
                near(place.x0() + x, place.y0() + y).unwrap_or(Sure::Between)
            }
            sure => *sure,
        };
        Self { place, cells: self.cells.par_iter().enumerate().map(grow).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::Budget;

    #[test]
    fn what_looks_like_sure_pixels_near_it_becomes_sure() {
        let budget = Budget::of_bytes(1 << 20);
        let place = PxRect::new(0, 0, 12, 3);
        let colours = Image::from_fn(place, &budget, |x, _| Rgb([if x < 6 { 0.2 } else { 0.8 }; 3])).unwrap();
        let grey = Image::from_fn(place, &budget, |x, _| Coverage(if x == 0 { 1.0 } else { 0.5 })).unwrap();
        let grown = Trimap::of_grey(&grey).grown(&colours, 4, 0.02);
        let row: Vec<Sure> = (0..12).map(|x| grown.at(x, 1)).collect();
        // Four pixels away nothing may differ at all; farther ones, and those of another colour, stay.
        assert!(row[..=4].iter().all(|s| *s == Sure::Inside), "{row:?}");
        assert!(row[5..].iter().all(|s| *s == Sure::Between), "{row:?}");
        assert_eq!(grown.at(-1, 0), Sure::Outside);
    }
}
