//! Reading a viewpoint from lines and points in a picture (docs/model.md, *Sightings*). All in pixels, u
//! right and v down from the top left corner.

use units::math::{atan, atan2, degrees, hypot};
use units::{Degrees, Metres, Pixels, Vec3};

/// A place in a picture.
pub type Spot = (f64, f64);

/// Foot and top of something upright that stands on the ground.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Upright {
    /// Where it meets the ground.
    pub foot: Spot,
    /// Its upper end, straight above the foot.
    pub top: Spot,
}

/// Focal length in pixels from the vanishing points of two horizontal directions at right angles.
///
/// F² = -(p1-c)·(p2-c), c the principal point (Caprile and Torre 1990). `None` where the points cannot
/// belong to such directions.
///
/// ```
/// # use optics::sightings::focal_from_vanishing_points;
/// let f = focal_from_vanishing_points(
///     (6380.741312, 1489.649463), (-7142.223935, 1489.649463), (3000.0, 2000.0)).unwrap();
/// assert!((f.get() - 5833.333333).abs() < 1e-3);
/// ```
#[must_use]
pub fn focal_from_vanishing_points(p1: Spot, p2: Spot, principal: Spot) -> Option<Pixels> {
    let (a, b) = ((p1.0 - principal.0, p1.1 - principal.1), (p2.0 - principal.0, p2.1 - principal.1));
    let square = -(a.0 * b.0 + a.1 * b.1);
    if square > 0.0 { Pixels::new(square.sqrt()) } else { None }
}

/// How a camera was held, read from its picture.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Attitude {
    /// Positive looks down.
    pub pitch: Degrees,
    /// Positive is turned clockwise seen from behind.
    pub roll: Degrees,
}

/// Pitch and roll from two points of the horizon, the first to the left of the second: the line rises to the
/// right by tan r and passes the principal point at the distance F tan t (docs/model.md, *Coordinates*,
/// solved for t and r). `None` where the first point is not to the left, or the focal length is not positive.
#[must_use]
pub fn attitude_from_horizon(left: Spot, right: Spot, principal: Spot, focal: Pixels) -> Option<Attitude> {
    let (along_u, along_v) = (right.0 - left.0, right.1 - left.1);
    let length = hypot(along_u, along_v);
    if !(along_u > 0.0 && length.is_finite() && focal.get() > 0.0) {
        return None;
    }
    // Positive where the principal point lies below the horizon: the camera looks down.
    let below = ((principal.1 - left.1) * along_u - (principal.0 - left.0) * along_v) / length;
    Some(Attitude {
        pitch: Degrees::new(degrees(atan(below / focal.get())))?,
        roll: Degrees::new(degrees(atan2(-along_v, along_u)))?,
    })
}

/// Height of an upright, from another of known height standing on the same ground.
///
/// With the horizon l (a homogeneous line) and the vanishing point v of the uprights, each height is in
/// proportion to |foot × top| / (|l·foot| |v × top|) (Criminisi, Reid, Zisserman 2000, *Single view
/// metrology*, IJCV 40(2), 123-148, formula from memory). [`crate::Camera::horizon_line`] and
/// [`crate::Camera::vertical_vanishing_point`] give l and v of a known camera. `None` where a foot lies on
/// the horizon or the reference has no height.
#[must_use]
pub fn height(
    horizon: Vec3,
    vertical: Vec3,
    reference: Upright,
    reference_height: Metres,
    wanted: Upright,
) -> Option<Metres> {
    let relative = |u: Upright| relative_height(horizon, vertical, spot(u.foot), spot(u.top));
    Metres::new(relative(wanted)? / relative(reference)? * reference_height.get())
}

/// Height of the camera, from an upright of known height: the horizon passes before the upright's line at
/// the height of the lens, so the camera is as high as something that stood there and reached up to the
/// horizon (same source as [`height`]).
///
/// `None` where the foot lies on the horizon or the reference has no height.
#[must_use]
pub fn camera_height(
    horizon: Vec3,
    vertical: Vec3,
    reference: Upright,
    reference_height: Metres,
) -> Option<Metres> {
    let foot = spot(reference.foot);
    let eye_level = cross(horizon, cross(foot, vertical));
    let camera = relative_height(horizon, vertical, foot, eye_level)?;
    let known = relative_height(horizon, vertical, foot, spot(reference.top))?;
    Metres::new(camera / known * reference_height.get())
}

fn relative_height(horizon: Vec3, vertical: Vec3, foot: Vec3, top: Vec3) -> Option<f64> {
    let relative = cross(foot, top).length() / (horizon.dot(foot).abs() * cross(vertical, top).length());
    if relative.is_normal() { Some(relative) } else { None }
}

const fn spot(at: Spot) -> Vec3 {
    Vec3::new(at.0, at.1, 1.0)
}

fn cross(a: Vec3, b: Vec3) -> Vec3 {
    let ([a0, a1, a2], [b0, b1, b2]) = (a.0, b.0);
    Vec3::new(a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0)
}
