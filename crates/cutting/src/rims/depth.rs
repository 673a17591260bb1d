//! How deep each pixel lies in a thing: its distance from the nearest pixel that is covered by less than half (Felzenszwalb and
//! Huttenlocher, "Distance transforms of sampled functions", 2012), less half a pixel; 0 out there.

use pixels::{Budget, Coverage, Image, OverBudget};
use rayon::prelude::*;

/// Coverage from which on a pixel is inside.
const HALF: f32 = 0.5;
/// Squared, what is farther than anything in a picture.
const FAR: f32 = 1e12;

/// The depths, in pixels. Beyond the matte everything is as at its border.
pub(super) fn depths(matte: &Image<Coverage>, budget: &Budget) -> Result<Image<Coverage>, OverBudget> {
    let place = matte.place();
    let (w, h) = (place.width(), place.height());
    let mut out = Image::<Coverage>::unset(place, budget)?;
    // Squares of the distance within the column, down and up again.
    let steps = out.samples_mut();
    let own = matte.samples();
    for y in 0..h {
        for x in 0..w {
            let above = if y > 0 { steps[(y - 1) * w + x] + 1.0 } else { FAR };
            steps[y * w + x] = if own[y * w + x] < HALF { 0.0 } else { above };
        }
    }
    for y in (0..h.saturating_sub(1)).rev() {
        for x in 0..w {
            steps[y * w + x] = steps[y * w + x].min(steps[(y + 1) * w + x] + 1.0);
        }
    }
    steps.par_chunks_mut(w.max(1)).for_each(|row| {
        let squares: Vec<f32> = row.iter().map(|v| (v * v).min(FAR)).collect();
        lowest(&squares, row);
        row.iter_mut().for_each(|v| *v = (v.sqrt() - 0.5).max(0.0));
    });
    Ok(out)
}

/// At each place the least of all f(q) + (p - q)²: the lower envelope of parabolas.
fn lowest(f: &[f32], out: &mut [f32]) {
    // The middles of the envelope's parabolas, and from where on each is the lowest.
    let (mut middles, mut from): (Vec<usize>, Vec<f64>) = (Vec::new(), Vec::new());
    let height = |q: usize| f64::from(f[q]) + (q * q) as f64;
    for q in 0..f.len() {
        let mut begins = f64::NEG_INFINITY;
        while let (Some(&last), Some(&start)) = (middles.last(), from.last()) {
            begins = (height(q) - height(last)) / (2 * (q - last)) as f64;
            if begins > start {
                break;
            }
            middles.pop();
            from.pop();
            begins = f64::NEG_INFINITY;
        }
        middles.push(q);
        from.push(begins);
    }
    let mut k = 0;
    for (p, o) in out.iter_mut().enumerate() {
        while k + 1 < from.len() && from[k + 1] < p as f64 {
            k += 1;
        }
        let away = p.abs_diff(middles[k]) as f64;
        *o = (f64::from(f[middles[k]]) + away * away) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::PxRect;

    #[test]
    fn against_looking_at_every_pixel() {
        let budget = Budget::of_bytes(1 << 22);
        let place = PxRect::new(2, -3, 33, 24);
        let covers = |x: i64, y: i64| if (x * 7 + y * 13) % 41 == 0 { 0.2 } else { 0.9 };
        let matte = Image::from_fn(place, &budget, |x, y| Coverage(covers(x, y))).unwrap();
        let found = depths(&matte, &budget).unwrap();
        let all = || (-3..24).flat_map(|y| (2..33).map(move |x| (x, y)));
        for (x, y) in all() {
            let away = |(u, v): (i64, i64)| (((u - x).pow(2) + (v - y).pow(2)) as f32).sqrt();
            let nearest =
                all().filter(|(u, v)| covers(*u, *v) < HALF).map(away).fold(f32::INFINITY, f32::min);
            assert!((found.at(x, y).0 - (nearest - 0.5).max(0.0)).abs() < 1e-4, "{x} {y}");
        }
    }
}
