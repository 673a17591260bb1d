//! Quantities of several numbers: places, colours, lights, lenses, parts of a picture.

use super::{Read, Unreadable, degrees, distance, finite, kelvin, metres, plain, stops, wrong};
use optics::{Aperture, Focus, Point, lens::Blades};
use scene::{Glow, LightColour, SunLight, Window};
use units::{Degrees, Metres, Pixels, PxRect, PxSize, Vec3};

const RGB: &str = "linear red, green and blue, as 0.8,0.9,1.0";
const GLOW: &str =
    "a light: stops and kelvin as -1EV@5600K, strength and kelvin as 0.5@5600K, or linear r,g,b";

/// So many numbers with commas between.
fn list<const N: usize>(text: &str, allowed: &'static str) -> Read<[f64; N]> {
    let parts: Vec<&str> = text.split(',').collect();
    if parts.len() != N {
        return wrong(text, &format!("holds {} numbers, not {N}", parts.len()), allowed);
    }
    let mut out = [0.0; N];
    for (value, part) in out.iter_mut().zip(parts) {
        *value = plain(part, text, allowed)?;
    }
    Ok(out)
}

/// Two lengths on the ground: `x,z`.
///
/// # Errors
/// For anything else.
pub fn ground(text: &str) -> Read<(Metres, Metres)> {
    const ALLOWED: &str = "metres to the right and metres away, as -1.2,4.5";
    match text.split_once(',') {
        Some((x, z)) => match (metres(x), metres(z)) {
            (Ok(x), Ok(z)) => Ok((x, z)),
            _ => wrong(text, "is no place on the ground", ALLOWED),
        },
        None => wrong(text, "is no place on the ground", ALLOWED),
    }
}

/// A place on the stage: `x,y,z`.
///
/// # Errors
/// For anything else.
pub fn place(text: &str) -> Read<Point> {
    const ALLOWED: &str = "metres to the right, up and away, as 0.4,1.6,7.2";
    let parts: Vec<Metres> = text.split(',').filter_map(|p| metres(p).ok()).collect();
    match (parts.as_slice(), text.split(',').count()) {
        ([x, y, z], 3) => Ok(Point::new(*x, *y, *z)),
        _ => wrong(text, "is no place on the stage", ALLOWED),
    }
}

/// A place in a photograph: `u,v` in pixels.
///
/// # Errors
/// For anything else.
pub fn spot(text: &str) -> Read<(Pixels, Pixels)> {
    const ALLOWED: &str = "column and row in pixels, as 512,1840";
    let [u, v] = list(text, ALLOWED)?;
    finite(Pixels::new(u).zip(Pixels::new(v)), text, ALLOWED)
}

/// A place in the picture as shares of its width and height: `0.5,0.4`.
///
/// # Errors
/// For anything else.
pub fn fraction(text: &str) -> Read<[f64; 2]> {
    list(text, "shares of the picture's width and height, as 0.5,0.4")
}

/// Linear red, green and blue: `0.8,0.9,1.0`. None below 0.
///
/// # Errors
/// For anything else.
pub fn rgb(text: &str) -> Read<Vec3> {
    let rgb = list(text, RGB)?;
    if rgb.iter().any(|v| *v < 0.0) {
        return wrong(text, "holds less than no light", RGB);
    }
    Ok(Vec3(rgb))
}

/// A light: `-1EV@5600K`, `0.5@5600K`, `r,g,b`; a tint follows as in `0.5@5600K/+3`.
///
/// # Errors
/// For anything else.
pub fn glow(text: &str) -> Read<Glow> {
    let Some((amount, colour)) = text.split_once('@') else {
        if !text.contains(',') {
            return wrong(text, "is no light", GLOW);
        }
        return Ok(Glow { strength: 1.0, colour: LightColour::Picked(rgb(text)?) });
    };
    let strength = match ["EV", "ev", "stops", "stop"].iter().find_map(|u| amount.trim().strip_suffix(u)) {
        Some(amount) => units::math::exp2(stops(amount)?.get()),
        None => plain(amount, text, GLOW)?,
    };
    if strength < 0.0 {
        return wrong(text, "is less than no light", GLOW);
    }
    let colour = if colour.contains(',') {
        LightColour::Picked(rgb(colour)?)
    } else {
        let (cct, tint) = colour.split_once('/').map_or((colour, None), |(c, t)| (c, Some(t)));
        let tint = tint.map_or(Ok(0.0), |t| plain(t, text, GLOW))?;
        LightColour::Kelvin { cct: kelvin(cct)?, tint }
    };
    Ok(Glow { strength, colour })
}

/// A sun: `bearing,height,LIGHT`, or `none`.
///
/// # Errors
/// For anything else.
pub fn sun(text: &str) -> Read<Option<SunLight>> {
    const ALLOWED: &str = "none, or bearing and height in degrees and its light, as -40,12,2.5@4800K";
    if text == "none" {
        return Ok(None);
    }
    let mut parts = text.splitn(3, ',');
    let (Some(bearing), Some(height), Some(light)) = (parts.next(), parts.next(), parts.next()) else {
        return wrong(text, "is no sun", ALLOWED);
    };
    // The apparent diameter of the sun, half a degree (Meeus 1998, mean value).
    let diameter = Degrees::of(0.533);
    Ok(Some(SunLight { bearing: degrees(bearing)?, height: degrees(height)?, glow: glow(light)?, diameter }))
}

/// What a lens is focused at: `5.4`, `5.4m`, `inf`.
///
/// # Errors
/// For anything else.
pub fn focus(text: &str) -> Read<Focus> {
    match text {
        "inf" | "infinity" => Ok(Focus::Infinity),
        _ => match distance(text) {
            Ok(distance) => Ok(Focus::At(distance)),
            Err(e) => Err(Unreadable { allowed: "a distance, as 5.4m, or inf", ..e }),
        },
    }
}

/// The shape of an aperture: `disc`, or blades as `7`, `7,12` (turned), `7,12,0.5` (rounded).
///
/// # Errors
/// For anything else.
pub fn aperture(text: &str) -> Read<Aperture> {
    const ALLOWED: &str =
        "disc, or the number of blades (3 to 16), their turn in degrees and roundness 0 to 1, as 7,12,0.5";
    if text == "disc" {
        return Ok(Aperture::Disc);
    }
    let parts: Vec<f64> = text.split(',').map(|p| plain(p, text, ALLOWED)).collect::<Result<_, _>>()?;
    let (count, turn, round) = match parts.as_slice() {
        [n] => (*n, 0.0, 0.0),
        [n, turn] => (*n, *turn, 0.0),
        [n, turn, round] => (*n, *turn, *round),
        _ => return wrong(text, "holds too many numbers", ALLOWED),
    };
    let turn = finite(Degrees::new(turn), text, ALLOWED)?;
    if count.fract() != 0.0 || !(0.0..=255.0).contains(&count) {
        return wrong(text, "is no number of blades", ALLOWED);
    }
    match Blades::new(count as u8, turn, round) {
        Ok(blades) => Ok(Aperture::Blades(blades)),
        Err(e) => Err(Unreadable { what: e.what(), allowed: ALLOWED }),
    }
}

/// A part of the backdrop: `left,top,width` in its pixels.
///
/// # Errors
/// For anything else.
pub fn window(text: &str) -> Read<Window> {
    const ALLOWED: &str = "left, top and width in pixels of the photograph, as 120,0,5600";
    let [left, top, width] = list(text, ALLOWED)?;
    if width < 1.0 {
        return wrong(text, "is not a pixel wide", ALLOWED);
    }
    let all = Pixels::new(left).zip(Pixels::new(top)).zip(Pixels::new(width));
    finite(all.map(|((left, top), width)| Window { left, top, width }), text, ALLOWED)
}

/// A part of the picture: `x,y,width,height` in its pixels.
///
/// # Errors
/// For anything else.
pub fn region(text: &str) -> Read<PxRect> {
    const ALLOWED: &str = "left, top, width and height in whole pixels, as 1200,800,600,400";
    let [x, y, w, h] = list(text, ALLOWED)?;
    let limit = f64::from(PxSize::LIMIT);
    let whole = [x, y, w, h].iter().all(|v| v.fract() == 0.0 && v.abs() <= limit);
    if !whole || w < 1.0 || h < 1.0 {
        return wrong(text, "is no part of a picture", ALLOWED);
    }
    Ok(PxRect::new(x as i64, y as i64, (x + w) as i64, (y + h) as i64))
}
