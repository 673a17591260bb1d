//! What is said otherwise than before, as one would say it: "slope 1.2, toe 3 stops below mid-grey".

use super::{degrees, factor_of, per_cent, plain, stops, warmth};
use crate::{CutOut, Facts, Finish, Glow, Kind, LightColour, Practical, Scale, Warmth};
use units::Metres;

/// Collects what differs.
pub(super) struct Told(Vec<String>);

impl Told {
    pub(super) fn new() -> Self {
        Self(Vec::new())
    }

    pub(super) fn of<T: PartialEq + ?Sized>(
        mut self,
        old: &T,
        new: &T,
        says: impl FnOnce(&T) -> String,
    ) -> Self {
        if old != new {
            self.0.push(says(new));
        }
        self
    }

    fn glow(self, called: &str, old: &Glow, new: &Glow) -> Self {
        let by = old.strength > 0.0 && new.strength > 0.0;
        self.of(&old.strength, &new.strength, |now| match by {
            true => format!("{called}{}", factor_of(now / old.strength)),
            false if *now > 0.0 => format!("{called}lit"),
            false => format!("{called}out"),
        })
        .of(&old.colour, &new.colour, |now| match now {
            LightColour::Kelvin { cct, tint: 0.0 } => format!("{called}{} K", plain(cct.get(), 0)),
            LightColour::Kelvin { cct, tint } => {
                format!("{called}{} K, tint {}", plain(cct.get(), 0), plain(*tint, 1))
            }
            LightColour::Picked(_) => format!("{called}of another colour"),
        })
    }

    /// After what it is told of.
    pub(super) fn said(self, of: &str) -> String {
        if self.0.is_empty() { format!("{of} said anew") } else { format!("{of}, {}", self.0.join(", ")) }
    }
}

fn metres(value: &Metres) -> String {
    format!("{} m", plain(value.get(), 2))
}

/// A treatment of the same kind with other figures.
pub(super) fn kind(called: &str, old: &Kind, new: &Kind) -> String {
    let told = Told::new();
    let share = |v: &f64| per_cent(*v);
    let told = match (old, new) {
        (Kind::Veil { amount: a, colour: c }, Kind::Veil { amount, colour }) => {
            told.of(a, amount, share).of(c, colour, |_| "of another colour".to_owned())
        }
        (Kind::Halation { amount: a, radius: r }, Kind::Halation { amount, radius }) => {
            told.of(a, amount, share).of(r, radius, |v| format!("{} px wide", plain(v.get(), 1)))
        }
        (Kind::EdgeFallOff { stops: s }, Kind::EdgeFallOff { stops: now }) => told.of(s, now, |v| stops(*v)),
        (Kind::Exposure(s), Kind::Exposure(now)) => told.of(s, now, |v| stops(*v)),
        (Kind::Balance { warmth: w, tint: t }, Kind::Balance { warmth: now, tint }) => {
            told.of(&(*w, *t), &(*now, *tint), |v| warmth(Warmth { warmth: v.0, tint: v.1 }))
        }
        (Kind::Grain { amount: a, size: s, seed: n }, Kind::Grain { amount, size, seed }) => told
            .of(a, amount, share)
            .of(s, size, |v| format!("grains of {} px", plain(v.get(), 2)))
            .of(n, seed, |v| format!("roll {v}")),
        (
            Kind::CharacteristicCurve { toe: t, slope: s, shoulder: h, pulled: p },
            Kind::CharacteristicCurve { toe, slope, shoulder, pulled },
        ) => told
            .of(s, slope, |v| format!("slope {}", plain(*v, 2)))
            .of(t, toe, |v| format!("toe {} stops below mid-grey", plain(v.get(), 2)))
            .of(h, shoulder, |v| format!("shoulder {} stops above mid-grey", plain(v.get(), 2)))
            .of(p, pulled, |all| {
                let each = all.iter().filter(|step| !p.contains(step));
                let each: Vec<String> = each
                    .map(|step| format!("step {} pulled {}", signed(step.at.get()), stops(step.by)))
                    .collect();
                if each.is_empty() { "a step let go".to_owned() } else { each.join(", ") }
            }),
        (Kind::Saturation(s), Kind::Saturation(now)) => told.of(s, now, share),
        (Kind::SplitToning { shadow: s, highlight: h }, Kind::SplitToning { shadow, highlight }) => told
            .of(s, shadow, |_| "shadows of another colour".to_owned())
            .of(h, highlight, |_| "lights of another colour".to_owned()),
        (Kind::Flashing { colour: c }, Kind::Flashing { colour }) => {
            told.of(c, colour, |_| "by other light".to_owned())
        }
        (
            Kind::EdgeBurn { stops: s, tint: t, start: a, end: e },
            Kind::EdgeBurn { stops: now, tint, start, end },
        ) => told
            .of(s, now, |v| stops(*v))
            .of(t, tint, |_| "of another colour".to_owned())
            .of(a, start, |v| format!("beginning at {} of the way out", per_cent(*v)))
            .of(e, end, |v| format!("full at {} of the way out", per_cent(*v))),
        (Kind::Sharpness { amount: a, radius: r }, Kind::Sharpness { amount, radius }) => {
            told.of(a, amount, share).of(r, radius, |v| format!("mask {} px soft", plain(v.get(), 2)))
        }
        _ => told.of(called, new.name(), |now| format!("now {now}")),
    };
    told.said(called)
}

/// A lamp of the same name.
pub(super) fn lamp(old: &Practical, new: &Practical) -> String {
    let by = [
        ((new.at.x - old.at.x).get(), "to the right", "to the left"),
        ((new.at.y - old.at.y).get(), "higher", "lower"),
        ((new.at.z - old.at.z).get(), "farther", "nearer"),
    ];
    let moved = by.iter().filter(|(by, ..)| plain(by.abs(), 2) != "0");
    let moved = moved
        .map(|(by, more, less)| format!("{} m {}", plain(by.abs(), 2), if *by > 0.0 { more } else { less }));
    // Fixed to something else, it is told from another place.
    let told = Told(if old.on == new.on { moved.collect() } else { Vec::new() });
    told.of(&old.on, &new.on, |now| if now.is_some() { "carried" } else { "no longer carried" }.to_owned())
        .glow("", &old.glow, &new.glow)
        .of(&old.radius, &new.radius, |v| format!("{} m in radius", plain(v.get(), 3)))
        .of(&old.reach, &new.reach, |v| {
            v.as_ref().map_or_else(|| "without reach".to_owned(), |v| format!("reach {}", metres(v)))
        })
        .of(&old.floor, &new.floor, |v| format!("never below {}", per_cent(*v)))
        .of(&old.spill, &new.spill, |v| format!("spilling {}", per_cent(*v)))
        .said(&format!("Lamp {}", new.name))
}

/// A cut-out of the same name.
pub(super) fn cutout(old: &CutOut, new: &CutOut) -> String {
    let joined = |c: &CutOut| c.joining.as_ref().map_or(0, |j| j.taken.len());
    let told = Told::new().of(&old.shot, &new.shot, |_| "a new version of its shot".to_owned()).of(
        &joined(old),
        &joined(new),
        |_| "joined with another shot".to_owned(),
    );
    let is_cut = told.0.is_empty() && (old.matte, old.cut_by) != (new.matte, new.cut_by);
    told.of(&false, &is_cut, |_| "cut anew".to_owned())
        .of(&old.prop, &new.prop, |v| {
            v.as_ref().map_or_else(|| "of no prop".to_owned(), |prop| format!("a view of {prop}"))
        })
        .said(&format!("Cut-out {}", new.name))
}

/// What is known of a cut-out.
pub(super) fn facts(called: &str, old: &Facts, new: &Facts) -> String {
    /// What is no longer known is found from the rest.
    fn known<T>(value: Option<&T>, what: &str, says: impl Fn(&T) -> String) -> String {
        value.map_or_else(|| format!("{what} not said"), |v| format!("{what} {}", says(v)))
    }
    let px = |v: &units::Pixels| format!("{} px", plain(v.get(), 1));
    Told::new()
        .of(&old.scale, &new.scale, |v| match v {
            Some(Scale::Height(height)) => format!("{} tall", metres(height)),
            Some(Scale::PerMetre(per)) => format!("{} px to a metre", plain(per.get(), 1)),
            None => "height not said".to_owned(),
        })
        .of(&old.foot, &new.foot, |v| {
            known(v.as_ref(), "foot", |(x, y)| format!("at {}, {}", plain(x.get(), 0), plain(y.get(), 0)))
        })
        .of(&old.principal, &new.principal, |v| {
            known(v.as_ref(), "middle", |(x, y)| format!("at {}, {}", plain(x.get(), 0), plain(y.get(), 0)))
        })
        .of(&old.focal_px, &new.focal_px, |v| known(v.as_ref(), "focal length", px))
        .of(&old.camera_distance, &new.camera_distance, |v| known(v.as_ref(), "camera distance", metres))
        .of(&old.pitch, &new.pitch, |v| known(v.as_ref(), "pitch", |v| degrees(*v)))
        .of(&old.eye_height, &new.eye_height, |v| known(v.as_ref(), "eye height", metres))
        .of(&old.bearing, &new.bearing, |v| known(v.as_ref(), "bearing", |v| degrees(*v)))
        .of(&old.set_up, &new.set_up, |v| {
            if v.is_some() { "in another set-up" } else { "in no set-up" }.to_owned()
        })
        .of(&old.defocus, &new.defocus, |v| known(v.as_ref(), "defocus in the shot", px))
        .of(&old.noise, &new.noise, |v| known(v.as_ref(), "noise", |v| plain(*v, 4)))
        .of(&old.may_mirror, &new.may_mirror, |v| {
            if *v == Some(false) { "not to be mirrored" } else { "may be mirrored" }.to_owned()
        })
        .said(called)
}

/// How the edge of a cut-out is finished.
pub(super) fn finish(called: &str, old: &Finish, new: &Finish) -> String {
    let share = |v: f64| per_cent(v);
    Told::new()
        .of(&old.margin, &new.margin, |v| format!("margin {} px", signed(v.get())))
        .of(&old.levels, &new.levels, |v| {
            let (clear, solid) = v.unwrap_or((0.0, 1.0));
            format!("clear at {}, solid at {}", share(clear), share(solid))
        })
        .of(&old.holes, &new.holes, |v| format!("holes closed up to {} px", plain(*v, 0)))
        .of(&old.cast, &new.cast, |v| format!("cast taken off by {}", share(*v)))
        .of(&old.calm, &new.calm, |v| format!("rim calmed by {}", share(*v)))
        .of(&old.rim, &new.rim, |v| format!("rim {} px wide", plain(v.unwrap_or(Finish::RIM).get(), 1)))
        .said(&format!("Edge of {called}"))
}

/// The sky.
pub(super) fn sky(old: &crate::SkyLight, new: &crate::SkyLight) -> String {
    if old.level.strength != new.level.strength
        && old.upright.strength / old.level.strength == new.upright.strength / new.level.strength
        && old.level.colour == new.level.colour
        && old.upright.colour == new.upright.colour
    {
        return Told::new().glow("", &old.level, &new.level).said("Sky");
    }
    Told::new()
        .glow("on a level card ", &old.level, &new.level)
        .glow("on an upright card ", &old.upright, &new.upright)
        .said("Sky")
}

fn signed(v: f64) -> String {
    if v > 0.0 { format!("+{}", plain(v, 2)) } else { plain(v, 2) }
}
