//! The scene's lights, as optics computes with them: colours settled, lamps at their places (docs/model.md, *Light*).

use crate::Snag;
use optics::light_colour::light_rgb;
use optics::{Lights, OutOfRange, Point, Practical, Sky, Sun};
use scene::{Dusk, Glow, LightColour, PieceId, PracticalId, Scene};
use units::{Kelvin, Metres, Primaries, Vec3, math};

/// Luminance (Y) of linear red, green and blue.
#[must_use]
pub fn luminance(primaries: Primaries) -> Vec3 {
    Vec3(primaries.to_xyz().0[1])
}

/// The lights, and which lamp of the scene each practical is.
#[derive(Clone, PartialEq, Debug)]
pub struct Illumination {
    /// As optics computes with them, the daylight as it is told.
    pub lights: Lights,
    /// The daylight as it is told, in parts of what it was photographed in: linear RGB.
    pub dusk: Vec3,
    /// In the order of the lights' practicals.
    pub lamps: Vec<PracticalId>,
}

/// Where a lamp's middle is; `foot` answers where the piece stands that it is fixed to.
#[must_use]
pub fn lamp_at(lamp: &scene::Practical, foot: &dyn Fn(PieceId) -> Option<Point>) -> Option<Point> {
    match lamp.on {
        None => Some(lamp.at),
        Some(piece) => foot(piece).map(|f| Point::new(f.x + lamp.at.x, f.y + lamp.at.y, f.z + lamp.at.z)),
    }
}

/// Settles the scene's lights; `foot` answers where a piece stands: a lamp on one that stands nowhere is dark. What optics refuses is left out and said.
pub fn illumination(
    scene: &Scene,
    foot: &dyn Fn(PieceId) -> Option<Point>,
    snags: &mut Vec<Snag>,
) -> Illumination {
    let white = scene.stage().white_balance;
    let primaries = scene.format().primaries;
    let mut said = |result: Result<Vec3, OutOfRange>, place: &str| {
        result.unwrap_or_else(|e| {
            snags.push(Snag::of_number(&e, place, None));
            Vec3::default()
        })
    };
    let scene_lights = scene.lights();
    let level = said(glow(scene_lights.sky.level, white, primaries), "sky, on a level card");
    let upright = said(glow(scene_lights.sky.upright, white, primaries), "sky, on an upright card");
    let sun = scene_lights.sun.map(|sun| (said(glow(sun.glow, white, primaries), "sun"), sun));
    let dusk = said(dusk(scene_lights.dusk, white, primaries), "dusk");
    let (level, upright) = (level.times(dusk), upright.times(dusk));
    let lamps: Vec<_> = scene
        .practicals()
        .iter()
        .map(|(id, lamp)| (*id, said(glow(lamp.glow, white, primaries), &lamp.name), lamp))
        .collect();
    let sun = sun.and_then(|(irradiance, sun)| {
        let (bearing, height) = (math::radians(sun.bearing.get()), math::radians(sun.height.get()));
        let direction = Vec3::new(
            math::sin(bearing) * math::cos(height),
            math::sin(height),
            math::cos(bearing) * math::cos(height),
        );
        keep(Sun::new(direction, irradiance.times(dusk), sun.diameter), "sun", snags)
    });
    let mut practicals = Vec::new();
    let mut ids = Vec::new();
    for (id, intensity, lamp) in lamps {
        let Some(at) = lamp_at(lamp, foot) else { continue };
        let made = Practical::new(at, intensity, lamp.radius)
            .and_then(|p| p.with_reach(lamp.reach))
            .and_then(|p| p.with_floor(lamp.floor));
        if let Some(practical) = keep(made, &lamp.name, snags) {
            practicals.push(practical);
            ids.push(id);
        }
    }
    let sky = keep(Sky::new(level, upright), "sky", snags)
        .or_else(|| Sky::new(Vec3::default(), Vec3::default()).ok());
    let lights = sky.and_then(|sky| {
        keep(Lights::new(sky, sun, scene_lights.ground_reflectance, practicals), "ground reflectance", snags)
    });
    let dark = || {
        let none = Sky::new(Vec3::default(), Vec3::default()).expect("no light at all lies in every range");
        Lights::new(none, None, Vec3::default(), Vec::new()).expect("no light at all lies in every range")
    };
    Illumination { lights: lights.unwrap_or_else(dark), dusk, lamps: ids }
}

fn keep<T>(result: Result<T, OutOfRange>, place: &str, snags: &mut Vec<Snag>) -> Option<T> {
    result
        .map_err(|e| {
            snags.push(Snag::of_number(&e, place, None));
        })
        .ok()
}

fn glow(glow: Glow, white: Kelvin, primaries: Primaries) -> Result<Vec3, OutOfRange> {
    let colour = match glow.colour {
        LightColour::Kelvin { cct, tint } => light_rgb(cct, tint, white, primaries)?,
        LightColour::Picked(rgb) => rgb,
    };
    Ok(colour * glow.strength)
}

/// Factor on linear RGB of daylight that is taken down.
fn dusk(dusk: Option<Dusk>, white: Kelvin, primaries: Primaries) -> Result<Vec3, OutOfRange> {
    let Some(Dusk { down, cooler }) = dusk else { return Ok(Vec3::splat(1.0)) };
    Ok(shift(white, -cooler, 0.0, primaries)? * math::exp2(-down.get()))
}

/// Factor on linear RGB of a shift in mired (positive is warmer) and tint from the white balance; luminance 1.
///
/// # Errors
/// Where the shift leads beyond the range of colour temperatures.
pub fn shift(
    white: Kelvin,
    warmth: units::Mired,
    tint: f64,
    primaries: Primaries,
) -> Result<Vec3, OutOfRange> {
    let to = optics::temperature::kelvin(optics::temperature::mired(white)? + warmth)?;
    Ok(light_rgb(to, tint, white, primaries)?.over(light_rgb(white, 0.0, white, primaries)?))
}

/// Height above a piece's foot of its middle, where its light is taken.
#[must_use]
pub fn middle(foot: Point, height: Metres) -> Point {
    Point::new(foot.x, foot.y + height * 0.5, foot.z)
}
