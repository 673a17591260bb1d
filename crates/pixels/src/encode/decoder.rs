//! Codes to linear light by table: each entry is the exact value, rounded once to `f32`.

use super::Transfer;
use std::fmt;
use std::sync::{Arc, LazyLock, OnceLock};

/// The linear light of every 8-bit and every 16-bit code of a curve.
pub struct Decoder {
    curve: Box<dyn Fn(f64) -> f64 + Send + Sync>,
    of_u8: [f32; 256],
    /// Made when the first 16-bit picture needs it.
    of_u16: OnceLock<Box<[f32; 65536]>>,
    straight: bool,
}

impl fmt::Debug for Decoder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Decoder")
    }
}

static STANDARD: [LazyLock<Arc<Decoder>>; 5] = [
    LazyLock::new(|| Arc::new(Decoder::new(Transfer::Linear))),
    LazyLock::new(|| Arc::new(Decoder::new(Transfer::Srgb))),
    LazyLock::new(|| Arc::new(Decoder::new(Transfer::Romm))),
    LazyLock::new(|| Arc::new(Decoder::new(Transfer::Bt709))),
    LazyLock::new(|| Arc::new(Decoder::new(Transfer::Bt2020))),
];

impl Decoder {
    /// Of a curve. Those of the standards are made once and shared.
    #[must_use]
    pub fn of(transfer: Transfer) -> Arc<Self> {
        match Transfer::STANDARD.iter().position(|&t| t == transfer) {
            Some(i) => Arc::clone(&STANDARD[i]),
            None => Arc::new(Self::new(transfer)),
        }
    }

    fn new(transfer: Transfer) -> Self {
        let straight = transfer == Transfer::Linear;
        Self { straight, ..Self::from_fn(move |e| transfer.decode(e)) }
    }

    /// Of any curve, given as a function from an encoded value (0..1 for codes) to linear light.
    #[must_use]
    pub fn from_fn(curve: impl Fn(f64) -> f64 + Send + Sync + 'static) -> Self {
        let of_u8 = std::array::from_fn(|code| curve(code as f64 / 255.0) as f32);
        Self { curve: Box::new(curve), of_u8, of_u16: OnceLock::new(), straight: false }
    }

    /// Linear light of every 8-bit code.
    #[must_use]
    pub const fn of_u8(&self) -> &[f32; 256] {
        &self.of_u8
    }

    /// Linear light of every 16-bit code.
    #[must_use]
    pub fn of_u16(&self) -> &[f32; 65536] {
        self.of_u16.get_or_init(|| {
            let table: Box<[f32]> =
                (0..65536).map(|code| (self.curve)(f64::from(code) / 65535.0) as f32).collect();
            table.try_into().expect("the table was made with 65536 entries")
        })
    }

    /// Linear light of an encoded value.
    #[must_use]
    pub fn of_f32(&self, encoded: f32) -> f32 {
        if self.straight { encoded } else { (self.curve)(f64::from(encoded)) as f32 }
    }

    /// Whether encoded values are linear light as they stand.
    #[must_use]
    pub const fn is_straight(&self) -> bool {
        self.straight
    }

    /// Linear light of 8-bit codes, as many as both slices have.
    pub fn u8s(&self, codes: &[u8], linear: &mut [f32]) {
        for (x, &code) in linear.iter_mut().zip(codes) {
            *x = self.of_u8[usize::from(code)];
        }
    }

    /// Linear light of 16-bit codes, as many as both slices have.
    pub fn u16s(&self, codes: &[u16], linear: &mut [f32]) {
        let table = self.of_u16();
        for (x, &code) in linear.iter_mut().zip(codes) {
            *x = table[usize::from(code)];
        }
    }
}
