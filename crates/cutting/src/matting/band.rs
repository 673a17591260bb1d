//! The pixels that are not sure, numbered row by row.

use super::trimap::{Sure, Trimap};
use rayon::prelude::*;
use std::ops::Range;
use units::PxRect;

/// The unknown pixels of a trimap and their numbers.
pub(super) struct Band {
    place: PxRect,
    pixels: Vec<(i32, i32)>,
    numbers: Vec<u32>,
}

const NONE: u32 = u32::MAX;

impl Band {
    pub(super) fn of(trimap: &Trimap) -> Self {
        let place = trimap.place();
        let mut pixels = Vec::new();
        let mut numbers = vec![NONE; place.area()];
        let at = (place.y0()..place.y1()).flat_map(|y| (place.x0()..place.x1()).map(move |x| (x, y)));
        for ((number, sure), (x, y)) in numbers.iter_mut().zip(trimap.cells()).zip(at) {
            if *sure == Sure::Between {
                *number = pixels.len() as u32;
                pixels.push((x as i32, y as i32));
            }
        }
        Self { place, pixels, numbers }
    }

    pub(super) fn len(&self) -> usize {
        self.pixels.len()
    }

    /// Columns and rows, by number.
    pub(super) fn pixels(&self) -> impl ExactSizeIterator<Item = (i64, i64)> + '_ {
        self.pixels.iter().map(|&(x, y)| (i64::from(x), i64::from(y)))
    }

    /// The numbers of the pixels in some rows.
    pub(super) fn in_rows(&self, rows: Range<i64>) -> Range<usize> {
        let before = |y: i64| self.pixels.partition_point(|&(_, v)| i64::from(v) < y);
        before(rows.start)..before(rows.end)
    }

    /// What `work` makes of each pixel, by number; on all threads.
    pub(super) fn spread<T: Send>(&self, work: impl Fn((i64, i64)) -> T + Sync) -> Vec<T> {
        self.pixels.par_iter().map(|&(x, y)| work((i64::from(x), i64::from(y)))).collect()
    }

    /// The number of a pixel, where it is in the band.
    pub(super) fn number(&self, x: i64, y: i64) -> Option<usize> {
        if !self.place.contains(x, y) {
            return None;
        }
        let at = (y - self.place.y0()) as usize * self.place.width() + (x - self.place.x0()) as usize;
        Some(self.numbers[at]).filter(|&n| n != NONE).map(|n| n as usize)
    }
}
