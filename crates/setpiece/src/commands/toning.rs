//! The toning card: treatments in the order of the light's way, each with a strength and a where.

use super::cutouts::gone;
use super::{Error, Kind as Trouble, names};
use pixels::encode::Transfer;
use scene::{
    Clause, Edit, Kind, PulledStep, Scene, Step, Treatment, TreatmentChange, TreatmentId, Where, figure,
};
use serde::Serialize;
use ts_rs::TS;
use units::{Mired, Pixels, Stops, Vec3, math};

pub mod card;
pub mod wheres;

/// What a treatment is told. Which of them it has depends on what it does; one that it has not is refused.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Told {
    /// Edge fall-off, exposure, edge burn.
    pub stops: Option<Stops>,
    /// Veil, halation, grain, sharpness: how much of it, 0 to 1 (sharpness: 1 doubles).
    pub amount: Option<f64>,
    /// Halation, sharpness.
    pub radius: Option<Pixels>,
    /// Veil, flashing.
    pub colour: Option<Vec3>,
    /// Edge burn: multiplies the burned edge.
    pub tint: Option<Vec3>,
    /// Edge burn: where it begins, of the way from the middle to a corner.
    pub start: Option<f64>,
    /// Edge burn: where it is full.
    pub end: Option<f64>,
    /// Balance: warmth and tint.
    pub warmth: Option<scene::Warmth>,
    /// Grain: diameter.
    pub size: Option<Pixels>,
    /// Grain: which.
    pub seed: Option<u64>,
    /// Characteristic curve: where the toe begins, below mid-grey.
    pub toe: Option<Stops>,
    /// Characteristic curve: slope of the straight line.
    pub slope: Option<f64>,
    /// Characteristic curve: where the shoulder begins, above mid-grey.
    pub shoulder: Option<Stops>,
    /// Characteristic curve: steps pulled lighter or darker; all of them.
    pub pulled: Option<Vec<PulledStep>>,
    /// Saturation: 0 grey, 1 as it was.
    pub factor: Option<f64>,
    /// Split toning: into the shadows.
    pub shadow: Option<Vec3>,
    /// Split toning: into the lights.
    pub highlight: Option<Vec3>,
}

/// What treatments are called on the command line, in the order of the light's way.
pub const NAMES: [&str; 12] = [
    "veil",
    "halation",
    "edge-fall-off",
    "exposure",
    "balance",
    "grain",
    "characteristic-curve",
    "saturation",
    "split-toning",
    "flashing",
    "edge-burn",
    "sharpness",
];

/// A treatment of this name as it works when nothing else is said: visible, and no more (trade practice, no source).
fn plain(name: &str) -> Option<Kind> {
    let white = Vec3::splat(1.0);
    Some(match name {
        "veil" => Kind::Veil { amount: 0.02, colour: white },
        "halation" => Kind::Halation { amount: 0.05, radius: Pixels::of(40.0) },
        "edge-fall-off" => Kind::EdgeFallOff { stops: Stops::of(0.5) },
        "exposure" => Kind::Exposure(Stops::ZERO),
        "balance" => Kind::Balance { warmth: Mired::ZERO, tint: 0.0 },
        "grain" => Kind::Grain { amount: 0.04, size: Pixels::of(1.6), seed: 1 },
        "characteristic-curve" => Kind::CharacteristicCurve {
            toe: Stops::of(3.0),
            slope: 1.1,
            shoulder: Stops::of(1.2),
            pulled: Vec::new(),
        },
        "saturation" => Kind::Saturation(1.0),
        "split-toning" => Kind::SplitToning { shadow: white, highlight: white },
        "flashing" => Kind::Flashing { colour: Vec3::splat(0.005) },
        "edge-burn" => Kind::EdgeBurn { stops: Stops::of(0.7), tint: white, start: 0.4, end: 1.0 },
        "sharpness" => Kind::Sharpness { amount: 0.5, radius: Pixels::of(2.0) },
        _ => return None,
    })
}

/// The treatment with what is told laid over it.
fn over(kind: &Kind, told: &Told) -> Result<Kind, Error> {
    let mut left = told.clone();
    let kind = match kind.clone() {
        Kind::Veil { amount, colour } => Kind::Veil {
            amount: left.amount.take().unwrap_or(amount),
            colour: left.colour.take().unwrap_or(colour),
        },
        Kind::Halation { amount, radius } => Kind::Halation {
            amount: left.amount.take().unwrap_or(amount),
            radius: left.radius.take().unwrap_or(radius),
        },
        Kind::EdgeFallOff { stops } => Kind::EdgeFallOff { stops: left.stops.take().unwrap_or(stops) },
        Kind::Exposure(stops) => Kind::Exposure(left.stops.take().unwrap_or(stops)),
        Kind::Balance { warmth, tint } => {
            let said = left.warmth.take().unwrap_or(scene::Warmth { warmth, tint });
            Kind::Balance { warmth: said.warmth, tint: said.tint }
        }
        Kind::Grain { amount, size, seed } => Kind::Grain {
            amount: left.amount.take().unwrap_or(amount),
            size: left.size.take().unwrap_or(size),
            seed: left.seed.take().unwrap_or(seed),
        },
        Kind::CharacteristicCurve { toe, slope, shoulder, pulled } => Kind::CharacteristicCurve {
            toe: left.toe.take().unwrap_or(toe),
            slope: left.slope.take().unwrap_or(slope),
            shoulder: left.shoulder.take().unwrap_or(shoulder),
            pulled: left.pulled.take().unwrap_or(pulled),
        },
        Kind::Saturation(factor) => Kind::Saturation(left.factor.take().unwrap_or(factor)),
        Kind::SplitToning { shadow, highlight } => Kind::SplitToning {
            shadow: left.shadow.take().unwrap_or(shadow),
            highlight: left.highlight.take().unwrap_or(highlight),
        },
        Kind::Flashing { colour } => Kind::Flashing { colour: left.colour.take().unwrap_or(colour) },
        Kind::EdgeBurn { stops, tint, start, end } => Kind::EdgeBurn {
            stops: left.stops.take().unwrap_or(stops),
            tint: left.tint.take().unwrap_or(tint),
            start: left.start.take().unwrap_or(start),
            end: left.end.take().unwrap_or(end),
        },
        Kind::Sharpness { amount, radius } => Kind::Sharpness {
            amount: left.amount.take().unwrap_or(amount),
            radius: left.radius.take().unwrap_or(radius),
        },
    };
    match left_over(&left) {
        Some(option) => Err(Error::new(
            Trouble::Wording,
            format!("{} has no {option}", kind.name()),
            format!("--{option}"),
            format!("leave it out; {} has {}", kind.name(), takes(&kind)),
        )),
        None => Ok(kind),
    }
}

/// The first thing told that nothing took.
fn left_over(told: &Told) -> Option<&'static str> {
    [
        ("stops", told.stops.is_some()),
        ("amount", told.amount.is_some()),
        ("radius", told.radius.is_some()),
        ("colour", told.colour.is_some()),
        ("tint", told.tint.is_some()),
        ("start", told.start.is_some()),
        ("end", told.end.is_some()),
        ("warmth", told.warmth.is_some()),
        ("size", told.size.is_some()),
        ("seed", told.seed.is_some()),
        ("toe", told.toe.is_some()),
        ("slope", told.slope.is_some()),
        ("shoulder", told.shoulder.is_some()),
        ("pull", told.pulled.is_some()),
        ("factor", told.factor.is_some()),
        ("shadow", told.shadow.is_some()),
        ("highlight", told.highlight.is_some()),
    ]
    .into_iter()
    .find(|(_, there)| *there)
    .map(|(name, _)| name)
}

/// What a treatment can be told.
const fn takes(kind: &Kind) -> &'static str {
    match kind {
        Kind::Veil { .. } => "--amount and --colour",
        Kind::Halation { .. } | Kind::Sharpness { .. } => "--amount and --radius",
        Kind::EdgeFallOff { .. } | Kind::Exposure(_) => "--stops",
        Kind::Balance { .. } => "--warmth",
        Kind::Grain { .. } => "--amount, --size and --seed",
        Kind::CharacteristicCurve { .. } => "--toe, --slope, --shoulder and --pull",
        Kind::Saturation(_) => "--factor",
        Kind::SplitToning { .. } => "--shadow and --highlight",
        Kind::Flashing { .. } => "--colour",
        Kind::EdgeBurn { .. } => "--stops, --tint, --start and --end",
    }
}

/// The edit that adds a treatment, after the others of its step.
///
/// # Errors
/// Where nothing is called so, or it is told what it has not.
pub fn add(scene: &Scene, name: &str, told: &Told, strength: f64, where_: Where) -> Result<Edit, Error> {
    let dashed = name.replace(' ', "-");
    let kind = plain(&dashed).ok_or_else(|| {
        let near = names::nearest(&dashed, &NAMES);
        let remedy = near
            .map_or_else(|| format!("choose from {}", NAMES.join(", ")), |n| format!("did you mean {n}?"));
        Error::new(Trouble::Wording, format!("there is no treatment called {name}"), "the treatment", remedy)
    })?;
    let id = scene.fresh().treatment();
    let treatment = Treatment { id, kind: over(&kind, told)?, strength, where_ };
    let step = treatment.kind.step();
    let at = scene.toning().iter().filter(|t| t.kind.step() == step).count();
    Ok(Edit::Treatment { id, change: TreatmentChange::Add { at, treatment: Box::new(treatment) } })
}

/// The edit that changes a treatment. What is `None` stays; and so does a dodging card, which [`card`] alone changes.
///
/// # Errors
/// Where there is no such treatment, or it is told what it has not.
pub fn change(
    scene: &Scene,
    id: TreatmentId,
    told: &Told,
    strength: Option<f64>,
    where_: Option<Where>,
) -> Result<Edit, Error> {
    let old = scene.treatment(id).ok_or_else(|| gone(&id.to_string()))?;
    let treatment = Treatment {
        id,
        kind: over(&old.kind, told)?,
        strength: strength.unwrap_or(old.strength),
        where_: where_.map_or_else(
            || old.where_.clone(),
            |mut said| {
                said.0.extend(old.where_.0.iter().filter(|c| matches!(c, Clause::Card { .. })).cloned());
                said
            },
        ),
    };
    Ok(Edit::Treatment { id, change: TreatmentChange::Replace(Box::new(treatment)) })
}

/// The edit that moves a treatment to a place among those of its step, counted from 1.
///
/// # Errors
/// Where there is no such treatment or place.
pub fn moved(scene: &Scene, id: TreatmentId, place: usize) -> Result<Edit, Error> {
    let treatment = scene.treatment(id).ok_or_else(|| gone(&id.to_string()))?;
    let step = treatment.kind.step();
    let places = scene.toning().iter().filter(|t| t.kind.step() == step).count();
    if (1..=places).contains(&place) {
        return Ok(Edit::Treatment { id, change: TreatmentChange::Move { to: place - 1 } });
    }
    let remedy = match places {
        1 => "give 1, or add others to its step: it is the only one there".to_owned(),
        _ => format!("give 1 to {places}: as many treatments its step has"),
    };
    Err(Error::refused(format!("there is no place {place}"), treatment.kind.name(), remedy))
}

/// The edit that takes a treatment away.
#[must_use]
pub const fn remove(id: TreatmentId) -> Edit {
    Edit::Treatment { id, change: TreatmentChange::Remove }
}

/// A treatment of the toning card.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct TreatmentReport {
    /// Its number.
    pub treatment: u64,
    /// What it does.
    pub does: &'static str,
    /// `lens`, `film` or `print`.
    pub step: &'static str,
    /// Its place among those of its step, from 1.
    pub place: usize,
    /// What it is told, in words.
    pub told: String,
    /// How much of it, 0 to 1.
    pub strength_share: f64,
    /// Where it works, in words; empty is everywhere.
    #[serde(rename = "where")]
    pub where_: Vec<String>,
    /// The same, as options of its command; none for a dodging card, which is painted.
    pub where_options: Vec<Vec<String>>,
    /// Its dodging card.
    pub card: Option<CardReport>,
    /// The numbers it is told.
    pub figures: Vec<FigureReport>,
    /// The colours it is told, linear RGB.
    pub colours: Vec<ColourReport>,
    /// Characteristic curve: the steps that are pulled, and by how much, in stops.
    pub pulled_stops: Vec<[f64; 2]>,
    /// Characteristic curve: what it prints of each tone, darkest first.
    pub curve: Vec<PrintedTone>,
}

/// A dodging card.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, TS)]
pub struct CardReport {
    /// The number of the piece that it is fixed to; none: the picture.
    pub of: Option<u64>,
    /// How many strokes were painted on it, and rubbed off.
    pub strokes: usize,
}

/// What a characteristic curve prints of a tone, by its strength.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, TS)]
pub struct PrintedTone {
    /// The tone, in stops from mid-grey.
    pub at_stops: f64,
    /// The print's, in stops from mid-grey.
    pub prints_stops: f64,
    /// Stops of the print to a stop of the tone.
    pub slope: f64,
    /// Code of the tone on a screen, sRGB.
    pub code: u8,
    /// Code of the print on a screen, sRGB.
    pub prints_code: u8,
}

/// A number that a treatment is told.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct FigureReport {
    /// The option that tells it. A balance's `tint` goes with its `warmth`, as +20/-3.
    pub option: &'static str,
    /// Its unit; empty for a plain number.
    pub unit: &'static str,
    /// The number.
    pub value: f64,
}

/// A colour that a treatment is told.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct ColourReport {
    /// The option that tells it.
    pub option: &'static str,
    /// Linear RGB in the working primaries.
    pub rgb: [f64; 3],
}

/// The treatments, in the order of the light's way.
#[must_use]
pub fn list(scene: &Scene) -> Vec<TreatmentReport> {
    let mut places = std::collections::BTreeMap::new();
    scene
        .toning()
        .iter()
        .map(|t| {
            let place = places.entry(t.kind.step()).or_insert(0);
            *place += 1;
            TreatmentReport {
                treatment: t.id.number(),
                does: t.kind.name(),
                step: match t.kind.step() {
                    Step::Lens => "lens",
                    Step::Film => "film",
                    Step::Print => "print",
                },
                place: *place,
                told: told_in_words(&t.kind),
                strength_share: t.strength,
                where_: t.where_.0.iter().map(|c| c.sentence(scene)).collect(),
                where_options: t.where_.0.iter().map(wheres::in_options).collect(),
                card: t.where_.0.iter().find_map(|c| match c {
                    Clause::Card { of, strokes } => {
                        Some(CardReport { of: of.map(|id| id.number()), strokes: strokes.len() })
                    }
                    _ => None,
                }),
                figures: figures(&t.kind),
                colours: colours(&t.kind),
                curve: curve(t),
                pulled_stops: match &t.kind {
                    Kind::CharacteristicCurve { pulled, .. } => {
                        pulled.iter().map(|p| [p.at.get(), p.by.get()]).collect()
                    }
                    _ => Vec::new(),
                },
            }
        })
        .collect()
}

fn figures(kind: &Kind) -> Vec<FigureReport> {
    let of = |option, unit, value| FigureReport { option, unit, value };
    match kind {
        Kind::Veil { amount, .. } => vec![of("amount", "", *amount)],
        Kind::Halation { amount, radius } | Kind::Sharpness { amount, radius } => {
            vec![of("amount", "", *amount), of("radius", "px", radius.get())]
        }
        Kind::EdgeFallOff { stops } | Kind::Exposure(stops) => vec![of("stops", "stops", stops.get())],
        Kind::Balance { warmth, tint } => vec![of("warmth", "mired", warmth.get()), of("tint", "", *tint)],
        Kind::Grain { amount, size, .. } => vec![of("amount", "", *amount), of("size", "px", size.get())],
        Kind::CharacteristicCurve { toe, slope, shoulder, .. } => vec![
            of("toe", "stops", toe.get()),
            of("slope", "", *slope),
            of("shoulder", "stops", shoulder.get()),
        ],
        Kind::Saturation(factor) => vec![of("factor", "", *factor)],
        Kind::SplitToning { .. } | Kind::Flashing { .. } => Vec::new(),
        Kind::EdgeBurn { stops, start, end, .. } => {
            vec![of("stops", "stops", stops.get()), of("start", "", *start), of("end", "", *end)]
        }
    }
}

/// The tones that a curve is drawn by: quarter stops, over all that a screen shows and what lies around it.
fn curve(treatment: &Treatment) -> Vec<PrintedTone> {
    const MID_GREY: f64 = 0.18;
    let light = |stops: f64| MID_GREY * math::exp2(stops);
    let prints = |stops: f64| {
        let (was, print) = (light(stops), light(staging::printed(&treatment.kind, stops)?));
        Some(math::log2((was + treatment.strength * (print - was)).max(f64::MIN_POSITIVE) / MID_GREY))
    };
    let code = |stops: f64| (Transfer::Srgb.encode(light(stops).clamp(0.0, 1.0)) * 255.0).round() as u8;
    let tone = |quarter: i32| {
        let at_stops = f64::from(quarter) / 4.0;
        let prints_stops = prints(at_stops)?;
        let slope = (prints(at_stops + 0.125)? - prints(at_stops - 0.125)?) / 0.25;
        Some(PrintedTone {
            at_stops,
            prints_stops,
            slope,
            code: code(at_stops),
            prints_code: code(prints_stops),
        })
    };
    (-28..=16).filter_map(tone).collect()
}

fn colours(kind: &Kind) -> Vec<ColourReport> {
    let of = |option, rgb: &Vec3| ColourReport { option, rgb: rgb.0 };
    match kind {
        Kind::Veil { colour, .. } | Kind::Flashing { colour } => vec![of("colour", colour)],
        Kind::SplitToning { shadow, highlight } => vec![of("shadow", shadow), of("highlight", highlight)],
        Kind::EdgeBurn { tint, .. } => vec![of("tint", tint)],
        _ => Vec::new(),
    }
}

fn told_in_words(kind: &Kind) -> String {
    let rgb = |c: &Vec3| c.0.map(figure).join(",");
    let signed = |v: f64| if v < 0.0 { figure(v) } else { format!("+{}", figure(v)) };
    let px = |v: &Pixels| format!("{} px", figure(v.get()));
    match kind {
        Kind::Veil { amount, colour } => format!("amount {}, colour {}", figure(*amount), rgb(colour)),
        Kind::Halation { amount, radius } => format!("amount {}, radius {}", figure(*amount), px(radius)),
        Kind::EdgeFallOff { stops } => format!("{} stops", figure(stops.get())),
        Kind::Exposure(stops) => format!("{} stops", signed(stops.get())),
        Kind::Balance { warmth, tint } => format!("{} mired, tint {}", signed(warmth.get()), signed(*tint)),
        Kind::Grain { amount, size, seed } => {
            format!("amount {}, size {}, seed {seed}", figure(*amount), px(size))
        }
        Kind::CharacteristicCurve { toe, slope, shoulder, pulled } => {
            let pulled: String = pulled
                .iter()
                .map(|p| format!(", step {} pulled {}", signed(p.at.get()), signed(p.by.get())))
                .collect();
            format!(
                "toe {} stops, slope {}, shoulder {} stops{pulled}",
                figure(toe.get()),
                figure(*slope),
                figure(shoulder.get())
            )
        }
        Kind::Saturation(factor) => format!("x{}", figure(*factor)),
        Kind::SplitToning { shadow, highlight } => {
            format!("shadows {}, lights {}", rgb(shadow), rgb(highlight))
        }
        Kind::Flashing { colour } => rgb(colour),
        Kind::EdgeBurn { stops, tint, start, end } => {
            format!(
                "{} stops, tint {}, from {} to {}",
                figure(stops.get()),
                rgb(tint),
                figure(*start),
                figure(*end)
            )
        }
        Kind::Sharpness { amount, radius } => format!("amount {}, radius {}", figure(*amount), px(radius)),
    }
}
