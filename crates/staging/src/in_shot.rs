//! How large a thing is that a shot shows, and where its foot is (docs/model.md, *How tall it is*).

use crate::measured::{MeasuredCut, Rim};
use optics::StudioCamera;
use scene::{CutOut, Facts, Scale, Scene, SetUp, Stance};
use units::{Mat3, Metres};

/// A thing as its shot shows it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SeenInShot {
    /// From metres right and up of its mark to the shot's pixels.
    pub to_shot: Mat3,
    /// The shot's pixels to a metre at its foot.
    pub per_metre: f64,
    /// From its foot to the top of its solid part.
    pub height: Metres,
    /// Column and row of its foot.
    pub foot: (f64, f64),
}

/// From what is known of a cut-out and its set-up. `None` where its foot lies above its top.
#[must_use]
pub fn seen(scene: &Scene, cutout: &CutOut, cut: &MeasuredCut, stance: Stance) -> Option<SeenInShot> {
    let facts = &cutout.facts;
    let set_up = facts.set_up.and_then(|id| scene.set_ups().get(&id));
    let top = cut.solid.y0() as f64;
    // The size of a thing that hangs is no matter of the floor.
    let stands = stance != Stance::Hanging;
    let by_camera = facts.scale.is_none().then(|| set_up.and_then(|s| camera(s, facts))).flatten();
    if let Some((camera, mark)) = by_camera.filter(|_| stands) {
        let stated = facts.foot.map(|(u, v)| (u.get(), v.get()));
        let row = stated.map_or_else(|| off_the_mark(&camera, mark, cut), |(_, v)| Some(v));
        let distance = row.and_then(|v| camera.distance_of(v)).unwrap_or(mark);
        let foot = stated.unwrap_or((cut.lowest, camera.foot_row(distance)?));
        let height =
            Metres::new(camera.height_at(distance, crown(&camera, cut))).filter(|h| h.get() > 0.0)?;
        let per_metre = camera.scale(distance)?.get();
        return Some(SeenInShot { to_shot: camera.plane(distance, foot.0), per_metre, height, foot });
    }
    let (u, v) = facts.foot.map_or((cut.lowest, cut.solid.y1() as f64), |(u, v)| (u.get(), v.get()));
    let above = v - top;
    let per_metre = match facts.scale {
        Some(Scale::PerMetre(scale)) => scale.get(),
        Some(Scale::Height(height)) => above / height.get(),
        None => above / Facts::HEIGHT.get(),
    };
    if !(per_metre > 0.0 && per_metre.is_finite()) {
        return None;
    }
    let height = Metres::new(above / per_metre)?;
    // What hangs is held at its top: the mark is there instead of at the foot.
    let held = if stands { v } else { top };
    let to_shot = Mat3([[per_metre, 0.0, u], [0.0, -per_metre, held], [0.0, 0.0, 1.0]]);
    Some(SeenInShot { to_shot, per_metre, height, foot: (u, v) })
}

/// The row of the foot of a thing that cannot stand on the mark: its lowest row is seen above the mark, or so far below it that not even a
/// thing as deep as it is wide reaches there.
fn off_the_mark(camera: &StudioCamera, mark: Metres, cut: &MeasuredCut) -> Option<f64> {
    /// Rows that make no difference, and as a share of the thing's.
    const ROWS: f64 = 2.0;
    const SHARE: f64 = 0.005;
    let (there, lowest) = (camera.foot_row(mark)?, cut.solid.y1() as f64);
    let some = ROWS + SHARE * cut.solid.height() as f64;
    let deep = camera.rim_rows(there, cut.solid.width() as f64).max(0.0);
    let is_off = lowest < there - some || lowest > there + deep + some;
    is_off.then(|| base(camera, cut))
}

/// The row of a thing's top above its mark. Of a round vessel that is seen from above the far rim is seen highest.
#[must_use]
pub fn crown(camera: &StudioCamera, cut: &MeasuredCut) -> f64 {
    let top = cut.solid.y0() as f64;
    top + rim(camera, cut.crown, top).unwrap_or(0.0)
}

/// The row of a thing's foot at its mark. Of a round one the near rim is seen lowest.
#[must_use]
pub fn base(camera: &StudioCamera, cut: &MeasuredCut) -> f64 {
    let foot = cut.solid.y1() as f64;
    foot - rim(camera, cut.base, foot).unwrap_or(0.0)
}

/// Rows from an end to the middle of its rim, where it is as deep as one that lies level would be.
fn rim(camera: &StudioCamera, rim: Option<Rim>, row: f64) -> Option<f64> {
    /// How far it may be off, as a factor, and rows that make no difference.
    const OFF: f64 = 1.8;
    const ROWS: f64 = 1.5;
    let rim = rim?;
    let level = camera.rim_rows(row, rim.width);
    let close = level > 0.0 && rim.rows < level * OFF + ROWS && level < rim.rows * OFF + ROWS;
    close.then_some(level)
}

/// The camera that a shot was taken with, by its set-up and what is known of the shot alone; and how far from it the mark is.
fn camera(set_up: &SetUp, facts: &Facts) -> Option<(StudioCamera, Metres)> {
    let shared = set_up.camera?;
    let camera = StudioCamera {
        eye_height: facts.eye_height.unwrap_or(shared.eye_height),
        pitch: facts.pitch.unwrap_or(shared.pitch),
        focal_px: facts.focal_px.unwrap_or(shared.focal_px),
        principal: facts.principal.unwrap_or(shared.principal),
    };
    Some((camera, facts.camera_distance.or(set_up.camera_distance)?))
}
