//! How deep within the thing a cell must lie to be covered whole.
//!
//! Along a clean edge a few cells; where paper shows through, as in hair, it is counted from the last cell that paper may be mixed into.

use super::gaps::is_like;
use super::seen::Seen;
use super::small::{Difference, apart, brightness};
use rayon::prelude::*;
use std::collections::VecDeque;

/// Cells from the last that paper may be mixed into.
const INWARDS: u32 = 4;
/// That one is found from another so many cells away, and so far from paper that is seen as such.
const LINK: u32 = 2;
const FARTHEST: u32 = 60;
/// What may be paper in shadow: so far from paper at most, and of a tint so near to its.
const SHADED: u32 = 20;
const SHADE: f32 = 0.03;
/// How far away what a thing looks like when covered whole is looked for; below what share of its difference from the paper a
/// cell is taken for mixed, if it differs in the same way; and above what share for covered.
const REACH: usize = 24;
const MIXED: f32 = 0.75;
const SAME_WAY: f32 = 0.9;
/// By how much colours, calmed, change within two cells where it is rough; and in times of the noise.
const ROUGH: f32 = 0.05;
const ROUGH_NOISE: f32 = 2.0;
const CORE: f32 = 0.9;
const CORE_LEAST: f32 = 0.1;

/// What it is found by.
pub(super) struct Depth<'a> {
    pub(super) seen: &'a Seen,
    pub(super) paper: &'a [bool],
}

impl Depth<'_> {
    /// Of each cell whether the thing surely covers all of it.
    pub(super) fn inside(&self) -> Vec<bool> {
        let grid = self.seen.grid;
        let differs =
            |i: usize| if self.paper[i] { 0.0 } else { apart(self.seen.raw[i], self.seen.colour[i]) };
        // The number of the cell rides along behind the difference.
        let key = |i: usize| u64::from(differs(i).to_bits()) << 32 | i as u64;
        let keys: Vec<u64> = (0..grid.count()).into_par_iter().map(key).collect();
        let most = grid.largest(&keys, REACH);
        let mixed = |i: usize| {
            let there = (most[i] & u64::from(u32::MAX)) as usize;
            let own = less(self.seen.near[i], self.seen.colour[i]);
            let full = less(self.seen.near[there], self.seen.colour[there]);
            let (share, size) = (dot(own, full) / dot(full, full).max(1e-9), dot(own, own).sqrt());
            is_like(self.seen, i)
                || self.is_rough(i)
                    && share < MIXED
                    && dot(own, full) > SAME_WAY * size * dot(full, full).sqrt()
        };
        let mixed: Vec<bool> =
            (0..grid.count()).into_par_iter().map(|i| !self.paper[i] && mixed(i)).collect();
        let shade: Vec<bool> =
            (0..grid.count()).into_par_iter().map(|i| !self.paper[i] && self.is_shade(i)).collect();
        let depth = self.depth(&mixed, &shade);
        let core = |i: usize| {
            let full = f32::from_bits((most[i] >> 32) as u32);
            apart(self.seen.near[i], self.seen.colour[i]) >= (CORE * full).max(CORE_LEAST)
                && grid.around(i).all(|j| !self.paper[j])
        };
        (0..grid.count()).into_par_iter().map(|i| !self.paper[i] && (depth[i] > INWARDS || core(i))).collect()
    }

    /// Whether it may be paper in shadow: darker, and of the same tint.
    fn is_shade(&self, i: usize) -> bool {
        let (own, paper) = (self.seen.near[i], self.seen.colour[i]);
        let share = brightness(own) / brightness(paper).max(1e-6);
        let tint = apart(own, paper.map(|v| v * share));
        share < 1.0 && tint < share * (SHADE + 2.0 * self.seen.noise[i].tint)
    }

    /// Whether colours change within two cells by more than noise.
    fn is_rough(&self, i: usize) -> bool {
        let (x, y) = self.seen.grid.at(i);
        let (w, h) = (self.seen.grid.width, self.seen.grid.height);
        [-2i64, 0, 2].into_iter().flat_map(|dy| [-2i64, 0, 2].map(|dx| (dx, dy))).any(|(dx, dy)| {
            let (u, v) = (
                x.saturating_add_signed(dx as isize).min(w - 1),
                y.saturating_add_signed(dy as isize).min(h - 1),
            );
            Difference::of(self.seen.near[v * w + u], self.seen.near[i]).exceeds(
                self.seen.noise[i],
                ROUGH_NOISE,
                ROUGH,
            )
        })
    }

    /// Steps from paper, or from what is mixed and hangs together with it; as many as there are cells where there is none.
    fn depth(&self, mixed: &[bool], shade: &[bool]) -> Vec<u32> {
        let grid = self.seen.grid;
        let from_paper = grid.distances(|i| self.paper[i]);
        let mut depth: Vec<u32> =
            self.paper.iter().map(|p| if *p { 0 } else { grid.count() as u32 }).collect();
        let mut rows: Vec<VecDeque<usize>> = vec![VecDeque::new(); INWARDS as usize + 2];
        let at_edge = |i: &usize| self.paper[*i] && grid.around(*i).any(|j| !self.paper[j]);
        rows[0].extend((0..grid.count()).filter(at_edge));
        while let Some((d, i)) =
            rows.iter_mut().enumerate().find_map(|(d, row)| Some((d as u32, row.pop_front()?)))
        {
            if depth[i] < d {
                continue;
            }
            for j in grid.around(i) {
                let joins = mixed[j] && from_paper[j] <= FARTHEST || shade[j] && from_paper[j] <= SHADED;
                let joins = joins && d <= LINK;
                let to = if joins { 0 } else { d + 1 };
                if to < depth[j] {
                    depth[j] = to;
                    if let Some(row) = rows.get_mut(to as usize) {
                        row.push_back(j);
                    }
                }
            }
        }
        depth
    }
}

fn less(a: [f32; 3], b: [f32; 3]) -> [f32; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: [f32; 3], b: [f32; 3]) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
