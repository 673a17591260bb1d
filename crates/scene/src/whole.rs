//! Whether a picture that came from outside is one that edits could have made.

use crate::check::{Check, depth_scale, ground_reflectance, in_take, name};
use crate::reference::round_of_attachments;
use crate::take::largest_added_id;
use crate::{LAST_ID, Refused, Scene};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Display;

impl Scene {
    /// Everything that holds after every edit. Places are paths in the picture's file.
    pub(crate) fn holds(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        inside("format", self.format.check())?;
        each("sources", &self.sources, |digest| digest.to_string(), |_, s| s.check())?;
        inside(
            "backdrop",
            self.backdrop.check().and_then(|()| self.backdrop_refers(self.backdrop.as_ref())),
        )?;
        inside("stage", self.stage.check())?;
        each("levels", &self.levels, |id| id.number(), |_, l| l.check())?;
        depth_scale("depth_scale", self.depth_scale)?;
        inside("lights.sky", self.lights.sky.check())?;
        inside("lights.sun", self.lights.sun.check())?;
        inside("lights.dusk", self.lights.dusk.check())?;
        inside("lights", ground_reflectance(self.lights.ground_reflectance))?;
        each(
            "practicals",
            &self.practicals,
            |id| id.number(),
            |_, p| p.check().and_then(|()| self.practical_refers(p)),
        )?;
        each("set_ups", &self.set_ups, |id| id.number(), |_, s| s.check())?;
        each(
            "cutouts",
            &self.cutouts,
            |id| id.number(),
            |_, c| c.check().and_then(|()| self.cutout_refers(c)),
        )?;
        each(
            "pieces",
            &self.pieces,
            |id| id.number(),
            |id, p| {
                p.check()?;
                self.faces_other(p.facing, *id)?;
                self.piece_refers(p)
            },
        )?;
        if let Some(id) = self.carries_itself() {
            return inside(&format!("pieces.{}", id.number()), Err(round_of_attachments()));
        }
        each(
            "in_front",
            &self.in_front,
            |id| id.number(),
            |_, r| r.check().and_then(|()| self.in_front_refers(r)),
        )?;
        each(
            "dressings",
            &self.dressings,
            |id| id.number(),
            |_, d| d.check().and_then(|()| self.dressing_refers(d)),
        )?;
        self.subject_refers(self.subject)?;
        self.toning_holds()?;
        each(
            "takes",
            &self.takes,
            |id| id.number(),
            |_, take| {
                take.check()?;
                take.changes
                    .iter()
                    .enumerate()
                    .try_for_each(|(i, e)| inside(&format!("changes[{i}]"), in_take(e)))
            },
        )?;
        self.ids_hold()
    }

    fn toning_holds(&self) -> Result<(), Refused> {
        let mut seen = BTreeSet::new();
        for (i, treatment) in self.toning.iter().enumerate() {
            let place = format!("toning[{i}]");
            inside(&place, treatment.check().and_then(|()| self.treatment_refers(treatment)))?;
            if !seen.insert(treatment.id) {
                let what = format!("the id {} is used twice", treatment.id.number());
                return Err(Refused::new(what, format!("{place}.id"), "give one of the two another id"));
            }
        }
        Ok(())
    }

    /// Whether the next id is greater than all that were ever used, and all can be written exactly.
    fn ids_hold(&self) -> Result<(), Refused> {
        let lists = [
            ("levels", self.levels.keys().map(|id| id.number()).max()),
            ("practicals", self.practicals.keys().map(|id| id.number()).max()),
            ("set_ups", self.set_ups.keys().map(|id| id.number()).max()),
            ("cutouts", self.cutouts.keys().map(|id| id.number()).max()),
            ("pieces", self.pieces.keys().map(|id| id.number()).max()),
            ("in_front", self.in_front.keys().map(|id| id.number()).max()),
            ("dressings", self.dressings.keys().map(|id| id.number()).max()),
            ("toning", self.toning.iter().map(|t| t.id.number()).max()),
            ("takes", self.takes.keys().map(|id| id.number()).max()),
            ("takes", self.takes.values().flat_map(|t| &t.changes).filter_map(largest_added_id).max()),
        ];
        for (list, largest) in lists.into_iter().filter_map(|(list, n)| Some((list, n?))) {
            if largest > LAST_ID {
                let what = format!("the id {largest} is too large");
                return Err(Refused::new(what, list, format!("use an id up to {LAST_ID}")));
            }
            if largest >= self.next_id {
                let what = format!("{} is not greater than the id {largest} in {list}", self.next_id);
                return Err(Refused::new(what, "next_id", format!("make it at least {}", largest + 1)));
            }
        }
        if self.next_id > LAST_ID + 1 {
            let what = format!("the id {} is too large", self.next_id);
            return Err(Refused::new(what, "next_id", format!("use an id up to {LAST_ID}")));
        }
        Ok(())
    }
}

fn inside(place: &str, result: Result<(), Refused>) -> Result<(), Refused> {
    result.map_err(|r| r.inside(place))
}

fn each<K, T, D: Display>(
    list: &str,
    map: &BTreeMap<K, T>,
    key: impl Fn(&K) -> D,
    holds: impl Fn(&K, &T) -> Result<(), Refused>,
) -> Result<(), Refused> {
    map.iter().try_for_each(|(k, value)| inside(&format!("{list}.{}", key(k)), holds(k, value)))
}
