//! Lays a lit and hazed row of a piece over the picture.

use super::simd;
use crate::{Coverage, Rgb, Rgba};

/// What light and haze do to a piece: `colour * gain + coverage * veil`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Light {
    /// Factor on the colour.
    pub gain: [f32; 3],
    /// Light added where it covers.
    pub veil: [f32; 3],
}

/// Over: `out = lit source + (1 - coverage) out`. Premultiplied, linear light.
pub fn over(source: &[Rgba], light: &Light, out: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                let keep = 1.0 - s.0[3];
                for c in 0..3 {
                    let lit = s.0[c].mul_add(light.gain[c], s.0[3] * light.veil[c]);
                    o.0[c] = o.0[c].mul_add(keep, lit);
                }
            }
        },
    );
}

/// Added: `out = out + lit source`.
pub fn add(source: &[Rgba], light: &Light, out: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                for c in 0..3 {
                    o.0[c] = s.0[c].mul_add(light.gain[c], o.0[c]);
                }
            }
        },
    );
}

/// A weight mixed by light, before the light is added: `out = share * value + (1 - share) * out`, share being the added light's
/// part of the luminance that it and the picture come to.
pub fn mix_light(
    source: &[Rgba],
    light: &Light,
    (luminance, picture): ([f32; 3], &[Rgb]),
    value: f32,
    out: &mut [Coverage],
) {
    simd::widest(
        #[inline(always)]
        || {
            for ((s, p), o) in source.iter().zip(picture).zip(out) {
                let (mut added, mut before) = (0.0f32, 0.0f32);
                for c in 0..3 {
                    added = luminance[c].mul_add(s.0[c] * light.gain[c], added);
                    before = luminance[c].mul_add(p.0[c], before);
                }
                let added = added.max(0.0);
                // Nothing of nothing is nothing.
                let share = added / (added + before.max(0.0)).max(f32::MIN_POSITIVE);
                o.0 = (value - o.0).mul_add(share, o.0);
            }
        },
    );
}

/// A weight mixed by coverage: `out = coverage * value + (1 - coverage) * out`.
pub fn mix(source: &[Rgba], value: f32, out: &mut [Coverage]) {
    simd::widest(
        #[inline(always)]
        || {
            for (s, o) in source.iter().zip(out) {
                o.0 = (value - o.0).mul_add(s.0[3], o.0);
            }
        },
    );
}
