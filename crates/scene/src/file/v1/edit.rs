//! Edits and takes as they are written.

use super::written::{LeftOut, Written, written_enum, written_struct};
use crate::{
    Backdrop, CutOut, CutOutId, Dressing, DressingId, Dusk, Edit, Factor, Facts, Finish, Format, InFront,
    InFrontId, Level, LevelId, Mark, Piece, PieceChange, PieceId, Practical, PracticalId, Put, Row, SetUp,
    SetUpId, SkyLight, Source, Stage, Stance, Stated, Stroke, SunLight, Take, TakeId, Target, Treatment,
    TreatmentChange, TreatmentId, Warmth,
};
use optics::{Haze, Lens};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use units::{Degrees, Digest, Pixels, PixelsPerMetre, Stops, Vec3};

written_struct! {
    /// A named variant of the picture.
    #[schemars(rename = "Take")]
    TakeForm = Take {
        /// What the artist calls it.
        name: String,
    } else {
        /// What the picture's blur discs are multiplied by.
        depth: Factor,
        /// Laid over the picture in this order.
        changes: Vec<Edit>,
    }
}

written_enum! {
    /// One decision of the artist.
    #[schemars(rename = "Edit")]
    EditForm = Edit {
        /// Several that count as one.
        Group(edits: Vec<Edit>),
        /// What the picture is called.
        Name(name: String),
        /// Its size and shape.
        Format(format: Format),
        /// The photograph everything stands in.
        Backdrop(backdrop: Option<Backdrop>),
        /// The camera.
        Stage(stage: Stage),
        /// What of the stage somebody has stated.
        Stated(stated: BTreeSet<Stated>),
        /// The lens that makes the defocus.
        Lens(lens: Lens),
        /// What every blur disc is multiplied by.
        DepthScale(scale: Factor),
        /// The sky's light.
        Sky(sky: SkyLight),
        /// The sun.
        Sun(sun: Option<SunLight>),
        /// Mean share of light that the ground returns.
        GroundReflectance(share: Vec3),
        /// The daylight taken down.
        Dusk(dusk: Option<Dusk>),
        /// The haze.
        Haze(haze: Option<Haze>),
        /// The piece the picture is about.
        Subject(piece: Option<PieceId>),
        /// An original file.
        Source { digest: Digest, put: Put<Box<Source>> },
        /// A level of the ground.
        Level { id: LevelId, put: Put<Box<Level>> },
        /// A lamp.
        Practical { id: PracticalId, put: Put<Box<Practical>> },
        /// A studio set-up.
        SetUp { id: SetUpId, put: Put<Box<SetUp>> },
        /// A cut-out.
        #[serde(rename = "cutout")]
        CutOut { id: CutOutId, put: Put<Box<CutOut>> },
        /// What is known of a cut-out.
        Facts { cutout: CutOutId, facts: Box<Facts> },
        /// A stroke of the pen over a cut-out, at its place among the others, counted from 0.
        Stroke { cutout: CutOutId, at: usize, put: Put<Box<Stroke>> },
        /// How a cut-out's edge is finished.
        Finish { cutout: CutOutId, finish: Finish },
        /// A piece as a whole.
        Piece { id: PieceId, put: Put<Box<Piece>> },
        /// One thing about a piece.
        Change { piece: PieceId, change: PieceChange },
        /// A region that puts something in front of a piece.
        InFront { id: InFrontId, put: Put<Box<InFront>> },
        /// A set dressing, with what it laid.
        Dressing { id: DressingId, put: Put<Box<Dressing>> },
        /// A treatment.
        Treatment { id: TreatmentId, change: TreatmentChange },
        /// A take.
        Take { id: TakeId, put: Put<Box<Take>> },
        /// One change of a take, at its place in it, counted from 0.
        TakeChange { take: TakeId, at: usize, put: Put<Box<Edit>> },
    }
}

/// What becomes of a thing with an id.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[schemars(rename = "Put{T}")]
pub(super) enum PutForm<T> {
    /// It is new.
    Add(T),
    /// It changes.
    Replace(T),
    /// It goes.
    Remove,
}

impl<T: Written> Written for Put<T> {
    type Form = PutForm<T::Form>;
    fn write(&self) -> Self::Form {
        match self {
            Self::Add(value) => PutForm::Add(value.write()),
            Self::Replace(value) => PutForm::Replace(value.write()),
            Self::Remove => PutForm::Remove,
        }
    }
    fn read(form: Self::Form) -> Self {
        match form {
            PutForm::Add(value) => Self::Add(T::read(value)),
            PutForm::Replace(value) => Self::Replace(T::read(value)),
            PutForm::Remove => Self::Remove,
        }
    }
}

written_enum! {
    /// One thing about a piece.
    #[schemars(rename = "PieceChange")]
    PieceChangeForm = PieceChange {
        /// What it is called.
        Name(name: String),
        /// What it shows.
        #[serde(rename = "cutout")]
        CutOut(cutout: CutOutId),
        /// Where its foot is.
        Mark(mark: Mark),
        /// What carries it, with its mark from there.
        Attached { to: Option<PieceId>, mark: Mark },
        /// How it stands.
        Stance(stance: Stance),
        /// Out of its plane, in degrees.
        Lean(lean: Degrees),
        /// In its plane, in degrees.
        Turn(turn: Degrees),
        /// Left and right exchanged.
        Mirrored(mirrored: bool),
        /// What it should look at.
        Facing(target: Option<Target>),
        /// In the wings.
        Hidden(hidden: bool),
        /// Its size.
        Size(row: Row<Factor, PixelsPerMetre>),
        /// Its defocus.
        Defocus(row: Row<Factor, Pixels>),
        /// Its brightness.
        Light(row: Row<Stops, Stops>),
        /// Its colour of light.
        Warmth(row: Row<Warmth, Warmth>),
        /// Its haze.
        Haze(row: Row<Factor, f64>),
        /// Its shadow.
        Shadow(row: Row<Factor, f64>),
    }
}

written_enum! {
    /// What becomes of a treatment; places count from 0 in its step of the light's way.
    #[schemars(rename = "TreatmentChange")]
    TreatmentChangeForm = TreatmentChange {
        /// It is new.
        Add { at: usize, treatment: Box<Treatment> },
        /// It changes.
        Replace(treatment: Box<Treatment>),
        /// It moves.
        Move { to: usize },
        /// It goes.
        Remove,
    }
}
