//! What the things of a picture refer to: it must exist, and cannot go while it is needed.

use crate::{
    Area, Backdrop, Clause, CutOut, CutOutId, Dressing, Edit, Facts, InFront, InFrontOf, KeepClear, LevelId,
    Mark, Piece, PieceChange, PieceId, Place, Practical, PracticalId, Put, Refused, Scene, SetUpId, Target,
    Treatment, TreatmentChange, Where,
};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Display;
use units::Digest;

/// Whether an id is the key of something.
fn exists<K: Ord + Display, T>(
    map: &BTreeMap<K, T>,
    id: &K,
    place: &str,
    remedy: &str,
) -> Result<(), Refused> {
    if map.contains_key(id) { Ok(()) } else { Err(Refused::unknown(id, place, remedy)) }
}

const ADD_FIRST: &str = "add it first, or name one that is there";

impl Scene {
    fn source_exists(&self, digest: Digest, place: &str) -> Result<(), Refused> {
        if self.sources.contains_key(&digest) {
            return Ok(());
        }
        let what = format!("there is no source {} in the picture", digest.short());
        Err(Refused::new(what, place, "add the file to the picture first"))
    }

    pub(crate) fn backdrop_refers(&self, backdrop: Option<&Backdrop>) -> Result<(), Refused> {
        backdrop.map_or(Ok(()), |b| self.source_exists(b.source, "source"))
    }

    pub(crate) fn facts_refer(&self, facts: &Facts) -> Result<(), Refused> {
        facts.set_up.map_or(Ok(()), |id| exists(&self.set_ups, &id, "facts.set_up", ADD_FIRST))
    }

    pub(crate) fn cutout_refers(&self, cutout: &CutOut) -> Result<(), Refused> {
        self.source_exists(cutout.shot, "shot")?;
        cutout.matte.map_or(Ok(()), |m| self.source_exists(m, "matte"))?;
        cutout.colour.map_or(Ok(()), |c| self.source_exists(c, "colour"))?;
        cutout.files().try_for_each(|file| self.source_exists(file, "joining"))?;
        self.facts_refer(&cutout.facts)
    }

    pub(crate) fn cutout_exists(&self, id: CutOutId) -> Result<(), Refused> {
        exists(&self.cutouts, &id, "cutout", ADD_FIRST)
    }

    /// What a piece refers to, but for a round of attachments.
    pub(crate) fn piece_refers(&self, piece: &Piece) -> Result<(), Refused> {
        self.cutout_exists(piece.cutout)?;
        self.mark_refers(&piece.mark, piece.attached_to)?;
        self.facing_refers(piece.facing)
    }

    pub(crate) fn mark_refers(&self, mark: &Mark, attached_to: Option<PieceId>) -> Result<(), Refused> {
        match (attached_to, mark.level) {
            (Some(_), Some(_)) => Err(Refused::new(
                "the mark of an attached piece counts from the piece that carries it, not from a level",
                "mark.level",
                "leave the level out, or detach the piece",
            )),
            (Some(to), None) => exists(&self.pieces, &to, "attached_to", ADD_FIRST),
            (None, Some(level)) => exists(&self.levels, &level, "mark.level", ADD_FIRST),
            (None, None) => Ok(()),
        }
    }

    pub(crate) fn facing_refers(&self, facing: Option<Target>) -> Result<(), Refused> {
        match facing {
            Some(Target::Piece(id)) => exists(&self.pieces, &id, "facing.piece", ADD_FIRST),
            Some(Target::Practical(id)) => exists(&self.practicals, &id, "facing.practical", ADD_FIRST),
            Some(Target::Point(_) | Target::Lens | Target::Away) | None => Ok(()),
        }
    }

    /// A piece that faced itself would have no direction.
    pub(crate) fn faces_other(&self, facing: Option<Target>, piece: PieceId) -> Result<(), Refused> {
        if facing == Some(Target::Piece(piece)) {
            return Err(Refused::new("a piece cannot face itself", "facing.piece", "name another piece"));
        }
        Ok(())
    }

    /// Whether `piece` may be carried by `to`: nothing can carry itself, however indirectly.
    pub(crate) fn may_carry(&self, to: Option<PieceId>, piece: PieceId) -> Result<(), Refused> {
        let mut carrier = to;
        while let Some(id) = carrier {
            if id == piece {
                return Err(round_of_attachments());
            }
            carrier = self.pieces.get(&id).and_then(|p| p.attached_to);
        }
        Ok(())
    }

    /// The first piece, by id, that carries itself, however indirectly.
    pub(crate) fn carries_itself(&self) -> Option<PieceId> {
        // The walk that last came through a piece: one that meets its own trace is a round, one that meets an older
        // trace ends well. So each piece is walked through once.
        let mut trace: BTreeMap<PieceId, PieceId> = BTreeMap::new();
        for &start in self.pieces.keys() {
            let mut at = Some(start);
            while let Some(id) = at {
                match trace.get(&id) {
                    Some(&walk) if walk == start => return Some(id),
                    Some(_) => break,
                    None => trace.insert(id, start),
                };
                at = self.pieces.get(&id).and_then(|p| p.attached_to);
            }
        }
        None
    }

    pub(crate) fn practical_refers(&self, practical: &Practical) -> Result<(), Refused> {
        practical.on.map_or(Ok(()), |id| exists(&self.pieces, &id, "on", ADD_FIRST))
    }

    pub(crate) fn in_front_refers(&self, region: &InFront) -> Result<(), Refused> {
        exists(&self.pieces, &region.before, "before", ADD_FIRST)?;
        match region.what {
            InFrontOf::Backdrop => Ok(()),
            InFrontOf::Piece(id) if id == region.before => {
                Err(Refused::new("a piece cannot stand before itself", "what.piece", "name another piece"))
            }
            InFrontOf::Piece(id) => exists(&self.pieces, &id, "what.piece", ADD_FIRST),
        }
    }

    pub(crate) fn dressing_refers(&self, dressing: &Dressing) -> Result<(), Refused> {
        for (i, chosen) in dressing.of.iter().enumerate() {
            exists(&self.cutouts, &chosen.cutout, &format!("of[{i}].cutout"), ADD_FIRST)?;
        }
        dressing.level.map_or(Ok(()), |level| exists(&self.levels, &level, "level", ADD_FIRST))?;
        if let Area::Arc { around, .. } = dressing.area {
            exists(&self.pieces, &around, "area.arc.around", ADD_FIRST)?;
        }
        self.facing_refers(dressing.facing)?;
        for (i, clear) in dressing.clear.iter().enumerate() {
            let refers = match clear {
                KeepClear::Region(_) | KeepClear::Feet { .. } => Ok(()),
                KeepClear::Piece { piece, .. } => exists(&self.pieces, piece, "piece", ADD_FIRST),
                KeepClear::Practical(lamp) => exists(&self.practicals, lamp, "practical", ADD_FIRST),
                KeepClear::Sight { from, to, .. } => exists(&self.pieces, from, "sight.from", ADD_FIRST)
                    .and_then(|()| self.facing_refers(Some(*to)))
                    .and_then(|()| self.faces_other(Some(*to), *from)),
            };
            refers.map_err(|r| r.inside(&format!("clear[{i}]")))?;
        }
        Ok(())
    }

    pub(crate) fn treatment_refers(&self, treatment: &Treatment) -> Result<(), Refused> {
        for (i, clause) in treatment.where_.0.iter().enumerate() {
            let in_clause = |kind: &str| format!("where[{i}].{kind}");
            let at_place = |of: &Place, kind: &str| match of {
                Place::Point(_) => Ok(()),
                Place::Piece(id) => {
                    exists(&self.pieces, id, &in_clause(&format!("{kind}.of.piece")), ADD_FIRST)
                }
                Place::Practical(id) => {
                    exists(&self.practicals, id, &in_clause(&format!("{kind}.of.practical")), ADD_FIRST)
                }
            };
            match clause {
                Clause::OnPieces(ids) => {
                    ids.iter()
                        .try_for_each(|id| exists(&self.pieces, id, &in_clause("on_pieces"), ADD_FIRST))?;
                }
                Clause::NotOnPieces(ids) => {
                    ids.iter().try_for_each(|id| {
                        exists(&self.pieces, id, &in_clause("not_on_pieces"), ADD_FIRST)
                    })?;
                }
                Clause::Within { of, .. } => at_place(of, "within")?,
                Clause::Beyond { of, .. } => at_place(of, "beyond")?,
                Clause::Card { of: Some(id), .. } => {
                    exists(&self.pieces, id, &in_clause("card.of"), ADD_FIRST)?;
                }
                Clause::OnSubject
                | Clause::NotOnSubject
                | Clause::BehindDepth { .. }
                | Clause::BeforeDepth { .. }
                | Clause::Tones { .. }
                | Clause::Hues { .. }
                | Clause::Gradient { .. }
                | Clause::Card { of: None, .. } => {}
            }
        }
        Ok(())
    }

    pub(crate) fn subject_refers(&self, subject: Option<PieceId>) -> Result<(), Refused> {
        subject.map_or(Ok(()), |id| exists(&self.pieces, &id, "subject", ADD_FIRST))
    }
}

/// What is wrong with a piece that carries itself.
pub(crate) fn round_of_attachments() -> Refused {
    Refused::new("the piece would carry itself", "attached_to", "detach one of the pieces between first")
}

/// What still needs something that is to go.
fn needed(by: impl Display, remedy: &str) -> Refused {
    Refused::new(format!("{by} still needs it"), "", remedy)
}

impl Scene {
    pub(crate) fn source_can_go(&self, digest: Digest) -> Result<(), Refused> {
        let remedy = "change or remove that first";
        if self.backdrop.is_some_and(|b| b.source == digest) {
            return Err(needed("the backdrop", remedy));
        }
        let user = self.cutouts.iter().find(|(_, c)| c.files().any(|file| file == digest));
        user.map_or(Ok(()), |(id, c)| Err(needed(format!("{id} ({})", c.name), remedy)))
    }

    pub(crate) fn level_can_go(&self, id: LevelId) -> Result<(), Refused> {
        let user = self.pieces.iter().find(|(_, p)| p.mark.level == Some(id));
        user.map_or(Ok(()), |(p, _)| Err(needed(self.called(*p), "put that piece on another level first")))?;
        self.dressing_without(|d| d.level == Some(id), "lay that dressing on another level first")
    }

    pub(crate) fn set_up_can_go(&self, id: SetUpId) -> Result<(), Refused> {
        let user = self.cutouts.iter().find(|(_, c)| c.facts.set_up == Some(id));
        user.map_or(Ok(()), |(c, cutout)| {
            Err(needed(format!("{c} ({})", cutout.name), "give that cut-out another set-up first"))
        })
    }

    pub(crate) fn cutout_can_go(&self, id: CutOutId) -> Result<(), Refused> {
        let user = self.pieces.iter().find(|(_, p)| p.cutout == id);
        user.map_or(Ok(()), |(p, _)| Err(needed(self.called(*p), "remove that piece first")))?;
        let made_of = |d: &Dressing| d.of.iter().any(|chosen| chosen.cutout == id);
        self.dressing_without(made_of, "lay that dressing without it first")
    }

    /// That no dressing is one that needs a thing.
    fn dressing_without(&self, needs: impl Fn(&Dressing) -> bool, remedy: &str) -> Result<(), Refused> {
        let user = self.dressings.values().find(|d| needs(d));
        user.map_or(Ok(()), |d| Err(needed(format!("the dressing {}", d.name), remedy)))
    }

    pub(crate) fn practical_can_go(&self, id: PracticalId) -> Result<(), Refused> {
        let facing = self.pieces.iter().find(|(_, p)| p.facing == Some(Target::Practical(id)));
        if let Some((piece, _)) = facing {
            return Err(needed(self.called(*piece), "let that piece face something else first"));
        }
        self.dressing_without(|d| d.names_lamp(id), "lay that dressing without the lamp first")?;
        let toning =
            self.toning.iter().find(|t| t.where_.0.iter().any(|c| measured_from(c, Place::Practical(id))));
        toning.map_or(Ok(()), |t| Err(needed(t.kind.name(), "change where that treatment works first")))
    }

    pub(crate) fn piece_can_go(&self, id: PieceId) -> Result<(), Refused> {
        let remedy = "remove the piece together with what needs it, or change that first";
        if let Some((carried, _)) = self.pieces.iter().find(|(_, p)| p.attached_to == Some(id)) {
            return Err(needed(format!("{}, which is attached to it,", self.called(*carried)), remedy));
        }
        if let Some((facing, _)) =
            self.pieces.iter().find(|(other, p)| **other != id && p.facing == Some(Target::Piece(id)))
        {
            return Err(needed(format!("{}, which faces it,", self.called(*facing)), remedy));
        }
        if let Some((_, lamp)) = self.practicals.iter().find(|(_, p)| p.on == Some(id)) {
            return Err(needed(format!("the lamp {}, which is fixed to it,", lamp.name), remedy));
        }
        if let Some((_, region)) = self.in_front.iter().find(|(_, r)| region_of(r, id)) {
            let before = self.called(region.before);
            return Err(needed(format!("what stands in front of {before}"), remedy));
        }
        self.dressing_without(|d| d.names(id), remedy)?;
        if let Some(t) = self.toning.iter().find(|t| t.where_.0.iter().any(|c| names_piece(c, id))) {
            return Err(needed(t.kind.name(), remedy));
        }
        if self.subject == Some(id) {
            return Err(Refused::new("it is the subject of the picture", "", "name another subject first"));
        }
        Ok(())
    }

    /// Whether something else in the picture needs a piece: a lamp on it, something that it carries or that faces it, a treatment...
    #[must_use]
    pub fn is_needed(&self, id: PieceId) -> bool {
        self.piece_can_go(id).is_err()
    }

    /// The edit that removes a piece and settles whatever needs it: what it carries stays where the marks put
    /// it once `settled` has said so, regions and lamps on it go, treatments no longer name it.
    ///
    /// `settled` gives the mark, on the stage, of a piece that it carried: where that is now is a matter of
    /// the layout.
    #[must_use]
    pub fn removal_of(&self, id: PieceId, mut settled: impl FnMut(PieceId) -> Mark) -> Edit {
        let mut edits = Vec::new();
        for (&other, piece) in self.pieces.iter().filter(|(other, _)| **other != id) {
            if piece.attached_to == Some(id) {
                let change = PieceChange::Attached { to: None, mark: settled(other) };
                edits.push(Edit::Change { piece: other, change });
            }
            if piece.facing == Some(Target::Piece(id)) {
                edits.push(Edit::Change { piece: other, change: PieceChange::Facing(None) });
            }
        }
        let mut lamps = Vec::new();
        for (&lamp, _) in self.practicals.iter().filter(|(_, p)| p.on == Some(id)) {
            lamps.push(lamp);
            for (&other, _) in self.pieces.iter().filter(|(_, p)| p.facing == Some(Target::Practical(lamp))) {
                edits.push(Edit::Change { piece: other, change: PieceChange::Facing(None) });
            }
        }
        for (&region, _) in self.in_front.iter().filter(|(_, r)| region_of(r, id)) {
            edits.push(Edit::InFront { id: region, put: Put::Remove });
        }
        for (&dressing, rule) in &self.dressings {
            if let Some(put) = without_piece(rule, id, &lamps) {
                edits.push(Edit::Dressing { id: dressing, put });
            }
        }
        for treatment in &self.toning {
            let kept = without(&treatment.where_, id, &lamps);
            if kept != treatment.where_ {
                let change =
                    TreatmentChange::Replace(Box::new(Treatment { where_: kept, ..treatment.clone() }));
                edits.push(Edit::Treatment { id: treatment.id, change });
            }
        }
        edits.extend(lamps.iter().map(|&lamp| Edit::Practical { id: lamp, put: Put::Remove }));
        if self.subject == Some(id) {
            edits.push(Edit::Subject(None));
        }
        edits.push(Edit::Piece { id, put: Put::Remove });
        Edit::Group(edits)
    }
}

/// What becomes of a dressing once a piece and its lamps are gone; nothing where it does not need them. An arc that loses its middle
/// lays nothing any more, and goes: its pieces stay as they stand.
fn without_piece(rule: &Dressing, id: PieceId, lamps: &[PracticalId]) -> Option<Put<Box<Dressing>>> {
    if matches!(rule.area, Area::Arc { around, .. } if around == id) {
        return Some(Put::Remove);
    }
    let gone = |target: Target| match target {
        Target::Piece(piece) => piece == id,
        Target::Practical(lamp) => lamps.contains(&lamp),
        Target::Point(_) | Target::Lens | Target::Away => false,
    };
    let mut kept = rule.clone();
    kept.facing = rule.facing.filter(|target| !gone(*target));
    kept.laid.values_mut().for_each(|laid| laid.facing = laid.facing.filter(|target| !gone(*target)));
    kept.clear.retain(|clear| match clear {
        KeepClear::Piece { piece, .. } => *piece != id,
        KeepClear::Practical(lamp) => !lamps.contains(lamp),
        KeepClear::Sight { from, to, .. } => *from != id && !gone(*to),
        KeepClear::Region(_) | KeepClear::Feet { .. } => true,
    });
    (kept != *rule).then(|| Put::Replace(Box::new(kept)))
}

fn region_of(region: &InFront, id: PieceId) -> bool {
    region.before == id || region.what == InFrontOf::Piece(id)
}

fn measured_from(clause: &Clause, place: Place) -> bool {
    matches!(clause, Clause::Within { of, .. } | Clause::Beyond { of, .. } if *of == place)
}

fn names_piece(clause: &Clause, id: PieceId) -> bool {
    match clause {
        Clause::OnPieces(ids) | Clause::NotOnPieces(ids) => ids.contains(&id),
        Clause::Card { of, .. } => *of == Some(id),
        _ => measured_from(clause, Place::Piece(id)),
    }
}

/// Where a treatment works once a piece and its lamps are gone: lists lose the piece; nothing is within a
/// distance of what is gone, nor on a card that was fixed to it, and everything is beyond it. An empty list of pieces to work on means nowhere.
fn without(where_: &Where, id: PieceId, lamps: &[PracticalId]) -> Where {
    let gone = |of: &Place| match of {
        Place::Point(_) => false,
        Place::Piece(piece) => *piece == id,
        Place::Practical(lamp) => lamps.contains(lamp),
    };
    let lose = |ids: &BTreeSet<PieceId>| ids.iter().copied().filter(|p| *p != id).collect();
    let kept = where_.0.iter().filter_map(|clause| match clause {
        Clause::OnPieces(ids) => Some(Clause::OnPieces(lose(ids))),
        Clause::NotOnPieces(ids) => Some(Clause::NotOnPieces(lose(ids))),
        Clause::Within { of, .. } if gone(of) => Some(Clause::OnPieces(BTreeSet::new())),
        Clause::Beyond { of, .. } if gone(of) => None,
        Clause::Card { of: Some(piece), .. } if *piece == id => Some(Clause::OnPieces(BTreeSet::new())),
        _ => Some(clause.clone()),
    });
    Where(kept.collect())
}
