//! What several tests need: pictures made by rule, and files made from them.
#![allow(dead_code, reason = "every test uses its own part of it")]

use files::encode::{Codes, Description, Form, whole};
use files::{Channels, Limits, Photograph, Samples};
use pixels::Budget;
use pixels::encode::Transfer;
use std::io::Cursor;
use units::{Primaries, PxSize};

pub(crate) const SRGB: Option<(Primaries, Transfer)> = Some((Primaries::Srgb, Transfer::Srgb));

pub(crate) fn budget() -> Budget {
    Budget::of_bytes(1 << 30)
}

pub(crate) fn describe(
    width: u32,
    height: u32,
    channels: Channels,
    colour: Option<(Primaries, Transfer)>,
) -> Description {
    Description { size: PxSize::new(width, height).unwrap(), channels, colour, ppi: Some(300.0) }
}

pub(crate) fn file(description: Description, form: Form, codes: Codes<'_>) -> Vec<u8> {
    whole(Cursor::new(Vec::new()), description, form, codes).unwrap().into_inner()
}

pub(crate) fn decode(bytes: &[u8]) -> Photograph {
    files::decode(bytes, &Limits::default(), &budget()).unwrap_or_else(|e| panic!("{e}"))
}

pub(crate) fn u8s(photograph: &Photograph) -> &[u8] {
    match photograph.samples() {
        Samples::U8(v) => v,
        other => panic!("{other:?}"),
    }
}

pub(crate) fn u16s(photograph: &Photograph) -> &[u16] {
    match photograph.samples() {
        Samples::U16(v) => v,
        other => panic!("{other:?}"),
    }
}

pub(crate) fn f32s(photograph: &Photograph) -> &[f32] {
    match photograph.samples() {
        Samples::F32(v) => v,
        other => panic!("{other:?}"),
    }
}

/// Numbers that look like chance and are the same every time (Marsaglia 2003, xorshift).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() >> 11) as usize % n
    }
}

/// A soft picture of 8-bit RGB, as a photograph is.
pub(crate) fn soft(width: u32, height: u32) -> Vec<u8> {
    let wave = |x: u32, y: u32, c: u32| {
        let t = f64::from(x) * (0.021 + 0.004 * f64::from(c)) + f64::from(y) * 0.017;
        (128.0 + 100.0 * units::math::sin(t)).round() as u8
    };
    (0..height).flat_map(|y| (0..width).flat_map(move |x| (0..3).map(move |c| wave(x, y, c)))).collect()
}
