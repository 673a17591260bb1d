//! Lamps in the picture, fixed to the stage or to a piece.

use super::cutouts::gone;
use super::{Error, names};
use optics::Point;
use scene::{Edit, Glow, LightColour, Practical, PracticalId, Put, Scene};
use serde::Serialize;
use staging::standing::feet;
use ts_rs::TS;
use units::Metres;

/// What is said of a lamp. What is `None` stays as it is; a new lamp needs a place and a light.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct LampSaid {
    /// Its middle: on the stage, or from the foot of the piece that it is fixed to.
    pub at: Option<Point>,
    /// The piece that it is fixed to, by name; `none` lets it go.
    pub on: Option<String>,
    /// On a card at 1 m, square to it.
    pub light: Option<Glow>,
    /// Of the lamp.
    pub radius: Option<Metres>,
    /// Where it is one stop brighter than inverse square; `Some(None)` is pure.
    pub reach: Option<Option<Metres>>,
    /// Share of its reading at 1 m below which it does not fall.
    pub floor: Option<f64>,
    /// Share of its light that falls on the ground of the backdrop as well.
    pub spill: Option<f64>,
}

/// The edit that adds a lamp.
///
/// # Errors
/// Where it has no place or light, or the piece is not known.
pub fn add(scene: &Scene, name: &str, said: &LampSaid) -> Result<Edit, Error> {
    let lacks = |what: &str, remedy: &str| Error::refused(format!("the lamp has no {what}"), name, remedy);
    let at = said.at.ok_or_else(|| lacks("place", "say where its middle is, as --at 0.4,1.6,7.2"))?;
    let glow =
        said.light.ok_or_else(|| lacks("light", "say what a card at 1 m reads, as --strength 0.6@2400K"))?;
    let lamp = Practical {
        name: name.to_owned(),
        at,
        on: None,
        glow,
        // A lantern's mantle or a bulb (trade practice, no source).
        radius: Metres::of(0.05),
        reach: None,
        floor: 0.0,
        // It was not there when the backdrop was photographed.
        spill: 1.0,
    };
    let lamp = over(scene, &lamp, said)?;
    Ok(Edit::Practical { id: scene.fresh().practical(), put: Put::Add(Box::new(lamp)) })
}

/// The edit that changes a lamp.
///
/// # Errors
/// Where it, or the piece, is not known.
pub fn change(scene: &Scene, id: PracticalId, said: &LampSaid) -> Result<Edit, Error> {
    let lamp = scene.practicals().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let lamp = over(scene, lamp, said)?;
    Ok(Edit::Practical { id, put: Put::Replace(Box::new(lamp)) })
}

/// The edit that takes a lamp away.
#[must_use]
pub const fn remove(id: PracticalId) -> Edit {
    Edit::Practical { id, put: Put::Remove }
}

fn over(scene: &Scene, lamp: &Practical, said: &LampSaid) -> Result<Practical, Error> {
    let on = match said.on.as_deref() {
        None => lamp.on,
        Some("none") => None,
        Some(name) => Some(names::piece(scene, name)?),
    };
    let at = match said.at {
        Some(at) => at,
        // Fixed to another thing, it stays where it is.
        None if on != lamp.on => {
            let feet = feet(scene);
            let base = |on: Option<scene::PieceId>| {
                on.and_then(|id| feet.get(&id)).map_or_else(Point::default, |f| f.0)
            };
            let (from, to) = (base(lamp.on), base(on));
            Point::new(lamp.at.x + from.x - to.x, lamp.at.y + from.y - to.y, lamp.at.z + from.z - to.z)
        }
        None => lamp.at,
    };
    Ok(Practical {
        name: lamp.name.clone(),
        at,
        on,
        glow: said.light.unwrap_or(lamp.glow),
        radius: said.radius.unwrap_or(lamp.radius),
        reach: said.reach.unwrap_or(lamp.reach),
        floor: said.floor.unwrap_or(lamp.floor),
        spill: said.spill.unwrap_or(lamp.spill),
    })
}

/// What is known of a lamp.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct LampReport {
    /// Its number.
    pub lamp: u64,
    /// What it is called.
    pub name: String,
    /// Its middle: right, up, away; from the foot of the piece it is on, if it is on one.
    pub at_m: [f64; 3],
    /// The piece that it is fixed to.
    pub on: Option<String>,
    /// Whether it is dark: what it is fixed to is kept in the wings.
    pub is_dark: bool,
    /// On a card at 1 m, in picture units.
    pub strength: f64,
    /// Its colour temperature, where it is given by one.
    pub cct_k: Option<f64>,
    /// Its colour, where it was picked.
    pub rgb: Option<[f64; 3]>,
    /// Of the lamp.
    pub radius_m: f64,
    /// Where it is one stop brighter than inverse square.
    pub reach_m: Option<f64>,
    /// Share below which it does not fall.
    pub floor_share: f64,
    /// Share of its light that falls on the ground of the backdrop.
    pub spill_share: f64,
}

/// The lamps of a picture.
#[must_use]
pub fn list(scene: &Scene) -> Vec<LampReport> {
    scene
        .practicals()
        .iter()
        .map(|(id, lamp)| {
            let (cct_k, rgb) = match lamp.glow.colour {
                LightColour::Kelvin { cct, .. } => (Some(cct.get()), None),
                LightColour::Picked(rgb) => (None, Some(rgb.0)),
            };
            LampReport {
                lamp: id.number(),
                name: lamp.name.clone(),
                at_m: lamp.at.vector().0,
                on: lamp.on.map(|p| scene.called(p)),
                is_dark: lamp.on.is_some_and(|p| staging::is_hidden(scene, p)),
                strength: lamp.glow.strength,
                cct_k,
                rgb,
                radius_m: lamp.radius.get(),
                reach_m: lamp.reach.map(Metres::get),
                floor_share: lamp.floor,
                spill_share: lamp.spill,
            }
        })
        .collect()
}
