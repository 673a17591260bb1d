//! A picture in memory and the kinds of pixel it may hold.

use crate::budget::{Budget, Buffer, OverBudget};
use std::marker::PhantomData;
use units::{PxRect, PxSize};

/// Linear light in the picture's primaries, no alpha. Unbounded; never NaN or infinite.
#[derive(Clone, Copy, PartialEq, Debug, Default, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(transparent)]
pub struct Rgb(pub [f32; 3]);

/// Linear light, colour premultiplied by coverage: red, green, blue, coverage.
#[derive(Clone, Copy, PartialEq, Debug, Default, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(transparent)]
pub struct Rgba(pub [f32; 4]);

/// Coverage alone, 0 to 1.
#[derive(Clone, Copy, PartialEq, Debug, Default, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(transparent)]
pub struct Coverage(pub f32);

/// What a picture is made of: a fixed number of `f32` samples.
pub trait Pixel: bytemuck::Pod + Default + PartialEq + Send + Sync {
    /// Samples a pixel.
    const CHANNELS: usize;
}

impl Pixel for Rgb {
    const CHANNELS: usize = 3;
}

impl Pixel for Rgba {
    const CHANNELS: usize = 4;
}

impl Pixel for Coverage {
    const CHANNELS: usize = 1;
}

/// A picture: `width * height` pixels, row by row from the top, that stand at `place` on some larger grid.
/// A whole picture stands at the origin; a tile or a piece's raster stands where it belongs.
#[derive(Debug)]
pub struct Image<P> {
    place: PxRect,
    samples: Buffer,
    of: PhantomData<P>,
}

impl<P: Pixel> Image<P> {
    /// All samples zero (black, transparent).
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn new(place: PxRect, budget: &Budget) -> Result<Self, OverBudget> {
        let samples = budget.zeroed(place.area() * P::CHANNELS)?;
        Ok(Self { place, samples, of: PhantomData })
    }

    /// For whoever sets every sample at once: what is in it is left from before.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn unset(place: PxRect, budget: &Budget) -> Result<Self, OverBudget> {
        let samples = budget.buffer(place.area() * P::CHANNELS)?;
        Ok(Self { place, samples, of: PhantomData })
    }

    /// A whole picture, all samples zero.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn whole(size: PxSize, budget: &Budget) -> Result<Self, OverBudget> {
        Self::new(size.rect(), budget)
    }

    /// Each pixel from a function of its column and row on the grid.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn from_fn(place: PxRect, budget: &Budget, f: impl Fn(i64, i64) -> P) -> Result<Self, OverBudget> {
        let mut image = Self::new(place, budget)?;
        for y in place.y0()..place.y1() {
            for (x, p) in (place.x0()..).zip(image.row_mut(y)) {
                *p = f(x, y);
            }
        }
        Ok(image)
    }

    /// Where it stands on the grid.
    #[must_use]
    pub const fn place(&self) -> PxRect {
        self.place
    }

    /// Columns.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.place.width()
    }

    /// Rows.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.place.height()
    }

    /// All pixels, row by row.
    #[must_use]
    pub fn pixels(&self) -> &[P] {
        bytemuck::cast_slice(&self.samples)
    }

    /// All pixels, row by row.
    pub fn pixels_mut(&mut self) -> &mut [P] {
        bytemuck::cast_slice_mut(&mut self.samples)
    }

    /// All samples, pixel by pixel.
    #[must_use]
    pub fn samples(&self) -> &[f32] {
        &self.samples
    }

    /// All samples, pixel by pixel.
    pub fn samples_mut(&mut self) -> &mut [f32] {
        &mut self.samples
    }

    /// The row `y` of the grid.
    ///
    /// # Panics
    /// Where the row is not in the picture.
    #[must_use]
    pub fn row(&self, y: i64) -> &[P] {
        let w = self.width();
        let i = self.index_of_row(y);
        &self.pixels()[i * w..(i + 1) * w]
    }

    /// The row `y` of the grid.
    ///
    /// # Panics
    /// Where the row is not in the picture.
    pub fn row_mut(&mut self, y: i64) -> &mut [P] {
        let w = self.width();
        let i = self.index_of_row(y);
        &mut self.pixels_mut()[i * w..(i + 1) * w]
    }

    /// The pixel at column `x`, row `y` of the grid; zero outside the picture.
    #[must_use]
    pub fn at(&self, x: i64, y: i64) -> P {
        if self.place.contains(x, y) {
            self.pixels()[(y - self.place.y0()) as usize * self.width() + (x - self.place.x0()) as usize]
        } else {
            P::default()
        }
    }

    /// The pixel nearest to column `x`, row `y`: the border goes on outwards. Zero in an empty picture.
    #[must_use]
    pub fn at_clamped(&self, x: i64, y: i64) -> P {
        if self.place.is_empty() {
            return P::default();
        }
        self.at(x.clamp(self.place.x0(), self.place.x1() - 1), y.clamp(self.place.y0(), self.place.y1() - 1))
    }

    /// The part of it that lies in `want`, as a picture of its own; zero where `want` reaches beyond.
    ///
    /// # Errors
    /// Where the budget does not hold it.
    pub fn crop(&self, want: PxRect, budget: &Budget) -> Result<Self, OverBudget> {
        let mut out = Self::unset(want, budget)?;
        let both = want.intersect(self.place);
        for y in want.y0()..want.y1() {
            let row = out.row_mut(y);
            if both.is_empty() || y < both.y0() || y >= both.y1() {
                row.fill(P::default());
                continue;
            }
            let from = (both.x0() - self.place.x0()) as usize;
            let to = (both.x0() - want.x0()) as usize;
            let n = both.width();
            row[..to].fill(P::default());
            row[to..to + n].copy_from_slice(&self.row(y)[from..from + n]);
            row[to + n..].fill(P::default());
        }
        Ok(out)
    }

    /// The same pixels, standing elsewhere on the grid.
    #[must_use]
    pub fn moved(mut self, dx: i64, dy: i64) -> Self {
        self.place = self.place.shift(dx, dy);
        self
    }

    fn index_of_row(&self, y: i64) -> usize {
        assert!(y >= self.place.y0() && y < self.place.y1(), "row {y} is not in {:?}", self.place);
        (y - self.place.y0()) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_crop_is_the_same_pixels_and_zero_beyond() {
        let budget = Budget::of_bytes(1 << 20);
        let image =
            Image::from_fn(PxRect::new(0, 0, 4, 3), &budget, |x, y| Coverage((10 * y + x) as f32)).unwrap();
        let crop = image.crop(PxRect::new(2, 1, 6, 2), &budget).unwrap();
        assert_eq!(crop.pixels(), [12.0, 13.0, 0.0, 0.0].map(Coverage));
        assert_eq!(crop.at(3, 1), image.at(3, 1));
        assert_eq!(image.at_clamped(9, -4), Coverage(3.0));
    }

    #[test]
    fn a_picture_over_budget_is_refused_before_it_is_allocated() {
        let budget = Budget::of_bytes(1 << 20);
        let huge = PxSize::new(PxSize::LIMIT, PxSize::LIMIT).unwrap();
        assert!(Image::<Rgba>::whole(huge, &budget).is_err());
    }
}
