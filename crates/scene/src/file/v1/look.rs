//! The toning as it is written.

use super::written::{Written, written_enum, written_struct};
use crate::{Clause, Kind, PieceId, Place, PracticalId, PulledStep, Stroke, Treatment, TreatmentId, Where};
use optics::Point;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use units::{Degrees, Metres, Mired, Pixels, Stops, Vec3};

/// One step of the toning.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
#[schemars(rename = "Treatment")]
pub(super) struct TreatmentForm {
    /// Its id.
    pub(super) id: u64,
    /// What it does.
    kind: KindForm,
    /// How much of it: 0 nothing, 1 as stated.
    strength: f64,
    /// Where it works: where all of these hold; everywhere where left out.
    #[serde(rename = "where", default, skip_serializing_if = "Vec::is_empty")]
    where_: Vec<ClauseForm>,
}

super::object::only_as_object!(TreatmentForm);

impl Written for Treatment {
    type Form = TreatmentForm;
    fn write(&self) -> TreatmentForm {
        TreatmentForm {
            id: self.id.write(),
            kind: self.kind.write(),
            strength: self.strength,
            where_: self.where_.0.write(),
        }
    }
    fn read(form: TreatmentForm) -> Self {
        Self {
            id: TreatmentId::read(form.id),
            kind: Kind::read(form.kind),
            strength: form.strength,
            where_: Where(Vec::read(form.where_)),
        }
    }
}

written_enum! {
    /// What a treatment does. Radii are in picture pixels, colours linear RGB in the working primaries.
    #[schemars(rename = "Kind")]
    KindForm = Kind {
        /// At the lens: stray light over the whole picture.
        Veil {
            /// Share of the picture's mean light, 0 to 1.
            amount: f64,
            /// Colour it takes on.
            colour: Vec3,
        },
        /// At the lens: a glow around what is bright.
        Halation {
            /// Share of the light, 0 to 1.
            amount: f64,
            /// Of the glow.
            radius: Pixels,
        },
        /// At the lens: darker towards the corners.
        EdgeFallOff {
            /// How much darker the corners are.
            stops: Stops,
        },
        /// On the film: in stops.
        Exposure(stops: Stops),
        /// On the film: the colour balance.
        Balance {
            /// In mired; positive is warmer.
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
            /// Which grain.
            seed: u64,
        },
        /// In the print: the characteristic curve, in stops from mid-grey (0.18).
        CharacteristicCurve {
            /// How far below mid-grey the toe begins.
            toe: Stops,
            /// Of the straight line.
            slope: f64,
            /// How far above mid-grey the shoulder begins.
            shoulder: Stops,
            /// Steps pulled lighter or darker, lowest first.
            pulled: Vec<PulledStep>,
        },
        /// In the print: 0 none, 1 as it was.
        Saturation(factor: f64),
        /// In the print: one colour into the shadows, another into the lights.
        SplitToning {
            /// Multiplies the shadows.
            shadow: Vec3,
            /// Multiplies the lights.
            highlight: Vec3,
        },
        /// In the print: even light over the paper.
        Flashing {
            /// Light that is added.
            colour: Vec3,
        },
        /// In the print: the edges burned in.
        EdgeBurn {
            /// How much darker the outer edge gets.
            stops: Stops,
            /// Multiplies the burned edge.
            tint: Vec3,
            /// Where it begins, as a share of the way from the middle to a corner.
            start: f64,
            /// Where it is full.
            end: f64,
        },
        /// In the print: sharpness by a blurred mask.
        Sharpness {
            /// 1 doubles the difference from the mask.
            amount: f64,
            /// Of the mask's blur.
            radius: Pixels,
        },
    }
}

written_struct! {
    /// A step of the wedge pulled lighter or darker.
    #[schemars(rename = "PulledStep")]
    PulledStepForm = PulledStep {
        /// Which: stops from mid-grey.
        at: Stops,
        /// In stops; positive is lighter.
        by: Stops,
    }
}

written_enum! {
    /// One condition on where a treatment works.
    #[schemars(rename = "Clause")]
    ClauseForm = Clause {
        /// On these pieces.
        OnPieces(ids: BTreeSet<PieceId>),
        /// Not on these pieces.
        NotOnPieces(ids: BTreeSet<PieceId>),
        /// On the subject.
        OnSubject,
        /// Not on the subject.
        NotOnSubject,
        /// Within a distance of something, in metres.
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
        /// Farther from the camera than this depth, in metres.
        BehindDepth {
            /// Along the camera's axis.
            depth: Metres,
            /// Over which it fades.
            soft: Metres,
        },
        /// Nearer to the camera than this depth, in metres.
        BeforeDepth {
            /// Along the camera's axis.
            depth: Metres,
            /// Over which it fades.
            soft: Metres,
        },
        /// Between two tones, in stops from mid-grey.
        Tones {
            /// Darkest; null from black.
            from: Option<Stops>,
            /// Lightest; null without end.
            to: Option<Stops>,
            /// Over which it fades.
            soft: Stops,
        },
        /// In a range of CIE LCh hue, in degrees.
        Hues {
            /// Its middle.
            centre: Degrees,
            /// Its whole width.
            width: Degrees,
            /// Over which it fades.
            soft: Degrees,
        },
        /// Rising from nothing at one place to full at another, as fractions of width and height.
        Gradient {
            /// Where it is nothing.
            from: [f64; 2],
            /// Where it is full.
            to: [f64; 2],
        },
        /// On a dodging card: where it is painted.
        Card {
            /// The piece that it is fixed to; null: the picture.
            of: Option<PieceId>,
            /// What was painted on it (add) and rubbed off again (remove), in pixels of the picture, or of the shot that the piece shows.
            strokes: Vec<Stroke>,
        },
    }
}

written_enum! {
    /// Something that a distance is measured from.
    #[schemars(rename = "Place")]
    PlaceForm = Place {
        /// A fixed place.
        Point(at: Point),
        /// The foot of a piece.
        Piece(id: PieceId),
        /// A lamp.
        Practical(id: PracticalId),
    }
}
