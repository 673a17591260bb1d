//! The one door from rendering to the world: the pixels of photographs.

use crate::Error;
use pixels::kernel::form::Small;
use pixels::{Budget, Image, Rgb, Rgba};
use staging::layout::Cut;
use std::sync::Arc;
use units::{Digest, PxSize};

/// Where the pixels of a layout's photographs come from. Linear light in the layout's primaries.
pub trait Sources: Sync {
    /// A backdrop.
    ///
    /// # Errors
    /// Where it cannot be had.
    fn photograph(&self, source: Digest, budget: &Budget) -> Result<Arc<dyn Photograph>, Error>;

    /// A cut-out, freed of what was behind it, premultiplied; it stands at its place in the shot and may leave
    /// out the clear border. An additive one has coverage 0 throughout.
    ///
    /// # Errors
    /// Where it cannot be had.
    fn cut_out(&self, cut: Cut, budget: &Budget) -> Result<Arc<Image<Rgba>>, Error>;

    /// The matte of such a cut-out in small.
    ///
    /// # Errors
    /// Where it cannot be had.
    fn small(&self, cut: Cut, budget: &Budget) -> Result<Small, Error> {
        let cut = self.cut_out(cut, budget)?;
        Ok(Small::of(&cut, cut.place(), |p| p.0[3]))
    }
}

/// A photograph that hands out its pixels row by row, so that it can stay in memory as it came from its file.
pub trait Photograph: Send + Sync {
    /// Columns and rows.
    fn size(&self) -> PxSize;

    /// Linear light of row `y` from column `x` on.
    ///
    /// # Panics
    /// Where the photograph has no such pixels.
    fn row(&self, x: usize, y: usize, out: &mut [Rgb]);
}

impl Photograph for Image<Rgb> {
    fn size(&self) -> PxSize {
        let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        PxSize::new(side(self.width()), side(self.height())).expect("a picture that was made has a size")
    }

    fn row(&self, x: usize, y: usize, out: &mut [Rgb]) {
        let line = self.row(self.place().y0() + y as i64);
        out.copy_from_slice(&line[x..x + out.len()]);
    }
}
