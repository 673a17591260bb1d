//! Takes: named variants of the picture, as changes laid over it.

use crate::{Edit, Factor, Put, Refused, Scene, TakeId, TreatmentChange};
use std::collections::BTreeMap;
use std::mem::discriminant;

/// A named variant of the picture. The picture may change under it: what no longer fits is passed over when
/// the take is looked at, and said.
#[derive(Clone, PartialEq, Debug)]
pub struct Take {
    /// What the artist calls it.
    pub name: String,
    /// Laid over the picture in this order. None of them may be about takes.
    pub changes: Vec<Edit>,
    /// What the picture's blur discs are multiplied by in this take.
    pub depth: Factor,
}

impl Take {
    /// A take that changes nothing yet.
    #[must_use]
    pub fn named(name: impl Into<String>) -> Self {
        Self { name: name.into(), changes: Vec::new(), depth: Factor::ONE }
    }
}

impl Scene {
    /// The picture as a take shows it, without takes of its own, and the changes that no longer fit. A take that
    /// does not exist shows the picture itself, and is among the refused.
    #[must_use]
    pub fn seen_as(&self, take: TakeId) -> (Self, Vec<Refused>) {
        let Some(laid) = self.takes.get(&take) else {
            let seen = Self { takes: BTreeMap::new(), ..self.clone() };
            return (seen, vec![Refused::unknown(take, "take", "choose one of the picture's takes")]);
        };
        let (seen, refused) = self.with_laid(laid);
        let said = |(at, r): (usize, Refused)| r.about(&format!("{take} ({}), change {}", laid.name, at + 1));
        (seen, refused.into_iter().map(said).collect())
    }

    /// The edit that lays a change into a take: in place of an earlier change that it makes meaningless, else
    /// after all others.
    ///
    /// # Errors
    /// [`Refused`] where there is no such take.
    pub fn laid_in_take(&self, take: TakeId, change: Edit) -> Result<Edit, Refused> {
        let laid = self
            .takes
            .get(&take)
            .ok_or_else(|| Refused::unknown(take, "take", "choose one of the picture's takes"))?;
        let end = laid.changes.len();
        let put = Box::new(change);
        if let Some(at) = laid.changes.iter().rposition(|old| says_again(&put, old)) {
            // Changes after it may stand on the old one; replaced it is only where the take then looks the same.
            let mut appended = laid.clone();
            appended.changes.push((*put).clone());
            let mut replaced = laid.clone();
            replaced.changes[at] = (*put).clone();
            if self.with_laid(&appended) == self.with_laid(&replaced) {
                return Ok(Edit::TakeChange { take, at, put: Put::Replace(put) });
            }
        }
        Ok(Edit::TakeChange { take, at: end, put: Put::Add(put) })
    }

    /// The picture with a take's changes laid over it, and those that do not fit, by their place in the take.
    fn with_laid(&self, take: &Take) -> (Self, Vec<(usize, Refused)>) {
        let mut seen = Self { takes: BTreeMap::new(), ..self.clone() };
        let mut refused = Vec::new();
        for (at, change) in take.changes.iter().enumerate() {
            if let Err(r) = seen.apply(change.clone()) {
                refused.push((at, r));
            }
        }
        let scale = Factor::new(seen.depth_scale.get() * take.depth.get());
        seen.depth_scale = scale.unwrap_or(seen.depth_scale);
        (seen, refused)
    }
}

/// Whether `new` states again all that `old` stated.
fn says_again(new: &Edit, old: &Edit) -> bool {
    let same_kind = discriminant(new) == discriminant(old);
    match (new, old) {
        (Edit::Change { piece: a, change: x }, Edit::Change { piece: b, change: y }) => {
            a == b && discriminant(x) == discriminant(y)
        }
        (Edit::Facts { cutout: a, .. }, Edit::Facts { cutout: b, .. })
        | (Edit::Finish { cutout: a, .. }, Edit::Finish { cutout: b, .. }) => a == b,
        (
            Edit::Name(_)
            | Edit::Format(_)
            | Edit::Backdrop(_)
            | Edit::Stage(_)
            | Edit::Stated(_)
            | Edit::Lens(_)
            | Edit::DepthScale(_)
            | Edit::Sky(_)
            | Edit::Sun(_)
            | Edit::GroundReflectance(_)
            | Edit::Dusk(_)
            | Edit::Haze(_)
            | Edit::Subject(_),
            _,
        ) => same_kind,
        _ => false,
    }
}

/// The largest id that an edit, or one of its group, adds something under.
pub(crate) fn largest_added_id(edit: &Edit) -> Option<u64> {
    match edit {
        Edit::Group(edits) => edits.iter().filter_map(largest_added_id).max(),
        Edit::Level { id, put: Put::Add(_) } => Some(id.number()),
        Edit::Practical { id, put: Put::Add(_) } => Some(id.number()),
        Edit::SetUp { id, put: Put::Add(_) } => Some(id.number()),
        Edit::CutOut { id, put: Put::Add(_) } => Some(id.number()),
        Edit::Piece { id, put: Put::Add(_) } => Some(id.number()),
        Edit::InFront { id, put: Put::Add(_) } => Some(id.number()),
        Edit::Dressing { id, put: Put::Add(_) } => Some(id.number()),
        Edit::Treatment { id, change: TreatmentChange::Add { .. } } => Some(id.number()),
        _ => None,
    }
}
