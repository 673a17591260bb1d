//! What is sure of a shot before a sheet of paper: by its colour, which changes slowly over the sheet, and by what hangs together.
//!
//! The most frequent even colour along the frame is the paper's. From where it is, the paper reaches as far as it goes on evenly: the light's
//! falling off, a tilt of the sheet and soft shadows included. What it does not reach is the thing; a margin around it stays open,
//! wide enough for hair (own construction, no source).

use crate::even;
use crate::matting::Trimap;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use std::collections::VecDeque;
use units::PxRect;

/// Longest side of the picture that this is found in.
const SIDE: usize = 1000;
/// Of the light that colours are compared in.
const POWER: f64 = 1.6;
/// How far neighbours on the paper differ at most, in evened light from 0 to 1; and how many times what a quarter of all neighbours do
/// not exceed, for noise.
const EVEN: f32 = 0.008;
const NOISE: f32 = 6.0;
/// What differs more from pixel to pixel is no paper, whatever the noise.
const UNEVEN: f32 = 0.04;
/// Pixels to each side that noise is averaged over.
const CALM: i64 = 2;
/// By how much the paper's hue and whiteness may change over the sheet: the distance of colours brought to the same brightness.
const TINT: f32 = 0.03;
/// Darkest share of the most frequent brightness, in evened light: the paper's, with its shadows.
const DARKEST: f32 = 0.35;
/// What part of the shorter side the rim of the frame is, where the paper's colour is looked for.
const RIM: usize = 12;
/// Least share of the frame that is paper.
const LEAST: f64 = 0.05;
/// Margins towards the paper and towards the thing, in pixels of the small picture.
const OUTWARDS: u32 = 3;
const INWARDS: u32 = 9;
/// Around gaps within the thing.
const AROUND_GAPS: u32 = 4;
/// How far from calmed paper a strand is, in evened light and in times of the noise; and how near to the paper's a gap.
const THIN: f32 = 0.03;
const GAP: f32 = 0.08;
const STRAND: f32 = 8.0;
/// Cells beside one that stand out as well, where it is no noise.
const COMPANY: usize = 2;
/// Cells that make a thing.
const FEWEST: usize = 8;
/// Share of the largest difference from the paper that cores of what is thin have.
const CORE: f32 = 0.85;

/// Why a shot's paper was not found.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum NotFound {
    /// No even colour takes up enough of the frame; the share of the most frequent.
    NoPaper(f64),
    /// There is nothing on it.
    NothingOnIt,
}

/// What is sure of every pixel of a shot, in linear light.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn trimap(picture: &Image<Rgb>, budget: &Budget) -> Result<Result<Trimap, NotFound>, OverBudget> {
    let step = picture.width().max(picture.height()).div_ceil(SIDE).max(1) as i64;
    let light = smaller(picture, step, budget)?;
    let raw = even::image(&light, POWER, budget)?;
    let small = even::image(&calm(&light, budget)?, POWER, budget)?;
    let mut paper = match paper(&small) {
        Ok(paper) => paper,
        Err(share) => return Ok(Err(NotFound::NoPaper(share))),
    };
    let (w, h) = (small.width(), small.height());
    // What stands out from the calmed paper is a strand, thinner than what was averaged.
    let noise = steps(&raw);
    let stands_out = |i: usize| apart(raw.pixels()[i].0, small.pixels()[i].0) > (STRAND * noise).max(THIN);
    let out: Vec<bool> = (0..w * h).map(stands_out).collect();
    // One by itself is noise.
    let is_strand = |i: usize| out[i] && around(i, w, h).filter(|j| out[*j]).count() >= COMPANY;
    for (i, is) in paper.iter_mut().enumerate() {
        *is &= !is_strand(i);
    }
    let paper_there = carried(&paper, &small);
    let to_thing = distances(w, h, |i| !paper[i]);
    let from_paper = distances(w, h, |i| paper[i]);
    // Gaps within a tuft or hair, too small for paper to show as such: as light as it, among what is not.
    let is_gap = |i: usize| apart(raw.pixels()[i].0, paper_there[i]) < (STRAND * noise).max(GAP) && out[i];
    let from_gap = distances(w, h, is_gap);
    let to_paper: Vec<u32> = from_paper
        .iter()
        .zip(&from_gap)
        .map(|(p, g)| (*p).min(g.saturating_add(INWARDS - AROUND_GAPS)))
        .collect();
    let apart_there = |i: usize| apart(raw.pixels()[i].0, paper_there[i]);
    let is_thing: Vec<usize> = (0..w * h).filter(|i| !paper[*i]).collect();
    if is_thing.len() < FEWEST {
        return Ok(Err(NotFound::NothingOnIt));
    }
    // Of what is thin throughout, the cores are what differs from the paper most.
    let is_thick = to_paper.iter().any(|d| *d > INWARDS);
    let core = if is_thick { f32::INFINITY } else { CORE * upper(is_thing.iter().map(|i| apart_there(*i))) };
    let is_inside = |i: usize| to_paper[i] > INWARDS || (!paper[i] && apart_there(i) > core);
    let place = picture.place();
    let grey = Image::from_fn(place, budget, |x, y| {
        let i = (y - place.y0()) as usize / step as usize * w + (x - place.x0()) as usize / step as usize;
        Coverage(match () {
            () if to_thing[i] > OUTWARDS => 0.0,
            () if is_inside(i) => 1.0,
            () => 0.5,
        })
    })?;
    Ok(Ok(Trimap::of_grey(&grey)))
}

/// What one in fifty exceeds.
fn upper(values: impl Iterator<Item = f32>) -> f32 {
    let mut all: Vec<f32> = values.collect();
    all.sort_by(f32::total_cmp);
    all.get(all.len() * 49 / 50).copied().unwrap_or(f32::INFINITY)
}

/// Means of `step` by `step` pixels.
fn smaller(picture: &Image<Rgb>, step: i64, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let place = picture.place();
    let cells = |n: usize| (n as i64 + step - 1) / step;
    Image::from_fn(PxRect::new(0, 0, cells(place.width()), cells(place.height())), budget, |u, v| {
        let (x0, y0) = (place.x0() + u * step, place.y0() + v * step);
        let (mut sum, mut count) = ([0.0f32; 3], 0.0);
        for y in y0..(y0 + step).min(place.y1()) {
            for x in x0..(x0 + step).min(place.x1()) {
                let p = picture.at(x, y).0;
                (0..3).for_each(|c| sum[c] += p[c]);
                count += 1.0;
            }
        }
        Rgb(sum.map(|s| s / count))
    })
}

/// Means of the neighbours up to [`CALM`] pixels away.
fn calm(small: &Image<Rgb>, budget: &Budget) -> Result<Image<Rgb>, OverBudget> {
    let along = |image: &Image<Rgb>, (dx, dy): (i64, i64)| {
        Image::from_fn(image.place(), budget, |x, y| {
            let near = (-CALM..=CALM).map(|k| image.at_clamped(x + k * dx, y + k * dy).0);
            let sum = near.fold([0.0f32; 3], |s, p| [s[0] + p[0], s[1] + p[1], s[2] + p[2]]);
            Rgb(sum.map(|s| s / (2 * CALM + 1) as f32))
        })
    };
    along(&along(small, (1, 0))?, (0, 1))
}

/// What a quarter of all neighbours do not differ by: a measure of the noise, as most of a sheet is even.
fn steps(image: &Image<Rgb>) -> f32 {
    let rows = image.pixels().chunks(image.width().max(1));
    let mut steps: Vec<f32> =
        rows.flat_map(|row| row.windows(2).map(|pair| apart(pair[0].0, pair[1].0))).collect();
    steps.sort_by(f32::total_cmp);
    steps.get(steps.len() / 4).copied().unwrap_or(0.0)
}

/// The paper's colour everywhere: where it is not seen, that of paper nearby.
fn carried(paper: &[bool], small: &Image<Rgb>) -> Vec<[f32; 3]> {
    let (w, h) = (small.width(), small.height());
    let mut colours: Vec<[f32; 3]> = small.pixels().iter().map(|p| p.0).collect();
    let mut known = paper.to_vec();
    let mut next: VecDeque<usize> = (0..w * h).filter(|i| known[*i]).collect();
    while let Some(i) = next.pop_front() {
        for j in neighbours(i, w, h) {
            if !known[j] {
                known[j] = true;
                colours[j] = colours[i];
                next.push_back(j);
            }
        }
    }
    colours
}

/// The cells around a cell, up to eight.
fn around(i: usize, w: usize, h: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (i % w, i / w);
    let rows = y.saturating_sub(1)..(y + 2).min(h);
    rows.flat_map(move |v| (x.saturating_sub(1)..(x + 2).min(w)).map(move |u| v * w + u))
        .filter(move |j| *j != i)
}

/// The cells beside a cell, up to four.
fn neighbours(i: usize, w: usize, h: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (i % w, i / w);
    [(x > 0, i.wrapping_sub(1)), (x + 1 < w, i + 1), (y > 0, i.wrapping_sub(w)), (y + 1 < h, i + w)]
        .into_iter()
        .filter_map(|(there, j)| there.then_some(j))
}

/// Where the paper is; or the share of the frame that its colour takes up, where that is too little.
fn paper(small: &Image<Rgb>) -> Result<Vec<bool>, f64> {
    let (w, h) = (small.width(), small.height());
    let all = small.pixels();
    let near = |i: usize| neighbours(i, w, h);
    let even_step = (NOISE * steps(small)).clamp(EVEN, UNEVEN);
    let is_even = |i: usize| near(i).all(|j| apart(all[i].0, all[j].0) < even_step);
    let even: Vec<usize> = (0..all.len()).filter(|i| is_even(*i)).collect();
    // A smooth thing may be larger than what is left of the paper; but the paper is what reaches the frame.
    let is_rim = |i: &usize| {
        let (x, y, rim) = (i % w, i / w, (w.min(h) / RIM).max(1));
        x.min(w - 1 - x) < rim || y.min(h - 1 - y) < rim
    };
    let rim: Vec<usize> = even.iter().copied().filter(is_rim).collect();
    let Some(colour) = most_frequent(rim.iter().map(|i| all[*i].0)) else { return Err(0.0) };
    let light = brightness(colour);
    let is_like = |p: [f32; 3]| {
        let share = brightness(p) / light.max(1e-6);
        (DARKEST..1.0 / DARKEST).contains(&share) && apart(p.map(|v| v / share), colour) < TINT
    };
    // It begins wherever its very colour is, also in gaps that the thing encloses.
    let mut found = vec![false; all.len()];
    let mut next: VecDeque<usize> =
        even.into_iter().filter(|i| apart(all[*i].0, colour) < 2.0 * even_step).collect();
    next.iter().for_each(|i| found[*i] = true);
    while let Some(i) = next.pop_front() {
        for j in near(i) {
            if !found[j] && apart(all[i].0, all[j].0) < even_step && is_like(all[j].0) {
                found[j] = true;
                next.push_back(j);
            }
        }
    }
    let share = found.iter().filter(|f| **f).count() as f64 / all.len().max(1) as f64;
    if share < LEAST { Err(share) } else { Ok(found) }
}

fn brightness(p: [f32; 3]) -> f32 {
    (p[0] + p[1] + p[2]) / 3.0
}

fn apart(a: [f32; 3], b: [f32; 3]) -> f32 {
    (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max)
}

/// The middle of the fullest of cells a sixteenth wide, taken together with its neighbours; of the mean colours there.
fn most_frequent(colours: impl Iterator<Item = [f32; 3]>) -> Option<[f32; 3]> {
    const CELLS: usize = 16;
    let mut cells = vec![([0.0f64; 3], 0.0f64); CELLS * CELLS * CELLS];
    for p in colours {
        let [r, g, b] = p.map(|v| ((v * CELLS as f32) as usize).min(CELLS - 1));
        let cell = &mut cells[(r * CELLS + g) * CELLS + b];
        (0..3).for_each(|c| cell.0[c] += f64::from(p[c]));
        cell.1 += 1.0;
    }
    let (sum, count) = cells.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (count > 0.0).then(|| sum.map(|s| (s / count) as f32))
}

/// Of every cell the steps, to the side or across a corner, to the nearest that `is`; as many as there are cells where none is.
fn distances(w: usize, h: usize, is: impl Fn(usize) -> bool) -> Vec<u32> {
    let far = (w * h) as u32;
    let mut out: Vec<u32> = (0..w * h).map(|i| if is(i) { 0 } else { far }).collect();
    let mut take = |x: usize, y: usize, beside: [(i64, i64); 4]| {
        for (dx, dy) in beside {
            let (u, v) = (x as i64 + dx, y as i64 + dy);
            if (0..w as i64).contains(&u) && (0..h as i64).contains(&v) {
                let d = out[v as usize * w + u as usize].saturating_add(1);
                out[y * w + x] = out[y * w + x].min(d);
            }
        }
    };
    for y in 0..h {
        (0..w).for_each(|x| take(x, y, [(-1, 0), (-1, -1), (0, -1), (1, -1)]));
    }
    for y in (0..h).rev() {
        (0..w).rev().for_each(|x| take(x, y, [(1, 0), (1, 1), (0, 1), (-1, 1)]));
    }
    out
}
