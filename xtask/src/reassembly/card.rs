//! Measures a test card in a picture: place, size, turn and blur disc, by fitting a model of the card over the backdrop in linear
//! light. The brightness of the card's tones is solved for on the way.

use super::fit::{How, least_squares};
use super::fourier::{Complex, Filtering, good_length};
use units::math;

/// One channel of linear light, row by row.
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) values: Vec<f64>,
}

/// A card as it stands in a picture: lengths in pixels, the place its middle.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Card {
    pub(super) place: [f64; 2],
    /// Length of a side.
    pub(super) size: f64,
    /// Of its lower edge, clockwise in the picture, in radians.
    pub(super) turn: f64,
    /// Diameter of the blur disc.
    pub(super) disc: f64,
}

/// Cells of a side, with the border.
const CELLS: usize = 7;
/// Model points to a pixel, along each axis.
const FINER: usize = 2;
/// Root mean square, in 8-bit steps, below which a fit is not tried from another start.
const GOOD_FIT: f64 = 2.0;

/// The tone of a cell: dark and light ones by turns, within a grey border.
fn tone(i: usize, j: usize) -> f64 {
    let border = |k| k == 0 || k == CELLS - 1;
    match (border(i) || border(j), (i + j) % 2) {
        (true, _) => 0.24,
        (false, 1) => 0.42,
        (false, _) => 0.10,
    }
}

/// A part of the picture around a card, with the backdrop there.
struct Window {
    width: usize,
    height: usize,
    ours: Vec<f64>,
    backdrop: Vec<f64>,
    /// Pixels that are compared.
    used: Vec<usize>,
    /// Room around for what the filter carries round the edges.
    margin: usize,
    /// Of the model's grid.
    side: [usize; 2],
    filtering: Filtering,
}

/// Finds the card that should stand there as `expected`; answers it and what the fit leaves (root mean square, in 8-bit steps).
pub(super) fn measure(ours: &Plane, backdrop: &Plane, expected: &Card) -> (Card, f64) {
    let Card { place: [u, v], size, turn, disc } = *expected;
    let height = ours.values.len() / ours.width;
    let reach = (size * 0.62 + disc + 14.0) as i64;
    let span = |centre: f64, length: usize| {
        let from = (centre as i64 - reach).clamp(0, length as i64) as usize;
        let to = (centre as i64 + reach).clamp(0, length as i64) as usize;
        (from, to)
    };
    let ((x0, x1), (y0, y1)) = (span(u, ours.width), span(v, height));
    if x0 >= x1 || y0 >= y1 {
        return (Card { disc: 0.0, ..*expected }, f64::INFINITY);
    }
    let here = Card { place: [u - x0 as f64, v - y0 as f64], ..*expected };
    let window = Window::new([ours, backdrop].map(|p| p.part((x0, x1), (y0, y1))), x1 - x0, &here);
    let how = How {
        step: [1e-4, 1e-4, 1e-4, 1e-3, 2e-2],
        scale: [1.0, 1.0, 1.0, 0.01, 1.0],
        low: [-60.0, -60.0, size * 0.5, -0.3, 0.0],
        high: [(x1 - x0) as f64 + 60.0, (y1 - y0) as f64 + 60.0, size * 2.0, 0.3, 2.0 * disc + 20.0],
    };
    let starts = [(size, turn, disc.max(1.0)), (size, turn, 0.6), (size * 1.02, 0.0, (disc / 2.0).max(0.6))];
    let mut best = ([0.0; 5], f64::INFINITY);
    for (size, turn, disc) in starts {
        let start = [here.place[0], here.place[1], size, turn, disc];
        let (at, cost) = least_squares(&|p| window.residual(p), start, &how);
        let rms = (cost / window.used.len() as f64).sqrt();
        if rms < best.1 - 1e-6 {
            best = (at, rms);
        }
        if rms < GOOD_FIT {
            break;
        }
    }
    let ([u, v, size, turn, disc], rms) = best;
    (Card { place: [u + x0 as f64, v + y0 as f64], size, turn, disc }, rms)
}

impl Plane {
    fn part(&self, x: (usize, usize), y: (usize, usize)) -> Vec<f64> {
        (y.0..y.1)
            .flat_map(|row| &self.values[row * self.width + x.0..row * self.width + x.1])
            .copied()
            .collect()
    }
}

impl Window {
    fn new([ours, backdrop]: [Vec<f64>; 2], width: usize, expected: &Card) -> Self {
        let height = ours.len() / width;
        let margin = (expected.disc + 10.0) as usize + 6;
        let side = [width, height].map(|n| good_length((n + 2 * margin) * FINER));
        // Only what the card covers, with half its blur and 3 pixels: neighbours and shadows at its foot stay out.
        let far = expected.size / 2.0 + expected.disc / 2.0 + 3.0;
        let used = (0..ours.len()).filter(|i| {
            let (a, b) = on_card(expected, (i % width) as f64 + 0.5, (i / width) as f64 + 0.5);
            a.abs().max(b.abs()) < far
        });
        let used = used.collect();
        Self {
            width,
            height,
            used,
            margin,
            side,
            filtering: Filtering::new(side[0], side[1]),
            ours,
            backdrop,
        }
    }

    /// The card alone, blurred: at each pixel its light, and how far it covers.
    fn drawn(&self, card: &Card) -> Vec<Complex> {
        let [w, h] = self.side;
        let finer = FINER as f64;
        let at = |i: usize| (i as f64 + 0.5) / finer - self.margin as f64;
        let mut plane = Vec::with_capacity(w * h);
        for y in 0..h {
            for x in 0..w {
                let (a, b) = on_card(card, at(x), at(y));
                plane.push(sharp(card.size, a, b));
            }
        }
        let disc = std::f64::consts::PI * card.disc.abs() * finer;
        self.filtering
            .run(&mut plane, |i, j| airy(disc * math::hypot(i as f64 / w as f64, j as f64 / h as f64)));
        let mut out = Vec::with_capacity(self.width * self.height);
        for y in 0..self.height {
            for x in 0..self.width {
                let mut sum = [0.0; 2];
                for j in 0..FINER {
                    let from = ((y + self.margin) * FINER + j) * w + (x + self.margin) * FINER;
                    for p in &plane[from..from + FINER] {
                        sum = [sum[0] + p[0], sum[1] + p[1]];
                    }
                }
                out.push(sum.map(|s| s / (finer * finer)));
            }
        }
        out
    }

    /// What is left, in 8-bit steps, when the card's light (a factor and an even part) is chosen best.
    fn residual(&self, &[u, v, size, turn, disc]: &[f64; 5]) -> Vec<f64> {
        let drawn = self.drawn(&Card { place: [u, v], size, turn, disc });
        let (mut m, mut t) = ([0.0; 3], [0.0; 2]);
        let wanted = |i: usize| self.ours[i] - (1.0 - drawn[i][1]) * self.backdrop[i];
        for &i in &self.used {
            let ([light, cover], want) = (drawn[i], wanted(i));
            m = [m[0] + light * light, m[1] + light * cover, m[2] + cover * cover];
            t = [t[0] + light * want, t[1] + cover * want];
        }
        let det = m[0] * m[2] - m[1] * m[1];
        let k = if det > 0.0 {
            [(t[0] * m[2] - t[1] * m[1]) / det, (t[1] * m[0] - t[0] * m[1]) / det]
        } else {
            [0.0, 0.0]
        };
        self.used.iter().map(|&i| (wanted(i) - drawn[i][0] * k[0] - drawn[i][1] * k[1]) * 255.0).collect()
    }
}

/// Along the card's lower edge and up, from its middle.
fn on_card(card: &Card, x: f64, y: f64) -> (f64, f64) {
    let (x, y) = (x - card.place[0], y - card.place[1]);
    let (cos, sin) = (math::cos(card.turn), math::sin(card.turn));
    (x * cos + y * sin, x * sin - y * cos)
}

/// Light and coverage of a sharp card at a place on it; edges are as soft as a model point is wide.
fn sharp(size: f64, a: f64, b: f64) -> Complex {
    let shares = |at: f64| -> [f64; CELLS] {
        let beyond = |i: usize| {
            let edge = i as f64 * size / CELLS as f64 - size / 2.0;
            ((at - edge) * FINER as f64 + 0.5).clamp(0.0, 1.0)
        };
        std::array::from_fn(|i| beyond(i) - beyond(i + 1))
    };
    let outside = size / 2.0 + 1.0;
    if a.abs() > outside || b.abs() > outside {
        return [0.0; 2];
    }
    let (across, up) = (shares(a), shares(b));
    let mut sum = [0.0; 2];
    for (i, p) in across.iter().enumerate().filter(|(_, p)| **p != 0.0) {
        for (j, q) in up.iter().enumerate() {
            sum = [sum[0] + p * q * tone(i, j), sum[1] + p * q];
        }
    }
    sum
}

/// What a disc leaves of a wave: 2 J1(z) / z, z being pi x diameter x frequency (its Fourier transform, textbook).
fn airy(z: f64) -> f64 {
    if z > 1e-6 { 2.0 * libm::j1(z) / z } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_that_was_drawn_is_measured() {
        let (width, height) = (120, 110);
        let backdrop: Vec<f64> = (0..width * height).map(|i| 0.2 + (i % width) as f64 * 5e-4).collect();
        let there = Card { place: [61.3, 52.8], size: 50.4, turn: 0.02, disc: 6.5 };
        let window = Window::new([backdrop.clone(), backdrop.clone()], width, &there);
        let drawn = window.drawn(&there);
        let ours: Vec<f64> =
            drawn.iter().zip(&backdrop).map(|(p, b)| 0.7 * p[0] + 0.01 * p[1] + (1.0 - p[1]) * b).collect();
        let expected = Card { place: [61.0, 53.2], size: 50.0, turn: 0.0, disc: 6.0 };
        let [ours, backdrop] = [ours, backdrop].map(|values| Plane { width, values });
        let (card, rms) = measure(&ours, &backdrop, &expected);
        let off = (card.place[0] - 61.3).abs() + (card.place[1] - 52.8).abs() + (card.size - 50.4).abs();
        assert!(off < 1e-3 && (card.turn - 0.02).abs() < 1e-4 && (card.disc - 6.5).abs() < 1e-2, "{card:?}");
        assert!(rms < 0.01, "{rms}");
    }

    #[test]
    fn the_first_dark_ring_of_a_disc() {
        // J1's first zero, 3.8317 (Abramowitz and Stegun 1964, table 9.5).
        assert!(airy(3.831_705_970_2).abs() < 1e-10);
        assert!(airy(0.0) == 1.0 && (airy(1e-3) - 1.0).abs() < 1e-6);
    }
}
