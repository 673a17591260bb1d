//! Which corner of one shot is which of another: by the likeness of what is around them, asked both ways.

use super::grey::Grey;
use rayon::prelude::*;

/// Half the side of the patch that is compared.
pub(super) const HALF: usize = 8;
const SIDE: usize = 2 * HALF + 1;
/// Least likeness (1 is the same), and how much nearer to the same than the next best elsewhere.
const LEAST: f32 = 0.75;
const NEXT: f32 = 0.85;
/// Farther off than this a patch is elsewhere.
const ELSEWHERE: usize = 4;

/// A corner of the first shot and the same of the other, middles of pixels.
pub(super) type Pair = ([f64; 2], [f64; 2]);

/// What is around a corner, freed of brightness and contrast.
struct Patch {
    at: (usize, usize),
    values: [f32; SIDE * SIDE],
}

fn patches(grey: &Grey, corners: &[(usize, usize)]) -> Vec<Patch> {
    let patch = |at: &(usize, usize)| {
        let mut values = [0.0; SIDE * SIDE];
        for (j, row) in values.chunks_exact_mut(SIDE).enumerate() {
            row.copy_from_slice(&grey.row(at.1 + j - HALF)[at.0 - HALF..=at.0 + HALF]);
        }
        let mean = values.iter().sum::<f32>() / values.len() as f32;
        values.iter_mut().for_each(|v| *v -= mean);
        let length = values.iter().map(|v| v * v).sum::<f32>().sqrt();
        values.iter_mut().for_each(|v| *v /= length.max(1e-9));
        Patch { at: *at, values }
    };
    corners.par_iter().map(patch).collect()
}

/// Pairs of corners no farther apart than `reach`, in pixels of the level; corners at least [`HALF`] from the border.
pub(super) fn matched(
    (first, first_corners): (&Grey, &[(usize, usize)]),
    (other, other_corners): (&Grey, &[(usize, usize)]),
    reach: usize,
) -> Vec<Pair> {
    let (a, b) = (patches(first, first_corners), patches(other, other_corners));
    let there = best(&a, &b, reach);
    let back = best(&b, &a, reach);
    let middle = |at: (usize, usize)| [at.0 as f64 + 0.5, at.1 as f64 + 0.5];
    there
        .iter()
        .enumerate()
        .filter_map(|(i, j)| j.filter(|j| back[*j] == Some(i)).map(|j| (middle(a[i].at), middle(b[j].at))))
        .collect()
}

/// For each of `a` the one of `b` that is most like it, where no other comes near.
fn best(a: &[Patch], b: &[Patch], reach: usize) -> Vec<Option<usize>> {
    let apart = |p: &Patch, q: &Patch| p.at.0.abs_diff(q.at.0).max(p.at.1.abs_diff(q.at.1));
    let like = |p: &Patch, q: &Patch| p.values.iter().zip(&q.values).map(|(a, b)| a * b).sum::<f32>();
    let of = |p: &Patch| {
        let near: Vec<(usize, f32)> = b
            .iter()
            .enumerate()
            .filter(|(_, q)| apart(p, q) <= reach)
            .map(|(j, q)| (j, like(p, q)))
            .collect();
        let (j, most) = near.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
        let elsewhere = near.iter().filter(|(k, _)| apart(&b[j], &b[*k]) > ELSEWHERE).map(|n| n.1);
        let next = elsewhere.fold(0.0f32, f32::max);
        (most >= LEAST && 1.0 - most <= NEXT * (1.0 - next)).then_some(j)
    };
    a.par_iter().map(of).collect()
}
