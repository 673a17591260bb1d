//! Set dressings as they are written.

use super::written::{LeftOut, Written, written_enum, written_struct};
use crate::{
    Area, Arrangement, Chosen, CutOutId, Dressing, Factor, KeepClear, Laid, LevelId, Mark, PieceId,
    PracticalId, Ranges, Stance, Target, Thinning,
};
use std::collections::BTreeMap;
use units::{Degrees, Metres};

written_struct! {
    /// A rule that fills an area of ground with pieces, and what it laid there.
    #[schemars(rename = "Dressing")]
    DressingForm = Dressing {
        /// What the artist calls it.
        name: String,
        /// What it is made of.
        of: Vec<Chosen>,
        /// What is filled.
        area: Area,
        /// How the pieces stand to one another.
        arrangement: Arrangement,
        /// In what they differ.
        ranges: Ranges,
        /// How they stand.
        stance: Stance,
    } else {
        /// The level it lies on; the ground under the camera where left out.
        level: Option<LevelId>,
        /// So many at most; as many as find room where left out.
        number: Option<u32>,
        /// Where they stand less close.
        thinning: Vec<Thinning>,
        /// What they look at.
        facing: Option<Target>,
        /// What they must leave free.
        clear: Vec<KeepClear>,
        /// Which of the endless ways to lay it.
        way: u64,
        /// What it laid, by the place in its arrangement.
        laid: BTreeMap<u64, Laid>,
    }
}

written_struct! {
    /// One of the cut-outs that a dressing is made of.
    #[schemars(rename = "Chosen")]
    ChosenForm = Chosen {
        /// Which.
        cutout: CutOutId,
        /// How often it is taken, against the others.
        share: f64,
    }
}

written_enum! {
    /// A part of a level: metres right of the camera axis and away from the camera.
    #[schemars(rename = "Area")]
    AreaForm = Area {
        /// What a closed line surrounds.
        Outline(corners: Vec<[f64; 2]>),
        /// Along a line, so wide.
        Band { along: Vec<[f64; 2]>, width: Metres },
        /// Around a piece, open towards the lens: across from outer edge to outer edge, from there inwards, and the angle that
        /// stays open in degrees.
        Arc { around: PieceId, width: Metres, depth: Metres, opening: Degrees },
    }
}

written_enum! {
    /// How pieces stand to one another.
    #[schemars(rename = "Arrangement")]
    ArrangementForm = Arrangement {
        /// Irregular, and nowhere closer than the spacing.
        Drift { spacing: Metres },
        /// In tufts so wide, with their middles so far apart at least, and the pieces within one.
        Clumps { spacing: Metres, width: Metres, within: Metres },
        /// In straight lines that lead so many degrees right of away; off their places by a share of half the spacing.
        Ranks { bearing: Degrees, spacing: Metres, between: Metres, jitter: f64 },
    }
}

written_enum! {
    /// Where pieces stand less close.
    #[schemars(rename = "Thinning")]
    ThinningForm = Thinning {
        /// With the distance from the camera: from where to where, and the share that is left.
        Distance { from: Metres, to: Metres, left: f64 },
        /// Towards the area's edge: from how far inside, and the share that is left at it.
        Edge { width: Metres, left: f64 },
    }
}

written_struct! {
    /// In what the pieces of a dressing differ: least and most.
    #[schemars(rename = "Ranges")]
    RangesForm = Ranges {
        /// Factor on the real height.
        height: (Factor, Factor),
        /// In degrees, out of the plane.
        lean: (Degrees, Degrees),
        /// In degrees, in the plane.
        turn: (Degrees, Degrees),
        /// In metres above the level.
        lift: (Metres, Metres),
        /// Whether mirror images are used too.
        mirror: bool,
    }
}

written_enum! {
    /// What a dressing must leave free.
    #[schemars(rename = "KeepClear")]
    KeepClearForm = KeepClear {
        /// A region of the picture: closed polygons, as fractions of its width and height.
        Region(region: Vec<Vec<[f64; 2]>>),
        /// A piece, from one share of its height to another.
        Piece { piece: PieceId, from: f64, to: f64 },
        /// A lamp.
        Practical(lamp: PracticalId),
        /// A line of sight along the ground.
        Sight { from: PieceId, to: Target, width: Metres },
        /// The feet of all other pieces on the level.
        Feet { around: Metres },
    }
}

written_struct! {
    /// A piece as a dressing laid it.
    #[schemars(rename = "Laid")]
    LaidForm = Laid {
        /// Which piece.
        piece: PieceId,
        /// What it was to show.
        cutout: CutOutId,
        /// Where it was to stand.
        mark: Mark,
        /// How it was to stand.
        stance: Stance,
    } else {
        /// What it was to look at.
        facing: Option<Target>,
        /// In degrees, out of its plane.
        lean: Degrees,
        /// In degrees, in its plane.
        turn: Degrees,
        /// Left and right exchanged.
        mirrored: bool,
        /// Nudge of its size.
        size: Factor,
        /// Let go by the artist.
        released: bool,
    }
}
