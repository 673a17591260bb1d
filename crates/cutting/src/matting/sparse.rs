//! Matrices of few numbers a row, and the quadratic forms that are made of them.

use rayon::prelude::*;

/// A matrix, row by row: the columns that are not zero, and their numbers.
#[derive(Clone, Debug, Default)]
pub(super) struct Sparse {
    starts: Vec<usize>,
    columns: Vec<u32>,
    weights: Vec<f32>,
}

impl Sparse {
    /// Without rows yet.
    pub(super) fn new() -> Self {
        Self { starts: vec![0], ..Self::default() }
    }

    /// Adds a row.
    pub(super) fn push(&mut self, row: impl Iterator<Item = (usize, f32)>) {
        for (column, weight) in row.filter(|(_, w)| *w != 0.0) {
            self.columns.push(column as u32);
            self.weights.push(weight);
        }
        self.starts.push(self.columns.len());
    }

    /// The rows of all, one after another. Each part goes as its rows are taken over.
    pub(super) fn of_parts(parts: Vec<Self>) -> Self {
        let rows = parts.iter().map(Self::rows).sum::<usize>();
        let numbers = parts.iter().map(|part| part.columns.len()).sum();
        let mut all = Self {
            starts: Vec::with_capacity(rows + 1),
            columns: Vec::with_capacity(numbers),
            weights: Vec::with_capacity(numbers),
        };
        all.starts.push(0);
        for part in parts {
            let before = all.columns.len();
            all.starts.extend(part.starts[1..].iter().map(|s| s + before));
            all.columns.extend_from_slice(&part.columns);
            all.weights.extend_from_slice(&part.weights);
        }
        all
    }

    pub(super) fn rows(&self) -> usize {
        self.starts.len() - 1
    }

    /// A row's columns and numbers.
    pub(super) fn row(&self, i: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let part = self.starts[i]..self.starts[i + 1];
        self.columns[part.clone()].iter().zip(&self.weights[part]).map(|(&c, &w)| (c as usize, f64::from(w)))
    }

    /// Times a vector.
    pub(super) fn times(&self, x: &[f64], out: &mut [f64]) {
        out.par_iter_mut()
            .with_min_len(1024)
            .enumerate()
            .for_each(|(i, o)| *o = self.row(i).map(|(j, w)| w * x[j]).sum());
    }

    /// With rows and columns exchanged.
    pub(super) fn transposed(&self, columns: usize) -> Self {
        let mut starts = vec![0usize; columns + 1];
        for &c in &self.columns {
            starts[c as usize + 1] += 1;
        }
        for i in 0..columns {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let (mut to, mut weights) = (vec![0; self.columns.len()], vec![0.0; self.columns.len()]);
        for i in 0..self.rows() {
            for (j, w) in self.row(i) {
                to[next[j]] = i as u32;
                weights[next[j]] = w as f32;
                next[j] += 1;
            }
        }
        Self { starts, columns: to, weights }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_and_columns_are_exchanged() {
        let mut m = Sparse::new();
        m.push([(0, 1.0), (2, 3.0)].into_iter());
        m.push([(1, 5.0), (2, 0.0)].into_iter());
        let mut out = [0.0; 2];
        m.times(&[1.0, 10.0, 100.0], &mut out);
        assert_eq!(out, [301.0, 50.0]);
        let mut twice = m.clone();
        twice = Sparse::of_parts(vec![twice, m.clone()]);
        let mut four = [0.0; 4];
        twice.times(&[1.0, 10.0, 100.0], &mut four);
        assert_eq!(four, [301.0, 50.0, 301.0, 50.0]);
        let t = m.transposed(3);
        let mut out = [0.0; 3];
        t.times(&[1.0, 10.0], &mut out);
        assert_eq!(out, [1.0, 50.0, 3.0]);
    }
}
