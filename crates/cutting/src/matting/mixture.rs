//! Coverage as a mixture: a pixel's colour is mixed from the colours of pixels like it, wherever they are, and so is its
//! coverage (Chen, Zou, Zhou, Zhao and Tan, "Manifold preserving edit propagation", 2012; as colour-mixture flow: Aksoy,
//! Aydin and Pollefeys, "Designing effective inter-pixel information flow for natural image matting", 2017, section 3.1).

use super::band::Band;
use super::nearest::{Nearest, Point};
use super::sparse::Sparse;
use pixels::{Image, Rgb};

/// Pixels that one is mixed from.
const NEIGHBOURS: usize = 20;
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

impl Mixture {
    /// From all colours of a picture; `sure` tells the coverage of what is not in the band.
    pub(super) fn new(colours: &Image<Rgb>, band: &Band, sure: impl Fn(i64, i64) -> f64) -> Self {
        let place = colours.place();
        let all: Vec<(i64, i64)> =
            (place.y0()..place.y1()).flat_map(|y| (place.x0()..place.x1()).map(move |x| (x, y))).collect();
        let tree = Nearest::new(all.iter().map(|&at| seen(colours, at)));
        let mixed = band.spread(|own| {
            let point = seen(colours, own);
            let mut near = tree.find(&point, NEIGHBOURS + 1);
            near.retain(|n| all[*n as usize] != own);
            near.truncate(NEIGHBOURS);
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

/// Shares, of sum 1, by which neighbours mix a pixel's colour and place best.
fn shares(own: &Point, near: &[Point]) -> Vec<f64> {
    let n = near.len();
    let apart: Vec<[f64; 5]> =
        near.iter().map(|s| std::array::from_fn(|k| f64::from(s[k] - own[k]))).collect();
    let mut gram = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = apart[i].iter().zip(&apart[j]).map(|(a, b)| a * b).sum();
            gram[i * n + j] = dot + if i == j { EVEN } else { 0.0 };
        }
    }
    let mut shares = vec![1.0; n];
    solve(&mut gram, &mut shares);
    let sum: f64 = shares.iter().sum();
    shares.iter().map(|w| w / sum).collect()
}

/// Solves a positive definite system, given by its lower half, in place (Cholesky).
fn solve(matrix: &mut [f64], x: &mut [f64]) {
    let n = x.len();
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| matrix[i * n + k] * matrix[j * n + k]).sum();
            let rest = matrix[i * n + j] - sum;
            matrix[i * n + j] = if i == j { rest.sqrt() } else { rest / matrix[j * n + j] };
        }
    }
    for i in 0..n {
        let sum: f64 = (0..i).map(|k| matrix[i * n + k] * x[k]).sum();
        x[i] = (x[i] - sum) / matrix[i * n + i];
    }
    for i in (0..n).rev() {
        let sum: f64 = (i + 1..n).map(|k| matrix[k * n + i] * x[k]).sum();
        x[i] = (x[i] - sum) / matrix[i * n + i];
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
        // 4 x + 2 y = 8, 2 x + 3 y = 8.
        let (mut matrix, mut x) = (vec![4.0, 0.0, 2.0, 3.0], vec![8.0, 8.0]);
        solve(&mut matrix, &mut x);
        assert!((x[0] - 1.0).abs() < 1e-12 && (x[1] - 2.0).abs() < 1e-12, "{x:?}");
    }
}
