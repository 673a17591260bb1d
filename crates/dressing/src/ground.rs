//! An area of ground, with how close pieces may stand in it.

use optics::Point;
use scene::{Area, Dressing, PieceId, Thinning};
use units::math;

/// A place on the level: metres right and away.
pub(crate) type Place = [f64; 2];

/// What a dressing fills, in metres right and away.
pub(crate) struct Ground<'a> {
    form: Form<'a>,
    thinning: &'a [Thinning],
    /// Least and greatest right, least and greatest away.
    pub(crate) bounds: [f64; 4],
}

enum Form<'a> {
    Outline(&'a [Place]),
    Band(&'a [Place], f64),
    /// Middle, outer and inner radius, half the opening in radians.
    Arc(Place, f64, f64, f64),
}

impl<'a> Ground<'a> {
    /// `foot` answers where a piece stands. `None` where what the area lies around stands nowhere.
    pub(crate) fn of(rule: &'a Dressing, foot: impl Fn(PieceId) -> Option<Point>) -> Option<Self> {
        let form = match &rule.area {
            Area::Outline(corners) => Form::Outline(corners),
            Area::Band { along, width } => Form::Band(along, width.get() / 2.0),
            Area::Arc { around, width, depth, opening } => {
                let middle = foot(*around)?;
                let outer = width.get() / 2.0;
                let inner = (outer - depth.get()).max(0.0);
                Form::Arc([middle.x.get(), middle.z.get()], outer, inner, math::radians(opening.get() / 2.0))
            }
        };
        let around = |corners: &[Place], more: f64| {
            let fold = |axis: usize, pick: fn(f64, f64) -> f64, from: f64| {
                corners.iter().map(|c| c[axis]).fold(from, pick)
            };
            [
                fold(0, f64::min, f64::INFINITY) - more,
                fold(0, f64::max, f64::NEG_INFINITY) + more,
                fold(1, f64::min, f64::INFINITY) - more,
                fold(1, f64::max, f64::NEG_INFINITY) + more,
            ]
        };
        let bounds = match &form {
            Form::Outline(corners) => around(corners, 0.0),
            Form::Band(along, half) => around(along, *half),
            Form::Arc(middle, outer, ..) => around(&[*middle], *outer),
        };
        Some(Self { form, thinning: &rule.thinning, bounds })
    }

    /// How far inside the area a place lies: metres to its edge; `None` outside.
    pub(crate) fn inside(&self, at: Place) -> Option<f64> {
        match &self.form {
            Form::Outline(corners) => surrounds(corners, at).then(|| from_line(corners, at, true)),
            Form::Band(along, half) => Some(half - from_line(along, at, false)).filter(|d| *d >= 0.0),
            Form::Arc(middle, outer, inner, open) => {
                let (dx, dz) = (at[0] - middle[0], at[1] - middle[1]);
                let r = math::hypot(dx, dz);
                let radial = (outer - r).min(if *inner > 0.0 { r - inner } else { f64::INFINITY });
                // From the direction that leads to the camera.
                let away = math::hypot(middle[0], middle[1]);
                let (cx, cz) = if away > 0.0 { (-middle[0] / away, -middle[1] / away) } else { (0.0, -1.0) };
                let off = math::atan2(dx * cz - dz * cx, dx * cx + dz * cz).abs();
                let side = if *open > 0.0 { (off - open) * r } else { f64::INFINITY };
                Some(radial.min(side)).filter(|d| *d >= 0.0)
            }
        }
    }

    /// Share of the pieces that thinning leaves at a place so far inside the edge.
    pub(crate) fn density(&self, at: Place, inside: f64) -> f64 {
        let down = |t: f64, left: f64| 1.0 + (left - 1.0) * t.clamp(0.0, 1.0);
        self.thinning.iter().fold(1.0, |share, thinning| {
            share
                * match *thinning {
                    Thinning::Distance { from, to, left } => {
                        let distance = math::hypot(at[0], at[1]);
                        let long = to.get() - from.get();
                        // Turned round, what is near is thinned.
                        let t = if long == 0.0 {
                            f64::from(u8::from(distance >= to.get()))
                        } else {
                            (distance - from.get()) / long
                        };
                        down(t, left)
                    }
                    Thinning::Edge { width, left } => {
                        let wide = width.get();
                        down(if wide > 0.0 { 1.0 - inside / wide } else { 0.0 }, left)
                    }
                }
        })
    }

    /// Its edge, closed; round ends and arcs by short stretches.
    pub(crate) fn edge(&self) -> Vec<Place> {
        let round = |[x, z]: Place, radius: f64, from: f64, to: f64| {
            let n = ((to - from).abs() / math::radians(6.0)).ceil().max(1.0) as usize;
            (0..=n).map(move |i| {
                let turn = from + (to - from) * i as f64 / n as f64;
                [x + radius * math::sin(turn), z + radius * math::cos(turn)]
            })
        };
        let half = math::radians(180.0);
        match &self.form {
            Form::Outline(corners) => corners.to_vec(),
            Form::Band(along, width) => {
                let heading = |a: &Place, b: &Place| math::atan2(b[0] - a[0], b[1] - a[1]);
                let there = along.iter().zip(along.iter().skip(1));
                let back = along.iter().rev().zip(along.iter().rev().skip(1));
                // Along the left side there, round the end, along the other side back.
                there
                    .chain(back)
                    .flat_map(|(a, b)| {
                        let left = heading(a, b) - half / 2.0;
                        [*a, *b].map(|p| [p[0] + width * math::sin(left), p[1] + width * math::cos(left)])
                    })
                    .collect()
            }
            Form::Arc(middle, outer, inner, open) => {
                let to_lens = math::atan2(-middle[0], -middle[1]);
                let (from, to) = (to_lens + open, to_lens + 2.0 * half - open);
                round(*middle, *outer, from, to).chain(round(*middle, *inner, to, from)).collect()
            }
        }
    }

    /// Square metres, by counting a grid of places: for a first guess at how close things must stand.
    pub(crate) fn area(&self) -> f64 {
        const ACROSS: usize = 64;
        let [left, right, near, far] = self.bounds;
        let (w, d) = (right - left, far - near);
        let step = |i: usize, from: f64, long: f64| from + long * (i as f64 + 0.5) / ACROSS as f64;
        let hits = (0..ACROSS * ACROSS)
            .filter(|i| self.inside([step(i % ACROSS, left, w), step(i / ACROSS, near, d)]).is_some())
            .count();
        w * d * hits as f64 / (ACROSS * ACROSS) as f64
    }
}

/// Whether an odd number of turns of the closed line surrounds a place.
pub(crate) fn surrounds(corners: &[Place], [x, y]: Place) -> bool {
    let mut inside = false;
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        if (a[1] > y) != (b[1] > y) && x < a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) {
            inside = !inside;
        }
    }
    inside
}

/// Distance from a line through corners, which may lead back to its beginning.
fn from_line(corners: &[Place], at: Place, closed: bool) -> f64 {
    let ends = corners.iter().zip(corners.iter().skip(1));
    let last = corners.last().zip(corners.first()).filter(|_| closed);
    ends.chain(last).map(|(a, b)| from_stretch(*a, *b, at)).fold(f64::INFINITY, f64::min)
}

/// Distance from a straight stretch.
pub(crate) fn from_stretch(a: Place, b: Place, at: Place) -> f64 {
    let (dx, dz) = (b[0] - a[0], b[1] - a[1]);
    let long = dx * dx + dz * dz;
    let t = if long > 0.0 { ((at[0] - a[0]) * dx + (at[1] - a[1]) * dz) / long } else { 0.0 };
    let t = t.clamp(0.0, 1.0);
    math::hypot(at[0] - a[0] - dx * t, at[1] - a[1] - dz * t)
}
