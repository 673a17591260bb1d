//! A window of a picture while it is mended, at one size.

use pixels::Rgb;
use rayon::prelude::*;
use units::PxRect;

/// The square root of light: red, green, blue; then how sure it is, 0 to 1.
pub(super) type Light = [f32; 4];

/// Pixels, row by row, and which of them are unknown.
#[derive(Clone)]
pub(super) struct Canvas {
    place: PxRect,
    pub(super) light: Vec<Light>,
    pub(super) open: Vec<bool>,
}

impl Canvas {
    pub(super) fn new(place: PxRect, at: impl Fn(i64, i64) -> Rgb, open: impl Fn(i64, i64) -> bool) -> Self {
        let cells = || super::cells(place);
        let root = |Rgb([r, g, b]): Rgb| [r, g, b, 0.0].map(|v| v.max(0.0).sqrt());
        let light = cells().map(|(x, y)| root(at(x, y))).collect();
        Self { place, light, open: cells().map(|(x, y)| open(x, y)).collect() }
    }

    pub(super) fn width(&self) -> usize {
        self.place.width()
    }

    pub(super) fn height(&self) -> usize {
        self.place.height()
    }

    /// Light of the picture's pixel at column `x`, row `y`, linear.
    pub(super) fn linear(&self, x: i64, y: i64) -> Rgb {
        let at = (y - self.place.y0()) as usize * self.width() + (x - self.place.x0()) as usize;
        let [r, g, b, _] = self.light[at];
        Rgb([r, g, b].map(|v| v.max(0.0) * v.max(0.0)))
    }

    /// What is unknown, by number.
    pub(super) fn unknown(&self) -> Vec<u32> {
        (0..self.open.len()).filter(|i| self.open[*i]).map(|i| i as u32).collect()
    }

    /// At half the size: means of what is known of four. Unknown is where `few` of them or more are.
    pub(super) fn halved(&self, few: usize) -> Self {
        let (w, h) = (self.width(), self.height());
        let place = PxRect::new(0, 0, w.div_ceil(2) as i64, h.div_ceil(2) as i64);
        let cells = super::cells(place).map(|(u, v)| {
            let four = [(0, 0), (1, 0), (0, 1), (1, 1)]
                .map(|(x, y)| (2 * v as usize + y).min(h - 1) * w + (2 * u as usize + x).min(w - 1));
            let known = four.iter().filter(|i| !self.open[**i]);
            let count = known.clone().count();
            let sum = known.fold([0.0f32; 4], |s, i| [0, 1, 2, 3].map(|c| s[c] + self.light[*i][c]));
            (sum.map(|s| s / count.max(1) as f32), 4 - count >= few)
        });
        let (light, open) = cells.unzip();
        Self { place, light, open }
    }

    /// With what is unknown filled evenly from around it: from coarse to fine, each time made smooth. Where nothing is known,
    /// as it is.
    pub(super) fn evenly(mut self) -> Self {
        let unknown = self.unknown();
        if unknown.is_empty() || unknown.len() == self.open.len() {
            return self;
        }
        let (w, h) = (self.width(), self.height());
        let small = self.halved(4).evenly();
        let (u, v) = (small.width(), small.height());
        let from_small = |i: &u32| {
            let axis = |at: usize, most: usize| {
                let (near, far) = (at / 2, (at / 2 + at % 2 * 2).saturating_sub(1));
                (near.min(most - 1), far.min(most - 1))
            };
            let ((x0, x1), (y0, y1)) = (axis(*i as usize % w, u), axis(*i as usize / w, v));
            let four = [(x0, y0, 9.0), (x1, y0, 3.0), (x0, y1, 3.0), (x1, y1, 1.0)];
            four.iter().fold([0.0f32; 4], |s, (x, y, k)| {
                [0, 1, 2, 3].map(|c| s[c] + small.light[y * u + x][c] * k / 16.0)
            })
        };
        let first: Vec<Light> = unknown.par_iter().map(from_small).collect();
        self.set(&unknown, &first);
        for _ in 0..SMOOTHED {
            let mean = |i: &u32| {
                let near = beside(*i as usize, w, h);
                let sum =
                    near.clone().fold([0.0f32; 4], |s, j| [0, 1, 2, 3].map(|c| s[c] + self.light[j][c]));
                let count = near.count() as f32;
                sum.map(|s| s / count)
            };
            let next: Vec<Light> = unknown.par_iter().map(mean).collect();
            self.set(&unknown, &next);
        }
        self
    }

    /// How sure each pixel is.
    pub(super) fn trust(&mut self, sure: impl Fn(usize) -> f32) {
        self.light.iter_mut().enumerate().for_each(|(i, l)| l[3] = sure(i));
    }

    /// Sets the light of some pixels.
    pub(super) fn set(&mut self, numbers: &[u32], light: &[Light]) {
        for (i, [r, g, b, _]) in numbers.iter().zip(light) {
            let own = &mut self.light[*i as usize];
            *own = [*r, *g, *b, own[3]];
        }
    }
}

/// How often an even fill is averaged with its neighbours at each size.
const SMOOTHED: usize = 12;

/// The pixels beside a pixel, up to four.
pub(super) fn beside(i: usize, w: usize, h: usize) -> impl Iterator<Item = usize> + Clone {
    let (x, y) = (i % w, i / w);
    [(x > 0, i.wrapping_sub(1)), (x + 1 < w, i + 1), (y > 0, i.wrapping_sub(w)), (y + 1 < h, i + w)]
        .into_iter()
        .filter_map(|(there, j)| there.then_some(j))
}
