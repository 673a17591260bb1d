//! The picture's own size and shape.

use units::{Millimetres, Primaries, PxSize};

/// Size and shape of the artwork and the colours it is worked in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Format {
    /// In pixels. All pixel figures of pieces, regions and treatments count at this size.
    pub size: PxSize,
    /// The print it is meant for, if any. Stated, not enforced: the pixels above rule.
    pub print: Option<Print>,
    /// The working primaries (linear light).
    pub primaries: Primaries,
}

impl Format {
    /// Of this size, without a stated print, in Rec. 2020.
    #[must_use]
    pub const fn of_size(size: PxSize) -> Self {
        Self { size, print: None, primaries: Primaries::Rec2020 }
    }
}

/// A wanted print.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Print {
    /// Of the image area.
    pub width: Millimetres,
    /// Of the image area.
    pub height: Millimetres,
    /// Pixels per inch.
    pub ppi: f64,
}
