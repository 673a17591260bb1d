//! Laying one picture over another (Porter and Duff 1984; W3C Compositing and Blending Level 1).

use super::simd;
use crate::{Rgb, Rgba};

/// Source over an opaque backdrop, premultiplied: `out = source + (1 - coverage) * out`. Linear light.
pub fn over(source: &[Rgba], out: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                let keep = 1.0 - s.0[3];
                for c in 0..3 {
                    o.0[c] = o.0[c].mul_add(keep, s.0[c]);
                }
            }
        },
    );
}

/// Source over a backdrop that has coverage itself, both premultiplied.
pub fn over_covered(source: &[Rgba], out: &mut [Rgba]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                let keep = 1.0 - s.0[3];
                for c in 0..4 {
                    o.0[c] = o.0[c].mul_add(keep, s.0[c]);
                }
            }
        },
    );
}

/// Light added to light: `out = out + source`; the source's coverage hides nothing. For what shone on black.
pub fn add(source: &[Rgba], out: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                for c in 0..3 {
                    o.0[c] += s.0[c];
                }
            }
        },
    );
}
