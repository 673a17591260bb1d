//! Chromaticities, and carrying colours from one white to another (docs/model.md, *Colour of light*).

use crate::OutOfRange;
use crate::range::within;
use units::primaries::xyz_of_xy;
use units::{Mat3, Primaries, Vec3};

/// A chromaticity: CIE 1931 x and y, 2 degree observer.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Chromaticity {
    x: f64,
    y: f64,
}

impl Chromaticity {
    /// The chromaticity (x, y).
    ///
    /// # Errors
    /// [`OutOfRange`] for coordinates no light has: x outside 0 to 1, y outside 0.0001 to 1.
    pub fn new(x: f64, y: f64) -> Result<Self, OutOfRange> {
        within("chromaticity x", x, 0.0, 1.0, "0 to 1")?;
        within("chromaticity y", y, 1e-4, 1.0, "0.0001 to 1")?;
        Ok(Self { x, y })
    }

    /// Of a colour XYZ.
    ///
    /// # Errors
    /// As [`Chromaticity::new`].
    pub fn of_xyz(xyz: Vec3) -> Result<Self, OutOfRange> {
        let [x, y, z] = xyz.0;
        Self::new(x / (x + y + z), y / (x + y + z))
    }

    /// The white of a set of primaries.
    #[must_use]
    pub const fn white_of(primaries: Primaries) -> Self {
        let (x, y) = primaries.white();
        Self { x, y }
    }

    /// From CIE 1960 u and v.
    ///
    /// # Errors
    /// As [`Chromaticity::new`].
    pub fn from_uv_1960(u: f64, v: f64) -> Result<Self, OutOfRange> {
        let d = 2.0 * u - 8.0 * v + 4.0;
        Self::new(3.0 * u / d, 2.0 * v / d)
    }

    /// CIE 1931 x.
    #[must_use]
    pub const fn x(self) -> f64 {
        self.x
    }

    /// CIE 1931 y.
    #[must_use]
    pub const fn y(self) -> f64 {
        self.y
    }

    /// XYZ at Y = 1.
    #[must_use]
    pub fn xyz(self) -> Vec3 {
        xyz_of_xy((self.x, self.y))
    }

    /// CIE 1960 u and v, in which distances from the Planckian locus are taken: u = 4x/(-2x+12y+3),
    /// v = 6y/(-2x+12y+3).
    #[must_use]
    pub fn uv_1960(self) -> (f64, f64) {
        let d = -2.0 * self.x + 12.0 * self.y + 3.0;
        (4.0 * self.x / d, 6.0 * self.y / d)
    }
}

/// The Bradford matrix: XYZ to sharpened cone responses (Lam 1985; ICC.1, annex E).
pub const BRADFORD: Mat3 =
    Mat3([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]);

/// The matrix that carries XYZ seen under one white to XYZ that look alike under another: von Kries's
/// scaling in the cone responses of the Bradford matrix (Lam 1985; ICC.1, annex E).
///
/// ```
/// # use optics::adaptation::{bradford, Chromaticity};
/// let (d50, d65) = (Chromaticity::new(0.3457, 0.3585)?, Chromaticity::new(0.3127, 0.3290)?);
/// let m = bradford(d50, d65)?;
/// // The matrix that CSS Color 4 prints for D50 to D65.
/// assert!((m.0[0][0] - 0.9554734).abs() < 1e-6);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a white to which one of the cones would not answer: no light has it.
pub fn bradford(from: Chromaticity, to: Chromaticity) -> Result<Mat3, OutOfRange> {
    let cones = |white: Chromaticity| {
        let response = BRADFORD * white.xyz();
        let least = response.0.into_iter().fold(f64::INFINITY, f64::min);
        within("least cone response to a white", least, 1e-6, f64::MAX, "a white that lights have")
            .map(|()| response)
    };
    let scale = cones(to)?.over(cones(from)?);
    let back = BRADFORD.inverse().expect("the Bradford matrix has an inverse");
    Ok(back * Mat3::diagonal(scale) * BRADFORD)
}
