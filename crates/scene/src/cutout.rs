//! Cut-outs, what is known about them, and the studio set-ups they share.

use crate::{Finish, Joining, SetUpId, Stroke};
use optics::StudioCamera;
use units::{Degrees, Digest, Kelvin, Metres, Pixels, PixelsPerMetre, Vec3};

/// A shot freed of its paper, with the facts about it.
#[derive(Clone, PartialEq, Debug)]
pub struct CutOut {
    /// What the artist calls it.
    pub name: String,
    /// The thing it shows. Cut-outs of the same prop are views of one another; `None` stands alone.
    pub prop: Option<String>,
    /// The shot: a source.
    pub shot: Digest,
    /// Its coverage: a source of the same size. `None`: the shot's own alpha, or none yet.
    pub matte: Option<Digest>,
    /// The thing's own colour: a source of the same size. `None`: the shot's, freed of its paper by the matte.
    pub colour: Option<Digest>,
    /// Solid, or light alone.
    pub kind: CutOutKind,
    /// What is known of how it was photographed.
    pub facts: Facts,
    /// What the pen said of it, in this order.
    pub strokes: Vec<Stroke>,
    /// The strokes that its matte was cut by, as [`CutOut::cutting`] names them; `None`: by none.
    pub cut_by: Option<Digest>,
    /// How its edge is finished.
    pub finish: Finish,
    /// What it takes from other shots.
    pub joining: Option<Joining>,
}

impl CutOut {
    /// Of this shot, by this matte; nothing is known of it yet, and nothing was done by hand.
    #[must_use]
    pub fn of(name: impl Into<String>, shot: Digest, matte: Option<Digest>) -> Self {
        Self {
            name: name.into(),
            prop: None,
            shot,
            matte,
            colour: None,
            kind: CutOutKind::Solid,
            facts: Facts::default(),
            strokes: Vec::new(),
            cut_by: None,
            finish: Finish::default(),
            joining: None,
        }
    }

    /// The sources it is made of.
    pub fn files(&self) -> impl Iterator<Item = Digest> {
        let joined = self.joining.iter().flat_map(|j| {
            let taken = j.taken.iter().flat_map(|t| std::iter::once(t.shot).chain(t.matte));
            j.matte.into_iter().chain(taken)
        });
        std::iter::once(self.shot).chain(self.matte).chain(self.colour).chain(joined)
    }
}

/// Whether a cut-out covers what is behind it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CutOutKind {
    /// Covers what is behind it, by its matte.
    Solid,
    /// Adds its light to what is behind it: sparks, smoke, flame, shot on black. Needs no matte.
    Additive,
}

/// What is known about a cut-out. What is `None` is taken as stated at each field.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Facts {
    /// Where it meets the ground: column and row in the shot. Default: the middle of the lowest solid row, in the row of the set-up's
    /// mark where that is known.
    pub foot: Option<(Pixels, Pixels)>,
    /// How large it really is. Default: as the set-up's camera saw it, else the solid part is 1.7 m high.
    pub scale: Option<Scale>,
    /// Where the optical axis met the shot. Default: the middle of the shot.
    pub principal: Option<(Pixels, Pixels)>,
    /// Focal length of the shot in its pixels. Default: what the scale and the camera distance give.
    pub focal_px: Option<Pixels>,
    /// From the camera to the foot, along the ground. Default: the set-up's, else far away (no perspective).
    pub camera_distance: Option<Metres>,
    /// Of the camera, positive looks down. Default: level.
    pub pitch: Option<Degrees>,
    /// Of the camera above the foot. Default: the picture's own camera height above the mark.
    pub eye_height: Option<Metres>,
    /// Which way the thing was turned: 0 looks at the camera, positive has come round to the right.
    /// Default: 0.
    pub bearing: Option<Degrees>,
    /// The light, white balance and readings it was shot with. Default: unknown; the subject anchors the
    /// exposure.
    pub set_up: Option<SetUpId>,
    /// Defocus already in the shot: diameter of the blur disc in its pixels. Default: none.
    pub defocus: Option<Pixels>,
    /// Standard deviation of the shot's noise at mid-grey, in linear light, 1 being white. Default: none.
    pub noise: Option<f64>,
    /// Whether a mirror image of it may be used (not with writing on it). Default: it may.
    pub may_mirror: Option<bool>,
}

impl Facts {
    /// Height of what nobody has measured.
    pub const HEIGHT: Metres = Metres::of(1.7);
}

/// How large a thing is, from one of two measures.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Scale {
    /// Shot pixels to a metre at the foot, in the upright plane through it.
    PerMetre(PixelsPerMetre),
    /// Height of the thing from its foot to the top of its solid part.
    Height(Metres),
}

/// A studio set-up: what shots taken in it have in common.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SetUp {
    /// What the artist calls it.
    pub name: String,
    /// Colour temperature of its light. Default: the picture's white balance (no tint).
    pub cct: Option<Kelvin>,
    /// Tint of its light, in thousandths of CIE 1960 u, v: positive is green.
    pub tint: f64,
    /// What the shots were balanced for. Default: the light's own colour temperature.
    pub white_balance: Option<Kelvin>,
    /// From the camera to the mark of the prop, along the ground.
    pub camera_distance: Option<Metres>,
    /// How the camera looked. With the distance it tells where on a shot the mark is, and how large what stands on it is.
    pub camera: Option<StudioCamera>,
    /// What a perfect white card facing the camera reads at the prop's place, by height, lowest first. With none, the
    /// subject anchors the exposure.
    pub white_readings: Vec<WhiteReading>,
}

/// A reading of white in a set-up.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WhiteReading {
    /// Above the foot.
    pub height: Metres,
    /// Linear RGB of the shot, in the working primaries, on a perfect white.
    pub reading: Vec3,
}
