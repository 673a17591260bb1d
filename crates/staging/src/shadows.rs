//! Shadows on the level under each piece: of the sun, of lamps, and of the sky that it hides (docs/model.md, *Shadow*).

use crate::bounds;
use crate::layout::{Around, Blocker, Cut, LightOf, Pool, Shadow, Taken};
use crate::measured::{GIRTHS, MeasuredCut};
use crate::standing::{Stage, Standing, turned};
use optics::{Practical, Sun};
use scene::Stance;
use units::{Degrees, Mat3, Metres, PxRect, Vec3, math};

/// How many points stand for the sun's disc. With 16 the steps between their shadows are narrower than the
/// penumbra by a factor of four, less than the level's own texture shows.
const POINTS: usize = 16;
/// How many stand for a lamp, whose shadows are softer.
const LAMP_POINTS: usize = 24;

/// Depth of a thing to its width, seen from above as an ellipse: what throws a shadow sideways is so much narrower. Between 0.5 and 0.8
/// it hardly matters to path-traced people, posts and plants (own choice).
const DEPTH: f64 = 0.65;
/// Strands do not stand in one plane: their shadows are as soft as that, in metres (own choice by path-traced plants).
const STRANDS: f64 = 0.015;
/// How deep within itself a thing throws a lamp's shadow is not known better than that, in metres (own choice by path-traced scenes).
const UNKNOWN: f64 = 0.05;
/// What stands in the light of a piece is at least so soft: pixels of its shot, and a share of its longer side.
const FINEST: (f64, f64) = (2.0, 400.0);
/// A piece that a lamp shines in throws no shadow of it: nearer to the lamp than so many of its radii.
const WITHIN: f64 = 3.0;
/// Where less of the sky than that is hidden is the skirt (own choice: the eye hardly finds where such a one ends).
const SKIRT: f64 = 0.08;
/// Where more of the sky than that is hidden, the thing itself stands: no lamp shines in there from any side either.
const UNDER: f64 = 0.5;

/// What a piece takes of the lights on its level. `pools` are the lamps of the layout, with their places among the lights'.
pub(crate) fn of_piece(thrower: &Thrower<'_>, pools: &[(usize, Pool)]) -> Vec<Shadow> {
    let strength = thrower.piece.shadow.result;
    let lights = &thrower.stage.light.lights;
    let sun = lights.sun().filter(|sun| sun.direction().0[1] > 0.0);
    let of_sun = sun.and_then(|sun| thrower.of_sun(sun));
    let of_lamps = pools
        .iter()
        .enumerate()
        .filter_map(|(at, (n, _))| Some((LightOf::Lamp(at), thrower.of_lamp(lights.practicals().get(*n)?)?)));
    let thrown = of_sun.map(|maps| (LightOf::Sun, maps)).into_iter().chain(of_lamps);
    let mut all: Vec<Shadow> = thrown.filter_map(|(of, maps)| thrower.shadow(of, &maps, strength)).collect();
    let lamps = (0..pools.len()).map(LightOf::Lamp);
    all.extend(thrower.contact(lamps, strength));
    all
}

/// A piece as it throws shadows.
pub(crate) struct Thrower<'a> {
    stage: &'a Stage<'a>,
    piece: &'a Standing,
    cut: Cut,
    measured: &'a MeasuredCut,
    stance: Stance,
    lean: Degrees,
    /// From picture pixels to metres on its level.
    to_level: Mat3,
    /// From the stage's metres in its plane to the shot.
    to_shot: Mat3,
    /// How it stands in the way of each light.
    blockers: Vec<Blocker>,
}

impl<'a> Thrower<'a> {
    pub(crate) fn new(stage: &'a Stage<'a>, piece: &'a Standing, cut: Cut) -> Option<Self> {
        let placed = stage.scene.pieces().get(&piece.id)?;
        let measured = stage.measured.cuts.get(&piece.cutout)?;
        let to_level = optics::Plane::level(piece.level).to_picture(&stage.frame.camera).inverse()?;
        let flip = if piece.mirrored { -1.0 } else { 1.0 };
        // From the plane to the thing's own metres.
        let own = Mat3::scaling(flip, 1.0) * scale_back(piece) * turned(placed.turn).inverse()?;
        let to_shot = piece.to_shot * own;
        let (stance, lean) = (placed.stance, placed.lean);
        let mut thrower =
            Self { stage, piece, cut, measured, stance, lean, to_level, to_shot, blockers: Vec::new() };
        let lights = &stage.light.lights;
        let sun = lights.sun().filter(|sun| sun.direction().0[1] > 0.0);
        let of_sun = sun.and_then(|sun| thrower.blocker(0, Ok(sun.direction())));
        let lamps = lights.practicals().iter().enumerate();
        let of_lamps =
            lamps.filter_map(|(i, lamp)| thrower.blocker(usize::from(sun.is_some()) + i, Err(lamp)));
        thrower.blockers = of_sun.into_iter().chain(of_lamps).collect();
        Some(thrower)
    }

    /// How it stands in the way of each light, before whatever is behind it.
    pub(crate) fn blockers(&self) -> &[Blocker] {
        &self.blockers
    }

    /// Strands are softer.
    fn softness(&self) -> f64 {
        STRANDS * (1.0 - f64::from(self.measured.bulk))
    }

    /// Which piece it is.
    pub(crate) const fn piece(&self) -> &Standing {
        self.piece
    }

    /// In the way of the sun (`Ok`) or of a lamp (`Err`); `light` is its place among the lights.
    fn blocker(&self, light: usize, of: Result<Vec3, &Practical>) -> Option<Blocker> {
        let foot = self.piece.foot.vector();
        let (towards, soft) = match of {
            Ok(direction) => (direction, self.softness()),
            Err(lamp) => {
                let towards = lamp.at().vector() - foot;
                let near = math::hypot(towards.0[0], towards.0[2]) < WITHIN * lamp.radius().get();
                (!near).then_some((towards, math::hypot(self.softness(), UNKNOWN)))?
            }
        };
        let plane = self.plane(towards)?;
        let normal = cross(plane.up, plane.right).unit()?;
        let (along, across) = (cross(plane.up, normal), cross(normal, plane.right));
        let dual = |v: Vec3, of: Vec3| {
            let length = v.dot(of);
            (length.abs() > 1e-12).then(|| v * (1.0 / length))
        };
        let per_metre = self.to_shot.project(1.0, 0.0)?.0 - self.to_shot.project(0.0, 0.0)?.0;
        let longest = self.measured.covered.width().max(self.measured.covered.height()) as f64;
        Some(Blocker {
            light,
            cut: self.cut,
            foot,
            normal,
            right: dual(along, plane.right)?,
            up: dual(across, plane.up)?,
            to_shot: self.to_shot,
            softness: (soft * per_metre.abs()).max(FINEST.0).max(longest / FINEST.1),
        })
    }

    /// Where its cut-out is covered.
    pub(crate) const fn covered(&self) -> PxRect {
        self.measured.covered
    }

    /// From the level to the plane that throws, once for each point of the sun's disc.
    fn of_sun(&self, sun: &Sun) -> Option<Thrown> {
        let plane = self.plane(sun.direction())?;
        let offsets = spread(POINTS, self.softness());
        // Out of step with the sun's own points.
        let offset = |i: usize| offsets[i * 7 % POINTS];
        let maps = points(sun).into_iter().enumerate();
        let maps: Vec<Mat3> = maps
            .filter_map(|(i, light)| Some(offset(i) * plane.met_by_sun(self.piece.level, light)?))
            .collect();
        (!maps.is_empty()).then(|| Thrown { maps, soft: self.softness() })
    }

    /// The same for a lamp.
    fn of_lamp(&self, lamp: &Practical) -> Option<Thrown> {
        let at = lamp.at().vector();
        let towards = at - self.piece.foot.vector();
        let radius = lamp.radius().get();
        if math::hypot(towards.0[0], towards.0[2]) < WITHIN * radius {
            return None;
        }
        let plane = self.plane(towards)?;
        let map = plane.met_by_lamp(self.piece.level, at)?;
        // Half way between the lamp and the ground its disc looks half as wide.
        let soft = math::hypot(math::hypot(radius / 4.0, UNKNOWN), self.softness());
        let maps = spread(LAMP_POINTS, soft).into_iter().map(|offset| offset * map).collect();
        Some(Thrown { maps, soft })
    }

    /// The plane that throws the shadow of a light in this direction: upright or leaning as the piece does, turned to face the light, and
    /// as wide as an ellipse is from there. Flat things throw it from their own.
    fn plane(&self, light: Vec3) -> Option<Plane> {
        let foot = self.piece.foot.vector();
        let [lx, _, lz] = light.0;
        let (across, away) = (math::hypot(lx, lz), math::hypot(foot.0[0], foot.0[2]));
        if across < 1e-9 || away < 1e-9 {
            return None;
        }
        let facing = match self.stance {
            // As the picture's plane does.
            Stance::Wall => (0.0, -1.0),
            _ => (-foot.0[0] / away, -foot.0[2] / away),
        };
        let (lx, lz) = (lx / across, lz / across);
        let along = facing.0 * lx + facing.1 * lz;
        let solid = matches!(self.stance, Stance::Upright | Stance::Hanging);
        // Towards the camera, or away from it, where the light comes from behind the piece.
        let side = if along < 0.0 { -1.0 } else { 1.0 };
        let (nx, nz) = if solid { (side * lx, side * lz) } else { facing };
        let wide = if solid { (along * along + DEPTH * DEPTH * (1.0 - along * along)).sqrt() } else { 1.0 };
        let (mut rx, mut rz) = (nz, -nx);
        // Right stays on the camera's right.
        if rx * foot.0[2] - rz * foot.0[0] < 0.0 {
            (rx, rz) = (-rx, -rz);
        }
        let (sin, cos) =
            (math::sin(math::radians(self.lean.get())), math::cos(math::radians(self.lean.get())));
        let (rise, back) = if self.stance == Stance::Lying { (-sin, cos) } else { (cos, sin) };
        (rise >= LEAST_RISE).then(|| Plane {
            foot,
            right: Vec3::new(rx * wide, 0.0, rz * wide),
            up: Vec3::new(-rz * back, rise, rx * back),
        })
    }

    fn shadow(&self, of: LightOf, thrown: &Thrown, strength: f64) -> Option<Shadow> {
        let to_shot: Vec<Mat3> = thrown.maps.iter().map(|m| self.to_shot * *m * self.to_level).collect();
        let size = self.stage.scene.format().size;
        let bounds =
            to_shot.iter().map(|m| bounds::of_shot(m, self.measured.covered, size)).reduce(PxRect::union)?;
        let soft = thrown.soft * self.piece.size.computed;
        let shadow = self.made(of, Taken::Thrown { cut: self.cut, to_shot }, bounds, strength);
        Some(Shadow { soft, ..shadow })
    }

    fn made(&self, of: LightOf, taken: Taken, bounds: PxRect, strength: f64) -> Shadow {
        let (disc, aperture) = (self.piece.defocus.result, self.stage.scene.lens().aperture());
        Shadow {
            piece: self.piece.id,
            of,
            taken,
            bounds,
            disc,
            aperture,
            strength,
            soft: 0.0,
            is_faint: false,
        }
    }

    /// The sky that it hides from the ground around it: close by, and in a faint skirt. Light that the skirt leaves, and what is close
    /// leaves of that, is what the whole leaves. Under the thing itself the lamps are hidden as well.
    fn contact(&self, lamps: impl Iterator<Item = LightOf>, strength: f64) -> Vec<Shadow> {
        let (mut close, mut skirts, mut under) = (Vec::new(), Vec::new(), Vec::new());
        for whole in self.hidden() {
            under.push(whole.map(|share| ((share - UNDER) / (1.0 - UNDER)).max(0.0)));
            skirts.push(whole.map(|share| share.min(SKIRT)));
            close.push(whole.map(|share| (share - SKIRT).max(0.0) / (1.0 - SKIRT)));
        }
        let close = self.contact_of(close, strength);
        let skirt = self.contact_of(skirts, strength).map(|skirt| Shadow { is_faint: true, ..skirt });
        let under = self.contact_of(under, strength);
        let of_lamps = lamps.filter_map(|of| Some(Shadow { of, ..under.clone()? }));
        of_lamps.chain(skirt).chain(close).collect()
    }

    fn contact_of(&self, mut around: Vec<Around<f64>>, strength: f64) -> Option<Shadow> {
        around.retain(|a| a.values.iter().any(|share| *share > 0.0));
        let size = self.stage.scene.format().size;
        let seen = around.iter().map(|Around { centre: [x, z], extent, .. }| {
            bounds::of_sides(&self.to_level, [[x - extent, x + extent], [z - extent, z + extent]], size)
        });
        let bounds = seen.reduce(PxRect::union)?;
        let taken = Taken::Hidden { to_level: self.to_level, around };
        Some(self.made(LightOf::Sky, taken, bounds, strength))
    }

    /// Shares of the sky that it hides, which come together.
    fn hidden(&self) -> Vec<Around<f64>> {
        if !matches!(self.stance, Stance::Upright | Stance::FacingLens) {
            return Vec::new();
        }
        let Some(bands) = self.bands() else { return Vec::new() };
        let height = self.piece.height.get() * self.piece.size.result / self.piece.size.computed;
        let lift = self.piece.foot.y.get() - self.piece.level.get();
        // What stands on the ground by itself, and what hangs over it.
        let (lower, upper): (Vec<Band>, Vec<Band>) =
            bands.into_iter().partition(|band| band.low < lift + GIRTHS[2] * height - 1e-9);
        [lower, upper].iter().filter_map(|bands| hidden(bands, 3.0 * height)).collect()
    }

    /// It in bands of its height.
    fn bands(&self) -> Option<Vec<Band>> {
        let to_plane = self.piece.to_shot.inverse()?;
        let factor = self.piece.size.result / self.piece.size.computed;
        let flip = if self.piece.mirrored { -1.0 } else { 1.0 };
        let height = self.piece.height.get() * factor;
        let lift = self.piece.foot.y.get() - self.piece.level.get();
        let foot = self.piece.foot.vector();
        let away = math::hypot(foot.0[0], foot.0[2]);
        if away < 1e-9 || height <= 0.0 {
            return None;
        }
        let right = (foot.0[2] / away, -foot.0[0] / away);
        let flat = self.stance == Stance::FacingLens;
        let per_metre = to_plane.project(1.0, 0.0)?.0 - to_plane.project(0.0, 0.0)?.0;
        let mut bands = Vec::new();
        let mut widest = 0.0f64;
        for (n, [width, middle]) in self.measured.girths.iter().enumerate() {
            let (low, high) = (lift + GIRTHS[n] * height, lift + GIRTHS[n + 1] * height);
            let wide = f64::from(*width) * per_metre.abs() * factor;
            if wide <= 0.0 || high <= 0.0 {
                continue;
            }
            let row = f64::from(self.measured.solid.y1() as f32);
            let off = to_plane.project(f64::from(*middle), row)?.0 * flip * factor;
            // The mean width of an elliptic plan. Of a thin card, what is seen of it from all sides.
            let round = wide * if flat { 2.0 / std::f64::consts::PI } else { f64::midpoint(1.0, DEPTH) };
            let over =
                if flat || low <= 0.0 { 0.0 } else { (round * round - widest * widest).max(0.0) / 4.0 };
            widest = widest.max(round);
            let centre = [foot.0[0] + off * right.0, foot.0[2] + off * right.1];
            bands.push(Band { centre, width: round, low: low.max(0.0), high, over });
        }
        Some(bands)
    }
}

/// A band of a piece's height as the sky sees it.
struct Band {
    centre: [f64; 2],
    width: f64,
    low: f64,
    high: f64,
    /// Square of the radius by which it hangs over what is below it.
    over: f64,
}

/// The share of an even sky that bands hide from the level around their middle, as far as it is more than nothing.
///
/// Form factors of a level element to an upright rectangle that faces it, A(low) - A(high) with
/// A(h) = ρ/√(ρ²+h²) atan(w/2 / √(ρ²+h²)) / π, and to a level disc over it, R² l² / ((l²+ρ²)² + R² l²) (both from Howell's catalogue of
/// configuration factors, the second for small discs; from memory).
fn hidden(bands: &[Band], most: f64) -> Option<Around<f64>> {
    const NOTHING: f64 = 0.002;
    let width: f64 = bands.iter().map(|b| b.width * (b.high - b.low)).sum();
    if width <= 0.0 {
        return None;
    }
    let mean =
        |axis: usize| bands.iter().map(|b| b.centre[axis] * b.width * (b.high - b.low)).sum::<f64>() / width;
    let share = |distance: f64| {
        let wall = |h: f64, w: f64| {
            let far = math::hypot(distance, h);
            if far > 0.0 { distance / far * math::atan2(w / 2.0, far) / std::f64::consts::PI } else { 0.0 }
        };
        bands.iter().fold(0.0, |sum, b| {
            // Under the thing itself, as at its edge.
            let low = b.low * b.low;
            let over = b.over * low / ((low + distance * distance).powi(2) + b.over * low).max(1e-12);
            sum + (wall(b.low, b.width) - wall(b.high, b.width)).max(0.0) + over
        })
    };
    let mut extent = most;
    while extent > 0.05 && share(0.8 * extent) < NOTHING {
        extent *= 0.8;
    }
    Around::of([mean(0), mean(1)], extent, |d| Some(share(d)))
}

/// A shadow as it is thrown on the level.
struct Thrown {
    /// From the level to the plane that throws, once for each point of the light.
    maps: Vec<Mat3>,
    /// How soft it is in that plane: standard deviation in metres.
    soft: f64,
}

/// A plane that throws a shadow: from its foot, a metre of the thing to the right and one up, on the stage.
struct Plane {
    foot: Vec3,
    right: Vec3,
    up: Vec3,
}

impl Plane {
    /// From a level (x, z, 1) along a direction of light to metres (right, up).
    fn met_by_sun(&self, level: Metres, light: Vec3) -> Option<Mat3> {
        let [lx, ly, lz] = light.0;
        // Where a point of the plane falls, P - l (P_y - level)/l_y, turned round.
        let fallen =
            |p: Vec3, height: f64| Vec3::new(p.0[0] - lx / ly * height, p.0[2] - lz / ly * height, 0.0);
        let right = fallen(self.right, self.right.0[1]);
        let up = fallen(self.up, self.up.0[1]);
        let origin = fallen(self.foot, self.foot.0[1] - level.get()) + Vec3::new(0.0, 0.0, 1.0);
        Mat3::columns(right, up, origin).inverse()
    }

    /// The same for the light of a lamp: what is as high as the lamp, or higher, throws nothing on the level.
    fn met_by_lamp(&self, level: Metres, lamp: Vec3) -> Option<Mat3> {
        let high = lamp.0[1] - level.get();
        if high <= 0.0 {
            return None;
        }
        // Where a point falls, S + (P - S) (S_y - level)/(S_y - P_y), in homogeneous metres.
        let fallen = |p: Vec3, is_place: f64| {
            let w = lamp.0[1] * is_place - p.0[1];
            let axis = |i: usize| lamp.0[i] * w + (p.0[i] - lamp.0[i] * is_place) * high;
            Vec3::new(axis(0), axis(2), w)
        };
        Mat3::columns(fallen(self.right, 0.0), fallen(self.up, 0.0), fallen(self.foot, 1.0)).inverse()
    }
}

fn cross(a: Vec3, b: Vec3) -> Vec3 {
    let ([ax, ay, az], [bx, by, bz]) = (a.0, b.0);
    Vec3::new(ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx)
}

/// A piece drawn larger than it is stands there larger: metres on the stage to metres of the thing.
fn scale_back(piece: &Standing) -> Mat3 {
    let factor = piece.size.computed / piece.size.result;
    Mat3::scaling(factor, factor)
}

/// Least rise of a piece's plane that throws a shadow: what lies flat on the level covers its own.
const LEAST_RISE: f64 = 0.02;

/// Shifts of a plane by points spread as a Gaussian of this standard deviation, in metres: a sunflower whose rings hold equal shares.
fn spread(points: usize, deviation: f64) -> Vec<Mat3> {
    let golden = std::f64::consts::PI * (3.0 - 5.0f64.sqrt());
    (0..points)
        .map(|i| {
            let share = (i as f64 + 0.5) / points as f64;
            let r = deviation * (-2.0 * math::ln(1.0 - share)).sqrt();
            let angle = golden * i as f64;
            Mat3::translation(r * math::cos(angle), r * math::sin(angle))
        })
        .collect()
}

/// Directions to points spread evenly over the sun's disc: a sunflower of equal areas.
fn points(sun: &Sun) -> Vec<Vec3> {
    let l = sun.direction();
    let radius = math::tan(math::radians(sun.diameter().get() / 2.0));
    // Two directions square to l and to each other.
    let flat = math::hypot(l.0[0], l.0[2]);
    let a =
        if flat > 1e-9 { Vec3::new(l.0[2] / flat, 0.0, -l.0[0] / flat) } else { Vec3::new(1.0, 0.0, 0.0) };
    let b = Vec3::new(
        l.0[1] * a.0[2] - l.0[2] * a.0[1],
        l.0[2] * a.0[0] - l.0[0] * a.0[2],
        l.0[0] * a.0[1] - l.0[1] * a.0[0],
    );
    let golden = std::f64::consts::PI * (3.0 - 5.0f64.sqrt());
    (0..POINTS)
        .map(|i| {
            let r = radius * ((i as f64 + 0.5) / POINTS as f64).sqrt();
            let angle = golden * i as f64;
            l + a * (r * math::cos(angle)) + b * (r * math::sin(angle))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plane as `Thrower::plane` makes it, straight ahead of the camera.
    fn plane(lean: f64) -> Plane {
        let lean = math::radians(lean);
        Plane {
            foot: Vec3::new(0.0, 0.2, 6.0),
            right: Vec3::new(1.0, 0.0, 0.0),
            up: Vec3::new(0.0, math::cos(lean), math::sin(lean)),
        }
    }

    #[test]
    fn the_sun_throws_the_points_of_a_plane_where_they_fall() {
        let (level, light) = (Metres::of(0.1), Vec3::new(0.3, 0.5, -0.8));
        for lean in [0.0, 25.0, -40.0] {
            let plane = plane(lean);
            let m = plane.met_by_sun(level, light).unwrap();
            for (right, up) in [(0.0, 0.0), (0.4, 0.7), (-0.2, 1.5)] {
                let at =
                    optics::Point::from_vector(plane.foot + plane.right * right + plane.up * up).unwrap();
                let fallen = optics::shadow::of_point(at, light, level).unwrap();
                let (a, b) = m.project(fallen.x.get(), fallen.z.get()).unwrap();
                assert!((a - right).abs() < 1e-9 && (b - up).abs() < 1e-9, "{lean}: {a} {b}");
            }
        }
    }

    #[test]
    fn a_lamp_throws_them_away_from_itself() {
        let (level, lamp) = (Metres::of(0.1), Vec3::new(-0.8, 1.4, 4.5));
        let plane = plane(10.0);
        let m = plane.met_by_lamp(level, lamp).unwrap();
        for (right, up) in [(0.0, 0.0), (0.4, 0.7), (-0.2, 1.0)] {
            let p = plane.foot + plane.right * right + plane.up * up;
            // As far on as the lamp's height over the level is to its height over the point.
            let t = (lamp.0[1] - level.get()) / (lamp.0[1] - p.0[1]);
            let fallen = lamp + (p - lamp) * t;
            assert!((fallen.0[1] - level.get()).abs() < 1e-12);
            let (a, b) = m.project(fallen.0[0], fallen.0[2]).unwrap();
            assert!((a - right).abs() < 1e-9 && (b - up).abs() < 1e-9, "{a} {b}");
        }
        // What stands higher than the lamp falls nowhere: behind the lamp nothing of the plane is met.
        assert_eq!(m.project(-0.8, 3.0), None);
        assert!(plane.met_by_lamp(Metres::of(2.0), lamp).is_none());
    }

    #[test]
    fn a_wall_hides_half_the_sky_at_its_foot_and_nothing_far_away() {
        let long = Band { centre: [0.0, 0.0], width: 1e4, low: 0.0, high: 1e4, over: 0.0 };
        let around = hidden(&[long], 10.0).unwrap();
        assert!((around.at(0.05, 0.0) - 0.5).abs() < 1e-3);
        // A wall without end, as high as it is away, hides (1 - cos 45 degrees)/2.
        let wall = Band { centre: [0.0, 0.0], width: 1e6, low: 0.0, high: 2.0, over: 0.0 };
        let around = hidden(&[wall], 100.0).unwrap();
        assert!((around.at(2.0, 0.0) - (1.0 - 0.5f64.sqrt()) / 2.0).abs() < 2e-3);
        let post = Band { centre: [0.0, 0.0], width: 0.1, low: 0.0, high: 1.0, over: 0.0 };
        let around = hidden(&[post], 3.0).unwrap();
        assert!(around.extent < 3.0 && around.at(around.extent * 0.99, 0.0) < 0.003);
        assert!(hidden(&[], 3.0).is_none());
    }

    #[test]
    fn the_points_of_a_spread_are_as_far_apart_as_it_says() {
        let all = spread(400, 0.5);
        let mean = |f: &dyn Fn(f64, f64) -> f64| {
            all.iter().map(|m| f(m.0[0][2], m.0[1][2])).sum::<f64>() / all.len() as f64
        };
        assert!(mean(&|x, _| x).abs() < 0.01 && mean(&|_, y| y).abs() < 0.01);
        assert!(
            (mean(&|x, _| x * x).sqrt() - 0.5).abs() < 0.01
                && (mean(&|_, y| y * y).sqrt() - 0.5).abs() < 0.01
        );
    }

    #[test]
    fn the_points_of_the_sun_lie_within_its_disc_and_around_its_middle() {
        let sun = Sun::new(Vec3::new(0.3, 0.4, -0.5), Vec3::splat(1.0), Degrees::of(0.533)).unwrap();
        let middle = points(&sun).into_iter().fold(Vec3::default(), |a, b| a + b) * (1.0 / POINTS as f64);
        for p in points(&sun) {
            let cos = p.dot(sun.direction()) / p.length();
            assert!(math::degrees(math::acos(cos.min(1.0))) <= 0.267);
        }
        assert!((middle - sun.direction()).length() < 3e-4);
    }
}
