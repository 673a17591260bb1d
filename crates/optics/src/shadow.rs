//! Where shadows fall, how soft they are and how dark (docs/model.md, *Shadow*).

use crate::range::within;
use crate::{OutOfRange, Plane, Point};
use units::math::{asin, cos, log2, radians, sin, tan};
use units::{Degrees, Mat3, Metres, Stops, Vec3};

/// Length of the shadow of an upright on level ground: h / tan e. `None` where the sun's middle is not above
/// the horizon.
///
/// ```
/// # use optics::shadow::length;
/// # use units::{Degrees, Metres};
/// let shadow = length(Metres::of(1.8), Degrees::of(45.0)).unwrap();
/// assert!((shadow.get() - 1.8).abs() < 1e-12);
/// assert_eq!(length(Metres::of(1.8), Degrees::ZERO), None);
/// ```
#[must_use]
pub fn length(height: Metres, sun_elevation: Degrees) -> Option<Metres> {
    let e = above_horizon(sun_elevation)?;
    Some(height * (cos(e) / sin(e)))
}

/// From the top of an upright along the light to the tip of its shadow: h / sin e. `None` as [`length`].
#[must_use]
pub fn ray_length(height: Metres, sun_elevation: Degrees) -> Option<Metres> {
    let e = above_horizon(sun_elevation)?;
    Some(height * (1.0 / sin(e)))
}

/// The azimuth in which shadows lie: away from the sun. Clockwise from north, 0 up to 360.
#[must_use]
pub fn azimuth(sun_azimuth: Degrees) -> Degrees {
    Degrees::of(1.0) * (sun_azimuth.get() + 180.0).rem_euclid(360.0)
}

/// The shadow of a point on a level: along the direction of the sun's rays. `sun` is the direction towards
/// the sun, of any length. `None` where the sun is not above the horizon or the point lies under the level.
#[must_use]
pub fn of_point(point: Point, sun: Vec3, level: Metres) -> Option<Point> {
    let [lx, ly, lz] = sun.0;
    let drop = (point.y - level).get();
    let along = drop / ly;
    if !(ly > 0.0 && drop >= 0.0 && along.is_finite()) {
        return None;
    }
    Some(Point {
        x: Metres::new(point.x.get() - along * lx)?,
        y: level,
        z: Metres::new(point.z.get() - along * lz)?,
    })
}

/// The shadow of a whole plane on a level, under the sun: from (metres right, metres up, 1) in the plane to
/// homogeneous x and z on the level, with the third coordinate 1. `None` where the sun is not above the
/// horizon. Points of the plane below the level get the place where their ray left the ground: cut them off
/// first.
///
/// Each point P of the plane goes to P - l (P_y - level)/l_y.
#[must_use]
pub fn of_plane(plane: &Plane, sun: Vec3, level: Metres) -> Option<Mat3> {
    let [lx, ly, lz] = sun.0;
    let (sx, sz) = (lx / ly, lz / ly);
    if !(ly > 0.0 && sx.is_finite() && sz.is_finite()) {
        return None;
    }
    let fallen = |v: Vec3, height: f64| (v.0[0] - sx * height, v.0[2] - sz * height);
    let (origin, rise) = (plane.origin(), (plane.origin().y - level).get());
    let (ax, az) = fallen(plane.right(), plane.right().0[1]);
    let (bx, bz) = fallen(plane.up(), plane.up().0[1]);
    let (cx, cz) = fallen(origin.vector(), rise);
    Some(Mat3([[ax, bx, cx], [az, bz, cz], [0.0, 0.0, 1.0]]))
}

/// The shadow of a whole plane on a level, away from a lamp: from (metres right, metres up, 1) in the plane
/// to homogeneous x and z on the level. The third coordinate is how far the point lies below the lamp in
/// metres, so that [`Mat3::project`] refuses what is not under it and throws no shadow. `None` for a lamp
/// that is not above the level.
///
/// Each point P goes to S + (P - S) (S_y - level)/(S_y - P_y), with the lamp at S.
#[must_use]
pub fn of_plane_from_lamp(plane: &Plane, lamp: Point, level: Metres) -> Option<Mat3> {
    if lamp.y <= level {
        return None;
    }
    let height = (lamp.y - level).get();
    let s = lamp.vector();
    // In homogeneous form, with w = S_y - P_y: x = S_x w + (P_x - S_x) height, and z likewise.
    let column = |v: Vec3, w: f64| Vec3::new(s.0[0] * w + v.0[0] * height, s.0[2] * w + v.0[2] * height, w);
    let origin = plane.origin().vector();
    let m = Mat3::columns(
        column(plane.right(), -plane.right().0[1]),
        column(plane.up(), -plane.up().0[1]),
        column(origin - s, s.0[1] - origin.0[1]),
    );
    if m.0.iter().flatten().all(|v| v.is_finite()) { Some(m) } else { None }
}

/// Width of the soft edge across the shadow, at a distance along the ray from what throws it: 2 D tan(δ/2),
/// δ the angular diameter of the light.
#[must_use]
pub fn penumbra_across(distance: Metres, diameter: Degrees) -> Metres {
    distance * (2.0 * tan(radians(diameter.get()) / 2.0))
}

/// Length of the soft edge along the shadow on level ground, at the tip of an upright's shadow:
/// h (cot(e - δ/2) - cot(e + δ/2)) = h sin δ / (sin(e - δ/2) sin(e + δ/2)). `None` where the sun's
/// lower edge is not above the horizon: it has no end there.
#[must_use]
pub fn penumbra_along(height: Metres, sun_elevation: Degrees, diameter: Degrees) -> Option<Metres> {
    let (e, d) = (radians(sun_elevation.get()), radians(diameter.get()));
    above_horizon(sun_elevation - diameter * 0.5)?;
    Some(height * (sin(d) / (sin(e - d / 2.0) * sin(e + d / 2.0))))
}

/// How wide a round lamp appears from a distance to its middle: 2 asin(radius/distance), at most half a turn.
#[must_use]
pub fn diameter_of_lamp(radius: Metres, distance: Metres) -> Degrees {
    let ratio = (radius / distance).abs();
    Degrees::of(1.0) * units::math::degrees(2.0 * asin(if ratio < 1.0 { ratio } else { 1.0 }))
}

/// What is left in full shadow of the light on sunlit ground, where the sun gives so many times what the sky
/// gives: 1/(1 + ratio).
///
/// # Errors
/// [`OutOfRange`] for a negative ratio.
pub fn level_in_shadow(sun_to_sky: f64) -> Result<f64, OutOfRange> {
    within("ratio of sun to sky", sun_to_sky, 0.0, f64::MAX, "0 or more, and finite")?;
    Ok(1.0 / (1.0 + sun_to_sky))
}

/// The same in stops (0 or negative): -log2(1 + ratio).
///
/// # Errors
/// As [`level_in_shadow`].
pub fn stops_in_shadow(sun_to_sky: f64) -> Result<Stops, OutOfRange> {
    level_in_shadow(sun_to_sky).map(|level| Stops::of(1.0) * log2(level))
}

/// The elevation in radians, if it is above the horizon and not past the zenith.
fn above_horizon(elevation: Degrees) -> Option<f64> {
    let e = elevation.get();
    if e > 0.0 && e < 180.0 { Some(radians(e)) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64, z: f64) -> Point {
        Point::new(Metres::of(x), Metres::of(y), Metres::of(z))
    }

    #[test]
    fn a_plane_throws_the_shadows_of_its_points() {
        let plane = Plane::upright(at(1.5, 0.2, 6.0)).unwrap();
        let (sun, level) = (Vec3::new(0.5, 0.4, -0.7), Metres::of(0.1));
        let whole = of_plane(&plane, sun, level).unwrap();
        for (a, b) in [(0.0, 0.0), (0.4, 1.7), (-0.3, 0.9)] {
            let alone = of_point(plane.place(Metres::of(a), Metres::of(b)), sun, level).unwrap();
            let (x, z) = whole.project(a, b).unwrap();
            assert!((x - alone.x.get()).abs() < 1e-12 && (z - alone.z.get()).abs() < 1e-12);
        }
        assert_eq!(of_plane(&plane, Vec3::new(1.0, 0.0, 0.0), level), None);
        assert_eq!(of_point(at(0.0, 1.0, 2.0), Vec3::new(0.0, -1.0, 0.0), level), None);
        assert_eq!(of_point(at(0.0, 0.0, 2.0), sun, level), None);
    }

    #[test]
    fn a_lamp_throws_shadows_away_from_itself_and_only_of_what_is_under_it() {
        let plane = Plane::upright(at(0.0, 0.0, 4.0)).unwrap();
        let (lamp, level) = (at(0.0, 2.0, 5.0), Metres::ZERO);
        let m = of_plane_from_lamp(&plane, lamp, level).unwrap();
        // The foot stays where it is; 1 m up, half the lamp's height: as far again as the lamp is behind.
        assert_eq!(m.project(0.5, 0.0), Some((0.5, 4.0)));
        assert_eq!(m.project(0.5, 1.0), Some((1.0, 3.0)));
        assert_eq!(m.project(0.0, 2.0), None);
        assert_eq!(m.project(0.0, 3.0), None);
        assert_eq!(of_plane_from_lamp(&plane, at(0.0, 0.0, 5.0), level), None);
    }

    #[test]
    fn without_the_sun_above_the_horizon_there_is_no_shadow() {
        let h = Metres::of(1.0);
        for e in [-10.0, 0.0, 180.0] {
            assert_eq!(length(h, Degrees::of(e)), None);
            assert_eq!(ray_length(h, Degrees::of(e)), None);
        }
        assert_eq!(penumbra_along(h, Degrees::of(0.2), Degrees::of(0.533)), None);
        assert!(penumbra_along(h, Degrees::of(0.3), Degrees::of(0.533)).is_some());
        assert!(stops_in_shadow(-0.5).is_err());
    }

    #[test]
    fn a_lamp_appears_as_wide_as_it_is_near() {
        let d = diameter_of_lamp(Metres::of(0.1), Metres::of(0.2));
        assert!((d.get() - 60.0).abs() < 1e-12);
        assert!((diameter_of_lamp(Metres::of(0.1), Metres::of(0.05)).get() - 180.0).abs() < 1e-12);
        assert!((diameter_of_lamp(Metres::of(0.1), Metres::ZERO).get() - 180.0).abs() < 1e-12);
    }
}
