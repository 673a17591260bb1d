//! The one way in which a description of the world can be wrong: a number outside what is possible.

use std::fmt;
use units::Vec3;

/// A number that lies outside what is allowed: which one, what it was, what is allowed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OutOfRange {
    quantity: &'static str,
    value: f64,
    allowed: &'static str,
}

impl OutOfRange {
    pub(crate) const fn new(quantity: &'static str, value: f64, allowed: &'static str) -> Self {
        Self { quantity, value, allowed }
    }

    /// What is wrong.
    #[must_use]
    pub fn what(&self) -> String {
        format!("the {} is {}", self.quantity, self.value)
    }

    /// Where: the name of the quantity.
    #[must_use]
    pub const fn place(&self) -> &'static str {
        self.quantity
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        format!("give it {}", self.allowed)
    }

    /// The number that was refused.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// What is allowed, in words.
    #[must_use]
    pub const fn allowed(&self) -> &'static str {
        self.allowed
    }
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.what(), self.remedy())
    }
}

impl std::error::Error for OutOfRange {}

/// `value` if it lies in `low..=high`. NaN lies nowhere.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    low: f64,
    high: f64,
    allowed: &'static str,
) -> Result<(), OutOfRange> {
    if value >= low && value <= high { Ok(()) } else { Err(OutOfRange::new(quantity, value, allowed)) }
}

/// The brightest light there may be, in picture units: far beyond any picture, far from overflow.
const BRIGHTEST: f64 = 1e9;

/// Each component of a light: no darker than nothing, and finite.
pub(crate) fn light(quantity: &'static str, rgb: Vec3) -> Result<(), OutOfRange> {
    rgb.0
        .iter()
        .try_for_each(|&v| within(quantity, v, 0.0, BRIGHTEST, "0 to 1e9 in each of red, green and blue"))
}

/// `value` if it is more than 0 and finite.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    within(quantity, value, f64::MIN_POSITIVE, f64::MAX, "more than 0, and finite").map(|()| value)
}
