//! Which view of a prop faces a target (docs/model.md, *Facing*).

use optics::Point;
use scene::{CutOutId, Scene};
use units::{Degrees, math};

/// The bearing under which the camera must see a thing that stands at `foot` and looks at `target`: 0 looks at the camera,
/// positive has its front come round to the right. `None` where the target stands on the same spot.
#[must_use]
pub fn wanted(foot: Point, target: Point) -> Option<Degrees> {
    let away = math::hypot(foot.x.get(), foot.z.get());
    let (dx, dz) = (target.x.get() - foot.x.get(), target.z.get() - foot.z.get());
    if away < 1e-6 || math::hypot(dx, dz) < 1e-6 {
        return None;
    }
    let (rx, rz) = (foot.z.get() / away, -foot.x.get() / away);
    let right = dx * rx + dz * rz;
    let nearer = -(dx * foot.x.get() + dz * foot.z.get()) / away;
    Degrees::new(math::degrees(math::atan2(right, nearer)))
}

/// A view of a prop, and by how much it misses the wanted bearing.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct View {
    /// Which cut-out.
    pub cutout: CutOutId,
    /// Whether its mirror image.
    pub mirrored: bool,
    /// How far off it is, without sign.
    pub miss: Degrees,
}

/// The view of the same prop as `cutout`, or its mirror image, that comes nearest to a bearing. A view whose bearing
/// nobody has stated counts as 0. Ties go to the one that is not mirrored, then to the older one.
#[must_use]
pub fn nearest(scene: &Scene, cutout: CutOutId, wanted: Degrees) -> Option<View> {
    let this = scene.cutouts().get(&cutout)?;
    let same = |c: &scene::CutOut| this.prop.is_some() && c.prop == this.prop;
    scene
        .cutouts()
        .iter()
        .filter(|(id, c)| **id == cutout || same(c))
        .flat_map(|(id, c)| {
            let bearing = c.facts.bearing.unwrap_or_default().get();
            let plain = (*id, false, bearing);
            let mirror = (c.facts.may_mirror != Some(false)).then_some((*id, true, -bearing));
            std::iter::once(plain).chain(mirror)
        })
        .map(|(cutout, mirrored, bearing)| {
            let miss = ((bearing - wanted.get() + 540.0).rem_euclid(360.0) - 180.0).abs();
            View { cutout, mirrored, miss: Degrees::new(miss).unwrap_or_default() }
        })
        .min_by(|a, b| (a.miss, a.mirrored, a.cutout).cmp(&(b.miss, b.mirrored, b.cutout)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Metres;

    fn at(x: f64, z: f64) -> Point {
        Point::new(Metres::of(x), Metres::ZERO, Metres::of(z))
    }

    #[test]
    fn towards_the_lens_is_0_to_the_right_is_positive() {
        let bearing = |foot, target| wanted(foot, target).unwrap().get();
        assert!((bearing(at(0.0, 5.0), at(0.0, 0.0))).abs() < 1e-9);
        assert!((bearing(at(0.0, 5.0), at(1.0, 5.0)) - 90.0).abs() < 1e-9);
        assert!((bearing(at(0.0, 5.0), at(-1.0, 4.0)) + 45.0).abs() < 1e-9);
        assert!((bearing(at(0.0, 5.0), at(0.0, 9.0)).abs() - 180.0).abs() < 1e-9);
        // Off the axis, the camera's own direction counts: from (5, 5), the camera lies at 225 degrees.
        assert!((bearing(at(5.0, 5.0), at(4.0, 4.0))).abs() < 1e-9);
        assert_eq!(wanted(at(1.0, 2.0), at(1.0, 2.0)), None);
    }
}
