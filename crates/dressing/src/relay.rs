//! Laying a rule again: what is the rule's follows it, what is the artist's stays.

use crate::choice::Choice;
use crate::lay::{Before, Given, lay};
use scene::{
    Dressing, DressingId, Edit, Factor, Laid, Mark, Piece, PieceChange, PieceId, Put, Row, Rows, Scene,
    Target,
};
use staging::standing::{Stage, feet};
use staging::{Measured, frame, illumination};
use std::collections::{BTreeMap, BTreeSet};

/// A rule as it was laid.
#[derive(Clone, PartialEq, Debug)]
pub struct Laying {
    /// What lays it.
    pub edit: Edit,
    /// Which dressing it is.
    pub id: DressingId,
    /// How many pieces of it stand in the picture.
    pub pieces: usize,
    /// How many of them are new.
    pub new: usize,
    /// How many went.
    pub gone: usize,
    /// How many the artist holds: changed by hand, let go, hidden or taken away.
    pub held: usize,
}

/// What became of a piece since a rule laid it.
enum Since {
    /// It is as it was laid.
    Untouched,
    /// The artist changed something about it.
    Touched,
    /// It was let go, or taken out of the picture.
    Out,
}

/// The edit that lays a rule: a new one, or one of the picture's in a new form. What `rule.laid` says is not asked; what was laid is in the
/// picture. Total: where the rule lies around something that stands nowhere, it lays nothing.
#[must_use]
pub fn laid(scene: &Scene, measured: &Measured, which: Option<DressingId>, rule: &Dressing) -> Laying {
    let mut fresh = scene.fresh();
    let id = which.unwrap_or_else(|| fresh.dressing());
    let none = BTreeMap::new();
    let old = which.and_then(|id| scene.dressings().get(&id));
    let before = old.map_or(&none, |d| &d.laid);
    // What is laid another way shares no place with what was.
    let same_places = old.is_some_and(|old| has_same_places(old, rule));

    let mut stands = Before { same_places, ..Before::default() };
    let mut held: BTreeMap<u64, &Laid> = BTreeMap::new();
    for (place, laid) in before {
        let choice = Choice::of(laid);
        match since(scene, old, laid) {
            Since::Untouched if same_places => {
                stands.follows.insert(*place, choice);
            }
            Since::Untouched => {}
            Since::Touched | Since::Out => {
                let mark = scene.pieces().get(&laid.piece).map_or(laid.mark, |p| p.mark);
                held.insert(*place, laid);
                stands.held.insert(*place, ([mark.x.get(), mark.z.get()], choice));
            }
        }
    }
    let own: BTreeSet<PieceId> = before.values().map(|laid| laid.piece).collect();
    let given = on_stage(scene, measured, |stage| lay(stage, rule, &own, &stands)).unwrap_or_default();

    let mut edits = Vec::new();
    let mut now: BTreeMap<u64, Laid> = BTreeMap::new();
    let mut numbers = Numbers::of(scene, old, rule);
    let mut new = 0;
    let by_hand = held.len();
    let spare: Vec<&Laid> = before
        .iter()
        .filter(|(place, _)| !(held.contains_key(place) || same_places && given.contains_key(place)))
        .map(|(_, laid)| laid)
        .collect();
    let gone = spare.len();
    for laid in spare {
        edits.push(Edit::Piece { id: laid.piece, put: Put::Remove });
    }
    for (place, laid) in held {
        now.insert(place, kept(scene, (old, rule), laid, &mut edits));
    }
    for (place, Given { mark, choice }) in given {
        let laid = match before.get(&place).filter(|_| same_places) {
            Some(was) => {
                let laid = choice.laid(was.piece, mark, rule);
                follow(scene, (old, rule), was, &laid, &mut edits);
                laid
            }
            None => {
                let piece = fresh.piece();
                let laid = choice.laid(piece, mark, rule);
                let stands = Box::new(as_laid(&laid, numbers.next()));
                edits.push(Edit::Piece { id: piece, put: Put::Add(stands) });
                new += 1;
                laid
            }
        };
        // A rule laid another way may come upon the number of a place that is held.
        let free = (place..).find(|p| !now.contains_key(p)).unwrap_or(place);
        now.insert(free, laid);
    }
    let is_there = |laid: &&Laid| scene.pieces().get(&laid.piece).is_none_or(|p| !p.hidden);
    let out = before.values().filter(|l| !scene.pieces().contains_key(&l.piece)).count();
    let pieces = now.values().filter(is_there).count() - out;
    let rule = Box::new(Dressing { laid: now, ..rule.clone() });
    let put = if old.is_some() { Put::Replace(rule) } else { Put::Add(rule) };
    edits.push(Edit::Dressing { id, put });
    Laying { edit: Edit::Group(edits), id, pieces, new, gone, held: by_hand }
}

/// The edit that lets pieces go from their dressings: no rule changes them from then on, and their places stay taken. `None` where no
/// dressing laid any of them.
#[must_use]
pub fn released(scene: &Scene, pieces: &[PieceId]) -> Option<Edit> {
    let mut edits = Vec::new();
    for (id, dressing) in scene.dressings() {
        let mut changed = dressing.clone();
        for laid in changed.laid.values_mut().filter(|laid| pieces.contains(&laid.piece)) {
            laid.released = true;
        }
        if changed != *dressing {
            edits.push(Edit::Dressing { id: *id, put: Put::Replace(Box::new(changed)) });
        }
    }
    match edits.len() {
        0 => None,
        1 => edits.pop(),
        _ => Some(Edit::Group(edits)),
    }
}

/// The pieces that go when a dressing is struck: those that it laid and that were not let go.
#[must_use]
pub fn struck(scene: &Scene, id: DressingId) -> Vec<PieceId> {
    let Some(dressing) = scene.dressings().get(&id) else { return Vec::new() };
    let stands = |laid: &&Laid| !laid.released && scene.pieces().contains_key(&laid.piece);
    dressing.laid.values().filter(stands).map(|laid| laid.piece).collect()
}

/// Whether the numbers of places mean the same spots.
fn has_same_places(old: &Dressing, new: &Dressing) -> bool {
    old.way == new.way && std::mem::discriminant(&old.arrangement) == std::mem::discriminant(&new.arrangement)
}

fn since(scene: &Scene, old: Option<&Dressing>, laid: &Laid) -> Since {
    let Some(piece) = scene.pieces().get(&laid.piece) else { return Since::Out };
    let Some(rule) = old.filter(|_| !laid.released) else { return Since::Out };
    let is_named = Numbers::number(&piece.name, &rule.name).is_some();
    let is_as_laid = *piece == as_laid(laid, piece.name.clone());
    if is_as_laid && is_named && !scene.is_needed(laid.piece) { Since::Untouched } else { Since::Touched }
}

/// The piece as a rule laid it.
pub(crate) fn as_laid(laid: &Laid, name: String) -> Piece {
    let mut rows = Rows::default();
    rows.size.nudge = laid.size;
    Piece {
        stance: laid.stance,
        lean: laid.lean,
        turn: laid.turn,
        mirrored: laid.mirrored,
        facing: laid.facing,
        rows,
        ..Piece::standing(name, laid.cutout, laid.mark)
    }
}

/// What of a piece that is held still follows the rule: whatever is as it was laid is brought within what the rule gives now. What is
/// not is the artist's, and what was laid there is remembered, so that it is known for good.
fn kept(
    scene: &Scene,
    (old, rule): (Option<&Dressing>, &Dressing),
    was: &Laid,
    edits: &mut Vec<Edit>,
) -> Laid {
    let Some(piece) = scene.pieces().get(&was.piece).filter(|_| !was.released) else { return *was };
    let r = &rule.ranges;
    let mut now = *was;
    if piece.rows.size.nudge == was.size {
        let (short, tall) = r.height;
        now.size = Factor::new(was.size.get().clamp(short.get(), tall.get())).unwrap_or(was.size);
    }
    if piece.lean == was.lean {
        now.lean = was.lean.clamp(r.lean.0, r.lean.1);
    }
    if piece.turn == was.turn {
        now.turn = was.turn.clamp(r.turn.0, r.turn.1);
    }
    if piece.stance == was.stance {
        now.stance = rule.stance;
    }
    // What is looked at cannot look at itself.
    if piece.facing == was.facing && rule.facing != Some(Target::Piece(was.piece)) {
        now.facing = rule.facing;
    }
    let is_of = |cutout| rule.of.iter().any(|chosen| chosen.cutout == cutout);
    if piece.cutout == was.cutout && !is_of(was.cutout) {
        now.cutout = rule.of.first().map_or(was.cutout, |chosen| chosen.cutout);
    }
    if piece.attached_to.is_none() && piece.mark.level == was.mark.level {
        now.mark.level = rule.level;
    }
    follow(scene, (old, rule), was, &now, edits);
    now
}

/// Changes of a piece from what it was given to what it is given now; what is no longer as it was given stays.
fn follow(
    scene: &Scene,
    (old, rule): (Option<&Dressing>, &Dressing),
    was: &Laid,
    now: &Laid,
    edits: &mut Vec<Edit>,
) {
    let Some(piece) = scene.pieces().get(&was.piece) else { return };
    let mut say = |change: PieceChange| edits.push(Edit::Change { piece: was.piece, change });
    if let Some(old) = old.filter(|old| old.name != rule.name)
        && let Some(n) = Numbers::number(&piece.name, &old.name)
    {
        say(PieceChange::Name(format!("{} {n}", rule.name)));
    }
    if piece.stance == was.stance && was.stance != now.stance {
        say(PieceChange::Stance(now.stance));
    }
    if piece.facing == was.facing && was.facing != now.facing {
        say(PieceChange::Facing(now.facing));
    }
    if piece.cutout == was.cutout && was.cutout != now.cutout {
        say(PieceChange::CutOut(now.cutout));
    }
    if piece.mark == was.mark && was.mark != now.mark {
        say(PieceChange::Mark(now.mark));
    } else if piece.mark.level == was.mark.level && was.mark.level != now.mark.level {
        say(PieceChange::Mark(Mark { level: now.mark.level, ..piece.mark }));
    }
    if piece.lean == was.lean && was.lean != now.lean {
        say(PieceChange::Lean(now.lean));
    }
    if piece.turn == was.turn && was.turn != now.turn {
        say(PieceChange::Turn(now.turn));
    }
    if piece.mirrored == was.mirrored && was.mirrored != now.mirrored {
        say(PieceChange::Mirrored(now.mirrored));
    }
    let given = Row { nudge: was.size, ..Rows::default().size };
    if piece.rows.size == given && was.size != now.size {
        say(PieceChange::Size(Row { nudge: now.size, ..given }));
    }
}

/// Numbers after the name of a dressing.
struct Numbers {
    name: String,
    last: u64,
}

impl Numbers {
    fn of(scene: &Scene, old: Option<&Dressing>, rule: &Dressing) -> Self {
        let names = std::iter::once(rule.name.as_str()).chain(old.map(|d| d.name.as_str()));
        let last = names
            .flat_map(|name| scene.pieces().values().filter_map(|p| Self::number(&p.name, name)))
            .max()
            .unwrap_or_default();
        Self { name: rule.name.clone(), last }
    }

    fn number(piece: &str, dressing: &str) -> Option<u64> {
        piece.strip_prefix(dressing)?.strip_prefix(' ')?.parse().ok()
    }

    fn next(&mut self) -> String {
        self.last = self.last.saturating_add(1);
        format!("{} {}", self.name, self.last)
    }
}

/// Asks of the picture's stage. `None` where its camera cannot be.
pub(crate) fn on_stage<R>(
    scene: &Scene,
    measured: &Measured,
    ask: impl FnOnce(&Stage<'_>) -> R,
) -> Option<R> {
    let frame = frame::frame(scene, measured.backdrop).ok()?;
    let feet = feet(scene);
    let lit = |id| feet.get(&id).map(|f| f.0).filter(|_| !staging::is_hidden(scene, id));
    let light = illumination::illumination(scene, &lit, &mut Vec::new());
    Some(ask(&Stage { scene, frame: &frame, light: &light, measured, feet: &feet }))
}
