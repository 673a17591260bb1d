//! The curves of a profile: what they say for an encoded value.

use pixels::encode::{Power, Transfer};
use std::sync::Arc;
use units::math::pow;

/// A tone curve of a profile (ICC.1:2022, 10.6 and 10.18): encoded value to linear light.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Curve {
    /// A curve that a standard or a pure power defines.
    Known(Transfer),
    /// `(a x + b)^g + e` from `d` on, `c x + f` below.
    Formula { g: f64, a: f64, b: f64, c: f64, d: f64, e: f64, f: f64 },
    /// Values at equal steps, straight lines between.
    Sampled(Arc<[u16]>),
}

impl Curve {
    /// From what the library read; `None` where its numbers make no sense.
    pub(super) fn of(curve: &moxcms::ToneReprCurve) -> Option<Self> {
        let curve = match curve {
            moxcms::ToneReprCurve::Lut(values) => match values.as_slice() {
                [] => Self::Known(Transfer::Linear),
                // One value is an exponent with eight bits of fraction.
                &[g] => Self::power(f64::from(g) / 256.0)?,
                values => Self::Sampled(values.into()),
            },
            moxcms::ToneReprCurve::Parametric(p) => {
                let p: Vec<f64> = p.iter().map(|&v| f64::from(v)).collect();
                if p.iter().any(|v| !v.is_finite()) {
                    return None;
                }
                match p[..] {
                    [g] => Self::power(g)?,
                    [g, a, b] => Self::Formula { g, a, b, c: 0.0, d: -b / a, e: 0.0, f: 0.0 },
                    [g, a, b, c] => Self::Formula { g, a, b, c: 0.0, d: -b / a, e: c, f: c },
                    [g, a, b, c, d] => Self::Formula { g, a, b, c, d, e: 0.0, f: 0.0 },
                    [g, a, b, c, d, e, f] => Self::Formula { g, a, b, c, d, e, f },
                    _ => return None,
                }
            }
        };
        // A standard's curve in other clothes is that standard's curve.
        Some(Transfer::STANDARD.into_iter().find(|&t| curve.is(t)).map_or(curve, Self::Known))
    }

    fn power(exponent: f64) -> Option<Self> {
        if exponent == 1.0 {
            return Some(Self::Known(Transfer::Linear));
        }
        // Profiles round to 1/65536: 2.2 is stored as 2.19999.
        let plain = (exponent * 1000.0).round() / 1000.0;
        let exponent = if (exponent - plain).abs() < 1.0 / 65536.0 { plain } else { exponent };
        Power::new(exponent).map(|p| Self::Known(Transfer::Power(p)))
    }

    /// Linear light of an encoded value; always finite for a finite one within 0..1.
    pub(crate) fn decode(&self, encoded: f64) -> f64 {
        match self {
            Self::Known(transfer) => transfer.decode(encoded),
            &Self::Formula { g, a, b, c, d, e, f } => {
                let x = encoded;
                let y = if x >= d { pow((a * x + b).max(0.0), g) + e } else { c * x + f };
                if y.is_finite() { y } else { 0.0 }
            }
            Self::Sampled(values) => {
                let last = values.len() - 1;
                let at = encoded.clamp(0.0, 1.0) * last as f64;
                let i = (at as usize).min(last.saturating_sub(1));
                let (low, high) = (f64::from(values[i]), f64::from(values[(i + 1).min(last)]));
                (low + (high - low) * (at - i as f64)) / 65535.0
            }
        }
    }

    /// Whether it says the same as a standard's curve, within what fixed-point numbers and sampling can tell.
    fn is(&self, transfer: Transfer) -> bool {
        (0..=128).all(|i| {
            let e = f64::from(i) / 128.0;
            let linear = transfer.decode(e);
            (self.decode(e) - linear).abs() <= 2e-5 + 2e-4 * linear
        })
    }

    /// The curve by name, if it has one.
    pub(super) const fn known(&self) -> Option<Transfer> {
        match self {
            Self::Known(transfer) => Some(*transfer),
            _ => None,
        }
    }
}
