//! Puts path-traced scenes together again from backdrop, shots, mattes and facts, to be measured against the truth.
//!
//! A scene folder holds scene.json (camera, light, air, studio, shots, marks), the backdrop, shots and mattes; nothing else
//! is read. The result is OUT/NAME.png, 16 bit, sRGB.

use crate::error::Error;
use crate::{option, switch};
use files::encode::{self, Codes, Description, Form};
use optics::{Aperture, Focus, Haze, Lens, Point, Viewpoint};
use pixels::Budget;
use pixels::encode::{Encoder, Transfer};
use render::Job;
use render::keep::Nothing;
use scene::{
    Backdrop, CutOut, CutOutKind, Edit, Facts, Format, Glow, LightColour, Mark, Origin, Piece, PieceId, Practical, Put,
    Scale, Scene, SetUp, SkyLight, Source, SourceKind, Stage, Stance, SunLight, WhiteReading, Window,
};
use serde::Deserialize;
use setpiece::parts::Parts;
use staging::measured::Measured;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use units::{
    Degrees, Digest, Kelvin, Metres, Millimetres, Pixels, PixelsPerMetre, Primaries, PxSize, Vec3, math,
};

#[derive(Deserialize)]
struct Doc {
    picture: Picture,
    camera: Camera,
    light: Light,
    air: Air,
    studio: Studio,
    subject: Option<String>,
    shots: BTreeMap<String, Shot>,
    pieces: Vec<Placed>,
}

#[derive(Deserialize)]
struct Picture {
    width: u32,
    height: u32,
    white_balance_cct: f64,
}

#[derive(Deserialize)]
struct Camera {
    height_m: f64,
    pitch_deg: f64,
    roll_deg: f64,
    focal_mm: f64,
    sensor_width_mm: f64,
    f_number: f64,
    focus_distance_m: f64,
}

#[derive(Deserialize)]
struct Light {
    sun: Option<SunDoc>,
    sky: SkyDoc,
    ground_reflectance_rgb: [f64; 3],
    practicals: Vec<PracticalDoc>,
}

#[derive(Deserialize)]
struct SunDoc {
    direction: [f64; 3],
    irradiance_normal: f64,
    rgb: [f64; 3],
}

#[derive(Deserialize)]
struct SkyDoc {
    irradiance_up_rgb: [f64; 3],
    irradiance_facing_camera_rgb: [f64; 3],
}

#[derive(Deserialize)]
struct PracticalDoc {
    position: [f64; 3],
    radius_m: f64,
    intensity: f64,
    rgb: [f64; 3],
}

#[derive(Deserialize)]
struct Air {
    visibility_m: Option<f64>,
    colour_rgb: Option<[f64; 3]>,
}

#[derive(Deserialize)]
struct Studio {
    cct: f64,
    white_balance_cct: f64,
    camera_distance_m: f64,
    white_readings: Vec<ReadingDoc>,
}

#[derive(Deserialize)]
struct ReadingDoc {
    height_m: f64,
    rgb: [f64; 3],
}

#[derive(Deserialize)]
struct Shot {
    file: String,
    matte: String,
    pixels_per_metre: f64,
    foot: [f64; 2],
    principal: [f64; 2],
    focal_px: f64,
    view_bearing_deg: f64,
    eye_height_m: f64,
}

#[derive(Deserialize)]
struct Placed {
    name: String,
    shot: String,
    mark: MarkDoc,
    mirrored: bool,
    stance: String,
}

#[derive(Deserialize)]
struct MarkDoc {
    x: f64,
    y: f64,
    z: f64,
}

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let scenes = option(&mut args, "--scenes")?.ok_or_else(|| Error::new("--scenes DIR is needed"))?;
    let out = option(&mut args, "--out")?.ok_or_else(|| Error::new("--out DIR is needed"))?;
    let only = option(&mut args, "--only")?;
    let plain = switch(&mut args, "--plain");
    if let Some(left) = args.first() {
        return Err(Error::new(format!("{left} is not understood")));
    }
    std::fs::create_dir_all(&out)?;
    let mut folders: Vec<_> = std::fs::read_dir(&scenes)?.collect::<Result<_, _>>()?;
    folders.sort_by_key(std::fs::DirEntry::file_name);
    let mut made = 0;
    for folder in folders {
        let name = folder.file_name().to_string_lossy().into_owned();
        if !folder.path().join("scene.json").is_file() || only.as_ref().is_some_and(|o| *o != name) {
            continue;
        }
        let to = Path::new(&out).join(format!("{name}.png"));
        let started = std::time::Instant::now();
        reassemble(&folder.path(), &to, plain)
            .map_err(|e| Error::new(format!("{}: {e}", folder.path().display())))?;
        println!("{} {:.2} s", to.display(), started.elapsed().as_secs_f64());
        made += 1;
    }
    if made == 0 { Err(Error::new(format!("{scenes}: no scene folder to render"))) } else { Ok(()) }
}

fn reassemble(folder: &Path, to: &Path, plain: bool) -> Result<(), Error> {
    let doc: Doc = serde_json::from_str(&std::fs::read_to_string(folder.join("scene.json"))?)?;
    let budget = Budget::of_bytes(4 << 30);
    let mut parts = Parts::new(Primaries::Srgb);
    let scene = stage(folder, &doc, &mut parts)?;
    let mut measured = Measured::default();
    if let Some(backdrop) = scene.backdrop() {
        measured.backdrop = Some(parts.size(backdrop.source)?);
    }
    for (id, cut) in scene.cutouts() {
        let cut = staging::layout::Cut { shot: cut.shot, matte: cut.matte, mixing: staging::layout::Mixing::Over };
        measured.cuts.insert(*id, parts.measure(cut, &budget)?);
    }
    let resolved = staging::resolve(&scene, &measured);
    for snag in &resolved.snags {
        eprintln!("{}: {} ({})", snag.place, snag.what, snag.remedy);
    }
    let layout = &resolved.layout;
    let want = layout.size.rect();
    let picture = if plain {
        render::plain::render(layout, want, &parts, &budget)?
    } else {
        let job = Job {
            layout,
            sources: &parts,
            keep: &Nothing,
            budget: &budget,
            threads: std::thread::available_parallelism()?,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        job.picture(want)?
    };
    let mut codes = vec![0u16; picture.samples().len()];
    Encoder::of(Transfer::Srgb).u16s(picture.samples(), &mut codes);
    let description = Description {
        size: layout.size,
        channels: files::Channels::Rgb,
        colour: Some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    let file = std::io::BufWriter::new(std::fs::File::create(to)?);
    encode::whole(file, description, Form::Png { depth: files::Depth::U16 }, Codes::U16(&codes))?;
    Ok(())
}

fn metres(v: f64) -> Result<Metres, Error> {
    Metres::new(v).ok_or_else(|| Error::new("a number is not finite"))
}

fn pixels(v: f64) -> Result<Pixels, Error> {
    Pixels::new(v).ok_or_else(|| Error::new("a number is not finite"))
}

fn degrees(v: f64) -> Result<Degrees, Error> {
    Degrees::new(v).ok_or_else(|| Error::new("a number is not finite"))
}

fn picked(rgb: [f64; 3], strength: f64) -> Glow {
    Glow { strength, colour: LightColour::Picked(Vec3(rgb)) }
}

/// The scene of a folder, made by the edits that an artist would make.
fn stage(folder: &Path, doc: &Doc, parts: &mut Parts) -> Result<Scene, Error> {
    let size = PxSize::new(doc.picture.width, doc.picture.height)
        .ok_or_else(|| Error::new("the picture's size is out of range"))?;
    let mut scene = Scene::new("reassembly", Format { primaries: Primaries::Srgb, ..Format::of_size(size) })?;
    let c = &doc.camera;
    let focal = Millimetres::new(c.focal_mm).ok_or_else(|| Error::new("a number is not finite"))?;
    let camera = optics::Camera::new(Viewpoint {
        size,
        height: metres(c.height_m)?,
        pitch: degrees(c.pitch_deg)?,
        roll: degrees(c.roll_deg)?,
        focal,
        sensor_width: Millimetres::new(c.sensor_width_mm).ok_or_else(|| Error::new("a number is not finite"))?,
        principal: None,
    })?;
    let white_balance = Kelvin::of(doc.picture.white_balance_cct);
    let mut edits = vec![
        Edit::Stage(Stage { camera, origin: Origin::Given, white_balance }),
        Edit::Lens(Lens::new(focal, c.f_number, Focus::At(metres(c.focus_distance_m)?), Aperture::Disc)?),
        Edit::Sky(SkyLight {
            level: picked(doc.light.sky.irradiance_up_rgb, 1.0),
            upright: picked(doc.light.sky.irradiance_facing_camera_rgb, 1.0),
        }),
        Edit::GroundReflectance(Vec3(doc.light.ground_reflectance_rgb)),
    ];
    if let Some(sun) = &doc.light.sun {
        let [x, y, z] = sun.direction;
        edits.push(Edit::Sun(Some(SunLight {
            bearing: degrees(math::degrees(math::atan2(x, z)))?,
            height: degrees(math::degrees(math::atan2(y, math::hypot(x, z))))?,
            glow: picked(sun.rgb, sun.irradiance_normal),
            diameter: Degrees::of(0.53),
        })));
    }
    if let (Some(visibility), Some(colour)) = (doc.air.visibility_m, doc.air.colour_rgb) {
        edits.push(Edit::Haze(Some(Haze::new(metres(visibility)?, Vec3(colour))?)));
    }
    let mut source = |file: &str, kind| -> Result<(Digest, Edit), Error> {
        let path = folder.join(file);
        let bytes = std::fs::read(&path).map_err(|e| Error::new(format!("{}: {e}", path.display())))?;
        let digest = Digest::of(&bytes);
        parts.add(digest, path);
        let name = file.replace('/', "-");
        let source = Source {
            file: format!("{}-{name}", digest.short()),
            name,
            kind,
            bytes: bytes.len() as u64,
            size: None,
            note: String::new(),
        };
        Ok((digest, Edit::Source { digest, put: Put::Add(Box::new(source)) }))
    };
    let (backdrop, edit) = source("backdrop.png", SourceKind::Backdrop)?;
    edits.push(edit);
    let window = Window { left: Pixels::ZERO, top: Pixels::ZERO, width: pixels(f64::from(size.width()))? };
    edits.push(Edit::Backdrop(Some(Backdrop { source: backdrop, window, mirrored: false })));
    let mut fresh = scene.fresh();
    for p in &doc.light.practicals {
        let [x, y, z] = p.position;
        edits.push(Edit::Practical {
            id: fresh.practical(),
            put: Put::Add(Box::new(Practical {
                name: "lantern".to_owned(),
                at: Point::new(metres(x)?, metres(y)?, metres(z)?),
                on: None,
                glow: picked(p.rgb, p.intensity),
                radius: metres(p.radius_m)?,
                reach: None,
                floor: 0.0,
            })),
        });
    }
    let set_up = fresh.set_up();
    let white_readings = doc
        .studio
        .white_readings
        .iter()
        .map(|r| Ok(WhiteReading { height: metres(r.height_m)?, reading: Vec3(r.rgb) }))
        .collect::<Result<_, Error>>()?;
    edits.push(Edit::SetUp {
        id: set_up,
        put: Put::Add(Box::new(SetUp {
            name: "studio".to_owned(),
            cct: Kelvin::new(doc.studio.cct),
            tint: 0.0,
            white_balance: Kelvin::new(doc.studio.white_balance_cct),
            camera_distance: Some(metres(doc.studio.camera_distance_m)?),
            white_readings,
        })),
    });
    let mut cutouts = BTreeMap::new();
    for (name, shot) in &doc.shots {
        let (photograph, first) = source(&shot.file, SourceKind::Shot)?;
        let (matte, second) = source(&shot.matte, SourceKind::Matte)?;
        for edit in [first, second] {
            // The same file may serve twice.
            if !edits.contains(&edit) {
                edits.push(edit);
            }
        }
        let id = fresh.cutout();
        cutouts.insert(name.as_str(), id);
        let facts = Facts {
            foot: Some((pixels(shot.foot[0])?, pixels(shot.foot[1])?)),
            scale: PixelsPerMetre::new(shot.pixels_per_metre).map(Scale::PerMetre),
            principal: Some((pixels(shot.principal[0])?, pixels(shot.principal[1])?)),
            focal_px: Some(pixels(shot.focal_px)?),
            camera_distance: Some(metres(doc.studio.camera_distance_m)?),
            pitch: Some(Degrees::ZERO),
            eye_height: Some(metres(shot.eye_height_m)?),
            bearing: Some(degrees(shot.view_bearing_deg)?),
            set_up: Some(set_up),
            ..Facts::default()
        };
        let cutout = CutOut {
            name: name.clone(),
            prop: None,
            shot: photograph,
            matte: Some(matte),
            kind: CutOutKind::Solid,
            facts,
        };
        edits.push(Edit::CutOut { id, put: Put::Add(Box::new(cutout)) });
    }
    let mut subject: Option<PieceId> = None;
    for p in &doc.pieces {
        let cutout = *cutouts
            .get(p.shot.as_str())
            .ok_or_else(|| Error::new(format!("{}: there is no shot {}", p.name, p.shot)))?;
        let mark = Mark { x: metres(p.mark.x)?, y: metres(p.mark.y)?, z: metres(p.mark.z)?, level: None };
        let mut piece = Piece::standing(p.name.clone(), cutout, mark);
        piece.mirrored = p.mirrored;
        piece.stance = match p.stance.as_str() {
            "upright" => Stance::Upright,
            "facing lens" => Stance::FacingLens,
            other => return Err(Error::new(format!("{}: the stance {other} is not known", p.name))),
        };
        let id = fresh.piece();
        if doc.subject.as_deref() == Some(p.name.as_str()) {
            subject = Some(id);
        }
        edits.push(Edit::Piece { id, put: Put::Add(Box::new(piece)) });
    }
    if subject.is_some() {
        edits.push(Edit::Subject(subject));
    }
    scene.apply(Edit::Group(edits))?;
    Ok(scene)
}
