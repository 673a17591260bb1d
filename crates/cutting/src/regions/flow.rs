//! The cheapest cut of a grid: which cells go with the thing and which with what is behind it, so that the sum of what cells cost
//! by themselves and of what neighbours cost that are parted is least.
//!
//! By the greatest flow, found along two trees that are kept from path to path (Boykov and Kolmogorov, "An experimental comparison
//! of min-cut/max-flow algorithms for energy minimization in vision", 2004, section 3), on the eight neighbours of each cell.

use std::collections::VecDeque;

/// No tree; the tree's own end; a node that lost its parent. Below that: the way to the parent.
const NONE: u8 = 10;
const END: u8 = 8;
const ORPHAN: u8 = 9;
/// The way back from a neighbour is 7 less the way there.
const BACK: usize = 7;

/// What may still flow through a grid with a rim of cells that nothing flows through.
pub(super) struct Flow {
    width: usize,
    ways: [isize; 8],
    room: Vec<[i32; 8]>,
    /// From the thing's end where above 0, to the other end where below.
    ends: Vec<i32>,
    parent: Vec<u8>,
    is_thing: Vec<bool>,
    stamp: Vec<u32>,
    far: Vec<u32>,
    active: VecDeque<u32>,
    queued: Vec<bool>,
    orphans: VecDeque<u32>,
    time: u32,
}

/// The steps to a cell's neighbours, in the order of their ways.
pub(super) const STEPS: [(i64, i64); 8] =
    [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)];

impl Flow {
    /// Bytes for each cell of the grid.
    pub(super) const EACH: u64 = 56;

    /// A grid without any cost.
    pub(super) fn new(width: usize, height: usize) -> Self {
        let (w, count) = (width as isize + 2, (width + 2) * (height + 2));
        Self {
            width: width + 2,
            ways: STEPS.map(|(dx, dy)| dy as isize * w + dx as isize),
            room: vec![[0; 8]; count],
            ends: vec![0; count],
            parent: vec![NONE; count],
            is_thing: vec![false; count],
            stamp: vec![0; count],
            far: vec![0; count],
            active: VecDeque::new(),
            queued: vec![false; count],
            orphans: VecDeque::new(),
            time: 1,
        }
    }

    fn at(&self, x: usize, y: usize) -> usize {
        (y + 1) * self.width + x + 1
    }

    /// What it costs more that a cell is not the thing; below 0, that it is.
    pub(super) fn lean(&mut self, x: usize, y: usize, cost: i32) {
        let at = self.at(x, y);
        self.ends[at] = self.ends[at].saturating_add(cost);
    }

    /// What it costs that a cell is parted from the neighbour that lies one of [`STEPS`] away.
    pub(super) fn bind(&mut self, x: usize, y: usize, way: usize, cost: i32) {
        let at = self.at(x, y);
        self.room[at][way] = cost;
        let there = self.near(at, way);
        self.room[there][BACK - way] = cost;
    }

    fn near(&self, at: usize, way: usize) -> usize {
        at.wrapping_add_signed(self.ways[way])
    }

    /// Which cells go with the thing, row by row.
    pub(super) fn cut(mut self) -> Vec<bool> {
        for at in 0..self.ends.len() {
            if self.ends[at] != 0 {
                self.parent[at] = END;
                self.is_thing[at] = self.ends[at] > 0;
                self.far[at] = 1;
                self.wake(at);
            }
        }
        let mut current = None;
        while let Some(at) = current.take().or_else(|| self.next()) {
            if let Some((from, way)) = self.grow(at) {
                current = Some(at);
                self.time += 1;
                self.augment(from, way);
                self.adopt();
            }
        }
        let (w, rows) = (self.width, self.ends.len() / self.width - 1);
        let row =
            |y: usize| (y * w + 1..y * w + w - 1).map(|at| self.parent[at] != NONE && self.is_thing[at]);
        (1..rows).flat_map(row).collect()
    }

    fn wake(&mut self, at: usize) {
        if !self.queued[at] {
            self.queued[at] = true;
            self.active.push_back(at as u32);
        }
    }

    fn next(&mut self) -> Option<usize> {
        while let Some(at) = self.active.pop_front() {
            let at = at as usize;
            self.queued[at] = false;
            if self.parent[at] != NONE {
                return Some(at);
            }
        }
        None
    }

    /// Room from a node of a tree to a neighbour, in the direction in which that tree's flow goes.
    fn room_to(&self, at: usize, way: usize, there: usize) -> i32 {
        if self.is_thing[at] { self.room[at][way] } else { self.room[there][BACK - way] }
    }

    /// Takes the neighbours of a node into its tree; or finds one of the other tree: where, and the way from the thing's side to it.
    fn grow(&mut self, at: usize) -> Option<(usize, usize)> {
        if self.parent[at] == NONE {
            return None;
        }
        for way in 0..8 {
            let there = self.near(at, way);
            if self.room_to(at, way, there) == 0 {
                continue;
            }
            if self.parent[there] == NONE {
                self.is_thing[there] = self.is_thing[at];
                self.join(there, BACK - way, at);
                self.wake(there);
            } else if self.is_thing[there] != self.is_thing[at] {
                return Some(if self.is_thing[at] { (at, way) } else { (there, BACK - way) });
            } else if self.stamp[there] <= self.stamp[at] && self.far[there] > self.far[at] + 1 {
                self.join(there, BACK - way, at);
            }
        }
        None
    }

    fn join(&mut self, child: usize, way: usize, parent: usize) {
        self.parent[child] = way as u8;
        self.stamp[child] = self.stamp[parent];
        self.far[child] = self.far[parent] + 1;
    }

    /// Lets as much flow as there is room for from the one end through `from`, along `way`, to the other.
    fn augment(&mut self, from: usize, way: usize) {
        let to = self.near(from, way);
        let mut most = self.room[from][way];
        for start in [from, to] {
            let mut at = start;
            while self.parent[at] != END {
                let up = usize::from(self.parent[at]);
                let parent = self.near(at, up);
                most = most.min(self.room_to(parent, BACK - up, at));
                at = parent;
            }
            most = most.min(self.ends[at].abs());
        }
        self.pass(from, way, to, most);
        for start in [from, to] {
            let mut at = start;
            while self.parent[at] != END {
                let up = usize::from(self.parent[at]);
                let parent = self.near(at, up);
                if self.is_thing[at] {
                    self.pass(parent, BACK - up, at, most);
                } else {
                    self.pass(at, up, parent, most);
                }
                if self.room_to(parent, BACK - up, at) == 0 {
                    self.orphan(at);
                }
                at = parent;
            }
            self.ends[at] -= most * self.ends[at].signum();
            if self.ends[at] == 0 {
                self.orphan(at);
            }
        }
    }

    fn pass(&mut self, from: usize, way: usize, to: usize, much: i32) {
        self.room[from][way] -= much;
        self.room[to][BACK - way] += much;
    }

    fn orphan(&mut self, at: usize) {
        self.parent[at] = ORPHAN;
        self.orphans.push_back(at as u32);
    }

    /// Finds new parents for all orphans, or frees them.
    fn adopt(&mut self) {
        while let Some(at) = self.orphans.pop_front() {
            let at = at as usize;
            let mut best: Option<(usize, usize, u32)> = None;
            for way in 0..8 {
                let there = self.near(at, way);
                let is_kin = self.parent[there] != NONE && self.is_thing[there] == self.is_thing[at];
                if !is_kin || self.room_to(there, BACK - way, at) == 0 {
                    continue;
                }
                if let Some(far) = self.rooted(there)
                    && best.is_none_or(|(_, _, least)| far < least)
                {
                    best = Some((there, way, far));
                }
            }
            if let Some((there, way, far)) = best {
                self.parent[at] = way as u8;
                self.stamp[at] = self.time;
                self.far[at] = far + 1;
                debug_assert_eq!(self.near(at, way), there);
            } else {
                self.free(at);
            }
        }
    }

    /// How far a node is from its tree's end, where it hangs on it at all.
    fn rooted(&mut self, start: usize) -> Option<u32> {
        let (mut at, mut steps) = (start, 0);
        let far = loop {
            if self.stamp[at] == self.time {
                break steps + self.far[at];
            }
            match self.parent[at] {
                END => {
                    self.stamp[at] = self.time;
                    self.far[at] = 1;
                    break steps + 1;
                }
                ORPHAN => return None,
                up => at = self.near(at, usize::from(up)),
            }
            steps += 1;
        };
        let (mut at, mut left) = (start, far);
        while self.stamp[at] != self.time {
            self.stamp[at] = self.time;
            self.far[at] = left;
            left -= 1;
            at = self.near(at, usize::from(self.parent[at]));
        }
        Some(far)
    }

    fn free(&mut self, at: usize) {
        for way in 0..8 {
            let there = self.near(at, way);
            if self.parent[there] == NONE || self.is_thing[there] != self.is_thing[at] {
                continue;
            }
            if self.room_to(there, BACK - way, at) > 0 {
                self.wake(there);
            }
            let up = self.parent[there];
            if up < END && self.near(there, usize::from(up)) == at {
                self.orphan(there);
            }
        }
        self.parent[at] = NONE;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that look like chance.
    fn chance(seed: &mut u32) -> u32 {
        *seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        *seed >> 16
    }

    /// Against all cuts of small grids.
    #[test]
    fn no_cut_is_cheaper() {
        let mut seed = 7;
        for _ in 0..200 {
            let (w, h) = (1 + chance(&mut seed) as usize % 4, 1 + chance(&mut seed) as usize % 3);
            let leans: Vec<i32> = (0..w * h).map(|_| chance(&mut seed) as i32 % 41 - 20).collect();
            let mut binds = Vec::new();
            let mut flow = Flow::new(w, h);
            for i in 0..w * h {
                let (x, y) = (i % w, i / w);
                flow.lean(x, y, leans[i]);
                for way in 4..8 {
                    let (u, v) = (x as i64 + STEPS[way].0, y as i64 + STEPS[way].1);
                    if (0..w as i64).contains(&u) && (0..h as i64).contains(&v) {
                        let cost = chance(&mut seed) as i32 % 15;
                        flow.bind(x, y, way, cost);
                        binds.push((i, v as usize * w + u as usize, cost));
                    }
                }
            }
            let cost = |is: &dyn Fn(usize) -> bool| {
                let own: i32 =
                    (0..w * h).map(|i| if is(i) { (-leans[i]).max(0) } else { leans[i].max(0) }).sum();
                own + binds.iter().filter(|(a, b, _)| is(*a) != is(*b)).map(|b| b.2).sum::<i32>()
            };
            let found = flow.cut();
            let least = (0u32..1 << (w * h)).map(|bits| cost(&|i| bits >> i & 1 == 1)).min().unwrap();
            assert_eq!(cost(&|i| found[i]), least);
        }
    }

    #[test]
    fn a_large_grid_without_ends_or_ties_is_no_trouble() {
        assert!(Flow::new(30, 20).cut().iter().all(|is| !is));
        let mut flow = Flow::new(300, 200);
        for (x, y) in (0..200).flat_map(|y| (0..300).map(move |x| (x, y))) {
            (4..8).for_each(|way| {
                let (u, v) = (x as i64 + STEPS[way].0, y as i64 + STEPS[way].1);
                if (0..300).contains(&u) && v < 200 {
                    // Parting is cheap in one column alone.
                    flow.bind(x, y, way, if x.max(u as usize) == 120 { 1 } else { 9 });
                }
            });
        }
        (0..200).for_each(|y| {
            flow.lean(0, y, 1 << 28);
            flow.lean(299, y, -(1 << 28));
        });
        let found = flow.cut();
        assert!(found.iter().enumerate().all(|(i, is)| *is == (i % 300 < 120)));
    }
}
