//! What the artist adds to a computed quantity (docs/model.md, *Size* to *Shadow*).

use std::fmt;
use units::{Mired, Pixels, PixelsPerMetre, Stops};

/// A factor: finite; 1 changes nothing.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
pub struct Factor(f64);

impl Factor {
    /// Changes nothing.
    pub const ONE: Self = Self(1.0);

    /// The factor, or `None` where the number is infinite or not a number.
    #[must_use]
    pub const fn new(value: f64) -> Option<Self> {
        if value.is_finite() { Some(Self(value)) } else { None }
    }

    /// The bare number.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl Default for Factor {
    fn default() -> Self {
        Self::ONE
    }
}

impl fmt::Debug for Factor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}x", self.0)
    }
}

/// One quantity of one piece: where its value comes from, and what the artist adds. The nudge stays when the
/// piece moves and when the value is pinned and let go again.
///
/// The result is the nudged computed value, the nudged value as photographed, or the pinned value alone.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Row<N, V> {
    /// Relative: added in stops and mired, multiplied for factors.
    pub nudge: N,
    /// Where the value comes from.
    pub basis: Basis<V>,
}

/// Where the value of a row comes from.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Basis<V> {
    /// From the mark.
    #[default]
    Computed,
    /// Held fixed by the artist.
    Pinned(V),
    /// Left as it is in the shot.
    AsPhotographed,
}

/// A shift of the colour of light.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Warmth {
    /// Positive is warmer.
    pub warmth: Mired,
    /// In thousandths of CIE 1960 u, v: positive is green.
    pub tint: f64,
}

/// The rows of a piece.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Rows {
    /// Nudged by a factor; pinned as picture pixels to a metre at the foot. As photographed: one shot pixel
    /// to one picture pixel.
    pub size: Row<Factor, PixelsPerMetre>,
    /// Nudged by a factor (0 is sharp); pinned as the diameter of the blur disc in picture pixels. As
    /// photographed: nothing is added to the shot's own.
    pub defocus: Row<Factor, Pixels>,
    /// Nudged in stops; pinned as the whole gain on the shot. As photographed: no gain.
    pub light: Row<Stops, Stops>,
    /// Nudged in mired and tint; pinned as the whole shift of the shot. As photographed: no shift.
    pub warmth: Row<Warmth, Warmth>,
    /// Nudged by a factor on the share of haze; pinned as that share, 0 to 1. As photographed: none.
    pub haze: Row<Factor, f64>,
    /// Nudged by a factor on the darkness (0 casts none); pinned as the share of light taken away, 0 to 1.
    /// As photographed: none.
    pub shadow: Row<Factor, f64>,
}
