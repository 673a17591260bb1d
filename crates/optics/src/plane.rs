//! The planes that pieces stand in, and how they appear (docs/model.md, *Size*).

use crate::{Camera, Point};
use units::math::{cos, hypot, radians, sin};
use units::{Mat3, Metres, Vec3};

/// A plane on the stage that has an origin (a mark), a right and an up of its own, both of length 1 m.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Plane {
    origin: Point,
    right: Vec3,
    up: Vec3,
}

impl Plane {
    /// The vertical plane through a mark whose normal is the horizontal direction from the mark to the
    /// camera: where an upright piece stands. Right is to the right as the camera sees it. `None` for a mark
    /// straight under or over the camera (within a thousandth of a millimetre), which has no such direction.
    #[must_use]
    pub fn upright(mark: Point) -> Option<Self> {
        let (x, z) = (mark.x.get(), mark.z.get());
        let away = hypot(x, z);
        if !(away > 1e-6 && away.is_finite()) {
            return None;
        }
        let right = Vec3::new(z / away, 0.0, -x / away);
        Some(Self { origin: mark, right, up: Vec3::new(0.0, 1.0, 0.0) })
    }

    /// The plane through a mark that is parallel to the sensor. Its right is level: a piece in it is turned
    /// in the picture with the camera's roll, as the horizon is.
    #[must_use]
    pub fn facing_lens(camera: &Camera, mark: Point) -> Self {
        let pitch = radians(camera.viewpoint().pitch.get());
        Self { origin: mark, right: Vec3::new(1.0, 0.0, 0.0), up: Vec3::new(0.0, cos(pitch), sin(pitch)) }
    }

    /// The horizontal plane at a height; its coordinates are x (right) and z (away) of the stage.
    #[must_use]
    pub const fn level(y: Metres) -> Self {
        Self {
            origin: Point::new(Metres::ZERO, y, Metres::ZERO),
            right: Vec3::new(1.0, 0.0, 0.0),
            up: Vec3::new(0.0, 0.0, 1.0),
        }
    }

    /// Its origin: the mark, or for a level the point over the stage's origin.
    #[must_use]
    pub const fn origin(&self) -> Point {
        self.origin
    }

    /// Its right, of length 1, in the stage's axes.
    #[must_use]
    pub const fn right(&self) -> Vec3 {
        self.right
    }

    /// Its up, of length 1, in the stage's axes.
    #[must_use]
    pub const fn up(&self) -> Vec3 {
        self.up
    }

    /// The place that lies so many metres right and up of its origin.
    #[must_use]
    pub fn place(&self, right: Metres, up: Metres) -> Point {
        let axis = |i: usize, origin: Metres| origin + right * self.right.0[i] + up * self.up.0[i];
        Point::new(axis(0, self.origin.x), axis(1, self.origin.y), axis(2, self.origin.z))
    }

    /// How it appears: the mapping from (metres right, metres up, 1) to homogeneous pixels, whose third
    /// coordinate is the depth in metres, so that [`Mat3::project`] refuses what is not before the lens.
    ///
    /// The columns are the pictures of right, up and origin (Hartley and Zisserman, *Multiple View
    /// Geometry*, 2nd edition 2004, section 8.1.1, from memory).
    #[must_use]
    pub fn to_picture(&self, camera: &Camera) -> Mat3 {
        Mat3::columns(
            camera.direction_in_picture(self.right),
            camera.direction_in_picture(self.up),
            camera.place_in_picture(self.origin),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_under_the_camera_nothing_stands_facing_it() {
        let y = Metres::of(0.4);
        assert_eq!(Plane::upright(Point::new(Metres::ZERO, y, Metres::ZERO)), None);
        assert_eq!(Plane::upright(Point::new(Metres::of(1e-7), y, Metres::ZERO)), None);
        assert_eq!(Plane::upright(Point::new(Metres::of(f64::MAX), y, Metres::of(f64::MAX))), None);
    }

    #[test]
    fn right_is_right_as_the_camera_sees_it() {
        let ahead = Plane::upright(Point::new(Metres::ZERO, Metres::ZERO, Metres::of(5.0))).unwrap();
        assert_eq!(ahead.right(), Vec3::new(1.0, 0.0, 0.0));
        // To the right of the camera, right is towards its back.
        let beside = Plane::upright(Point::new(Metres::of(3.0), Metres::ZERO, Metres::ZERO)).unwrap();
        assert_eq!(beside.right(), Vec3::new(0.0, 0.0, -1.0));
    }
}
