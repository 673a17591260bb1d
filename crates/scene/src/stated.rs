//! What somebody has stated of the stage, beside what a new picture assumes.

use crate::Scene;
use crate::scene::{assumed_lens, assumed_stage, even_sky};
use crate::stage::Origin;

/// A number of the stage that a new picture assumes until somebody states it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Stated {
    /// Height of the camera.
    CameraHeight,
    /// Pitch and roll of the camera.
    Attitude,
    /// That they are those which show the horizon where it runs in the photograph.
    Horizon,
    /// Focal length.
    Focal,
    /// Width of the sensor.
    SensorWidth,
    /// F-number.
    FNumber,
    /// What the lens is focused at.
    Focus,
    /// Light of the sky. (A sun is there or not, and nobody assumes one.)
    Sky,
}

impl Stated {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::CameraHeight,
        Self::Attitude,
        Self::Horizon,
        Self::Focal,
        Self::SensorWidth,
        Self::FNumber,
        Self::Focus,
        Self::Sky,
    ];

    /// What it is called in sentences.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::CameraHeight => "camera height",
            Self::Attitude => "pitch and roll",
            Self::Horizon => "horizon",
            Self::Focal => "focal length",
            Self::SensorWidth => "sensor width",
            Self::FNumber => "f-number",
            Self::Focus => "focus",
            Self::Sky => "sky",
        }
    }
}

impl Scene {
    /// Whether somebody has stated this: it says so, or it is not what a new picture assumes. (Pictures that were begun
    /// before statements were noted have the second alone.)
    #[must_use]
    pub fn is_stated(&self, what: Stated) -> bool {
        let said = self.stated.contains(&what);
        let plain = assumed_stage(self.format.size);
        let (view, assumed) = (self.stage.camera.viewpoint(), plain.camera.viewpoint());
        // A picture that notes neither of the two knows from its origin alone that the camera was stated.
        let noted = [Stated::CameraHeight, Stated::Attitude].iter().any(|s| self.stated.contains(s));
        let viewpoint = |as_assumed: bool| self.stage.origin != Origin::Assumed && !(noted && as_assumed);
        said || match what {
            Stated::CameraHeight => viewpoint(view.height == assumed.height),
            Stated::Attitude => viewpoint(view.pitch == assumed.pitch && view.roll == assumed.roll),
            // Nothing of the camera tells it.
            Stated::Horizon => false,
            Stated::Focal => view.focal != assumed.focal,
            Stated::SensorWidth => view.sensor_width != assumed.sensor_width,
            Stated::FNumber => self.lens.f_number() != assumed_lens().f_number(),
            Stated::Focus => self.lens.focus() != assumed_lens().focus(),
            Stated::Sky => self.lights.sky != even_sky().sky,
        }
    }
}
