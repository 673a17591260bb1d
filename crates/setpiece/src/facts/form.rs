//! The written form of the facts.

use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
pub(super) struct Doc {
    pub(super) picture: Picture,
    pub(super) backdrop: Option<File>,
    pub(super) camera: Camera,
    pub(super) light: Light,
    pub(super) air: Air,
    pub(super) studio: Studio,
    pub(super) subject: Option<String>,
    pub(super) shots: BTreeMap<String, Shot>,
    pub(super) pieces: Vec<Placed>,
}

/// Where the backdrop is; backdrop.png where nothing is said.
#[derive(Deserialize)]
pub(super) struct File {
    pub(super) file: String,
}

#[derive(Deserialize)]
pub(super) struct Picture {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) white_balance_cct: f64,
}

#[derive(Deserialize)]
pub(super) struct Camera {
    pub(super) height_m: f64,
    pub(super) pitch_deg: f64,
    pub(super) roll_deg: f64,
    pub(super) focal_mm: f64,
    pub(super) sensor_width_mm: f64,
    pub(super) f_number: f64,
    pub(super) focus_distance_m: f64,
}

#[derive(Deserialize)]
pub(super) struct Light {
    pub(super) sun: Option<Sun>,
    pub(super) sky: Sky,
    pub(super) ground_reflectance_rgb: [f64; 3],
    pub(super) practicals: Vec<Lamp>,
}

#[derive(Deserialize)]
pub(super) struct Sun {
    pub(super) direction: [f64; 3],
    pub(super) irradiance_normal: f64,
    pub(super) rgb: [f64; 3],
    pub(super) angular_diameter_deg: Option<f64>,
}

#[derive(Deserialize)]
pub(super) struct Sky {
    pub(super) irradiance_up_rgb: [f64; 3],
    pub(super) irradiance_facing_camera_rgb: [f64; 3],
}

#[derive(Deserialize)]
pub(super) struct Lamp {
    pub(super) position: [f64; 3],
    pub(super) radius_m: f64,
    pub(super) intensity: f64,
    pub(super) rgb: [f64; 3],
    pub(super) name: Option<String>,
    pub(super) attached_to: Option<String>,
    /// Whether the backdrop was photographed with it lit.
    #[serde(default = "lit")]
    pub(super) in_backdrop: bool,
    /// Share of its light on the backdrop's ground; all of it, where nothing is said and it was not lit.
    pub(super) spill: Option<f64>,
}

#[derive(Deserialize)]
pub(super) struct Air {
    pub(super) visibility_m: Option<f64>,
    pub(super) colour_rgb: Option<[f64; 3]>,
}

#[derive(Deserialize)]
pub(super) struct Studio {
    pub(super) cct: f64,
    pub(super) white_balance_cct: f64,
    pub(super) camera_distance_m: f64,
    pub(super) white_readings: Vec<Reading>,
}

#[derive(Deserialize, Debug)]
pub(super) struct Reading {
    pub(super) height_m: f64,
    pub(super) rgb: [f64; 3],
}

#[derive(Deserialize)]
pub(super) struct Shot {
    pub(super) file: String,
    pub(super) matte: Option<String>,
    #[serde(default)]
    pub(super) additive: bool,
    pub(super) white_readings: Option<Vec<Reading>>,
    pub(super) pixels_per_metre: f64,
    pub(super) foot: [f64; 2],
    pub(super) principal: [f64; 2],
    pub(super) focal_px: f64,
    pub(super) view_bearing_deg: f64,
    pub(super) eye_height_m: f64,
}

#[derive(Deserialize)]
pub(super) struct Placed {
    pub(super) name: String,
    pub(super) shot: String,
    pub(super) mark: Spot,
    pub(super) mirrored: bool,
    pub(super) stance: String,
    pub(super) attached_to: Option<String>,
    pub(super) facing_target: Option<String>,
    /// Shines by itself: shown as photographed, times its gain.
    #[serde(default)]
    pub(super) self_luminous: bool,
    pub(super) gain: Option<f64>,
    pub(super) nudge_ev: Option<f64>,
}

#[derive(Deserialize)]
pub(super) struct Spot {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) z: f64,
}

const fn lit() -> bool {
    true
}
