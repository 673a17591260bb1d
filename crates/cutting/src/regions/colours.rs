//! What colours say: mixtures of normal distributions for the thing and for what is behind it (Rother, Kolmogorov and Blake,
//! interactive foreground extraction using iterated graph cuts, 2004, section 3), split along their widest axes (Orchard and
//! Bouman, "Color quantization of images", 1991) and then fitted.
//!
//! Colours that nearly agree are counted together, so that a mixture is fitted to some thousand colours, not to every cell.

use pixels::{Image, Rgb};
use rayon::prelude::*;
use std::collections::BTreeMap;
use units::math;

/// Steps of each channel, from 0 to 1, within which colours are counted together.
const STEPS: f32 = 64.0;
/// Parts of a mixture.
const PARTS: usize = 6;
/// Times that parts are fitted again.
const FITS: usize = 3;
/// Added to each part's spread: the steps' own, and noise.
const BLUR: f64 = 2e-4;
/// Share of colours that a mixture does not know.
const STRAY: f64 = 0.02;

/// The colours of a picture, and which of them each cell has.
#[derive(Debug)]
pub(super) struct Palette {
    pub(super) colours: Vec<[f64; 3]>,
    pub(super) of: Vec<u32>,
}

impl Palette {
    pub(super) fn of(small: &Image<Rgb>) -> Self {
        let step = |v: f32| (v * STEPS) as u32;
        let key = |p: &Rgb| (step(p.0[0]) << 16) | (step(p.0[1]) << 8) | step(p.0[2]);
        let mut found = BTreeMap::new();
        let (mut sums, mut counts) = (Vec::<[f64; 3]>::new(), Vec::<f64>::new());
        let of = small.pixels().iter().map(|p| {
            let n = *found.entry(key(p)).or_insert_with(|| {
                sums.push([0.0; 3]);
                counts.push(0.0);
                sums.len() - 1
            });
            (0..3).for_each(|c| sums[n][c] += f64::from(p.0[c]));
            counts[n] += 1.0;
            n as u32
        });
        let of = of.collect();
        let colours = sums.iter().zip(&counts).map(|(s, n)| s.map(|v| v / n)).collect();
        Self { colours, of }
    }

    /// How much each colour weighs, where cells weigh `weight`.
    pub(super) fn weights(&self, weight: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut weights = vec![0.0; self.colours.len()];
        self.of.iter().enumerate().for_each(|(i, n)| weights[*n as usize] += weight(i));
        weights
    }
}

/// The colours of the thing and of what is behind it.
pub(super) struct Mixtures {
    thing: Mixture,
    behind: Mixture,
}

impl Mixtures {
    /// From how much each colour of a palette weighs in the one and in the other.
    pub(super) fn fit(palette: &Palette, thing: &[f64], behind: &[f64]) -> Self {
        let (thing, behind) =
            rayon::join(|| Mixture::fit(&palette.colours, thing), || Mixture::fit(&palette.colours, behind));
        Self { thing, behind }
    }

    /// For each colour, how much more likely it is of the thing than of what is behind: a logarithm.
    pub(super) fn leans(&self, palette: &Palette) -> Vec<f64> {
        let lean = |c: &[f64; 3]| math::ln(self.thing.density(c)) - math::ln(self.behind.density(c));
        palette.colours.par_iter().map(lean).collect()
    }
}

/// Sums over colours: of weights, of colours, of their products.
#[derive(Clone, Copy, Default)]
struct Sums {
    weight: f64,
    first: [f64; 3],
    second: [[f64; 3]; 3],
}

impl Sums {
    fn add(&mut self, c: &[f64; 3], w: f64) {
        self.weight += w;
        for i in 0..3 {
            self.first[i] += w * c[i];
            (0..3).for_each(|j| self.second[i][j] += w * c[i] * c[j]);
        }
    }

    fn mean(&self) -> [f64; 3] {
        self.first.map(|v| v / self.weight.max(f64::MIN_POSITIVE))
    }

    fn spread(&self) -> [[f64; 3]; 3] {
        let (mean, weight) = (self.mean(), self.weight.max(f64::MIN_POSITIVE));
        std::array::from_fn(|i| std::array::from_fn(|j| self.second[i][j] / weight - mean[i] * mean[j]))
    }
}

struct Part {
    mean: [f64; 3],
    inverse: [[f64; 3]; 3],
    /// Its share, over what its exponential sums to.
    height: f64,
}

impl Part {
    fn of(sums: &Sums, all: f64) -> Option<Self> {
        if sums.weight <= 0.0 {
            return None;
        }
        let mut spread = sums.spread();
        (0..3).for_each(|i| spread[i][i] += BLUR);
        let (inverse, det) = inverse(&spread)?;
        // (2 pi)^(3/2).
        let height = sums.weight / all / (15.749_609_945_722_419 * det.sqrt());
        Some(Self { mean: sums.mean(), inverse, height })
    }

    fn density(&self, c: &[f64; 3]) -> f64 {
        let d: [f64; 3] = std::array::from_fn(|i| c[i] - self.mean[i]);
        let far: f64 = (0..3).map(|i| d[i] * (0..3).map(|j| self.inverse[i][j] * d[j]).sum::<f64>()).sum();
        self.height * math::exp(-0.5 * far)
    }
}

/// The inverse of a symmetric matrix, and its determinant, where that is above 0.
fn inverse(m: &[[f64; 3]; 3]) -> Option<([[f64; 3]; 3], f64)> {
    let minor = |i: usize, j: usize| {
        let (a, b, c, d) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let det = (0..3).map(|j| m[0][j] * minor(0, j)).sum::<f64>();
    (det > 0.0).then(|| (std::array::from_fn(|i| std::array::from_fn(|j| minor(j, i) / det)), det))
}

/// The direction in which a spread is widest, and how wide.
fn widest(spread: &[[f64; 3]; 3]) -> ([f64; 3], f64) {
    let times =
        |v: [f64; 3]| -> [f64; 3] { std::array::from_fn(|i| (0..3).map(|j| spread[i][j] * v[j]).sum()) };
    let mut v = [0.6, 0.64, 0.48];
    for _ in 0..24 {
        let next = times(v);
        let length = next.iter().map(|x| x * x).sum::<f64>().sqrt();
        if length <= 1e-12 {
            break;
        }
        v = next.map(|x| x / length);
    }
    (v, times(v).iter().zip(v).map(|(a, b)| a * b).sum())
}

struct Mixture(Vec<Part>);

impl Mixture {
    fn fit(colours: &[[f64; 3]], weights: &[f64]) -> Self {
        let seen: Vec<(&[f64; 3], f64)> =
            colours.iter().zip(weights.iter().copied()).filter(|(_, w)| *w > 0.0).collect();
        let all: f64 = seen.iter().map(|s| s.1).sum();
        let mut of = vec![0usize; seen.len()];
        let mut sums = vec![Sums::default()];
        seen.iter().for_each(|(c, w)| sums[0].add(c, *w));
        while sums.len() < PARTS {
            let axes: Vec<([f64; 3], f64)> = sums.iter().map(|s| widest(&s.spread())).collect();
            let value = |k: usize| axes[k].1 * sums[k].weight;
            let Some(k) = (0..sums.len()).max_by(|a, b| value(*a).total_cmp(&value(*b))) else { break };
            if axes[k].1 < BLUR {
                break;
            }
            let (axis, mean) = (axes[k].0, sums[k].mean());
            let new = sums.len();
            let (mut low, mut high) = (Sums::default(), Sums::default());
            for (n, (c, w)) in seen.iter().enumerate().filter(|(n, _)| of[*n] == k).collect::<Vec<_>>() {
                let beyond: f64 = (0..3).map(|i| (c[i] - mean[i]) * axis[i]).sum();
                if beyond > 0.0 {
                    of[n] = new;
                    high.add(c, *w);
                } else {
                    low.add(c, *w);
                }
            }
            sums[k] = low;
            sums.push(high);
        }
        let parts = |sums: &[Sums]| sums.iter().filter_map(|s| Part::of(s, all)).collect::<Vec<Part>>();
        let mut found = parts(&sums);
        for _ in 0..FITS {
            let mut sums = vec![Sums::default(); found.len()];
            for (c, w) in &seen {
                let each: Vec<f64> = found.iter().map(|p| p.density(c)).collect();
                let whole = each.iter().sum::<f64>().max(f64::MIN_POSITIVE);
                sums.iter_mut().zip(each).for_each(|(s, e)| s.add(c, w * e / whole));
            }
            found = parts(&sums);
        }
        Self(found)
    }

    /// How densely it has this colour; what it does not know is as likely as any other colour.
    fn density(&self, c: &[f64; 3]) -> f64 {
        (1.0 - STRAY) * self.0.iter().map(|p| p.density(c)).sum::<f64>() + STRAY
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::Budget;
    use units::PxRect;

    #[test]
    fn colours_speak_for_where_they_were_seen_and_strange_ones_for_neither() {
        let budget = Budget::of_bytes(1 << 20);
        // Reds and greens, blues, and one grey that is seen in neither.
        let of = |x: i64, y: i64| match (x, y % 2) {
            (30.., _) => [0.5, 0.5, 0.5],
            (15.., _) => [0.1, 0.1, 0.6 + 0.01 * y as f32],
            (_, 0) => [0.6 + 0.01 * x as f32, 0.1, 0.1],
            _ => [0.1, 0.6 + 0.01 * x as f32, 0.1],
        };
        let image = Image::from_fn(PxRect::new(0, 0, 31, 20), &budget, |x, y| Rgb(of(x, y))).unwrap();
        let palette = Palette::of(&image);
        let column = |i: usize| i % 31;
        let thing = palette.weights(|i| f64::from(u8::from(column(i) < 15)));
        let behind = palette.weights(|i| f64::from(u8::from((15..30).contains(&column(i)))));
        let leans = Mixtures::fit(&palette, &thing, &behind).leans(&palette);
        for (i, n) in palette.of.iter().enumerate() {
            let lean = leans[*n as usize];
            match column(i) {
                ..15 => assert!(lean > 2.0, "{lean}"),
                15..30 => assert!(lean < -2.0, "{lean}"),
                _ => assert!(lean.abs() < 0.5, "{lean}"),
            }
        }
        let nothing = vec![0.0; palette.colours.len()];
        let leans = Mixtures::fit(&palette, &nothing, &nothing).leans(&palette);
        assert!(leans.iter().all(|l| *l == 0.0));
    }
}
