//! What is done by hand on cut-outs, as it is written.

use super::written::{LeftOut, Written, written_enum, written_struct};
use crate::{Finish, Joining, Says, Stroke, StrokeForm, Taken};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Digest, Mat3, Pixels};

/// A stroke of the pen over a shot.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
#[schemars(rename = "Stroke")]
pub(super) struct PenForm {
    /// What it says of what lies under it.
    says: SaysForm,
    /// Column, row and half the stroke's width at each of its points, in the shot's pixels.
    dots: Vec<[f64; 3]>,
    /// Its points go round an area.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    area: bool,
    /// Share of its radius over which it fades out.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    soft: f64,
    /// How much of it is done; all where left out.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    strength: Option<f64>,
}

super::object::only_as_object!(PenForm);

impl Written for Stroke {
    type Form = PenForm;
    fn write(&self) -> PenForm {
        PenForm {
            says: self.says.write(),
            dots: self.dots.iter().map(|(u, v, r)| [u.write(), v.write(), r.write()]).collect(),
            area: self.form == StrokeForm::Area,
            soft: self.soft,
            strength: (self.strength.to_bits() != 1.0f64.to_bits()).then_some(self.strength),
        }
    }
    fn read(form: PenForm) -> Self {
        let dot = |[u, v, r]: [f64; 3]| (Pixels::read(u), Pixels::read(v), Pixels::read(r));
        Self {
            says: Says::read(form.says),
            form: if form.area { StrokeForm::Area } else { StrokeForm::Line },
            dots: form.dots.into_iter().map(dot).collect(),
            soft: form.soft,
            strength: form.strength.unwrap_or(1.0),
        }
    }
}

written_enum! {
    /// What a stroke says.
    #[schemars(rename = "Says")]
    SaysForm = Says {
        /// Surely the thing, when the shot is cut.
        Inside,
        /// Surely not.
        Outside,
        /// To be solved.
        Between,
        /// The matte covers more.
        Add,
        /// It covers less.
        Remove,
        /// It is blurred, by a disc of this radius in pixels.
        Soften(radius: Pixels),
        /// It follows the edge that the shot shows.
        Follow,
        /// Holes that it encloses are closed.
        Close,
        /// The shot is filled from its surroundings.
        Mend,
        /// Taken from the other shot.
        Take,
        /// Not taken from there.
        Stay,
    }
}

written_struct! {
    /// What a cut-out takes from other shots of the same sitting.
    #[schemars(rename = "Joining")]
    JoiningForm = Joining {
        /// What is taken, one after the other.
        taken: Vec<Taken>,
    } else {
        /// The source that holds the coverage of its own shot alone.
        matte: Option<Digest>,
    }
}

written_struct! {
    /// What is taken from another shot.
    #[schemars(rename = "Taken")]
    TakenForm = Taken {
        /// The source that is the other shot.
        shot: Digest,
        /// From pixels of the cut-out's shot to those of the other one: rows of a 3 x 3 matrix.
        to_shot: Mat3,
        /// What is taken, and what is not.
        strokes: Vec<Stroke>,
    } else {
        /// The source that holds its coverage.
        matte: Option<Digest>,
    }
}

written_struct! {
    /// How the edge of a cut-out is finished.
    #[derive(Default)]
    #[schemars(rename = "Finish")]
    FinishForm = Finish {} else {
        /// How far the edge is moved outwards, in the shot's pixels.
        margin: Pixels,
        /// Coverage that becomes clear, and coverage that becomes solid.
        levels: Option<(f64, f64)>,
        /// Largest hole that is closed, in the shot's pixels.
        holes: f64,
        /// How much of the paper's cast is taken off, 0 to 1.
        cast: f64,
        /// How much an over-bright rim is calmed, 0 to 1.
        calm: f64,
        /// Width of the band along the edge that both work on, in the shot's pixels; 6.
        rim: Option<Pixels>,
    }
}

impl LeftOut for FinishForm {
    fn is_left_out(&self) -> bool {
        self.margin.is_left_out()
            && self.levels.is_none()
            && self.holes.is_left_out()
            && self.cast.is_left_out()
            && self.calm.is_left_out()
            && self.rim.is_none()
    }
}
