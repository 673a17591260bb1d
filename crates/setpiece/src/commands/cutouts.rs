//! Cut-outs: a shot, what it is cut out by, and the facts about it; the views of a prop; studio set-ups.

use super::incoming::{self, Incoming, IncomingCut};
use super::{Error, Kind, names};
use optics::StudioCamera;
use scene::{
    CutOut, CutOutId, CutOutKind, Edit, Facts, Fresh, Put, Scale, Scene, SetUp, Stance, WhiteReading,
};
use serde::Serialize;
use staging::in_shot;
use staging::measured::Measured;
use ts_rs::TS;
use units::{Degrees, Kelvin, Metres, Pixels};

/// What is said of a cut-out. What is `None` stays as it is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct FactsSaid {
    /// Where it meets the ground, in the shot.
    pub foot: Option<(Pixels, Pixels)>,
    /// How large it really is.
    pub scale: Option<Scale>,
    /// Where the optical axis met the shot.
    pub principal: Option<(Pixels, Pixels)>,
    /// Focal length in the shot's pixels.
    pub focal_px: Option<Pixels>,
    /// From the camera to the foot.
    pub camera_distance: Option<Metres>,
    /// Of the camera, positive looks down.
    pub pitch: Option<Degrees>,
    /// Of the camera above the foot.
    pub eye_height: Option<Metres>,
    /// Which way the thing was turned.
    pub bearing: Option<Degrees>,
    /// The set-up it was shot in, by its name.
    pub set_up: Option<String>,
    /// Defocus already in the shot.
    pub defocus: Option<Pixels>,
    /// Standard deviation of the shot's noise.
    pub noise: Option<f64>,
    /// Whether a mirror image of it may be used.
    pub may_mirror: Option<bool>,
}

impl FactsSaid {
    /// The facts with what is said laid over them.
    ///
    /// # Errors
    /// Where there is no such set-up.
    pub fn over(&self, facts: &Facts, scene: &Scene) -> Result<Facts, Error> {
        let set_up = self.set_up.as_ref().map(|name| names::set_up(scene, name)).transpose()?;
        Ok(Facts {
            foot: self.foot.or(facts.foot),
            scale: self.scale.or(facts.scale),
            principal: self.principal.or(facts.principal),
            focal_px: self.focal_px.or(facts.focal_px),
            camera_distance: self.camera_distance.or(facts.camera_distance),
            pitch: self.pitch.or(facts.pitch),
            eye_height: self.eye_height.or(facts.eye_height),
            bearing: self.bearing.or(facts.bearing),
            set_up: set_up.or(facts.set_up),
            defocus: self.defocus.or(facts.defocus),
            noise: self.noise.or(facts.noise),
            may_mirror: self.may_mirror.or(facts.may_mirror),
        })
    }
}

/// A cut-out that is to come into the picture.
#[derive(Clone, PartialEq, Debug)]
pub struct NewCutOut {
    /// What it is called; the shot's file name, where nothing is said.
    pub name: Option<String>,
    /// The prop it is a view of.
    pub prop: Option<String>,
    /// Its files.
    pub cut: IncomingCut,
    /// What is known of it.
    pub facts: FactsSaid,
}

/// The edits that bring a cut-out in, its files with it. One of the same files, prop and facts that is in the picture
/// already is used again, and the edits are none.
///
/// # Errors
/// Where something that is said of it is not possible.
pub fn bring(scene: &Scene, fresh: &mut Fresh, new: &NewCutOut) -> Result<(CutOutId, Vec<Edit>), Error> {
    let facts = new.facts.over(&Facts::default(), scene)?;
    let (shot, matte) = (new.cut.shot.digest, new.cut.matte.as_ref().map(|m| m.digest));
    let same = |c: &CutOut| {
        c.shot == shot
            && c.matte == matte
            && c.kind == new.cut.kind
            && (new.prop.is_none() || c.prop == new.prop)
            && (new.facts == FactsSaid::default() || c.facts == facts)
    };
    if let Some((id, _)) = scene.cutouts().iter().find(|(_, c)| same(c)) {
        return Ok((*id, Vec::new()));
    }
    let files: Vec<&Incoming> = std::iter::once(&new.cut.shot).chain(&new.cut.matte).collect();
    let mut edits = incoming::edits(scene, &files);
    let id = fresh.cutout();
    let name = new.name.clone().unwrap_or_else(|| unused(scene, &new.cut.shot.stem()));
    let cutout =
        CutOut { prop: new.prop.clone(), kind: new.cut.kind, facts, ..CutOut::of(name, shot, matte) };
    edits.push(Edit::CutOut { id, put: Put::Add(Box::new(cutout)) });
    Ok((id, edits))
}

/// A name that no cut-out has: this one, or with a number behind it.
fn unused(scene: &Scene, name: &str) -> String {
    let taken = |name: &str| scene.cutouts().values().any(|c| c.name == name);
    std::iter::once(name.to_owned())
        .chain((2u64..).map(|n| format!("{name}-{n}")))
        .find(|n| !taken(n))
        .unwrap_or_else(|| name.to_owned())
}

/// The edit that calls a cut-out otherwise, and states facts of it.
///
/// # Errors
/// Where there is no such cut-out or set-up.
pub fn rename(scene: &Scene, id: CutOutId, name: String, said: &FactsSaid) -> Result<Edit, Error> {
    let cutout = scene.cutouts().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let facts = said.over(&cutout.facts, scene)?;
    let renamed = CutOut { name, facts, ..cutout.clone() };
    Ok(Edit::CutOut { id, put: Put::Replace(Box::new(renamed)) })
}

/// What is known of every cut-out, by number.
#[must_use]
pub fn list(scene: &Scene, measured: &Measured) -> Vec<FactsReport> {
    scene.cutouts().keys().filter_map(|id| report(scene, *id, measured).ok()).collect()
}

/// The edit that adds a view of a prop without standing a piece.
///
/// # Errors
/// As [`bring`], and where the view is there already.
pub fn view(scene: &Scene, new: &NewCutOut) -> Result<Edit, Error> {
    let (id, edits) = bring(scene, &mut scene.fresh(), new)?;
    if edits.is_empty() {
        return Err(Error::refused(
            "this view is in the picture already",
            id.to_string(),
            "give another shot, or say what else is known of it",
        ));
    }
    Ok(Edit::Group(edits))
}

/// The edit that states facts of cut-outs; those of another one are taken over first, but for its bearing and a height, which are the
/// thing's own.
///
/// # Errors
/// Where there is no such cut-out or set-up.
pub fn facts(scene: &Scene, ids: &[CutOutId], like: Option<&str>, said: &FactsSaid) -> Result<Edit, Error> {
    let like = like.map(|text| named(scene, text)).transpose()?.map(|id| scene.cutouts()[&id].facts);
    let mut edits = Vec::with_capacity(ids.len());
    for id in ids {
        let own = scene.cutouts().get(id).ok_or_else(|| gone(&id.to_string()))?.facts;
        let base = like.map_or(own, |like| Facts {
            bearing: own.bearing,
            scale: match like.scale {
                Some(Scale::PerMetre(_)) => like.scale,
                _ => own.scale,
            },
            ..like
        });
        edits.push(Edit::Facts { cutout: *id, facts: Box::new(said.over(&base, scene)?) });
    }
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

pub(crate) fn gone(thing: &str) -> Error {
    Error::refused(format!("there is no {thing}"), thing, "name one that is in the picture")
}

/// The cut-out that a name means: a cut-out's own, or that of what a piece shows.
///
/// # Errors
/// Where there is neither.
pub fn named(scene: &Scene, text: &str) -> Result<CutOutId, Error> {
    names::cutout(scene, text).or_else(|e| match names::piece(scene, text) {
        Ok(piece) => Ok(scene.pieces()[&piece].cutout),
        Err(_) => Err(e),
    })
}

/// What is said of a set-up. What is `None` stays as it is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SetUpSaid {
    /// Colour temperature of its light.
    pub cct: Option<Kelvin>,
    /// Tint of its light.
    pub tint: Option<f64>,
    /// What its shots are balanced for.
    pub white_balance: Option<Kelvin>,
    /// From the camera to the prop.
    pub camera_distance: Option<Metres>,
    /// What a white card reads, by height; all of them.
    pub white_readings: Option<Vec<WhiteReading>>,
    /// A cut-out of it whose height is known, and that height.
    pub known: Option<(String, Metres)>,
    /// Of its camera, positive looks down.
    pub pitch: Option<Degrees>,
    /// Focal length in its shots' pixels.
    pub focal_px: Option<Pixels>,
    /// Where the optical axis meets its shots.
    pub principal: Option<(Pixels, Pixels)>,
}

/// The edit that states a set-up: a new one, or what changes of the one of that name.
///
/// # Errors
/// Where what is known of a height cannot be.
pub fn set_up(scene: &Scene, name: &str, said: &SetUpSaid, measured: &Measured) -> Result<Edit, Error> {
    let named = scene.set_ups().iter().find(|(_, s)| s.name == name);
    let old = named.map(|(_, s)| s.clone()).unwrap_or_default();
    let mut white_readings = said.white_readings.clone().unwrap_or(old.white_readings);
    white_readings.sort_by_key(|r| r.height);
    let mut new = SetUp {
        name: name.to_owned(),
        cct: said.cct.or(old.cct),
        tint: said.tint.unwrap_or(old.tint),
        white_balance: said.white_balance.or(old.white_balance),
        camera_distance: said.camera_distance.or(old.camera_distance),
        camera: old.camera.map(|c| StudioCamera {
            pitch: said.pitch.unwrap_or(c.pitch),
            focal_px: said.focal_px.unwrap_or(c.focal_px),
            principal: said.principal.unwrap_or(c.principal),
            ..c
        }),
        white_readings,
    };
    let id = named.map_or_else(|| scene.fresh().set_up(), |(id, _)| *id);
    let mut edits = Vec::new();
    if let Some((text, height)) = &said.known {
        let known = self::named(scene, text)?;
        let (camera, distance) = seen_by(scene, known, *height, (&new, said), measured)?;
        new.camera = Some(camera);
        new.camera_distance = Some(distance);
        // What is known was shot in this set-up.
        let facts = Facts { set_up: Some(id), ..scene.cutouts()[&known].facts };
        if facts != scene.cutouts()[&known].facts {
            edits.push(Edit::Facts { cutout: known, facts: Box::new(facts) });
        }
    } else if new.camera.is_none() && (said.pitch, said.focal_px, said.principal) != (None, None, None) {
        return Err(Error::new(
            Kind::Wording,
            "how the camera looked tells nothing without something of known height before it",
            name,
            "name a cut-out of this set-up and its height, as --known post=1m",
        ));
    }
    let put = Box::new(new);
    edits.insert(
        0,
        match named {
            Some(_) => Edit::SetUp { id, put: Put::Replace(put) },
            None => Edit::SetUp { id, put: Put::Add(put) },
        },
    );
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

/// The camera that saw a cut-out as its shot shows it, where the thing is so high; and how far from it the thing stood.
fn seen_by(
    scene: &Scene,
    known: CutOutId,
    height: Metres,
    (set_up, said): (&SetUp, &SetUpSaid),
    measured: &Measured,
) -> Result<(StudioCamera, Metres), Error> {
    let cutout = &scene.cutouts()[&known];
    let Some(cut) = measured.cuts.get(&known) else {
        return Err(Error::refused(
            "its shot or matte cannot be read, so nothing can be measured in it",
            cutout.name.clone(),
            "bring the file back",
        ));
    };
    let (f, old) = (&cutout.facts, set_up.camera);
    let pitch = said.pitch.or(f.pitch).or(old.map(|c| c.pitch)).unwrap_or(Degrees::ZERO);
    let middle =
        Pixels::new(f64::from(cut.size.width()) / 2.0).zip(Pixels::new(f64::from(cut.size.height()) / 2.0));
    let principal = said.principal.or(f.principal).or(old.map(|c| c.principal)).or(middle);
    let top = cut.solid.y0() as f64;
    let foot = f.foot.map_or(cut.solid.y1() as f64, |(_, v)| v.get());
    let focal = said.focal_px.or(f.focal_px).or(old.map(|c| c.focal_px));
    // Of a level camera any focal length gives the same heights; this one puts the thing at its stated distance.
    let by_distance = set_up.camera_distance.unwrap_or(SHOT_FROM).get() * (foot - top) / height.get();
    let focal = focal.or_else(|| Pixels::new(by_distance).filter(|_| pitch == Degrees::ZERO));
    let (Some(focal), Some(principal)) = (focal, principal) else {
        return Err(Error::new(
            Kind::Wording,
            "the camera was not level: without its focal length heights do not follow",
            cutout.name.clone(),
            "give it in the shot's pixels, as --focal-px 7083: millimetres of the lens, divided by those of the sensor's width, times the shot's width",
        ));
    };
    let by = |ends| {
        StudioCamera::by_known_height(pitch, focal, principal, ends, height).map_err(|e| {
            Error::new(Kind::Wording, e.what(), cutout.name.clone(), "give its foot, or another height")
        })
    };
    // Where its ends are round, their rims lie before and behind the mark; how far, the camera tells.
    let (first, _) = by((foot, top))?;
    let stated = f.foot.map(|(_, v)| v.get());
    by((stated.unwrap_or_else(|| in_shot::base(&first, cut)), in_shot::crown(&first, cut)))
}

/// From a camera to what it shows, where nobody has said (trade practice for full figures, no source). It has no bearing on heights.
const SHOT_FROM: Metres = Metres::of(5.0);

/// What is known of a cut-out.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct FactsReport {
    /// Its number.
    pub cutout: u64,
    /// What it is called.
    pub name: String,
    /// The prop it is a view of.
    pub prop: Option<String>,
    /// `solid` or `additive`.
    pub kind: &'static str,
    /// The shot's name.
    pub shot: String,
    /// Width and height of the shot, where it can be read.
    pub shot_size_px: Option<[u32; 2]>,
    /// The matte's name; none is the shot's own alpha.
    pub matte: Option<String>,
    /// Column and row of the foot; none is the middle of the lowest solid row.
    pub foot_px: Option<[f64; 2]>,
    /// Shot pixels to a metre, where that is stated.
    pub per_metre_px: Option<f64>,
    /// Real height, where that is stated; with neither it is taken as 1.7 m.
    pub height_m: Option<f64>,
    /// Real height that follows from what is known.
    pub seen_height_m: Option<f64>,
    /// What it follows from: `stated`, `set-up` or `assumed`.
    pub height_from: &'static str,
    /// Column and row of the foot that follows.
    pub seen_foot_px: Option<[f64; 2]>,
    /// The shot's pixels to a metre at its foot, stated or not.
    pub seen_per_metre_px: Option<f64>,
    /// Which way it was turned.
    pub bearing_deg: Option<f64>,
    /// Of the camera above the foot.
    pub eye_height_m: Option<f64>,
    /// From the camera to the foot.
    pub camera_distance_m: Option<f64>,
    /// Of the camera.
    pub pitch_deg: Option<f64>,
    /// Where the optical axis met the shot.
    pub principal_px: Option<[f64; 2]>,
    /// Focal length.
    pub focal_px: Option<f64>,
    /// Its set-up.
    pub set_up: Option<String>,
    /// Defocus in the shot.
    pub defocus_px: Option<f64>,
    /// Noise in the shot.
    pub noise: Option<f64>,
    /// Whether it may be mirrored.
    pub may_mirror: bool,
    /// Pieces that show it.
    pub pieces: Vec<String>,
}

/// What is known of a cut-out.
///
/// # Errors
/// Where there is no such cut-out.
pub fn report(scene: &Scene, id: CutOutId, measured: &Measured) -> Result<FactsReport, Error> {
    let cutout = scene.cutouts().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let f = &cutout.facts;
    let seen = measured.cuts.get(&id).and_then(|cut| in_shot::seen(scene, cutout, cut, Stance::Upright));
    let file = |d| scene.sources().get(d).map_or_else(String::new, |s| s.name.clone());
    let pair = |p: Option<(Pixels, Pixels)>| p.map(|(u, v)| [u.get(), v.get()]);
    let (per_metre_px, height_m) = match f.scale {
        Some(Scale::PerMetre(v)) => (Some(v.get()), None),
        Some(Scale::Height(v)) => (None, Some(v.get())),
        None => (None, None),
    };
    Ok(FactsReport {
        cutout: id.number(),
        name: cutout.name.clone(),
        prop: cutout.prop.clone(),
        kind: match cutout.kind {
            CutOutKind::Solid => "solid",
            CutOutKind::Additive => "additive",
        },
        shot: file(&cutout.shot),
        shot_size_px: measured.cuts.get(&id).map(|m| [m.size.width(), m.size.height()]),
        matte: cutout.matte.as_ref().map(file),
        foot_px: pair(f.foot),
        per_metre_px,
        height_m,
        seen_height_m: seen.map(|s| s.height.get()),
        height_from: match f.scale {
            Some(_) => "stated",
            None if f.set_up.and_then(|s| scene.set_ups().get(&s)?.camera).is_some() => "set-up",
            None => "assumed",
        },
        seen_foot_px: seen.map(|s| [s.foot.0, s.foot.1]),
        seen_per_metre_px: seen.map(|s| s.per_metre),
        bearing_deg: f.bearing.map(Degrees::get),
        eye_height_m: f.eye_height.map(Metres::get),
        camera_distance_m: f.camera_distance.map(Metres::get),
        pitch_deg: f.pitch.map(Degrees::get),
        principal_px: pair(f.principal),
        focal_px: f.focal_px.map(Pixels::get),
        set_up: f.set_up.and_then(|s| scene.set_ups().get(&s)).map(|s| s.name.clone()),
        defocus_px: f.defocus.map(Pixels::get),
        noise: f.noise,
        may_mirror: f.may_mirror != Some(false),
        pieces: scene
            .pieces()
            .iter()
            .filter(|(_, p)| p.cutout == id)
            .map(|(id, _)| scene.called(*id))
            .collect(),
    })
}
