//! What distance takes from contrast and adds in colour (docs/model.md, *Haze*).

use crate::range::{light, within};
use crate::{Depth, OutOfRange};
use units::math::{exp, ln};
use units::{Metres, Vec3};

/// -ln(0.02) as handbooks round it (3.912023): extinction times visibility (docs/model.md, *Haze*).
pub const KOSCHMIEDER: f64 = 3.912;

/// Haze that is everywhere alike.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Haze {
    visibility: Metres,
    colour: Vec3,
}

impl Haze {
    /// `visibility`: where a black thing against the sky is just lost (contrast 2 per cent). `colour`: what
    /// the farthest distance looks like, linear RGB.
    ///
    /// # Errors
    /// [`OutOfRange`] for a visibility outside 1 cm to 1000 km, or a negative colour.
    pub fn new(visibility: Metres, colour: Vec3) -> Result<Self, OutOfRange> {
        within("visibility", visibility.get(), 0.01, 1e6, "0.01 to 1000000 m")?;
        light("colour of the haze", colour)?;
        Ok(Self { visibility, colour })
    }

    /// Where a black thing against the sky is just lost.
    #[must_use]
    pub const fn visibility(&self) -> Metres {
        self.visibility
    }

    /// What the farthest distance looks like, linear RGB.
    #[must_use]
    pub const fn colour(&self) -> Vec3 {
        self.colour
    }

    /// The share of a thing's contrast, and of its light, that is left at a depth.
    ///
    /// e^(-3.912 d/visibility) (Koschmieder 1924, from memory).
    ///
    /// ```
    /// # use optics::{Camera, Haze, Point, Viewpoint};
    /// # use units::{Degrees, Metres, Millimetres, PxSize, Vec3};
    /// # let camera = Camera::new(Viewpoint {
    /// #     size: PxSize::new(600, 400).unwrap(), height: Metres::of(1.0), pitch: Degrees::ZERO,
    /// #     roll: Degrees::ZERO, focal: Millimetres::of(24.0), sensor_width: Millimetres::of(36.0),
    /// #     principal: None,
    /// # })?;
    /// let haze = Haze::new(Metres::of(500.0), Vec3::splat(0.7))?;
    /// let depth = camera.depth(Point::new(Metres::ZERO, Metres::ZERO, Metres::of(100.0))).unwrap();
    /// assert!((haze.transmission(depth) - 0.457_307_156).abs() < 1e-9);
    /// assert!((haze.seen(Vec3::splat(0.1), depth).0[0] - 0.425_615_706_4).abs() < 1e-9);
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn transmission(&self, depth: Depth) -> f64 {
        exp(-KOSCHMIEDER * (depth.metres() / self.visibility))
    }

    /// What a colour looks like at a depth: L t + haze (1-t), in linear light.
    #[must_use]
    pub fn seen(&self, colour: Vec3, depth: Depth) -> Vec3 {
        let t = self.transmission(depth);
        colour * t + self.colour * (1.0 - t)
    }
}

/// Extinction per metre of air with a visibility defined by a contrast threshold: -ln(threshold)/visibility.
/// Koschmieder's threshold is 0.02; the meteorological optical range takes 0.05.
///
/// # Errors
/// [`OutOfRange`] for a visibility as [`Haze::new`] refuses it, or a threshold not between 0.0001 and 0.9999.
pub fn extinction(visibility: Metres, threshold: f64) -> Result<f64, OutOfRange> {
    within("visibility", visibility.get(), 0.01, 1e6, "0.01 to 1000000 m")?;
    within("contrast threshold", threshold, 1e-4, 0.9999, "0.0001 to 0.9999")?;
    Ok(-ln(threshold) / visibility.get())
}

/// What the air with a visibility is called (international visibility code, from memory).
#[must_use]
pub fn in_words(visibility: Metres) -> &'static str {
    const CLASSES: [(f64, &str); 9] = [
        (50.0, "dense fog"),
        (200.0, "thick fog"),
        (500.0, "moderate fog"),
        (1000.0, "light fog"),
        (2000.0, "thin fog"),
        (4000.0, "haze"),
        (10_000.0, "light haze"),
        (20_000.0, "clear"),
        (50_000.0, "very clear"),
    ];
    CLASSES
        .iter()
        .find(|(below, _)| visibility.get() < *below)
        .map_or("exceptionally clear", |(_, words)| words)
}
