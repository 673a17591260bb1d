//! Which view of a prop faces a target (docs/model.md, *Facing*).

use crate::in_shot;
use crate::measured::Measured;
use optics::Point;
use scene::{CutOutId, Scene, Stance};
use units::{Degrees, Metres, math};

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

/// The height of view under which the camera, so high over a foot and so far from it, sees a thing of this height: the angle at which it
/// looks down at the thing's middle, negative where it looks up. `None` straight above or below it.
#[must_use]
pub fn height_of_view(camera: Metres, distance: Metres, height: Metres) -> Option<Degrees> {
    let over = camera.get() - height.get() / 2.0;
    (distance.get() > 1e-6).then(|| Degrees::new(math::degrees(math::atan2(over, distance.get()))))?
}

/// From where a thing is seen.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Sight {
    /// Which way it is turned: 0 looks at the camera, positive has come round to the right.
    pub bearing: Degrees,
    /// How far down the camera looks at it; `None` where nobody knows.
    pub height: Option<Degrees>,
}

impl Sight {
    /// The angle between two, without sign; a height that nobody knows is as good as any.
    #[must_use]
    pub fn off(self, other: Self) -> Degrees {
        let (a, b) = match (self.height, other.height) {
            (Some(a), Some(b)) => (math::radians(a.get()), math::radians(b.get())),
            _ => (0.0, 0.0),
        };
        let turn = math::radians(self.bearing.get() - other.bearing.get());
        let cos = math::sin(a) * math::sin(b) + math::cos(a) * math::cos(b) * math::cos(turn);
        Degrees::new(math::degrees(math::acos(cos.clamp(-1.0, 1.0)))).unwrap_or_default()
    }

    /// Seen in a mirror.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self { bearing: -self.bearing, ..self }
    }
}

/// A view of a prop, and by how much it misses what is wanted.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct View {
    /// Which cut-out.
    pub cutout: CutOutId,
    /// Whether its mirror image.
    pub mirrored: bool,
    /// How far off its bearing is, without sign.
    pub miss: Degrees,
    /// The angle by which it is off in all.
    pub off: Degrees,
}

/// The sight of a view: its bearing as it was stated, else 0; its height of view as its set-up's camera had it.
#[must_use]
pub fn sight(scene: &Scene, measured: &Measured, cutout: CutOutId, stance: Stance) -> Option<Sight> {
    let shown = scene.cutouts().get(&cutout)?;
    let facts = &shown.facts;
    let set_up = facts.set_up.and_then(|id| scene.set_ups().get(&id));
    let eye = facts.eye_height.or_else(|| Some(set_up?.camera?.eye_height));
    let distance = facts.camera_distance.or_else(|| set_up?.camera_distance);
    let tall = measured.cuts.get(&cutout).and_then(|cut| in_shot::seen(scene, shown, cut, stance));
    let height =
        eye.zip(distance).zip(tall).and_then(|((eye, far), tall)| height_of_view(eye, far, tall.height));
    Some(Sight { bearing: facts.bearing.unwrap_or_default(), height })
}

/// The views of the same prop as a cut-out, itself among them, and their mirror images.
pub fn views(scene: &Scene, cutout: CutOutId) -> impl Iterator<Item = (CutOutId, bool)> {
    let prop = scene.cutouts().get(&cutout).and_then(|c| c.prop.clone());
    let same = move |c: &scene::CutOut| prop.is_some() && c.prop == prop;
    let all = scene.cutouts().iter().filter(move |(id, c)| **id == cutout || same(c));
    all.flat_map(|(id, c)| {
        let mirror = (c.facts.may_mirror != Some(false)).then_some((*id, true));
        std::iter::once((*id, false)).chain(mirror)
    })
}

/// The view of the same prop as `cutout`, or its mirror image, that comes nearest. Ties go to the one that is not mirrored, then to the
/// older one.
#[must_use]
pub fn nearest(
    scene: &Scene,
    measured: &Measured,
    (cutout, stance): (CutOutId, Stance),
    wanted: Sight,
) -> Option<View> {
    let seen = |(cutout, mirrored): (CutOutId, bool)| {
        let own = sight(scene, measured, cutout, stance)?;
        let own = if mirrored { own.mirrored() } else { own };
        let miss = ((own.bearing.get() - wanted.bearing.get() + 540.0).rem_euclid(360.0) - 180.0).abs();
        Some(View { cutout, mirrored, miss: Degrees::new(miss)?, off: own.off(wanted) })
    };
    // As close as a hundredth of a degree is a tie.
    let rank = |v: &View| ((v.off.get() * 100.0).round() as i64, v.mirrored, v.cutout);
    views(scene, cutout).filter_map(seen).min_by_key(rank)
}

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn the_angle_between_two_sights_is_that_between_two_directions() {
        let sight = |bearing, height| Sight { bearing: Degrees::of(bearing), height };
        let level = |bearing| sight(bearing, Some(Degrees::ZERO));
        assert!((level(170.0).off(level(-170.0)).get() - 20.0).abs() < 1e-9);
        let down = |bearing, height| sight(bearing, Some(Degrees::of(height)));
        assert!((down(0.0, 60.0).off(level(0.0)).get() - 60.0).abs() < 1e-9);
        // From straight above no bearing differs.
        assert!(down(0.0, 90.0).off(down(120.0, 90.0)).get() < 1e-6);
        assert!((sight(30.0, None).off(down(0.0, 80.0)).get() - 30.0).abs() < 1e-9);
        // A metre over the middle of a thing two metres high, a metre off: 45 degrees.
        let seen = height_of_view(Metres::of(2.0), Metres::of(1.0), Metres::of(2.0)).unwrap();
        assert!((seen.get() - 45.0).abs() < 1e-9);
        assert!(height_of_view(Metres::of(2.0), Metres::ZERO, Metres::of(1.0)).is_none());
    }
}
