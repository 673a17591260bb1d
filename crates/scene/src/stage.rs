//! The calibrated camera and the ground (docs/model.md, *Coordinates*).

use crate::Polygon;
use optics::Camera;
use units::{Degrees, Kelvin, Metres};

/// The camera of the picture.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stage {
    /// The camera. With a backdrop: the one that took the whole photograph, in its pixels; the backdrop's
    /// window carries it over to the format. Without one: a frame laid over the format left edge on left
    /// edge, top on top, width on width.
    pub camera: Camera,
    /// How the camera is known.
    pub origin: Origin,
    /// What the picture is balanced for: light of this colour temperature looks white.
    pub white_balance: Kelvin,
}

/// How a camera is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Origin {
    /// Nobody has said anything yet: a standing photographer with a moderate wide-angle lens.
    Assumed,
    /// Read from the backdrop by sightings.
    Read,
    /// Declared by the artist: a horizon and one height, where nothing can be read.
    Declared,
    /// Given: measured on the spot, or written in the file.
    Given,
}

/// A horizontal plane of the ground: bank, step, table, water.
#[derive(Clone, PartialEq, Debug)]
pub struct Level {
    /// What the artist calls it.
    pub name: String,
    /// Above the ground under the camera; may be negative.
    pub height: Metres,
    /// What it is made of, as far as that changes what stands on it.
    pub surface: Surface,
    /// Where it is seen, in shares of the picture's width and height; nothing is wherever its ground is. Water mirrors what stands
    /// behind it there.
    pub region: Vec<Polygon>,
    /// How rough water is: standard deviation of its slopes.
    pub ripple: Degrees,
}

impl Level {
    /// Of water that hardly moves (own choice; a breeze of 1 m/s makes 5 degrees of open water: Cox and Munk 1954, from memory).
    pub const CALM: Degrees = Degrees::of(0.5);
}

/// What a level does to light.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Surface {
    /// Takes shadows.
    Dry,
    /// Reflects instead of taking shadows.
    Water,
}
