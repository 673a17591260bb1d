//! The three views of a picture as lines and points: what is drawn over the picture, on the ground plan under it, and in the section
//! beside it. Pixels are those of the picture's format, metres those of the stage.

use super::measure::Measures;
use optics::{Camera, Focus, Point};
use scene::{Scene, Stance};
use serde::Serialize;
use staging::standing::Standing;
use staging::{Resolved, frame};
use ts_rs::TS;
use units::{Metres, Vec3};

/// A picture in projection.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Projection {
    /// Of the picture.
    pub width_px: u32,
    /// As well.
    pub height_px: u32,
    /// Height of the camera above the ground.
    pub camera_height_m: f64,
    /// Where the horizon meets the picture's left and right edge, as rows.
    pub horizon_px: Option<[f64; 2]>,
    /// Distances that are marked on the ground, nearest first.
    pub ticks: Vec<Tick>,
    /// How far to the left and to the right the picture shows, to a metre away.
    pub field: [f64; 2],
    /// Focal length in picture pixels: a metre across, a metre away.
    pub focal_px: f64,
    /// What is sharp.
    pub sharp: Sharp,
    /// Every piece that stands.
    pub pieces: Vec<Stand>,
    /// Every lamp.
    pub lamps: Vec<LampStand>,
    /// Where the sun is.
    pub sun: Option<SunStand>,
    /// Heights of the ground's levels besides 0.
    pub levels: Vec<LevelStand>,
}

/// A distance that is marked on the ground.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Tick {
    /// Away.
    pub z_m: f64,
    /// Its row in the middle of the picture.
    pub row_px: f64,
}

/// What is sharp: distances before the lens.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Sharp {
    /// Focused at; none is infinity.
    pub at_m: Option<f64>,
    /// From here on a point is drawn no wider than two picture pixels ...
    pub from_m: f64,
    /// ... to here; none is infinity.
    pub to_m: Option<f64>,
}

/// A piece as it stands.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Stand {
    /// Its number.
    pub piece: u64,
    /// Its foot: to the right, above the ground, away.
    pub at_m: [f64; 3],
    /// Its real height.
    pub height_m: f64,
    /// Before the lens.
    pub depth_m: f64,
    /// Its foot in the picture.
    pub foot_px: [f64; 2],
    /// Its top in the picture, over the foot.
    pub top_px: [f64; 2],
    /// Whether it is held by another piece, and moves with it.
    pub is_attached: bool,
    /// Whether it stands upright on its foot.
    pub is_upright: bool,
}

/// A lamp as it stands.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct LampStand {
    /// Its number.
    pub lamp: u64,
    /// What it is called.
    pub name: String,
    /// To the right, above the ground, away.
    pub at_m: [f64; 3],
    /// In the picture, where that shows it.
    pub at_px: Option<[f64; 2]>,
    /// How far its light goes as it does from a lamp; none is without end.
    pub reach_m: Option<f64>,
}

/// Where the sun is.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct SunStand {
    /// Clockwise from straight away.
    pub bearing_deg: f64,
    /// Above the horizon.
    pub elevation_deg: f64,
}

/// A level of the ground.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct LevelStand {
    /// What it is called.
    pub name: String,
    /// Above the ground.
    pub height_m: f64,
}

/// Sharp is what a point is drawn no wider than, in picture pixels (own choice, no source).
const SHARP_PX: f64 = 2.0;

/// The three views of a picture.
///
/// None where its numbers make no camera; the line-up says why.
#[must_use]
pub fn projection(scene: &Scene, measures: &Measures, resolved: &Resolved) -> Option<Projection> {
    let size = scene.format().size;
    let camera = frame::frame(scene, measures.measured.backdrop).ok()?.camera;
    let (width, height) = (f64::from(size.width()), f64::from(size.height()));
    let (_, middle) = camera.principal();
    let slope = |u: f64| {
        let Vec3([x, _, z]) = camera.ray(u, middle);
        x / z
    };
    let sun = scene.lights().sun;
    Some(Projection {
        width_px: size.width(),
        height_px: size.height(),
        camera_height_m: camera.viewpoint().height.get(),
        horizon_px: [camera.horizon(0.0), camera.horizon(width)]
            .map(|v| v.is_finite().then_some(v))
            .into_iter()
            .collect::<Option<Vec<f64>>>()
            .and_then(|v| v.try_into().ok()),
        ticks: ticks(&camera, height),
        field: [slope(0.0), slope(width)],
        focal_px: camera.focal_px().get(),
        sharp: sharp(scene, &camera),
        pieces: resolved.standing.values().filter_map(|s| stand(scene, &camera, s)).collect(),
        lamps: lamps(scene, &camera),
        sun: sun.map(|s| SunStand { bearing_deg: s.bearing.get(), elevation_deg: s.height.get() }),
        levels: scene
            .levels()
            .values()
            .map(|l| LevelStand { name: l.name.clone(), height_m: l.height.get() })
            .collect(),
    })
}

/// Distances of one significant figure whose rows lie in the picture, not closer to each other than they can be read.
fn ticks(camera: &Camera, height: f64) -> Vec<Tick> {
    /// Least share of the picture's height between two (own choice).
    const APART: f64 = 0.06;
    const STEPS: [f64; 8] = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0];
    let mut found: Vec<Tick> = Vec::new();
    for ten in [0.1, 1.0, 10.0, 100.0] {
        for step in STEPS {
            let z_m = ten * step;
            let seen =
                Metres::new(z_m).and_then(|z| camera.project(Point { x: Metres::ZERO, y: Metres::ZERO, z }));
            let Some(seen) = seen else { continue };
            let is_apart = found.last().is_none_or(|last| last.row_px - seen.v > APART * height);
            if (0.0..=height).contains(&seen.v) && is_apart {
                found.push(Tick { z_m, row_px: seen.v });
            }
        }
    }
    found
}

/// Where a point is drawn no wider than so many pixels, by halving: wider and wider away from where the lens is focused.
fn sharp(scene: &Scene, camera: &Camera) -> Sharp {
    const NEAREST: f64 = 0.05;
    const FARTHEST: f64 = 1e5;
    let lens = scene.lens();
    // On the optical axis, so far before the lens.
    let axis = camera.ray(camera.principal().0, camera.principal().1);
    let lens_at = Vec3::new(0.0, camera.viewpoint().height.get(), 0.0);
    let disc = |d: f64| {
        let depth = Point::from_vector(lens_at + axis * d).and_then(|p| camera.depth(p));
        depth.map_or(f64::INFINITY, |depth| lens.disc(depth, camera).get() * scene.depth_scale().get())
    };
    let at_m = match lens.focus() {
        Focus::At(at) => Some(at.get()),
        Focus::Infinity => None,
    };
    let middle = at_m.unwrap_or(FARTHEST);
    let edge = |mut soft: f64, mut fine: f64| {
        for _ in 0..60 {
            let between = (soft * fine).sqrt();
            if disc(between) > SHARP_PX { soft = between } else { fine = between }
        }
        fine
    };
    let from_m = if disc(NEAREST) > SHARP_PX { edge(NEAREST, middle) } else { NEAREST };
    let to_m = (disc(FARTHEST) > SHARP_PX).then(|| edge(FARTHEST, middle));
    Sharp { at_m, from_m, to_m }
}

fn stand(scene: &Scene, camera: &Camera, s: &Standing) -> Option<Stand> {
    let piece = scene.pieces().get(&s.id)?;
    let foot = camera.project(s.foot)?;
    let top = s.to_picture * Vec3::new(0.0, s.height.get(), 1.0);
    let [u, v, w] = top.0;
    let [x, y, z] = s.foot.vector().0;
    Some(Stand {
        piece: s.id.number(),
        at_m: [x, y, z],
        height_m: s.height.get(),
        depth_m: s.depth.metres().get(),
        foot_px: [foot.u, foot.v],
        top_px: if w == 0.0 { [foot.u, foot.v] } else { [u / w, v / w] },
        is_attached: piece.attached_to.is_some(),
        is_upright: piece.stance == Stance::Upright,
    })
}

fn lamps(scene: &Scene, camera: &Camera) -> Vec<LampStand> {
    let feet = staging::standing::feet(scene);
    let each = scene.practicals().iter().filter_map(|(id, lamp)| {
        let from = lamp.on.map_or(Some(Vec3::default()), |on| feet.get(&on).map(|f| f.0.vector()))?;
        let at = Point::from_vector(from + lamp.at.vector())?;
        let seen = camera.project(at);
        Some(LampStand {
            lamp: id.number(),
            name: lamp.name.clone(),
            at_m: at.vector().0,
            at_px: seen.map(|s| [s.u, s.v]),
            reach_m: lamp.reach.map(Metres::get),
        })
    });
    each.collect()
}
