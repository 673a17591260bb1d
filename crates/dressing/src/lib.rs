//! Set dressing: from a rule to the pieces it lays (docs/model.md, *Set dressing*).
//!
//! [`laid`] gives the edit that lays a rule, or lays it again: what still fits stays where it is, what the artist changed stays as it is
//! left, and only the rest follows the rule. [`like`] goes the other way, from pieces that stand to the rule that would lay such.
//!
//! Pure functions of the scene and of what was measured in its photographs; all chance is in the rule's *way*.
#![forbid(unsafe_code)]

mod chance;
mod choice;
mod clear;
mod ground;
mod lay;
mod like;
mod points;
mod relay;
mod silhouette;

pub use like::like;
pub use relay::{Laying, laid, released, struck};

use optics::Point;
use scene::{Dressing, Scene};

/// The closed edge of the ground that a rule fills, in metres right and away; nothing where what it lies around stands nowhere.
#[must_use]
pub fn edge(scene: &Scene, rule: &Dressing) -> Vec<[f64; 2]> {
    let feet = staging::standing::feet(scene);
    let foot = |id| feet.get(&id).map(|f| -> Point { f.0 });
    ground::Ground::of(rule, foot).map_or_else(Vec::new, |ground| ground.edge())
}

/// Square metres of the ground that a rule fills; none where what it lies around stands nowhere.
#[must_use]
pub fn square_metres(scene: &Scene, rule: &Dressing) -> Option<f64> {
    let feet = staging::standing::feet(scene);
    let foot = |id| feet.get(&id).map(|f| -> Point { f.0 });
    ground::Ground::of(rule, foot).map(|ground| ground.area())
}
