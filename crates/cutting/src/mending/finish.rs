//! The pixels of the patches that were found, grain and all, joined in their gradients (Perez, Gangnet and Blake 2003): of all
//! light that meets the known pixels around, that whose steps from pixel to pixel are most like those of the patches, and which
//! stays near the mean of what they say, or near an even fill where the surroundings are calm.

use super::alike::{Alike, REACH};
use super::calm::calm;
use super::canvas::{Canvas, Light, beside};
use rayon::prelude::*;

/// What nearness to the mean weighs beside the steps.
const NEAR: f32 = 0.03;
/// Rounds of conjugate gradients: enough for a part in a thousand at that weight.
const ROUNDS: usize = 40;
/// Numbers that are summed at a time, whatever the threads.
const RUN: usize = 4096;

/// The filled canvas with the patches' own pixels.
pub(super) fn joined(mut canvas: Canvas, alike: &Alike, deep: usize) -> Canvas {
    let (w, h) = (canvas.width(), canvas.height());
    let unknown = canvas.unknown();
    let (calm, even) = (calm(&canvas, deep), canvas.clone().evenly());
    let aim = |i: usize| {
        let (mean, even) = (canvas.light[i], even.light[i]);
        [0, 1, 2, 3].map(|c| mean[c] + calm[i] * (even[c] - mean[c]))
    };
    let mut numbers = vec![u32::MAX; w * h];
    unknown.iter().enumerate().for_each(|(n, i)| numbers[*i as usize] = n as u32);
    let froms: Vec<i64> = unknown.iter().map(|i| from(alike, *i as usize, w, h)).collect();
    // The light at pixel `at` as pixel number n's patch has it.
    let copied = |n: usize, at: usize| canvas.light[(at as i64 + froms[n]) as usize];
    let is_there = |n: usize, at: usize| {
        let at = at as i64 + froms[n];
        at >= 0 && (at as usize) < w * h && !canvas.open[at as usize]
    };
    let near: Vec<[u32; 4]> = unknown.iter().map(|i| neighbours(*i as usize, w, h)).collect();
    let right = |(n, i): (usize, &u32)| {
        let i = *i as usize;
        let mut sum = aim(i).map(|v| v * NEAR);
        for j in near[n].iter().filter(|j| **j != u32::MAX).map(|j| *j as usize) {
            let m = numbers[j];
            let step = |n: usize| is_there(n, j).then(|| minus(copied(n, i), copied(n, j)));
            let back = |m: usize| is_there(m, i).then(|| minus(copied(m, i), copied(m, j)));
            let steps = [step(n), if m == u32::MAX { None } else { back(m as usize) }];
            let count = steps.iter().flatten().count().max(1) as f32;
            for step in steps.iter().flatten() {
                (0..4).for_each(|c| sum[c] += step[c] / count);
            }
            if m == u32::MAX {
                (0..4).for_each(|c| sum[c] += canvas.light[j][c]);
            }
        }
        sum
    };
    let right: Vec<Light> = unknown.par_iter().enumerate().map(right).collect();
    let guess = unknown.iter().map(|i| canvas.light[*i as usize]).collect();
    let near: Vec<[u32; 4]> =
        near.iter().map(|n| n.map(|j| if j == u32::MAX { j } else { numbers[j as usize] })).collect();
    let beside = |i: &u32| beside(*i as usize, w, h).count() as f32;
    let own: Vec<f32> = unknown.iter().map(|i| beside(i) + NEAR).collect();
    let light = solved(&near, &own, &right, guess);
    canvas.set(&unknown, &light);
    canvas
}

/// What is added to a pixel's number to come to the pixel that it is taken from: by its own patch, or by the nearest that is one.
fn from(alike: &Alike, i: usize, w: usize, h: usize) -> i64 {
    let (x, y) = (i % w, i / w);
    let inside = y.clamp(REACH, h - 1 - REACH) * w + x.clamp(REACH, w - 1 - REACH);
    alike.number(inside).map_or(0, |n| i64::from(alike.found[n].from) - inside as i64)
}

fn neighbours(i: usize, w: usize, h: usize) -> [u32; 4] {
    let mut all = [u32::MAX; 4];
    all.iter_mut().zip(beside(i, w, h)).for_each(|(o, j)| *o = j as u32);
    all
}

fn minus(a: Light, b: Light) -> Light {
    [0, 1, 2, 3].map(|c| a[c] - b[c])
}

/// The x for which own x minus the neighbours' is the right side, by conjugate gradients (Hestenes and Stiefel 1952); each
/// channel for itself.
fn solved(near: &[[u32; 4]], own: &[f32], right: &[Light], guess: Vec<Light>) -> Vec<Light> {
    let times = |x: &[Light]| -> Vec<Light> {
        let row = |(n, near): (usize, &[u32; 4])| {
            let mut sum = x[n].map(|v| v * own[n]);
            for j in near.iter().filter(|j| **j != u32::MAX) {
                (0..4).for_each(|c| sum[c] -= x[*j as usize][c]);
            }
            sum
        };
        near.par_iter().enumerate().map(row).collect()
    };
    let mut x = guess;
    let mut r: Vec<Light> = times(&x).iter().zip(right).map(|(t, b)| minus(*b, *t)).collect();
    let mut p = r.clone();
    let mut rr = dot(&r, &r);
    for _ in 0..ROUNDS {
        let q = times(&p);
        let pq = dot(&p, &q);
        let step = ratio(rr, pq);
        x.par_iter_mut()
            .zip(&p)
            .with_min_len(RUN)
            .for_each(|(x, p)| (0..4).for_each(|c| x[c] += step[c] * p[c]));
        r.par_iter_mut()
            .zip(&q)
            .with_min_len(RUN)
            .for_each(|(r, q)| (0..4).for_each(|c| r[c] -= step[c] * q[c]));
        let next = dot(&r, &r);
        let turn = ratio(next, rr);
        p.par_iter_mut()
            .zip(&r)
            .with_min_len(RUN)
            .for_each(|(p, r)| (0..4).for_each(|c| p[c] = r[c] + turn[c] * p[c]));
        rr = next;
    }
    x
}

fn ratio(a: [f64; 4], b: [f64; 4]) -> Light {
    [0, 1, 2, 3].map(|c| if b[c] > 0.0 { (a[c] / b[c]) as f32 } else { 0.0 })
}

/// In runs of a fixed length, so that however many threads there are the sum is the same to the last bit.
fn dot(a: &[Light], b: &[Light]) -> [f64; 4] {
    let add = |s: [f64; 4], t: [f64; 4]| [0, 1, 2, 3].map(|c| s[c] + t[c]);
    let run = |(a, b): (&[Light], &[Light])| {
        let each = a.iter().zip(b).map(|(a, b)| [0, 1, 2, 3].map(|c| f64::from(a[c]) * f64::from(b[c])));
        each.fold([0.0; 4], add)
    };
    let runs: Vec<[f64; 4]> = a.par_chunks(RUN).zip(b.par_chunks(RUN)).map(run).collect();
    runs.into_iter().fold([0.0; 4], add)
}
