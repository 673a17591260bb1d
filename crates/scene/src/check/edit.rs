//! Edits: every number in them, before anything is asked of the picture.

use super::{Check, depth_scale, field, ground_reflectance, name};
use crate::{Edit, LAST_ID, Put, Refused, TreatmentChange};

/// How deep groups may be nested: far deeper than anybody groups, far from the end of the stack.
const DEEPEST_GROUP: usize = 16;

/// Where an edit is to be carried out.
#[derive(Clone, Copy, PartialEq)]
enum On {
    Picture,
    Take,
}

impl Check for Edit {
    fn check(&self) -> Result<(), Refused> {
        check(self, On::Picture, 0)
    }
}

impl<T: Check> Check for Put<T> {
    fn check(&self) -> Result<(), Refused> {
        self.value().map_or(Ok(()), Check::check)
    }
}

/// One of the changes of a take.
pub(crate) fn in_take(edit: &Edit) -> Result<(), Refused> {
    check(edit, On::Take, 0)
}

fn check(edit: &Edit, on: On, deep: usize) -> Result<(), Refused> {
    let of = |id: &dyn std::fmt::Display, r: Result<(), Refused>| r.map_err(|r| r.about(&id.to_string()));
    match edit {
        Edit::Group(_) if deep == DEEPEST_GROUP => Err(Refused::new(
            "groups of edits are nested too deep",
            "group",
            format!("nest them at most {DEEPEST_GROUP} deep"),
        )),
        Edit::Group(edits) => edits.iter().try_for_each(|e| check(e, on, deep + 1)),
        Edit::Name(value) => name("name", value),
        Edit::Format(format) => field("format", format),
        Edit::Backdrop(backdrop) => field("backdrop", backdrop),
        Edit::Stage(stage) => field("stage", stage),
        // These cannot exist out of range.
        Edit::Stated(_) | Edit::Lens(_) | Edit::Haze(_) | Edit::Subject(_) => Ok(()),
        Edit::DepthScale(scale) => depth_scale("depth_scale", *scale),
        Edit::Sky(sky) => field("sky", sky),
        Edit::Sun(sun) => field("sun", sun),
        Edit::Dusk(dusk) => field("dusk", dusk),
        Edit::GroundReflectance(value) => ground_reflectance(*value),
        Edit::Source { digest, put } => of(&format!("source {}", digest.short()), put.check()),
        Edit::Level { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::Practical { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::SetUp { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::CutOut { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::Facts { cutout, facts } => of(cutout, field("facts", facts)),
        Edit::Stroke { cutout, put, .. } => of(cutout, put.check().map_err(|r| r.inside("strokes"))),
        Edit::Finish { cutout, finish } => of(cutout, field("finish", finish)),
        Edit::Piece { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::Change { piece, change } => of(piece, change.check()),
        Edit::InFront { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::Dressing { id, put } => of(id, id_of(id.number(), put).and_then(|()| put.check())),
        Edit::Treatment { id, change } => of(id, treatment(id.number(), change)),
        Edit::Take { .. } | Edit::TakeChange { .. } if on == On::Take => Err(Refused::new(
            "a take cannot hold changes to takes",
            "changes",
            "make the change in the picture, not in a take",
        )),
        Edit::Take { id, put } => of(
            id,
            id_of(id.number(), put).and_then(|()| put.check()).and_then(|()| {
                put.value().map_or(Ok(()), |take| {
                    let mut numbered = take.changes.iter().enumerate();
                    numbered.try_for_each(|(i, e)| in_take(e).map_err(|r| r.inside(&format!("changes[{i}]"))))
                })
            }),
        ),
        Edit::TakeChange { take, put, .. } => of(take, put.value().map_or(Ok(()), |e| in_take(e))),
    }
}

/// The id of a new thing.
fn id_of<T>(number: u64, put: &Put<T>) -> Result<(), Refused> {
    match put {
        Put::Add(_) => new_id(number),
        Put::Replace(_) | Put::Remove => Ok(()),
    }
}

fn new_id(number: u64) -> Result<(), Refused> {
    if number <= LAST_ID {
        return Ok(());
    }
    Err(Refused::new(format!("the id {number} is too large"), "id", format!("use an id up to {LAST_ID}")))
}

fn treatment(number: u64, change: &TreatmentChange) -> Result<(), Refused> {
    let value = match change {
        TreatmentChange::Add { treatment, .. } => {
            new_id(number)?;
            treatment
        }
        TreatmentChange::Replace(treatment) => treatment,
        TreatmentChange::Move { .. } | TreatmentChange::Remove => return Ok(()),
    };
    if value.id.number() != number {
        return Err(Refused::new(
            format!("the treatment says it is {}", value.id),
            "id",
            "give it the id of the edit that puts it",
        ));
    }
    value.check()
}
