//! Quantities: finite by construction, of one unit each, with only the sums and ratios that mean something.

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            /// The quantity, or `None` where the number is infinite or not a number.
            #[must_use]
            pub const fn new(value: f64) -> Option<Self> {
                if value.is_finite() { Some(Self(value)) } else { None }
            }

            /// A constant of the source code. Evaluated in a `const`, a mistake does not compile.
            ///
            /// # Panics
            /// Where the number is infinite or not a number.
            #[must_use]
            pub const fn of(value: f64) -> Self {
                assert!(value.is_finite());
                Self(value)
            }

            /// The bare number, in the unit of the type.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }

            /// Without its sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// Overflow ends at the largest number, never at infinity; 0/0 has no meaning and gives 0.
            const fn settled(value: f64) -> Self {
                if value.is_nan() { Self(0.0) } else { Self(value.clamp(-f64::MAX, f64::MAX)) }
            }
        }

        impl Eq for $name {}

        impl Ord for $name {
            fn cmp(&self, other: &Self) -> std::cmp::Ordering {
                // Never unordered: NaN cannot get in.
                self.0.partial_cmp(&other.0).unwrap_or(std::cmp::Ordering::Equal)
            }
        }

        impl PartialOrd for $name {
            fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
                Some(self.cmp(other))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, rhs: Self) -> Self {
                Self::settled(self.0 + rhs.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, rhs: Self) -> Self {
                Self::settled(self.0 - rhs.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::settled(self.0 * factor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, rhs: Self) -> f64 {
                self.0 / rhs.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)?;
                f.write_str($unit)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{:?}{}", self.0, $unit)
            }
        }
    };
}

quantity!(
    /// A length or place on the stage.
    Metres, " m");
quantity!(
    /// Focal lengths, sensors and prints.
    Millimetres, " mm");
quantity!(
    /// A length or place in a picture.
    Pixels, " px");
quantity!(
    /// Scale at a place on the stage or in a shot.
    PixelsPerMetre, " px/m");
quantity!(
    /// Brightness as a power of two (EV).
    Stops, " stops");
quantity!(
    /// Reciprocal megakelvin: equal steps look equal.
    Mired, " mired");
quantity!(
    /// Correlated colour temperature.
    Kelvin, " K");
quantity!(
    /// An angle.
    Degrees, "°");

impl Div<Metres> for Pixels {
    type Output = PixelsPerMetre;
    fn div(self, rhs: Metres) -> PixelsPerMetre {
        PixelsPerMetre::settled(self.0 / rhs.0)
    }
}

impl Mul<Metres> for PixelsPerMetre {
    type Output = Pixels;
    fn mul(self, rhs: Metres) -> Pixels {
        Pixels::settled(self.0 * rhs.0)
    }
}

impl Div<PixelsPerMetre> for Pixels {
    type Output = Metres;
    fn div(self, rhs: PixelsPerMetre) -> Metres {
        Metres::settled(self.0 / rhs.0)
    }
}

impl From<Millimetres> for Metres {
    fn from(mm: Millimetres) -> Self {
        Self(mm.0 / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_infinite_gets_in_or_out() {
        assert_eq!(Metres::new(f64::NAN), None);
        assert_eq!(Metres::new(f64::INFINITY), None);
        let huge = Metres::of(f64::MAX);
        assert_eq!(huge + huge, huge);
        assert_eq!((Pixels::of(1.0) / Metres::ZERO).get(), f64::MAX);
        assert_eq!((Pixels::ZERO / Metres::ZERO).get(), 0.0);
    }

    #[test]
    fn pixels_over_metres_is_a_scale() {
        let scale = Pixels::of(600.0) / Metres::of(2.0);
        assert_eq!(scale, PixelsPerMetre::of(300.0));
        assert_eq!(scale * Metres::of(1.5), Pixels::of(450.0));
        assert_eq!(Metres::from(Millimetres::of(50.0)), Metres::of(0.05));
    }
}
