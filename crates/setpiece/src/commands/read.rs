//! Reading the backdrop: which photograph, and what is known of its viewpoint, lens and light.

use super::incoming::{self, Incoming};
use super::new::Extent;
use super::{Done, Error, Layer, carry_out, names, reframe};
use crate::{Picture, Timestamp};
use files::{Exif, Photograph, SubjectDistance};
use optics::field_of_view;
use optics::sightings::{self, Upright};
use optics::{Aperture, Camera, Focus, Haze, Lens, Viewpoint};
use pixels::Budget;
use scene::{
    Backdrop, Edit, Factor, Format, Glow, Level, LevelId, Origin, Put, Scene, SkyLight, SourceKind, Stage,
    Stated, SunLight, Surface, Window,
};
use std::path::Path;
use units::{Degrees, Kelvin, Metres, Millimetres, Pixels, PxSize, Vec3};

/// What the artist says of the backdrop. What is `None` stays as it is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Reading {
    /// Of the lens above the ground.
    pub camera_height: Option<Metres>,
    /// Positive looks down.
    pub pitch: Option<Degrees>,
    /// Positive is turned clockwise seen from behind.
    pub roll: Option<Degrees>,
    /// Pitch and roll from where the horizon runs in the photograph.
    pub horizon: Option<Horizon>,
    /// The camera's height from something of known height that stands on the ground, in the photograph's pixels.
    pub known: Option<(Upright, Metres)>,
    /// Focal length.
    pub focal: Option<Millimetres>,
    /// Width of the sensor that the photograph shows.
    pub sensor_width: Option<Millimetres>,
    /// Whether what is said of the camera is only agreed upon, not measured.
    pub certainty: Certainty,
    /// F-number.
    pub f_number: Option<f64>,
    /// What the lens is focused at.
    pub focus: Option<Focus>,
    /// Shape of the opening.
    pub aperture: Option<Aperture>,
    /// What every blur disc is multiplied by.
    pub depth: Option<Factor>,
    /// What the photograph is balanced for.
    pub white_balance: Option<Kelvin>,
    /// Light of the sky on a level card.
    pub sky_level: Option<Glow>,
    /// Light of the sky on an upright card that faces the camera.
    pub sky_upright: Option<Glow>,
    /// Share of light that the ground returns.
    pub ground: Option<Vec3>,
    /// The sun; `Some(None)` takes it away.
    pub sun: Option<Option<SunLight>>,
    /// Visibility; `Some(None)` clears the air.
    pub haze: Option<Option<Metres>>,
    /// Colour of the farthest distance.
    pub haze_colour: Option<Vec3>,
    /// The part of the photograph that the picture shows.
    pub window: Option<Window>,
    /// Left and right exchanged, or not.
    pub mirrored: Option<bool>,
    /// How large the picture is to be.
    pub extent: Option<Extent>,
    /// Levels of the ground beside the ground itself, by name: new ones, or changed.
    pub levels: Vec<Level>,
    /// What is said of water, by the name of its level.
    pub water: Vec<(String, WaterSaid)>,
}

/// Where the horizon runs in the photograph.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Horizon {
    /// Level, at this row.
    Row(Pixels),
    /// Through two points, the left one first.
    Through((f64, f64), (f64, f64)),
}

/// How sure what is said of the camera is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Certainty {
    /// Measured.
    #[default]
    Measured,
    /// Declared, where nothing can be read.
    Declared,
}

/// Adds a photograph as the backdrop, or says more about the one that is there, as one edit. Where nothing is said and none is added,
/// nothing is done.
///
/// # Errors
/// Where the photograph cannot be read or copied, or a number is not possible; the picture is as it was.
pub fn read(
    picture: &mut Picture,
    layer: Layer,
    photograph: Option<&Path>,
    said: &Reading,
    (budget, at): (&Budget, Timestamp),
) -> Result<Option<Done>, Error> {
    if photograph.is_none() && *said == Reading::default() {
        return Ok(None);
    }
    let new = photograph.map(|p| incoming::photograph(p, SourceKind::Backdrop, budget)).transpose()?;
    // Asked on the scene alone before anything is copied.
    let mut tried = super::seen(picture.scene(), layer);
    let edit = edit(&tried, new.as_ref().map(|(i, p)| (i, p)), said)?;
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    if let Some((file, _)) = &new {
        incoming::copy(picture, &[file])?;
    }
    carry_out(picture, layer, at, |_| Ok(edit)).map(Some)
}

/// The edit that reading a backdrop comes to.
///
/// # Errors
/// Where something that is said is not possible.
pub fn edit(scene: &Scene, new: Option<(&Incoming, &Photograph)>, said: &Reading) -> Result<Edit, Error> {
    let mut edits = Vec::new();
    if let Some((file, _)) = new {
        edits.extend(incoming::edits(scene, &[file]));
    }
    let format = said.extent.map_or(Ok(*scene.format()), |extent| reframe::format(scene, extent))?;
    if format != *scene.format() {
        edits.push(Edit::Format(format));
    }
    edits.extend(backdrop(scene, new.map(|(file, _)| file), &format, said)?);
    let exif = new.and_then(|(_, p)| p.exif());
    // Before there is a photograph the camera sees the picture itself.
    let bare = (format.size != scene.format().size && scene.backdrop().is_none()).then_some(format.size);
    let seen = new.map(|(file, _)| file.size).or(bare);
    edits.extend(camera(scene, seen, exif, said)?);
    edits.extend(light(scene, new.is_some(), said));
    edits.extend(stated(scene, seen, exif, said));
    edits.extend(levels(scene, said)?);
    if let Some(factor) = said.depth {
        edits.push(Edit::DepthScale(factor));
    }
    // The haze's colour may follow from the sky that was just stated.
    let mut next = scene.clone();
    next.apply(Edit::Group(edits.clone())).map_err(|e| Error::from(e).named(scene))?;
    edits.extend(haze(&next, said)?);
    edits.extend(reframe::carried(scene, &next));
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

fn backdrop(
    scene: &Scene,
    new: Option<&Incoming>,
    format: &Format,
    said: &Reading,
) -> Result<Option<Edit>, Error> {
    let was = scene.format().size;
    let old = scene.backdrop();
    let shown = match (new, old) {
        (None, None) => {
            return if said.window.is_some() || said.mirrored.is_some() {
                Err(Error::refused(
                    "the picture has no backdrop yet",
                    "the window or mirror image that was asked for",
                    "name the photograph as well",
                ))
            } else {
                Ok(None)
            };
        }
        (None, Some(old)) => {
            let mirrored = said.mirrored.unwrap_or(old.mirrored);
            let size = scene.sources().get(&old.source).and_then(|s| s.size);
            let across = size.filter(|_| mirrored != old.mirrored).map(|s| f64::from(s.width()));
            // What was seen stays seen.
            let window = across.map_or(old.window, |across| Window {
                left: Pixels::of(across - old.window.left.get() - old.window.width.get()),
                ..old.window
            });
            let window =
                if format.size == was { window } else { reframe::window(window, was, format.size, size) };
            Backdrop { window: said.window.unwrap_or(window), mirrored, ..*old }
        }
        (Some(file), old) => {
            // A retouched version of the same size keeps its place.
            let size = |b: &Backdrop| scene.sources().get(&b.source).and_then(|s| s.size);
            let same = old.filter(|b| size(b) == Some(file.size));
            let kept = same.filter(|_| format.size == was).map(|b| b.window);
            let window = said.window.or(kept).unwrap_or_else(|| largest_window(file.size, format));
            let mirrored = said.mirrored.or(same.map(|b| b.mirrored)).unwrap_or(false);
            Backdrop { source: file.digest, window, mirrored }
        }
    };
    let size = new.map(|file| file.size).or_else(|| scene.sources().get(&shown.source).and_then(|s| s.size));
    if said.window.is_some()
        && size.is_some_and(|size| !reframe::shows_enough(shown.window, format.size, size))
    {
        return Err(Error::refused(
            "next to nothing of the photograph is seen in this window",
            "the window",
            "let the photograph fill a tenth of it at least",
        ));
    }
    Ok((old != Some(&shown)).then_some(Edit::Backdrop(Some(shown))))
}

/// The largest part of a photograph that has the format's shape, in its middle.
#[must_use]
pub fn largest_window(photograph: PxSize, format: &Format) -> Window {
    let (w, h) = (f64::from(photograph.width()), f64::from(photograph.height()));
    let shape = f64::from(format.size.width()) / f64::from(format.size.height());
    let width = w.min(h * shape);
    let height = width / shape;
    Window {
        left: Pixels::of((w - width) / 2.0),
        top: Pixels::of((h - height) / 2.0),
        width: Pixels::of(width),
    }
}

/// Whether the photograph that is there is shown the other way round from now on: camera and sun, as far as nothing new is said of
/// them, turn with it. Pieces and lamps stay on their marks.
fn turns_over(scene: &Scene, is_new: bool, said: &Reading) -> bool {
    !is_new && scene.backdrop().is_some_and(|old| said.mirrored.is_some_and(|m| m != old.mirrored))
}

/// Stage and lens.
fn camera(
    scene: &Scene,
    photograph: Option<PxSize>,
    exif: Option<&Exif>,
    said: &Reading,
) -> Result<Vec<Edit>, Error> {
    let old = scene.stage();
    let mut view: Viewpoint = *old.camera.viewpoint();
    if let Some(size) = photograph
        && size != view.size
    {
        view = Viewpoint { size, principal: None, ..view };
    }
    if turns_over(scene, photograph.is_some(), said) {
        view.roll = -view.roll;
        let across = f64::from(view.size.width());
        view.principal = view.principal.and_then(|(u, v)| Some((Pixels::new(across - u.get())?, v)));
    }
    if let Some(focal) = said.focal.or(exif.and_then(|e| e.focal)) {
        view.focal = focal;
    }
    if let Some(width) = said.sensor_width.or(exif.and_then(|e| sensor_width(e, view.size))) {
        view.sensor_width = width;
    }
    if let Some(height) = said.camera_height {
        view.height = height;
    }
    if let Some(horizon) = said.horizon.or_else(|| sighted(scene, &view, said)) {
        let level = Camera::new(view)?;
        let (left, right) = match horizon {
            Horizon::Row(row) => ((0.0, row.get()), (f64::from(view.size.width()), row.get())),
            Horizon::Through(a, b) => (a, b),
        };
        let focal = Pixels::new(view.focal / view.sensor_width * f64::from(view.size.width()));
        let read = focal.and_then(|f| sightings::attitude_from_horizon(left, right, level.principal(), f));
        let read = read.ok_or_else(|| {
            Error::refused(
                "this is no horizon",
                "the horizon's two points",
                "give the left point first, then the right one",
            )
        })?;
        (view.pitch, view.roll) = (read.pitch, read.roll);
    }
    view.pitch = said.pitch.unwrap_or(view.pitch);
    view.roll = said.roll.unwrap_or(view.roll);
    if let Some((upright, height)) = said.known {
        let seen = Camera::new(view)?;
        let (horizon, vertical) = (seen.horizon_line(), seen.vertical_vanishing_point());
        let read = stands(&seen, upright)
            .then(|| sightings::camera_height(horizon, vertical, upright, height))
            .flatten();
        view.height = read.ok_or_else(|| {
            Error::refused(
                "the camera's height cannot be read from this",
                "the thing of known height",
                "give its foot below the horizon, then its top above the foot",
            )
        })?;
    }
    let stated = said.camera_height.is_some() || said.pitch.is_some() || said.roll.is_some();
    let sighted = said.horizon.is_some() || said.known.is_some();
    let origin = match (said.certainty, stated, sighted) {
        (Certainty::Declared, ..) => Origin::Declared,
        (Certainty::Measured, true, _) => Origin::Given,
        (Certainty::Measured, false, true) => Origin::Read,
        (Certainty::Measured, false, false) => old.origin,
    };
    let white_balance = said.white_balance.unwrap_or(old.white_balance);
    let stage = Stage { camera: Camera::new(view)?, origin, white_balance };
    let focus = exif.and_then(|e| e.subject_distance).map(|d| match d {
        SubjectDistance::At(distance) => Focus::At(distance),
        SubjectDistance::Infinity => Focus::Infinity,
    });
    let was = scene.lens();
    let lens = Lens::new(
        view.focal,
        said.f_number.or(exif.and_then(|e| e.f_number)).unwrap_or(was.f_number()),
        said.focus.or(focus).unwrap_or(was.focus()),
        said.aperture.unwrap_or(was.aperture()),
    )?;
    let mut edits = Vec::new();
    if stage != *old {
        edits.push(Edit::Stage(stage));
    }
    if lens != *was {
        edits.push(Edit::Lens(lens));
    }
    Ok(edits)
}

/// The horizon as it was read in the photograph, where another lens or sensor would show it elsewhere: it is what was seen, pitch
/// and roll follow from it.
fn sighted(scene: &Scene, view: &Viewpoint, said: &Reading) -> Option<Horizon> {
    let old = &scene.stage().camera;
    let was = old.viewpoint();
    let is_other = view.focal != was.focal || view.sensor_width != was.sensor_width;
    let is_kept = view.size == was.size && said.pitch.is_none() && said.roll.is_none();
    let right = f64::from(view.size.width());
    (is_other && is_kept && scene.stated().contains(&Stated::Horizon))
        .then(|| Horizon::Through((0.0, old.horizon(0.0)), (right, old.horizon(right))))
}

/// Whether foot and top can be those of something upright on the ground: the foot below the horizon, the top above the foot, more
/// up than across.
fn stands(camera: &Camera, upright: Upright) -> bool {
    let below = |(u, v): (f64, f64)| v - camera.horizon(u);
    let (foot, top) = (upright.foot, upright.top);
    let [vu, vv, vw] = camera.vertical_vanishing_point().0;
    let up = (vu - foot.0 * vw, vv - foot.1 * vw);
    let seen = (top.0 - foot.0, top.1 - foot.1);
    let (along, across) = (up.0 * seen.0 + up.1 * seen.1, up.0 * seen.1 - up.1 * seen.0);
    below(foot) > 0.0 && below(top) < below(foot) && across.abs() < along.abs()
}

/// What of the stage is stated from now on, by the artist or in the photograph's file.
fn stated(scene: &Scene, photograph: Option<PxSize>, exif: Option<&Exif>, said: &Reading) -> Option<Edit> {
    let in_file = |has: fn(&Exif) -> bool| exif.is_some_and(has);
    let size = photograph.unwrap_or(scene.stage().camera.viewpoint().size);
    let now = |what: &Stated| match what {
        Stated::CameraHeight => said.camera_height.is_some() || said.known.is_some(),
        Stated::Attitude => said.pitch.is_some() || said.roll.is_some() || said.horizon.is_some(),
        Stated::Horizon => said.horizon.is_some() && said.pitch.is_none() && said.roll.is_none(),
        Stated::Focal => said.focal.is_some() || in_file(|e| e.focal.is_some()),
        Stated::SensorWidth => {
            said.sensor_width.is_some() || exif.is_some_and(|e| sensor_width(e, size).is_some())
        }
        Stated::FNumber => said.f_number.is_some() || in_file(|e| e.f_number.is_some()),
        Stated::Focus => said.focus.is_some() || in_file(|e| e.subject_distance.is_some()),
        Stated::Sky => said.sky_level.is_some() || said.sky_upright.is_some(),
    };
    // A pitch or roll that is said, and a photograph of another size, take the place of a horizon that was read.
    let is_over =
        (said.pitch.is_some() || said.roll.is_some() || size != scene.stage().camera.viewpoint().size)
            && said.horizon.is_none();
    let before = |s: &Stated| scene.is_stated(*s) && !(is_over && *s == Stated::Horizon);
    let is_lost = is_over && scene.stated().contains(&Stated::Horizon);
    // Nothing new said, nothing noted; else also what was known before without a note.
    let is_new = Stated::ALL.iter().any(|s| now(s) && !scene.stated().contains(s));
    (is_new || is_lost)
        .then(|| Edit::Stated(Stated::ALL.into_iter().filter(|s| now(s) || before(s)).collect()))
}

/// The sensor's width that a photograph of this size shows, from what its camera wrote: by the focal plane's resolution, or else from the focal
/// length and its equivalent on 36 x 24 mm (by the diagonal, CIPA DC-008). `None` for a photograph that was cropped.
#[must_use]
pub fn sensor_width(exif: &Exif, size: PxSize) -> Option<Millimetres> {
    let recorded = exif.recorded.map(|r| exif.orientation.seen(r));
    let shape = |s: PxSize| f64::from(s.width()) / f64::from(s.height());
    // Cameras round sides to whole blocks: a per cent is no crop.
    if recorded.is_some_and(|r| (shape(r) / shape(size) - 1.0).abs() > 0.01) {
        return None;
    }
    let whole = f64::from(recorded.unwrap_or(size).width());
    let across = exif.pixels_per_mm.map(|(x, y)| if exif.orientation.turns_sides() { y } else { x });
    let across = across.filter(|v| *v > 0.0).and_then(|per_mm| Millimetres::new(whole / per_mm));
    if let Some(width) = across.filter(is_sensor) {
        return Some(width);
    }
    let (focal, equivalent) = (exif.focal?, exif.focal_on_35mm?);
    // A sensor of this shape and 36 mm wide; the wanted one is smaller by how the crop factors differ.
    let wide = Millimetres::of(36.0);
    let like = field_of_view::Format::new(wide, wide * (1.0 / shape(size))).ok()?;
    Some(wide * (like.equivalent_focal(focal) / equivalent)).filter(is_sensor)
}

/// Whether a sensor can be so wide (common practice, no source): what else a camera writes is not believed.
fn is_sensor(width: &Millimetres) -> bool {
    (0.5..=1_000.0).contains(&width.get())
}

fn light(scene: &Scene, is_new: bool, said: &Reading) -> Vec<Edit> {
    let mut edits = Vec::new();
    let old = scene.lights();
    let sky = SkyLight {
        level: said.sky_level.unwrap_or(old.sky.level),
        upright: said.sky_upright.unwrap_or(old.sky.upright),
    };
    if sky != old.sky {
        edits.push(Edit::Sky(sky));
    }
    match (said.sun, old.sun) {
        (Some(sun), _) => edits.push(Edit::Sun(sun)),
        (None, Some(sun)) if turns_over(scene, is_new, said) => {
            edits.push(Edit::Sun(Some(SunLight { bearing: -sun.bearing, ..sun })));
        }
        _ => {}
    }
    if let Some(ground) = said.ground {
        edits.push(Edit::GroundReflectance(ground));
    }
    edits
}

/// The haze; where its colour is not said it stays, and at first is what a level card reads of the sky: what an even sky looks
/// like at the horizon.
fn haze(scene: &Scene, said: &Reading) -> Result<Option<Edit>, Error> {
    let old = scene.haze();
    let visibility = match (said.haze, old) {
        (Some(None), _) => return Ok(Some(Edit::Haze(None))),
        (Some(Some(visibility)), _) => visibility,
        (None, Some(old)) if said.haze_colour.is_some() => old.visibility(),
        (None, None) if said.haze_colour.is_some() => {
            return Err(Error::refused(
                "there is no haze to be of a colour",
                "the haze's colour",
                "give the visibility as well",
            ));
        }
        (None, _) => return Ok(None),
    };
    let sky = || staging::illumination::illumination(scene, &|_| None, &mut Vec::new()).lights.sky().level();
    let colour = said.haze_colour.or(old.map(Haze::colour)).unwrap_or_else(sky);
    Ok(Some(Edit::Haze(Some(Haze::new(visibility, colour)?))))
}

/// What is said of water.
#[derive(Clone, PartialEq, Debug)]
pub enum WaterSaid {
    /// Where it is seen too: corners in the picture's pixels.
    Region(Vec<(Pixels, Pixels)>),
    /// Wherever its level is: regions that were said are forgotten.
    Everywhere,
    /// How rough it is: standard deviation of its slopes.
    Ripple(Degrees),
}

/// What is said of levels: new ones, and others as they are from now on.
fn levels(scene: &Scene, said: &Reading) -> Result<Vec<Edit>, Error> {
    let mut told: Vec<(Option<LevelId>, Level)> = Vec::new();
    for level in &said.levels {
        let id = names::level(scene, &level.name).ok();
        let old = id.and_then(|id| scene.levels().get(&id));
        let level = match old {
            Some(old) => Level { region: old.region.clone(), ripple: old.ripple, ..level.clone() },
            None => level.clone(),
        };
        told.push((id, level));
    }
    let size = scene.format().size;
    let (wide, high) = (f64::from(size.width()), f64::from(size.height()));
    for (name, change) in &said.water {
        let at = match told.iter().position(|(_, level)| level.name == *name) {
            Some(at) => at,
            None => {
                let id = names::level(scene, name)?;
                told.push((Some(id), scene.levels()[&id].clone()));
                told.len() - 1
            }
        };
        let level = &mut told[at].1;
        if level.surface != Surface::Water {
            return Err(Error::refused(
                "it is not water",
                name.as_str(),
                format!("say so with it: --level {name}={},water", scene::figure(level.height.get())),
            ));
        }
        match change {
            WaterSaid::Ripple(ripple) => level.ripple = *ripple,
            WaterSaid::Everywhere => level.region.clear(),
            WaterSaid::Region(corners) => {
                level.region.push(corners.iter().map(|(u, v)| [u.get() / wide, v.get() / high]).collect());
            }
        }
    }
    let mut fresh = scene.fresh();
    let edit = |(id, level): (Option<LevelId>, Level)| match id {
        Some(id) => Edit::Level { id, put: Put::Replace(Box::new(level)) },
        None => Edit::Level { id: fresh.level(), put: Put::Add(Box::new(level)) },
    };
    Ok(told.into_iter().map(edit).collect())
}

/// A level as it is said: dry unless called water.
#[must_use]
pub fn level(name: String, height: Metres, surface: Surface) -> Level {
    Level { name, height, surface, region: Vec::new(), ripple: Level::CALM }
}
