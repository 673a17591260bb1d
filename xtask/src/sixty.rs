//! Writes a picture folder with sixty marks, of sizes and discs like those of the speed cases: for measuring the commands and
//! the studio on a picture as large as real ones.
//!
//! Backdrop and cut-outs are drawn here, from a fixed seed: plants of many strands on a clear ground.

use crate::error::Error;
use files::encode::{self, Codes, Description, Form, Sampling};
use files::{Channels, Depth};
use optics::{Aperture, Focus, Lens, Viewpoint};
use pixels::encode::Transfer;
use scene::{
    Backdrop, CutOut, Edit, Facts, Format, Mark, Origin, Piece, Put, Scale, SourceKind, Stage, Window,
};
use setpiece::{NewSource, Picture, Timestamp};
use std::io::Cursor;
use std::path::Path;
use units::{Degrees, Kelvin, Metres, Millimetres, Pixels, Primaries, PxSize, math};

/// Cut-outs that the pieces share, as in the speed cases.
const CUTOUTS: u32 = 12;

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let [folder] = args else { return Err(Error::new("a folder to write is needed")) };
    // 2026-01-01, noon: the same folder at every call.
    let at =
        Timestamp::from_unix_millis(1_767_268_800_000).ok_or_else(|| Error::new("the date is no date"))?;
    let size = PxSize::new(6000, 4000).ok_or_else(|| Error::new("the picture's size is out of range"))?;
    let mut picture = Picture::create(Path::new(folder), Format::of_size(size), "sixty pieces", at)?;
    let mut chance = Chance(60);

    let focal = Millimetres::of(50.0);
    let camera = optics::Camera::new(Viewpoint {
        size,
        height: Metres::of(1.5),
        pitch: Degrees::of(3.0),
        roll: Degrees::ZERO,
        focal,
        sensor_width: Millimetres::of(36.0),
        principal: None,
    })?;
    picture
        .edit(Edit::Stage(Stage { camera, origin: Origin::Given, white_balance: Kelvin::of(5600.0) }), at)?;
    let lens = Lens::new(focal, 1.4, Focus::At(Metres::of(6.0)), Aperture::Disc)?;
    picture.edit(Edit::Lens(lens), at)?;
    let shown = NewSource {
        name: "backdrop.jpg".to_owned(),
        kind: SourceKind::Backdrop,
        size: Some(size),
        note: String::new(),
    };
    let backdrop = picture.add_source(&*backdrop(size)?, shown, at)?;
    let window = Window { left: Pixels::ZERO, top: Pixels::ZERO, width: Pixels::of(6000.0) };
    picture.edit(Edit::Backdrop(Some(Backdrop { source: backdrop, window, mirrored: false })), at)?;

    let mut cutouts = Vec::new();
    for i in 0..CUTOUTS {
        let height = 1200 + i * 1200 / (CUTOUTS - 1);
        let size = PxSize::new(height * 2 / 3, height)
            .ok_or_else(|| Error::new("a cut-out's size is out of range"))?;
        let new = NewSource {
            name: format!("plant-{i:02}.png"),
            kind: SourceKind::Shot,
            size: Some(size),
            note: String::new(),
        };
        let shot = picture.add_source(&*plant(size, &mut chance)?, new, at)?;
        let id = picture.scene().fresh().cutout();
        let facts =
            Facts { scale: Some(Scale::Height(Metres::of(1.1 + 0.05 * f64::from(i)))), ..Facts::default() };
        let cutout = CutOut { facts, ..CutOut::of(format!("plant {i}"), shot, None) };
        picture.edit(Edit::CutOut { id, put: Put::Add(Box::new(cutout)) }, at)?;
        cutouts.push(id);
    }
    // Far and a little soft; at the plane of focus; in front of it; close to the lens and very soft.
    let rows = [(20, 9.0, 40.0), (15, 5.9, 6.1), (10, 4.0, 5.4), (15, 2.2, 3.4)];
    for (number, near, far) in rows {
        for i in 0..number {
            let z = near + (far - near) * (f64::from(i) + chance.next()) / f64::from(number);
            let x = (chance.next() - 0.5) * 0.76 * z;
            let id = picture.scene().fresh().piece();
            let cutout = cutouts[(chance.next() * f64::from(CUTOUTS)) as usize % cutouts.len()];
            let mark = Mark::on_ground(metres(x)?, metres(z)?);
            let mut piece =
                Piece::standing(format!("plant {}", picture.scene().pieces().len() + 1), cutout, mark);
            piece.mirrored = chance.next() < 0.5;
            picture.edit(Edit::Piece { id, put: Put::Add(Box::new(piece)) }, at)?;
        }
    }
    picture.save()?;
    println!("{folder}: {} pieces", picture.scene().pieces().len());
    Ok(())
}

fn metres(v: f64) -> Result<Metres, Error> {
    Metres::new(v).ok_or_else(|| Error::new("a place is not finite"))
}

/// Equal chances from a fixed beginning (splitmix64, Steele, Lea and Flood 2014).
struct Chance(u64);

impl Chance {
    /// 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Sky over ground with broad waves of tone, as JPEG.
fn backdrop(size: PxSize) -> Result<Vec<u8>, Error> {
    let (w, h) = (f64::from(size.width()), f64::from(size.height()));
    let across: Vec<f64> = (0..size.width()).map(|x| math::sin(f64::from(x) / w * 37.0)).collect();
    let mut codes = Vec::with_capacity(size.area() as usize * 3);
    for y in 0..size.height() {
        let v = f64::from(y) / h;
        let wave = math::cos(v * 61.0);
        let tone: [f64; 3] = if v < 0.45 { [150.0, 165.0, 190.0] } else { [96.0, 92.0, 78.0] };
        for a in &across {
            let light = 1.0 + 0.06 * a * wave - 0.25 * (v - 0.45).abs();
            codes.extend(tone.map(|t| (t * light).clamp(0.0, 255.0) as u8));
        }
    }
    let form = Form::Jpeg { quality: 92, sampling: Sampling::Full };
    Ok(encode::whole(Cursor::new(Vec::new()), describe(size, Channels::Rgb), form, Codes::U8(&codes))?
        .into_inner())
}

/// Bent strands from one root, each a few pixels wide, as 16-bit PNG with coverage.
fn plant(size: PxSize, chance: &mut Chance) -> Result<Vec<u8>, Error> {
    let (w, h) = (size.width() as usize, size.height() as usize);
    let mut cover = vec![0.0f32; w * h];
    for _ in 0..160 {
        let (mut x, mut y) = (w as f64 * (0.5 + 0.12 * (chance.next() - 0.5)), h as f64 - 80.0);
        let (mut angle, bend) = ((chance.next() - 0.5) * 0.7, (chance.next() - 0.5) * 0.0016);
        let (length, width) = (h as f64 * (0.4 + 0.5 * chance.next()), 0.8 + 2.5 * chance.next());
        for step in 0..length as usize {
            let half = width * (1.0 - step as f64 / length) + 0.4;
            let (cx, cy, reach) = (x as i64, y as i64, half as i64 + 1);
            for j in cy - reach..=cy + reach {
                for i in cx - reach..=cx + reach {
                    if i > 70 && j > 70 && (i as usize) < w - 70 && (j as usize) < h - 70 {
                        let d = math::hypot(i as f64 + 0.5 - x, j as f64 + 0.5 - y);
                        let c = &mut cover[j as usize * w + i as usize];
                        *c = c.max((half + 0.5 - d).clamp(0.0, 1.0) as f32);
                    }
                }
            }
            x += math::sin(angle);
            y -= math::cos(angle);
            angle += bend;
        }
    }
    let base = [0.25 + 0.3 * chance.next(), 0.3 + 0.3 * chance.next(), 0.15 + 0.2 * chance.next()];
    let mut codes = Vec::with_capacity(w * h * 4);
    for (i, a) in cover.iter().enumerate() {
        let tone = 0.7 + 0.3 * math::sin((i % w) as f64 * 0.9) * math::sin((i / w) as f64 * 0.13);
        codes.extend(base.map(|b| (b * tone * 65535.0) as u16));
        codes.push((f64::from(*a) * 65535.0 + 0.5) as u16);
    }
    let form = Form::Png { depth: Depth::U16 };
    Ok(encode::whole(Cursor::new(Vec::new()), describe(size, Channels::Rgba), form, Codes::U16(&codes))?
        .into_inner())
}

fn describe(size: PxSize, channels: Channels) -> Description {
    Description { size, channels, colour: Some((Primaries::Srgb, Transfer::Srgb)), ppi: None }
}
