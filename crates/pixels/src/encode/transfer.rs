//! The transfer curves of the standards, exact.

use units::math::pow;

/// A pure power curve: encoded = linear^(1/exponent).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Power(f64);

impl Power {
    /// From the exponent of the decoding direction (2.2, not 0.4545): `None` where it is not within 0.1 to 10.
    #[must_use]
    pub fn new(exponent: f64) -> Option<Self> {
        (0.1..=10.0).contains(&exponent).then_some(Self(exponent))
    }

    /// The exponent of the decoding direction.
    #[must_use]
    pub const fn exponent(self) -> f64 {
        self.0
    }
}

// Never NaN: `new` lets in only what lies within its bounds.
impl Eq for Power {}

/// A transfer curve: linear light in 0..1 to an encoded value in 0..1 and back. Beyond 1 the formula goes on;
/// below 0 it is mirrored, so that no value is lost (IEC 61966-2-2 treats negative values so).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Transfer {
    /// Encoded values are linear light.
    Linear,
    /// IEC 61966-2-1; Display P3 (SMPTE EG 432-1 primaries) uses the same curve.
    Srgb,
    /// ISO 22028-2 (ROMM): power 1.8 with a straight foot of slope 16 below 1/512.
    Romm,
    /// ITU-R BT.709-6 item 1.2, constants as printed (1.099, 0.018); BT.2020 in 10 bits prints the same.
    Bt709,
    /// ITU-R BT.2020-2 table 4 with the constants at full precision, so that the two parts meet smoothly.
    Bt2020,
    /// A pure power.
    Power(Power),
}

/// A straight foot and an offset power: encoded = slope x below `joint`, else scale x^exponent - offset.
/// The joint itself belongs to the power, save where a `next_up` says that the standard gives it to the foot.
pub(super) struct Shape {
    pub(super) slope: f64,
    /// In linear light.
    pub(super) joint: f64,
    /// In encoded values: the standards round the two joints independently.
    pub(super) encoded_joint: f64,
    pub(super) scale: f64,
    pub(super) offset: f64,
    pub(super) exponent: f64,
    /// Of the decoding direction: `1/exponent` as the standard prints it.
    pub(super) inverse: f64,
}

impl Transfer {
    /// Every curve that has no parameter.
    pub const STANDARD: [Self; 5] = [Self::Linear, Self::Srgb, Self::Romm, Self::Bt709, Self::Bt2020];

    /// The numbers of the curve; none for a straight line.
    pub(super) const fn shape(self) -> Option<Shape> {
        Some(match self {
            Self::Linear => return None,
            Self::Srgb => Shape {
                slope: 12.92,
                joint: 0.003_130_8_f64.next_up(),
                encoded_joint: 0.040_45_f64.next_up(),
                scale: 1.055,
                offset: 0.055,
                exponent: 1.0 / 2.4,
                inverse: 2.4,
            },
            Self::Romm => Shape {
                slope: 16.0,
                joint: 1.0 / 512.0,
                encoded_joint: 16.0 / 512.0,
                scale: 1.0,
                offset: 0.0,
                exponent: 1.0 / 1.8,
                inverse: 1.8,
            },
            Self::Bt709 => Shape {
                slope: 4.5,
                joint: 0.018,
                encoded_joint: 4.5 * 0.018,
                scale: 1.099,
                offset: 0.099,
                exponent: 0.45,
                inverse: 1.0 / 0.45,
            },
            Self::Bt2020 => Shape {
                slope: 4.5,
                joint: 0.018_053_968_510_807,
                encoded_joint: 4.5 * 0.018_053_968_510_807,
                scale: 1.099_296_826_809_44,
                offset: 0.099_296_826_809_44,
                exponent: 0.45,
                inverse: 1.0 / 0.45,
            },
            Self::Power(Power(g)) => Shape {
                slope: 0.0,
                joint: 0.0,
                encoded_joint: 0.0,
                scale: 1.0,
                offset: 0.0,
                exponent: 1.0 / g,
                inverse: g,
            },
        })
    }

    /// Linear light of an encoded value.
    #[must_use]
    pub fn decode(self, encoded: f64) -> f64 {
        let Some(s) = self.shape() else { return encoded };
        let e = encoded.abs();
        let linear = if e < s.encoded_joint { e / s.slope } else { pow((e + s.offset) / s.scale, s.inverse) };
        linear.copysign(encoded)
    }

    /// Encoded value of linear light.
    #[must_use]
    pub fn encode(self, linear: f64) -> f64 {
        let Some(s) = self.shape() else { return linear };
        let x = linear.abs();
        let encoded = if x < s.joint { x * s.slope } else { s.scale * pow(x, s.exponent) - s.offset };
        encoded.copysign(linear)
    }
}
