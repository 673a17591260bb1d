//! What each place of a dressing shows, so that neighbours do not look alike.

use crate::chance::{Chance, Matter};
use scene::{CutOutId, Dressing, Factor, Laid, Mark, PieceId, Scene, Target};
use units::{Degrees, Metres};

/// How often a place may be given other figures before it is left as it is.
pub(crate) const ATTEMPTS: u32 = 6;

/// What a piece of a dressing is given.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Choice {
    pub(crate) cutout: CutOutId,
    pub(crate) mirrored: bool,
    pub(crate) size: Factor,
    pub(crate) lean: Degrees,
    pub(crate) turn: Degrees,
    pub(crate) lift: Metres,
}

/// What a rule may give its places.
pub(crate) struct Choices<'a> {
    rule: &'a Dressing,
    options: Vec<(CutOutId, bool, f64)>,
}

impl<'a> Choices<'a> {
    pub(crate) fn of(scene: &Scene, rule: &'a Dressing) -> Self {
        let may = |id: CutOutId| scene.cutouts().get(&id).is_some_and(|c| c.facts.may_mirror != Some(false));
        // What faces something is mirrored where that faces it better.
        let mirror = rule.ranges.mirror && rule.facing.is_none();
        let options = rule.of.iter().flat_map(|c| {
            let both = mirror && may(c.cutout);
            let share = if both { c.share / 2.0 } else { c.share };
            let mirrored = both.then_some((c.cutout, true, share));
            std::iter::once((c.cutout, false, share)).chain(mirrored)
        });
        Self { rule, options: options.collect() }
    }

    /// What a place would like best, then what it would like less.
    pub(crate) fn wishes(&self, place: u64) -> Vec<(CutOutId, bool)> {
        let chance = Chance::of(self.rule.way, place);
        let mut keyed: Vec<(f64, CutOutId, bool)> = self
            .options
            .iter()
            .map(|(cutout, mirrored, share)| {
                // By what it is, not by where it is listed, so that adding another changes no lot.
                let name = (cutout.number() as u32) << 1 | u32::from(*mirrored);
                (chance.key(Matter::Option(name), *share), *cutout, *mirrored)
            })
            .collect();
        keyed.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
        keyed.into_iter().map(|(_, cutout, mirrored)| (cutout, mirrored)).collect()
    }

    /// The figures of a place at one of its attempts.
    pub(crate) fn given(&self, place: u64, (cutout, mirrored): (CutOutId, bool), attempt: u32) -> Choice {
        let chance = Chance::of(self.rule.way, place);
        let r = &self.rule.ranges;
        let degrees = |of: Matter, (least, most): (Degrees, Degrees)| {
            Degrees::new(chance.between(of, least.get(), most.get())).unwrap_or(least)
        };
        let (short, tall) = r.height;
        Choice {
            cutout,
            mirrored,
            size: Factor::new(chance.between(Matter::Height(attempt), short.get(), tall.get()))
                .unwrap_or(Factor::ONE),
            lean: degrees(Matter::Lean(attempt), r.lean),
            turn: degrees(Matter::Turn(attempt), r.turn),
            lift: Metres::new(chance.between(Matter::Lift(attempt), r.lift.0.get(), r.lift.1.get()))
                .unwrap_or(r.lift.0),
        }
    }

    /// Whether a place may well have been given this.
    pub(crate) fn may_give(&self, place: u64, choice: &Choice) -> bool {
        let offers = |(cutout, mirrored, _): &(CutOutId, bool, f64)| {
            (*cutout, *mirrored) == (choice.cutout, choice.mirrored)
        };
        self.options.iter().any(offers)
            && (0..ATTEMPTS).any(|n| self.given(place, (choice.cutout, choice.mirrored), n) == *choice)
    }
}

impl Choice {
    pub(crate) fn of(laid: &Laid) -> Self {
        Self {
            cutout: laid.cutout,
            mirrored: laid.mirrored,
            size: laid.size,
            lean: laid.lean,
            turn: laid.turn,
            lift: laid.mark.y,
        }
    }

    /// The same, as it is kept beside the rule.
    pub(crate) fn laid(&self, piece: PieceId, mark: Mark, rule: &Dressing) -> Laid {
        Laid {
            piece,
            cutout: self.cutout,
            mark,
            lean: self.lean,
            turn: self.turn,
            mirrored: self.mirrored,
            size: self.size,
            stance: rule.stance,
            facing: rule.facing.filter(|target| *target != Target::Piece(piece)),
            released: false,
        }
    }
}

/// What is seen of a piece where it shows the same photograph as another.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Look {
    /// The view it shows.
    pub(crate) view: (CutOutId, bool),
    pub(crate) size: f64,
    pub(crate) lean: f64,
    pub(crate) turn: f64,
}

/// Differences that hide a repeat between neighbours: a factor of size, degrees. Own choice, no source.
const SIZE: f64 = 1.12;
const DEGREES: f64 = 4.0;

impl Look {
    /// Whether one would be seen to be the other again.
    pub(crate) fn is_twin(&self, other: &Self) -> bool {
        let ratio = (self.size / other.size).max(other.size / self.size);
        self.view == other.view
            && ratio < SIZE
            && (self.lean - other.lean).abs() < DEGREES
            && (self.turn - other.turn).abs() < DEGREES
    }
}
