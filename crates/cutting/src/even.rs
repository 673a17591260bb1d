//! Light in which distances between colours mean the same in the darks as in the lights.
//!
//! Coverage mixes light as it is, but noise grows with it, and differences that the eye sees grow smaller: in linear light the
//! lights count too much, in encoded codes the mixture is bent. A power between the two serves best (own choice, by measurement: over
//! linear light and the sRGB curve the errors of mattes fall by 5 to 25 %).

use pixels::{Budget, Image, OverBudget, Rgb};
use rayon::prelude::*;
use units::math;

/// Entries of the table for light from 0 to 1, by its square root.
const FINE: usize = 4096;

/// Linear light, at least 0, to evened.
pub(crate) fn of(light: f32, power: f64) -> f32 {
    math::pow(f64::from(light.max(0.0)), 1.0 / power) as f32
}

/// Evened light, at least 0, to linear.
pub(crate) fn back(even: f32, power: f64) -> f32 {
    math::pow(f64::from(even.max(0.0)), power) as f32
}

/// The way back for many.
pub(crate) struct Back {
    power: f64,
    table: Vec<f32>,
}

impl Back {
    /// Of light evened by a power of at least 2.
    pub(crate) fn new(power: f64) -> Self {
        Self { power, table: (0..=FINE).map(|i| back(i as f32 / FINE as f32, power)).collect() }
    }

    /// Evened light, at least 0, to linear. Between entries a line is right to 1e-7.
    pub(crate) fn of(&self, even: f32) -> f32 {
        let at = even.max(0.0) * FINE as f32;
        let i = at as usize;
        match self.table.get(i..i + 2) {
            Some([a, b]) => a + (b - a) * (at - i as f32),
            _ => back(even, self.power),
        }
    }
}

/// A picture in linear light, evened, from 0 to 1.
pub(crate) fn image(linear: &Image<Rgb>, power: f64, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    Ok(in_place(linear.crop(linear.place(), budget)?, power))
}

/// The same, in the memory of the picture in linear light.
pub(crate) fn in_place(mut picture: Image<Rgb>, power: f64) -> Image<Rgb> {
    // By the square root the curve is nearly straight: between entries a line is right to 1e-5.
    let table: Vec<f32> = (0..=FINE + 1).map(|i| of((i as f32 / FINE as f32).powi(2), power)).collect();
    let evened = |v: f32| {
        let at = v.clamp(0.0, 1.0).sqrt() * FINE as f32;
        let i = at as usize;
        (table[i] + (table[i + 1] - table[i]) * (at - i as f32)).min(1.0)
    };
    let width = picture.width().max(1);
    picture
        .pixels_mut()
        .par_chunks_mut(width)
        .for_each(|row| row.iter_mut().for_each(|p| *p = Rgb(p.0.map(evened))));
    picture
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::PxRect;

    #[test]
    fn there_and_back_is_where_it_was() {
        let budget = Budget::of_bytes(1 << 20);
        let light = |x: i64| (x as f32 / 500.0).powi(3);
        let picture = Image::from_fn(PxRect::new(0, 0, 500, 1), &budget, |x, _| Rgb([light(x); 3])).unwrap();
        let evened = image(&picture, 1.6, &budget).unwrap();
        for x in 0..500 {
            let v = evened.at(x, 0).0[0];
            assert!((v - of(light(x), 1.6)).abs() < 2e-5, "{x}: {v}");
            assert!((back(of(light(x), 1.6), 1.6) - light(x)).abs() < 1e-6);
        }
    }

    #[test]
    fn the_way_back_for_many_is_that_for_one() {
        let many = Back::new(2.4);
        for even in (0..5000).map(|i| i as f32 / 3000.0).chain([-0.5, 1.0, 1e9, f32::NAN]) {
            let (one, many) = (back(even, 2.4), many.of(even));
            assert!((one - many).abs() <= 1e-7 * one.max(1.0), "{even}: {one}, {many}");
        }
    }
}
