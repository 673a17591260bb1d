//! What a lens takes in (docs/model.md, *Field of view*). For rectilinear lenses.

use crate::range::within;
use crate::{Focus, Lens, OutOfRange};
use units::math::{atan, degrees, hypot};
use units::{Degrees, Metres, Millimetres};

/// Diagonal of the 36 x 24 mm format, by which focal lengths are compared.
const DIAGONAL_36X24: f64 = 43.266_615_305_567_87;

/// Width and height of the part of a sensor that makes the picture.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Format {
    width: Millimetres,
    height: Millimetres,
}

impl Format {
    /// The format of this width and height.
    ///
    /// # Errors
    /// [`OutOfRange`] for sides outside 0.1 to 10000 mm.
    pub fn new(width: Millimetres, height: Millimetres) -> Result<Self, OutOfRange> {
        within("sensor width", width.get(), 0.1, 1e4, "0.1 to 10000 mm")?;
        within("sensor height", height.get(), 0.1, 1e4, "0.1 to 10000 mm")?;
        Ok(Self { width, height })
    }

    /// Width.
    #[must_use]
    pub const fn width(self) -> Millimetres {
        self.width
    }

    /// Height.
    #[must_use]
    pub const fn height(self) -> Millimetres {
        self.height
    }

    /// From corner to corner.
    #[must_use]
    pub fn diagonal(self) -> Millimetres {
        Millimetres::of(hypot(self.width.get(), self.height.get()))
    }

    /// How many times smaller its diagonal is than that of 36 x 24 mm.
    #[must_use]
    pub fn crop_factor(self) -> f64 {
        DIAGONAL_36X24 / self.diagonal().get()
    }

    /// The focal length that takes in the same diagonal angle on 36 x 24 mm: focal length times crop factor.
    #[must_use]
    pub fn equivalent_focal(self, focal: Millimetres) -> Millimetres {
        focal * self.crop_factor()
    }
}

/// The angle that a lens takes in over one side (or the diagonal) of the sensor.
///
/// 2 atan(side / 2v), v the distance from the lens to the sensor: f for a lens set to infinity, f s/(s-f) for
/// one focused at s (thin lens).
///
/// ```
/// # use optics::{Aperture, Focus, Lens, field_of_view::angle_of_view};
/// # use units::Millimetres;
/// // Published worked example: 50 mm on 36 x 24 mm, 39.6 degrees wide.
/// let lens = Lens::new(Millimetres::of(50.0), 8.0, Focus::Infinity, Aperture::Disc)?;
/// assert!((angle_of_view(&lens, Millimetres::of(36.0)).get() - 39.6).abs() < 0.05);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
#[must_use]
pub fn angle_of_view(lens: &Lens, side: Millimetres) -> Degrees {
    Degrees::of(1.0) * (2.0 * degrees(atan(side.get() / (2.0 * image_distance(lens).get()))))
}

/// From the lens to the sensor: f at infinity, f s/(s-f) when focused at s (thin lens equation, 1/f = 1/s +
/// 1/v).
#[must_use]
pub fn image_distance(lens: &Lens) -> Millimetres {
    match lens.focus() {
        Focus::Infinity => lens.focal(),
        Focus::At(distance) => {
            let s = distance.get() * 1000.0;
            lens.focal() * (s / (s - lens.focal().get()))
        }
    }
}

/// How much a lens set to infinity takes in, side by side with the sensor, at a distance: distance · side / f
/// (similar triangles).
///
/// # Errors
/// [`OutOfRange`] for a focal length outside 0.1 to 100000 mm.
pub fn coverage(focal: Millimetres, side: Millimetres, distance: Metres) -> Result<Metres, OutOfRange> {
    within("focal length", focal.get(), 0.1, 1e5, "0.1 to 100000 mm")?;
    Ok(distance * (side / focal))
}
