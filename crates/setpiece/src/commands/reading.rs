//! What is known of a backdrop, where from, and what is missing before pieces can stand in it.

use super::Error;
use super::read::sensor_width;
use crate::Folder;
use files::{Depth, Limits, Probe, SubjectDistance};
use optics::{Aperture, Focus};
use scene::{Glow, LightColour, Origin, Scene, Stated, Surface};
use serde::Serialize;
use ts_rs::TS;
use units::{Primaries, PxSize};

/// What is known of a picture's backdrop and stage.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
#[ts(rename = "ReadingReport")]
pub struct Report {
    /// What the picture is called.
    pub picture: String,
    /// Its own width.
    pub width_px: u32,
    /// Its own height.
    pub height_px: u32,
    /// Pixels per inch of its print, where that has a size.
    pub ppi: Option<f64>,
    /// Its working primaries.
    pub primaries: &'static str,
    /// The photograph, once there is one.
    pub backdrop: Option<BackdropReport>,
    /// The camera.
    pub camera: CameraReport,
    /// Visibility, if there is haze.
    pub visibility_m: Option<f64>,
    /// Colour of the farthest distance, if there is haze.
    pub haze_rgb: Option<[f64; 3]>,
    /// How much the daylight is taken down, in stops, and cooler, in mired.
    pub dusk: [f64; 2],
    /// Whether the sun shines.
    pub has_sun: bool,
    /// The sun, if it shines.
    pub sun: Option<SunReport>,
    /// Light of the sky on a level card.
    pub sky_level: GlowReport,
    /// Light of the sky on an upright card.
    pub sky_upright: GlowReport,
    /// Share of light that the ground returns.
    pub ground_rgb: [f64; 3],
    /// Where the sky is known from: `given` or `assumed`.
    pub sky_from: &'static str,
    /// The ground's levels.
    pub levels: Vec<LevelReport>,
    /// What is still as assumed.
    pub missing: Vec<Missing>,
}

/// The photograph everything stands in.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct BackdropReport {
    /// What it was called.
    pub name: String,
    /// Its file in the folder.
    pub file: String,
    /// Its format.
    pub format: String,
    /// Its width.
    pub width_px: u32,
    /// Its height.
    pub height_px: u32,
    /// Bits a sample.
    pub bits: u32,
    /// Its colour profile.
    pub profile: String,
    /// Camera, by its EXIF.
    pub camera: Option<String>,
    /// Lens, by its EXIF.
    pub lens: Option<String>,
    /// When it was taken, by the camera's clock.
    pub taken: Option<String>,
    /// The part that the picture shows: left, top, width, height.
    pub window_px: [f64; 4],
    /// Whether left and right are exchanged.
    pub mirrored: bool,
    /// What is odd about the file.
    pub warnings: Vec<String>,
}

/// The camera and its lens. Each with where it is known from: `file`, `given`, `read`, `declared`, `assumed`.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct CameraReport {
    /// Above the ground.
    pub height_m: f64,
    /// Positive looks down.
    pub pitch_deg: f64,
    /// Positive is clockwise.
    pub roll_deg: f64,
    /// Where height, pitch and roll are known from.
    pub viewpoint_from: &'static str,
    /// Where the height alone is known from.
    pub height_from: &'static str,
    /// Where pitch and roll are known from.
    pub attitude_from: &'static str,
    /// Focal length.
    pub focal_mm: f64,
    /// Where the focal length is known from.
    pub focal_from: &'static str,
    /// Width of sensor that the photograph shows.
    pub sensor_width_mm: f64,
    /// Where the sensor's width is known from.
    pub sensor_from: &'static str,
    /// F-number.
    pub f_number: f64,
    /// Where the f-number is known from.
    pub f_number_from: &'static str,
    /// Distance focused at; none is infinity.
    pub focus_m: Option<f64>,
    /// Where the focus is known from.
    pub focus_from: &'static str,
    /// Blades of the aperture; none is a disc.
    pub blades: Option<u8>,
    /// What blur discs are multiplied by.
    pub depth_factor: f64,
    /// White balance.
    pub white_balance_k: f64,
    /// Row of the horizon in the middle of the picture, in its pixels.
    pub horizon_px: Option<f64>,
}

/// An amount of light with its colour.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct GlowReport {
    /// What a white card reads, in picture units; for a picked colour a factor on it.
    pub strength: f64,
    /// Its colour temperature, where it is given by one.
    pub cct_k: Option<f64>,
    /// Its tint, where it is given by a colour temperature.
    pub tint: Option<f64>,
    /// Its colour, where it was picked.
    pub rgb: Option<[f64; 3]>,
}

impl From<Glow> for GlowReport {
    fn from(glow: Glow) -> Self {
        let (cct_k, tint, rgb) = match glow.colour {
            LightColour::Kelvin { cct, tint } => (Some(cct.get()), Some(tint), None),
            LightColour::Picked(rgb) => (None, None, Some(rgb.0)),
        };
        Self { strength: glow.strength, cct_k, tint, rgb }
    }
}

/// The sun.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct SunReport {
    /// 0 is straight ahead, positive to the right.
    pub bearing_deg: f64,
    /// Above the horizon.
    pub height_deg: f64,
    /// How wide it appears.
    pub diameter_deg: f64,
    /// On a card square to it.
    pub light: GlowReport,
}

/// A level of the ground.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct LevelReport {
    /// What it is called.
    pub name: String,
    /// Above the ground under the camera.
    pub height_m: f64,
    /// `dry` or `water`.
    pub surface: &'static str,
}

/// Something that nobody has said yet.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Missing {
    /// What.
    pub what: &'static str,
    /// What is assumed meanwhile.
    pub assumed: String,
    /// The option that says it.
    pub option: &'static str,
    /// Whether pieces stand wrongly without it; else only their look depends on it.
    pub needed: bool,
}

/// What is known. A backdrop whose file is gone or unreadable is an error.
///
/// # Errors
/// Where the backdrop's file cannot be read.
pub fn report(scene: &Scene, folder: &Folder) -> Result<Report, Error> {
    let probe = match scene.backdrop() {
        Some(shown) => {
            let path = folder.file(&scene.sources()[&shown.source]);
            super::measure::check(scene, folder, shown.source)?;
            Some(files::probe_file(&path, &Limits::default())?)
        }
        None => None,
    };
    let lights = scene.lights();
    let camera = camera(scene, probe.as_ref());
    let missing = missing(scene, &camera);
    let backdrop = scene.backdrop().zip(probe).map(|(shown, probe)| {
        let source = &scene.sources()[&shown.source];
        let (w, shape) = (shown.window.width.get(), shape(scene.format().size));
        let exif = probe.exif.as_ref();
        let model = exif.and_then(|e| match (&e.make, &e.model) {
            // Most makers write their name into the model as well.
            (Some(make), Some(model)) if !model.starts_with(make.as_str()) => Some(format!("{make} {model}")),
            (make, model) => model.clone().or_else(|| make.clone()),
        });
        BackdropReport {
            name: source.name.clone(),
            file: source.file.clone(),
            format: probe.format.to_string(),
            width_px: probe.size.width(),
            height_px: probe.size.height(),
            bits: bits(probe.depth),
            profile: probe.colour.clone(),
            camera: model,
            lens: exif.and_then(|e| e.lens.clone()),
            taken: exif.and_then(|e| e.taken.clone()),
            window_px: [shown.window.left.get(), shown.window.top.get(), w, w / shape],
            mirrored: shown.mirrored,
            warnings: probe
                .warnings
                .iter()
                .cloned()
                .chain(staging::window_beyond(scene, probe.size).map(|s| s.what))
                .chain(staging::widest(scene).map(|s| format!("{} {}", s.place, s.what)))
                .collect(),
        }
    });
    Ok(Report {
        picture: scene.name().to_owned(),
        width_px: scene.format().size.width(),
        height_px: scene.format().size.height(),
        ppi: scene.format().print.map(|p| p.ppi),
        primaries: primaries_name(scene.format().primaries),
        backdrop,
        camera,
        visibility_m: scene.haze().map(|h| h.visibility().get()),
        haze_rgb: scene.haze().map(|h| h.colour().0),
        dusk: lights.dusk.map_or([0.0; 2], |d| [d.down.get(), d.cooler.get()]),
        has_sun: lights.sun.is_some(),
        sun: lights.sun.map(|sun| SunReport {
            bearing_deg: sun.bearing.get(),
            height_deg: sun.height.get(),
            diameter_deg: sun.diameter.get(),
            light: sun.glow.into(),
        }),
        sky_level: lights.sky.level.into(),
        sky_upright: lights.sky.upright.into(),
        ground_rgb: lights.ground_reflectance.0,
        sky_from: given(scene, Stated::Sky),
        levels: scene
            .levels()
            .values()
            .map(|l| LevelReport {
                name: l.name.clone(),
                height_m: l.height.get(),
                surface: match l.surface {
                    Surface::Dry => "dry",
                    Surface::Water => "water",
                },
            })
            .collect(),
        missing,
    })
}

/// What primaries are called, here and on the command line.
#[must_use]
pub const fn primaries_name(primaries: Primaries) -> &'static str {
    match primaries {
        Primaries::Srgb => "srgb",
        Primaries::DisplayP3 => "p3",
        Primaries::Rec2020 => "rec2020",
        Primaries::Romm => "romm",
    }
}

const fn bits(depth: Depth) -> u32 {
    match depth {
        Depth::U8 => 8,
        Depth::U16 | Depth::F16 => 16,
        Depth::F32 => 32,
    }
}

fn shape(size: PxSize) -> f64 {
    f64::from(size.width()) / f64::from(size.height())
}

/// Whether somebody has said it.
fn given(scene: &Scene, what: Stated) -> &'static str {
    if scene.is_stated(what) { "given" } else { "assumed" }
}

fn camera(scene: &Scene, probe: Option<&Probe>) -> CameraReport {
    let view = scene.stage().camera.viewpoint();
    let exif = probe.and_then(|p| p.exif.as_ref());
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs().max(1.0);
    let from = |in_file: bool, what: Stated| if in_file { "file" } else { given(scene, what) };
    let origin = match scene.stage().origin {
        Origin::Assumed => "assumed",
        Origin::Read => "read",
        Origin::Declared => "declared",
        Origin::Given => "given",
    };
    let viewpoint = |what: Stated| if scene.is_stated(what) { origin } else { "assumed" };
    let focal_in_file = exif.and_then(|e| e.focal).is_some_and(|f| near(f.get(), view.focal.get()));
    let sensor_in_file = exif.zip(probe).and_then(|(e, p)| sensor_width(e, p.size));
    let lens = scene.lens();
    let f_in_file = exif.and_then(|e| e.f_number).is_some_and(|f| near(f, lens.f_number()));
    let focus = match lens.focus() {
        Focus::At(distance) => Some(distance.get()),
        Focus::Infinity => None,
    };
    let focus_in_file = exif.and_then(|e| e.subject_distance).is_some_and(|d| match (d, focus) {
        (SubjectDistance::At(written), Some(at)) => near(written.get(), at),
        (SubjectDistance::Infinity, None) => true,
        _ => false,
    });
    let frame = staging::frame::frame(scene, probe.map(|p| p.size)).ok();
    CameraReport {
        height_m: view.height.get(),
        pitch_deg: view.pitch.get(),
        roll_deg: view.roll.get(),
        viewpoint_from: origin,
        height_from: viewpoint(Stated::CameraHeight),
        attitude_from: match viewpoint(Stated::Attitude) {
            "given" if scene.is_stated(Stated::Horizon) => "read",
            from => from,
        },
        focal_mm: view.focal.get(),
        focal_from: from(focal_in_file, Stated::Focal),
        sensor_width_mm: view.sensor_width.get(),
        sensor_from: from(
            sensor_in_file.is_some_and(|w| near(w.get(), view.sensor_width.get())),
            Stated::SensorWidth,
        ),
        f_number: lens.f_number(),
        f_number_from: from(f_in_file, Stated::FNumber),
        focus_m: focus,
        focus_from: from(focus_in_file, Stated::Focus),
        blades: match lens.aperture() {
            Aperture::Disc => None,
            Aperture::Blades(blades) => Some(blades.count()),
        },
        depth_factor: scene.depth_scale().get(),
        white_balance_k: scene.stage().white_balance.get(),
        horizon_px: frame.map(|f| f.camera.horizon(f64::from(scene.format().size.width()) / 2.0)),
    }
}

fn missing(scene: &Scene, camera: &CameraReport) -> Vec<Missing> {
    let mut missing = Vec::new();
    let mut add = |what, assumed: String, option, needed| {
        missing.push(Missing { what, assumed, option, needed });
    };
    if scene.backdrop().is_none() {
        add("backdrop", "an even mid-grey".to_owned(), "read FOLDER PHOTOGRAPH", false);
    }
    if camera.height_from == "assumed" {
        add("camera height", format!("{} m", camera.height_m), "--camera-height 1.35, or --known", true);
    }
    if camera.attitude_from == "assumed" {
        add("pitch", format!("{}°", camera.pitch_deg), "--horizon 1520, or --pitch 2.5", true);
    }
    if camera.focal_from == "assumed" {
        add("focal length", format!("{} mm", camera.focal_mm), "--focal 50", true);
    }
    if camera.sensor_from == "assumed" && camera.focal_from != "file" {
        // With a focal length that somebody stated, the full 36 mm are likely what is meant.
        let needed = camera.focal_from == "assumed";
        add("sensor width", format!("{} mm", camera.sensor_width_mm), "--sensor 36", needed);
    }
    if camera.f_number_from == "assumed" {
        add("aperture", format!("f/{}", camera.f_number), "--f-number 2.8", false);
    }
    if camera.focus_from == "assumed" {
        let focus = camera.focus_m.map_or_else(|| "infinity".to_owned(), |f| format!("{f} m"));
        add("focus", focus, "--focus 5.4", false);
    }
    if !scene.is_stated(Stated::Sky) && scene.practicals().is_empty() {
        add(
            "sky",
            "an even white sky: 1 on a level card, 0.5 on an upright one".to_owned(),
            "--sky-level 0.5@8500K --sky-upright 0.25@8500K",
            false,
        );
    }
    missing
}
