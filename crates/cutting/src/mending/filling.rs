//! What is unknown of a canvas, made of known patches from coarse to fine (Wexler, Shechtman and Irani 2007): in turn every
//! patch finds the known one most like it, and every pixel becomes the mean of what its patches say, the surer ones more.

use super::alike::{Alike, REACH};
use super::canvas::{Canvas, Light, beside};
use super::finish;
use rayon::prelude::*;
use units::math;

/// Turns at the smallest size, by how much fewer at each larger one, and the fewest.
const TURNS: usize = 24;
const FEWER: usize = 6;
const FEWEST: usize = 4;
/// How far matches are looked for at random where the smaller size has found some.
const FAR: i64 = 16;

/// What remains of a patch's say with each pixel into the unknown (Wexler, Shechtman and Irani's 1/1.3).
const INWARDS: f64 = 1.0 / 1.3;
/// Share of the patches whose cost is the measure of a good one (theirs, too).
const GOOD: f64 = 0.75;
/// Shorter side below which a canvas is made no smaller.
const SMALL: usize = 24;

/// The canvas with nothing unknown, or `None` where nothing or everything is known.
pub(super) fn filled(canvas: Canvas) -> Option<Canvas> {
    if canvas.open.iter().all(|o| *o == canvas.open[0]) {
        return None;
    }
    let deep = depths(&canvas).into_iter().max().unwrap_or(0);
    let (even, found) = level(canvas, deep as usize, 0);
    match found {
        Some(found) => Some(finish::joined(even, &found, deep as usize)),
        None => Some(even),
    }
}

/// Fills a canvas, and says from what patches. `deep`: how many pixels the unknown reaches inwards; `size`: how often it was
/// halved.
fn level(mut canvas: Canvas, deep: usize, size: u64) -> (Canvas, Option<Alike>) {
    let Some(mut alike) = Alike::new(&canvas, size) else { return (canvas.evenly(), None) };
    let small = (deep > REACH && canvas.width().min(canvas.height()) >= 2 * SMALL)
        .then(|| canvas.halved(1))
        .filter(|small| Alike::new(small, 0).is_some());
    let unknown = canvas.unknown();
    let depths = depths(&canvas);
    let inwards: Vec<f32> =
        depths.iter().map(|d| math::pow(INWARDS, f64::from(*d)).max(1e-6) as f32).collect();
    let (mut turns, mut far) = (TURNS, canvas.width().max(canvas.height()) as i64);
    canvas.trust(|i| inwards[i]);
    match small.and_then(|small| level(small, deep / 2, size + 1).1) {
        Some(found) => {
            alike.take(&found);
            turns = TURNS.saturating_sub(FEWER * steps_from(deep)).max(FEWEST);
            far = FAR;
            let light = spoken(&canvas, &alike, &unknown, &inwards);
            canvas.set(&unknown, &light);
        }
        None => {
            canvas = canvas.evenly();
            // At first what is known alone tells what patches are alike.
            canvas.trust(|i| if depths[i] == 0 { 1.0 } else { 1e-3 });
        }
    }
    for turn in 0..turns {
        alike.search(&canvas, far, turn as u64);
        let light = spoken(&canvas, &alike, &unknown, &inwards);
        canvas.set(&unknown, &light);
        canvas.trust(|i| inwards[i]);
    }
    alike.search(&canvas, far, turns as u64);
    (canvas, Some(alike))
}

/// How many times larger a canvas is than the smallest, as a power of two.
fn steps_from(deep: usize) -> usize {
    (deep / REACH).max(1).ilog2() as usize + 1
}

/// What the patches say of each unknown pixel.
fn spoken(canvas: &Canvas, alike: &Alike, unknown: &[u32], inwards: &[f32]) -> Vec<Light> {
    let mut costs: Vec<f32> = alike.found.iter().map(|m| m.cost).collect();
    let good = ((costs.len() as f64 * GOOD) as usize).min(costs.len() - 1);
    let good = costs.select_nth_unstable_by(good, f32::total_cmp).1.max(1e-8);
    let weight = |(i, m): (&u32, &super::alike::Match)| {
        (f64::from(inwards[*i as usize]) * math::exp(-f64::from(m.cost / good) / 2.0)).max(1e-30) as f32
    };
    let weights: Vec<f32> = alike.middles.par_iter().zip(&alike.found).map(weight).collect();
    let w = canvas.width() as i64;
    let reach = REACH as i64;
    let pixel = |i: &u32| {
        let (x, y) = (i64::from(*i) % w, i64::from(*i) / w);
        let (mut sum, mut all) = ([0.0f32; 4], 0.0f32);
        for v in (y - reach).max(0)..=(y + reach).min(canvas.height() as i64 - 1) {
            for u in (x - reach).max(0)..=(x + reach).min(w - 1) {
                if let Some(n) = alike.number((v * w + u) as usize) {
                    let found = &alike.found[n];
                    let from = canvas.light[(i64::from(found.from) + (y - v) * w + x - u) as usize];
                    let k = weights[n];
                    all += k;
                    (0..4).for_each(|c| sum[c] += k * from[c]);
                }
            }
        }
        sum.map(|s| s / all)
    };
    unknown.par_iter().map(pixel).collect()
}

/// How many pixels each unknown one is from a known one, by steps to the side and up or down.
fn depths(canvas: &Canvas) -> Vec<u32> {
    let (w, h) = (canvas.width(), canvas.height());
    let mut depths: Vec<u32> = canvas.open.iter().map(|o| if *o { u32::MAX } else { 0 }).collect();
    let is_rim = |i: &usize| !canvas.open[*i] && beside(*i, w, h).any(|j| canvas.open[j]);
    let mut now: Vec<usize> = (0..w * h).filter(is_rim).collect();
    let mut deep = 0;
    while !now.is_empty() {
        deep += 1;
        let mut next = Vec::new();
        for j in now.iter().flat_map(|i| beside(*i, w, h)) {
            if depths[j] == u32::MAX {
                depths[j] = deep;
                next.push(j);
            }
        }
        now = next;
    }
    depths
}
