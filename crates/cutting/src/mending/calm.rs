//! Where a gap lies in nothing but slopes, such as paper or a cheek, its light is best filled evenly, and patches bring the
//! grain alone. Own construction, no source.

use super::canvas::{Canvas, Light};
use rayon::prelude::*;

/// Half the side of the means that are compared, and how far apart they are to each side.
const MEAN: i64 = 2;
const APART: i64 = 4;
/// Steps between such means, on the square root of light, that are no slope: so many times the middle one, for noise, within
/// this range.
const STEEP: f32 = 4.0;
const LOW: f32 = 0.02;
const HIGH: f32 = 0.05;
/// How strong the strongest step is, a step that counts being 1; it weakens by 1 over so many times the gap's depth.
const STRONG: f32 = 2.0;
const FADES: f32 = 2.0;

/// How far an even fill is to be trusted at each pixel, 0 to 1: not where something stands out near the gap, which reaches
/// `deep` pixels inwards.
pub(super) fn calm(canvas: &Canvas, deep: usize) -> Vec<f32> {
    let (w, h) = (canvas.width(), canvas.height());
    let steps: Vec<f32> = (0..w * h).into_par_iter().map(|i| step(canvas, i)).collect();
    let mut sorted: Vec<f32> = steps.iter().copied().filter(|s| *s >= 0.0).collect();
    if sorted.is_empty() {
        return vec![1.0; w * h];
    }
    let middle = sorted.len() / 2;
    let least = (STEEP * *sorted.select_nth_unstable_by(middle, f32::total_cmp).1).clamp(LOW, HIGH);
    let mut stands_out: Vec<f32> =
        steps.iter().map(|s| ((s / least - 1.0) * STRONG).clamp(0.0, STRONG)).collect();
    // Strength spreads by steps to the side and up or down: there and back over the rows says it all.
    let fade = 1.0 / (FADES * deep.max(1) as f32);
    let mut spread = |i: usize, from: Option<usize>| {
        if let Some(j) = from {
            stands_out[i] = stands_out[i].max(stands_out[j] - fade);
        }
    };
    for i in 0..w * h {
        spread(i, (i % w > 0).then(|| i - 1));
        spread(i, i.checked_sub(w));
    }
    for i in (0..w * h).rev() {
        spread(i, (i % w + 1 < w).then_some(i + 1));
        spread(i, (i + w < w * h).then_some(i + w));
    }
    stands_out.iter().map(|s| 1.0 - s.min(1.0)).collect()
}

/// The largest difference of known means to both sides of a pixel; below 0 where there are none.
fn step(canvas: &Canvas, i: usize) -> f32 {
    let w = canvas.width() as i64;
    let (x, y) = (i as i64 % w, i as i64 / w);
    let between = |(dx, dy): (i64, i64)| {
        let (a, b) = (mean(canvas, x - dx, y - dy)?, mean(canvas, x + dx, y + dy)?);
        Some((0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max))
    };
    [(APART, 0), (0, APART)].into_iter().filter_map(between).fold(-1.0, f32::max)
}

/// The mean of pixels around one, where it and all of them are known.
fn mean(canvas: &Canvas, x: i64, y: i64) -> Option<Light> {
    let (w, h) = (canvas.width() as i64, canvas.height() as i64);
    if x < MEAN || y < MEAN || x + MEAN >= w || y + MEAN >= h {
        return None;
    }
    let mut sum = [0.0f32; 4];
    for v in y - MEAN..=y + MEAN {
        for at in (v * w + x - MEAN) as usize..=(v * w + x + MEAN) as usize {
            if canvas.open[at] {
                return None;
            }
            (0..3).for_each(|c| sum[c] += canvas.light[at][c]);
        }
    }
    let count = (2 * MEAN + 1) as f32;
    Some(sum.map(|s| s / (count * count)))
}
