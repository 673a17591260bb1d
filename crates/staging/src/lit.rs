//! How the light differs over a piece: nearer to a lamp it is brighter, and on the side that is turned to it (docs/model.md, *Form*).

use crate::illumination;
use crate::layout::{Blocker, Lit};
use crate::shadows::Thrower;
use crate::standing::{Stage, Standing, turned};
use optics::{Point, Sun};
use scene::{Basis, CutOut, CutOutKind, Piece, PieceId, Stance};
use std::collections::BTreeMap;
use units::{Mat3, PxRect, Vec3};

/// `None` where one gain is all there is: for what shone by itself, for flat things, and where the light is left as photographed.
pub(crate) fn of_piece(stage: &Stage<'_>, stands: &Standing, piece: &Piece, cutout: &CutOut) -> Option<Lit> {
    let stood = matches!(piece.stance, Stance::Upright | Stance::Hanging);
    let left = piece.rows.light.basis == Basis::AsPhotographed;
    if !stood || left || cutout.kind == CutOutKind::Additive {
        return None;
    }
    let (right, up) = stage.directions(piece, stands.foot)?;
    let factor = stands.size.result / stands.size.computed;
    let flip = if stands.mirrored { -1.0 } else { 1.0 };
    let in_plane = turned(piece.turn) * Mat3::scaling(flip * factor, factor);
    let world = |m: &Mat3, column: usize| right * m.0[0][column] + up * m.0[1][column];
    let [rx, ry, rz] = right.0;
    let [ux, uy, uz] = up.0;
    // Towards the camera: right x up (left-handed axes: x right, y up, z away).
    let towards = Vec3::new(uy * rz - uz * ry, uz * rx - ux * rz, ux * ry - uy * rx);
    let lights = &stage.light.lights;
    let mean_place = illumination::middle(stands.foot, stands.height);
    let here = lights.on_cylinder(mean_place, 1.0);
    let read = |height: f64| stage.reading_at(cutout, units::Metres::new(height).unwrap_or_default());
    let anchor = stage.anchor();
    let middle = read(stands.height.get() * 0.5).unwrap_or(anchor);
    let mean = Vec3(std::array::from_fn(|c| if middle.0[c] > 0.0 { here.0[c] / middle.0[c] } else { 0.0 }));
    if mean.0.iter().any(|v| *v <= 0.0) {
        return None;
    }
    let readings = stage.readings(cutout).unwrap_or_else(|| vec![(0.0, anchor)]);
    let viewer = Vec3::new(-stands.foot.x.get(), 0.0, -stands.foot.z.get())
        .unit()
        .unwrap_or(Vec3::new(0.0, 0.0, -1.0));
    Some(Lit {
        to_plane: stands.to_shot.inverse()?,
        foot: stands.foot.vector(),
        right: world(&in_plane, 0),
        up: world(&in_plane, 1),
        towards: towards.unit()?,
        viewer,
        lights: lights.clone(),
        readings,
        mean,
        blockers: Vec::new(),
    })
}

/// What of other pieces may stand in the lights of one that covers this much of its shot.
pub(crate) fn blockers(
    lit: &Lit,
    stands: &Standing,
    covered: PxRect,
    throwers: &BTreeMap<PieceId, Thrower<'_>>,
) -> Vec<Blocker> {
    let (x0, x1) = (covered.x0() as f64, covered.x1() as f64);
    let (y0, y1) = (covered.y0() as f64, covered.y1() as f64);
    let corners = [(x0, y0), (x1, y0), (x0, y1), (x1, y1)];
    let places: Vec<Vec3> = corners
        .iter()
        .filter_map(|(u, v)| lit.to_plane.project(*u, *v))
        .map(|(a, b)| lit.foot + lit.right * a + lit.up * b)
        .collect();
    let mut all = Vec::new();
    for thrower in throwers.values() {
        let (own, other) = (stands.foot, thrower.piece().foot);
        let same = (own.x - other.x).abs().get() < 1e-6 && (own.z - other.z).abs().get() < 1e-6;
        if thrower.piece().id == stands.id || same {
            continue;
        }
        for blocker in thrower.blockers() {
            let seen = places.iter().filter_map(|place| {
                let (towards, far) = lit.towards(blocker.light, *place);
                blocker.meets(*place, towards, far)
            });
            let seen: Vec<(f64, f64)> = seen.collect();
            let fold = |f: fn(f64, f64) -> f64, pick: fn(&(f64, f64)) -> f64| {
                seen.iter().map(pick).reduce(f).unwrap_or(0.0)
            };
            let around = thrower.covered().grow((3.0 * blocker.softness) as i64 + 1);
            let box_of = PxRect::new(
                fold(f64::min, |p| p.0).clamp(-1e9, 1e9) as i64,
                fold(f64::min, |p| p.1).clamp(-1e9, 1e9) as i64,
                fold(f64::max, |p| p.0).clamp(-1e9, 1e9) as i64 + 1,
                fold(f64::max, |p| p.1).clamp(-1e9, 1e9) as i64 + 1,
            );
            // Where only a part of it is behind the other, that may reach anywhere.
            let some = !seen.is_empty() && seen.len() < places.len();
            if some || (!seen.is_empty() && !box_of.intersect(around).is_empty()) {
                all.push(blocker.clone());
            }
        }
    }
    all
}

/// The light at a place of a piece, in parts of what the piece has on the whole.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Here {
    /// Of sky and ground on an upright cylinder.
    pub round: Vec3,
    /// Of the sky on a card that faces up, and on one that stands upright.
    pub sky: [Vec3; 2],
    /// From the ground, on a card that faces down.
    pub below: Vec3,
    /// Of the sun and of the lamps.
    pub lights: Vec<Shine>,
}

/// One light at a place.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Shine {
    /// The direction to it, of length 1.
    pub towards: Vec3,
    /// What it gives to a card square to it.
    pub light: Vec3,
    /// The share of that on an upright cylinder.
    pub round: f64,
}

impl Here {
    /// On a surface with this normal, of length 1, of which so much is known: the rest counts as a cylinder's. `visible` says how much of
    /// each light is.
    #[must_use]
    pub fn on(&self, normal: Vec3, known: f64, visible: impl Fn(usize) -> f64) -> Vec3 {
        let y = normal.0[1];
        let [level, upright] = self.sky;
        let sky = if y >= 0.0 { upright + (level - upright) * y } else { upright * (1.0 + y) };
        let (mut round, mut own) = (self.round, sky + self.below * (0.5 * (1.0 - y)));
        for (i, shine) in self.lights.iter().enumerate() {
            let light = shine.light * visible(i);
            round = round + light * shine.round;
            own = own + light * shine.towards.dot(normal).max(0.0);
        }
        round + (own - round) * known
    }
}

impl Lit {
    /// The sun, if it has risen.
    fn sun(&self) -> Option<&Sun> {
        self.lights.sun().filter(|s| s.direction().0[1] > 0.0)
    }

    /// The place on the stage that is seen at a place of the shot, in its pixels.
    #[must_use]
    pub fn place(&self, u: f64, v: f64) -> Option<Vec3> {
        let (a, b) = self.to_plane.project(u, v)?;
        Some(self.foot + self.right * a + self.up * b)
    }

    /// The direction to a light of [`Here`], of length 1, and how far off it begins to shine.
    #[must_use]
    pub fn towards(&self, light: usize, place: Vec3) -> (Vec3, f64) {
        let sun = self.sun();
        if let (0, Some(sun)) = (light, sun) {
            return (sun.direction(), f64::INFINITY);
        }
        let Some(lamp) = self.lights.practicals().get(light - usize::from(sun.is_some())) else {
            return (self.towards, 0.0);
        };
        let offset = lamp.at().vector() - place;
        let far = offset.length() - 2.0 * lamp.radius().get();
        (offset.unit().unwrap_or(self.towards), far)
    }

    /// At a place of the shot, in its pixels. `None` where the piece's plane has no such place.
    #[must_use]
    pub fn here(&self, u: f64, v: f64) -> Option<Here> {
        let (_, b) = self.to_plane.project(u, v)?;
        let place = Point::from_vector(self.place(u, v)?)?;
        let lights = &self.lights;
        let level = lights.on_level(place);
        let white = self.white(b).times(self.mean);
        let part = |v: Vec3| v.over(white);
        let sun = self.sun().map(|s| (s.direction(), s.irradiance()));
        let lamps = lights.practicals().iter().map(|lamp| {
            let offset = lamp.at().vector() - place.vector();
            let distance = units::Metres::new(offset.length()).unwrap_or_default();
            // At a lamp's very middle the light has no direction: from the camera, then.
            (offset.unit().unwrap_or(self.towards), lamp.intensity() * lamp.falloff(distance))
        });
        let shine = |(towards, light): (Vec3, Vec3)| Shine {
            towards,
            light: part(light),
            round: optics::lights::on_cylinder(towards, self.viewer),
        };
        let sky = lights.sky();
        let below = part(lights.ground_reflectance().times(level));
        let upright = part(sky.upright());
        Some(Here {
            round: upright + below * 0.5,
            sky: [part(sky.level()), upright],
            below,
            lights: sun.into_iter().chain(lamps).map(shine).collect(),
        })
    }

    /// The world's normal of a surface that looks so far to the shot's right and up, as parts of a unit vector.
    #[must_use]
    pub fn normal(&self, right: f64, up: f64) -> Vec3 {
        let unit = |v: Vec3| v.unit().unwrap_or_default();
        let towards = (1.0 - right * right - up * up).max(0.0).sqrt();
        unit(self.right) * right + unit(self.up) * up + self.towards * towards
    }

    /// What a white card read in the studio at a height: on straight lines between the heights that were read.
    fn white(&self, height: f64) -> Vec3 {
        let at = self.readings.iter().position(|(h, _)| *h >= height);
        match at {
            Some(i) if i > 0 => {
                let ((lo, a), (hi, b)) = (self.readings[i - 1], self.readings[i]);
                let t = if hi > lo { (height - lo) / (hi - lo) } else { 0.0 };
                a + (b - a) * t
            }
            Some(_) => self.readings.first().map_or(Vec3::splat(1.0), |r| r.1),
            None => self.readings.last().map_or(Vec3::splat(1.0), |r| r.1),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use optics::{Lights, Practical, Sky};
    use units::Metres;

    fn lit(lights: Lights, mean: Vec3) -> Lit {
        Lit {
            to_plane: Mat3([[0.01, 0.0, -1.0], [0.0, -0.01, 2.0], [0.0, 0.0, 1.0]]),
            foot: Vec3::new(0.0, 0.0, 5.0),
            right: Vec3::new(1.0, 0.0, 0.0),
            up: Vec3::new(0.0, 1.0, 0.0),
            towards: Vec3::new(0.0, 0.0, -1.0),
            viewer: Vec3::new(0.0, 0.0, -1.0),
            lights,
            readings: vec![(0.0, Vec3::splat(1.0)), (2.0, Vec3::splat(0.5))],
            mean,
            blockers: Vec::new(),
        }
    }

    #[test]
    fn every_normal_reads_what_a_card_does() {
        let sky = Sky::new(Vec3::splat(0.6), Vec3::splat(0.3)).unwrap();
        let sun = Sun::new(Vec3::new(0.4, 0.3, -0.5), Vec3::new(2.0, 1.8, 1.5), Sun::DIAMETER).unwrap();
        let at = Point::new(Metres::of(1.5), Metres::of(1.2), Metres::of(4.5));
        let lamp = Practical::new(at, Vec3::new(1.0, 0.7, 0.3), Metres::of(0.1)).unwrap();
        let lights = Lights::new(sky, Some(sun), Vec3::splat(0.2), vec![lamp]).unwrap();
        let mean = Vec3::new(2.0, 1.5, 1.0);
        let lit = lit(lights.clone(), mean);
        // Column 150, row 100: half a metre right of the foot, a metre up, where the white card read 0.75.
        let here = lit.here(150.0, 100.0).unwrap();
        let place = Point::new(Metres::of(0.5), Metres::of(1.0), Metres::of(5.0));
        for (r, u) in [(0.0, 0.0), (0.5, 0.0), (-0.5, 0.3), (0.0, -0.4)] {
            let normal = lit.normal(r, u);
            let wanted = lights.on_card(place, normal, 1.0).over(mean * 0.75);
            assert!((here.on(normal, 1.0, |_| 1.0) - wanted).length() < 1e-12, "{r} {u}");
        }
        // Straight before the camera the cylinder is seen as the piece is.
        let here = lit.here(100.0, 100.0).unwrap();
        let place = Point::new(Metres::ZERO, Metres::of(1.0), Metres::of(5.0));
        let round = lights.on_cylinder(place, 1.0).over(mean * 0.75);
        assert!((here.on(lit.normal(0.3, 0.0), 0.0, |_| 1.0) - round).length() < 1e-12);
    }
}
