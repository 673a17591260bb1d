//! Cut-outs, pieces and what is in front of them, as they are written.

use super::quantity::FactorForm;
use super::written::{LeftOut, Written, written_enum, written_struct};
use crate::{
    Basis, CutOut, CutOutId, CutOutKind, Facts, Finish, InFront, InFrontOf, Joining, LevelId, Mark, Piece,
    PieceId, PracticalId, Row, Rows, Scale, SetUp, SetUpId, Stance, Stroke, Target, Warmth, WhiteReading,
};
use optics::{Point, StudioCamera};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Degrees, Digest, Kelvin, Metres, Mired, Pixels, PixelsPerMetre, Vec3};

written_struct! {
    /// A studio set-up that cut-outs share.
    #[schemars(rename = "SetUp")]
    SetUpForm = SetUp {
        /// What the artist calls it.
        name: String,
    } else {
        /// Colour temperature of its light in kelvin; the picture's white balance where left out.
        cct: Option<Kelvin>,
        /// Tint of its light, in thousandths of CIE 1960 u, v: positive is green.
        tint: f64,
        /// What the shots were balanced for, in kelvin; the light's own where left out.
        white_balance: Option<Kelvin>,
        /// From the camera to the prop's mark, in metres.
        camera_distance: Option<Metres>,
        /// How its camera looked.
        camera: Option<StudioCamera>,
        /// What a perfect white card facing the camera reads at the prop's place, lowest first.
        white_readings: Vec<WhiteReading>,
    }
}

written_struct! {
    /// How the camera of a set-up looked.
    #[schemars(rename = "StudioCamera")]
    StudioCameraForm = StudioCamera {
        /// Above the floor, in metres.
        eye_height: Metres,
        /// Focal length in shot pixels.
        focal_px: Pixels,
        /// Column and row where the optical axis meets its shots.
        principal: (Pixels, Pixels),
    } else {
        /// In degrees, positive looks down.
        pitch: Degrees,
    }
}

written_struct! {
    /// A reading of white.
    #[schemars(rename = "WhiteReading")]
    WhiteReadingForm = WhiteReading {
        /// Above the foot, in metres.
        height: Metres,
        /// Linear RGB on a perfect white, in the working primaries.
        reading: Vec3,
    }
}

written_struct! {
    /// A shot freed of its paper, with the facts about it.
    #[schemars(rename = "CutOut")]
    CutOutForm = CutOut {
        /// What the artist calls it.
        name: String,
        /// The source it was cut from.
        shot: Digest,
        /// Solid, or light alone.
        kind: CutOutKind,
    } else {
        /// The thing it shows; cut-outs of the same prop are views of one another.
        prop: Option<String>,
        /// The source that holds its coverage; the shot's own alpha where left out.
        matte: Option<Digest>,
        /// The source that holds its own colour; the shot's, freed of its paper, where left out.
        colour: Option<Digest>,
        /// What is known of how it was photographed.
        facts: Facts,
        /// What the pen said of it, in this order.
        strokes: Vec<Stroke>,
        /// Names the strokes that its matte was cut by; none.
        cut_by: Option<Digest>,
        /// How its edge is finished.
        finish: Finish,
        /// What it takes from other shots.
        joining: Option<Joining>,
    }
}

written_enum! {
    /// Whether a cut-out covers what is behind it.
    #[schemars(rename = "CutOutKind")]
    CutOutKindForm = CutOutKind {
        /// By its matte.
        Solid,
        /// Adds its light instead: sparks, smoke, shot on black.
        Additive,
    }
}

written_struct! {
    /// What is known of how a cut-out was photographed. What is left out is taken as each field says.
    #[derive(Default)]
    #[schemars(rename = "Facts")]
    FactsForm = Facts {} else {
        /// Column and row where it meets the ground; the middle of its lowest solid row.
        foot: Option<(Pixels, Pixels)>,
        /// How large it really is; 1.7 m high.
        scale: Option<Scale>,
        /// Column and row where the optical axis met the shot; its middle.
        principal: Option<(Pixels, Pixels)>,
        /// Focal length in shot pixels; what scale and camera distance give.
        focal_px: Option<Pixels>,
        /// From the camera to the foot along the ground, in metres; the set-up's, else far away.
        camera_distance: Option<Metres>,
        /// Of the camera in degrees, positive looks down; level.
        pitch: Option<Degrees>,
        /// Of the camera above the foot, in metres; the picture's own camera height above the mark.
        eye_height: Option<Metres>,
        /// Which way it was turned, in degrees: 0 looks at the camera, positive has come round to the right; 0.
        bearing: Option<Degrees>,
        /// The set-up it was shot in; unknown.
        set_up: Option<SetUpId>,
        /// Diameter of the blur disc already in it, in shot pixels; none.
        defocus: Option<Pixels>,
        /// Standard deviation of its noise at mid-grey, linear, 1 being white; none.
        noise: Option<f64>,
        /// Whether a mirror image may be used; it may.
        may_mirror: Option<bool>,
    }
}

impl LeftOut for FactsForm {
    fn is_left_out(&self) -> bool {
        self.foot.is_none()
            && self.scale.is_none()
            && self.principal.is_none()
            && self.focal_px.is_none()
            && self.camera_distance.is_none()
            && self.pitch.is_none()
            && self.eye_height.is_none()
            && self.bearing.is_none()
            && self.set_up.is_none()
            && self.defocus.is_none()
            && self.noise.is_none()
            && self.may_mirror.is_none()
    }
}

written_enum! {
    /// How large a thing is.
    #[schemars(rename = "Scale")]
    ScaleForm = Scale {
        /// Shot pixels to a metre at the foot.
        PerMetre(scale: PixelsPerMetre),
        /// From its foot to the top of its solid part, in metres.
        Height(height: Metres),
    }
}

written_struct! {
    /// One standing instance of a cut-out.
    #[schemars(rename = "Piece")]
    PieceForm = Piece {
        /// What the artist calls it.
        name: String,
        /// What it shows.
        cutout: CutOutId,
        /// Where its foot is.
        mark: Mark,
        /// How it stands.
        stance: Stance,
    } else {
        /// The piece that carries it; its mark then counts from that one's foot.
        attached_to: Option<PieceId>,
        /// In degrees; positive leans its top away from the lens.
        lean: Degrees,
        /// In degrees, in its plane; positive is clockwise as the picture shows it.
        turn: Degrees,
        /// Left and right exchanged.
        mirrored: bool,
        /// What it should look at.
        facing: Option<Target>,
        /// What the artist adds to each computed quantity.
        rows: Rows,
        /// In the wings: not in the picture.
        hidden: bool,
    }
}

written_struct! {
    /// A place on a level, in metres.
    #[schemars(rename = "Mark")]
    MarkForm = Mark {
        /// To the right of the camera axis.
        x: Metres,
        /// Away from the camera, along the ground.
        z: Metres,
    } else {
        /// Lifted above the level.
        y: Metres,
        /// The level it is on; the ground under the camera where left out.
        level: Option<LevelId>,
    }
}

written_enum! {
    /// How a piece stands.
    #[schemars(rename = "Stance")]
    StanceForm = Stance {
        /// In the vertical plane through its mark that faces the camera.
        Upright,
        /// Parallel to the sensor.
        FacingLens,
        /// Flat on its level.
        Lying,
        /// From the top of its solid part.
        Hanging,
        /// Flat on a wall square to the camera axis.
        Wall,
    }
}

written_enum! {
    /// What a piece looks at.
    #[schemars(rename = "Target")]
    TargetForm = Target {
        /// Another piece.
        Piece(id: PieceId),
        /// A lamp.
        Practical(id: PracticalId),
        /// A place on the stage.
        Point(at: Point),
        /// The camera.
        Lens,
        /// Away from the camera.
        Away,
    }
}

/// One quantity of one piece: what the artist adds, and where the value comes from.
#[derive(Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Row_{N}_{V}")]
pub(super) struct RowForm<N: LeftOut + Default, V> {
    /// Relative: added in stops and mired, multiplied for factors.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    nudge: N,
    /// Where the value comes from.
    #[serde(default, skip_serializing_if = "is_computed")]
    basis: BasisForm<V>,
}

/// Where the value of a row comes from.
#[derive(Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[schemars(rename = "Basis_{V}")]
pub(super) enum BasisForm<V> {
    /// From the mark.
    #[default]
    Computed,
    /// Held fixed.
    Pinned(V),
    /// As it is in the shot.
    AsPhotographed,
}

fn is_computed<V>(basis: &BasisForm<V>) -> bool {
    matches!(basis, BasisForm::Computed)
}

impl<N: LeftOut + Default, V> LeftOut for RowForm<N, V> {
    fn is_left_out(&self) -> bool {
        self.nudge.is_left_out() && is_computed(&self.basis)
    }
}

impl<N: Written, V: Written> Written for Row<N, V>
where
    N::Form: LeftOut + Default,
{
    type Form = RowForm<N::Form, V::Form>;
    fn write(&self) -> Self::Form {
        let basis = match &self.basis {
            Basis::Computed => BasisForm::Computed,
            Basis::Pinned(value) => BasisForm::Pinned(value.write()),
            Basis::AsPhotographed => BasisForm::AsPhotographed,
        };
        RowForm { nudge: self.nudge.write(), basis }
    }
    fn read(form: Self::Form) -> Self {
        let basis = match form.basis {
            BasisForm::Computed => Basis::Computed,
            BasisForm::Pinned(value) => Basis::Pinned(V::read(value)),
            BasisForm::AsPhotographed => Basis::AsPhotographed,
        };
        Self { nudge: N::read(form.nudge), basis }
    }
}

written_struct! {
    /// A shift of the colour of light.
    #[derive(Default)]
    #[schemars(rename = "Warmth")]
    WarmthForm = Warmth {} else {
        /// In mired; positive is warmer.
        warmth: Mired,
        /// In thousandths of CIE 1960 u, v: positive is green.
        tint: f64,
    }
}

impl LeftOut for WarmthForm {
    fn is_left_out(&self) -> bool {
        self.warmth.is_left_out() && self.tint.is_left_out()
    }
}

/// The rows of a piece.
#[derive(Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
#[schemars(rename = "Rows")]
pub(super) struct RowsForm {
    /// A factor; pinned in picture pixels to a metre.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    size: RowForm<FactorForm, f64>,
    /// A factor; pinned in picture pixels of the blur disc's diameter.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    defocus: RowForm<FactorForm, f64>,
    /// In stops.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    light: RowForm<f64, f64>,
    /// In mired, with tint.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    warmth: RowForm<WarmthForm, WarmthForm>,
    /// A factor; pinned as a share, 0 to 1.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    haze: RowForm<FactorForm, f64>,
    /// A factor; pinned as a share, 0 to 1.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    shadow: RowForm<FactorForm, f64>,
}

super::object::only_as_object!(RowsForm);

impl LeftOut for RowsForm {
    fn is_left_out(&self) -> bool {
        self.size.is_left_out()
            && self.defocus.is_left_out()
            && self.light.is_left_out()
            && self.warmth.is_left_out()
            && self.haze.is_left_out()
            && self.shadow.is_left_out()
    }
}

impl Written for Rows {
    type Form = RowsForm;
    fn write(&self) -> RowsForm {
        RowsForm {
            size: self.size.write(),
            defocus: self.defocus.write(),
            light: self.light.write(),
            warmth: self.warmth.write(),
            haze: self.haze.write(),
            shadow: self.shadow.write(),
        }
    }
    fn read(form: RowsForm) -> Self {
        Self {
            size: Row::read(form.size),
            defocus: Row::read(form.defocus),
            light: Row::read(form.light),
            warmth: Row::read(form.warmth),
            haze: Row::read(form.haze),
            shadow: Row::read(form.shadow),
        }
    }
}

written_struct! {
    /// A region in which something stands before a piece although it is farther away.
    #[schemars(rename = "InFront")]
    InFrontForm = InFront {
        /// What comes forward.
        what: InFrontOf,
        /// The piece it covers.
        before: PieceId,
        /// Closed polygons, as fractions of the picture's width and height.
        region: Vec<Vec<[f64; 2]>>,
    } else {
        /// Width of the soft edge in picture pixels.
        softness: Pixels,
    }
}

written_enum! {
    /// What comes forward in a region.
    #[schemars(rename = "InFrontOf")]
    InFrontOfForm = InFrontOf {
        /// The backdrop.
        Backdrop,
        /// Another piece.
        Piece(id: PieceId),
    }
}
