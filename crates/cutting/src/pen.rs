//! Strokes of the pen over a shot: lines as wide at each point as the pen was pressed, and areas that a line goes round.
//!
//! In pixels of the shot, its upper left corner at (0, 0), the first pixel's middle at (0.5, 0.5). A stroke knows no grid: over a
//! smaller copy of the shot it is drawn scaled.

use pixels::{Budget, Coverage, Image, OverBudget};
use units::PxRect;

/// Farthest that a stroke may lie from the shot's corner, and its greatest radius, in pixels.
const FAR: f64 = 1e7;

/// Where the pen was, and how far to each side it reached.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Dot {
    /// Column.
    pub x: f64,
    /// Row.
    pub y: f64,
    /// Half the stroke's width there, 0 or more.
    pub radius: f64,
}

/// What a stroke's points are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// The way the pen went: round at both ends, its radius changing evenly between points.
    Line,
    /// What the pen went round, back to where it began; the width of the line counts as well.
    Area,
}

/// A stroke: at least one point, all of them finite and with no radius below 0.
#[derive(Clone, PartialEq, Debug)]
pub struct Stroke {
    dots: Vec<Dot>,
    form: Form,
    soft: f64,
}

impl Stroke {
    /// One of these points. `soft` is the share of its radius, 0 to 1, over which it fades out.
    ///
    /// `None` without a point, with one that is no place to draw at, a radius below 0, or a softness out of range.
    #[must_use]
    pub fn new(dots: Vec<Dot>, form: Form, soft: f64) -> Option<Self> {
        let drawable = |d: &Dot| [d.x, d.y].iter().all(|v| v.abs() <= FAR) && (0.0..=FAR).contains(&d.radius);
        let fine = !dots.is_empty() && dots.iter().all(drawable) && (0.0..=1.0).contains(&soft);
        fine.then_some(Self { dots, form, soft })
    }

    /// Its points.
    #[must_use]
    pub fn dots(&self) -> &[Dot] {
        &self.dots
    }

    /// Line or area.
    #[must_use]
    pub const fn form(&self) -> Form {
        self.form
    }

    /// Share of its radius over which it fades out.
    #[must_use]
    pub const fn soft(&self) -> f64 {
        self.soft
    }

    /// The same stroke over a copy of the shot that is `by` times as large.
    ///
    /// `None` where it would be no stroke any more.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Option<Self> {
        let dots = self.dots.iter().map(|d| Dot { x: d.x * by, y: d.y * by, radius: d.radius * by });
        (by > 0.0).then(|| Self::new(dots.collect(), self.form, self.soft)).flatten()
    }

    /// The pixels it may reach.
    #[must_use]
    pub fn bounds(&self) -> PxRect {
        self.dots.iter().fold(PxRect::EMPTY, |all, d| all.union(around(*d, *d)))
    }

    /// How many pixels of `place` are gone over to draw it, those that several of its lines reach counted again.
    #[must_use]
    pub fn work(&self, place: PxRect) -> f64 {
        let lines = self.dots.windows(2).map(|w| around(w[0], w[1]).intersect(place).area() as f64);
        let rows = self.bounds().intersect(place).height() as f64;
        let filled = if self.form == Form::Area { rows * self.dots.len() as f64 } else { 0.0 };
        lines.sum::<f64>() + filled
    }

    /// How strongly it lies on each pixel, 0 to 1, within `place`: at its border a pixel is covered in part.
    ///
    /// # Errors
    /// Where the budget does not hold the part of `place` that it reaches.
    pub fn drawn(&self, place: PxRect, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
        let mut out = Image::<Coverage>::new(self.bounds().intersect(place), budget)?;
        let reach = out.place();
        if self.form == Form::Area {
            (reach.y0()..reach.y1()).for_each(|y| fill(&self.dots, y, reach.x0(), out.row_mut(y)));
        }
        let (first, last) = (self.dots[0], self.dots[self.dots.len() - 1]);
        let closing = (self.form == Form::Area || self.dots.len() == 1).then_some((last, first));
        for (a, b) in self.dots.windows(2).map(|w| (w[0], w[1])).chain(closing) {
            let part = around(a, b).intersect(reach);
            for y in part.y0()..part.y1() {
                let row = &mut out.row_mut(y)[(part.x0() - reach.x0()) as usize..];
                for (x, o) in (part.x0()..part.x1()).zip(row) {
                    o.0 = o.0.max(strength((x as f64 + 0.5, y as f64 + 0.5), (a, b), self.soft));
                }
            }
        }
        Ok(out)
    }
}

/// Of a pixel, the width in which a border is drawn, to each side.
const BORDER: f64 = 0.5;

/// The pixels that a line from one dot to another may reach.
fn around(a: Dot, b: Dot) -> PxRect {
    let low = |p: f64, q: f64| (p.min(q) - BORDER).floor() as i64;
    let high = |p: f64, q: f64| (p.max(q) + BORDER).ceil() as i64;
    PxRect::new(
        low(a.x - a.radius, b.x - b.radius),
        low(a.y - a.radius, b.y - b.radius),
        high(a.x + a.radius, b.x + b.radius),
        high(a.y + a.radius, b.y + b.radius),
    )
}

/// How strongly a line from `a` to `b` lies on a point.
fn strength((x, y): (f64, f64), (a, b): (Dot, Dot), soft: f64) -> f32 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length2 = dx * dx + dy * dy;
    let t = if length2 > 0.0 { (((x - a.x) * dx + (y - a.y) * dy) / length2).clamp(0.0, 1.0) } else { 0.0 };
    let radius = a.radius + t * (b.radius - a.radius);
    let (u, v) = (x - a.x - t * dx, y - a.y - t * dy);
    let fade = (soft * radius).max(2.0 * BORDER);
    // A line thinner than a pixel is as strong as it is wide.
    let most = (2.0 * radius).min(1.0);
    (((radius + BORDER - (u * u + v * v).sqrt()) / fade).clamp(0.0, 1.0) * most) as f32
}

/// What of row `y` lies within the outline, by the rule of odd and even: the share of each pixel along the row.
fn fill(outline: &[Dot], y: i64, x0: i64, row: &mut [Coverage]) {
    const LINES: usize = 4;
    for k in 0..LINES {
        let v = y as f64 + (k as f64 + 0.5) / LINES as f64;
        let ends = outline.iter().zip(outline.iter().cycle().skip(1));
        let mut cuts: Vec<f64> = ends
            .filter(|(a, b)| (a.y <= v) != (b.y <= v))
            .map(|(a, b)| a.x + (v - a.y) / (b.y - a.y) * (b.x - a.x) - x0 as f64)
            .collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let (from, to) = (pair[0].clamp(0.0, row.len() as f64), pair[1].clamp(0.0, row.len() as f64));
            for (i, o) in row.iter_mut().enumerate().take(to.ceil() as usize).skip(from as usize) {
                let share = (to.min(i as f64 + 1.0) - from.max(i as f64)).max(0.0);
                o.0 += share as f32 / LINES as f32;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum(image: &Image<Coverage>) -> f64 {
        image.samples().iter().map(|v| f64::from(*v)).sum()
    }

    fn drawn(stroke: &Stroke) -> Image<Coverage> {
        stroke.drawn(PxRect::new(0, 0, 100, 80), &Budget::of_bytes(1 << 20)).unwrap()
    }

    #[test]
    fn a_stroke_covers_its_area() {
        let dot = |x: f64, y: f64, radius: f64| Dot { x, y, radius };
        // A disc; a line with round ends; one that grows from nothing; a triangle.
        let cases = [
            (vec![dot(40.0, 40.0, 9.0)], Form::Line, core::f64::consts::PI * 81.0),
            (
                vec![dot(20.0, 30.0, 4.0), dot(60.0, 30.0, 4.0)],
                Form::Line,
                320.0 + core::f64::consts::PI * 16.0,
            ),
            (vec![dot(20.0, 30.0, 0.0), dot(60.0, 70.0, 0.0), dot(20.0, 70.0, 0.0)], Form::Area, 800.0),
        ];
        for (dots, form, area) in cases {
            let stroke = Stroke::new(dots, form, 0.0).unwrap();
            let found = sum(&drawn(&stroke));
            assert!((found / area - 1.0).abs() < 0.02, "{found} of {area}");
            let twice = stroke.scaled(2.0).unwrap();
            let place = PxRect::new(0, 0, 200, 160);
            let found = sum(&twice.drawn(place, &Budget::of_bytes(1 << 20)).unwrap());
            assert!((found / area / 4.0 - 1.0).abs() < 0.02, "{found} of four times {area}");
        }
    }

    #[test]
    fn what_is_soft_fades_and_what_lies_elsewhere_is_not_drawn() {
        let soft = Stroke::new(vec![Dot { x: 40.5, y: 40.5, radius: 20.0 }], Form::Line, 1.0).unwrap();
        let found = drawn(&soft);
        assert!((found.at(40, 40).0 - 1.0).abs() < 0.03 && (found.at(50, 40).0 - 0.525).abs() < 0.01);
        let far = Stroke::new(vec![Dot { x: -900.0, y: 40.0, radius: 20.0 }], Form::Line, 1.0).unwrap();
        assert!(drawn(&far).place().is_empty());
        for bad in [f64::NAN, f64::INFINITY, 1e9] {
            assert_eq!(Stroke::new(vec![Dot { x: bad, y: 0.0, radius: 1.0 }], Form::Line, 0.0), None);
        }
        assert_eq!(Stroke::new(Vec::new(), Form::Area, 0.0), None);
    }
}
