//! A piece on its mark: every quantity that follows from it, as computed and as the artist leaves it.

use crate::facing::{self, Sight};
use crate::frame::Frame;
use crate::illumination::{self, Illumination};
use crate::in_shot::{self, SeenInShot};
use crate::measured::Measured;
use crate::snag::Snag;
use crate::water;
use optics::{Depth, Plane, Point};
use scene::{Basis, CutOut, CutOutId, Piece, PieceId, PracticalId, Scene, Stance, Target};
use std::collections::BTreeMap;
use units::{Degrees, Mat3, Metres, Vec3, math};

/// A quantity as computed from the mark, and as it is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Figure<T> {
    /// From the mark alone.
    pub computed: T,
    /// With what the artist adds.
    pub result: T,
}

/// A piece on its mark.
#[derive(Clone, PartialEq, Debug)]
pub struct Standing {
    /// Which piece.
    pub id: PieceId,
    /// Its foot, on the stage.
    pub foot: Point,
    /// Of the level under it.
    pub level: Metres,
    /// Before the lens.
    pub depth: Depth,
    /// The view it shows, which facing may have chosen.
    pub cutout: CutOutId,
    /// Whether that view's mirror image.
    pub mirrored: bool,
    /// By how much it misses what it should face.
    pub miss: Option<Degrees>,
    /// From where it is seen on its mark: the bearing of what it faces, or of its view where it faces nothing.
    pub wanted: Sight,
    /// How much farther down its view looks at it than the picture's camera does; `None` where nobody knows.
    pub miss_in_height: Option<Degrees>,
    /// Real height, from the foot to the top of the solid part.
    pub height: Metres,
    /// Picture pixels to a metre at the foot.
    pub size: Figure<f64>,
    /// Diameter of the blur disc that is added, in picture pixels.
    pub defocus: Figure<f64>,
    /// Gain on the shot, in stops of luminance.
    pub light: Figure<f64>,
    /// Colour of that gain: linear RGB of luminance 1.
    pub colour: Figure<Vec3>,
    /// Share of haze, 0 to 1.
    pub haze: Figure<f64>,
    /// Share of the sun that its shadow takes, 0 to 1 of what a full shadow takes.
    pub shadow: Figure<f64>,
    /// From metres (right, up) in the piece's own plane, at its real size, to homogeneous picture pixels.
    pub to_picture: Mat3,
    /// From metres (right, up) in that plane to the shot's pixels.
    pub to_shot: Mat3,
}

/// Where every piece's foot is, attachments followed; pieces whose carrier is missing are left out.
#[must_use]
pub fn feet(scene: &Scene) -> BTreeMap<PieceId, (Point, Metres)> {
    let mut feet = BTreeMap::new();
    for id in scene.pieces().keys() {
        foot(scene, *id, &mut feet);
    }
    feet
}

/// By a loop: attachments may be nested deeper than a stack goes.
fn foot(scene: &Scene, id: PieceId, feet: &mut BTreeMap<PieceId, (Point, Metres)>) {
    let mut carried = Vec::new();
    let mut at = Some(id);
    // The scene refuses circles of attachments, so this ends.
    while let Some(id) = at.filter(|id| !feet.contains_key(id)) {
        let Some(piece) = scene.pieces().get(&id) else { return };
        carried.push((id, piece));
        at = piece.attached_to;
    }
    for (id, piece) in carried.into_iter().rev() {
        let mark = piece.mark;
        let (base, level) = match piece.attached_to {
            Some(parent) => feet[&parent],
            None => {
                let level =
                    mark.level.and_then(|l| scene.levels().get(&l)).map_or(Metres::ZERO, |l| l.height);
                (Point::new(Metres::ZERO, level, Metres::ZERO), level)
            }
        };
        feet.insert(id, (Point::new(base.x + mark.x, base.y + mark.y, base.z + mark.z), level));
    }
}

/// A piece's turn in its plane, about its foot: clockwise in the picture, as metres right and up see it.
pub(crate) fn turned(turn: Degrees) -> Mat3 {
    let turn = math::radians(turn.get());
    let (sin, cos) = (math::sin(turn), math::cos(turn));
    Mat3([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
}

/// What all pieces of a picture share.
pub struct Stage<'a> {
    /// The picture.
    pub scene: &'a Scene,
    /// Its camera.
    pub frame: &'a Frame,
    /// Its lights.
    pub light: &'a Illumination,
    /// What was measured in its photographs.
    pub measured: &'a Measured,
    /// Where the pieces stand.
    pub feet: &'a BTreeMap<PieceId, (Point, Metres)>,
}

impl Stage<'_> {
    /// Puts a piece on its mark. `None`, and a snag that says why, where it cannot be drawn.
    pub fn stand(&self, id: PieceId, piece: &Piece, snags: &mut Vec<Snag>) -> Option<Standing> {
        let Some(&(foot, level)) = self.feet.get(&id) else {
            snags.push(Snag {
                what: "is attached to a piece that is not there".to_owned(),
                place: self.scene.called(id),
                piece: Some(id),
                remedy: "attach it to another piece or to none".to_owned(),
            });
            return None;
        };
        self.stand_at(id, piece, (foot, level), snags)
    }

    /// The same for a piece whose foot is there, on a level of that height, whether the picture has it or not.
    pub fn stand_at(
        &self,
        id: PieceId,
        piece: &Piece,
        (foot, level): (Point, Metres),
        snags: &mut Vec<Snag>,
    ) -> Option<Standing> {
        let mut snag = |what: String, remedy: &str| {
            snags.push(Snag {
                what,
                place: self.scene.called(id),
                piece: Some(id),
                remedy: remedy.to_owned(),
            });
        };
        let camera = &self.frame.camera;
        let Some(depth) = camera.depth(foot) else {
            snag("stands behind the camera".to_owned(), "move its mark away from the camera (larger z)");
            return None;
        };
        let (cutout_id, mirrored, miss, bearing) = self.view(id, piece, foot);
        let cutout = self.scene.cutouts().get(&cutout_id)?;
        let Some(&cut) = self.measured.cuts.get(&cutout_id) else {
            snag(
                format!("has no picture: the shot or matte of {} cannot be read", cutout.name),
                "bring the file back, or give the piece another cut-out",
            );
            return None;
        };
        let Some(SeenInShot { to_shot, per_metre: shot_per_metre, height, .. }) =
            in_shot::seen(self.scene, cutout, &cut, piece.stance)
        else {
            if cut.covered.is_empty() {
                let what = format!("shows nothing: nothing of {} is left", cutout.name);
                snag(what, "take back what removed it, or give the piece another cut-out");
            } else {
                snag("has no height: its foot lies above its top".to_owned(), "set the foot of its cut-out");
            }
            return None;
        };
        let own = facing::sight(self.scene, self.measured, cutout_id, piece.stance);
        let wanted = Sight {
            bearing: bearing.or_else(|| Some(own?.bearing)).unwrap_or_default(),
            height: self.height_of_view(foot, height),
        };
        let miss_in_height = own.and_then(|own| Degrees::new(own.height?.get() - wanted.height?.get()));
        let Some(plane) = self.plane(piece, foot) else {
            snag("stands straight under the camera".to_owned(), "move its mark away from the camera");
            return None;
        };

        // Size: F / d at the foot, against the shot's own pixels.
        let per_metre = camera.scale(depth).get();
        let size = Figure {
            computed: per_metre,
            result: match piece.rows.size.basis {
                Basis::Computed => per_metre * piece.rows.size.nudge.get(),
                Basis::Pinned(pinned) => pinned.get(),
                Basis::AsPhotographed => shot_per_metre * piece.rows.size.nudge.get(),
            },
        };
        let factor = size.result / size.computed;
        if !(factor > 0.0 && factor.is_finite()) {
            snag("has no size".to_owned(), "give its size row a factor above 0");
            return None;
        }
        let flip = if mirrored { -1.0 } else { 1.0 };
        let to_picture = plane * turned(piece.turn) * Mat3::scaling(factor * flip, factor);

        let defocus = self.defocus(piece, cutout, depth, size.result / shot_per_metre);
        let (light, colour) = self.light_on(id, piece, cutout, foot, height, snags);
        let share = self.scene.haze().map_or(0.0, |h| 1.0 - h.transmission(depth));
        let haze = Figure {
            computed: share,
            result: match piece.rows.haze.basis {
                Basis::Computed => share * piece.rows.haze.nudge.get(),
                Basis::Pinned(pinned) => pinned,
                Basis::AsPhotographed => 0.0,
            }
            .clamp(0.0, 1.0),
        };
        let shadow = Figure {
            computed: 1.0,
            result: match piece.rows.shadow.basis {
                Basis::Computed => piece.rows.shadow.nudge.get(),
                Basis::Pinned(pinned) => pinned,
                Basis::AsPhotographed => 0.0,
            }
            .clamp(0.0, 1.0),
        };
        Some(Standing {
            id,
            foot,
            level,
            depth,
            cutout: cutout_id,
            mirrored,
            miss,
            wanted,
            miss_in_height,
            height,
            size,
            defocus,
            light,
            colour,
            haze,
            shadow,
            to_picture,
            to_shot,
        })
    }

    /// Where a lamp is, whether it shines or is dark in the wings.
    #[must_use]
    pub fn lamp_at(&self, id: PracticalId) -> Option<Point> {
        let foot = |piece| self.feet.get(&piece).map(|f| f.0);
        illumination::lamp_at(self.scene.practicals().get(&id)?, &foot)
    }

    /// How far down the camera looks at a thing of this height that stands there.
    fn height_of_view(&self, foot: Point, height: Metres) -> Option<Degrees> {
        let over = self.frame.camera.viewpoint().height - foot.y;
        let away = Metres::new(math::hypot(foot.x.get(), foot.z.get()))?;
        facing::height_of_view(over, away, height)
    }

    /// The view a piece shows: its own cut-out, or the one that faces its target best; by how much it misses that, and the bearing that
    /// it should have.
    fn view(
        &self,
        id: PieceId,
        piece: &Piece,
        foot: Point,
    ) -> (CutOutId, bool, Option<Degrees>, Option<Degrees>) {
        let own = (piece.cutout, piece.mirrored, None, None);
        let Some(target) = piece.facing else { return own };
        let origin = Point::default();
        let wanted = match target {
            Target::Lens => Some(Degrees::ZERO),
            Target::Away => Some(Degrees::of(180.0)),
            Target::Point(p) => facing::wanted(foot, p),
            Target::Piece(other) if other != id => {
                self.feet.get(&other).and_then(|(p, _)| facing::wanted(foot, *p))
            }
            Target::Piece(_) => facing::wanted(foot, origin),
            Target::Practical(lamp) => self.lamp_at(lamp).and_then(|at| facing::wanted(foot, at)),
        };
        let Some(bearing) = wanted else { return own };
        // Which view it is tells nothing of how tall the thing is, but for what its shot says.
        let tall = self.scene.cutouts().get(&piece.cutout).and_then(|cutout| {
            let cut = self.measured.cuts.get(&piece.cutout)?;
            in_shot::seen(self.scene, cutout, cut, piece.stance)
        });
        let height = tall.and_then(|tall| self.height_of_view(foot, tall.height));
        let wanted = Sight { bearing, height };
        match facing::nearest(self.scene, self.measured, (piece.cutout, piece.stance), wanted) {
            Some(view) => (view.cutout, view.mirrored, Some(view.miss), Some(bearing)),
            None => own,
        }
    }

    /// Right and up of the plane a piece stands in, on the stage: both of length 1, leaning as it does.
    pub(crate) fn directions(&self, piece: &Piece, foot: Point) -> Option<(Vec3, Vec3)> {
        let (right, up) = match piece.stance {
            Stance::Upright | Stance::Hanging => {
                let plane = Plane::upright(foot)?;
                (plane.right(), plane.up())
            }
            Stance::FacingLens => {
                let plane = Plane::facing_lens(&self.frame.camera, foot);
                (plane.right(), plane.up())
            }
            Stance::Lying => {
                let plane = Plane::upright(foot)?;
                let [x, _, z] = plane.right().0;
                (plane.right(), Vec3::new(-z, 0.0, x))
            }
            Stance::Wall => (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0)),
        };
        let lean = math::radians(piece.lean.get());
        // The plane's normal that points away from the lens: up x right (left-handed axes: x right, y up, z away).
        let [rx, ry, rz] = right.0;
        let [ux, uy, uz] = up.0;
        let normal = Vec3::new(ry * uz - rz * uy, rz * ux - rx * uz, rx * uy - ry * ux);
        Some((right, up * math::cos(lean) + normal * math::sin(lean)))
    }

    /// The mirror image of a piece's plane in a level: as `to_picture` of what stands there.
    pub(crate) fn mirrored_plane(&self, piece: &Piece, stands: &Standing, level: Metres) -> Option<Mat3> {
        let over = water::turned_over(level);
        let (right, up) = self.directions(piece, stands.foot)?;
        let foot = Point::from_vector(over(stands.foot.vector(), 1.0))?;
        let plane = self.seen(foot, (over(right, 0.0), over(up, 0.0)))?;
        let factor = stands.size.result / stands.size.computed;
        let flip = if stands.mirrored { -1.0 } else { 1.0 };
        Some(plane * turned(piece.turn) * Mat3::scaling(factor * flip, factor))
    }

    /// The plane a piece stands in, from metres (right, up) to homogeneous picture pixels.
    fn plane(&self, piece: &Piece, foot: Point) -> Option<Mat3> {
        self.seen(foot, self.directions(piece, foot)?)
    }

    /// A plane with such a right and up, from metres along them to homogeneous picture pixels.
    fn seen(&self, foot: Point, (right_of_it, up_of_it): (Vec3, Vec3)) -> Option<Mat3> {
        let camera = &self.frame.camera;
        // Pictures of the stage's directions: right and away from a level, up from an upright plane.
        let level = Plane::level(foot.y).to_picture(camera);
        let column = |m: Mat3, c: usize| Vec3(m.0.map(|row| row[c]));
        let (right, away) = (column(level, 0), column(level, 1));
        let ahead = Point::new(Metres::ZERO, Metres::ZERO, Metres::of(1.0));
        let up = column(Plane::upright(ahead)?.to_picture(camera), 1);
        let image = |v: Vec3| right * v.0[0] + up * v.0[1] + away * v.0[2];
        let origin = camera_place(camera, foot)?;
        Some(Mat3::columns(image(right_of_it), image(up_of_it), origin))
    }

    fn defocus(&self, piece: &Piece, cutout: &CutOut, depth: Depth, scale: f64) -> Figure<f64> {
        let disc = self.scene.lens().disc(depth, &self.frame.camera).get() * self.scene.depth_scale().get();
        // Discs add as the squares of their diameters do; what the shot brings along need not be added again.
        let own = cutout.facts.defocus.map_or(0.0, |d| d.get() * scale);
        let computed = (disc * disc - own * own).max(0.0).sqrt();
        let result = match piece.rows.defocus.basis {
            Basis::Computed => computed * piece.rows.defocus.nudge.get(),
            Basis::Pinned(pinned) => pinned.get(),
            Basis::AsPhotographed => 0.0,
        };
        Figure { computed, result: result.max(0.0) }
    }

    /// Gain on a shot: the light at its mark over the shot's own reading of white.
    fn light_on(
        &self,
        id: PieceId,
        piece: &Piece,
        cutout: &CutOut,
        foot: Point,
        height: Metres,
        snags: &mut Vec<Snag>,
    ) -> (Figure<f64>, Figure<Vec3>) {
        let primaries = self.scene.format().primaries;
        let luminance = illumination::luminance(primaries);
        let gain = match cutout.kind {
            // What shone by itself is not lit.
            scene::CutOutKind::Additive => Vec3::splat(1.0),
            scene::CutOutKind::Solid => {
                let here = self.light.lights.on_cylinder(illumination::middle(foot, height), 1.0);
                let reading = self.reading(cutout, height).unwrap_or_else(|| self.anchor());
                Vec3(std::array::from_fn(|c| if reading.0[c] > 0.0 { here.0[c] / reading.0[c] } else { 0.0 }))
            }
        };
        let level = gain.dot(luminance).max(1e-9);
        let computed_colour = gain * (1.0 / level);
        let computed = math::log2(level);
        let rows = &piece.rows;
        let light = Figure {
            computed,
            result: match rows.light.basis {
                Basis::Computed => computed + rows.light.nudge.get(),
                Basis::Pinned(pinned) => pinned.get(),
                Basis::AsPhotographed => rows.light.nudge.get(),
            },
        };
        let white = self.scene.stage().white_balance;
        let mut shifted = |warmth: units::Mired, tint: f64| {
            illumination::shift(white, warmth, tint, primaries).unwrap_or_else(|_| {
                snags.push(Snag {
                    what: "its warmth is beyond any colour of light".to_owned(),
                    place: format!("{}, warmth", self.scene.called(id)),
                    piece: Some(id),
                    remedy: "nudge its warmth less, or pin it between 1000 and 25000 K".to_owned(),
                });
                Vec3::splat(1.0)
            })
        };
        let base = match rows.warmth.basis {
            Basis::Computed => computed_colour,
            Basis::Pinned(pinned) => shifted(pinned.warmth, pinned.tint),
            Basis::AsPhotographed => Vec3::splat(1.0),
        };
        let nudge = rows.warmth.nudge;
        let pinned = matches!(rows.warmth.basis, Basis::Pinned(_));
        let nudged = if pinned || nudge == scene::Warmth::default() {
            base
        } else {
            base.times(shifted(nudge.warmth, nudge.tint))
        };
        let kept = nudged.dot(luminance);
        let result = if kept > 0.0 { nudged * (1.0 / kept) } else { Vec3::splat(1.0) };
        (light, Figure { computed: computed_colour, result })
    }

    /// What a perfect white card reads in the shot at the piece's middle.
    fn reading(&self, cutout: &CutOut, height: Metres) -> Option<Vec3> {
        self.reading_at(cutout, height * 0.5)
    }

    /// The same at a height; a straight line between the set-up's heights.
    pub(crate) fn reading_at(&self, cutout: &CutOut, at: Metres) -> Option<Vec3> {
        let set_up = self.scene.set_ups().get(&cutout.facts.set_up?)?;
        let above = set_up.white_readings.iter().position(|r| r.height >= at);
        let readings = &set_up.white_readings;
        match above {
            Some(0) => readings.first().map(|r| r.reading),
            Some(i) => {
                let (lo, hi) = (&readings[i - 1], &readings[i]);
                let span = hi.height - lo.height;
                let t = if span > Metres::ZERO { (at - lo.height) / span } else { 0.0 };
                Some(lo.reading + (hi.reading - lo.reading) * t)
            }
            None => readings.last().map(|r| r.reading),
        }
    }

    /// All of them, by height in metres; none where its set-up has none.
    pub(crate) fn readings(&self, cutout: &CutOut) -> Option<Vec<(f64, Vec3)>> {
        let set_up = self.scene.set_ups().get(&cutout.facts.set_up?)?;
        let all: Vec<_> = set_up.white_readings.iter().map(|r| (r.height.get(), r.reading)).collect();
        (!all.is_empty()).then_some(all)
    }

    /// Stands in for a reading where a shot has none: the subject's own reading, or else the light at the subject's mark, so that
    /// the subject stays as it was photographed and the others follow it. Without a subject, the light of the sky on an
    /// upright card.
    pub(crate) fn anchor(&self) -> Vec3 {
        self.subjects_light().unwrap_or_else(|| self.photographed(self.light.lights.sky().upright()))
    }

    /// Daylight as it was photographed, from what is told of it.
    fn photographed(&self, told: Vec3) -> Vec3 {
        told.over(self.light.dusk)
    }

    fn subjects_light(&self) -> Option<Vec3> {
        let id = self.scene.subject()?;
        let &(foot, _) = self.feet.get(&id)?;
        let piece = self.scene.pieces().get(&id)?;
        let (cutout_id, ..) = self.view(id, piece, foot);
        let cutout = self.scene.cutouts().get(&cutout_id)?;
        let cut = self.measured.cuts.get(&cutout_id)?;
        let height = in_shot::seen(self.scene, cutout, cut, piece.stance)?.height;
        let here = || {
            let place = illumination::middle(foot, height);
            let all = self.light.lights.on_cylinder(place, 1.0);
            let daylight = self.light.lights.daylight().on_cylinder(place, 1.0);
            all - daylight + self.photographed(daylight)
        };
        Some(self.reading(cutout, height).unwrap_or_else(here))
    }
}

/// A place in homogeneous picture pixels (third coordinate: depth).
fn camera_place(camera: &optics::Camera, place: Point) -> Option<Vec3> {
    let seen = camera.project(place)?;
    let depth = seen.depth.metres().get();
    Some(Vec3::new(seen.u * depth, seen.v * depth, depth))
}
