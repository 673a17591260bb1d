//! Linear light to codes, quickly.
//!
//! Two ways, chosen by the curve. A curve with a straight foot is, above the foot, smooth in s = x^(1/4), so a
//! polynomial of degree 8 in s follows it to 0.007 of a 16-bit code: two square roots, eight products and sums,
//! no table. A pure power is as steep as one likes near 0, where no polynomial follows it: it goes by a table of
//! straight pieces that is indexed by the bits of the number, 512 pieces an octave.
//! Rounding is half up, floor(65535 e + 1/2); within about 0.01 of a code of such an edge the neighbour may come
//! out, which is what `f32` allows.

use super::Transfer;
use crate::kernel::simd;
use std::sync::{Arc, LazyLock};
use units::math::cos;

/// Linear light to 8-bit and 16-bit codes of a curve. What is below 0 or not a number gives code 0, what is above
/// 1 the highest.
pub struct Encoder(Way);

enum Way {
    Straight,
    Root(Box<Root>),
    Pieces(Box<Pieces>),
}

const DEGREE: usize = 8;

/// The polynomial in t = (x^(1/4) - mid) * stretch, which runs over -1..1 above the foot.
#[derive(Clone, Copy)]
struct Root {
    slope: f32,
    joint: f32,
    mid: f32,
    stretch: f32,
    terms: [f32; DEGREE + 1],
}

/// `encoded = piece[0] + piece[1] * x`, by the bits of `x + FOOT`.
struct Pieces {
    pieces: Box<[[f32; 2]; PIECES]>,
}

/// Bits of the fraction that index the table.
const FRACTION: u32 = 9;
/// 64 octaves hold what is needed and let the compiler see that the masked index is in the table.
const PIECES: usize = 64 << FRACTION;
/// Added to the number before its bits are taken: below it the pieces are of equal width, so 0 has a place.
/// 2^-36 is less than the first 16-bit code of a power of 2.25; still steeper ones lose only parts of code 1.
const FOOT: f32 = 1.0 / (1u64 << 36) as f32;
/// Added to a number in 0..2^23, it leaves the number rounded to the nearest whole in the low bits.
const WHOLE: f32 = 8_388_608.0;

static STANDARD: [LazyLock<Arc<Encoder>>; 5] = [
    LazyLock::new(|| Arc::new(Encoder::new(Transfer::Linear))),
    LazyLock::new(|| Arc::new(Encoder::new(Transfer::Srgb))),
    LazyLock::new(|| Arc::new(Encoder::new(Transfer::Romm))),
    LazyLock::new(|| Arc::new(Encoder::new(Transfer::Bt709))),
    LazyLock::new(|| Arc::new(Encoder::new(Transfer::Bt2020))),
];

impl Encoder {
    /// Of a curve. Those of the standards are made once and shared.
    #[must_use]
    pub fn of(transfer: Transfer) -> Arc<Self> {
        match Transfer::STANDARD.iter().position(|&t| t == transfer) {
            Some(i) => Arc::clone(&STANDARD[i]),
            None => Arc::new(Self::new(transfer)),
        }
    }

    fn new(transfer: Transfer) -> Self {
        Self(match transfer {
            Transfer::Linear => Way::Straight,
            Transfer::Power(_) => Way::Pieces(Box::new(Pieces::new(transfer))),
            _ => Way::Root(Box::new(Root::new(transfer))),
        })
    }

    /// 8-bit codes of linear light, as many as both slices have.
    pub fn u8s(&self, linear: &[f32], codes: &mut [u8]) {
        self.run(linear, codes);
    }

    /// 16-bit codes of linear light, as many as both slices have.
    pub fn u16s(&self, linear: &[f32], codes: &mut [u16]) {
        self.run(linear, codes);
    }

    fn run<C: Code>(&self, linear: &[f32], codes: &mut [C]) {
        #[cfg(target_arch = "x86_64")]
        if std::arch::is_x86_feature_detected!("avx2") {
            #[allow(
                unsafe_code,
                reason = "the instructions that the function was compiled for were just found"
            )]
            // SAFETY: `with_avx2` is ordinary safe code, compiled for AVX2; the processor has AVX2.
            unsafe {
                self.with_avx2(linear, codes);
            }
            return;
        }
        self.plainly(linear, codes);
    }

    /// The same sums in the same order, eight at a time: the digits do not change (no fused products).
    #[cfg(target_arch = "x86_64")]
    #[target_feature(enable = "avx2")]
    fn with_avx2<C: Code>(&self, linear: &[f32], codes: &mut [C]) {
        self.plainly(linear, codes);
    }

    #[inline(always)]
    fn plainly<C: Code>(&self, linear: &[f32], codes: &mut [C]) {
        match &self.0 {
            Way::Straight => each(linear, codes, |x| x * C::TOP),
            Way::Root(root) => {
                // By value: the loop must not fetch it again after each code that it stores.
                let root = root.times(C::TOP);
                each(linear, codes, |x| root.encode(x));
            }
            Way::Pieces(pieces) => each(linear, codes, |x| pieces.encode(x) * C::TOP),
        }
    }
}

/// The nearest 8-bit codes of 16-bit ones, as many as both slices have: c / 257, rounded.
pub fn narrowed(codes: &[u16], out: &mut [u8]) {
    simd::widest(
        #[inline(always)]
        || {
            for (o, &c) in out.iter_mut().zip(codes) {
                *o = ((u32::from(c) * 255 + 32895) >> 16) as u8;
            }
        },
    );
}

/// A whole number that codes are stored in.
trait Code: Copy {
    const TOP: f32;
    /// The low bits.
    fn low(bits: u32) -> Self;
}

impl Code for u8 {
    const TOP: f32 = 255.0;
    #[inline(always)]
    fn low(bits: u32) -> Self {
        bits as Self
    }
}

impl Code for u16 {
    const TOP: f32 = 65535.0;
    #[inline(always)]
    fn low(bits: u32) -> Self {
        bits as Self
    }
}

#[inline(always)]
#[allow(clippy::manual_clamp, reason = "clamp lets through what is not a number")]
fn each<C: Code>(linear: &[f32], codes: &mut [C], encode: impl Fn(f32) -> f32) {
    for (code, &x) in codes.iter_mut().zip(linear) {
        // `max` first: it turns what is not a number into 0. Within 0..1 every way stays within half a code of
        // 0 and of the highest, so that the whole number needs no bounds of its own.
        let scaled = encode(x.max(0.0).min(1.0));
        *code = C::low((scaled + WHOLE).to_bits());
    }
}

impl Root {
    fn new(transfer: Transfer) -> Self {
        let s = transfer.shape().expect("only curves with a foot come here");
        let foot = s.joint.sqrt().sqrt();
        let (mid, half) = (f64::midpoint(foot, 1.0), (1.0 - foot) / 2.0);
        // Interpolation at the Chebyshev nodes: as good as the best polynomial but for a small factor.
        let nodes = 64;
        let angle = |k: usize| std::f64::consts::PI * (k as f64 + 0.5) / nodes as f64;
        let mut chebyshev = [0.0; DEGREE + 1];
        for (n, c) in chebyshev.iter_mut().enumerate() {
            let sum: f64 = (0..nodes)
                .map(|k| {
                    let root = mid + half * cos(angle(k));
                    let x = root * root * root * root;
                    transfer.encode(x.max(s.joint)) * cos(n as f64 * angle(k))
                })
                .sum();
            *c = sum * if n == 0 { 1.0 } else { 2.0 } / nodes as f64;
        }
        Self {
            slope: s.slope as f32,
            joint: s.joint as f32,
            mid: mid as f32,
            stretch: (1.0 / half) as f32,
            terms: powers_of_chebyshev(&chebyshev).map(|c| c as f32),
        }
    }

    /// With its results this many times as large.
    #[inline(always)]
    fn times(&self, k: f32) -> Self {
        Self { slope: self.slope * k, terms: self.terms.map(|c| c * k), ..*self }
    }

    #[inline(always)]
    fn encode(&self, x: f32) -> f32 {
        let t = (x.sqrt().sqrt() - self.mid) * self.stretch;
        let [a, b, c, d, e, f, g, h, i] = self.terms;
        let (t2, foot) = (t * t, x * self.slope);
        let t4 = t2 * t2;
        let low = (a + b * t) + (c + d * t) * t2;
        let high = (e + f * t) + (g + h * t) * t2;
        let curve = low + (high + i * t4) * t4;
        if x < self.joint { foot } else { curve }
    }
}

/// A sum of Chebyshev polynomials as a sum of powers.
fn powers_of_chebyshev(chebyshev: &[f64; DEGREE + 1]) -> [f64; DEGREE + 1] {
    let mut out = [0.0; DEGREE + 1];
    let (mut before, mut now) = ([0.0; DEGREE + 1], [0.0; DEGREE + 1]);
    before[1.min(DEGREE)] = 1.0; // T(-1) = T(1) = t
    now[0] = 1.0; // T(0) = 1
    for &c in chebyshev {
        let mut next = before.map(|v| -v);
        for k in 0..DEGREE {
            next[k + 1] += 2.0 * now[k];
        }
        for k in 0..=DEGREE {
            out[k] += c * now[k];
        }
        (before, now) = (now, next);
    }
    out
}

impl Pieces {
    fn new(transfer: Transfer) -> Self {
        let mut pieces = vec![[0.0; 2]; PIECES].into_boxed_slice();
        for (i, piece) in pieces.iter_mut().enumerate() {
            let edge = |i: u32| f64::from(f32::from_bits((i + Self::base()) << (23 - FRACTION)) - FOOT);
            let (x0, x1) = (edge(i as u32), edge(i as u32 + 1));
            if x0 > 1.0 {
                break;
            }
            let (y0, y1) = (transfer.encode(x0), transfer.encode(x1));
            let slope = (y1 - y0) / (x1 - x0);
            // The chord lies on one side of the curve; half the gap in the middle shares the error between both.
            let gap = transfer.encode(f64::midpoint(x0, x1)) - f64::midpoint(y0, y1);
            *piece = [(y0 + gap / 2.0 - slope * x0) as f32, slope as f32];
        }
        // The first piece begins at 0, which must stay 0.
        pieces[0][0] = 0.0;
        Self { pieces: pieces.try_into().expect("the table was made with that many pieces") }
    }

    const fn base() -> u32 {
        FOOT.to_bits() >> (23 - FRACTION)
    }

    #[inline(always)]
    fn encode(&self, x: f32) -> f32 {
        let index = ((x + FOOT).to_bits() >> (23 - FRACTION)).wrapping_sub(Self::base());
        let [start, slope] = self.pieces[index as usize & (PIECES - 1)];
        start + slope * x
    }
}
