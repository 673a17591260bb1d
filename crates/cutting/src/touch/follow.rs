//! Follows an edge: within a stroke, coverage is found anew, as a matte of the surroundings in which the stroke is all that is
//! not known.

use crate::matting::{self, Effort, Sure, Trimap};
use crate::pen::{Form, Stroke};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use units::PxRect;

/// How far around the stroke evidence is taken from: as far as the stroke is wide, but no less and no more pixels than that.
const LEAST: f64 = 40.0;
const MOST: f64 = 120.0;

/// What is looked at.
pub(super) fn window(stroke: &Stroke) -> PxRect {
    let bounds = stroke.bounds();
    let side = bounds.width().max(bounds.height()) as f64;
    let wide = match stroke.form() {
        Form::Area => side,
        Form::Line => stroke.dots().iter().fold(0.0, |w: f64, d| w.max(2.0 * d.radius)),
    };
    bounds.grow(wide.clamp(LEAST, MOST).ceil() as i64)
}

/// The matte within the window, as it would be where the stroke lies. Where around the stroke nothing is sure to be inside, or
/// nothing to be outside, it stays.
pub(super) fn followed(
    matte: &Image<Coverage>,
    picture: &Image<Rgb>,
    lies: &Image<Coverage>,
    window: PxRect,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let own = matte.crop(window, budget)?;
    let open = |x, y| if lies.at(x, y).0 > 0.0 { Coverage(0.5) } else { own.at(x, y) };
    let trimap = Trimap::of_grey(&Image::from_fn(window, budget, open)?);
    let is_there = |sure| trimap.cells().contains(&sure);
    if !is_there(Sure::Inside) || !is_there(Sure::Outside) {
        return Ok(own);
    }
    matting::matte(&picture.crop(window, budget)?, &trimap, Effort::Quick, budget)
}
