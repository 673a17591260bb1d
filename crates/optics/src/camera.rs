//! The camera over the ground: from metres to pixels and back (docs/model.md, *Coordinates* and *Size*).

use crate::OutOfRange;
use crate::range::within;
use units::math::{cos, radians, sin};
use units::{Degrees, Mat3, Metres, Millimetres, Pixels, PixelsPerMetre, PxSize, Vec3};

/// A place on the stage: metres right of the camera, up from the ground under it, and away from it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Point {
    /// To the right of the camera.
    pub x: Metres,
    /// Up from the ground under the camera.
    pub y: Metres,
    /// Away from the camera, along the ground.
    pub z: Metres,
}

impl Point {
    /// The place with these coordinates.
    #[must_use]
    pub const fn new(x: Metres, y: Metres, z: Metres) -> Self {
        Self { x, y, z }
    }

    /// As a vector from the origin, in metres.
    #[must_use]
    pub const fn vector(self) -> Vec3 {
        Vec3::new(self.x.get(), self.y.get(), self.z.get())
    }

    /// From a vector in metres; `None` where a component is not finite.
    #[must_use]
    pub fn from_vector(v: Vec3) -> Option<Self> {
        Some(Self { x: Metres::new(v.0[0])?, y: Metres::new(v.0[1])?, z: Metres::new(v.0[2])? })
    }
}

/// A camera and how it stands, as one would describe it: what [`Camera::new`] accepts.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Viewpoint {
    /// The picture in pixels.
    pub size: PxSize,
    /// Of the lens above the ground.
    pub height: Metres,
    /// Positive looks down.
    pub pitch: Degrees,
    /// Positive turns the camera clockwise as seen from behind it: the right end of the horizon rises.
    pub roll: Degrees,
    /// Focal length.
    pub focal: Millimetres,
    /// Width of the part of the sensor that the picture's width shows.
    pub sensor_width: Millimetres,
    /// Where the optical axis meets the picture, from its top left corner; `None` means the middle.
    pub principal: Option<(Pixels, Pixels)>,
}

/// Distance before the lens along the optical axis: more than nothing, finite, and only ever made by
/// [`Camera::depth`], so that no formula is asked about what is behind the camera.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Depth(f64);

impl Depth {
    /// In metres.
    #[must_use]
    pub const fn metres(self) -> Metres {
        Metres::of(self.0)
    }
}

impl Eq for Depth {}

impl PartialOrd for Depth {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Depth {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.metres().cmp(&other.metres())
    }
}

/// Where a point appears in the picture, and how far before the lens it is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Seen {
    /// Pixels right of the picture's left edge (the first pixel's centre is at 0.5).
    pub u: f64,
    /// Pixels below the picture's top edge.
    pub v: f64,
    /// Distance along the optical axis.
    pub depth: Depth,
}

/// A camera that a picture can have been taken with: every viewpoint it holds is possible.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Camera {
    viewpoint: Viewpoint,
    focal_px: f64,
    principal: (f64, f64),
    /// Cosine and sine of the pitch.
    pitch: (f64, f64),
    /// Cosine and sine of the roll.
    roll: (f64, f64),
}

impl Camera {
    /// The camera of a viewpoint.
    ///
    /// # Errors
    /// [`OutOfRange`] for a height that is not above the ground, a pitch or roll of 90 degrees or nearly so
    /// (the horizon would have no place), and lenses, sensors and principal points that nobody builds.
    pub fn new(viewpoint: Viewpoint) -> Result<Self, OutOfRange> {
        let v = &viewpoint;
        within("camera height", v.height.get(), 1e-3, 1e5, "0.001 to 100000 m")?;
        within("camera pitch", v.pitch.get(), -89.0, 89.0, "-89 to 89 degrees")?;
        within("camera roll", v.roll.get(), -89.0, 89.0, "-89 to 89 degrees")?;
        within("focal length", v.focal.get(), 0.1, 1e5, "0.1 to 100000 mm")?;
        within("sensor width", v.sensor_width.get(), 0.1, 1e4, "0.1 to 10000 mm")?;
        let (width, height) = (f64::from(v.size.width()), f64::from(v.size.height()));
        let principal = match v.principal {
            None => (width / 2.0, height / 2.0),
            Some((cu, cv)) => {
                for c in [cu, cv] {
                    within("principal point", c.get(), -1e7, 1e7, "-10000000 to 10000000 px")?;
                }
                (cu.get(), cv.get())
            }
        };
        let turn = |angle: Degrees| (cos(radians(angle.get())), sin(radians(angle.get())));
        Ok(Self {
            viewpoint,
            focal_px: v.focal.get() / v.sensor_width.get() * width,
            principal,
            pitch: turn(v.pitch),
            roll: turn(v.roll),
        })
    }

    /// The description it was made from.
    #[must_use]
    pub const fn viewpoint(&self) -> &Viewpoint {
        &self.viewpoint
    }

    /// The focal length in pixels, F = f/w · width in pixels.
    #[must_use]
    pub const fn focal_px(&self) -> Pixels {
        Pixels::of(self.focal_px)
    }

    /// Where the optical axis meets the picture, in pixels from its top left corner.
    #[must_use]
    pub const fn principal(&self) -> (f64, f64) {
        self.principal
    }

    /// The same view in a picture of another width, as previews have it: everything in pixels grows with the
    /// width. A height that was rounded to whole pixels crops, it does not stretch.
    #[must_use]
    pub fn scaled(&self, size: PxSize) -> Self {
        let k = f64::from(size.width()) / f64::from(self.viewpoint.size.width());
        let principal = (self.principal.0 * k, self.principal.1 * k);
        let px = |v: f64| Pixels::of(1.0) * v;
        Self {
            viewpoint: Viewpoint {
                size,
                principal: Some((px(principal.0), px(principal.1))),
                ..self.viewpoint
            },
            focal_px: self.focal_px * k,
            principal,
            ..*self
        }
    }

    /// Distance of a point before the lens along the optical axis; `None` where it is not before the lens.
    ///
    /// d = Z cos t - (Y-h) sin t, in metres, with pitch t and camera height h (docs/model.md, *Coordinates*).
    #[must_use]
    pub fn depth(&self, point: Point) -> Option<Depth> {
        let d = self.before_lens(point).0[2];
        if d > 0.0 && d.is_finite() { Some(Depth(d)) } else { None }
    }

    /// Where a point appears; `None` where it is not before the lens.
    ///
    /// du = F X/d, dv = -F ((Y-h) cos t + Z sin t)/d; then the roll r about the optical axis,
    /// u = cu + du cos r + dv sin r, v = cv - du sin r + dv cos r (pinhole camera; docs/model.md,
    /// *Coordinates*).
    ///
    /// ```
    /// # use optics::{Camera, Point, Viewpoint};
    /// # use units::{Degrees, Metres, Millimetres, PxSize};
    /// let camera = Camera::new(Viewpoint {
    ///     size: PxSize::new(6000, 4000).unwrap(),
    ///     height: Metres::of(1.6),
    ///     pitch: Degrees::ZERO,
    ///     roll: Degrees::ZERO,
    ///     focal: Millimetres::of(35.0),
    ///     sensor_width: Millimetres::of(36.0),
    ///     principal: None,
    /// })?;
    /// // A point on the ground, 2 m right and 9 m away (projected by another program's pinhole model).
    /// let place = Point::new(Metres::of(2.0), Metres::ZERO, Metres::of(9.0));
    /// let seen = camera.project(place).unwrap();
    /// assert!((seen.u - 4296.296296).abs() < 1e-6);
    /// assert!((seen.v - 3037.037037).abs() < 1e-6);
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn project(&self, point: Point) -> Option<Seen> {
        let depth = self.depth(point)?;
        let h = self.projection() * self.before_lens(point);
        let (u, v) = (h.0[0] / depth.0, h.0[1] / depth.0);
        if u.is_finite() && v.is_finite() { Some(Seen { u, v, depth }) } else { None }
    }

    /// The direction in which a pixel looks, of length 1, in the axes of the stage (right, up, away).
    #[must_use]
    pub fn ray(&self, u: f64, v: f64) -> Vec3 {
        // Beyond a billion pixels nothing changes, and squares must not overflow; NaN is taken for the
        // middle.
        let offset = |p: f64, c: f64| if p.is_nan() { 0.0 } else { (p - c).clamp(-1e9, 1e9) };
        let (du, dv) = (offset(u, self.principal.0), offset(v, self.principal.1));
        let ((cos_t, sin_t), (cos_r, sin_r)) = (self.pitch, self.roll);
        let x = (du * cos_r - dv * sin_r) / self.focal_px;
        let down = (du * sin_r + dv * cos_r) / self.focal_px;
        let ray = Vec3::new(x, -down * cos_t - sin_t, -down * sin_t + cos_t);
        ray.unit().expect("a ray has a component of length 1 along the optical axis, so it has a length")
    }

    /// The point that a pixel shows of a level (a horizontal plane at this height); `None` where it shows
    /// none: at and above the horizon for a level below the camera, at and below it for one above.
    #[must_use]
    pub fn on_level(&self, u: f64, v: f64, level: Metres) -> Option<Point> {
        if !(u.is_finite() && v.is_finite()) {
            return None;
        }
        let ray = self.ray(u, v);
        let along = (level - self.viewpoint.height).get() / ray.0[1];
        if !(along > 0.0 && along.is_finite()) {
            return None;
        }
        Some(Point { x: Metres::new(ray.0[0] * along)?, y: level, z: Metres::new(ray.0[2] * along)? })
    }

    /// The height in the picture of the horizon at column `u`.
    ///
    /// dv = -F tan t before the roll, so v = cv - F tan t/cos r - (u - cu) tan r. It cuts every standing
    /// figure at the camera's height (Criminisi, Reid, Zisserman 2000).
    #[must_use]
    pub fn horizon(&self, u: f64) -> f64 {
        let ((cos_t, sin_t), (cos_r, sin_r)) = (self.pitch, self.roll);
        self.principal.1 - self.focal_px * sin_t / (cos_t * cos_r) - (u - self.principal.0) * sin_r / cos_r
    }

    /// The horizon as a homogeneous line (a, b, c): a u + b v + c = 0, in pixels, positive below the horizon.
    #[must_use]
    pub fn horizon_line(&self) -> Vec3 {
        let ((cos_t, sin_t), (cos_r, sin_r)) = (self.pitch, self.roll);
        let (cu, cv) = self.principal;
        Vec3::new(sin_r, cos_r, self.focal_px * sin_t / cos_t - cu * sin_r - cv * cos_r)
    }

    /// Where all uprights meet, as a homogeneous point: at infinity (third coordinate 0) for a level camera.
    #[must_use]
    pub fn vertical_vanishing_point(&self) -> Vec3 {
        self.direction_in_picture(Vec3::new(0.0, 1.0, 0.0))
    }

    /// Pixels per metre across the optical axis: F/d.
    #[must_use]
    pub fn scale(&self, depth: Depth) -> PixelsPerMetre {
        PixelsPerMetre::of(1.0) * (self.focal_px / depth.0)
    }

    /// From the stage's axes, lens as origin, to right, down and along the optical axis, before the roll.
    fn turned(&self, v: Vec3) -> Vec3 {
        let ((cos_t, sin_t), [x, y, z]) = (self.pitch, v.0);
        Vec3::new(x, -(y * cos_t + z * sin_t), z * cos_t - y * sin_t)
    }

    fn before_lens(&self, point: Point) -> Vec3 {
        self.turned(point.vector() - Vec3::new(0.0, self.viewpoint.height.get(), 0.0))
    }

    /// From right, down, along to homogeneous pixels: the roll, the focal length, the principal point.
    fn projection(&self) -> Mat3 {
        let ((cos_r, sin_r), f, (cu, cv)) = (self.roll, self.focal_px, self.principal);
        Mat3([[f * cos_r, f * sin_r, cu], [-f * sin_r, f * cos_r, cv], [0.0, 0.0, 1.0]])
    }

    /// The homogeneous picture point of a direction on the stage; the third coordinate is its part along the
    /// axis.
    pub(crate) fn direction_in_picture(&self, direction: Vec3) -> Vec3 {
        self.projection() * self.turned(direction)
    }

    /// The homogeneous picture point of a place; the third coordinate is its depth, of either sign.
    pub(crate) fn place_in_picture(&self, point: Point) -> Vec3 {
        self.projection() * self.before_lens(point)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn viewpoint() -> Viewpoint {
        Viewpoint {
            size: PxSize::new(6000, 4000).unwrap(),
            height: Metres::of(1.6),
            pitch: Degrees::of(5.0),
            roll: Degrees::ZERO,
            focal: Millimetres::of(35.0),
            sensor_width: Millimetres::of(36.0),
            principal: None,
        }
    }

    #[test]
    fn viewpoints_that_cannot_be_are_refused_by_name() {
        let refused = |v: Viewpoint| Camera::new(v).unwrap_err().place();
        assert_eq!(refused(Viewpoint { height: Metres::ZERO, ..viewpoint() }), "camera height");
        assert_eq!(refused(Viewpoint { pitch: Degrees::of(90.0), ..viewpoint() }), "camera pitch");
        assert_eq!(refused(Viewpoint { roll: Degrees::of(-90.0), ..viewpoint() }), "camera roll");
        assert_eq!(refused(Viewpoint { focal: Millimetres::ZERO, ..viewpoint() }), "focal length");
        assert_eq!(
            refused(Viewpoint { sensor_width: Millimetres::of(-36.0), ..viewpoint() }),
            "sensor width"
        );
        let principal = Some((Pixels::of(1e8), Pixels::ZERO));
        assert_eq!(refused(Viewpoint { principal, ..viewpoint() }), "principal point");
    }

    #[test]
    fn a_crop_moves_the_principal_point_and_nothing_else() {
        // 1000 px cut off on the left, 500 above, 4000 kept of 6000: the sensor's part shrinks with the
        // picture.
        let whole = Camera::new(viewpoint()).unwrap();
        let part = Camera::new(Viewpoint {
            size: PxSize::new(4000, 3000).unwrap(),
            sensor_width: Millimetres::of(24.0),
            principal: Some((Pixels::of(2000.0), Pixels::of(1500.0))),
            ..viewpoint()
        })
        .unwrap();
        let place = Point::new(Metres::of(1.0), Metres::of(0.5), Metres::of(7.0));
        let (a, b) = (whole.project(place).unwrap(), part.project(place).unwrap());
        assert!((a.u - b.u - 1000.0).abs() < 1e-9 && (a.v - b.v - 500.0).abs() < 1e-9);
    }

    #[test]
    fn above_the_horizon_there_is_no_ground() {
        let camera = Camera::new(viewpoint()).unwrap();
        let horizon = camera.horizon(1000.0);
        assert!(camera.on_level(1000.0, horizon - 1.0, Metres::ZERO).is_none());
        assert!(camera.on_level(1000.0, horizon + 1.0, Metres::ZERO).is_some());
        // But a ceiling.
        assert!(camera.on_level(1000.0, horizon - 1.0, Metres::of(3.0)).is_some());
        assert!(camera.on_level(1000.0, 3000.0, Metres::of(1.6)).is_none());
        assert!(camera.on_level(f64::NAN, 3000.0, Metres::ZERO).is_none());
    }
}
