//! The lights of the picture as the artist states them (docs/model.md, *Light*). What they give to a piece
//! is computed elsewhere.

use crate::PieceId;
use optics::Point;
use units::{Degrees, Kelvin, Metres, Mired, Stops, Vec3};

/// Light from above that reaches everything, and the ground that returns some of it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lights {
    /// From above the horizon.
    pub sky: SkyLight,
    /// If it shines.
    pub sun: Option<SunLight>,
    /// Mean share (0 to 1) of the light that the ground returns, linear RGB in the working primaries.
    pub ground_reflectance: Vec3,
    /// How much darker and cooler the daylight is told than it was photographed.
    pub dusk: Option<Dusk>,
}

/// The daylight taken down: sky, sun, haze and the backdrop that they lit, but no lamp.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Dusk {
    /// By so much darker.
    pub down: Stops,
    /// By so much cooler, on the scale of the picture's white balance.
    pub cooler: Mired,
}

/// An amount of light with its colour: `strength` times the linear RGB of the colour is what a perfect white
/// diffuser reads (irradiance/pi), in the picture's working primaries.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Glow {
    /// Not negative. With a colour of light it is the luminance read; with a picked colour a plain factor.
    pub strength: f64,
    /// Its colour.
    pub colour: LightColour,
}

/// The colour of a light.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum LightColour {
    /// As a colour temperature and tint, in the picture's white balance; its luminance counts as 1.
    Kelvin {
        /// Correlated colour temperature.
        cct: Kelvin,
        /// Off the locus of daylight, in thousandths of CIE 1960 u, v: positive is green, 0 lies on it.
        tint: f64,
    },
    /// Picked: linear RGB in the working primaries, taken as it is.
    Picked(Vec3),
}

/// Light from the sky above the horizon, as two cards read it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SkyLight {
    /// On a card that lies face up.
    pub level: Glow,
    /// On a card that stands facing the camera.
    pub upright: Glow,
}

/// The sun, or whatever shines like one.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SunLight {
    /// Where it stands: 0 is straight ahead, away from the camera; positive to the right.
    pub bearing: Degrees,
    /// Above the horizon, up to 90.
    pub height: Degrees,
    /// On a card square to it.
    pub glow: Glow,
    /// How wide it appears.
    pub diameter: Degrees,
}

/// A lamp in the picture.
#[derive(Clone, PartialEq, Debug)]
pub struct Practical {
    /// What the artist calls it.
    pub name: String,
    /// Its middle: on the stage, or from the foot of the piece it is fixed to.
    pub at: Point,
    /// The piece it is fixed to: the subject with a lantern, or one that glows by itself.
    pub on: Option<PieceId>,
    /// On a card at 1 m, square to it.
    pub glow: Glow,
    /// Of the lamp.
    pub radius: Metres,
    /// Where it is one stop brighter than the pure inverse square, to carry further than that; `None` is pure.
    pub reach: Option<Metres>,
    /// Share (0 to 1) of its reading at 1 m below which it does not fall.
    pub floor: f64,
    /// Share (0 to 1) of its light that falls on the ground of the backdrop as well: 0 where the backdrop was photographed with
    /// the lamp lit.
    pub spill: f64,
}
