//! The RGB primaries that the standards define, and the matrices that follow from them.

use crate::{Mat3, Vec3};

/// CIE 1931 xy of D65 as the RGB standards print it.
pub const D65: (f64, f64) = (0.3127, 0.3290);
/// CIE 1931 xy of D50 as ISO 22028-2 prints it.
pub const D50: (f64, f64) = (0.3457, 0.3585);

/// A set of RGB primaries with its white.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Primaries {
    /// IEC 61966-2-1 (the primaries of ITU-R BT.709), D65.
    Srgb,
    /// SMPTE EG 432-1 primaries with D65.
    DisplayP3,
    /// ITU-R BT.2020, D65.
    Rec2020,
    /// ISO 22028-2 (ROMM), D50.
    Romm,
}

impl Primaries {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Srgb, Self::DisplayP3, Self::Rec2020, Self::Romm];

    /// CIE 1931 xy of red, green and blue.
    #[must_use]
    pub const fn chromaticities(self) -> [(f64, f64); 3] {
        match self {
            Self::Srgb => [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)],
            Self::DisplayP3 => [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)],
            Self::Rec2020 => [(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)],
            Self::Romm => [(0.734699, 0.265301), (0.159597, 0.840403), (0.036598, 0.000105)],
        }
    }

    /// CIE 1931 xy of the white.
    #[must_use]
    pub const fn white(self) -> (f64, f64) {
        match self {
            Self::Romm => D50,
            _ => D65,
        }
    }

    /// Linear RGB to XYZ relative to the set's own white, whose Y is 1. The columns are the primaries,
    /// weighted so that equal amounts make the white (the definition in each of the standards).
    #[must_use]
    pub fn to_xyz(self) -> Mat3 {
        let [r, g, b] = self.chromaticities().map(xyz_of_xy);
        let primaries = Mat3::columns(r, g, b);
        let weights = primaries
            .inverse()
            .expect("the primaries of a standard span a triangle: their matrix has an inverse")
            * xyz_of_xy(self.white());
        primaries * Mat3::diagonal(weights)
    }

    /// XYZ relative to the set's own white to linear RGB.
    #[must_use]
    pub fn from_xyz(self) -> Mat3 {
        self.to_xyz().inverse().expect("the matrix of a standard's primaries has an inverse")
    }
}

/// XYZ of a chromaticity at Y = 1.
#[must_use]
pub fn xyz_of_xy((x, y): (f64, f64)) -> Vec3 {
    Vec3::new(x / y, 1.0, (1.0 - x - y) / y)
}
