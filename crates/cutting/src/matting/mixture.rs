//! Coverage as a mixture: a pixel's colour is mixed from the colours of pixels like it, wherever they are, and so is its
//! coverage (Chen, Zou, Zhou, Zhao and Tan, "Manifold preserving edit propagation", 2012; as colour-mixture flow: Aksoy,
//! Aydin and Pollefeys, "Designing effective inter-pixel information flow for natural image matting", 2017, section 3.1).

use super::band::Band;
use super::nearest::{Nearest, Point};
use super::sparse::Sparse;
use pixels::{Image, Rgb};
use units::PxRect;

/// How many times farther than the pixels most like one those may be that are taken for them.
const SLACK: f32 = 3.0;
/// Added to the diagonal where weights are solved for: neighbours of the same colour share them.
const EVEN: f64 = 1e-3;
/// What the picture's longer side counts beside colour, which runs from 0 to 1.
const SPREAD: f32 = 0.05;

/// A pixel as its neighbours are found.
fn seen(colours: &Image<Rgb>, (x, y): (i64, i64)) -> Point {
    let place = colours.place();
    let [r, g, b] = colours.at(x, y).0;
    let scale = SPREAD / place.width().max(place.height()) as f32;
    [r, g, b, (x - place.x0()) as f32 * scale, (y - place.y0()) as f32 * scale]
}

/// How each pixel of a band is mixed: its weights of other pixels of the band, and the coverage that sure pixels bring.
pub(super) struct Mixture {
    pub(super) weights: Sparse,
    pub(super) sure: Vec<f64>,
}

/// Among which pixels those that one is mixed from are looked for, and how many they are.
#[derive(Clone, Copy)]
pub(super) enum Among {
    /// In the whole picture: what is seen of the thing and of what is behind it may be far away.
    Everywhere,
    /// Near the band, where all is known already but detail.
    Nearby,
}

impl Among {
    const fn neighbours(self) -> usize {
        match self {
            Self::Everywhere => 20,
            Self::Nearby => 10,
        }
    }
}

impl Mixture {
    /// From colours of a picture; `sure` tells the coverage of what is not in the band.
    pub(super) fn new(
        colours: &Image<Rgb>,
        band: &Band,
        among: Among,
        sure: impl Fn(i64, i64) -> f64,
    ) -> Self {
        let place = colours.place();
        let nearby = matches!(among, Among::Nearby).then(|| Blocks::around(band, place));
        let counts = |&(x, y): &(i64, i64)| nearby.as_ref().is_none_or(|blocks| blocks.hold(x, y));
        let every = (place.y0()..place.y1()).flat_map(|y| (place.x0()..place.x1()).map(move |x| (x, y)));
        let all: Vec<(i64, i64)> = every.filter(counts).collect();
        let tree = Nearest::new(all.iter().map(|&at| seen(colours, at)), SLACK);
        let mixed = band.spread(|own| {
            let point = seen(colours, own);
            let mut near = tree.find(&point, among.neighbours() + 1);
            near.retain(|n| all[*n as usize] != own);
            near.truncate(among.neighbours());
            let points: Vec<Point> = near.iter().map(|&n| seen(colours, all[n as usize])).collect();
            let shares = shares(&point, &points);
            near.into_iter().zip(shares).collect::<Vec<(u32, f64)>>()
        });
        let (mut weights, mut brought) = (Sparse::new(), Vec::with_capacity(band.len()));
        for mixed in mixed {
            let parts = mixed.iter().map(|(n, w)| (all[*n as usize], *w));
            let unsure = |((x, y), w): ((i64, i64), f64)| Some((band.number(x, y)?, w as f32));
            weights.push(parts.clone().filter_map(unsure));
            let known = parts.filter(|((x, y), _)| band.number(*x, *y).is_none());
            brought.push(known.map(|((x, y), w)| w * sure(x, y)).sum());
        }
        Self { weights, sure: brought }
    }
}

/// The blocks of a picture that lie around its band.
struct Blocks {
    place: PxRect,
    columns: usize,
    taken: Vec<bool>,
}

/// Pixels along a block's side, and how many blocks away from the band pixels still are nearby.
const BLOCK: i64 = 8;
const AROUND: i64 = 2;

impl Blocks {
    fn around(band: &Band, place: PxRect) -> Self {
        let columns = place.width().div_ceil(BLOCK as usize);
        let taken = vec![false; columns * place.height().div_ceil(BLOCK as usize)];
        let mut blocks = Self { place, columns, taken };
        for (x, y) in band.pixels() {
            for v in -AROUND..=AROUND {
                for u in -AROUND..=AROUND {
                    let (x, y) = (x + u * BLOCK, y + v * BLOCK);
                    if place.contains(x, y) {
                        let at = blocks.at(x, y);
                        blocks.taken[at] = true;
                    }
                }
            }
        }
        blocks
    }

    fn at(&self, x: i64, y: i64) -> usize {
        let (u, v) = ((x - self.place.x0()) / BLOCK, (y - self.place.y0()) / BLOCK);
        v as usize * self.columns + u as usize
    }

    fn hold(&self, x: i64, y: i64) -> bool {
        self.taken[self.at(x, y)]
    }
}

/// Shares, of sum 1, by which neighbours mix a pixel's colour and place best: those that G + `EVEN` times 1 turns into equal numbers,
/// G being the products of the neighbours' offsets D. As G is D Dᵀ, a system of five by five is solved (Woodbury 1950).
fn shares(own: &Point, near: &[Point]) -> Vec<f64> {
    let offset = |s: &Point| -> [f64; 5] { std::array::from_fn(|k| f64::from(s[k] - own[k])) };
    let mut spread = [[0.0; 5]; 5];
    let mut turned = [0.0; 5];
    for d in near.iter().map(offset) {
        for i in 0..5 {
            (0..=i).for_each(|j| spread[i][j] += d[i] * d[j]);
            turned[i] += d[i];
        }
    }
    (0..5).for_each(|i| spread[i][i] += EVEN);
    solve(&mut spread, &mut turned);
    let each = near.iter().map(|s| 1.0 - offset(s).iter().zip(&turned).map(|(d, t)| d * t).sum::<f64>());
    let shares: Vec<f64> = each.collect();
    let sum: f64 = shares.iter().sum();
    shares.iter().map(|w| w / sum).collect()
}

/// Solves a positive definite system, given by its lower half, in place (Cholesky).
fn solve(matrix: &mut [[f64; 5]; 5], x: &mut [f64; 5]) {
    for i in 0..5 {
        for j in 0..=i {
            let rest = matrix[i][j] - (0..j).map(|k| matrix[i][k] * matrix[j][k]).sum::<f64>();
            matrix[i][j] = if i == j { rest.sqrt() } else { rest / matrix[j][j] };
        }
    }
    for i in 0..5 {
        x[i] = (x[i] - (0..i).map(|k| matrix[i][k] * x[k]).sum::<f64>()) / matrix[i][i];
    }
    for i in (0..5).rev() {
        x[i] = (x[i] - (i + 1..5).map(|k| matrix[k][i] * x[k]).sum::<f64>()) / matrix[i][i];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_sum_to_one_and_mix_the_pixel() {
        let near = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
            .map(|[r, g, b]| [r, g, b, 0.0, 0.0]);
        let shares = shares(&[0.2, 0.3, 0.1, 0.0, 0.0], &near);
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        for (c, share) in [0.2, 0.3, 0.1].iter().zip(&shares[1..]) {
            assert!((c - share).abs() < 5e-3, "{shares:?}");
        }
    }

    #[test]
    fn a_system_is_solved() {
        // 4 x + 2 y = 8, 2 x + 3 y = 8, and three numbers by themselves.
        let mut matrix = [[0.0; 5]; 5];
        (0..5).for_each(|i| matrix[i][i] = 2.0);
        (matrix[0][0], matrix[1][0], matrix[1][1]) = (4.0, 2.0, 3.0);
        let mut x = [8.0, 8.0, 1.0, 2.0, 3.0];
        solve(&mut matrix, &mut x);
        for (x, expected) in x.iter().zip([1.0, 2.0, 0.5, 1.0, 1.5]) {
            assert!((x - expected).abs() < 1e-12, "{x} {expected}");
        }
    }
}
