//! The toning, many pixels at a time.

use super::Job;
use super::around::{self, Around};
use crate::Error;
use crate::plain::toning as defined;
use pixels::kernel::grain::Grain;
use pixels::kernel::tone;
use pixels::{Coverage, Image, Rgb};
use staging::layout::{Card, Curve, Layout, Tone, Toned, Weight};
use std::ops::Range;
use units::{Mat3, PxRect, PxSize, Vec3, math};

/// The steps of a layout's toning, made ready.
pub(super) struct Toning {
    size: PxSize,
    to_xyz: Mat3,
    steps: Vec<Step>,
}

struct Step {
    op: Op,
    strength: f32,
    weights: Vec<Weighed>,
}

enum Weighed {
    Card(Reached),
    By(Weight),
}

enum Op {
    Gain([f32; 3]),
    Curve(Box<tone::Curve>),
    Saturation { factor: f32, luminance: [f32; 3] },
    Split { shadow: [f32; 3], highlight: [f32; 3], ramp: staging::layout::Ramp, luminance: [f32; 3] },
    Edge { factor: [f32; 3], ramp: staging::layout::Ramp },
    Veil { keep: f32, light: [f32; 3] },
    Grain { amount: f32, size: f64, seed: u64, luminance: [f32; 3] },
    Halation { amount: f32, sigma: f64 },
    Sharpness { amount: f32, sigma: f64 },
}

impl Toning {
    /// Of a job's layout. Where a step needs the picture's mean light, a small picture is rendered for it.
    pub(super) fn new(job: &Job<'_>) -> Result<Self, Error> {
        let layout = job.layout;
        let f = |v: &Vec3| v.0.map(|v| v as f32);
        let mut steps = Vec::new();
        for (i, toned) in layout.toning.iter().enumerate() {
            let op = match &toned.tone {
                Tone::Gain(gain) => Op::Gain(f(gain)),
                Tone::Curve(curve) => Op::Curve(Box::new(table(curve))),
                Tone::Saturation { factor, luminance } => {
                    Op::Saturation { factor: *factor as f32, luminance: f(luminance) }
                }
                Tone::Split { shadow, highlight, ramp, luminance } => Op::Split {
                    shadow: f(shadow),
                    highlight: f(highlight),
                    ramp: *ramp,
                    luminance: f(luminance),
                },
                Tone::Edge { factor, ramp } => Op::Edge { factor: f(factor), ramp: *ramp },
                Tone::Veil { amount, colour, held } => {
                    let mean = held.map_or_else(|| mean(job, i), Ok)?;
                    Op::Veil { keep: 1.0 - *amount as f32, light: f(&(mean.times(*colour) * *amount)) }
                }
                Tone::Grain { amount, size, seed, luminance } => {
                    Op::Grain { amount: *amount as f32, size: *size, seed: *seed, luminance: f(luminance) }
                }
                Tone::Halation { amount, sigma } => Op::Halation { amount: *amount as f32, sigma: *sigma },
                Tone::Sharpness { amount, sigma } => Op::Sharpness { amount: *amount as f32, sigma: *sigma },
            };
            let weights = toned.weights.iter().map(|weight| match weight {
                Weight::Card(card) => Weighed::Card(Reached::new(card)),
                other => Weighed::By(other.clone()),
            });
            steps.push(Step { op, strength: toned.strength as f32, weights: weights.collect() });
        }
        Ok(Self { size: layout.size, to_xyz: layout.primaries.to_xyz(), steps })
    }

    /// Number of steps.
    pub(super) fn len(&self) -> usize {
        self.steps.len()
    }

    /// How far all steps from one on look around together.
    pub(super) fn reach(&self, from: usize) -> i64 {
        self.steps[from..].iter().filter_map(|s| s.op.sigma()).map(around::reach).sum()
    }

    /// What a step looks at around the pixels of `place`; nothing where it does not look around.
    pub(super) fn around(
        &self,
        step: usize,
        job: &Job<'_>,
        picture: &Image<Rgb>,
        place: PxRect,
    ) -> Result<Option<Around>, Error> {
        self.steps[step].op.sigma().map(|sigma| Around::new(job, picture, sigma, place)).transpose()
    }

    /// The first step that looks around, if any does.
    pub(super) fn first_look_around(&self) -> Option<usize> {
        self.steps.iter().position(|s| s.op.sigma().is_some())
    }

    /// The first such step from `from` on, or the end.
    pub(super) fn next_look_around(&self, from: usize) -> usize {
        (from..self.steps.len()).find(|i| self.steps[*i].op.sigma().is_some()).unwrap_or(self.steps.len())
    }

    /// Runs steps over a part of the picture. Only the first may look around: at what is handed in for it.
    pub(super) fn run(
        &self,
        steps: Range<usize>,
        around: Option<&Around>,
        picture: &mut Image<Rgb>,
        fields: &[Image<Coverage>],
    ) {
        let place = picture.place();
        let mut means = Vec::new();
        if let Some(around) = around {
            means.resize(place.area(), Rgb::default());
            around.part(place, &mut means);
        }
        let mut means = means.chunks_exact(place.width().max(1));
        let mut room = Room::default();
        for y in place.y0()..place.y1() {
            let fields: Vec<&[Coverage]> = fields.iter().map(|f| row_from(f, place.x0(), y)).collect();
            let mut around = means.next();
            for step in &self.steps[steps.clone()] {
                self.row(step, place.x0(), y, &fields, around.take(), picture.row_mut(y), &mut room);
            }
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one row of everything that a step may look at")]
    fn row(
        &self,
        step: &Step,
        x0: i64,
        y: i64,
        fields: &[&[Coverage]],
        around: Option<&[Rgb]>,
        row: &mut [Rgb],
        room: &mut Room,
    ) {
        let everywhere = step.weights.is_empty() && step.strength == 1.0;
        if !everywhere {
            room.before.clear();
            room.before.extend_from_slice(row);
        }
        match &step.op {
            Op::Gain(gain) => tone::gain(*gain, row),
            Op::Curve(curve) => curve.run(row),
            Op::Saturation { factor, luminance } => tone::saturation(*factor, *luminance, row),
            Op::Split { shadow, highlight, ramp, luminance } => {
                for p in row.iter_mut() {
                    let light = ramp.at(stops(dot(p.0, *luminance))) as f32;
                    for c in 0..3 {
                        p.0[c] *= shadow[c] * (1.0 - light) + highlight[c] * light;
                    }
                }
            }
            Op::Edge { factor, ramp } => {
                let edge = tone::Edge {
                    factor: *factor,
                    from: ramp.from as f32,
                    to: ramp.to as f32,
                    before: ramp.before as f32,
                    after: ramp.after as f32,
                };
                edge.run(self.size, x0, y, row);
            }
            Op::Veil { keep, light } => tone::veil(*keep, *light, row),
            Op::Grain { amount, size, seed, luminance } => {
                room.grain.resize(row.len(), 0.0);
                let ready = room.ready.take().filter(|ready| ready.is_for(*size, *seed, x0, row.len()));
                let ready =
                    room.ready.insert(ready.unwrap_or_else(|| Grain::new(*size, *seed, x0, row.len())));
                ready.row(y, &mut room.lattice, &mut room.grain);
                for (p, g) in row.iter_mut().zip(&room.grain) {
                    let light = dot(p.0, *luminance).max(0.0);
                    let k = 1.0 + amount * g * (0.36 / (0.18 + light)).sqrt();
                    p.0 = p.0.map(|v| v * k);
                }
            }
            Op::Halation { amount, .. } => tone::towards(around.unwrap_or_default(), *amount, row),
            Op::Sharpness { amount, .. } => {
                tone::towards(around.unwrap_or_default(), -*amount, row);
                tone::not_below_black(row);
            }
        }
        if !everywhere {
            room.weights.clear();
            room.weights.resize(row.len(), 1.0);
            for weight in &step.weights {
                self.weigh(weight, fields, &room.before, (x0, y), &mut room.weights);
            }
            room.weights.iter_mut().for_each(|w| *w *= step.strength);
            tone::mix(&room.before, &room.weights, row);
        }
    }

    /// Multiplies the weights of row `y` from column `x0` on by one more.
    fn weigh(
        &self,
        weight: &Weighed,
        fields: &[&[Coverage]],
        row: &[Rgb],
        (x0, y): (i64, i64),
        out: &mut [f32],
    ) {
        match weight {
            Weighed::Card(card) => card.weigh(x0, y, out),
            Weighed::By(Weight::Field(f)) => out.iter_mut().zip(fields[*f]).for_each(|(o, f)| *o *= f.0),
            Weighed::By(other) => {
                for ((o, p), x) in out.iter_mut().zip(row).zip(x0..) {
                    *o *= defined::weigh(other, self.to_xyz, 0.0, Vec3(p.0.map(f64::from)), (x, y)) as f32;
                }
            }
        }
    }
}

/// A card, with the pixels that each piece of its strokes can lie over.
struct Reached {
    card: Card,
    places: Vec<Vec<PxRect>>,
}

impl Reached {
    fn new(card: &Card) -> Self {
        let back = card.to_card.inverse();
        let place = |[[ax, ay, ar], [bx, by, br]]: [[f64; 3]; 2]| {
            let (x0, x1) = ((ax - ar).min(bx - br) - 1.0, (ax + ar).max(bx + br) + 1.0);
            let (y0, y1) = ((ay - ar).min(by - br) - 1.0, (ay + ar).max(by + br) + 1.0);
            let corners = [(x0, y0), (x1, y0), (x0, y1), (x1, y1)];
            let corners = corners.map(|(x, y)| back.and_then(|back| back.project(x, y)));
            let around = |(x, y): (f64, f64)| {
                let (lo, hi) = (|v: f64| v.floor() as i64 - 1, |v: f64| v.ceil() as i64 + 1);
                PxRect::new(lo(x), lo(y), hi(x), hi(y))
            };
            // Where a corner lies behind the camera, anywhere.
            let all = corners.into_iter().map(|corner| corner.map(around));
            let anywhere = PxRect::new(-(1 << 40), -(1 << 40), 1 << 40, 1 << 40);
            all.reduce(|a, b| Some(a?.union(b?))).flatten().unwrap_or(anywhere)
        };
        let strokes = card.strokes.iter();
        let places = strokes.map(|s| (0..s.pieces()).map(|i| place(s.ends(i))).collect()).collect();
        Self { card: card.clone(), places }
    }

    /// Multiplies the weights of row `y` from column `x0` on.
    fn weigh(&self, x0: i64, y: i64, out: &mut [f32]) {
        let mut painted = vec![0.0; out.len()];
        let mut over = vec![0.0; out.len()];
        let within = |x: i64| (x - x0).clamp(0, out.len() as i64) as usize;
        for (stroke, places) in self.card.strokes.iter().zip(&self.places) {
            let mut span = out.len()..0;
            for (i, place) in places.iter().enumerate() {
                let (from, to) = (within(place.x0()), within(place.x1()));
                if y < place.y0() || y >= place.y1() || from >= to {
                    continue;
                }
                span = span.start.min(from)..span.end.max(to);
                for (x, o) in (x0 + from as i64..).zip(&mut over[from..to]) {
                    if let Some((u, v)) = self.card.to_card.project(x as f64 + 0.5, y as f64 + 0.5) {
                        *o = stroke.over(i, u, v).max(*o);
                    }
                }
            }
            if span.start < span.end {
                for (p, o) in painted[span.clone()].iter_mut().zip(&mut over[span]) {
                    *p = stroke.laid(*o, *p);
                    *o = 0.0;
                }
            }
        }
        out.iter_mut().zip(painted).for_each(|(o, p)| *o *= p as f32);
    }
}

/// Mean light of a job's picture before step `i`.
fn mean(job: &Job<'_>, i: usize) -> Result<Vec3, Error> {
    let mut small = defined::small(job.layout);
    small.toning.truncate(i);
    let small = Job { layout: &small, progress: &|_| {}, ..*job };
    Ok(defined::mean_of(&small.picture(small.layout.size.rect())?))
}

/// A job's layout with the means that its toning asks for held as they are in its picture.
pub(super) fn held(job: &Job<'_>) -> Result<Layout, Error> {
    let mut layout = job.layout.clone();
    for i in 0..layout.toning.len() {
        if let Tone::Veil { held: None, .. } = layout.toning[i].tone {
            // Of the means before it, the next is made.
            let mean = mean(&Job { layout: &layout, ..*job }, i)?;
            if let Tone::Veil { held, .. } = &mut layout.toning[i].tone {
                *held = Some(mean);
            }
        }
    }
    Ok(layout)
}

/// How far the toning of a layout looks around.
pub(crate) fn reach(toning: &[Toned]) -> i64 {
    let of = |toned: &Toned| match toned.tone {
        Tone::Halation { sigma, .. } | Tone::Sharpness { sigma, .. } => {
            around::reach(sigma).max(defined::gauss_reach(sigma))
        }
        _ => 0,
    };
    toning.iter().map(of).sum()
}

impl Op {
    /// Standard deviation of the neighbourhood a step looks at, if it looks around.
    const fn sigma(&self) -> Option<f64> {
        match self {
            Self::Halation { sigma, .. } | Self::Sharpness { sigma, .. } => Some(*sigma),
            _ => None,
        }
    }
}

/// What a row's work reuses.
#[derive(Default)]
struct Room {
    before: Vec<Rgb>,
    weights: Vec<f32>,
    grain: Vec<f32>,
    lattice: Vec<f32>,
    ready: Option<Grain>,
}

/// Row `y` of a field from column `x0` on.
fn row_from(field: &Image<Coverage>, x0: i64, y: i64) -> &[Coverage] {
    &field.row(y)[(x0 - field.place().x0()) as usize..]
}

fn dot(p: [f32; 3], q: [f32; 3]) -> f32 {
    p[0] * q[0] + p[1] * q[1] + p[2] * q[2]
}

fn stops(luminance: f32) -> f64 {
    math::log2(f64::from(luminance).max(1e-9) / 0.18)
}

fn table(curve: &Curve) -> tone::Curve {
    let of = |c, v| defined::along(curve, c, v);
    if curve.is_one() {
        return tone::Curve::of_all(Curve::LOWEST, Curve::HIGHEST, |v| of(0, v));
    }
    tone::Curve::from_fn(Curve::LOWEST, Curve::HIGHEST, of)
}
