//! What was measured in the photographs themselves: the little that staging must know of their pixels.

use scene::CutOutId;
use std::collections::BTreeMap;
use units::{PxRect, PxSize};

/// Measurements of a picture's photographs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Measured {
    /// Size of the backdrop, upright.
    pub backdrop: Option<PxSize>,
    /// Of each cut-out whose pixels could be read.
    pub cuts: BTreeMap<CutOutId, MeasuredCut>,
}

/// In how many bands an outline is known.
pub const BANDS: usize = 16;

/// Shares of the height, from the foot up, between which girths are measured: closer where a thing stands on the ground.
pub const GIRTHS: [f64; 7] = [0.0, 0.04, 0.1, 0.2, 0.35, 0.6, 1.0];

/// Measurements of one cut-out.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MeasuredCut {
    /// Size of the shot, upright.
    pub size: PxSize,
    /// Where its coverage is more than nothing.
    pub covered: PxRect,
    /// Where its coverage is at least one half; the whole of what is covered, if nowhere.
    pub solid: PxRect,
    /// Middle of the solid part of the lowest solid row.
    pub lowest: f64,
    /// What is covered, in bands of equal height from the top of `covered` to its bottom: left and right end of what at least a tenth
    /// of the pixel is covered by, in columns of the shot; the same end twice where there is nothing.
    pub outline: [[f32; 2]; BANDS],
    /// How much of a solid thing it is, 0 to 1: strands and leaves are not.
    pub bulk: f32,
    /// What is covered by bands of the height from its foot to the top of what is solid, at [`GIRTHS`]: mean width, and the column of its
    /// middle.
    pub girths: [[f32; 2]; GIRTHS.len() - 1],
    /// Its upper end, where that is round as the far rim of a vessel is.
    pub crown: Option<Rim>,
    /// Its lower end, where that is round as the near rim of a foot is.
    pub base: Option<Rim>,
}

/// Half of an ellipse at an end of what is solid: from the end to where it is widest.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Rim {
    /// Rows from the end to its middle.
    pub rows: f64,
    /// Columns across its middle.
    pub width: f64,
}
