//! Mends a shot: fills clamps, stray hairs, dust or a wire from their surroundings.
//!
//! What lies under the strokes is unknown. It is made so that every small patch of it looks like a patch of what is known, from
//! coarse to fine (Wexler, Shechtman and Irani, "Space-time completion of video", 2007), alike patches being found as
//! neighbours find them (Barnes, Shechtman, Finkelstein and Goldman, "PatchMatch", 2009). At last the pixels of those patches
//! are taken as they are, grain and all, and joined in their gradients, so that neither a seam nor a step is left (Perez,
//! Gangnet and Blake, "Poisson image editing", 2003). On the square root of light, on which the noise of light is even. See
//! docs/model.md, Mending.
//!
//! Nothing but a window around the strokes is looked at; large ones are mended part by part. On all threads of the pool
//! that calls, with the same bits however many there are.

mod alike;
mod calm;
mod canvas;
mod filling;
mod finish;

use crate::pen::{Form, Stroke};
use canvas::Canvas;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use units::PxRect;

/// How far around a part its surroundings reach: so many times its strokes' width, but no less and no more pixels than that.
const TIMES: i64 = 3;
const LEAST: i64 = 64;
const MOST: i64 = 300;
/// Longest side of a part that is mended at once.
const PART: i64 = 512;
/// Bytes that a pixel of a window takes: its light at all sizes, what is known of it, and the patches like it.
const EACH: u64 = 120;

/// The picture within the strokes' bounds, in linear light, with what they cover filled; where they are soft, as far as they
/// lie on it.
///
/// The same for every crop of the picture that holds [`needed`]. Where nothing around is known, the picture is as it was; where
/// too little for a patch is, it is filled evenly. Light below 0 counts as 0 in what is filled.
///
/// # Errors
/// Where the budget does not hold the strokes' bounds and the largest window.
pub fn mended(picture: &Image<Rgb>, strokes: &[Stroke], budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let place = bounds(strokes).intersect(picture.place());
    let lies = lying(strokes, place, budget)?;
    let mut open = lies.crop(place, budget)?;
    let mut filled = picture.crop(place, budget)?;
    let touched = |part: &Part| cells(part.own).any(|(x, y)| lies.at(x, y).0 > 0.0);
    for part in parts(strokes, place).into_iter().filter(touched) {
        let window = part.window().intersect(picture.place());
        let _room = budget.take(window.area() as u64 * EACH)?;
        let at = |x, y| if place.contains(x, y) { filled.at(x, y) } else { picture.at(x, y) };
        let canvas = Canvas::new(window, at, |x, y| open.at(x, y).0 > 0.0);
        let Some(done) = filling::filled(canvas) else { continue };
        for (x, y) in cells(part.own).filter(|(x, y)| lies.at(*x, *y).0 > 0.0) {
            filled.row_mut(y)[(x - place.x0()) as usize] = done.linear(x, y);
            open.row_mut(y)[(x - place.x0()) as usize] = Coverage(0.0);
        }
    }
    for y in place.y0()..place.y1() {
        let was = &picture.row(y)[(place.x0() - picture.place().x0()) as usize..];
        for ((o, was), lies) in filled.row_mut(y).iter_mut().zip(was).zip(lies.row(y)) {
            *o = match lies.0 {
                s if s <= 0.0 => *was,
                s if s >= 1.0 => *o,
                s => Rgb([0, 1, 2].map(|c| was.0[c] + s * (o.0[c] - was.0[c]))),
            };
        }
    }
    Ok(filled)
}

/// The part of a picture at `shot` that mending it looks at.
#[must_use]
pub fn needed(strokes: &[Stroke], shot: PxRect) -> PxRect {
    let place = bounds(strokes).intersect(shot);
    parts(strokes, place)
        .into_iter()
        .fold(PxRect::EMPTY, |all, part| all.union(part.window().intersect(shot)))
}

fn bounds(strokes: &[Stroke]) -> PxRect {
    strokes.iter().fold(PxRect::EMPTY, |all, s| all.union(s.bounds()))
}

/// How strongly any of the strokes lies on each pixel.
fn lying(strokes: &[Stroke], place: PxRect, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    let mut all = Image::<Coverage>::new(place, budget)?;
    for stroke in strokes {
        let drawn = stroke.drawn(place, budget)?;
        let part = drawn.place();
        for y in part.y0()..part.y1() {
            let row = &mut all.row_mut(y)[(part.x0() - place.x0()) as usize..];
            row.iter_mut().zip(drawn.row(y)).for_each(|(o, s)| o.0 = o.0.max(s.0));
        }
    }
    Ok(all)
}

fn cells(place: PxRect) -> impl Iterator<Item = (i64, i64)> {
    (place.y0()..place.y1()).flat_map(move |y| (place.x0()..place.x1()).map(move |x| (x, y)))
}

/// What is mended at once, and how far around it its surroundings reach.
#[derive(Clone, Copy)]
struct Part {
    own: PxRect,
    around: i64,
}

impl Part {
    fn window(self) -> PxRect {
        self.own.grow(self.around)
    }
}

/// The parts of strokes that meet, one after the other.
fn parts(strokes: &[Stroke], place: PxRect) -> Vec<Part> {
    let mut groups: Vec<Part> = Vec::new();
    for stroke in strokes {
        let own = stroke.bounds().intersect(place);
        let mut group = Part { own, around: (TIMES * width(stroke, own)).clamp(LEAST, MOST) };
        let meets = |g: &Part, group: &Part| !g.own.grow(1).intersect(group.own).is_empty();
        while let Some(i) = groups.iter().position(|g| meets(g, &group)) {
            let other = groups.remove(i);
            group = Part { own: group.own.union(other.own), around: group.around.max(other.around) };
        }
        groups.push(group);
    }
    groups.into_iter().filter(|g| !g.own.is_empty()).flat_map(split).collect()
}

fn width(stroke: &Stroke, own: PxRect) -> i64 {
    let side = own.width().max(own.height()) as i64;
    match stroke.form() {
        Form::Area => side,
        Form::Line => side.min(stroke.dots().iter().fold(0.0f64, |w, d| w.max(2.0 * d.radius)) as i64),
    }
}

fn split(group: Part) -> Vec<Part> {
    let ends = |from: i64, to: i64| {
        let count = (to - from + PART - 1) / PART;
        (0..=count).map(|i| from + (to - from) * i / count).collect::<Vec<i64>>()
    };
    let columns = ends(group.own.x0(), group.own.x1());
    let row = |y: &[i64]| {
        let (y0, y1) = (y[0], y[1]);
        let part = |x: &[i64]| Part { own: PxRect::new(x[0], y0, x[1], y1), ..group };
        columns.windows(2).map(part).collect::<Vec<Part>>()
    };
    ends(group.own.y0(), group.own.y1()).windows(2).flat_map(row).collect()
}

#[cfg(test)]
mod tests;
