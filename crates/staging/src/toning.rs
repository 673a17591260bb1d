//! The treatments of a scene as plain factors and curves (docs/model.md, *Toning*).

use crate::illumination::{luminance, shift};
use crate::layout::{Card, Curve, Field, GroundField, Layout, Painted, Ramp, Tone, Toned, Weight};
use crate::snag::Snag;
use crate::standing::{Stage, Standing};
use optics::{Plane, Point};
use scene::{Clause, Kind, PieceId, Place, PulledStep, Says, Treatment};
use std::collections::BTreeMap;
use units::{Mat3, Metres, Vec3, math};

/// Mid-grey: the reflectance from which stops count.
pub(crate) const MID_GREY: f64 = 0.18;
/// Paper white, in stops from mid-grey: the shoulder's end.
const PAPER_WHITE: f64 = 2.473_931_188_332_412;
/// Paper black, in stops from mid-grey: the toe's end. Far below any paper's, so that black stays black.
const PAPER_BLACK: f64 = -10.0;

/// Adds the toning of the scene to the layout.
pub(crate) fn resolve(
    stage: &Stage<'_>,
    standing: &BTreeMap<PieceId, Standing>,
    layout: &mut Layout,
    snags: &mut Vec<Snag>,
) {
    let mut ordered: Vec<&Treatment> = stage.scene.toning().iter().collect();
    // In the order of the light's way; within a step as the artist has them (the sort keeps ties in order).
    ordered.sort_by_key(|t| t.kind.step());
    for treatment in ordered {
        let Some(tone) = tone(stage, treatment, snags) else { continue };
        let weights =
            treatment.where_.0.iter().filter_map(|clause| weight(stage, standing, layout, clause)).collect();
        layout.toning.push(Toned { treatment: treatment.id, tone, strength: treatment.strength, weights });
    }
}

fn tone(stage: &Stage<'_>, treatment: &Treatment, snags: &mut Vec<Snag>) -> Option<Tone> {
    let primaries = stage.scene.format().primaries;
    let luminance = luminance(primaries);
    let factor = |stops: f64| math::exp2(stops);
    Some(match &treatment.kind {
        Kind::Veil { amount, colour } => Tone::Veil { amount: *amount, colour: *colour, held: None },
        Kind::Halation { amount, radius } => Tone::Halation { amount: *amount, sigma: radius.get() / 2.0 },
        Kind::EdgeFallOff { stops } => Tone::Edge {
            factor: Vec3::splat(factor(-stops.get())),
            ramp: Ramp { from: 0.0, to: 1.0, before: 0.0, after: 1.0 },
        },
        Kind::Exposure(stops) => Tone::Gain(Vec3::splat(factor(stops.get()))),
        Kind::Balance { warmth, tint } => {
            match shift(stage.scene.stage().white_balance, *warmth, *tint, primaries) {
                Ok(gain) => Tone::Gain(gain),
                Err(e) => {
                    snags.push(Snag::of_number(&e, "toning, balance", None));
                    return None;
                }
            }
        }
        Kind::Grain { amount, size, seed } => {
            Tone::Grain { amount: *amount, size: size.get(), seed: *seed, luminance }
        }
        Kind::CharacteristicCurve { .. } => {
            let curve = Characteristic::of(&treatment.kind)?;
            Tone::Curve(Curve::of_all(|v| curve.at(v)))
        }
        Kind::Saturation(factor) => Tone::Saturation { factor: *factor, luminance },
        Kind::SplitToning { shadow, highlight } => Tone::Split {
            shadow: *shadow,
            highlight: *highlight,
            ramp: Ramp { from: -3.0, to: 2.0, before: 0.0, after: 1.0 },
            luminance,
        },
        Kind::Flashing { colour } => {
            // Even light on the paper before the print: the more it got, the less it blackens. White stays white.
            let colour = *colour;
            Tone::Curve(Curve::from_fn(|c, v| v + colour.0[c] * (1.0 - v).max(0.0)))
        }
        Kind::EdgeBurn { stops, tint, start, end } => Tone::Edge {
            factor: *tint * factor(-stops.get()),
            ramp: Ramp { from: *start, to: *end, before: 0.0, after: 1.0 },
        },
        Kind::Sharpness { amount, radius } => Tone::Sharpness { amount: *amount, sigma: radius.get() / 2.0 },
    })
}

/// What a characteristic curve prints of a tone: stops from mid-grey in, stops from mid-grey out. None of any other treatment.
#[must_use]
pub fn printed(kind: &Kind, stops: f64) -> Option<f64> {
    let curve = Characteristic::of(kind)?;
    Some(curve.print(stops) + curve.pull(stops))
}

/// The characteristic curve of film and paper together: stops of light in, stops of the print out, both from mid-grey. A
/// straight line of the stated slope between toe and shoulder; beyond them the curve bends towards paper black and paper
/// white as an exponential, without a kink (own construction; the parts' names are those of Hurter and Driffield 1890).
struct Characteristic {
    toe: f64,
    slope: f64,
    shoulder: f64,
    pulled: Vec<PulledStep>,
}

impl Characteristic {
    fn of(kind: &Kind) -> Option<Self> {
        let Kind::CharacteristicCurve { toe, slope, shoulder, pulled } = kind else { return None };
        let pulled = pulled.clone();
        Some(Self { toe: -toe.get(), slope: *slope, shoulder: shoulder.get(), pulled })
    }

    /// Linear light through the curve.
    fn at(&self, v: f64) -> f64 {
        if v <= 0.0 {
            return 0.0;
        }
        let stops = math::log2(v / MID_GREY);
        MID_GREY * math::exp2(self.print(stops) + self.pull(stops))
    }

    fn print(&self, stops: f64) -> f64 {
        let bend = |from: f64, limit: f64, beyond: f64| {
            let room = limit - from;
            // A line that has passed its limit already stays there.
            if room * beyond <= 0.0 { from } else { limit - room * math::exp(-beyond / room) }
        };
        if stops > self.shoulder {
            bend(self.slope * self.shoulder, PAPER_WHITE, self.slope * (stops - self.shoulder))
        } else if stops < self.toe {
            bend(self.slope * self.toe, PAPER_BLACK, self.slope * (stops - self.toe))
        } else {
            self.slope * stops
        }
    }

    /// What the pulled steps add: each works fully at its own step and fades to nothing two stops away.
    fn pull(&self, stops: f64) -> f64 {
        self.pulled
            .iter()
            .map(|p| {
                let off = ((stops - p.at.get()) / 2.0).abs().min(1.0);
                p.by.get() * (1.0 - off * off * (3.0 - 2.0 * off))
            })
            .sum()
    }
}

fn weight(
    stage: &Stage<'_>,
    standing: &BTreeMap<PieceId, Standing>,
    layout: &mut Layout,
    clause: &Clause,
) -> Option<Weight> {
    let size = stage.scene.format().size;
    let subject = stage.scene.subject();
    let on = |layout: &mut Layout, backdrop: f64, value: &dyn Fn(PieceId) -> f64| {
        let pieces = layout.pieces.iter().map(|d| value(d.piece)).collect();
        layout.fields.push(Field { ground: GroundField::Even(backdrop), pieces });
        Weight::Field(layout.fields.len() - 1)
    };
    let of = |yes: bool| f64::from(u8::from(yes));
    Some(match clause {
        Clause::OnPieces(ids) => on(layout, 0.0, &|id| of(ids.contains(&id))),
        Clause::NotOnPieces(ids) => on(layout, 1.0, &|id| of(!ids.contains(&id))),
        // What the subject carries belongs to it.
        Clause::OnSubject => on(layout, 0.0, &|id| of(subject.is_some_and(|s| belongs(stage, id, s)))),
        Clause::NotOnSubject => on(layout, 1.0, &|id| of(!subject.is_some_and(|s| belongs(stage, id, s)))),
        Clause::Within { of, distance, soft } => {
            around(stage, standing, layout, *of, *distance, *soft, (1.0, 0.0))?
        }
        Clause::Beyond { of, distance, soft } => {
            around(stage, standing, layout, *of, *distance, *soft, (0.0, 1.0))?
        }
        Clause::BehindDepth { depth, soft } => by_depth(stage, standing, layout, *depth, *soft, (0.0, 1.0))?,
        Clause::BeforeDepth { depth, soft } => by_depth(stage, standing, layout, *depth, *soft, (1.0, 0.0))?,
        Clause::Tones { from, to, soft } => {
            let always = Ramp { from: 0.0, to: 0.0, before: 1.0, after: 1.0 };
            let edge = |at: units::Stops, before: f64, after: f64| Ramp {
                from: at.get() - soft.get() / 2.0,
                to: at.get() + soft.get() / 2.0,
                before,
                after,
            };
            Weight::Tones(
                from.map_or(always, |at| edge(at, 0.0, 1.0)),
                to.map_or(always, |at| edge(at, 1.0, 0.0)),
            )
        }
        Clause::Hues { centre, width, soft } => {
            Weight::Hues { centre: centre.get(), half: width.get() / 2.0, soft: soft.get() }
        }
        Clause::Gradient { from, to } => {
            let place = |p: &[f64; 2]| [p[0] * f64::from(size.width()), p[1] * f64::from(size.height())];
            Weight::Gradient { from: place(from), to: place(to) }
        }
        Clause::Card { of, strokes } => {
            let to_card = match of {
                None => Some(Mat3::IDENTITY),
                Some(id) => {
                    layout.pieces.iter().find(|d| d.piece == *id && d.in_water.is_none()).map(|d| d.to_shot)
                }
            };
            match to_card {
                Some(to_card) => {
                    Weight::Card(Card { to_card, strokes: strokes.iter().map(painted).collect() })
                }
                // Whatever it is fixed to is not seen.
                None => on(layout, 0.0, &|_| 0.0),
            }
        }
    })
}

/// A stroke as it is painted. Dots that lie well within the one before change nothing that could be seen.
fn painted(stroke: &scene::Stroke) -> Painted {
    /// Of the radius (own choice, no source).
    const CLOSE: f64 = 0.2;
    let all: Vec<[f64; 3]> = stroke.dots.iter().map(|(u, v, r)| [u.get(), v.get(), r.get()]).collect();
    let mut dots = Vec::<[f64; 3]>::new();
    for (i, dot) in all.iter().enumerate() {
        let is_close = |last: &[f64; 3]| {
            let away = ((dot[0] - last[0]).powi(2) + (dot[1] - last[1]).powi(2)).sqrt();
            away + (dot[2] - last[2]).abs() < CLOSE * dot[2].min(last[2])
        };
        if i == 0 || i + 1 == all.len() || !dots.last().is_some_and(is_close) {
            dots.push(*dot);
        }
    }
    Painted { dots, soft: stroke.soft, strength: stroke.strength, rubs: stroke.says == Says::Remove }
}

/// Whether a piece is the subject or carried by it.
fn belongs(stage: &Stage<'_>, piece: PieceId, subject: PieceId) -> bool {
    let mut at = Some(piece);
    while let Some(id) = at {
        if id == subject {
            return true;
        }
        at = stage.scene.pieces().get(&id).and_then(|p| p.attached_to);
    }
    false
}

fn around(
    stage: &Stage<'_>,
    standing: &BTreeMap<PieceId, Standing>,
    layout: &mut Layout,
    of: Place,
    distance: Metres,
    soft: Metres,
    (before, after): (f64, f64),
) -> Option<Weight> {
    let middle: Point = match of {
        Place::Point(p) => p,
        Place::Piece(id) => stage.feet.get(&id)?.0,
        Place::Practical(id) => stage.lamp_at(id)?,
    };
    let ramp = soft_step(distance, soft, before, after);
    let to_level = picture_to_ground(stage)?;
    let pieces = layout
        .pieces
        .iter()
        .map(|d| {
            let off = standing
                .get(&d.piece)
                .map_or(f64::INFINITY, |s| (s.foot.vector() - middle.vector()).length());
            ramp.at(off)
        })
        .collect();
    let centre = [middle.x.get(), middle.z.get()];
    let lift_squared = middle.y.get().powi(2);
    layout
        .fields
        .push(Field { ground: GroundField::Around { to_level, centre, lift_squared, ramp }, pieces });
    Some(Weight::Field(layout.fields.len() - 1))
}

fn by_depth(
    stage: &Stage<'_>,
    standing: &BTreeMap<PieceId, Standing>,
    layout: &mut Layout,
    depth: Metres,
    soft: Metres,
    (before, after): (f64, f64),
) -> Option<Weight> {
    let ramp = soft_step(depth, soft, before, after);
    let pieces = layout
        .pieces
        .iter()
        .map(|d| standing.get(&d.piece).map_or(before, |s| ramp.at(s.depth.metres().get())))
        .collect();
    // Depth of a point of the ground is the third coordinate of its picture.
    let to_picture = Plane::level(Metres::ZERO).to_picture(&stage.frame.camera);
    let ground = GroundField::Depth { to_level: picture_to_ground(stage)?, depth: to_picture.0[2], ramp };
    layout.fields.push(Field { ground, pieces });
    Some(Weight::Field(layout.fields.len() - 1))
}

fn picture_to_ground(stage: &Stage<'_>) -> Option<Mat3> {
    Plane::level(Metres::ZERO).to_picture(&stage.frame.camera).inverse()
}

fn soft_step(at: Metres, soft: Metres, before: f64, after: f64) -> Ramp {
    let (at, half) = (at.get(), soft.get() / 2.0);
    Ramp { from: at - half, to: at + half, before, after }
}
