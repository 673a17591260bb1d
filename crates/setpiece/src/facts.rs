//! A stage written down as facts: camera, light, air, set-up, shots and marks, as somebody who was there would note them.
//!
//! JSON with metres, degrees, kelvin, pixels and linear RGB in sRGB primaries, read into the edits that an artist would make. The
//! demo's parts and the path-traced scenes that the renderer is measured on come in this form. What does not
//! concern a picture is passed over.

mod form;

use form::{Doc, Placed, Shot};
use optics::{Aperture, Focus, Haze, Lens, OutOfRange, Point, Viewpoint};
use scene::{
    Backdrop, Basis, CutOut, CutOutId, CutOutKind, Edit, Facts, Format, Fresh, Glow, LightColour, Mark,
    Origin, Piece, PieceId, Practical, PracticalId, Put, Row, Scale, SetUp, SetUpId, SkyLight, SourceKind,
    Stage, Stance, SunLight, Target, WhiteReading, Window,
};
use std::collections::BTreeMap;
use std::fmt;
use units::{
    Degrees, Digest, Kelvin, Mat3, Metres, Millimetres, Pixels, PixelsPerMetre, Primaries, PxSize, Stops,
    Vec3, math,
};

/// Facts that cannot be read, or mean no picture: what and where.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unclear(String);

impl fmt::Display for Unclear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Unclear {}

impl From<OutOfRange> for Unclear {
    fn from(e: OutOfRange) -> Self {
        Self(format!("{}: {}", e.place(), e.what()))
    }
}

/// A stage as it was written down.
pub struct Written(Doc);

/// What a picture is made from, once its files have their digests.
pub struct Staged {
    /// All of it, in order.
    pub edits: Vec<Edit>,
    /// The lamps by name.
    pub lamps: BTreeMap<String, PracticalId>,
    /// The pieces by name.
    pub pieces: BTreeMap<String, PieceId>,
}

impl Written {
    /// Reads it.
    ///
    /// # Errors
    /// Where it is not in this form.
    pub fn read(text: &str) -> Result<Self, Unclear> {
        serde_json::from_str(text).map(Self).map_err(|e| Unclear(e.to_string()))
    }

    /// The format of its picture.
    ///
    /// # Errors
    /// Where the size is out of range.
    pub fn format(&self, primaries: Primaries) -> Result<Format, Unclear> {
        Ok(Format { primaries, ..Format::of_size(self.size()?) })
    }

    /// The files it names, in its folder, and what each is for.
    #[must_use]
    pub fn files(&self) -> BTreeMap<String, SourceKind> {
        let mut files = BTreeMap::from([(self.backdrop().to_owned(), SourceKind::Backdrop)]);
        for shot in self.0.shots.values() {
            files.insert(shot.file.clone(), SourceKind::Shot);
        }
        files
    }

    /// The mattes it names, each with its shot.
    #[must_use]
    pub fn mattes(&self) -> BTreeMap<String, String> {
        let shots = self.0.shots.values();
        shots.filter_map(|s| Some((s.matte.clone()?, s.file.clone()))).collect()
    }

    fn backdrop(&self) -> &str {
        self.0.backdrop.as_ref().map_or("backdrop.png", |b| &b.file)
    }

    fn size(&self) -> Result<PxSize, Unclear> {
        PxSize::new(self.0.picture.width, self.0.picture.height)
            .ok_or_else(|| Unclear("the picture's size is out of range".to_owned()))
    }

    /// The edits that stage it, with new ids from `fresh` and the digests of its files. Its colours become those of the working
    /// primaries.
    ///
    /// # Errors
    /// Where a number is out of range, or a file or name is missing.
    pub fn staged(
        &self,
        fresh: &mut Fresh,
        digests: &BTreeMap<String, Digest>,
        primaries: Primaries,
    ) -> Result<Staged, Unclear> {
        let colours = Colours(primaries.from_xyz() * Primaries::Srgb.to_xyz());
        let of = |file: &str| {
            digests.get(file).copied().ok_or_else(|| Unclear(format!("{file}: the file is missing")))
        };
        let mut edits = self.world(&colours)?;
        let window = Window {
            left: Pixels::ZERO,
            top: Pixels::ZERO,
            width: number(f64::from(self.0.picture.width), Pixels::new)?,
        };
        edits.push(Edit::Backdrop(Some(Backdrop { source: of(self.backdrop())?, window, mirrored: false })));

        let mut set_ups = BTreeMap::<String, SetUpId>::new();
        let mut cutouts = BTreeMap::<&str, CutOutId>::new();
        for (name, shot) in &self.0.shots {
            // Shots that were lit alike share their set-up.
            let readings = shot.white_readings.as_ref().unwrap_or(&self.0.studio.white_readings);
            let key = format!("{readings:?}");
            let set_up = match set_ups.get(&key) {
                Some(id) => *id,
                None => {
                    let id = fresh.set_up();
                    let title =
                        if set_ups.is_empty() { "studio".to_owned() } else { format!("studio, {name}") };
                    edits.push(Edit::SetUp {
                        id,
                        put: Put::Add(Box::new(self.set_up(title, readings, &colours)?)),
                    });
                    set_ups.insert(key, id);
                    id
                }
            };
            let id = fresh.cutout();
            cutouts.insert(name, id);
            let cutout = CutOut {
                prop: prop(name),
                kind: if shot.additive { CutOutKind::Additive } else { CutOutKind::Solid },
                facts: self.facts(shot, set_up)?,
                ..CutOut::of(name, of(&shot.file)?, shot.matte.as_deref().map(of).transpose()?)
            };
            edits.push(Edit::CutOut { id, put: Put::Add(Box::new(cutout)) });
        }
        // Whatever carries comes before what it carries.
        let mut waiting: Vec<&Placed> = self.0.pieces.iter().collect();
        let mut piece_ids = BTreeMap::<String, PieceId>::new();
        let mut lamps = BTreeMap::new();
        let mut later = Vec::new();
        while !waiting.is_empty() {
            let before = waiting.len();
            let mut left = Vec::new();
            for p in waiting {
                if p.attached_to.as_ref().is_some_and(|parent| !piece_ids.contains_key(parent)) {
                    left.push(p);
                    continue;
                }
                let piece = self.piece(p, &cutouts, &piece_ids)?;
                let id = fresh.piece();
                edits.push(Edit::Piece { id, put: Put::Add(Box::new(piece)) });
                if let Some(target) = &p.facing_target {
                    later.push((id, target.clone()));
                }
                piece_ids.insert(p.name.clone(), id);
            }
            if left.len() == before {
                return Err(Unclear(format!("{}: is attached to a piece that is not there", left[0].name)));
            }
            waiting = left;
        }
        for (i, lamp) in self.0.light.practicals.iter().enumerate() {
            let id = fresh.practical();
            let name = lamp.name.clone().unwrap_or_else(|| format!("lamp {}", i + 1));
            let mut at = point(lamp.position)?;
            let on = lamp.attached_to.as_ref().and_then(|p| piece_ids.get(p)).copied();
            if let Some(parent) =
                lamp.attached_to.as_ref().and_then(|n| self.0.pieces.iter().find(|p| p.name == *n))
            {
                at = from(at, point([parent.mark.x, parent.mark.y, parent.mark.z])?);
            }
            edits.push(Edit::Practical {
                id,
                put: Put::Add(Box::new(Practical {
                    name: name.clone(),
                    at,
                    on,
                    glow: colours.glow(lamp.rgb, lamp.intensity),
                    radius: number(lamp.radius_m, Metres::new)?,
                    reach: None,
                    floor: 0.0,
                    spill: lamp.spill.unwrap_or(if lamp.in_backdrop { 0.0 } else { 1.0 }),
                })),
            });
            lamps.insert(name, id);
        }
        for (piece, target) in later {
            // A lamp of that name is what shines; the piece may be its housing.
            let target = match (lamps.get(&target), piece_ids.get(&target)) {
                (Some(lamp), _) => Target::Practical(*lamp),
                (None, Some(piece)) => Target::Piece(*piece),
                (None, None) => return Err(Unclear(format!("{target}: is faced, but is not there"))),
            };
            edits.push(Edit::Change { piece, change: scene::PieceChange::Facing(Some(target)) });
        }
        if let Some(subject) = self.0.subject.as_ref().and_then(|s| piece_ids.get(s)) {
            edits.push(Edit::Subject(Some(*subject)));
        }
        Ok(Staged { edits, lamps, pieces: piece_ids })
    }

    /// Camera, lens, light and air.
    fn world(&self, colours: &Colours) -> Result<Vec<Edit>, Unclear> {
        let c = &self.0.camera;
        let focal = number(c.focal_mm, Millimetres::new)?;
        let camera = optics::Camera::new(Viewpoint {
            size: self.size()?,
            height: number(c.height_m, Metres::new)?,
            pitch: number(c.pitch_deg, Degrees::new)?,
            roll: number(c.roll_deg, Degrees::new)?,
            focal,
            sensor_width: number(c.sensor_width_mm, Millimetres::new)?,
            principal: None,
        })?;
        let white_balance = number(self.0.picture.white_balance_cct, Kelvin::new)?;
        let focus = Focus::At(number(c.focus_distance_m, Metres::new)?);
        let light = &self.0.light;
        let mut edits = vec![
            Edit::Stage(Stage { camera, origin: Origin::Given, white_balance }),
            Edit::Lens(Lens::new(focal, c.f_number, focus, Aperture::Disc)?),
            Edit::Sky(SkyLight {
                level: colours.glow(light.sky.irradiance_up_rgb, 1.0),
                upright: colours.glow(light.sky.irradiance_facing_camera_rgb, 1.0),
            }),
            Edit::GroundReflectance(colours.reflectance(light.ground_reflectance_rgb)),
        ];
        if let Some(sun) = &light.sun {
            let [x, y, z] = sun.direction;
            edits.push(Edit::Sun(Some(SunLight {
                bearing: number(math::degrees(math::atan2(x, z)), Degrees::new)?,
                height: number(math::degrees(math::atan2(y, math::hypot(x, z))), Degrees::new)?,
                glow: colours.glow(sun.rgb, sun.irradiance_normal),
                diameter: number(sun.angular_diameter_deg.unwrap_or(0.53), Degrees::new)?,
            })));
        }
        if let (Some(visibility), Some(colour)) = (self.0.air.visibility_m, self.0.air.colour_rgb) {
            edits.push(Edit::Haze(Some(Haze::new(number(visibility, Metres::new)?, colours.light(colour))?)));
        }
        Ok(edits)
    }

    fn set_up(&self, name: String, readings: &[form::Reading], colours: &Colours) -> Result<SetUp, Unclear> {
        let studio = &self.0.studio;
        Ok(SetUp {
            name,
            cct: Some(number(studio.cct, Kelvin::new)?),
            tint: 0.0,
            white_balance: Some(number(studio.white_balance_cct, Kelvin::new)?),
            camera_distance: Some(number(studio.camera_distance_m, Metres::new)?),
            camera: None,
            white_readings: from_the_foot(readings)
                .into_iter()
                .map(|(h, rgb)| {
                    Ok(WhiteReading { height: number(h, Metres::new)?, reading: colours.light(rgb) })
                })
                .collect::<Result<_, Unclear>>()?,
        })
    }

    fn facts(&self, shot: &Shot, set_up: SetUpId) -> Result<Facts, Unclear> {
        let spot = |[u, v]: [f64; 2]| Ok::<_, Unclear>((number(u, Pixels::new)?, number(v, Pixels::new)?));
        Ok(Facts {
            foot: Some(spot(shot.foot)?),
            scale: Some(Scale::PerMetre(number(shot.pixels_per_metre, PixelsPerMetre::new)?)),
            principal: Some(spot(shot.principal)?),
            focal_px: Some(number(shot.focal_px, Pixels::new)?),
            camera_distance: Some(number(self.0.studio.camera_distance_m, Metres::new)?),
            pitch: Some(Degrees::ZERO),
            eye_height: Some(number(shot.eye_height_m, Metres::new)?),
            bearing: Some(number(shot.view_bearing_deg, Degrees::new)?),
            set_up: Some(set_up),
            ..Facts::default()
        })
    }

    fn piece(
        &self,
        p: &Placed,
        cutouts: &BTreeMap<&str, CutOutId>,
        pieces: &BTreeMap<String, PieceId>,
    ) -> Result<Piece, Unclear> {
        let missing = |what: &str| Unclear(format!("{}: there is no {what}", p.name));
        let cutout = *cutouts.get(p.shot.as_str()).ok_or_else(|| missing(&format!("shot {}", p.shot)))?;
        let mut at = point([p.mark.x, p.mark.y, p.mark.z])?;
        if let Some(parent) = p.attached_to.as_ref().and_then(|n| self.0.pieces.iter().find(|q| q.name == *n))
        {
            at = from(at, point([parent.mark.x, parent.mark.y, parent.mark.z])?);
        }
        let mark = Mark { x: at.x, y: at.y, z: at.z, level: None };
        let mut piece = Piece::standing(p.name.clone(), cutout, mark);
        piece.attached_to = p.attached_to.as_ref().and_then(|n| pieces.get(n)).copied();
        piece.mirrored = p.mirrored;
        piece.stance = match p.stance.as_str() {
            // What hangs is stated by its foot here, as everything is.
            "upright" | "hanging" => Stance::Upright,
            "facing lens" => Stance::FacingLens,
            other => return Err(Unclear(format!("{}: the stance {other} is not known", p.name))),
        };
        if p.self_luminous {
            let gain = Stops::new(math::log2(p.gain.unwrap_or(1.0)))
                .ok_or_else(|| Unclear(format!("{}: a gain is above 0", p.name)))?;
            piece.rows.light = Row { basis: Basis::Pinned(gain), ..Row::default() };
            piece.rows.warmth = Row { basis: Basis::AsPhotographed, ..Row::default() };
        }
        if let Some(nudge) = p.nudge_ev {
            piece.rows.light.nudge = number(nudge, Stops::new)?;
        }
        Ok(piece)
    }
}

/// Readings from the foot upwards: what was read below it (where the thing hung) is left out but for what it says of the foot
/// itself, by a straight line between its neighbours.
fn from_the_foot(readings: &[form::Reading]) -> Vec<(f64, [f64; 3])> {
    let mut above: Vec<(f64, [f64; 3])> =
        readings.iter().filter(|r| r.height_m >= 0.0).map(|r| (r.height_m, r.rgb)).collect();
    let below = readings.iter().rfind(|r| r.height_m < 0.0);
    if let (Some(low), Some((height, rgb))) = (below, above.first().copied())
        && height > 0.0
    {
        let t = -low.height_m / (height - low.height_m);
        let foot = std::array::from_fn(|c| low.rgb[c] + (rgb[c] - low.rgb[c]) * t);
        above.insert(0, (0.0, foot));
    }
    above
}

/// The prop of a shot called PROP_BEARING; a shot with another name stands alone.
fn prop(name: &str) -> Option<String> {
    let (prop, bearing) = name.rsplit_once('_')?;
    let is_bearing = !bearing.is_empty() && bearing.bytes().all(|b| b.is_ascii_digit());
    is_bearing.then(|| prop.to_owned())
}

fn number<T>(value: f64, make: fn(f64) -> Option<T>) -> Result<T, Unclear> {
    make(value).ok_or_else(|| Unclear(format!("{value} is no number to work with")))
}

fn point([x, y, z]: [f64; 3]) -> Result<Point, Unclear> {
    Ok(Point::new(number(x, Metres::new)?, number(y, Metres::new)?, number(z, Metres::new)?))
}

fn from(p: Point, parent: Point) -> Point {
    Point::new(p.x - parent.x, p.y - parent.y, p.z - parent.z)
}

/// Linear sRGB to the working primaries.
struct Colours(Mat3);

impl Colours {
    fn light(&self, rgb: [f64; 3]) -> Vec3 {
        (self.0 * Vec3(rgb)).map(|v| v.max(0.0))
    }

    fn glow(&self, rgb: [f64; 3], strength: f64) -> Glow {
        Glow { strength, colour: LightColour::Picked(self.light(rgb)) }
    }

    fn reflectance(&self, rgb: [f64; 3]) -> Vec3 {
        self.light(rgb).map(|v| v.min(1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_a_bearing_is_a_view_of_a_prop() {
        assert_eq!(prop("crane_fly_045").as_deref(), Some("crane_fly"));
        assert_eq!(prop("reed_a"), None);
        assert_eq!(prop("sitter"), None);
    }

    #[test]
    fn what_is_missing_is_named() {
        assert!(Written::read("{}").is_err_and(|e| e.to_string().contains("picture")));
    }
}
