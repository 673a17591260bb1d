//! The treatments of the toning and where they work.

use super::stand::reach;
use super::{BRIGHTEST, Check, count, field, in_picture, maybe, number, rgb, share, tint};
use crate::{Clause, Kind, Place, PulledStep, Refused, Says, StrokeForm, Treatment, Where};
use units::Stops;

/// Brightness changes in the toning, in stops.
const STOPS: (f64, f64) = (-40.0, 40.0);
/// Radii in the picture, in pixels.
const RADIUS: (f64, f64) = (0.0, 1e5);
/// Colours that multiply.
const TINTS: (f64, f64) = (0.0, 100.0);

impl Check for Treatment {
    fn check(&self) -> Result<(), Refused> {
        field("kind", &self.kind)?;
        share("strength", self.strength)?;
        field("where", &self.where_)
    }
}

impl Check for Kind {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Veil { amount, colour } => {
                share("veil.amount", *amount)?;
                rgb("veil.colour", *colour, TINTS)
            }
            Self::Halation { amount, radius } => {
                share("halation.amount", *amount)?;
                number("halation.radius", radius.get(), RADIUS, "px")
            }
            Self::EdgeFallOff { stops } => number("edge_fall_off.stops", stops.get(), STOPS, "stops"),
            Self::Exposure(stops) => number("exposure", stops.get(), STOPS, "stops"),
            Self::Balance { warmth, tint: t } => {
                number("balance.warmth", warmth.get(), (-2000.0, 2000.0), "mired")?;
                tint("balance.tint", *t)
            }
            Self::Grain { amount, size, seed } => {
                number("grain.amount", *amount, (0.0, 10.0), "")?;
                number("grain.size", size.get(), (0.01, 1000.0), "px")?;
                // JSON readers keep whole numbers exactly up to here.
                number("grain.seed", *seed as f64, (0.0, crate::LAST_ID as f64), "")
            }
            Self::CharacteristicCurve { toe, slope, shoulder, pulled } => {
                number("characteristic_curve.toe", toe.get(), (0.0, 40.0), "stops")?;
                number("characteristic_curve.slope", *slope, (0.05, 20.0), "")?;
                number("characteristic_curve.shoulder", shoulder.get(), (0.0, 40.0), "stops")?;
                pulled_steps(pulled).map_err(|r| r.inside("characteristic_curve"))
            }
            Self::Saturation(factor) => number("saturation", *factor, (0.0, 10.0), "times"),
            Self::SplitToning { shadow, highlight } => {
                rgb("split_toning.shadow", *shadow, TINTS)?;
                rgb("split_toning.highlight", *highlight, TINTS)
            }
            Self::Flashing { colour } => rgb("flashing.colour", *colour, (0.0, BRIGHTEST)),
            Self::EdgeBurn { stops, tint, start, end } => {
                number("edge_burn.stops", stops.get(), STOPS, "stops")?;
                rgb("edge_burn.tint", *tint, TINTS)?;
                number("edge_burn.start", *start, (0.0, 2.0), "")?;
                number("edge_burn.end", *end, (0.0, 2.0), "")?;
                if start > end {
                    return Err(Refused::new(
                        "the burn is full before it begins",
                        "edge_burn.end",
                        "give an end beyond the start",
                    ));
                }
                Ok(())
            }
            Self::Sharpness { amount, radius } => {
                number("sharpness.amount", *amount, (0.0, 100.0), "")?;
                number("sharpness.radius", radius.get(), RADIUS, "px")
            }
        }
    }
}

fn pulled_steps(pulled: &[PulledStep]) -> Result<(), Refused> {
    count("pulled", pulled.len(), 100)?;
    for (i, step) in pulled.iter().enumerate() {
        number(&format!("pulled[{i}].at"), step.at.get(), STOPS, "stops")?;
        number(&format!("pulled[{i}].by"), step.by.get(), STOPS, "stops")?;
        if i > 0 && pulled[i - 1].at >= step.at {
            return Err(Refused::new(
                "the steps are not in order",
                format!("pulled[{i}].at"),
                "list the darkest first, each step once",
            ));
        }
    }
    Ok(())
}

impl Check for Where {
    fn check(&self) -> Result<(), Refused> {
        count("", self.0.len(), 100)?;
        self.0.iter().enumerate().try_for_each(|(i, clause)| field(&format!("[{i}]"), clause))
    }
}

impl Check for Place {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Point(point) => field("point", point),
            Self::Piece(_) | Self::Practical(_) => Ok(()),
        }
    }
}

impl Check for Clause {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::OnPieces(ids) => count("on_pieces", ids.len(), 100_000),
            Self::NotOnPieces(ids) => count("not_on_pieces", ids.len(), 100_000),
            Self::OnSubject | Self::NotOnSubject => Ok(()),
            Self::Within { of, distance, soft } => {
                field("within.of", of)?;
                reach("within", ("distance", *distance), *soft)
            }
            Self::Beyond { of, distance, soft } => {
                field("beyond.of", of)?;
                reach("beyond", ("distance", *distance), *soft)
            }
            Self::BehindDepth { depth, soft } => reach("behind_depth", ("depth", *depth), *soft),
            Self::BeforeDepth { depth, soft } => reach("before_depth", ("depth", *depth), *soft),
            Self::Tones { from, to, soft } => {
                maybe("tones.from", from.map(Stops::get), STOPS, "stops")?;
                maybe("tones.to", to.map(Stops::get), STOPS, "stops")?;
                number("tones.soft", soft.get(), (0.0, 40.0), "stops")?;
                match (from, to) {
                    (Some(from), Some(to)) if from > to => Err(Refused::new(
                        "the darkest tone is lighter than the lightest",
                        "tones.to",
                        "exchange the two",
                    )),
                    _ => Ok(()),
                }
            }
            Self::Hues { centre, width, soft } => {
                number("hues.centre", centre.get(), (0.0, 360.0), "degrees")?;
                number("hues.width", width.get(), (0.0, 360.0), "degrees")?;
                number("hues.soft", soft.get(), (0.0, 360.0), "degrees")
            }
            Self::Card { strokes, .. } => {
                count("card.strokes", strokes.len(), 10_000)?;
                for (i, stroke) in strokes.iter().enumerate() {
                    let place = format!("card.strokes[{i}]");
                    field(&place, stroke)?;
                    let says = matches!(stroke.says, Says::Add | Says::Remove);
                    if !says || stroke.form != StrokeForm::Line {
                        return Err(Refused::new(
                            "on a dodging card lines are painted, or rubbed off",
                            place,
                            "say add or remove, and draw lines",
                        ));
                    }
                }
                Ok(())
            }
            Self::Gradient { from, to } => {
                in_picture("gradient.from", *from)?;
                in_picture("gradient.to", *to)?;
                if from == to {
                    return Err(Refused::new(
                        "the gradient has no length",
                        "gradient.to",
                        "draw it from one place to another",
                    ));
                }
                Ok(())
            }
        }
    }
}
