//! The treatments over the whole picture, in the order of the light's way (docs/model.md, *Toning*).

use crate::{PieceId, PracticalId, Stroke, TreatmentId};
use optics::Point;
use std::collections::BTreeSet;
use units::{Degrees, Metres, Mired, Pixels, Stops, Vec3};

/// One step of the toning.
#[derive(Clone, PartialEq, Debug)]
pub struct Treatment {
    /// Its name in the picture.
    pub id: TreatmentId,
    /// What it does.
    pub kind: Kind,
    /// How much of it: 0 nothing, 1 as stated.
    pub strength: f64,
    /// Where it works.
    pub where_: Where,
}

/// Where on the light's way a treatment happens.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Step {
    /// At the lens.
    Lens,
    /// On the film.
    Film,
    /// In the print.
    Print,
}

/// What a treatment does. Radii and sizes are in pixels of the picture's format; colours are linear RGB in
/// the working primaries.
#[derive(Clone, PartialEq, Debug)]
pub enum Kind {
    /// At the lens: stray light spread evenly over the picture.
    Veil {
        /// Share of the picture's mean light that is spread, 0 to 1.
        amount: f64,
        /// Colour that it takes on; 1, 1, 1 is none.
        colour: Vec3,
    },
    /// At the lens: a glow around what is bright.
    Halation {
        /// Share of the light that is spread, 0 to 1.
        amount: f64,
        /// Of the glow.
        radius: Pixels,
    },
    /// At the lens: darker towards the corners.
    EdgeFallOff {
        /// How much darker the corners are; negative makes them lighter.
        stops: Stops,
    },
    /// On the film: more or less light.
    Exposure(Stops),
    /// On the film: the colour balance.
    Balance {
        /// Positive is warmer.
        warmth: Mired,
        /// In thousandths of CIE 1960 u, v: positive is green.
        tint: f64,
    },
    /// On the film: grain.
    Grain {
        /// Standard deviation at mid-grey, as a share of it.
        amount: f64,
        /// Mean diameter of a grain.
        size: Pixels,
        /// Which grain: the same seed gives the same grain.
        seed: u64,
    },
    /// In the print: the characteristic curve, in stops from mid-grey (0.18).
    CharacteristicCurve {
        /// How far below mid-grey the straight line ends and the toe begins.
        toe: Stops,
        /// Of the straight line: 1 keeps the contrast.
        slope: f64,
        /// How far above mid-grey the straight line ends and the shoulder begins.
        shoulder: Stops,
        /// Steps of the wedge pulled lighter (positive) or darker, lowest first.
        pulled: Vec<PulledStep>,
    },
    /// In the print: the strength of colours; 0 none, 1 as it was.
    Saturation(f64),
    /// In the print: one colour into the shadows, another into the lights. 1, 1, 1 is none.
    SplitToning {
        /// Multiplies the shadows.
        shadow: Vec3,
        /// Multiplies the lights.
        highlight: Vec3,
    },
    /// In the print: even light over the paper, which lifts the blacks.
    Flashing {
        /// Light that is added.
        colour: Vec3,
    },
    /// In the print: the edges burned in.
    EdgeBurn {
        /// How much darker the outer edge gets.
        stops: Stops,
        /// Colour of the burned edge: multiplies it; 1, 1, 1 is none.
        tint: Vec3,
        /// Where it begins, as a share of the way from the middle to a corner.
        start: f64,
        /// Where it is full.
        end: f64,
    },
    /// In the print: sharpness by a blurred mask.
    Sharpness {
        /// How strong: 1 doubles the difference from the blurred mask.
        amount: f64,
        /// Of the mask's blur.
        radius: Pixels,
    },
}

/// A step of the wedge pulled lighter or darker.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PulledStep {
    /// Which step: from mid-grey.
    pub at: Stops,
    /// By how much: positive is lighter.
    pub by: Stops,
}

impl Kind {
    /// Where on the light's way it happens.
    #[must_use]
    pub const fn step(&self) -> Step {
        match self {
            Self::Veil { .. } | Self::Halation { .. } | Self::EdgeFallOff { .. } => Step::Lens,
            Self::Exposure(_) | Self::Balance { .. } | Self::Grain { .. } => Step::Film,
            Self::CharacteristicCurve { .. }
            | Self::Saturation(_)
            | Self::SplitToning { .. }
            | Self::Flashing { .. }
            | Self::EdgeBurn { .. }
            | Self::Sharpness { .. } => Step::Print,
        }
    }

    /// What the toning card calls it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Veil { .. } => "veil",
            Self::Halation { .. } => "halation",
            Self::EdgeFallOff { .. } => "edge fall-off",
            Self::Exposure(_) => "exposure",
            Self::Balance { .. } => "balance",
            Self::Grain { .. } => "grain",
            Self::CharacteristicCurve { .. } => "characteristic curve",
            Self::Saturation(_) => "saturation",
            Self::SplitToning { .. } => "split toning",
            Self::Flashing { .. } => "flashing",
            Self::EdgeBurn { .. } => "edge burn",
            Self::Sharpness { .. } => "sharpness",
        }
    }
}

/// Where a treatment works: where all of these hold. With none it works everywhere.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Where(pub Vec<Clause>);

impl Where {
    /// The whole picture.
    pub const EVERYWHERE: Self = Self(Vec::new());
}

/// One condition on where a treatment works. Soft widths are those over which it fades from full to none,
/// half on either side of the stated limit.
#[derive(Clone, PartialEq, Debug)]
pub enum Clause {
    /// On these pieces, by what is seen of them; on none where the list is empty.
    OnPieces(BTreeSet<PieceId>),
    /// Not on these pieces.
    NotOnPieces(BTreeSet<PieceId>),
    /// On the subject; nowhere without one.
    OnSubject,
    /// Not on the subject; everywhere without one.
    NotOnSubject,
    /// Within a distance of something, on the stage.
    Within {
        /// Of what.
        of: Place,
        /// How far.
        distance: Metres,
        /// Over which it fades.
        soft: Metres,
    },
    /// Farther than that from something.
    Beyond {
        /// Of what.
        of: Place,
        /// How far.
        distance: Metres,
        /// Over which it fades.
        soft: Metres,
    },
    /// Farther from the camera than this depth.
    BehindDepth {
        /// Along the camera's axis.
        depth: Metres,
        /// Over which it fades.
        soft: Metres,
    },
    /// Nearer to the camera than this depth.
    BeforeDepth {
        /// Along the camera's axis.
        depth: Metres,
        /// Over which it fades.
        soft: Metres,
    },
    /// Between two tones, in stops from mid-grey (0.18).
    Tones {
        /// Darkest; `None` from black.
        from: Option<Stops>,
        /// Lightest; `None` without end.
        to: Option<Stops>,
        /// Over which it fades.
        soft: Stops,
    },
    /// In a range of hue.
    Hues {
        /// CIE LCh(ab) hue angle, 0 to 360.
        centre: Degrees,
        /// Whole width of the range.
        width: Degrees,
        /// Over which it fades.
        soft: Degrees,
    },
    /// Rising from nothing at one place to full at another, as fractions of the picture's width and height.
    Gradient {
        /// Where it is nothing.
        from: [f64; 2],
        /// Where it is full.
        to: [f64; 2],
    },
    /// On a dodging card: where it is painted.
    Card {
        /// What it is fixed to, and goes with; `None`: the picture.
        of: Option<PieceId>,
        /// What was painted on it, and rubbed off again, in this order: [`Says::Add`](crate::Says::Add) and
        /// [`Says::Remove`](crate::Says::Remove), in pixels of the picture, or of the shot that the piece shows.
        strokes: Vec<Stroke>,
    },
}

/// Something that a distance on the stage is measured from.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Place {
    /// A fixed place.
    Point(Point),
    /// The foot of a piece.
    Piece(PieceId),
    /// A lamp.
    Practical(PracticalId),
}
