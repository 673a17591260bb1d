//! Set dressing: rules that fill an area of ground with pieces (docs/model.md, *Set dressing*).

use crate::{CutOutId, Factor, LevelId, Mark, PieceId, Polygon, PracticalId, Stance, Target};
use std::collections::BTreeMap;
use units::{Degrees, Metres};

/// A rule that fills an area of ground with pieces, and what it laid there.
///
/// The pieces are pieces of the picture like any other. What the rule gave each of them is kept beside the rule: whatever a piece has
/// become since is the artist's doing, and stays when the rule is laid again.
#[derive(Clone, PartialEq, Debug)]
pub struct Dressing {
    /// What the artist calls it; its pieces are numbered after it.
    pub name: String,
    /// What it is made of; at least one.
    pub of: Vec<Chosen>,
    /// The level it lies on; `None` is the ground under the camera.
    pub level: Option<LevelId>,
    /// What is filled.
    pub area: Area,
    /// How the pieces stand to one another.
    pub arrangement: Arrangement,
    /// So many at most; `None`: as many as find room.
    pub number: Option<u32>,
    /// Where they stand less close.
    pub thinning: Vec<Thinning>,
    /// In what each piece may differ.
    pub ranges: Ranges,
    /// How they stand.
    pub stance: Stance,
    /// What they look at.
    pub facing: Option<Target>,
    /// What they must leave free.
    pub clear: Vec<KeepClear>,
    /// Which of the endless ways to lay it.
    pub way: u64,
    /// What it laid, by the place in its arrangement.
    pub laid: BTreeMap<u64, Laid>,
}

/// One of the cut-outs that a dressing is made of.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Chosen {
    /// Which.
    pub cutout: CutOutId,
    /// How often it is taken, against the others.
    pub share: f64,
}

/// A part of a level: metres right of the camera axis and away from the camera.
#[derive(Clone, PartialEq, Debug)]
pub enum Area {
    /// What a closed line surrounds.
    Outline(Vec<[f64; 2]>),
    /// Along a line.
    Band {
        /// The line, from corner to corner.
        along: Vec<[f64; 2]>,
        /// Across it.
        width: Metres,
    },
    /// Around a piece, open towards the lens.
    Arc {
        /// The piece.
        around: PieceId,
        /// Across the whole arc, from outer edge to outer edge.
        width: Metres,
        /// From its outer edge inwards; as deep as it is wide is all of it, but for the opening.
        depth: Metres,
        /// The angle that stays open towards the lens.
        opening: Degrees,
    },
}

/// How pieces stand to one another.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Arrangement {
    /// As things grow or drift: irregular, and nowhere closer than the spacing.
    Drift {
        /// Least distance.
        spacing: Metres,
    },
    /// In tufts.
    Clumps {
        /// Least distance between the middles of two clumps.
        spacing: Metres,
        /// Across one clump.
        width: Metres,
        /// Least distance in a clump.
        within: Metres,
    },
    /// In straight lines.
    Ranks {
        /// Where the lines lead: 0 is away from the camera, positive to the right.
        bearing: Degrees,
        /// Along a line, from piece to piece.
        spacing: Metres,
        /// From line to line.
        between: Metres,
        /// How far a piece may stand off its place: share (0 to 1) of half the spacing.
        jitter: f64,
    },
}

/// Where pieces stand less close. Several work together.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Thinning {
    /// With the distance from the camera, along the ground.
    Distance {
        /// Up to here nothing is thinned.
        from: Metres,
        /// From here on so much is left.
        to: Metres,
        /// Share of the pieces, 0 to 1.
        left: f64,
    },
    /// Towards the area's edge.
    Edge {
        /// How far inside the edge it begins.
        width: Metres,
        /// Share of the pieces that is left at the edge, 0 to 1.
        left: f64,
    },
}

/// In what the pieces of a dressing differ: least and most.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ranges {
    /// Factor on the real height.
    pub height: (Factor, Factor),
    /// Out of the plane.
    pub lean: (Degrees, Degrees),
    /// In the plane.
    pub turn: (Degrees, Degrees),
    /// Above the level.
    pub lift: (Metres, Metres),
    /// Whether mirror images are used too, of what may be mirrored.
    pub mirror: bool,
}

impl Default for Ranges {
    fn default() -> Self {
        Self {
            height: (Factor::ONE, Factor::ONE),
            lean: (Degrees::ZERO, Degrees::ZERO),
            turn: (Degrees::ZERO, Degrees::ZERO),
            lift: (Metres::ZERO, Metres::ZERO),
            mirror: true,
        }
    }
}

/// What a dressing must leave free.
#[derive(Clone, PartialEq, Debug)]
pub enum KeepClear {
    /// A region of the picture that nothing may cover.
    Region(Vec<Polygon>),
    /// A piece: what stands nearer must not cover it, from one height of it to another.
    Piece {
        /// Which.
        piece: PieceId,
        /// As shares of its height, 0 at the foot and 1 at the top.
        from: f64,
        /// Larger than `from`.
        to: f64,
    },
    /// A lamp: what stands nearer must not cover it.
    Practical(PracticalId),
    /// A line of sight along the ground, from a piece to what it looks at.
    Sight {
        /// Who looks.
        from: PieceId,
        /// At what.
        to: Target,
        /// Across the line.
        width: Metres,
    },
    /// The feet of all other pieces on the level.
    Feet {
        /// So far around each.
        around: Metres,
    },
}

/// A piece as a dressing laid it: what of it is still so follows the rule, what is not is the artist's.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Laid {
    /// Which piece. It may have been removed since: its place stays empty then.
    pub piece: PieceId,
    /// What it was to show.
    pub cutout: CutOutId,
    /// Where it was to stand.
    pub mark: Mark,
    /// Out of its plane.
    pub lean: Degrees,
    /// In its plane.
    pub turn: Degrees,
    /// Left and right exchanged.
    pub mirrored: bool,
    /// Nudge of its size.
    pub size: Factor,
    /// How it was to stand.
    pub stance: Stance,
    /// What it was to look at; may be gone since.
    pub facing: Option<Target>,
    /// Let go by the artist: the rule no longer changes it, and its place stays taken.
    pub released: bool,
}

impl Dressing {
    /// The dressing that laid a piece, and the place in it.
    pub(crate) fn names(&self, piece: PieceId) -> bool {
        let around = matches!(self.area, Area::Arc { around, .. } if around == piece);
        let clear = |c: &KeepClear| match c {
            KeepClear::Piece { piece: of, .. } => *of == piece,
            KeepClear::Sight { from, to, .. } => *from == piece || *to == Target::Piece(piece),
            KeepClear::Region(_) | KeepClear::Practical(_) | KeepClear::Feet { .. } => false,
        };
        around || self.facing == Some(Target::Piece(piece)) || self.clear.iter().any(clear)
    }

    /// Whether it needs a lamp.
    pub(crate) fn names_lamp(&self, lamp: PracticalId) -> bool {
        let clear = |c: &KeepClear| match c {
            KeepClear::Practical(of) => *of == lamp,
            KeepClear::Sight { to, .. } => *to == Target::Practical(lamp),
            _ => false,
        };
        self.facing == Some(Target::Practical(lamp)) || self.clear.iter().any(clear)
    }
}
