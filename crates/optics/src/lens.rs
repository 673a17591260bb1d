//! The lens: what is sharp, and how large the blur disc of everything else is (docs/model.md, *Defocus*).

use crate::range::within;
use crate::{Camera, Depth, OutOfRange};
use units::{Degrees, Metres, Millimetres, Pixels};

/// The shape of the opening, and so of every blur disc.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Aperture {
    /// A full disc.
    #[default]
    Disc,
    /// A polygon of blades.
    Blades(Blades),
}

/// A polygonal aperture.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Blades {
    count: u8,
    turn: Degrees,
    roundness: f64,
}

impl Blades {
    /// `count` blades (3 to 16); `turn` clockwise from the position with one corner straight up; `roundness`
    /// from 0 (straight edges) to 1 (edges bent to the full circle).
    ///
    /// # Errors
    /// [`OutOfRange`] for another number of blades or roundness.
    pub fn new(count: u8, turn: Degrees, roundness: f64) -> Result<Self, OutOfRange> {
        within("number of aperture blades", f64::from(count), 3.0, 16.0, "3 to 16")?;
        within("roundness of the aperture", roundness, 0.0, 1.0, "0 (straight blades) to 1 (a circle)")?;
        within("turn of the aperture", turn.get(), -360.0, 360.0, "-360 to 360 degrees")?;
        Ok(Self { count, turn, roundness })
    }

    /// Number of blades.
    #[must_use]
    pub const fn count(&self) -> u8 {
        self.count
    }

    /// Clockwise, as the picture shows it, from the position with one corner straight up.
    #[must_use]
    pub const fn turn(&self) -> Degrees {
        self.turn
    }

    /// 0 for straight edges, 1 for a full circle.
    #[must_use]
    pub const fn roundness(&self) -> f64 {
        self.roundness
    }
}

/// What the lens is focused at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Focus {
    /// A distance before the lens, along the axis.
    At(Metres),
    /// As far as can be.
    Infinity,
}

/// A thin lens with its aperture and focus.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lens {
    focal: Millimetres,
    f_number: f64,
    focus: Focus,
    aperture: Aperture,
}

impl Lens {
    /// A lens of this focal length and f-number.
    ///
    /// # Errors
    /// [`OutOfRange`] for a focal length or f-number nobody builds, and for a focus that is not beyond the
    /// focal length: no image is formed there.
    pub fn new(
        focal: Millimetres,
        f_number: f64,
        focus: Focus,
        aperture: Aperture,
    ) -> Result<Self, OutOfRange> {
        within("focal length", focal.get(), 0.1, 1e5, "0.1 to 100000 mm")?;
        within("f-number", f_number, 0.1, 1e5, "0.1 to 100000 (a pinhole)")?;
        if let Focus::At(distance) = focus {
            let nearest = Metres::from(focal);
            if distance <= nearest {
                return Err(OutOfRange::new(
                    "focus distance in metres",
                    distance.get(),
                    "more than the focal length",
                ));
            }
        }
        Ok(Self { focal, f_number, focus, aperture })
    }

    /// Focal length.
    #[must_use]
    pub const fn focal(&self) -> Millimetres {
        self.focal
    }

    /// Focal length over the diameter of the opening.
    #[must_use]
    pub const fn f_number(&self) -> f64 {
        self.f_number
    }

    /// What it is focused at.
    #[must_use]
    pub const fn focus(&self) -> Focus {
        self.focus
    }

    /// The shape of the opening.
    #[must_use]
    pub const fn aperture(&self) -> Aperture {
        self.aperture
    }

    /// Diameter on the sensor of the blur disc of a point at this depth.
    ///
    /// c = (f²/N)/(s-f) · |d-s|/d, focused at s; focused at infinity, c = (f²/N)/d (thin lens and similar
    /// triangles; docs/model.md, *Defocus*).
    ///
    /// ```
    /// # use optics::{Aperture, Camera, Focus, Lens, Point, Viewpoint};
    /// # use units::{Degrees, Metres, Millimetres, PxSize};
    /// # let camera = Camera::new(Viewpoint {
    /// #     size: PxSize::new(6000, 4000).unwrap(), height: Metres::of(1.0), pitch: Degrees::ZERO,
    /// #     roll: Degrees::ZERO, focal: Millimetres::of(24.0), sensor_width: Millimetres::of(36.0),
    /// #     principal: None,
    /// # })?;
    /// let lens = Lens::new(Millimetres::of(24.0), 2.8, Focus::At(Metres::of(1.5)), Aperture::Disc)?;
    /// let depth = camera.depth(Point::new(Metres::ZERO, Metres::ZERO, Metres::of(2.0))).unwrap();
    /// // By image distances: 1/f = 1/s + 1/v for both places.
    /// assert!((lens.disc_on_sensor(depth).get() - 0.034_843_205_57).abs() < 1e-10);
    /// assert!((lens.disc(depth, &camera).get() - 5.807_200_929).abs() < 1e-8);
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn disc_on_sensor(&self, depth: Depth) -> Millimetres {
        let d = depth.metres().get() * 1000.0;
        match self.focus {
            Focus::At(distance) => {
                let s = distance.get() * 1000.0;
                self.disc_of_distance() * ((d - s).abs() / d)
            }
            Focus::Infinity => self.focal * (self.focal.get() / self.f_number / d),
        }
    }

    /// The same in pixels of a camera's picture: times its width over the sensor's.
    #[must_use]
    pub fn disc(&self, depth: Depth, camera: &Camera) -> Pixels {
        in_pixels(self.disc_on_sensor(depth), camera)
    }

    /// Diameter on the sensor of the blur disc of the farthest distance: (f²/N)/(s-f), none when focused
    /// there.
    #[must_use]
    pub fn disc_of_distance(&self) -> Millimetres {
        match self.focus {
            Focus::At(distance) => {
                let f = self.focal.get();
                self.focal * (f / self.f_number / (distance.get() * 1000.0 - f))
            }
            Focus::Infinity => Millimetres::ZERO,
        }
    }

    /// The same in pixels.
    #[must_use]
    pub fn disc_of_distance_in_pixels(&self, camera: &Camera) -> Pixels {
        in_pixels(self.disc_of_distance(), camera)
    }

    /// The nearest focus for which the farthest distance is still within a permissible disc: H = f²/(N c) +
    /// f.
    ///
    /// ```
    /// # use optics::{Aperture, Focus, Lens};
    /// # use units::Millimetres;
    /// // Published worked example: 50 mm, f/4, disc 0.018 mm: 34772 mm.
    /// let lens = Lens::new(Millimetres::of(50.0), 4.0, Focus::Infinity, Aperture::Disc)?;
    /// assert!((lens.hyperfocal(Millimetres::of(0.018))?.get() - 34.772).abs() < 0.001);
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] for a permissible disc outside 0.000001 to 100 mm.
    pub fn hyperfocal(&self, permissible: Millimetres) -> Result<Metres, OutOfRange> {
        Ok(self.hyperfocal_short_form(permissible)? + Metres::from(self.focal))
    }

    /// As many tables give it, without the last term: f²/(N c).
    ///
    /// # Errors
    /// As [`Lens::hyperfocal`].
    pub fn hyperfocal_short_form(&self, permissible: Millimetres) -> Result<Metres, OutOfRange> {
        within("permissible disc", permissible.get(), 1e-6, 100.0, "0.000001 to 100 mm")?;
        Ok(Metres::from(self.focal * (self.focal.get() / self.f_number / permissible.get())))
    }

    /// Between which distances the disc is no larger than permissible.
    ///
    /// near = s (H-f)/(H+s-2f), far = s (H-f)/(H-s), far without end from s = H on; focused at infinity,
    /// near = H-f (exact for a thin lens; shorter forms in use differ at close range).
    ///
    /// # Errors
    /// As [`Lens::hyperfocal`].
    pub fn limits(&self, permissible: Millimetres) -> Result<Limits, OutOfRange> {
        let h = self.hyperfocal(permissible)?.get();
        let f = Metres::from(self.focal).get();
        Ok(match self.focus {
            Focus::Infinity => Limits { near: metres(h - f), far: Focus::Infinity },
            Focus::At(distance) => {
                let s = distance.get();
                let far = if s < h { Focus::At(metres(s * ((h - f) / (h - s)))) } else { Focus::Infinity };
                Limits { near: metres(s * ((h - f) / (h + s - 2.0 * f))), far }
            }
        })
    }
}

/// From where to where things count as sharp.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limits {
    /// The nearest.
    pub near: Metres,
    /// The farthest, if there is one.
    pub far: Focus,
}

fn in_pixels(disc: Millimetres, camera: &Camera) -> Pixels {
    let view = camera.viewpoint();
    Pixels::of(1.0) * (disc / view.sensor_width * f64::from(view.size.width()))
}

/// Finite for every lens and focus; the product keeps it so where the arithmetic overflows.
fn metres(value: f64) -> Metres {
    Metres::of(1.0) * value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_image_is_formed_at_or_within_the_focal_length() {
        let lens = |s| Lens::new(Millimetres::of(50.0), 2.0, Focus::At(Metres::of(s)), Aperture::Disc);
        for s in [-1.0, 0.0, 0.03, 0.05] {
            let error = lens(s).unwrap_err();
            assert_eq!(error.place(), "focus distance in metres");
            assert_eq!(error.value(), s);
        }
        assert!(lens(0.051).is_ok());
    }

    #[test]
    fn apertures_are_those_that_exist() {
        assert!(Blades::new(2, Degrees::ZERO, 0.0).is_err());
        assert!(Blades::new(17, Degrees::ZERO, 0.0).is_err());
        assert!(Blades::new(9, Degrees::ZERO, 1.1).is_err());
        assert!(Blades::new(9, Degrees::ZERO, f64::NAN).is_err());
        assert!(Blades::new(9, Degrees::of(15.0), 0.6).is_ok());
    }

    #[test]
    fn the_far_limit_grows_without_end() {
        let c = Millimetres::of(0.03);
        let at = |s| Lens::new(Millimetres::of(50.0), 8.0, Focus::At(Metres::of(s)), Aperture::Disc).unwrap();
        let h = at(2.0).hyperfocal(c).unwrap();
        assert_eq!(at(h.get()).limits(c).unwrap().far, Focus::Infinity);
        // At the hyperfocal distance the near limit is half of it.
        assert!((at(h.get()).limits(c).unwrap().near.get() - h.get() / 2.0).abs() < 1e-12);
        let infinity = Lens::new(Millimetres::of(50.0), 8.0, Focus::Infinity, Aperture::Disc).unwrap();
        assert_eq!(infinity.limits(c).unwrap().far, Focus::Infinity);
        assert!((infinity.limits(c).unwrap().near.get() - 2500.0 / 8.0 / 0.03 / 1000.0).abs() < 1e-12);
    }
}
