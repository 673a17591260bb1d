//! Edits: what the artist can decide, as plain values. [`Scene::apply`](crate::Scene::apply) carries them out.

use crate::{
    Backdrop, CutOut, CutOutId, Dressing, DressingId, Dusk, Factor, Facts, Finish, Format, InFront,
    InFrontId, Level, LevelId, Mark, Piece, PieceId, Practical, PracticalId, Row, SetUp, SetUpId, SkyLight,
    Source, Stage, Stance, Stated, Stroke, SunLight, Take, TakeId, Target, Treatment, TreatmentId, Warmth,
};
use optics::{Haze, Lens};
use std::collections::BTreeSet;
use units::{Degrees, Digest, Pixels, PixelsPerMetre, Stops, Vec3};

/// One decision. Each variant states the whole new value of what it changes, so that it means the same whatever
/// came before.
#[derive(Clone, PartialEq, Debug)]
pub enum Edit {
    /// Several that count as one: all are done, in this order, or none.
    Group(Vec<Edit>),
    /// What the picture is called.
    Name(String),
    /// Its size and shape.
    Format(Format),
    /// The photograph everything stands in.
    Backdrop(Option<Backdrop>),
    /// The camera.
    Stage(Stage),
    /// What of the stage somebody has stated.
    Stated(BTreeSet<Stated>),
    /// The lens that makes the defocus.
    Lens(Lens),
    /// What every blur disc of the lens is multiplied by.
    DepthScale(Factor),
    /// The sky's light.
    Sky(SkyLight),
    /// The sun.
    Sun(Option<SunLight>),
    /// Mean share of light that the ground returns.
    GroundReflectance(Vec3),
    /// The daylight taken down.
    Dusk(Option<Dusk>),
    /// The haze.
    Haze(Option<Haze>),
    /// The piece the picture is about.
    Subject(Option<PieceId>),
    /// An original file.
    Source {
        /// Of its bytes.
        digest: Digest,
        /// What becomes of it.
        put: Put<Box<Source>>,
    },
    /// A level of the ground.
    Level {
        /// Which.
        id: LevelId,
        /// What becomes of it.
        put: Put<Box<Level>>,
    },
    /// A lamp in the picture.
    Practical {
        /// Which.
        id: PracticalId,
        /// What becomes of it.
        put: Put<Box<Practical>>,
    },
    /// A studio set-up.
    SetUp {
        /// Which.
        id: SetUpId,
        /// What becomes of it.
        put: Put<Box<SetUp>>,
    },
    /// A cut-out.
    CutOut {
        /// Which.
        id: CutOutId,
        /// What becomes of it.
        put: Put<Box<CutOut>>,
    },
    /// What is known of a cut-out.
    Facts {
        /// Which cut-out.
        cutout: CutOutId,
        /// All of it.
        facts: Box<Facts>,
    },
    /// A stroke of the pen over a cut-out.
    Stroke {
        /// Which cut-out.
        cutout: CutOutId,
        /// Which of its strokes, counted from 0; adding puts it before the one that was there.
        at: usize,
        /// What becomes of it.
        put: Put<Box<Stroke>>,
    },
    /// How a cut-out's edge is finished.
    Finish {
        /// Which cut-out.
        cutout: CutOutId,
        /// All of it.
        finish: Finish,
    },
    /// A piece as a whole.
    Piece {
        /// Which.
        id: PieceId,
        /// What becomes of it.
        put: Put<Box<Piece>>,
    },
    /// One thing about a piece.
    Change {
        /// Which piece.
        piece: PieceId,
        /// What about it.
        change: PieceChange,
    },
    /// A region that puts something in front of a piece.
    InFront {
        /// Which.
        id: InFrontId,
        /// What becomes of it.
        put: Put<Box<InFront>>,
    },
    /// A set dressing: the rule, and what it laid. The pieces themselves are other edits' matter.
    Dressing {
        /// Which.
        id: DressingId,
        /// What becomes of it.
        put: Put<Box<Dressing>>,
    },
    /// A treatment of the toning.
    Treatment {
        /// Which.
        id: TreatmentId,
        /// What becomes of it.
        change: TreatmentChange,
    },
    /// A take as a whole.
    Take {
        /// Which.
        id: TakeId,
        /// What becomes of it.
        put: Put<Box<Take>>,
    },
    /// One change that a take lays over the picture.
    TakeChange {
        /// Which take.
        take: TakeId,
        /// Which of its changes, counted from 0; adding puts it before the one that was there.
        at: usize,
        /// What becomes of it.
        put: Put<Box<Edit>>,
    },
}

/// What becomes of a thing with an id.
#[derive(Clone, PartialEq, Debug)]
pub enum Put<T> {
    /// It is new; the id must be free.
    Add(T),
    /// It changes; it must be there.
    Replace(T),
    /// It goes; it must be there, and nothing may still need it.
    Remove,
}

impl<T> Put<T> {
    /// What it puts.
    pub(crate) const fn value(&self) -> Option<&T> {
        match self {
            Self::Add(value) | Self::Replace(value) => Some(value),
            Self::Remove => None,
        }
    }
}

/// One thing about a piece.
#[derive(Clone, PartialEq, Debug)]
pub enum PieceChange {
    /// What it is called.
    Name(String),
    /// What it shows.
    CutOut(CutOutId),
    /// Where its foot is.
    Mark(Mark),
    /// What carries it, with its mark from there (or on the stage, for `None`).
    Attached {
        /// The piece that carries it.
        to: Option<PieceId>,
        /// Its mark from then on.
        mark: Mark,
    },
    /// How it stands.
    Stance(Stance),
    /// Out of its plane.
    Lean(Degrees),
    /// In its plane.
    Turn(Degrees),
    /// Left and right exchanged.
    Mirrored(bool),
    /// What it should look at.
    Facing(Option<Target>),
    /// In the wings.
    Hidden(bool),
    /// Its size.
    Size(Row<Factor, PixelsPerMetre>),
    /// Its defocus.
    Defocus(Row<Factor, Pixels>),
    /// Its brightness.
    Light(Row<Stops, Stops>),
    /// Its colour of light.
    Warmth(Row<Warmth, Warmth>),
    /// Its haze.
    Haze(Row<Factor, f64>),
    /// Its shadow.
    Shadow(Row<Factor, f64>),
}

/// What becomes of a treatment. Places count from 0 among the treatments of the same step of the light's way.
#[derive(Clone, PartialEq, Debug)]
pub enum TreatmentChange {
    /// It is new, at this place.
    Add {
        /// Its place, up to the number of treatments of its step.
        at: usize,
        /// The treatment; its own id must be the edit's.
        treatment: Box<Treatment>,
    },
    /// It changes and stays at its place; its step must stay too.
    Replace(Box<Treatment>),
    /// It moves to another place in its step.
    Move {
        /// Its new place.
        to: usize,
    },
    /// It goes.
    Remove,
}
