//! The paper behind a thing.
//!
//! Its colour is a smooth field over the frame, known where the matte is clear (soft shadows on it included) and carried
//! from there under the thing by pull and push over a pyramid (Gortler, Grzeszczuk, Szeliski, Cohen 1996, section
//! 3.4). Linear light throughout.

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
        let [r, g, b, _] = at(&self.light, x, y, self.step as i64);
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
    fill(known, budget)
}

/// Fills what has no weight from what has, smoothly: pull (means of four, their weights added up to at most 1),
/// then push (what lacks weight is mixed with the coarser level). Colours are premultiplied by the weight.
pub(crate) fn fill(fine: Image<Rgba>, budget: &Budget) -> Result<Image<Rgba>, OverBudget> {
    let whole = |image: &Image<Rgba>| image.pixels().iter().all(|p| p.0[3] >= 1.0);
    if (fine.width() == 1 && fine.height() == 1) || whole(&fine) {
        return Ok(fine);
    }
    let half = PxRect::new(0, 0, (fine.width() as i64 + 1) / 2, (fine.height() as i64 + 1) / 2);
    let coarse = Image::from_fn(half, budget, |x, y| {
        let mut sum = [0.0f32; 4];
        for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
            let p = fine.at(2 * x + dx, 2 * y + dy);
            for c in 0..4 {
                sum[c] += p.0[c];
            }
        }
        let scale = if sum[3] > 1.0 { 1.0 / sum[3] } else { 1.0 };
        Rgba(sum.map(|v| v * scale))
    })?;
    let coarse = fill(coarse, budget)?;
    let mut out = fine;
    let place = out.place();
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(out.row_mut(y)) {
            let lacks = 1.0 - p.0[3];
            if lacks > 0.0 {
                let below = at(&coarse, x, y, 2);
                for c in 0..4 {
                    p.0[c] += lacks * below[c];
                }
            }
        }
    }
    Ok(out)
}

/// A coarse field at a fine pixel: bilinear, the border repeated.
pub(crate) fn at(field: &Image<Rgba>, x: i64, y: i64, step: i64) -> [f32; 4] {
    let axis = |v: i64| {
        let t = (v as f32 + 0.5) / step as f32 - 0.5;
        let i = t.floor();
        (i as i64, t - i)
    };
    let ((i, fx), (j, fy)) = (axis(x), axis(y));
    let p = |di: i64, dj: i64| field.at_clamped(i + di, j + dj).0;
    let (a, b, c, d) = (p(0, 0), p(1, 0), p(0, 1), p(1, 1));
    std::array::from_fn(|k| {
        let top = a[k] + (b[k] - a[k]) * fx;
        let low = c[k] + (d[k] - c[k]) * fx;
        top + (low - top) * fy
    })
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
