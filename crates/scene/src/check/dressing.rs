//! Set dressings.

use super::{Check, FAR, count, distance, field, in_picture, name, number, share, turn};
use crate::{
    Area, Arrangement, Chosen, Dressing, Factor, KeepClear, LAST_ID, Laid, Ranges, Refused, Target, Thinning,
};
use units::{Degrees, Metres};

/// The most pieces that one rule lays.
const MOST: u32 = 5000;
/// Least distance between two pieces, and the largest that says anything, in metres.
const SPACING: (f64, f64) = (0.01, FAR);
/// On the real height.
const HEIGHT: (f64, f64) = (0.01, 100.0);

impl Check for Dressing {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        if self.of.is_empty() {
            return Err(Refused::new("there is nothing to lay", "of", "choose at least one cut-out"));
        }
        count("of", self.of.len(), 1000)?;
        self.of.iter().enumerate().try_for_each(|(i, chosen)| field(&format!("of[{i}]"), chosen))?;
        field("area", &self.area)?;
        field("arrangement", &self.arrangement)?;
        self.number.map_or(Ok(()), |n| number("number", f64::from(n), (1.0, f64::from(MOST)), "pieces"))?;
        count("thinning", self.thinning.len(), 100)?;
        self.thinning.iter().enumerate().try_for_each(|(i, t)| field(&format!("thinning[{i}]"), t))?;
        field("ranges", &self.ranges)?;
        field("facing", &self.facing)?;
        count("clear", self.clear.len(), 1000)?;
        self.clear.iter().enumerate().try_for_each(|(i, c)| field(&format!("clear[{i}]"), c))?;
        number("way", self.way as f64, (0.0, LAST_ID as f64), "")?;
        count("laid", self.laid.len(), 10 * MOST as usize)?;
        self.laid.iter().try_for_each(|(place, laid)| {
            number("laid", *place as f64, (0.0, LAST_ID as f64), "")?;
            field(&format!("laid.{place}"), laid)
        })
    }
}

impl Check for Chosen {
    fn check(&self) -> Result<(), Refused> {
        number("share", self.share, (1e-6, 1e6), "")
    }
}

/// Corners on the ground.
fn corners(place: &str, corners: &[[f64; 2]], least: usize) -> Result<(), Refused> {
    if corners.len() < least {
        let what = format!("a line needs {least} corners");
        return Err(Refused::new(what, place, "draw it longer"));
    }
    count(place, corners.len(), 100_000)?;
    corners.iter().enumerate().try_for_each(|(i, [x, z])| {
        number(&format!("{place}[{i}][0]"), *x, (-FAR, FAR), "m")?;
        number(&format!("{place}[{i}][1]"), *z, (-FAR, FAR), "m")
    })
}

impl Check for Area {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Outline(outline) => corners("outline", outline, 3),
            Self::Band { along, width } => {
                corners("band.along", along, 2)?;
                number("band.width", width.get(), SPACING, "m")
            }
            Self::Arc { width, depth, opening, .. } => {
                number("arc.width", width.get(), SPACING, "m")?;
                number("arc.depth", depth.get(), SPACING, "m")?;
                number("arc.opening", opening.get(), (0.0, 359.0), "degrees")
            }
        }
    }
}

impl Check for Arrangement {
    fn check(&self) -> Result<(), Refused> {
        let metres = |place: &str, value: Metres| number(place, value.get(), SPACING, "m");
        match self {
            Self::Drift { spacing } => metres("drift.spacing", *spacing),
            Self::Clumps { spacing, width, within } => {
                metres("clumps.spacing", *spacing)?;
                metres("clumps.width", *width)?;
                metres("clumps.within", *within)
            }
            Self::Ranks { bearing, spacing, between, jitter } => {
                turn("ranks.bearing", *bearing)?;
                metres("ranks.spacing", *spacing)?;
                metres("ranks.between", *between)?;
                share("ranks.jitter", *jitter)
            }
        }
    }
}

impl Check for Thinning {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Distance { from, to, left } => {
                distance("distance.from", *from)?;
                distance("distance.to", *to)?;
                share("distance.left", *left)
            }
            Self::Edge { width, left } => {
                distance("edge.width", *width)?;
                share("edge.left", *left)
            }
        }
    }
}

/// The least before the most.
fn range<T: Copy>(
    place: &str,
    (least, most): (T, T),
    bare: impl Fn(T) -> f64,
    limits: (f64, f64),
    unit: &str,
) -> Result<(), Refused> {
    number(&format!("{place}[0]"), bare(least), limits, unit)?;
    number(&format!("{place}[1]"), bare(most), limits, unit)?;
    if bare(least) > bare(most) {
        return Err(Refused::new("the least is more than the most", place, "give the smaller one first"));
    }
    Ok(())
}

impl Check for Ranges {
    fn check(&self) -> Result<(), Refused> {
        range("height", self.height, Factor::get, HEIGHT, "times")?;
        range("lean", self.lean, Degrees::get, (-90.0, 90.0), "degrees")?;
        range("turn", self.turn, Degrees::get, (-360.0, 360.0), "degrees")?;
        range("lift", self.lift, Metres::get, (-FAR, FAR), "m")
    }
}

impl Check for KeepClear {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Region(region) => {
                count("region", region.iter().map(Vec::len).sum(), 100_000)?;
                for (i, polygon) in region.iter().enumerate() {
                    for (j, corner) in polygon.iter().enumerate() {
                        in_picture(&format!("region[{i}][{j}]"), *corner)?;
                    }
                }
                Ok(())
            }
            Self::Piece { from, to, .. } => {
                number("piece.from", *from, (-1.0, 2.0), "")?;
                number("piece.to", *to, (-1.0, 2.0), "")?;
                if from > to {
                    return Err(Refused::new(
                        "it ends below its beginning",
                        "piece",
                        "give the lower end first",
                    ));
                }
                Ok(())
            }
            Self::Practical(_) => Ok(()),
            Self::Sight { to: Target::Away, .. } => Err(Refused::new(
                "a line of sight that leads away has no end",
                "sight.to",
                "name a piece, a lamp, a place or the lens",
            )),
            Self::Sight { to, width, .. } => {
                field("sight.to", to)?;
                distance("sight.width", *width)
            }
            Self::Feet { around } => distance("feet.around", *around),
        }
    }
}

impl Check for Laid {
    fn check(&self) -> Result<(), Refused> {
        field("mark", &self.mark)?;
        number("lean", self.lean.get(), (-90.0, 90.0), "degrees")?;
        turn("turn", self.turn)?;
        field("facing", &self.facing)?;
        number("size", self.size.get(), (1e-3, 1000.0), "times")
    }
}
