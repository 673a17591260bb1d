//! The paper behind a thing.
//!
//! Its colour is a smooth field over the frame, known where the matte is clear (soft shadows on it included) and carried
//! from there under the thing. Linear light throughout.

use crate::carried;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb, Rgba};
use units::PxRect;

/// Coverage below which a pixel shows paper alone.
const CLEAR: f32 = 0.002;

/// Longest side of the grid that the paper is carried over on; its field is smoother than that.
const FIELD: usize = 2048;

/// The paper's colour all over a shot, in linear light: smooth, and carried under the thing from around it.
#[derive(Debug)]
pub struct Field {
    light: Image<Rgba>,
    step: usize,
}

impl Field {
    /// Of a shot, from where its matte is clear. `shot` hands out its rows.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn of(
        shot: &dyn Fn(usize, &mut [Rgb]),
        matte: &Image<Coverage>,
        budget: &Budget,
    ) -> Result<Self, OverBudget> {
        let step = matte.width().max(matte.height()).div_ceil(FIELD).max(1);
        Ok(Self { light: paper(shot, matte, step, budget)?, step })
    }

    /// At a pixel of the shot. Black where no paper is to be seen at all.
    #[must_use]
    pub fn at(&self, x: i64, y: i64) -> Rgb {
        let [r, g, b, _] = carried::at(&self.light, x, y, self.step as i64);
        Rgb([r, g, b])
    }
}

/// A shot on black, or any picture whose light is to be added: its colour, with coverage 0.
///
/// # Errors
/// Where the budget does not hold it.
pub fn light_alone(
    shot: &dyn Fn(usize, &mut [Rgb]),
    place: PxRect,
    budget: &Budget,
) -> Result<Image<Rgba>, OverBudget> {
    let mut out = Image::<Rgba>::new(place, budget)?;
    let mut line = vec![Rgb::default(); place.x1() as usize];
    for y in place.y0()..place.y1() {
        shot(y as usize, &mut line);
        for (p, o) in line[place.x0() as usize..].iter().zip(out.row_mut(y)) {
            *o = Rgba([p.0[0], p.0[1], p.0[2], 0.0]);
        }
    }
    Ok(out)
}

/// The paper's colour over the frame, on a grid `step` pixels wide.
fn paper(
    shot: &dyn Fn(usize, &mut [Rgb]),
    matte: &Image<Coverage>,
    step: usize,
    budget: &Budget,
) -> Result<Image<Rgba>, OverBudget> {
    let (w, h) = (matte.width(), matte.height());
    let cells = PxRect::new(0, 0, w.div_ceil(step) as i64, h.div_ceil(step) as i64);
    let mut known = Image::<Rgba>::new(cells, budget)?;
    let mut line = vec![Rgb::default(); w];
    for y in 0..h {
        shot(y, &mut line);
        let covers = matte.row(y as i64);
        let row = known.row_mut((y / step) as i64);
        for (x, (p, a)) in line.iter().zip(covers).enumerate() {
            if a.0 < CLEAR {
                let cell = &mut row[x / step].0;
                for c in 0..3 {
                    cell[c] += p.0[c];
                }
                cell[3] += 1.0;
            }
        }
    }
    // From sums to weighted means: weight 1 where a cell saw any paper.
    for cell in known.pixels_mut() {
        if cell.0[3] > 0.0 {
            cell.0 = [cell.0[0] / cell.0[3], cell.0[1] / cell.0[3], cell.0[2] / cell.0[3], 1.0];
        }
    }
    carried::fill(known, budget)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A disc with a soft edge on paper that falls off from left to right.
    #[test]
    fn the_paper_is_known_under_the_thing_as_well() {
        let budget = Budget::of_bytes(1 << 28);
        let place = PxRect::new(0, 0, 200, 150);
        let paper = |x: i64| [0.9 - 0.001 * x as f32, 0.85 - 0.001 * x as f32, 0.8 - 0.0012 * x as f32];
        let matte = Image::from_fn(place, &budget, |x, y| {
            let r = (((x - 100) as f32).powi(2) + ((y - 75) as f32).powi(2)).sqrt();
            Coverage(((40.0 - r) / 10.0 + 0.5).clamp(0.0, 1.0))
        })
        .unwrap();
        let shot = |y: usize, line: &mut [Rgb]| {
            for (x, p) in line.iter_mut().enumerate() {
                let (a, paper) = (matte.at(x as i64, y as i64).0, paper(x as i64));
                *p = Rgb([0.3, 0.1, 0.05].map(|v| a * v));
                (0..3).for_each(|c| p.0[c] += (1.0 - a) * paper[c]);
            }
        };
        let field = Field::of(&shot, &matte, &budget).unwrap();
        for (x, y) in [(5, 5), (65, 75), (100, 75), (130, 60), (190, 140)] {
            let found = field.at(x, y).0;
            (0..3).for_each(|c| assert!((found[c] - paper(x)[c]).abs() < 0.01, "{x} {y}: {found:?}"));
        }
        let all = Image::from_fn(place, &budget, |_, _| Coverage(1.0)).unwrap();
        assert_eq!(Field::of(&shot, &all, &budget).unwrap().at(3, 4), Rgb::default());
    }
}
