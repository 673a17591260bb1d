//! The values of `optics` that a picture holds. Their constructors check them, so what is out of range is
//! refused where it is read, at the path of the whole value, with the name of the number.

use super::written::{LeftOut, Written, written_enum, written_struct};
use optics::lens::Blades;
use optics::{Aperture, Camera, Focus, Haze, Lens, OutOfRange, Point, Viewpoint};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Degrees, Metres, Millimetres, Pixels, PxSize, Vec3};

written_struct! {
    /// A place on the stage, in metres.
    #[schemars(rename = "Point")]
    PointForm = Point {
        /// To the right of the camera axis.
        x: Metres,
        /// Up from the ground under the camera.
        y: Metres,
        /// Away from the camera, along the ground.
        z: Metres,
    }
}

written_struct! {
    /// A camera and how it stands.
    #[schemars(rename = "Camera")]
    ViewpointForm = Viewpoint {
        /// The photograph, in pixels.
        size: PxSize,
        /// Of the lens above the ground, in metres.
        height: Metres,
        /// In degrees; positive looks down.
        pitch: Degrees,
        /// In degrees; positive turns the camera clockwise as seen from behind it.
        roll: Degrees,
        /// Focal length in mm.
        focal: Millimetres,
        /// Width of the sensor that the photograph's width shows, in mm.
        sensor_width: Millimetres,
    } else {
        /// Column and row where the optical axis meets the photograph; its middle where left out.
        principal: Option<(Pixels, Pixels)>,
    }
}

/// A camera.
#[derive(Clone, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "ViewpointForm", into = "ViewpointForm")]
#[schemars(inline)]
pub(super) struct CameraForm(Camera);

impl From<CameraForm> for ViewpointForm {
    fn from(camera: CameraForm) -> Self {
        camera.0.viewpoint().write()
    }
}

impl TryFrom<ViewpointForm> for CameraForm {
    type Error = OutOfRange;
    fn try_from(form: ViewpointForm) -> Result<Self, OutOfRange> {
        Camera::new(Viewpoint::read(form)).map(Self)
    }
}

impl Written for Camera {
    type Form = CameraForm;
    fn write(&self) -> CameraForm {
        CameraForm(*self)
    }
    fn read(form: CameraForm) -> Self {
        form.0
    }
}

written_enum! {
    /// What the lens is focused at.
    #[schemars(rename = "Focus")]
    FocusForm = Focus {
        /// A distance before the lens, along the axis, in metres.
        At(distance: Metres),
        /// As far as can be.
        Infinity,
    }
}

/// The shape of the opening.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[schemars(rename = "Aperture")]
pub(super) enum ApertureForm {
    /// A full disc.
    Disc,
    /// A polygon.
    Blades {
        /// How many, 3 to 16.
        count: u8,
        /// In degrees, clockwise from one corner straight up.
        turn: f64,
        /// From 0 (straight edges) to 1 (a circle).
        roundness: f64,
    },
}

/// A lens.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
#[schemars(rename = "Lens")]
pub(super) struct LensParts {
    /// Focal length in mm.
    focal: f64,
    /// Focal length over the diameter of the opening.
    f_number: f64,
    focus: FocusForm,
    aperture: ApertureForm,
}

super::object::only_as_object!(LensParts);

/// A lens.
#[derive(Clone, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "LensParts", into = "LensParts")]
#[schemars(inline)]
pub(super) struct LensForm(Lens);

impl From<LensForm> for LensParts {
    fn from(LensForm(lens): LensForm) -> Self {
        let aperture = match lens.aperture() {
            Aperture::Disc => ApertureForm::Disc,
            Aperture::Blades(b) => {
                ApertureForm::Blades { count: b.count(), turn: b.turn().get(), roundness: b.roundness() }
            }
        };
        Self { focal: lens.focal().get(), f_number: lens.f_number(), focus: lens.focus().write(), aperture }
    }
}

impl TryFrom<LensParts> for LensForm {
    type Error = OutOfRange;
    fn try_from(form: LensParts) -> Result<Self, OutOfRange> {
        let aperture = match form.aperture {
            ApertureForm::Disc => Aperture::Disc,
            ApertureForm::Blades { count, turn, roundness } => {
                Aperture::Blades(Blades::new(count, Degrees::read(turn), roundness)?)
            }
        };
        Lens::new(Millimetres::read(form.focal), form.f_number, Focus::read(form.focus), aperture).map(Self)
    }
}

impl Written for Lens {
    type Form = LensForm;
    fn write(&self) -> LensForm {
        LensForm(*self)
    }
    fn read(form: LensForm) -> Self {
        form.0
    }
}

/// Haze that is everywhere alike.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
#[schemars(rename = "Haze")]
pub(super) struct HazeParts {
    /// Where a black thing against the sky is just lost, in metres.
    visibility: f64,
    /// What the farthest distance looks like, linear RGB in the working primaries.
    colour: [f64; 3],
}

super::object::only_as_object!(HazeParts);

/// Haze.
#[derive(Clone, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "HazeParts", into = "HazeParts")]
#[schemars(inline)]
pub(super) struct HazeForm(Haze);

impl From<HazeForm> for HazeParts {
    fn from(HazeForm(haze): HazeForm) -> Self {
        Self { visibility: haze.visibility().get(), colour: haze.colour().0 }
    }
}

impl TryFrom<HazeParts> for HazeForm {
    type Error = OutOfRange;
    fn try_from(form: HazeParts) -> Result<Self, OutOfRange> {
        Haze::new(Metres::read(form.visibility), Vec3(form.colour)).map(Self)
    }
}

impl Written for Haze {
    type Form = HazeForm;
    fn write(&self) -> HazeForm {
        HazeForm(*self)
    }
    fn read(form: HazeForm) -> Self {
        form.0
    }
}
