//! Cut-outs, pieces, and what is in front of them.

use super::{Check, FAR, count, distance, far, field, in_picture, maybe, name, number, share, tint, turn};
use crate::{
    Basis, CutOut, Factor, Facts, Finish, InFront, Joining, Mark, Piece, PieceChange, Polygon, Refused, Row,
    Rows, Says, Scale, Stroke, Take, Target, Warmth,
};
use units::{Metres, Pixels, PixelsPerMetre, Stops};

/// A place in a shot, or the axis of one that was cropped.
const SHOT: (f64, f64) = (-1e7, 1e7);
/// Of a blur disc, in pixels.
const DISC: (f64, f64) = (0.0, 1e5);
/// Nudges by a factor.
const NUDGE: (f64, f64) = (0.0, 1000.0);

fn shot_place(place: &str, at: Option<(Pixels, Pixels)>) -> Result<(), Refused> {
    at.map_or(Ok(()), |(u, v)| {
        number(&format!("{place}[0]"), u.get(), SHOT, "px")?;
        number(&format!("{place}[1]"), v.get(), SHOT, "px")
    })
}

impl Check for Scale {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::PerMetre(s) => number("per_metre", s.get(), (1e-3, 1e8), "px/m"),
            Self::Height(h) => number("height", h.get(), (1e-4, 1e4), "m"),
        }
    }
}

impl Check for Facts {
    fn check(&self) -> Result<(), Refused> {
        shot_place("foot", self.foot)?;
        field("scale", &self.scale)?;
        shot_place("principal", self.principal)?;
        maybe("focal_px", self.focal_px.map(Pixels::get), (1.0, 1e9), "px")?;
        maybe("camera_distance", self.camera_distance.map(Metres::get), (0.01, FAR), "m")?;
        maybe("pitch", self.pitch.map(units::Degrees::get), (-89.0, 89.0), "degrees")?;
        self.eye_height.map_or(Ok(()), |h| far("eye_height", h))?;
        self.bearing.map_or(Ok(()), |b| turn("bearing", b))?;
        maybe("defocus", self.defocus.map(Pixels::get), DISC, "px")?;
        maybe("noise", self.noise, (0.0, 10.0), "")
    }
}

impl Check for CutOut {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        name("prop", self.prop.as_deref().unwrap_or_default())?;
        field("facts", &self.facts)?;
        count("strokes", self.strokes.len(), 100_000)?;
        for (i, stroke) in self.strokes.iter().enumerate() {
            field(&format!("strokes[{i}]"), stroke)?;
        }
        field("finish", &self.finish)?;
        self.joining.as_ref().map_or(Ok(()), |joining| field("joining", joining))
    }
}

impl Check for Joining {
    fn check(&self) -> Result<(), Refused> {
        count("taken", self.taken.len(), 1000)?;
        for (i, taken) in self.taken.iter().enumerate() {
            let place = format!("taken[{i}]");
            for (j, v) in taken.to_shot.0.iter().flatten().enumerate() {
                number(&format!("to_shot[{}][{}]", j / 3, j % 3), *v, SHOT, "")
                    .map_err(|r| r.inside(&place))?;
            }
            count("strokes", taken.strokes.len(), 100_000).map_err(|r| r.inside(&place))?;
            for (j, stroke) in taken.strokes.iter().enumerate() {
                field(&format!("{place}.strokes[{j}]"), stroke)?;
            }
        }
        Ok(())
    }
}

impl Check for Stroke {
    fn check(&self) -> Result<(), Refused> {
        if let Says::Soften(radius) = self.says {
            number("says.soften", radius.get(), (0.0, 1000.0), "px")?;
        }
        if self.dots.is_empty() {
            return Err(Refused::new("the stroke has no point", "dots", "draw it"));
        }
        count("dots", self.dots.len(), 1_000_000)?;
        for (i, (u, v, radius)) in self.dots.iter().enumerate() {
            number(&format!("dots[{i}][0]"), u.get(), SHOT, "px")?;
            number(&format!("dots[{i}][1]"), v.get(), SHOT, "px")?;
            number(&format!("dots[{i}][2]"), radius.get(), (0.0, 1e5), "px")?;
        }
        share("soft", self.soft)?;
        share("strength", self.strength)
    }
}

impl Check for Finish {
    fn check(&self) -> Result<(), Refused> {
        number("margin", self.margin.get(), (-16.0, 16.0), "px")?;
        if let Some((clear, solid)) = self.levels {
            share("levels[0]", clear)?;
            share("levels[1]", solid)?;
            if clear >= solid {
                return Err(Refused::new(
                    "what becomes clear must cover less than what becomes solid",
                    "levels",
                    "give the smaller first",
                ));
            }
        }
        number("holes", self.holes, (0.0, 1e10), "px")?;
        share("cast", self.cast)?;
        share("calm", self.calm)?;
        maybe("rim", self.rim.map(Pixels::get), (1.0, 200.0), "px")
    }
}

impl Check for Mark {
    fn check(&self) -> Result<(), Refused> {
        far("x", self.x)?;
        far("y", self.y)?;
        far("z", self.z)
    }
}

/// What a pin holds.
fn pin<N, V: Copy>(row: &Row<N, V>, check: impl Fn(V) -> Result<(), Refused>) -> Result<(), Refused> {
    match row.basis {
        Basis::Pinned(value) => check(value).map_err(|r| r.inside("basis.pinned")),
        Basis::Computed | Basis::AsPhotographed => Ok(()),
    }
}

fn size(row: &Row<Factor, PixelsPerMetre>) -> Result<(), Refused> {
    number("nudge", row.nudge.get(), (1e-3, 1000.0), "times")?;
    pin(row, |v| number("", v.get(), (1e-6, 1e9), "px/m"))
}

fn defocus(row: &Row<Factor, Pixels>) -> Result<(), Refused> {
    number("nudge", row.nudge.get(), NUDGE, "times")?;
    pin(row, |v| number("", v.get(), DISC, "px"))
}

fn light(row: &Row<Stops, Stops>) -> Result<(), Refused> {
    number("nudge", row.nudge.get(), (-40.0, 40.0), "stops")?;
    pin(row, |v| number("", v.get(), (-40.0, 40.0), "stops"))
}

impl Check for Warmth {
    fn check(&self) -> Result<(), Refused> {
        number("warmth", self.warmth.get(), (-2000.0, 2000.0), "mired")?;
        tint("tint", self.tint)
    }
}

fn warmth(row: &Row<Warmth, Warmth>) -> Result<(), Refused> {
    field("nudge", &row.nudge)?;
    pin(row, |v| v.check())
}

fn part(row: &Row<Factor, f64>) -> Result<(), Refused> {
    number("nudge", row.nudge.get(), NUDGE, "times")?;
    pin(row, |v| share("", v))
}

impl Check for Rows {
    fn check(&self) -> Result<(), Refused> {
        size(&self.size).map_err(|r| r.inside("size"))?;
        defocus(&self.defocus).map_err(|r| r.inside("defocus"))?;
        light(&self.light).map_err(|r| r.inside("light"))?;
        warmth(&self.warmth).map_err(|r| r.inside("warmth"))?;
        part(&self.haze).map_err(|r| r.inside("haze"))?;
        part(&self.shadow).map_err(|r| r.inside("shadow"))
    }
}

impl Check for Target {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Point(point) => field("point", point),
            Self::Piece(_) | Self::Practical(_) | Self::Lens | Self::Away => Ok(()),
        }
    }
}

fn lean(value: units::Degrees) -> Result<(), Refused> {
    number("lean", value.get(), (-90.0, 90.0), "degrees")
}

impl Check for Piece {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        field("mark", &self.mark)?;
        lean(self.lean)?;
        turn("turn", self.turn)?;
        field("facing", &self.facing)?;
        field("rows", &self.rows)
    }
}

impl Check for PieceChange {
    fn check(&self) -> Result<(), Refused> {
        match self {
            Self::Name(value) => name("name", value),
            Self::Mark(mark) | Self::Attached { mark, .. } => field("mark", mark),
            Self::Lean(value) => lean(*value),
            Self::Turn(value) => turn("turn", *value),
            Self::Facing(value) => field("facing", value),
            Self::Size(row) => size(row).map_err(|r| r.inside("rows.size")),
            Self::Defocus(row) => defocus(row).map_err(|r| r.inside("rows.defocus")),
            Self::Light(row) => light(row).map_err(|r| r.inside("rows.light")),
            Self::Warmth(row) => warmth(row).map_err(|r| r.inside("rows.warmth")),
            Self::Haze(row) => part(row).map_err(|r| r.inside("rows.haze")),
            Self::Shadow(row) => part(row).map_err(|r| r.inside("rows.shadow")),
            Self::CutOut(_) | Self::Stance(_) | Self::Mirrored(_) | Self::Hidden(_) => Ok(()),
        }
    }
}

/// Outlines of a region of the picture.
pub(crate) fn outlines(region: &[Polygon]) -> Result<(), Refused> {
    count("region", region.len(), 10_000)?;
    count("region", region.iter().map(Vec::len).sum(), 1_000_000)?;
    for (i, polygon) in region.iter().enumerate() {
        if polygon.len() < 3 {
            return Err(Refused::new(
                "an outline needs three corners",
                format!("region[{i}]"),
                "draw it round something",
            ));
        }
        for (j, corner) in polygon.iter().enumerate() {
            in_picture(&format!("region[{i}][{j}]"), *corner)?;
        }
    }
    Ok(())
}

impl Check for InFront {
    fn check(&self) -> Result<(), Refused> {
        if self.region.is_empty() {
            return Err(Refused::new(
                "the region has no outline",
                "region",
                "draw at least one closed outline",
            ));
        }
        outlines(&self.region)?;
        number("softness", self.softness.get(), (0.0, 1e5), "px")
    }
}

impl Check for Take {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        count("changes", self.changes.len(), 100_000)?;
        depth_scale("depth", self.depth)
    }
}

/// What blur discs are multiplied by.
pub(crate) fn depth_scale(place: &str, value: Factor) -> Result<(), Refused> {
    number(place, value.get(), NUDGE, "times")
}

/// A clause's distance with the width over which it fades.
pub(super) fn reach(kind: &str, length: (&str, Metres), soft: Metres) -> Result<(), Refused> {
    distance(&format!("{kind}.{}", length.0), length.1)?;
    distance(&format!("{kind}.soft"), soft)
}
