//! Carrying out an edit. Each returns what it replaced, whole, as the edit that puts it back: differences of
//! floating numbers would not cancel.

use crate::check::Check;
use crate::take::largest_added_id;
use crate::{
    CutOutId, Edit, Facts, Piece, PieceChange, PieceId, Put, Refused, Scene, Stroke, Take, TakeId, Treatment,
    TreatmentChange, TreatmentId,
};
use std::collections::BTreeMap;
use std::mem::replace;

impl Scene {
    /// Carries out an edit and returns its exact inverse: applied, it gives the picture as it was before, bit
    /// for bit, but for the next id to give, which never goes back.
    ///
    /// # Errors
    /// [`Refused`] where a number is out of range, an id names nothing or is taken, or something is still needed.
    /// The picture is then as it was, and so it is where one of a group is refused.
    pub fn apply(&mut self, edit: Edit) -> Result<Edit, Refused> {
        edit.check()?;
        self.carry_out(edit)
    }

    /// Carries out an edit whose numbers have been checked.
    fn carry_out(&mut self, edit: Edit) -> Result<Edit, Refused> {
        let back = match edit {
            Edit::Group(edits) => self.carry_out_all(edits)?,
            Edit::Name(name) => Edit::Name(replace(&mut self.name, name)),
            Edit::Format(format) => Edit::Format(replace(&mut self.format, format)),
            Edit::Backdrop(backdrop) => {
                self.backdrop_refers(backdrop.as_ref()).map_err(|r| r.inside("backdrop"))?;
                Edit::Backdrop(replace(&mut self.backdrop, backdrop))
            }
            Edit::Stage(stage) => Edit::Stage(replace(&mut self.stage, stage)),
            Edit::Stated(stated) => Edit::Stated(replace(&mut self.stated, stated)),
            Edit::Lens(lens) => Edit::Lens(replace(&mut self.lens, lens)),
            Edit::DepthScale(scale) => Edit::DepthScale(replace(&mut self.depth_scale, scale)),
            Edit::Sky(sky) => Edit::Sky(replace(&mut self.lights.sky, sky)),
            Edit::Sun(sun) => Edit::Sun(replace(&mut self.lights.sun, sun)),
            Edit::GroundReflectance(share) => {
                Edit::GroundReflectance(replace(&mut self.lights.ground_reflectance, share))
            }
            Edit::Dusk(dusk) => Edit::Dusk(replace(&mut self.lights.dusk, dusk)),
            Edit::Haze(haze) => Edit::Haze(replace(&mut self.haze, haze)),
            Edit::Subject(subject) => {
                self.subject_refers(subject)?;
                Edit::Subject(replace(&mut self.subject, subject))
            }
            Edit::Source { digest, put } => {
                let thing = format!("source {}", digest.short());
                self.may(&put, |_, _| Ok(()), |s| s.source_can_go(digest)).map_err(|r| r.about(&thing))?;
                Edit::Source { digest, put: put_in(&mut self.sources, digest, &thing, put)? }
            }
            Edit::Level { id, put } => {
                self.may(&put, |_, _| Ok(()), |s| s.level_can_go(id))
                    .map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.levels, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::Level { id, put }
            }
            Edit::Practical { id, put } => {
                self.may(&put, Self::practical_refers, |s| s.practical_can_go(id))
                    .map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.practicals, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::Practical { id, put }
            }
            Edit::SetUp { id, put } => {
                self.may(&put, |_, _| Ok(()), |s| s.set_up_can_go(id))
                    .map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.set_ups, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::SetUp { id, put }
            }
            Edit::CutOut { id, put } => {
                self.may(&put, Self::cutout_refers, |s| s.cutout_can_go(id))
                    .map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.cutouts, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::CutOut { id, put }
            }
            Edit::Facts { cutout, facts } => self.put_facts(cutout, facts)?,
            Edit::Stroke { cutout, at, put } => self.put_stroke(cutout, at, put)?,
            Edit::Finish { cutout, mut finish } => {
                let there = self.cutouts.get_mut(&cutout).ok_or_else(|| gone(&cutout.to_string()))?;
                std::mem::swap(&mut there.finish, &mut finish);
                Edit::Finish { cutout, finish }
            }
            Edit::Piece { id, put } => self.put_piece(id, put)?,
            Edit::Change { piece, change } => {
                let thing = self.thing(piece);
                let change = self.change_piece(piece, change).map_err(|r| r.about(&thing))?;
                Edit::Change { piece, change }
            }
            Edit::InFront { id, put } => {
                self.may(&put, Self::in_front_refers, |_| Ok(())).map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.in_front, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::InFront { id, put }
            }
            Edit::Dressing { id, put } => {
                self.may(&put, Self::dressing_refers, |_| Ok(())).map_err(|r| r.about(&id.to_string()))?;
                let adds = adds(&put);
                let put = put_in(&mut self.dressings, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                Edit::Dressing { id, put }
            }
            Edit::Treatment { id, change } => {
                let change = self.change_treatment(id, change).map_err(|r| r.about(&id.to_string()))?;
                Edit::Treatment { id, change }
            }
            Edit::Take { id, put } => {
                let (adds, inside) = (adds(&put), put.value().and_then(|take| added_in(take)));
                let put = put_in(&mut self.takes, id, &id.to_string(), put)?;
                self.use_up(id.number(), adds);
                self.use_up(inside.unwrap_or_default(), inside.is_some());
                Edit::Take { id, put }
            }
            Edit::TakeChange { take, at, put } => self.change_take(take, at, put)?,
        };
        Ok(back)
    }

    /// All of a group, or none.
    fn carry_out_all(&mut self, edits: Vec<Edit>) -> Result<Edit, Refused> {
        let next_id = self.next_id;
        let mut back = Vec::with_capacity(edits.len());
        for edit in edits {
            match self.carry_out(edit) {
                Ok(inverse) => back.push(inverse),
                Err(refused) => {
                    for inverse in back.into_iter().rev() {
                        self.carry_out(inverse).expect("an inverse fits the picture it was made for");
                    }
                    self.next_id = next_id;
                    return Err(refused);
                }
            }
        }
        back.reverse();
        Ok(Edit::Group(back))
    }

    /// Whether what is put refers to things that exist, or what goes is not needed.
    fn may<T>(
        &self,
        put: &Put<Box<T>>,
        refers: impl FnOnce(&Self, &T) -> Result<(), Refused>,
        can_go: impl FnOnce(&Self) -> Result<(), Refused>,
    ) -> Result<(), Refused> {
        match put {
            Put::Add(value) | Put::Replace(value) => refers(self, value),
            Put::Remove => can_go(self),
        }
    }

    /// Keeps an id from being given again once something was added under it.
    fn use_up(&mut self, number: u64, added: bool) {
        if added {
            self.next_id = self.next_id.max(number + 1);
        }
    }

    /// A piece as messages name it.
    fn thing(&self, id: PieceId) -> String {
        match self.pieces.get(&id) {
            Some(p) if !p.name.is_empty() => format!("{id} ({})", p.name),
            _ => id.to_string(),
        }
    }

    fn put_facts(&mut self, id: CutOutId, mut facts: Box<Facts>) -> Result<Edit, Refused> {
        self.facts_refer(&facts).map_err(|r| r.about(&id.to_string()))?;
        let cutout = self.cutouts.get_mut(&id).ok_or_else(|| gone(&id.to_string()))?;
        std::mem::swap(&mut cutout.facts, &mut *facts);
        Ok(Edit::Facts { cutout: id, facts })
    }

    fn put_stroke(&mut self, id: CutOutId, at: usize, put: Put<Box<Stroke>>) -> Result<Edit, Refused> {
        let cutout = self.cutouts.get_mut(&id).ok_or_else(|| gone(&id.to_string()))?;
        let put =
            put_in_list(&mut cutout.strokes, "strokes", at, put).map_err(|r| r.about(&id.to_string()))?;
        Ok(Edit::Stroke { cutout: id, at, put })
    }

    fn put_piece(&mut self, id: PieceId, put: Put<Box<Piece>>) -> Result<Edit, Refused> {
        let thing = self.thing(id);
        let refers = |s: &Self, p: &Piece| {
            s.may_carry(p.attached_to, id)?;
            // A piece may face itself no more than it may carry itself: it has no direction then.
            s.faces_other(p.facing, id)?;
            s.piece_refers(p)
        };
        self.may(&put, refers, |s| s.piece_can_go(id)).map_err(|r| r.about(&thing))?;
        let adds = adds(&put);
        let put = put_in(&mut self.pieces, id, &thing, put)?;
        self.use_up(id.number(), adds);
        Ok(Edit::Piece { id, put })
    }

    fn change_piece(&mut self, id: PieceId, change: PieceChange) -> Result<PieceChange, Refused> {
        use PieceChange as C;
        let now = self.pieces.get(&id).ok_or_else(|| gone(""))?;
        match &change {
            C::CutOut(cutout) => self.cutout_exists(*cutout)?,
            C::Mark(mark) => self.mark_refers(mark, now.attached_to)?,
            C::Attached { to, mark } => {
                self.may_carry(*to, id)?;
                self.mark_refers(mark, *to)?;
            }
            C::Facing(target) => {
                self.faces_other(*target, id)?;
                self.facing_refers(*target)?;
            }
            _ => {}
        }
        let p = self.pieces.get_mut(&id).expect("the piece was there a moment ago");
        Ok(match change {
            C::Name(name) => C::Name(replace(&mut p.name, name)),
            C::CutOut(cutout) => C::CutOut(replace(&mut p.cutout, cutout)),
            C::Mark(mark) => C::Mark(replace(&mut p.mark, mark)),
            C::Attached { to, mark } => {
                C::Attached { to: replace(&mut p.attached_to, to), mark: replace(&mut p.mark, mark) }
            }
            C::Stance(stance) => C::Stance(replace(&mut p.stance, stance)),
            C::Lean(lean) => C::Lean(replace(&mut p.lean, lean)),
            C::Turn(turn) => C::Turn(replace(&mut p.turn, turn)),
            C::Mirrored(mirrored) => C::Mirrored(replace(&mut p.mirrored, mirrored)),
            C::Facing(target) => C::Facing(replace(&mut p.facing, target)),
            C::Hidden(hidden) => C::Hidden(replace(&mut p.hidden, hidden)),
            C::Size(row) => C::Size(replace(&mut p.rows.size, row)),
            C::Defocus(row) => C::Defocus(replace(&mut p.rows.defocus, row)),
            C::Light(row) => C::Light(replace(&mut p.rows.light, row)),
            C::Warmth(row) => C::Warmth(replace(&mut p.rows.warmth, row)),
            C::Haze(row) => C::Haze(replace(&mut p.rows.haze, row)),
            C::Shadow(row) => C::Shadow(replace(&mut p.rows.shadow, row)),
        })
    }

    fn change_treatment(
        &mut self,
        id: TreatmentId,
        change: TreatmentChange,
    ) -> Result<TreatmentChange, Refused> {
        use TreatmentChange as C;
        let there = self.toning.iter().position(|t| t.id == id);
        if let C::Add { at, treatment } = change {
            if there.is_some() {
                return Err(taken(""));
            }
            self.treatment_refers(&treatment)?;
            let (first, past) = self.step_range(&treatment);
            in_list("at", at, past - first)?;
            self.toning.insert(first + at, *treatment);
            self.use_up(id.number(), true);
            return Ok(C::Remove);
        }
        let now = there.ok_or_else(|| gone(""))?;
        let (first, past) = self.step_range(&self.toning[now]);
        match change {
            C::Add { .. } => unreachable!("dealt with above"),
            C::Replace(treatment) => {
                self.treatment_refers(&treatment)?;
                if treatment.kind.step() != self.toning[now].kind.step() {
                    return Err(Refused::new(
                        format!("{} happens at another step of the light's way", treatment.kind.name()),
                        "kind",
                        "remove the treatment and add the other one",
                    ));
                }
                Ok(C::Replace(Box::new(replace(&mut self.toning[now], *treatment))))
            }
            C::Move { to } => {
                in_list("to", to, past - first - 1)?;
                let treatment = self.toning.remove(now);
                self.toning.insert(first + to, treatment);
                Ok(C::Move { to: now - first })
            }
            C::Remove => Ok(C::Add { at: now - first, treatment: Box::new(self.toning.remove(now)) }),
        }
    }

    /// The places in the toning that belong to the step of a treatment: the first, and the one past the last.
    fn step_range(&self, treatment: &Treatment) -> (usize, usize) {
        let step = treatment.kind.step();
        let first = self.toning.partition_point(|t| t.kind.step() < step);
        (first, self.toning.partition_point(|t| t.kind.step() <= step))
    }

    fn change_take(&mut self, id: TakeId, at: usize, put: Put<Box<Edit>>) -> Result<Edit, Refused> {
        let inside = put.value().and_then(|edit| largest_added_id(edit));
        let take = self.takes.get_mut(&id).ok_or_else(|| gone(&id.to_string()))?;
        let put = put_in_list(&mut take.changes, "changes", at, put).map_err(|r| r.about(&id.to_string()))?;
        self.use_up(inside.unwrap_or_default(), inside.is_some());
        Ok(Edit::TakeChange { take: id, at, put })
    }
}

/// Puts something at a place of a list, or takes it away; returns what puts it back.
fn put_in_list<T>(
    list: &mut Vec<T>,
    place: &str,
    at: usize,
    put: Put<Box<T>>,
) -> Result<Put<Box<T>>, Refused> {
    let last = match put {
        Put::Add(_) => list.len(),
        Put::Replace(_) | Put::Remove => {
            list.len().checked_sub(1).ok_or_else(|| Refused::new("the list is empty", place, "add to it"))?
        }
    };
    in_list(place, at, last)?;
    Ok(match put {
        Put::Add(value) => {
            list.insert(at, *value);
            Put::Remove
        }
        Put::Replace(value) => Put::Replace(Box::new(replace(&mut list[at], *value))),
        Put::Remove => Put::Add(Box::new(list.remove(at))),
    })
}

/// Puts something under an id, or takes it away; returns what puts it back.
fn put_in<K: Ord, T>(
    map: &mut BTreeMap<K, T>,
    id: K,
    thing: &str,
    put: Put<Box<T>>,
) -> Result<Put<Box<T>>, Refused> {
    match put {
        Put::Add(_) if map.contains_key(&id) => Err(taken(thing)),
        Put::Add(value) => {
            map.insert(id, *value);
            Ok(Put::Remove)
        }
        Put::Replace(mut value) => {
            let there = map.get_mut(&id).ok_or_else(|| gone(thing))?;
            std::mem::swap(there, &mut *value);
            Ok(Put::Replace(value))
        }
        Put::Remove => map.remove(&id).map(|value| Put::Add(Box::new(value))).ok_or_else(|| gone(thing)),
    }
}

/// Whether a thing comes new into the picture.
const fn adds<T>(put: &Put<T>) -> bool {
    matches!(put, Put::Add(_))
}

/// The largest id under which a take adds something.
fn added_in(take: &Take) -> Option<u64> {
    take.changes.iter().filter_map(largest_added_id).max()
}

/// An id that names nothing.
fn gone(thing: &str) -> Refused {
    Refused::new("it is not in the picture", thing, "name one that is there")
}

/// An id that is in use.
fn taken(thing: &str) -> Refused {
    Refused::new("the id is taken", thing, "use a fresh id, or replace what is there")
}

/// A place in a list.
fn in_list(field: &str, at: usize, last: usize) -> Result<(), Refused> {
    if at <= last {
        return Ok(());
    }
    Err(Refused::new(format!("there is no place {at}"), field, format!("give a place from 0 to {last}")))
}
