//! The cheapest cut between two sides of a net, as the largest flow from one to the other (Boykov and Kolmogorov 2004).
//!
//! Two trees grow, one from each side, along what can still carry; where they touch, the path between is filled, and what it cuts
//! off looks for a new parent. All numbers are whole, so that the cut is the same everywhere.

use std::collections::VecDeque;

/// Neighbours of a node: right, left, below, above. The opposite of `d` is `d ^ 1`.
pub(super) const SIDES: usize = 4;
/// No neighbour.
pub(super) const NONE: u32 = u32::MAX;

/// Bytes that a node takes.
pub(super) const EACH: u64 = 64;

/// A net to be cut.
pub(super) struct Net {
    /// What each node's ways out can still carry.
    room: Vec<[i32; SIDES]>,
    next: Vec<[u32; SIDES]>,
    /// What each node can still take from the one side (above 0), or give to the other (below).
    ends: Vec<i64>,
    tree: Vec<Tree>,
    parent: Vec<Parent>,
    /// When a node's way to its end was last made sure of, and how long it was.
    seen: Vec<(u32, u32)>,
    now: u32,
    active: VecDeque<u32>,
    orphans: VecDeque<u32>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Tree {
    None,
    From,
    To,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Parent {
    None,
    End,
    Side(u8),
}

impl Net {
    /// Of nodes with these neighbours, nothing joined yet.
    pub(super) fn new(next: Vec<[u32; SIDES]>) -> Self {
        let n = next.len();
        Self {
            room: vec![[0; SIDES]; n],
            next,
            ends: vec![0; n],
            tree: vec![Tree::None; n],
            parent: vec![Parent::None; n],
            seen: vec![(0, 0); n],
            now: 0,
            active: VecDeque::new(),
            orphans: VecDeque::new(),
        }
    }

    /// What it costs to cut a node from its neighbour on one side, and the neighbour from it.
    pub(super) fn join(&mut self, node: usize, side: usize, cost: i32) {
        self.room[node][side] = cost;
    }

    /// What it costs to cut a node from the side that flows (above 0), or from the other (below); added up.
    pub(super) fn tie(&mut self, node: usize, cost: i64) {
        self.ends[node] += cost;
    }

    /// Which nodes stay with the side that flows, when all is cut as cheaply as can be.
    pub(super) fn cut(mut self) -> Vec<bool> {
        for (i, end) in self.ends.iter().enumerate().filter(|(_, e)| **e != 0) {
            self.tree[i] = if *end > 0 { Tree::From } else { Tree::To };
            self.parent[i] = Parent::End;
            self.active.push_back(i as u32);
        }
        while let Some(p) = self.active.front().copied() {
            match self.grown(p as usize) {
                Some((from, side)) => {
                    self.now += 1;
                    self.fill(from, side);
                    while let Some(orphan) = self.orphans.pop_front() {
                        self.adopt(orphan as usize);
                    }
                }
                None => {
                    self.active.pop_front();
                }
            }
        }
        self.tree.iter().map(|t| *t == Tree::From).collect()
    }

    /// Grows a tree from a node; where it meets the other, the node and the side across which they meet, in the flow's direction.
    fn grown(&mut self, p: usize) -> Option<(usize, usize)> {
        let own = self.tree[p];
        if own == Tree::None {
            return None;
        }
        for d in 0..SIDES {
            let Some(q) = self.beside(p, d) else { continue };
            let open = if own == Tree::From { self.room[p][d] } else { self.room[q][d ^ 1] };
            if open == 0 {
                continue;
            }
            if self.tree[q] == Tree::None {
                self.tree[q] = own;
                self.parent[q] = Parent::Side((d ^ 1) as u8);
                self.seen[q] = (self.seen[p].0, self.seen[p].1 + 1);
                self.active.push_back(q as u32);
            } else if self.tree[q] != own {
                return Some(if own == Tree::From { (p, d) } else { (q, d ^ 1) });
            } else if self.seen[q].0 <= self.seen[p].0 && self.seen[q].1 > self.seen[p].1 + 1 {
                // A shorter way to the end.
                self.parent[q] = Parent::Side((d ^ 1) as u8);
                self.seen[q] = (self.seen[p].0, self.seen[p].1 + 1);
            }
        }
        None
    }

    fn beside(&self, p: usize, d: usize) -> Option<usize> {
        let q = self.next[p][d];
        (q != NONE).then_some(q as usize)
    }

    /// Fills the path that crosses from `from` over `side`.
    fn fill(&mut self, from: usize, side: usize) {
        let to = self.next[from][side] as usize;
        // What the narrowest part of it carries.
        let mut most = i64::from(self.room[from][side]);
        for (mut p, flows) in [(from, true), (to, false)] {
            while let Parent::Side(d) = self.parent[p] {
                let q = self.next[p][d as usize] as usize;
                let open = if flows { self.room[q][d as usize ^ 1] } else { self.room[p][d as usize] };
                most = most.min(i64::from(open));
                p = q;
            }
            most = most.min(self.ends[p].abs());
        }
        let carried = most as i32;
        self.room[from][side] -= carried;
        self.room[to][side ^ 1] += carried;
        for (mut p, flows) in [(from, true), (to, false)] {
            while let Parent::Side(d) = self.parent[p] {
                let d = d as usize;
                let q = self.next[p][d] as usize;
                let (a, b) = if flows { ((q, d ^ 1), (p, d)) } else { ((p, d), (q, d ^ 1)) };
                self.room[a.0][a.1] -= carried;
                self.room[b.0][b.1] += carried;
                if self.room[a.0][a.1] == 0 {
                    self.parent[p] = Parent::None;
                    self.orphans.push_front(p as u32);
                }
                p = q;
            }
            self.ends[p] -= if flows { most } else { -most };
            if self.ends[p] == 0 {
                self.parent[p] = Parent::None;
                self.orphans.push_front(p as u32);
            }
        }
    }

    /// Finds a new parent for a node that was cut off, or lets it and what hangs on it go.
    fn adopt(&mut self, p: usize) {
        let own = self.tree[p];
        let mut best: Option<(u32, usize)> = None;
        for d in 0..SIDES {
            let Some(q) = self.beside(p, d) else { continue };
            let open = if own == Tree::From { self.room[q][d ^ 1] } else { self.room[p][d] };
            if open == 0 || self.tree[q] != own {
                continue;
            }
            if let Some(far) = self.way(q)
                && best.is_none_or(|(least, _)| far < least)
            {
                best = Some((far, d));
            }
        }
        if let Some((far, d)) = best {
            self.parent[p] = Parent::Side(d as u8);
            self.seen[p] = (self.now, far + 1);
            return;
        }
        for d in 0..SIDES {
            let Some(q) = self.beside(p, d) else { continue };
            if self.tree[q] != own {
                continue;
            }
            let open = if own == Tree::From { self.room[q][d ^ 1] } else { self.room[p][d] };
            if open > 0 {
                self.active.push_back(q as u32);
            }
            if self.parent[q] == Parent::Side((d ^ 1) as u8) {
                self.parent[q] = Parent::None;
                self.orphans.push_back(q as u32);
            }
        }
        self.tree[p] = Tree::None;
        self.parent[p] = Parent::None;
    }

    /// How long a node's way to its end is, where it has one.
    fn way(&mut self, start: usize) -> Option<u32> {
        let (mut p, mut steps) = (start, 0);
        let whole = loop {
            if self.seen[p].0 == self.now && self.parent[p] != Parent::None {
                break steps + self.seen[p].1;
            }
            match self.parent[p] {
                Parent::None => return None,
                Parent::End => {
                    self.seen[p] = (self.now, 1);
                    break steps + 1;
                }
                Parent::Side(d) => {
                    p = self.next[p][d as usize] as usize;
                    steps += 1;
                }
            }
        };
        // Marked on the way, so that it need not be walked again.
        let (mut p, mut left) = (start, whole);
        while self.seen[p].0 != self.now {
            self.seen[p] = (self.now, left);
            let Parent::Side(d) = self.parent[p] else { break };
            p = self.next[p][d as usize] as usize;
            left -= 1;
        }
        Some(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(w: usize, h: usize) -> Vec<[u32; SIDES]> {
        let at = |x: i64, y: i64| {
            let there = x >= 0 && y >= 0 && x < w as i64 && y < h as i64;
            if there { (y * w as i64 + x) as u32 } else { NONE }
        };
        (0..(w * h) as i64)
            .map(|i| {
                let (x, y) = (i % w as i64, i / w as i64);
                [at(x + 1, y), at(x - 1, y), at(x, y + 1), at(x, y - 1)]
            })
            .collect()
    }

    fn costs(n: usize, seed: u64) -> impl FnMut() -> i32 {
        let mut state = seed * 7919 + n as u64;
        move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 60) as i32
        }
    }

    /// Against every possible cut of a small net.
    #[test]
    fn no_cut_is_cheaper() {
        let (w, h) = (4, 3);
        for seed in 0..200 {
            let next = grid(w, h);
            let mut cost = costs(w * h, seed);
            let mut joins = vec![[0; SIDES]; w * h];
            for i in 0..w * h {
                for d in [0, 2] {
                    if next[i][d] != NONE {
                        let c = cost();
                        joins[i][d] = c;
                        joins[next[i][d] as usize][d ^ 1] = c;
                    }
                }
            }
            let ties: Vec<i64> = (0..w * h).map(|_| i64::from(cost() - cost()) / 2).collect();
            let price = |from: &dyn Fn(usize) -> bool| -> i64 {
                (0..w * h)
                    .map(|i| {
                        let tie = if from(i) { (-ties[i]).max(0) } else { ties[i].max(0) };
                        let cut = (0..SIDES)
                            .filter(|d| next[i][*d] != NONE && from(i) && !from(next[i][*d] as usize));
                        tie + cut.map(|d| i64::from(joins[i][d])).sum::<i64>()
                    })
                    .sum()
            };
            let mut net = Net::new(next.clone());
            for i in 0..w * h {
                (0..SIDES).for_each(|d| net.join(i, d, joins[i][d]));
                net.tie(i, ties[i]);
            }
            let cut = net.cut();
            let least = (0..1u32 << (w * h)).map(|bits| price(&|i| bits >> i & 1 == 1)).min();
            assert_eq!(Some(price(&|i| cut[i])), least, "{seed}");
        }
    }
}
