//! What a file may ask for before anything is allocated for it.

use crate::error::{Error, Fault};
use units::PxSize;

/// Bounds on what a file declares. They are checked before memory is taken; the memory itself is then paid for
/// from the budget.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limits {
    /// The most pixels of a picture.
    pub pixels: u64,
    /// The longest side in pixels.
    pub side: u32,
    /// The largest colour profile, or other note within a file, in bytes.
    pub profile: usize,
    /// The largest file in bytes.
    pub file: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self { pixels: 1_000_000_000, side: PxSize::LIMIT, profile: 16 << 20, file: 8 << 30 }
    }
}

impl Limits {
    /// The size that a file declares, if it is allowed.
    pub(crate) fn size(&self, width: u64, height: u64) -> Result<PxSize, Error> {
        let place = format!("declared size {width} x {height}");
        if width == 0 || height == 0 {
            return Err(Error::damaged("the picture has no pixels", place));
        }
        let side = |n: u64| u32::try_from(n).ok().filter(|&n| n <= self.side);
        side(width)
            .zip(side(height))
            .and_then(|(w, h)| PxSize::new(w, h))
            .filter(|size| size.area() <= self.pixels)
            .ok_or_else(|| {
                let what = format!(
                    "the picture is larger than the limit of {} pixels a side and {} megapixels",
                    self.side.min(PxSize::LIMIT),
                    self.pixels / 1_000_000
                );
                Error::new(Fault::TooLarge, what, place)
            })
    }
}
