//! Linear light to the codes of a file.

use files::Depth;
use files::encode::Codes;
use pixels::encode::{Encoder, Transfer, between, convert_rgb, narrow};
use pixels::{Budget, Image, Rgb};
use std::ops::Range;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use units::Primaries;

/// Turns bands of linear light into codes, and counts what did not fit. Threads share it.
pub(super) struct Coder<'a> {
    curve: Arc<Encoder>,
    /// To the file's primaries, where those are others than the picture's.
    convert: Option<[[f32; 3]; 3]>,
    pub(super) depth: Depth,
    pub(super) budget: &'a Budget,
    pub(super) counts: Counts,
}

/// Pixels that did not fit.
#[derive(Default)]
pub(super) struct Counts {
    pub(super) outside: AtomicU64,
    pub(super) over: AtomicU64,
}

impl<'a> Coder<'a> {
    /// From some primaries to others, with these others' curve.
    pub(super) fn new(
        (from, to): (Primaries, Primaries),
        transfer: Transfer,
        depth: Depth,
        budget: &'a Budget,
    ) -> Self {
        let convert = (from != to).then(|| narrow(between(from, to)));
        Self { curve: Encoder::of(transfer), convert, depth, budget, counts: Counts::default() }
    }

    /// Linear light to the file's codes.
    pub(super) fn rows(&self, band: &Image<Rgb>) -> Result<Rows, render::Error> {
        let converted;
        let band = match &self.convert {
            Some(matrix) => {
                let mut copy = band.crop(band.place(), self.budget)?;
                convert_rgb(matrix, copy.pixels_mut());
                converted = copy;
                &converted
            }
            None => band,
        };
        let samples = band.samples();
        let mut codes = Rows::new(self.depth, samples.len());
        match &mut codes {
            Rows::U8(v) => self.curve.u8s(samples, v),
            Rows::U16(v) => self.curve.u16s(samples, v),
            Rows::F32(v) => v.copy_from_slice(samples),
        }
        if !matches!(codes, Rows::F32(_)) {
            self.count(band);
        }
        Ok(codes)
    }

    /// Counts what the codes could not hold. A hair beyond is what sums in 32 bits leave behind.
    fn count(&self, band: &Image<Rgb>) {
        const HAIR: f32 = 1e-3;
        let (mut outside, mut over) = (0u64, 0u64);
        for Rgb([r, g, b]) in band.pixels() {
            outside += u64::from(r.min(*g).min(*b) < -HAIR);
            over += u64::from(r.max(*g).max(*b) > 1.0 + HAIR);
        }
        self.counts.outside.fetch_add(outside, Ordering::Relaxed);
        self.counts.over.fetch_add(over, Ordering::Relaxed);
    }
}

/// Codes of some rows.
pub(super) enum Rows {
    U8(Vec<u8>),
    U16(Vec<u16>),
    F32(Vec<f32>),
}

impl Rows {
    pub(super) fn new(depth: Depth, len: usize) -> Self {
        match depth {
            Depth::U8 => Self::U8(vec![0; len]),
            Depth::U16 => Self::U16(vec![0; len]),
            Depth::F16 | Depth::F32 => Self::F32(vec![0.0; len]),
        }
    }

    pub(super) fn codes(&self) -> Codes<'_> {
        match self {
            Self::U8(v) => Codes::U8(v),
            Self::U16(v) => Codes::U16(v),
            Self::F32(v) => Codes::F32(v),
        }
    }

    pub(super) fn put(&mut self, at: usize, from: &Self, range: Range<usize>) {
        let to = at..at + range.len();
        match (self, from) {
            (Self::U8(a), Self::U8(b)) => a[to].copy_from_slice(&b[range]),
            (Self::U16(a), Self::U16(b)) => a[to].copy_from_slice(&b[range]),
            (Self::F32(a), Self::F32(b)) => a[to].copy_from_slice(&b[range]),
            _ => unreachable!("all codes of a file are of one kind"),
        }
    }
}
