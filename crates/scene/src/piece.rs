//! Pieces and their marks, and what stands before them against the order by distance.

use crate::{CutOutId, LevelId, PieceId, PracticalId, Rows};
use optics::Point;
use units::{Degrees, Metres, Pixels};

/// One standing instance of a cut-out.
#[derive(Clone, PartialEq, Debug)]
pub struct Piece {
    /// What the artist calls it.
    pub name: String,
    /// What it shows.
    pub cutout: CutOutId,
    /// Where its foot is: on the stage, or from the foot of the piece it is attached to.
    pub mark: Mark,
    /// The piece that carries it.
    pub attached_to: Option<PieceId>,
    /// How it stands.
    pub stance: Stance,
    /// Out of its plane: positive leans its top away from the lens.
    pub lean: Degrees,
    /// In its plane, about its foot: positive is clockwise as the picture shows it.
    pub turn: Degrees,
    /// Left and right exchanged.
    pub mirrored: bool,
    /// What it should look at; chooses among the views of its prop. `None` takes the cut-out as it is.
    pub facing: Option<Target>,
    /// What the artist adds to each computed quantity.
    pub rows: Rows,
    /// Kept in the wings: it has a mark but is not in the picture.
    pub hidden: bool,
}

impl Piece {
    /// A piece as it comes on stage: upright on its mark, everything computed.
    #[must_use]
    pub fn standing(name: impl Into<String>, cutout: CutOutId, mark: Mark) -> Self {
        Self {
            name: name.into(),
            cutout,
            mark,
            attached_to: None,
            stance: Stance::Upright,
            lean: Degrees::ZERO,
            turn: Degrees::ZERO,
            mirrored: false,
            facing: None,
            rows: Rows::default(),
            hidden: false,
        }
    }
}

/// A place on a level.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Mark {
    /// To the right of the camera axis.
    pub x: Metres,
    /// Lifted above the level.
    pub y: Metres,
    /// Away from the camera, along the ground.
    pub z: Metres,
    /// The level it is on; `None` is the ground under the camera. A piece that is attached to another has
    /// none: its mark counts from the other's foot.
    pub level: Option<LevelId>,
}

impl Mark {
    /// On the ground.
    #[must_use]
    pub const fn on_ground(x: Metres, z: Metres) -> Self {
        Self { x, y: Metres::ZERO, z, level: None }
    }
}

/// How a piece stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stance {
    /// In the vertical plane through its mark that faces the camera.
    Upright,
    /// In the plane through its mark that is parallel to the sensor.
    FacingLens,
    /// Flat on its level.
    Lying,
    /// As upright, but its mark is where it hangs from: the top of its solid part.
    Hanging,
    /// Flat on a vertical wall through its mark, square to the camera axis.
    Wall,
}

/// What a piece looks at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Target {
    /// Another piece.
    Piece(PieceId),
    /// A lamp.
    Practical(PracticalId),
    /// A place on the stage.
    Point(Point),
    /// The camera.
    Lens,
    /// Away from the camera.
    Away,
}

/// A region of the picture in which something stands before a piece although it is farther away.
#[derive(Clone, PartialEq, Debug)]
pub struct InFront {
    /// What comes forward.
    pub what: InFrontOf,
    /// The piece it covers.
    pub before: PieceId,
    /// Closed polygons; inside is what an odd number of them surrounds.
    pub region: Vec<Polygon>,
    /// Width of the soft edge in picture pixels.
    pub softness: Pixels,
}

/// What comes forward in a region.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum InFrontOf {
    /// The backdrop.
    Backdrop,
    /// Another piece.
    Piece(PieceId),
}

/// Corners of a closed polygon, as fractions of the picture's width and height from its top left corner.
pub type Polygon = Vec<[f64; 2]>;
