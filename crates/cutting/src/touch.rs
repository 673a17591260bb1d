//! What a hand changes of a matte.
//!
//! In this order: [levels](Whole::clear_at) and small [holes](Whole::holes) put right what was computed; then the touches, one
//! after the other, so that the hand overrules it; at last the [margin](Whole::margin) moves every edge alike, also those drawn
//! by hand. What changes nothing leaves every bit as it was. See docs/model.md, By hand.

mod follow;
mod holes;
mod margin;

use crate::along;
use crate::pen::Stroke;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use rayon::prelude::*;
use units::PxRect;

/// Largest radius that a matte is softened over, in pixels.
pub const SOFTEST: f64 = 200.0;
/// Farthest that an edge is moved, in pixels.
pub const FARTHEST: f64 = 16.0;

/// What a touch does within its stroke.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Kind {
    /// Brings coverage towards 1.
    Add,
    /// Brings coverage towards 0.
    Remove,
    /// Blurs coverage: a Gaussian of this radius, twice its standard deviation, in pixels of the shot.
    Soften(f64),
    /// Finds coverage anew between what the matte says is sure around the stroke, from the picture.
    Follow,
    /// Fills holes that the stroke goes round or covers whole and that are no larger than so many pixels.
    Fill(f64),
}

/// A stroke over a matte, what it does, and how strongly.
#[derive(Clone, PartialEq, Debug)]
pub struct Touch {
    kind: Kind,
    stroke: Stroke,
    strength: f64,
}

impl Touch {
    /// One of these. `strength` is 0, which changes nothing, to 1.
    ///
    /// `None` with a strength out of range, a radius that is not 0 to [`SOFTEST`], or a size of holes below 0.
    #[must_use]
    pub fn new(kind: Kind, stroke: Stroke, strength: f64) -> Option<Self> {
        let fine = match kind {
            Kind::Soften(radius) => (0.0..=SOFTEST).contains(&radius),
            Kind::Fill(size) => size >= 0.0,
            Kind::Add | Kind::Remove | Kind::Follow => true,
        };
        (fine && (0.0..=1.0).contains(&strength)).then_some(Self { kind, stroke, strength })
    }

    /// Whether the picture is looked at for it.
    #[must_use]
    pub fn looks_at_picture(&self) -> bool {
        self.kind == Kind::Follow
    }

    /// What it changes, within `shot`, and what it looks at for that.
    fn reach(&self, shot: PxRect) -> (PxRect, PxRect) {
        let changes = self.stroke.bounds().intersect(shot);
        if self.strength == 0.0 {
            return (PxRect::EMPTY, PxRect::EMPTY);
        }
        let looks = match self.kind {
            Kind::Add | Kind::Remove => changes,
            Kind::Soften(radius) => changes.grow(along::reach(radius / 2.0)),
            Kind::Follow => follow::window(&self.stroke),
            Kind::Fill(_) => changes.grow(1),
        };
        (changes, looks.intersect(shot))
    }

    fn lay(
        &self,
        matte: &mut Image<Coverage>,
        picture: &Image<Rgb>,
        budget: &Budget,
    ) -> Result<(), OverBudget> {
        let (changes, looks) = self.reach(matte.place());
        if changes.is_empty() {
            return Ok(());
        }
        let lies = self.stroke.drawn(changes, budget)?;
        let aim = match self.kind {
            Kind::Add | Kind::Remove => None,
            Kind::Soften(radius) => Some(along::blurred(matte, changes, radius / 2.0, budget)?),
            Kind::Follow => Some(follow::followed(matte, picture, &lies, looks, budget)?),
            Kind::Fill(size) => Some(holes::filled(&matte.crop(looks, budget)?, Some(&lies), size, budget)?),
        };
        let strength = self.strength as f32;
        let x0 = (changes.x0() - matte.place().x0()) as usize;
        for y in changes.y0()..changes.y1() {
            let row = matte.row_mut(y)[x0..].iter_mut().zip(lies.row(y));
            for ((own, lies), x) in row.zip(changes.x0()..) {
                let by = strength * lies.0;
                let aim = match &aim {
                    Some(aim) => aim.at(x, y).0,
                    None if self.kind == Kind::Add => 1.0,
                    None => 0.0,
                };
                if by > 0.0 {
                    own.0 = (own.0 + by * (aim - own.0)).clamp(0.0, 1.0);
                }
            }
        }
        Ok(())
    }
}

/// What is done to a matte as a whole.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Whole {
    clear_at: f64,
    solid_at: f64,
    holes: f64,
    margin: f64,
}

impl Default for Whole {
    fn default() -> Self {
        Self { clear_at: 0.0, solid_at: 1.0, holes: 0.0, margin: 0.0 }
    }
}

impl Whole {
    /// Coverage up to `clear_at` becomes 0, from `solid_at` on 1, and goes evenly between; holes of up to `holes` pixels that
    /// are enclosed are filled; edges move outwards by `margin` pixels, or inwards where it is below 0. With 0, 1, 0 and 0
    /// nothing changes.
    ///
    /// `None` unless 0 <= `clear_at` < `solid_at` <= 1, `holes` >= 0, and `margin` is at most [`FARTHEST`] to either side.
    #[must_use]
    pub fn new(clear_at: f64, solid_at: f64, holes: f64, margin: f64) -> Option<Self> {
        let levels = 0.0 <= clear_at && clear_at < solid_at && solid_at <= 1.0;
        let fine = levels && holes >= 0.0 && margin.abs() <= FARTHEST;
        fine.then_some(Self { clear_at, solid_at, holes, margin })
    }

    /// Coverage that becomes 0, with all below it.
    #[must_use]
    pub const fn clear_at(&self) -> f64 {
        self.clear_at
    }

    /// Coverage that becomes 1, with all above it.
    #[must_use]
    pub const fn solid_at(&self) -> f64 {
        self.solid_at
    }

    /// Most pixels of a hole that is filled.
    #[must_use]
    pub const fn holes(&self) -> f64 {
        self.holes
    }

    /// By how many pixels edges move outwards.
    #[must_use]
    pub const fn margin(&self) -> f64 {
        self.margin
    }

    fn level(&self, matte: &mut Image<Coverage>) {
        let (from, to) = (self.clear_at as f32, self.solid_at as f32);
        if self.clear_at > 0.0 || self.solid_at < 1.0 {
            let scale = 1.0 / (to - from).max(f32::MIN_POSITIVE);
            matte.samples_mut().par_iter_mut().for_each(|a| {
                *a = match *a {
                    a if a <= from => 0.0,
                    a if a >= to => 1.0,
                    a => ((a - from) * scale).clamp(0.0, 1.0),
                };
            });
        }
    }
}

/// The matte, changed by hand. `picture` is what it was found in, in linear light, and stands where the matte does.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn touched(
    matte: &Image<Coverage>,
    picture: &Image<Rgb>,
    touches: &[Touch],
    whole: &Whole,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let mut own = matte.crop(matte.place(), budget)?;
    whole.level(&mut own);
    if whole.holes > 0.0 {
        own = holes::filled(&own, None, whole.holes, budget)?;
    }
    for touch in touches {
        touch.lay(&mut own, picture, budget)?;
    }
    if whole.margin != 0.0 { margin::moved(&own, whole.margin, budget) } else { Ok(own) }
}

/// The part of a matte that stands at `shot` that is to be known for the result within `place`: of a crop that holds it, the
/// same bits come out there. All of it where holes are filled everywhere.
#[must_use]
pub fn needed(place: PxRect, touches: &[Touch], whole: &Whole, shot: PxRect) -> PxRect {
    if whole.holes > 0.0 {
        return shot;
    }
    let moved = if whole.margin == 0.0 { 0 } else { margin::reach(whole.margin) };
    touches.iter().rev().fold(place.grow(moved).intersect(shot), |known, touch| {
        let (changes, looks) = touch.reach(shot);
        if changes.intersect(known).is_empty() { known } else { known.union(looks) }
    })
}

#[cfg(test)]
mod tests;
