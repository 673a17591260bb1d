//! Quantities as people type them: a number and, mostly, a unit. The mark card and the command line read the same grammar.
//!
//! Decimal points, not commas: commas part the numbers of a list. What cannot be read is answered with what can.

mod pinned;
mod several;

pub use pinned::{pinned_size, pinned_warmth};
pub use several::{aperture, focus, fraction, glow, ground, place, region, rgb, spot, sun, window};

use scene::{Factor, Print, Warmth};
use std::fmt;
use units::{Degrees, Kelvin, Metres, Millimetres, Mired, Pixels, PixelsPerMetre, PxSize, Stops};

/// A text that is not the quantity it should be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unreadable {
    /// What is wrong.
    pub what: String,
    /// What can be read.
    pub allowed: &'static str,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; give {}", self.what, self.allowed)
    }
}

impl std::error::Error for Unreadable {}

type Read<T> = Result<T, Unreadable>;

const NUMBER: &str = "a plain number, as 1.7";
const LENGTH: &str = "a length, as 1.7, 1.7m, 170cm, 5ft or 5ft7in";
/// Metres (international yard and pound agreement of 1959; from memory).
const FOOT: f64 = 0.3048;
const MM: &str = "millimetres, as 50 or 50mm";
const SIZE: &str = "width and height in pixels, as 6000x4000";
const PRINT: &str = "width and height with their unit, as 60x40cm, 600x400mm or 24x16in";
const STOPS: &str = "stops, as +0.3, -1.5 or +1/3";
const FACTOR: &str = "a relative change, as +6%, -10% or x1.2 (none: +0%; 50% is half of it)";
const WARMTH: &str = "mired, warmer +, cooler -, as +20; with a tint (green +) as +20/-3";
const SHARE: &str = "a share, as 20% or 0.2";
const ANGLE: &str = "degrees, as 2.5 or 2.5deg";
const KELVIN: &str = "kelvin, as 5600 or 5600K";

fn wrong<T>(text: &str, why: &str, allowed: &'static str) -> Read<T> {
    Err(Unreadable { what: format!("\"{text}\" {why}"), allowed })
}

/// By how much a rendering is larger than the picture: 0.0001 to 100.
///
/// # Errors
/// For anything else.
pub fn scale(text: &str) -> Read<f64> {
    const ALLOWED: &str = "a factor from 0.0001 to 100, as 0.25";
    match plain(text.trim(), text, ALLOWED)? {
        factor if (1e-4..=100.0).contains(&factor) => Ok(factor),
        _ => wrong(text, "is no scale that a picture can be rendered at", ALLOWED),
    }
}

/// Pixels to the inch of a print: 1 to 10000.
///
/// # Errors
/// For anything else.
pub fn ppi(text: &str) -> Read<f64> {
    const ALLOWED: &str = "pixels to the inch, 1 to 10000, as 300";
    let value = plain(text.trim().trim_end_matches("ppi"), text, ALLOWED)?;
    if (1.0..=10_000.0).contains(&value) {
        Ok(value)
    } else {
        wrong(text, "is no resolution that a print can have", ALLOWED)
    }
}

/// A finite number; NaN and infinity are none.
///
/// # Errors
/// For anything else.
pub fn number(text: &str) -> Read<f64> {
    plain(text, text, NUMBER)
}

/// A number of `text`, a part of what was typed as `whole`.
fn plain(text: &str, whole: &str, allowed: &'static str) -> Read<f64> {
    let bare = text.trim();
    // The words that a float may be written as are none of ours.
    let digits = bare.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    match bare.parse::<f64>() {
        Ok(v) if digits && v.is_finite() => Ok(v),
        Ok(_) if !digits => wrong(whole, "is no number that can be used", allowed),
        Ok(_) => wrong(whole, "is too large a number", allowed),
        Err(_) if bare.is_empty() => wrong(whole, "lacks a number", allowed),
        Err(_) => wrong(whole, "is not understood", allowed),
    }
}

/// A number in front of one of these units; no unit is the first.
fn with_unit(text: &str, units: &[(&str, f64)], allowed: &'static str) -> Read<f64> {
    let bare = text.trim();
    let unit = units.iter().filter(|(u, _)| !u.is_empty() && bare.ends_with(u)).max_by_key(|(u, _)| u.len());
    let (number, factor) = unit.map_or((bare, 1.0), |(u, f)| (&bare[..bare.len() - u.len()], *f));
    let value = plain(number, text, allowed)? * factor;
    if value.is_finite() { Ok(value) } else { wrong(text, "is too large a number", allowed) }
}

fn finite<T>(value: Option<T>, text: &str, allowed: &'static str) -> Read<T> {
    value.map_or_else(|| wrong(text, "is too large a number", allowed), Ok)
}

/// A length or place on the stage: `1.7`, `1.7m`, `170cm`, `5ft`, `6in`, `5ft11in`, `5'11"`.
///
/// # Errors
/// For anything else.
pub fn metres(text: &str) -> Read<Metres> {
    let units = [
        ("km", 1000.0),
        ("cm", 0.01),
        ("mm", 0.001),
        ("m", 1.0),
        ("ft", FOOT),
        ("'", FOOT),
        ("in", FOOT / 12.0),
        ("\"", FOOT / 12.0),
    ];
    let value = match feet_and_inches(text) {
        Some((feet, inches)) => {
            let (feet, inches) = (plain(feet, text, LENGTH)?, plain(inches, text, LENGTH)?);
            // The sign, even of no feet at all, goes for both.
            let inches = inches / 12.0;
            (if feet.is_sign_negative() { feet - inches } else { feet + inches }) * FOOT
        }
        None => with_unit(text, &units, LENGTH)?,
    };
    finite(Metres::new(value), text, LENGTH)
}

/// Feet and inches of `5'11"`, `5'11` and `5ft11in`.
fn feet_and_inches(text: &str) -> Option<(&str, &str)> {
    let (feet, inches) = text.trim().split_once("ft").or_else(|| text.trim().split_once('\''))?;
    let bare = inches.trim();
    let bare = bare.strip_suffix("in").or_else(|| bare.strip_suffix('"')).unwrap_or(bare);
    bare.starts_with(|c: char| c.is_ascii_digit()).then_some((feet, bare))
}

/// A distance: a length above 0.
///
/// # Errors
/// For anything else.
pub fn distance(text: &str) -> Read<Metres> {
    let metres = metres(text)?;
    if metres > Metres::ZERO {
        Ok(metres)
    } else {
        wrong(text, "is no distance: it must be more than 0", LENGTH)
    }
}

/// A focal length or sensor width: `50`, `50mm`. More than 0.
///
/// # Errors
/// For anything else.
pub fn millimetres(text: &str) -> Read<Millimetres> {
    let units = [("cm", 10.0), ("mm", 1.0)];
    let mm = finite(Millimetres::new(with_unit(text, &units, MM)?), text, MM)?;
    if mm > Millimetres::ZERO { Ok(mm) } else { wrong(text, "must be more than 0", MM) }
}

/// A size in pixels: `6000x4000`.
///
/// # Errors
/// For anything else.
pub fn size(text: &str) -> Read<PxSize> {
    let bare = text.trim().trim_end_matches("px");
    let sides = bare
        .split_once(['x', 'X', '×'])
        .and_then(|(w, h)| Some((w.trim().parse::<u32>().ok()?, h.trim().parse::<u32>().ok()?)));
    let Some((w, h)) = sides else { return wrong(text, "is no size", SIZE) };
    PxSize::new(w, h)
        .map_or_else(|| wrong(text, "is no size a picture can have (1 to 1048576 a side)", SIZE), Ok)
}

/// The size of a print: `60x40cm`.
///
/// # Errors
/// For anything else.
pub fn print_size(text: &str) -> Read<(Millimetres, Millimetres)> {
    let bare = text.trim();
    let Some((unit, factor)) =
        [("cm", 10.0), ("mm", 1.0), ("in", 25.4), ("m", 1000.0)].into_iter().find(|(u, _)| bare.ends_with(u))
    else {
        return wrong(text, "does not say its unit", PRINT);
    };
    let Some((w, h)) = bare[..bare.len() - unit.len()].split_once(['x', 'X', '×']) else {
        return wrong(text, "is no size", PRINT);
    };
    let side = |s: &str| -> Read<Millimetres> {
        let mm = Millimetres::new(plain(s, text, PRINT)? * factor).filter(|v| *v > Millimetres::ZERO);
        mm.map_or_else(|| wrong(text, "is no size: each side must be more than 0", PRINT), Ok)
    };
    Ok((side(w)?, side(h)?))
}

/// A print with its resolution, and the pixels it takes.
#[must_use]
pub fn pixels_of(print: &Print) -> Option<PxSize> {
    let side = |mm: Millimetres| {
        let px = (mm.get() / 25.4 * print.ppi).round();
        (px >= 1.0 && px <= f64::from(PxSize::LIMIT)).then_some(px as u32)
    };
    PxSize::new(side(print.width)?, side(print.height)?)
}

/// Stops: `+0.3`, `-1.5EV`, `+1/3`.
///
/// # Errors
/// For anything else.
pub fn stops(text: &str) -> Read<Stops> {
    let bare = text.trim();
    let bare = ["stops", "stop", "EV", "ev"].iter().find_map(|u| bare.strip_suffix(u)).unwrap_or(bare);
    let value = match bare.split_once('/') {
        Some((a, b)) => {
            let (a, b) = (plain(a, text, STOPS)?, plain(b, text, STOPS)?);
            if b == 0.0 { return wrong(text, "divides by nothing", STOPS) } else { a / b }
        }
        None => plain(bare, text, STOPS)?,
    };
    finite(Stops::new(value), text, STOPS)
}

/// A relative change: `+6%`, `-10%`, `x1.2`.
///
/// # Errors
/// For anything else.
pub fn factor(text: &str) -> Read<Factor> {
    let bare = text.trim();
    let value = if let Some(times) = bare.strip_prefix(['x', '×']) {
        plain(times, text, FACTOR)?
    } else if let Some(per_cent) = bare.strip_suffix('%') {
        let value = plain(per_cent, text, FACTOR)? / 100.0;
        if per_cent.trim_start().starts_with(['+', '-']) { 1.0 + value } else { value }
    } else {
        return wrong(text, "does not say whether it is a share or a factor", FACTOR);
    };
    if value < 0.0 {
        return wrong(text, "leaves less than nothing", FACTOR);
    }
    finite(Factor::new(value), text, FACTOR)
}

/// A shift of the colour of light: `-20`, `+20mired`, with a tint `+20/-3`.
///
/// # Errors
/// For anything else.
pub fn warmth(text: &str) -> Read<Warmth> {
    let (warmth, tint) = text.split_once('/').map_or((text, None), |(w, t)| (w, Some(t)));
    let mired = plain(warmth.trim().trim_end_matches("mired"), text, WARMTH)?;
    let tint = tint.map_or(Ok(0.0), |t| plain(t, text, WARMTH))?;
    Ok(Warmth { warmth: finite(Mired::new(mired), text, WARMTH)?, tint })
}

/// A share: `20%`, `0.2`.
///
/// # Errors
/// For anything else.
pub fn share(text: &str) -> Read<f64> {
    let value = match text.trim().strip_suffix('%') {
        Some(per_cent) => plain(per_cent, text, SHARE)? / 100.0,
        None => plain(text, text, SHARE)?,
    };
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        wrong(text, "is not between nothing and all", SHARE)
    }
}

/// An angle: `2.5`, `2.5deg`, `2.5°`.
///
/// # Errors
/// For anything else.
pub fn degrees(text: &str) -> Read<Degrees> {
    finite(Degrees::new(with_unit(text, &[("deg", 1.0), ("°", 1.0)], ANGLE)?), text, ANGLE)
}

/// A colour temperature: `5600`, `5600K`.
///
/// # Errors
/// For anything else.
pub fn kelvin(text: &str) -> Read<Kelvin> {
    finite(Kelvin::new(with_unit(text, &[("K", 1.0), ("k", 1.0)], KELVIN)?), text, KELVIN)
}

/// Pixels: `12`, `12px`.
///
/// # Errors
/// For anything else.
pub fn pixels(text: &str) -> Read<Pixels> {
    const ALLOWED: &str = "pixels, as 12 or 12px";
    finite(Pixels::new(with_unit(text, &[("px", 1.0)], ALLOWED)?), text, ALLOWED)
}

/// Pixels to a metre: `420`, `420px/m`.
///
/// # Errors
/// For anything else.
pub fn per_metre(text: &str) -> Read<PixelsPerMetre> {
    const ALLOWED: &str = "pixels to a metre, as 420 or 420px/m";
    let value = with_unit(text, &[("px/m", 1.0)], ALLOWED)?;
    if value <= 0.0 {
        return wrong(text, "must be more than 0", ALLOWED);
    }
    finite(PixelsPerMetre::new(value), text, ALLOWED)
}

/// Memory: `2GB`, `800MB`, `2GiB`; in bytes. Capitals do not matter.
///
/// # Errors
/// For anything else.
pub fn memory(text: &str) -> Read<u64> {
    const ALLOWED: &str = "an amount of memory from 1MB on, as 2GB, 800MB or 2GiB";
    const UNITS: [(&str, f64); 11] = [
        ("kib", 1024.0),
        ("mib", 1_048_576.0),
        ("gib", 1_073_741_824.0),
        ("tib", 1_099_511_627_776.0),
        ("kb", 1e3),
        ("mb", 1e6),
        ("gb", 1e9),
        ("tb", 1e12),
        ("m", 1e6),
        ("g", 1e9),
        ("b", 1.0),
    ];
    let bare = text.trim().to_ascii_lowercase();
    let Some((unit, factor)) = UNITS.into_iter().find(|(u, _)| bare.ends_with(u)) else {
        return wrong(text, "does not say its unit", ALLOWED);
    };
    let bytes = plain(&bare[..bare.len() - unit.len()], text, ALLOWED)? * factor;
    match bytes {
        b if (1e6..=1e15).contains(&b) => Ok(b as u64),
        b if b < 1e6 => wrong(text, "is too little to render in", ALLOWED),
        _ => wrong(text, "is more than any machine has", ALLOWED),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use optics::Focus;
    use scene::LightColour;
    use units::Vec3;

    #[test]
    fn what_people_type_is_read() {
        assert_eq!(metres("1.7"), Ok(Metres::of(1.7)));
        assert_eq!(metres("170cm"), Ok(Metres::of(170.0 * 0.01)));
        assert_eq!(metres("-0.5 m"), Ok(Metres::of(-0.5)));
        // A foot is 0.3048 m, an inch 0.0254 m.
        let near = |text: &str, wanted: f64| (metres(text).unwrap().get() - wanted).abs() < 1e-12;
        assert!(near("5ft", 1.524) && near("5'", 1.524) && near("6in", 0.1524) && near("6\"", 0.1524));
        assert!(near("5ft11in", 1.8034) && near("5'11\"", 1.8034) && near("5' 11", 1.8034));
        assert!(near("-1ft6in", -0.4572) && near("-0ft6in", -0.1524));
        assert!(metres("5ft11cm").is_err() && metres("ft").is_err() && metres("5'-3").is_err());
        assert_eq!(size("6000x4000"), Ok(PxSize::new(6000, 4000).unwrap()));
        assert_eq!(
            print_size("24x16in"),
            Ok((Millimetres::of(609.599_999_999_999_9), Millimetres::of(406.4)))
        );
        assert_eq!(factor("+6%").map(Factor::get), Ok(1.06));
        assert_eq!(factor("-10%").map(Factor::get), Ok(0.9));
        assert_eq!(factor("x1.2").map(Factor::get), Ok(1.2));
        assert_eq!(stops("+1/3"), Ok(Stops::of(1.0 / 3.0)));
        assert_eq!(stops("-1.5EV"), Ok(Stops::of(-1.5)));
        assert_eq!(kelvin("5600K"), Ok(Kelvin::of(5600.0)));
        assert_eq!(share("20%"), Ok(0.2));
        assert_eq!(focus("inf"), Ok(Focus::Infinity));
        assert_eq!(glow("-1EV@5600K").map(|g| g.strength), Ok(0.5));
        assert_eq!(glow("1,0.5,0.25").map(|g| g.colour), Ok(LightColour::Picked(Vec3::new(1.0, 0.5, 0.25))));
        assert_eq!(warmth("-20/+3").map(|w| (w.warmth.get(), w.tint)), Ok((-20.0, 3.0)));
    }

    #[test]
    fn a_print_of_60_by_40_cm_at_300_ppi() {
        // 600 mm / 25.4 mm * 300 = 7086.6.
        let (width, height) = print_size("60x40cm").unwrap();
        assert_eq!(pixels_of(&Print { width, height, ppi: 300.0 }), PxSize::new(7087, 4724));
    }

    #[test]
    fn what_is_no_quantity_says_what_would_be() {
        for text in ["", "nan", "NaN", "inf", "-inf", "1e999", "1,7", "one", "0x10", "1_000"] {
            let e = metres(text).unwrap_err();
            assert!(e.to_string().contains("1.7m"), "{text}: {e}");
        }
        assert!(distance("0").is_err() && distance("-3m").is_err());
        assert!(factor("1.2").is_err() && factor("-120%").is_err());
        assert!(size("0x10").is_err() && size("10").is_err() && size("-3x4").is_err());
        assert!(print_size("60x40").is_err() && print_size("0x4cm").is_err());
        assert!(rgb("1,2").is_err() && rgb("1,-2,3").is_err());
        assert!(glow("5600K").is_err() && glow("-1@5600K").is_err());
        assert!(aperture("2").is_err() && aperture("7.5").is_err());
        assert!(region("0,0,0,5").is_err() && region("0.5,0,2,5").is_err());
    }
}
