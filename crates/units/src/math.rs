//! Elementary functions whose every digit is the same on every machine (the `libm` crate, a port of
//! MUSL's). The standard library's differ in the last digit from platform to platform, and one digit
//! is enough to break a cache key or a golden picture.

macro_rules! through_libm {
    ($($(#[$doc:meta])* $name:ident => $libm:ident ( $($arg:ident),+ );)+) => {
        $($(#[$doc])* #[must_use] pub fn $name($($arg: f64),+) -> f64 { libm::$libm($($arg),+) })+
    };
}

through_libm! {
    /// Sine of an angle in radians.
    sin => sin(x);
    /// Cosine of an angle in radians.
    cos => cos(x);
    /// Tangent of an angle in radians.
    tan => tan(x);
    /// Arc sine in radians.
    asin => asin(x);
    /// Arc cosine in radians.
    acos => acos(x);
    /// Arc tangent in radians.
    atan => atan(x);
    /// Angle of the point (x, y) in radians.
    atan2 => atan2(y, x);
    /// e to the x.
    exp => exp(x);
    /// 2 to the x.
    exp2 => exp2(x);
    /// Natural logarithm.
    ln => log(x);
    /// Logarithm to base 2.
    log2 => log2(x);
    /// Logarithm to base 10.
    log10 => log10(x);
    /// x to the y.
    pow => pow(x, y);
    /// Length of the vector (x, y).
    hypot => hypot(x, y);
    /// Cube root.
    cbrt => cbrt(x);
}

/// Degrees to radians.
#[must_use]
pub fn radians(degrees: f64) -> f64 {
    degrees * (std::f64::consts::PI / 180.0)
}

/// Radians to degrees.
#[must_use]
pub fn degrees(radians: f64) -> f64 {
    radians * (180.0 / std::f64::consts::PI)
}
