//! Light of one shot brought to that of the other where they meet, less and less away from the seam: a membrane over what is taken
//! (Pérez, Gangnet and Blake 2003), of the ratio of light, in cells. What lies beyond the seam has no say, so that nothing of it shines
//! through.

use super::laid::{BRIGHT, LIGHT, Laid};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use units::{PxRect, math};

/// Cells along the longer side, about, and the least side of one in pixels.
const CELLS: usize = 160;
const LEAST: usize = 4;
/// How many cells away from the seam about a third is left of what was found there.
const REACH: f64 = 40.0;
/// What a cell of the seam weighs beside its neighbours; squared difference at which it weighs half.
const SEAM: f64 = 4.0;
const DIFFERENT: f64 = 0.001;
/// Farthest that light is changed: natural logarithm of the factor.
const MOST: f64 = 0.35;
/// Light below this says nothing.
const DARK: f64 = 0.002;
/// Steps, and the share of the first residual that is small enough.
const STEPS: usize = 600;
const EXACT: f64 = 1e-6;

/// Factors on the light of what is taken.
pub(super) struct Membrane {
    place: PxRect,
    side: i64,
    cells: PxRect,
    factors: Vec<[f32; 3]>,
}

/// What a cell of the seam saw.
#[derive(Clone, Copy, Default)]
struct Seen {
    first: [f64; 3],
    other: [f64; 3],
    difference: f64,
    count: f64,
}

impl Membrane {
    /// From the pixels where both are mixed, `share` between 0 and 1, as far as both cover.
    pub(super) fn new(
        first: (&Image<Rgb>, &Image<Coverage>),
        other: &Laid,
        share: &Image<Coverage>,
        differences: &Image<Coverage>,
        budget: &Budget,
    ) -> Result<Self, OverBudget> {
        let place = share.place();
        let side = place.width().max(place.height()).div_ceil(CELLS).max(LEAST) as i64;
        let count = |n: usize| (n as i64 + side - 1) / side;
        let cells = PxRect::new(0, 0, count(place.width()), count(place.height()));
        let n = cells.area();
        let _room = budget.take((n * 300) as u64)?;
        let mut seen = vec![Seen::default(); n];
        let mut taken = vec![false; n];
        for y in place.y0()..place.y1() {
            for x in place.x0()..place.x1() {
                let s = share.at(x, y).0;
                if s <= 0.0 {
                    continue;
                }
                let i = ((y - place.y0()) / side * cells.x1() + (x - place.x0()) / side) as usize;
                taken[i] = true;
                let (a, b) = (first.0.at(x, y).0, other.colour.at(x, y).0);
                let at = (y - place.y0()) as usize * place.width() + (x - place.x0()) as usize;
                if s < 1.0 && other.holds[at] == LIGHT && a.iter().all(|v| *v < BRIGHT) {
                    let covered = first.1.at(x, y).0.min(other.matte.at(x, y).0);
                    // Paper has no say: shadows of what moved lie on it.
                    let weight = f64::from(covered * covered);
                    let cell = &mut seen[i];
                    for c in 0..3 {
                        cell.first[c] += weight * f64::from(a[c]);
                        cell.other[c] += weight * f64::from(b[c]);
                    }
                    cell.difference += weight * f64::from(differences.at(x, y).0);
                    cell.count += weight;
                }
            }
        }
        let solved = [0, 1, 2].map(|c| {
            let (values, weights): (Vec<f64>, Vec<f64>) = seen.iter().map(|s| s.said(c, side)).unzip();
            relaxed(&values, &weights, &taken, cells.x1() as usize)
        });
        let factors = (0..n).map(|i| [0, 1, 2].map(|c| math::exp(solved[c][i]) as f32)).collect();
        Ok(Self { place, side, cells, factors })
    }

    /// The factors at a pixel.
    pub(super) fn at(&self, x: i64, y: i64) -> [f32; 3] {
        let axis = |v: i64, from: i64, cells: i64| {
            let t = ((v - from) as f32 + 0.5) / self.side as f32 - 0.5;
            let t = t.clamp(0.0, (cells - 1) as f32);
            let i = (t as i64).min((cells - 2).max(0));
            (i, (i + 1).min(cells - 1), t - i as f32)
        };
        let (i, k, fx) = axis(x, self.place.x0(), self.cells.x1());
        let (j, l, fy) = axis(y, self.place.y0(), self.cells.y1());
        let cell = |i: i64, j: i64| self.factors[(j * self.cells.x1() + i) as usize];
        let (a, b, c, d) = (cell(i, j), cell(k, j), cell(i, l), cell(k, l));
        std::array::from_fn(|n| {
            let top = a[n] + (b[n] - a[n]) * fx;
            let low = c[n] + (d[n] - c[n]) * fx;
            top + (low - top) * fy
        })
    }
}

impl Seen {
    /// Logarithm of the ratio, and its weight.
    fn said(&self, c: usize, side: i64) -> (f64, f64) {
        let (a, b) = (self.first[c] / self.count, self.other[c] / self.count);
        if self.count == 0.0 || a < DARK || b < DARK {
            return (0.0, 0.0);
        }
        let unlike = self.difference / self.count / DIFFERENT;
        let value = math::ln(a / b).clamp(-MOST, MOST);
        (value, SEAM * (self.count / side as f64).min(1.0) / (1.0 + unlike * unlike))
    }
}

/// The x of least Σ w (x - value)² + Σ over neighbours (x - x')² + Σ x²/[`REACH`]², on cells that are taken; elsewhere that of a
/// neighbour, or 0. By conjugate gradients (Hestenes and Stiefel 1952).
fn relaxed(values: &[f64], weights: &[f64], taken: &[bool], width: usize) -> Vec<f64> {
    let n = values.len();
    let own = 1.0 / (REACH * REACH);
    let beside = |i: usize| -> [Option<usize>; 4] {
        let x = i % width;
        let there = |is: bool, j: usize| (is && taken[j]).then_some(j);
        [
            if x + 1 < width { there(true, i + 1) } else { None },
            if x > 0 { there(true, i - 1) } else { None },
            if i + width < n { there(true, i + width) } else { None },
            if i >= width { there(true, i - width) } else { None },
        ]
    };
    let times = |x: &[f64]| -> Vec<f64> {
        (0..n)
            .map(|i| {
                if !taken[i] {
                    return 0.0;
                }
                let pull: f64 = beside(i).into_iter().flatten().map(|j| x[i] - x[j]).sum();
                (weights[i] + own) * x[i] + pull
            })
            .collect()
    };
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut x = vec![0.0; n];
    let mut r: Vec<f64> = (0..n).map(|i| if taken[i] { weights[i] * values[i] } else { 0.0 }).collect();
    let mut p = r.clone();
    let mut rr = dot(&r, &r);
    let enough = EXACT * EXACT * rr;
    for _ in 0..STEPS {
        if rr <= enough || rr == 0.0 {
            break;
        }
        let q = times(&p);
        let step = rr / dot(&p, &q);
        x.iter_mut().zip(&p).for_each(|(x, p)| *x += step * p);
        r.iter_mut().zip(&q).for_each(|(r, q)| *r -= step * q);
        let next = dot(&r, &r);
        let turn = next / rr;
        p.iter_mut().zip(&r).for_each(|(p, r)| *p = r + turn * *p);
        rr = next;
    }
    // Beside what is taken its value goes on, for the straight lines between cells.
    let width = width as i64;
    (0..n as i64)
        .map(|i| {
            if taken[i as usize] {
                return x[i as usize];
            }
            let (u, v) = (i % width, i / width);
            let around = (-1..=1).flat_map(|dv| (-1..=1).map(move |du| (u + du, v + dv)));
            let there = around.filter(|(u, v)| *u >= 0 && *u < width && *v >= 0 && *v < n as i64 / width);
            let all: Vec<f64> =
                there.map(|(u, v)| (v * width + u) as usize).filter(|j| taken[*j]).map(|j| x[j]).collect();
            all.iter().sum::<f64>() / all.len().max(1) as f64
        })
        .collect()
}
