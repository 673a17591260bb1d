//! The picture: everything the artist has decided, valid after every edit.

use crate::check::Check;
use crate::{
    Backdrop, CutOut, CutOutId, Dressing, DressingId, Edit, Factor, Format, Fresh, Glow, InFront, InFrontId,
    Level, LevelId, LightColour, Lights, Origin, Piece, PieceId, Practical, PracticalId, Refused, SetUp,
    SetUpId, SkyLight, Source, Stage, Stated, Take, TakeId, Treatment, TreatmentId,
};
use optics::{Aperture, Camera, Focus, Haze, Lens, Viewpoint};
use std::collections::{BTreeMap, BTreeSet};
use units::{Degrees, Digest, Kelvin, Metres, Millimetres, PxSize, Vec3};

/// A picture in the making. Its fields change only by [`Scene::apply`], and what they refer to always exists.
#[derive(Clone, PartialEq, Debug)]
pub struct Scene {
    pub(crate) name: String,
    pub(crate) format: Format,
    pub(crate) sources: BTreeMap<Digest, Source>,
    pub(crate) backdrop: Option<Backdrop>,
    pub(crate) stage: Stage,
    pub(crate) stated: BTreeSet<Stated>,
    pub(crate) levels: BTreeMap<LevelId, Level>,
    pub(crate) lens: Lens,
    pub(crate) depth_scale: Factor,
    pub(crate) lights: Lights,
    pub(crate) practicals: BTreeMap<PracticalId, Practical>,
    pub(crate) haze: Option<Haze>,
    pub(crate) set_ups: BTreeMap<SetUpId, SetUp>,
    pub(crate) cutouts: BTreeMap<CutOutId, CutOut>,
    pub(crate) pieces: BTreeMap<PieceId, Piece>,
    pub(crate) in_front: BTreeMap<InFrontId, InFront>,
    pub(crate) dressings: BTreeMap<DressingId, Dressing>,
    pub(crate) subject: Option<PieceId>,
    pub(crate) toning: Vec<Treatment>,
    pub(crate) takes: BTreeMap<TakeId, Take>,
    /// The next id to give; never goes back, not even when an edit is undone.
    pub(crate) next_id: u64,
}

impl Scene {
    /// An empty picture. Its camera is assumed (1.6 m up, level, 35 mm on a sensor 36 mm wide), its light an
    /// even sky in which a level white card reads 1, its lens at f/8 focused at 5 m.
    ///
    /// # Errors
    /// [`Refused`] for a name that is too long or not one line, and a print of an impossible size.
    pub fn new(name: impl Into<String>, format: Format) -> Result<Self, Refused> {
        let name = name.into();
        Edit::Name(name.clone()).check()?;
        Edit::Format(format).check()?;
        Ok(Self {
            name,
            format,
            sources: BTreeMap::new(),
            backdrop: None,
            stage: assumed_stage(format.size),
            stated: BTreeSet::new(),
            levels: BTreeMap::new(),
            lens: assumed_lens(),
            depth_scale: Factor::ONE,
            lights: even_sky(),
            practicals: BTreeMap::new(),
            haze: None,
            set_ups: BTreeMap::new(),
            cutouts: BTreeMap::new(),
            pieces: BTreeMap::new(),
            in_front: BTreeMap::new(),
            dressings: BTreeMap::new(),
            subject: None,
            toning: Vec::new(),
            takes: BTreeMap::new(),
            next_id: 1,
        })
    }

    /// What the artist calls the picture.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its own size and shape.
    #[must_use]
    pub const fn format(&self) -> &Format {
        &self.format
    }

    /// The original files, by their content.
    #[must_use]
    pub const fn sources(&self) -> &BTreeMap<Digest, Source> {
        &self.sources
    }

    /// The photograph everything stands in, once there is one.
    #[must_use]
    pub const fn backdrop(&self) -> Option<&Backdrop> {
        self.backdrop.as_ref()
    }

    /// The camera.
    #[must_use]
    pub const fn stage(&self) -> &Stage {
        &self.stage
    }

    /// What somebody has said of the stage, in so many words; [`Scene::is_stated`] knows more.
    #[must_use]
    pub const fn stated(&self) -> &BTreeSet<Stated> {
        &self.stated
    }

    /// The ground's levels beside the ground itself.
    #[must_use]
    pub const fn levels(&self) -> &BTreeMap<LevelId, Level> {
        &self.levels
    }

    /// The lens that makes the picture's defocus.
    #[must_use]
    pub const fn lens(&self) -> &Lens {
        &self.lens
    }

    /// What every blur disc of the lens is multiplied by: 1 as computed, 0 all sharp.
    #[must_use]
    pub const fn depth_scale(&self) -> Factor {
        self.depth_scale
    }

    /// Sky, sun and the ground's return.
    #[must_use]
    pub const fn lights(&self) -> &Lights {
        &self.lights
    }

    /// The lamps in the picture.
    #[must_use]
    pub const fn practicals(&self) -> &BTreeMap<PracticalId, Practical> {
        &self.practicals
    }

    /// If there is any.
    #[must_use]
    pub const fn haze(&self) -> Option<&Haze> {
        self.haze.as_ref()
    }

    /// The studio set-ups.
    #[must_use]
    pub const fn set_ups(&self) -> &BTreeMap<SetUpId, SetUp> {
        &self.set_ups
    }

    /// The cut-outs.
    #[must_use]
    pub const fn cutouts(&self) -> &BTreeMap<CutOutId, CutOut> {
        &self.cutouts
    }

    /// The pieces, those in the wings too.
    #[must_use]
    pub const fn pieces(&self) -> &BTreeMap<PieceId, Piece> {
        &self.pieces
    }

    /// What stands in front against the order by distance.
    #[must_use]
    pub const fn in_front(&self) -> &BTreeMap<InFrontId, InFront> {
        &self.in_front
    }

    /// The rules that fill areas of ground.
    #[must_use]
    pub const fn dressings(&self) -> &BTreeMap<DressingId, Dressing> {
        &self.dressings
    }

    /// The piece the picture is about.
    #[must_use]
    pub const fn subject(&self) -> Option<PieceId> {
        self.subject
    }

    /// The treatments, in the order they work: by step, then as the artist arranged them.
    #[must_use]
    pub fn toning(&self) -> &[Treatment] {
        &self.toning
    }

    /// The treatment with this id.
    #[must_use]
    pub fn treatment(&self, id: TreatmentId) -> Option<&Treatment> {
        self.toning.iter().find(|t| t.id == id)
    }

    /// The variants of the picture.
    #[must_use]
    pub const fn takes(&self) -> &BTreeMap<TakeId, Take> {
        &self.takes
    }

    /// Ids for new things. Each is used up once an edit that adds something under it is accepted.
    #[must_use]
    pub const fn fresh(&self) -> Fresh {
        Fresh::from(self.next_id)
    }

    /// What a piece is called in sentences and messages.
    #[must_use]
    pub fn called(&self, id: PieceId) -> String {
        match self.pieces.get(&id) {
            Some(piece) if !piece.name.is_empty() => piece.name.clone(),
            _ => id.to_string(),
        }
    }
}

/// The stage of a picture that nobody has read yet.
pub(crate) fn assumed_stage(size: PxSize) -> Stage {
    let camera = Camera::new(Viewpoint {
        size,
        height: Metres::of(1.6),
        pitch: Degrees::ZERO,
        roll: Degrees::ZERO,
        focal: Millimetres::of(35.0),
        sensor_width: Millimetres::of(36.0),
        principal: None,
    })
    .expect("a standing photographer's camera lies in every range");
    Stage { camera, origin: Origin::Assumed, white_balance: Kelvin::of(6504.0) }
}

/// The lens of a picture that nobody has read yet.
pub(crate) fn assumed_lens() -> Lens {
    Lens::new(Millimetres::of(35.0), 8.0, Focus::At(Metres::of(5.0)), Aperture::Disc)
        .expect("a common lens lies in every range")
}

/// An even sky: a standing card sees half of it.
pub(crate) fn even_sky() -> Lights {
    let white = |strength| Glow { strength, colour: LightColour::Picked(Vec3::splat(1.0)) };
    Lights {
        sky: SkyLight { level: white(1.0), upright: white(0.5) },
        sun: None,
        ground_reflectance: Vec3::splat(0.2),
        dusk: None,
    }
}
