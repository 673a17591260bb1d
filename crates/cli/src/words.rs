//! Options of several quantities at once.

use setpiece::commands::optics::sightings::Upright;
use setpiece::commands::quantity::{self as q, Unreadable};
use setpiece::commands::read::{Horizon, WaterSaid};
use setpiece::commands::scene::{
    Arrangement, Dusk, Factor, Level, PulledStep, SunLight, Surface, Thinning, WhiteReading,
};
use setpiece::commands::units::{Degrees, Metres, Mired, Pixels, Stops};
use std::num::NonZeroUsize;

type Read<T> = Result<T, Unreadable>;

fn wrong<T>(text: &str, allowed: &'static str) -> Read<T> {
    Err(Unreadable { what: format!("\"{text}\" is not understood"), allowed })
}

/// A sun, or none. Its own type: an option of an option would be taken for one that may be left out.
#[derive(Clone, Copy)]
pub(crate) struct Sun(pub(crate) Option<SunLight>);

/// Visibility, or none.
#[derive(Clone, Copy)]
pub(crate) struct Haze(pub(crate) Option<Metres>);

pub(crate) fn sun(text: &str) -> Read<Sun> {
    q::sun(text).map(Sun)
}

/// Daylight taken down, or not.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SaidDusk(pub(crate) Option<Dusk>);

pub(crate) fn dusk(text: &str) -> Read<SaidDusk> {
    if text == "none" {
        return Ok(SaidDusk(None));
    }
    let numbers: Result<Vec<f64>, _> = text.split(',').map(q::number).collect();
    let (down, cooler) = match numbers.as_deref() {
        Ok([down]) => (*down, 0.0),
        Ok([down, cooler]) => (*down, *cooler),
        _ => return wrong(text, "stops down, and mired cooler, as 1.5,40; or none"),
    };
    match (Stops::new(down), Mired::new(cooler)) {
        (Some(down), Some(cooler)) => {
            let is_some = down != Stops::ZERO || cooler != Mired::ZERO;
            Ok(SaidDusk(is_some.then_some(Dusk { down, cooler })))
        }
        _ => wrong(text, "stops down, and mired cooler, as 1.5,40; or none"),
    }
}

pub(crate) fn haze(text: &str) -> Read<Haze> {
    if text == "none" { Ok(Haze(None)) } else { q::distance(text).map(|d| Haze(Some(d))) }
}

pub(crate) fn horizon(text: &str) -> Read<Horizon> {
    const ALLOWED: &str = "the horizon's row in the photograph, as 1520, or two points of it, left one first, as 0,1510,5999,1534";
    let numbers: Vec<f64> =
        text.split(',').map(q::number).collect::<Result<_, _>>().or_else(|_| wrong(text, ALLOWED))?;
    match numbers.as_slice() {
        [row] => q::pixels(&row.to_string()).map(Horizon::Row),
        [a, b, c, d] => Ok(Horizon::Through((*a, *b), (*c, *d))),
        _ => wrong(text, ALLOWED),
    }
}

pub(crate) fn known(text: &str) -> Read<(Upright, Metres)> {
    const ALLOWED: &str =
        "foot and top in pixels of the photograph, and the height, as 2410,2980,2412,2310,1.2m";
    let Some((spots, height)) = text.rsplit_once(',') else { return wrong(text, ALLOWED) };
    let numbers: Vec<f64> =
        spots.split(',').map(q::number).collect::<Result<_, _>>().or_else(|_| wrong(text, ALLOWED))?;
    match numbers.as_slice() {
        [a, b, c, d] => Ok((Upright { foot: (*a, *b), top: (*c, *d) }, q::distance(height)?)),
        _ => wrong(text, ALLOWED),
    }
}

pub(crate) fn known_height(text: &str) -> Read<(String, Metres)> {
    match text.rsplit_once('=').filter(|(name, _)| !name.is_empty()) {
        Some((name, height)) => Ok((name.to_owned(), q::distance(height)?)),
        None => wrong(text, "a cut-out and its height, as post=1m"),
    }
}

pub(crate) fn grey_card(text: &str) -> Read<(String, (Pixels, Pixels))> {
    match text.rsplit_once(':').filter(|(name, _)| !name.is_empty()) {
        Some((name, at)) => Ok((name.to_owned(), q::spot(at)?)),
        None => wrong(text, "a cut-out and a place in its shot, as heron:1210,2400"),
    }
}

pub(crate) fn level(text: &str) -> Read<Level> {
    const ALLOWED: &str = "a name and a height above the ground, as bank=0.4, or pool=-0.2,water";
    let Some((name, rest)) = text.split_once('=').filter(|(name, _)| !name.is_empty()) else {
        return wrong(text, ALLOWED);
    };
    let (height, surface) = match rest.split_once(',') {
        None => (rest, Surface::Dry),
        Some((height, "water")) => (height, Surface::Water),
        Some((height, "dry")) => (height, Surface::Dry),
        Some(_) => return wrong(text, ALLOWED),
    };
    if name == "ground" {
        let what = "\"ground\" is the ground under the camera, at height 0".to_owned();
        return Err(Unreadable { what, allowed: "the level another name, as bank=0.4" });
    }
    Ok(setpiece::commands::read::level(self::name(name)?, q::metres(height)?, surface))
}

/// What is said of a level of water.
#[derive(Clone)]
pub(crate) struct Water(pub(crate) String, pub(crate) WaterSaid);

pub(crate) fn water(text: &str) -> Read<Water> {
    const ALLOWED: &str = "a level's name and three corners or more in the picture's pixels, in quotes, as 'pool 0,1500 1200,1450 900,2400', or 'pool everywhere'";
    let Some((level, rest)) = text.trim().split_once(char::is_whitespace) else {
        return wrong(text, ALLOWED);
    };
    let level = name(level)?;
    if rest.trim() == "everywhere" {
        return Ok(Water(level, WaterSaid::Everywhere));
    }
    corners(rest, 3, q::spot, ALLOWED).map(|corners| Water(level, WaterSaid::Region(corners)))
}

pub(crate) fn ripple(text: &str) -> Read<Water> {
    match text.rsplit_once('=') {
        Some((level, degrees)) => Ok(Water(name(level)?, WaterSaid::Ripple(q::degrees(degrees)?))),
        None => wrong(text, "a level's name and degrees, as pool=2"),
    }
}

pub(crate) fn by(text: &str) -> Read<(Metres, Metres, Metres)> {
    if let Ok((x, z)) = q::ground(text) {
        return Ok((x, Metres::ZERO, z));
    }
    match q::place(text) {
        Ok(p) => Ok((p.x, p.y, p.z)),
        Err(_) => wrong(
            text,
            "metres to the right and away, as 0,-1.2; or to the right, up and away, as 0,0.3,-1.2",
        ),
    }
}

pub(crate) fn white(text: &str) -> Read<WhiteReading> {
    match text.split_once(':') {
        Some((height, rgb)) => Ok(WhiteReading { height: q::metres(height)?, reading: q::rgb(rgb)? }),
        None => wrong(text, "a height and what the card reads there, as 0.5:0.95,0.93,0.89"),
    }
}

pub(crate) fn pull(text: &str) -> Read<PulledStep> {
    match text.split_once('=') {
        Some((at, by)) => Ok(PulledStep { at: q::stops(at)?, by: q::stops(by)? }),
        None => wrong(text, "a step of the wedge and by how much, in stops, as -2=+0.3"),
    }
}

/// A name that a person can see and type.
pub(crate) fn name(text: &str) -> Read<String> {
    const ALLOWED: &str = "a name of letters, digits and the like, on one line";
    if text.trim().is_empty() {
        return Err(Unreadable { what: "the name is empty".to_owned(), allowed: ALLOWED });
    }
    if text.chars().any(char::is_control) {
        return Err(Unreadable { what: "the name holds a control character".to_owned(), allowed: ALLOWED });
    }
    Ok(text.to_owned())
}

/// A whole number, 1 or more.
fn whole(text: &str, most: u64, allowed: &'static str) -> Read<u64> {
    match text.trim().parse::<u64>() {
        Ok(n) if (1..=most).contains(&n) => Ok(n),
        _ => Err(Unreadable { what: format!("\"{text}\" is not possible here"), allowed }),
    }
}

const WHOLE: &str = "a whole number, 1 or more";

pub(crate) fn count(text: &str) -> Read<u32> {
    whole(text, u64::from(u32::MAX), WHOLE).map(|n| n as u32)
}

pub(crate) fn place(text: &str) -> Read<usize> {
    whole(text, u64::from(u32::MAX), WHOLE).map(|n| n as usize)
}

pub(crate) fn threads(text: &str) -> Read<NonZeroUsize> {
    whole(text, 256, "a whole number from 1 to 256")
        .map(|n| NonZeroUsize::new(n as usize).unwrap_or(NonZeroUsize::MIN))
}

pub(crate) fn quality(text: &str) -> Read<u8> {
    whole(text, 100, "a whole number from 1 to 100").map(|n| n as u8)
}

pub(crate) fn seed(text: &str) -> Read<u64> {
    text.trim().parse().or_else(|_| wrong(text, "a whole number, 0 or more"))
}

/// A cut-out and how often it is taken: `reed*`, `sedge=2`.
pub(crate) fn of_share(text: &str) -> Read<(String, f64)> {
    match text.rsplit_once('=') {
        None => Ok((name(text)?, 1.0)),
        Some((of, share)) => match q::number(share) {
            Ok(share) if share > 0.0 => Ok((name(of)?, share)),
            _ => wrong(text, "a cut-out, and how often it is taken against the others, as sedge=2"),
        },
    }
}

fn parts<const N: usize>(text: &str) -> Option<[&str; N]> {
    text.split(',').map(str::trim).collect::<Vec<_>>().try_into().ok()
}

pub(crate) fn drift(text: &str) -> Read<Arrangement> {
    Ok(Arrangement::Drift { spacing: q::distance(text)? })
}

pub(crate) fn clumps(text: &str) -> Read<Arrangement> {
    const ALLOWED: &str = "from clump to clump, across one, and the least distance in it, as 2.5m,1m,0.3m";
    let Some([spacing, width, within]) = parts(text) else { return wrong(text, ALLOWED) };
    Ok(Arrangement::Clumps {
        spacing: q::distance(spacing)?,
        width: q::distance(width)?,
        within: q::distance(within)?,
    })
}

pub(crate) fn ranks(text: &str) -> Read<Arrangement> {
    const ALLOWED: &str =
        "along a line, from line to line, the bearing and how far off their places, as 0.7m,1.2m,30,20%";
    let all: Vec<&str> = text.split(',').map(str::trim).collect();
    let (spacing, between, bearing, jitter) = match all.as_slice() {
        [along, between] => (along, between, "0", "0"),
        [along, between, bearing] => (along, between, *bearing, "0"),
        [along, between, bearing, jitter] => (along, between, *bearing, *jitter),
        _ => return wrong(text, ALLOWED),
    };
    Ok(Arrangement::Ranks {
        bearing: q::degrees(bearing)?,
        spacing: q::distance(spacing)?,
        between: q::distance(between)?,
        jitter: q::share(jitter)?,
    })
}

/// So many, or as many as find room. Its own type: an option of an option would be taken for one that may be left out.
#[derive(Clone, Copy)]
pub(crate) struct Most(pub(crate) Option<u32>);

pub(crate) fn most(text: &str) -> Read<Most> {
    if text == "all" { Ok(Most(None)) } else { count(text).map(|n| Most(Some(n))) }
}

pub(crate) fn thin_far(text: &str) -> Read<Thinning> {
    const ALLOWED: &str = "from where, to where, and the share that is left there, as 4m,12m,30%";
    let Some([from, to, left]) = parts(text) else { return wrong(text, ALLOWED) };
    Ok(Thinning::Distance { from: q::distance(from)?, to: q::distance(to)?, left: q::share(left)? })
}

pub(crate) fn thin_edge(text: &str) -> Read<Thinning> {
    const ALLOWED: &str = "from how far inside, and the share that is left at the edge, as 1.5m,20%";
    let Some([width, left]) = parts(text) else { return wrong(text, ALLOWED) };
    Ok(Thinning::Edge { width: q::distance(width)?, left: q::share(left)? })
}

/// Least and most, by what each is; one alone is both.
fn between<T: Copy>(text: &str, read: impl Fn(&str) -> Read<T>) -> Read<(T, T)> {
    match text.split_once("..") {
        Some((least, most)) => Ok((read(least)?, read(most)?)),
        None => read(text).map(|both| (both, both)),
    }
}

pub(crate) fn heights(text: &str) -> Read<(Factor, Factor)> {
    between(text, q::factor)
}

pub(crate) fn angles(text: &str) -> Read<(Degrees, Degrees)> {
    between(text, q::degrees)
}

pub(crate) fn lifts(text: &str) -> Read<(Metres, Metres)> {
    between(text, q::metres)
}

/// A part of a piece.
#[derive(Clone)]
pub(crate) struct ClearPiece {
    pub(crate) piece: String,
    pub(crate) from: f64,
    pub(crate) to: f64,
}

pub(crate) fn clear_piece(text: &str) -> Read<ClearPiece> {
    match text.rsplit_once(':') {
        None => Ok(ClearPiece { piece: name(text)?, from: 0.0, to: 1.0 }),
        Some((piece, part)) => {
            let (from, to) = between(part, q::share)?;
            if from < to {
                return Ok(ClearPiece { piece: name(piece)?, from, to });
            }
            wrong(text, "a piece and a part of its height, the lower end first, as sitter:80%..100%")
        }
    }
}

/// A line of sight.
#[derive(Clone)]
pub(crate) struct ClearSight {
    pub(crate) from: String,
    pub(crate) to: String,
    pub(crate) width: Metres,
}

pub(crate) fn clear_sight(text: &str) -> Read<ClearSight> {
    const ALLOWED: &str = "who looks, at what, and how wide it stays free, as sitter,lantern,0.6m";
    let Some((rest, width)) = text.rsplit_once(',') else { return wrong(text, ALLOWED) };
    let Some((from, to)) = rest.split_once(',') else { return wrong(text, ALLOWED) };
    Ok(ClearSight { from: name(from.trim())?, to: name(to.trim())?, width: q::distance(width)? })
}

/// Corners on the ground: metres right and away.
#[derive(Clone)]
pub(crate) struct OnGround(pub(crate) Vec<(Metres, Metres)>);

/// Corners in the picture: pixels.
#[derive(Clone)]
pub(crate) struct InPicture(pub(crate) Vec<(Pixels, Pixels)>);

/// So many corners at least, with spaces between.
fn corners<T>(
    text: &str,
    least: usize,
    read: impl Fn(&str) -> Read<T>,
    allowed: &'static str,
) -> Read<Vec<T>> {
    let all: Vec<T> = text.split_whitespace().map(read).collect::<Result<_, _>>()?;
    if all.len() >= least { Ok(all) } else { wrong(text, allowed) }
}

const AREA: &str = "three corners or more, in quotes, as '-3,4 3,4 0,9'";
const LINE: &str = "two corners or more, in quotes, as '-3,4 3,6'";

pub(crate) fn outline(text: &str) -> Read<OnGround> {
    corners(text, 3, q::ground, AREA).map(OnGround)
}

pub(crate) fn outline_seen(text: &str) -> Read<InPicture> {
    corners(text, 3, q::spot, AREA).map(InPicture)
}

pub(crate) fn line(text: &str) -> Read<OnGround> {
    corners(text, 2, q::ground, LINE).map(OnGround)
}

pub(crate) fn line_seen(text: &str) -> Read<InPicture> {
    corners(text, 2, q::spot, LINE).map(InPicture)
}
