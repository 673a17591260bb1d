//! What of a cut-out by itself is worth looking at.

use super::cells::Patch;
use super::seen::Seen;
use super::small::brightness;
use pixels::{Image, Rgb};
use units::PxRect;

/// Paper of less light is dark.
const DARK: f32 = 0.015;
/// Light from which on nothing is told apart.
const CLIPPED: f32 = 0.985;
/// How deep, in cells, the thing's edge is looked at.
const EDGE: (u32, u32) = (3, 8);
/// What differs less from the paper, in shares of evened light and in times of the noise, may be lost in it.
const LIKE: f32 = 0.05;
const LIKE_NOISE: f32 = 1.5;
/// Least share of the thing's edge that is told of; of the frame, of other things.
const FAINT: f64 = 0.06;
const TOLD: f64 = 2e-4;
/// Most places of a kind that are told of, the largest first.
const MOST: usize = 5;

/// What is worth looking at. Places are in pixels of the shot.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Doubt {
    /// The paper is so dark that noise may hide the thing's edge: its light, of 1.
    DarkPaper(f64),
    /// So large a share of the thing's edge is hard to tell from the paper: parts of it may be lost.
    FaintEdge(f64),
    /// This is like the paper and lies within the thing: it was taken for a part of it.
    Filled(PxRect),
    /// The thing is nearly as bright as the paper here, so that its edge may be lost.
    LikePaper(PxRect),
    /// What is here reaches the frame and is parted from the thing by paper: it was left out.
    Room(PxRect),
    /// Light without any detail left, along the thing's edge.
    Clipped(PxRect),
}

impl Doubt {
    /// From cells of so many pixels to the pixels of a shot.
    pub(super) fn in_pixels(self, step: i64, shot: PxRect) -> Self {
        let of =
            |p: PxRect| {
                PxRect::new(p.x0() * step, p.y0() * step, p.x1() * step, p.y1() * step)
                    .intersect(PxRect::new(0, 0, shot.width() as i64, shot.height() as i64))
            };
        match self {
            Self::DarkPaper(_) | Self::FaintEdge(_) => self,
            Self::Filled(p) => Self::Filled(of(p)),
            Self::LikePaper(p) => Self::LikePaper(of(p)),
            Self::Room(p) => Self::Room(of(p)),
            Self::Clipped(p) => Self::Clipped(of(p)),
        }
    }
}

/// What doubts are found by.
pub(super) struct Doubts<'a> {
    pub(super) seen: &'a Seen,
    pub(super) paper: &'a [bool],
    /// The shot made small, in linear light.
    pub(super) light: &'a Image<Rgb>,
}

impl Doubts<'_> {
    /// All of them, with what was filled and the room beyond the paper; places in cells.
    pub(super) fn all(&self, filled: &[Patch], rooms: &[Patch]) -> Vec<Doubt> {
        let grid = self.seen.grid;
        let mut all = Vec::new();
        let seen: Vec<usize> = (0..grid.count()).filter(|i| self.paper[*i]).collect();
        let middle =
            seen.iter().map(|i| brightness(self.seen.paper(*i).0)).sum::<f32>() / seen.len().max(1) as f32;
        if middle < DARK {
            all.push(Doubt::DarkPaper(f64::from(middle)));
        }
        let from_paper = grid.distances(|i| self.paper[i]);
        let at_edge = |i: usize| (EDGE.0..=EDGE.1).contains(&from_paper[i]);
        let is_like = |i: usize| !self.seen.near_away(i).exceeds(self.seen.noise[i], LIKE_NOISE, LIKE);
        let (_, like) = grid.patches(|i| at_edge(i) && is_like(i));
        let edge: Vec<usize> = (0..grid.count()).filter(|i| at_edge(*i)).collect();
        let faint = edge.iter().filter(|i| is_like(**i)).count() as f64 / edge.len().max(1) as f64;
        if faint > FAINT {
            all.push(Doubt::FaintEdge(faint));
        }
        let is_clipped = |i: usize| self.light.pixels()[i].0.iter().all(|v| *v >= CLIPPED);
        let (_, clipped) = grid.patches(|i| (1..=EDGE.1).contains(&from_paper[i]) && is_clipped(i));
        self.tell(filled, Doubt::Filled, &mut all);
        self.tell(&like, Doubt::LikePaper, &mut all);
        self.tell(rooms, Doubt::Room, &mut all);
        self.tell(&clipped, Doubt::Clipped, &mut all);
        all
    }

    fn tell(&self, patches: &[Patch], kind: fn(PxRect) -> Doubt, all: &mut Vec<Doubt>) {
        let large = |p: &&Patch| p.count as f64 >= TOLD * self.seen.grid.count() as f64;
        let mut told: Vec<&Patch> = patches.iter().filter(large).collect();
        told.sort_by_key(|p| std::cmp::Reverse(p.count));
        let place = |p: &&Patch| {
            let end = |v: usize| v as i64 + 1;
            PxRect::new(p.columns.0 as i64, p.rows.0 as i64, end(p.columns.1), end(p.rows.1))
        };
        all.extend(told.iter().take(MOST).map(place).map(kind));
    }
}
