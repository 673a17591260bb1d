//! The camera of a studio set-up, and how tall what it saw is (docs/model.md, *How tall it is*).
//!
//! Rows and columns are pixels of the shot; heights are above the floor that the thing stands on.

use crate::OutOfRange;
use crate::range::within;
use units::math::{cos, radians, sin};
use units::{Degrees, Mat3, Metres, Pixels, PixelsPerMetre};

/// How a camera in a studio looks: not rolled, everything else as it may be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct StudioCamera {
    /// Above the floor.
    pub eye_height: Metres,
    /// Positive looks down.
    pub pitch: Degrees,
    /// Focal length in the shot's pixels.
    pub focal_px: Pixels,
    /// Where the optical axis meets the shot: column, row.
    pub principal: (Pixels, Pixels),
}

impl StudioCamera {
    /// From one upright thing of known height: the row its foot is at, the row its top is at. Returns the camera, and how far along
    /// the floor from it the thing stands.
    ///
    /// With A and B the tangents of the angles below the horizontal at which foot and top are seen, the distance is H/(A - B) and the
    /// camera is A times that above the floor. Of a level camera the focal length falls out of every height.
    ///
    /// # Errors
    /// [`OutOfRange`] where the top is not above the foot, or a number is none that a camera has.
    pub fn by_known_height(
        pitch: Degrees,
        focal_px: Pixels,
        principal: (Pixels, Pixels),
        (foot_row, top_row): (f64, f64),
        height: Metres,
    ) -> Result<(Self, Metres), OutOfRange> {
        within("known height", height.get(), 1e-3, 1e3, "0.001 to 1000 m")?;
        within("pitch of the studio's camera", pitch.get(), -60.0, 60.0, "-60 to 60 degrees")?;
        within("focal length in pixels", focal_px.get(), 1.0, 1e7, "1 to 10000000 px")?;
        let level = Self { eye_height: Metres::ZERO, pitch, focal_px, principal };
        let (foot, top) = (level.below(foot_row), level.below(top_row));
        within("height in the shot", foot - top, 1e-6, 1e3, "a top that is seen above its foot")?;
        let distance = height.get() / (foot - top);
        within("distance of what is known", distance, 0.01, 1e4, "0.01 to 10000 m")?;
        Ok((Self { eye_height: Metres::of(foot * distance), ..level }, Metres::of(distance)))
    }

    /// From the scale at a foot: the camera that sees the foot in this row, so large. Returns it, and the distance along the floor.
    ///
    /// `None` where there is no such camera.
    #[must_use]
    pub fn by_scale(
        pitch: Degrees,
        focal_px: Pixels,
        principal: (Pixels, Pixels),
        foot_row: f64,
        scale: PixelsPerMetre,
    ) -> Option<(Self, Metres)> {
        let depth = focal_px.get() / scale.get();
        let (c, s) = turn(pitch);
        let q = (foot_row - principal.1.get()) / focal_px.get();
        let eye_height = Metres::new(depth * (q * c + s))?;
        let distance = Metres::new(depth * (c - q * s)).filter(|d| d.get() > 0.0)?;
        Some((Self { eye_height, pitch, focal_px, principal }, distance))
    }

    /// The tangent of the angle below the horizontal at which a row looks.
    fn below(&self, row: f64) -> f64 {
        let (c, s) = turn(self.pitch);
        let q = (row - self.principal.1.get()) / self.focal_px.get();
        (q * c + s) / (c - q * s).max(1e-9)
    }

    /// From the end of a level round rim to its middle, in rows, where it is seen `width` pixels wide in about this row: half of an
    /// ellipse as narrow as the sine of the angle it is seen at. Above 0 where it is seen from above, and its far side is the upper one.
    #[must_use]
    pub fn rim_rows(&self, row: f64, width: f64) -> f64 {
        let below = self.below(row);
        width / 2.0 * below / (1.0 + below * below).sqrt()
    }

    /// How high above the floor a row looks, at a distance along it.
    #[must_use]
    pub fn height_at(&self, distance: Metres, row: f64) -> f64 {
        self.eye_height.get() - distance.get() * self.below(row)
    }

    /// How far along the floor the row of a foot is; `None` for a row that shows no floor.
    #[must_use]
    pub fn distance_of(&self, foot_row: f64) -> Option<Metres> {
        Metres::new(self.eye_height.get() / self.below(foot_row)).filter(|d| d.get() > 0.0)
    }

    /// The row in which a place on the floor is seen; `None` where it is not before the lens.
    #[must_use]
    pub fn foot_row(&self, distance: Metres) -> Option<f64> {
        let (c, s) = turn(self.pitch);
        let (e, d) = (self.eye_height.get(), distance.get());
        let depth = d * c + e * s;
        (depth > 0.0).then(|| self.principal.1.get() + self.focal_px.get() * (e * c - d * s) / depth)
    }

    /// Pixels to a metre across, at a place on the floor.
    #[must_use]
    pub fn scale(&self, distance: Metres) -> Option<PixelsPerMetre> {
        let (c, s) = turn(self.pitch);
        PixelsPerMetre::new(self.focal_px.get() / (distance.get() * c + self.eye_height.get() * s))
            .filter(|v| v.get() > 0.0)
    }

    /// From metres right and up of a foot that is seen in column `u`, in the upright plane square to the camera's bearing, to the shot's
    /// pixels.
    #[must_use]
    pub fn plane(&self, distance: Metres, u: f64) -> Mat3 {
        let (c, s) = turn(self.pitch);
        let (cu, cv) = (self.principal.0.get(), self.principal.1.get());
        let (e, d, f) = (self.eye_height.get(), distance.get(), self.focal_px.get());
        let depth = d * c + e * s;
        let aside = (u - cu) * depth;
        Mat3([
            [f, -cu * s, cu * depth + aside],
            [0.0, -f * c - cv * s, cv * depth + f * (e * c - d * s)],
            [0.0, -s, depth],
        ])
    }
}

fn turn(pitch: Degrees) -> (f64, f64) {
    let t = radians(pitch.get());
    (cos(t), sin(t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Camera, Point, Viewpoint};
    use units::{Millimetres, PxSize, Vec3};

    /// What the camera of the model sees (docs/model.md, *Coordinates*) is what the set-up tells back.
    #[test]
    fn one_known_height_tells_all_others() {
        for (pitch, eye) in [(0.0, 1.2), (6.0, 1.9), (-4.0, 0.4)] {
            let size = PxSize::new(4000, 6000).unwrap();
            let camera = Camera::new(Viewpoint {
                size,
                height: Metres::of(eye),
                pitch: Degrees::of(pitch),
                roll: Degrees::ZERO,
                focal: Millimetres::of(85.0),
                sensor_width: Millimetres::of(24.0),
                principal: None,
            })
            .unwrap();
            let row = |z: f64, y: f64| {
                camera.project(Point::new(Metres::ZERO, Metres::of(y), Metres::of(z))).unwrap().v
            };
            let principal = (Pixels::of(2000.0), Pixels::of(3000.0));
            let (found, distance) = StudioCamera::by_known_height(
                Degrees::of(pitch),
                camera.focal_px(),
                principal,
                (row(5.0, 0.0), row(5.0, 1.0)),
                Metres::of(1.0),
            )
            .unwrap();
            assert!((distance.get() - 5.0).abs() < 1e-9 && (found.eye_height.get() - eye).abs() < 1e-9);
            for height in [0.3, 1.9] {
                assert!((found.height_at(distance, row(5.0, height)) - height).abs() < 1e-9);
                // Nearer than the mark: by its foot.
                let near = found.distance_of(row(4.0, 0.0)).unwrap();
                assert!((found.height_at(near, row(4.0, height)) - height).abs() < 1e-9);
            }
            assert!((found.foot_row(distance).unwrap() - row(5.0, 0.0)).abs() < 1e-6);
            let at = Point::new(Metres::of(0.7), Metres::of(1.5), Metres::of(5.0));
            let seen = camera.project(at).unwrap();
            let foot = camera.project(Point::new(Metres::of(0.4), Metres::ZERO, Metres::of(5.0))).unwrap();
            let by = found.plane(distance, foot.u) * Vec3::new(0.3, 1.5, 1.0);
            assert!((by.0[0] / by.0[2] - seen.u).abs() < 1e-6 && (by.0[1] / by.0[2] - seen.v).abs() < 1e-6);
            let scale = found.scale(distance).unwrap();
            let again =
                StudioCamera::by_scale(Degrees::of(pitch), camera.focal_px(), principal, foot.v, scale);
            let (again, at) = again.unwrap();
            assert!((at.get() - 5.0).abs() < 1e-9 && (again.eye_height.get() - eye).abs() < 1e-9);
        }
    }

    #[test]
    fn of_a_level_camera_the_focal_length_does_not_matter() {
        for focal in [900.0, 7000.0] {
            let (camera, distance) = StudioCamera::by_known_height(
                Degrees::ZERO,
                Pixels::of(focal),
                (Pixels::of(500.0), Pixels::of(400.0)),
                (900.0, 300.0),
                Metres::of(2.0),
            )
            .unwrap();
            // 600 pixels are two metres: by proportion.
            assert!((camera.height_at(distance, 600.0) - 1.0).abs() < 1e-12);
            assert!((camera.eye_height.get() - 500.0 / 300.0).abs() < 1e-12);
            assert!((camera.scale(distance).unwrap().get() - 300.0).abs() < 1e-9);
        }
        let upside_down = StudioCamera::by_known_height(
            Degrees::ZERO,
            Pixels::of(900.0),
            (Pixels::ZERO, Pixels::ZERO),
            (10.0, 20.0),
            Metres::of(1.0),
        );
        assert!(upside_down.is_err());
    }
}
