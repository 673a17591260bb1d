//! Where the places of an arrangement are.
//!
//! A place is a number from which, with the way of laying, its metres follow: whatever else of a rule changes, the same place is the
//! same spot. So what stands there can stay.

use crate::chance::{Chance, Matter};
use crate::ground::Place;
use std::collections::BTreeMap;
use units::math;

/// A place of an arrangement.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Spot {
    /// Its number.
    pub(crate) place: u64,
    /// Metres right and away.
    pub(crate) at: Place,
}

/// Where things stand already: found again by where they are.
#[derive(Clone, Default)]
pub(crate) struct Points {
    cell: f64,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
    all: Vec<Place>,
}

impl Points {
    /// Nothing yet; looked for at about such distances.
    pub(crate) fn new(cell: f64) -> Self {
        Self { cell: cell.max(1e-3), cells: BTreeMap::new(), all: Vec::new() }
    }

    fn key(&self, at: Place) -> (i64, i64) {
        ((at[0] / self.cell).floor() as i64, (at[1] / self.cell).floor() as i64)
    }

    pub(crate) fn add(&mut self, at: Place) {
        self.cells.entry(self.key(at)).or_default().push(self.all.len());
        self.all.push(at);
    }

    /// Which of them lie nearer than a distance, by the order in which they were added.
    pub(crate) fn near(&self, at: Place, distance: f64) -> Vec<usize> {
        let is_near = |i: &usize| math::hypot(self.all[*i][0] - at[0], self.all[*i][1] - at[1]) < distance;
        let reach = (distance / self.cell).ceil();
        // So far that looking at each is quicker.
        if reach.is_nan() || reach * reach >= self.all.len() as f64 {
            return (0..self.all.len()).filter(is_near).collect();
        }
        let (x, z) = self.key(at);
        let reach = reach as i64;
        let mut found: Vec<usize> = (x - reach..=x + reach)
            .flat_map(|x| self.cells.range((x, z - reach)..=(x, z + reach)))
            .flat_map(|(_, here)| here.iter().copied())
            .filter(is_near)
            .collect();
        found.sort_unstable();
        found
    }

    pub(crate) fn is_free(&self, at: Place, distance: f64) -> bool {
        let reach = (distance / self.cell).ceil();
        if reach > 3.0 {
            return self.near(at, distance).is_empty();
        }
        let (x, z) = self.key(at);
        let reach = reach as i64;
        !(x - reach..=x + reach).any(|x| {
            self.cells.range((x, z - reach)..=(x, z + reach)).any(|(_, here)| {
                here.iter().any(|i| math::hypot(self.all[*i][0] - at[0], self.all[*i][1] - at[1]) < distance)
            })
        })
    }
}

/// Bits of a cell's number along each axis.
const BITS: u32 = 23;
/// Cells on either side of the origin.
const CELLS: i64 = 1 << (BITS - 1);
/// Bits that name a place, all of them.
const ALL: u64 = (1 << 52) - 1;
/// The widest spacing that is looked at: from there on down.
const WIDEST: f64 = 64.0;
/// Cells to a spacing, each way: one place a cell is tried.
const TRIES: f64 = 3.0;
/// Most places that are looked at for one spacing; finer is not laid.
const MOST: f64 = 2e6;

/// Spacing of a level of refinement: the half in two levels.
fn spacing_of(level: u32) -> f64 {
    WIDEST * math::exp2(-f64::from(level) / 2.0)
}

fn named(level: u32, [x, z]: [i64; 2]) -> u64 {
    (u64::from(level) << (2 * BITS)) | (((x + CELLS) as u64) << BITS) | ((z + CELLS) as u64)
}

/// The level of a drifting place and its cell.
fn level_and_cell(place: u64) -> (u32, [i64; 2]) {
    let low = |v: u64| (v & ((1 << BITS) - 1)) as i64 - CELLS;
    (((place & ALL) >> (2 * BITS)) as u32, [low(place >> BITS), low(place)])
}

/// Where a drifting place is, laid one way.
pub(crate) fn drifted(way: u64, place: u64) -> Place {
    let (level, [x, z]) = level_and_cell(place);
    let cell = spacing_of(level) / TRIES;
    let chance = Chance::of(way, place);
    [(x as f64 + chance.share(Matter::Across)) * cell, (z as f64 + chance.share(Matter::Along)) * cell]
}

/// On which level a drifting place is found.
pub(crate) fn level_of(place: u64) -> u32 {
    level_and_cell(place).0
}

/// By which of two drifting places comes first: coarse levels, then by lot.
pub(crate) fn turn(way: u64, place: u64) -> (u32, u64, u64) {
    (level_and_cell(place).0, Chance::of(way, place).number(Matter::Rank), place)
}

/// Tries the places of a drift, from coarse to fine, until `take` has had enough.
///
/// Hierarchical dart throwing (McCool, Fiume: Hierarchical Poisson disk sampling distributions, 1992; from memory): at each level darts
/// must keep that level's spacing from all that stands, so that any first part of them is spread evenly. `spacing` gives the least
/// distance at a place, `None` where nothing may stand; `least` is the least of all. `standing` has what stands already, and the level on
/// which it came to stand: darts of coarser levels, and all where there is none, keep the last spacing alone from it. So nothing is laid
/// that was not laid before, where nothing has changed. `take` says whether a spot is taken.
pub(crate) fn drift(
    way: u64,
    bounds: [f64; 4],
    least: f64,
    spacing: &dyn Fn(Place) -> Option<f64>,
    standing: &[(Place, Option<u32>)],
    take: &mut dyn FnMut(Spot) -> Taken,
) {
    let mut laid: Vec<Place> = Vec::new();
    let mut level = 0;
    loop {
        let wide = spacing_of(level);
        let before = if level == 0 { f64::INFINITY } else { spacing_of(level - 1) };
        if before <= least || level >= 63 {
            return;
        }
        let cell = wide / TRIES;
        let cells = bounds.map(|edge| (edge / cell).floor());
        if (cells[1] - cells[0] + 1.0) * (cells[3] - cells[2] + 1.0) > MOST {
            return;
        }
        let limit = |v: f64| (v as i64).clamp(-CELLS, CELLS - 1);
        let [x0, x1, z0, z1] = cells.map(limit);
        let mut spots: Vec<(u64, Spot, f64)> = Vec::new();
        for x in x0..=x1 {
            for z in z0..=z1 {
                let place = named(level, [x, z]);
                let at = drifted(way, place);
                // What may stand no closer than the level before was dealt with there.
                if let Some(apart) = spacing(at).filter(|apart| *apart < before) {
                    let rank = Chance::of(way, place).number(Matter::Rank);
                    spots.push((rank, Spot { place, at }, apart));
                }
            }
        }
        spots.sort_unstable_by_key(|(rank, spot, _)| (*rank, spot.place));
        let mut here = Points::new(wide.max(least));
        laid.iter().for_each(|at| here.add(*at));
        let mut there = Points::new(least);
        for (at, of) in standing {
            let before = of.is_some_and(|of| of <= level);
            if before { here.add(*at) } else { there.add(*at) }
        }
        for (_, spot, apart) in spots {
            if !here.is_free(spot.at, wide.max(apart)) || !there.is_free(spot.at, apart) {
                continue;
            }
            match take(spot) {
                Taken::Yes => {
                    here.add(spot.at);
                    laid.push(spot.at);
                }
                Taken::No => {}
                Taken::Enough => return,
            }
        }
        level += 1;
    }
}

/// What becomes of a spot.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Taken {
    /// Something stands there from now on.
    Yes,
    /// Nothing can.
    No,
    /// Nothing more is to be laid.
    Enough,
}

/// Lines of an arrangement in ranks.
pub(crate) struct Ranks {
    /// Along a line.
    along: [f64; 2],
    spacing: f64,
    between: f64,
    jitter: f64,
    way: u64,
}

impl Ranks {
    /// `bearing` in degrees right of away; spacings in metres.
    pub(crate) fn new(bearing: f64, (spacing, between): (f64, f64), jitter: f64, way: u64) -> Self {
        let turn = math::radians(bearing);
        Self { along: [math::sin(turn), math::cos(turn)], spacing, between, jitter, way }
    }

    /// Metres of a place.
    pub(crate) fn at(&self, place: u64) -> Place {
        let (_, [i, j]) = level_and_cell(place);
        let chance = Chance::of(self.way, place);
        let off = |of: Matter| (chance.share(of) - 0.5) * self.jitter;
        let s = (i as f64 + off(Matter::Along)) * self.spacing;
        let t = (j as f64 + off(Matter::Across)) * self.between;
        let [ax, az] = self.along;
        [ax * s + az * t, az * s - ax * t]
    }

    /// All places within bounds, the nearest to the camera first.
    pub(crate) fn within(&self, bounds: [f64; 4]) -> Vec<Spot> {
        let [ax, az] = self.along;
        let corners = [(0, 2), (0, 3), (1, 2), (1, 3)].map(|(x, z)| (bounds[x], bounds[z]));
        let span = |f: &dyn Fn((f64, f64)) -> f64, step: f64| {
            let all = corners.map(f);
            let low = all.iter().copied().fold(f64::INFINITY, f64::min);
            let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            ((low / step).floor() as i64 - 1, (high / step).ceil() as i64 + 1)
        };
        let (i0, i1) = span(&|(x, z)| x * ax + z * az, self.spacing);
        let (j0, j1) = span(&|(x, z)| x * az - z * ax, self.between);
        if (i1 - i0 + 1) as f64 * (j1 - j0 + 1) as f64 > MOST {
            return Vec::new();
        }
        let limit = |v: i64| v.clamp(-CELLS, CELLS - 1);
        let mut spots: Vec<Spot> = (limit(i0)..=limit(i1))
            .flat_map(|i| (limit(j0)..=limit(j1)).map(move |j| named(0, [i, j])))
            .map(|place| Spot { place, at: self.at(place) })
            .collect();
        let away = |s: &Spot| math::hypot(s.at[0], s.at[1]);
        spots.sort_by(|a, b| away(a).total_cmp(&away(b)).then(a.place.cmp(&b.place)));
        spots
    }
}
