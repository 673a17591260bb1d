//! A grid of cells: what is beside what, how far away, and what hangs together.

use rayon::prelude::*;
use std::collections::VecDeque;

/// What part of the shorter side the rim of the frame is.
const RIM: usize = 12;

/// A grid of so many columns and rows; cells are numbered row by row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cells {
    pub(super) width: usize,
    pub(super) height: usize,
}

/// Cells that hang together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Patch {
    pub(super) count: usize,
    /// Columns and rows that it reaches over, ends included.
    pub(super) columns: (usize, usize),
    pub(super) rows: (usize, usize),
}

impl Cells {
    pub(super) const fn count(&self) -> usize {
        self.width * self.height
    }

    pub(super) const fn at(&self, i: usize) -> (usize, usize) {
        (i % self.width, i / self.width)
    }

    /// Whether a cell is by the frame. A smooth thing may be larger than what is left of the paper; but the paper is what reaches the frame.
    pub(super) fn is_rim(self, i: usize) -> bool {
        let ((x, y), (w, h)) = (self.at(i), (self.width, self.height));
        x.min(w - 1 - x).min(y.min(h - 1 - y)) < (w.min(h) / RIM).max(1)
    }

    /// The cells beside a cell, up to four.
    pub(super) fn beside(self, i: usize) -> impl Iterator<Item = usize> {
        let (w, h) = (self.width, self.height);
        let (x, y) = self.at(i);
        [(x > 0, i.wrapping_sub(1)), (x + 1 < w, i + 1), (y > 0, i.wrapping_sub(w)), (y + 1 < h, i + w)]
            .into_iter()
            .filter_map(|(there, j)| there.then_some(j))
    }

    /// The cells around a cell, up to eight.
    pub(super) fn around(self, i: usize) -> impl Iterator<Item = usize> {
        let (x, y) = self.at(i);
        let rows = y.saturating_sub(1)..(y + 2).min(self.height);
        let columns = move || x.saturating_sub(1)..(x + 2).min(self.width);
        rows.flat_map(move |v| columns().map(move |u| v * self.width + u)).filter(move |j| *j != i)
    }

    /// Of every cell the steps, to the side or across a corner, to the nearest that `is`; as many as there are cells where none is.
    pub(super) fn distances(self, is: impl Fn(usize) -> bool) -> Vec<u32> {
        let width = self.width.max(1);
        let far = self.count() as u32;
        let mut out: Vec<u32> = (0..self.count()).map(|i| if is(i) { 0 } else { far }).collect();
        let mut above = vec![far; width];
        for row in out.chunks_exact_mut(width) {
            take(row, &above);
            (1..width).for_each(|x| row[x] = row[x].min(row[x - 1] + 1));
            above.copy_from_slice(row);
        }
        above.fill(far);
        for row in out.chunks_exact_mut(width).rev() {
            take(row, &above);
            (1..width).rev().for_each(|x| row[x - 1] = row[x - 1].min(row[x] + 1));
            above.copy_from_slice(row);
        }
        out
    }

    /// What hangs together, side by side, of the cells that `is`: of each cell the number of its patch, counted from 1 (0: it is not).
    pub(super) fn patches(self, is: impl Fn(usize) -> bool) -> (Vec<u32>, Vec<Patch>) {
        let mut numbers = vec![0; self.count()];
        let mut patches = Vec::new();
        let mut next = VecDeque::new();
        for start in 0..self.count() {
            if numbers[start] != 0 || !is(start) {
                continue;
            }
            let (x, y) = self.at(start);
            let mut patch = Patch { count: 0, columns: (x, x), rows: (y, y) };
            let number = patches.len() as u32 + 1;
            numbers[start] = number;
            next.push_back(start);
            while let Some(i) = next.pop_front() {
                let (x, y) = self.at(i);
                patch.count += 1;
                patch.columns = (patch.columns.0.min(x), patch.columns.1.max(x));
                patch.rows = (patch.rows.0.min(y), patch.rows.1.max(y));
                for j in self.beside(i) {
                    if numbers[j] == 0 && is(j) {
                        numbers[j] = number;
                        next.push_back(j);
                    }
                }
            }
            patches.push(patch);
        }
        (numbers, patches)
    }

    /// The largest value within `reach` cells to each side.
    pub(super) fn largest<T: Top>(self, values: &[T], reach: usize) -> Vec<T> {
        let rows = lines(values, self.width, reach);
        turned(&lines(&turned(&rows, self.width), self.height, reach), self.height)
    }
}

/// One step farther than the nearest of the three cells in the row beside, where that is nearer.
fn take(row: &mut [u32], beside: &[u32]) {
    row.iter_mut().zip(beside).for_each(|(to, from)| *to = (*to).min(from + 1));
    row.iter_mut().skip(1).zip(beside).for_each(|(to, from)| *to = (*to).min(from + 1));
    row.iter_mut().zip(beside.iter().skip(1)).for_each(|(to, from)| *to = (*to).min(from + 1));
}

/// What the largest is found of; nothing is less than its default.
pub(super) trait Top: Copy + Ord + Default + Send + Sync {}

impl<T: Copy + Ord + Default + Send + Sync> Top for T {}

/// The largest within `reach` of each value along lines of this length.
fn lines<T: Top>(values: &[T], length: usize, reach: usize) -> Vec<T> {
    let line = |line: &[T]| {
        let beyond = std::iter::repeat_n(T::default(), reach);
        let mut ahead: Vec<T> = beyond.clone().chain(line.iter().copied()).chain(beyond).collect();
        // The largest of 1, 2, 4 ... values from each on; two of those runs cover the whole.
        let mut run = 1;
        while 2 * run <= 2 * reach + 1 {
            for i in 0..ahead.len() - run {
                ahead[i] = ahead[i].max(ahead[i + run]);
            }
            run *= 2;
        }
        (0..line.len()).map(|i| ahead[i].max(ahead[i + 2 * reach + 1 - run])).collect::<Vec<T>>()
    };
    values.par_chunks(length.max(1)).flat_map_iter(line).collect()
}

/// With rows, of this length, and columns exchanged.
fn turned<T: Top>(values: &[T], length: usize) -> Vec<T> {
    let rows = values.len() / length.max(1);
    (0..values.len()).into_par_iter().map(|i| values[i % rows * length + i / rows]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const CELLS: Cells = Cells { width: 9, height: 7 };

    #[test]
    fn the_largest_within_reach_is_that_of_a_plain_search() {
        let values: Vec<usize> = (0..CELLS.count()).map(|i| (i * 37) % 61).collect();
        for reach in [0, 1, 2, 3, 5, 9] {
            let found = CELLS.largest(&values, reach);
            for i in 0..CELLS.count() {
                let (x, y) = CELLS.at(i);
                let within =
                    |j: &usize| CELLS.at(*j).0.abs_diff(x) <= reach && CELLS.at(*j).1.abs_diff(y) <= reach;
                let plain = (0..CELLS.count()).filter(within).map(|j| values[j]).max().unwrap();
                assert_eq!(found[i], plain, "{reach}: {x} {y}");
            }
        }
    }

    #[test]
    fn what_hangs_together_is_one_patch() {
        // Two bars that meet at a corner only.
        let is = |i: usize| matches!(CELLS.at(i), (0..=3, 2) | (4..=6, 3));
        let (numbers, patches) = CELLS.patches(is);
        let bar = |count, columns, row| Patch { count, columns, rows: (row, row) };
        assert_eq!(patches, [bar(4, (0, 3), 2), bar(3, (4, 6), 3)]);
        assert_eq!((numbers[18], numbers[31], numbers[0]), (1, 2, 0));
        let distances = CELLS.distances(is);
        for i in 0..CELLS.count() {
            let apart =
                |j: usize| CELLS.at(i).0.abs_diff(CELLS.at(j).0).max(CELLS.at(i).1.abs_diff(CELLS.at(j).1));
            let plain = (0..CELLS.count()).filter(|j| is(*j)).map(apart).min().unwrap();
            assert_eq!(distances[i] as usize, plain);
        }
    }
}
