//! Stops, exposure values and lighting ratios (docs/model.md, *Exposure*).

use crate::OutOfRange;
use crate::range::{positive, within};
use units::math::{exp2, log2};
use units::{Metres, Stops};

/// Finite for finite exponents: the product keeps it so where a power overflows.
fn stops(value: f64) -> Stops {
    Stops::of(1.0) * value
}

/// How many stops a ratio of light is: log2.
///
/// # Errors
/// [`OutOfRange`] for a ratio that is not positive.
pub fn stops_of_ratio(ratio: f64) -> Result<Stops, OutOfRange> {
    positive("ratio of light", ratio).map(|r| stops(log2(r)))
}

/// The ratio of light that so many stops are: 2 to their number.
#[must_use]
pub fn ratio_of_stops(stops: Stops) -> f64 {
    exp2(stops.get())
}

/// How many times the light of a point source changes from one distance to another: (d1/d2)² (inverse square
/// law).
///
/// ```
/// # use optics::exposure::inverse_square;
/// # use units::Metres;
/// assert_eq!(inverse_square(Metres::of(1.0), Metres::of(2.0))?, 0.25);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for distances that are not positive.
pub fn inverse_square(from: Metres, to: Metres) -> Result<f64, OutOfRange> {
    let q = positive("first distance", from.get())? / positive("second distance", to.get())?;
    Ok(q * q)
}

/// The f-number that lets through so many stops less than f/1: 2^(stops/2) (marked series of ISO 517, from
/// memory).
#[must_use]
pub fn f_number_of_stops(stops: Stops) -> f64 {
    exp2(stops.get() / 2.0)
}

/// Exposure value of camera settings, log2(N²/t), t in seconds (ISO 2720 and APEX, from memory).
///
/// ```
/// # use optics::exposure::exposure_value;
/// // f/1 at one second is EV 0 by definition.
/// assert_eq!(exposure_value(1.0, 1.0)?.get(), 0.0);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for an f-number or time that is not positive.
pub fn exposure_value(f_number: f64, seconds: f64) -> Result<Stops, OutOfRange> {
    let n = positive("f-number", f_number)?;
    Ok(stops(2.0 * log2(n) - log2(positive("exposure time", seconds)?)))
}

/// The exposure value at ISO 100 that settings at another sensitivity amount to: EV - log2(ISO/100).
///
/// # Errors
/// [`OutOfRange`] for a sensitivity that is not positive.
pub fn at_iso_100(ev: Stops, iso: f64) -> Result<Stops, OutOfRange> {
    Ok(ev - stops(log2(positive("ISO speed", iso)? / 100.0)))
}

/// Luminance in cd/m² that a meter with K = 12.5 reads as this exposure value at ISO 100: 12.5/100 · 2^EV
/// (ISO 2720, from memory).
#[must_use]
pub fn luminance(ev_100: Stops) -> f64 {
    0.125 * exp2(ev_100.get())
}

/// Exposure value at ISO 100 of a luminance in cd/m², the inverse of [`luminance`].
///
/// # Errors
/// [`OutOfRange`] for a luminance that is not positive.
pub fn exposure_value_of_luminance(candela_per_m2: f64) -> Result<Stops, OutOfRange> {
    positive("luminance", candela_per_m2).map(|l| stops(log2(l / 0.125)))
}

/// Illuminance in lux that a meter with C = 250 reads as this exposure value at ISO 100: 250/100 · 2^EV (ISO
/// 2720, from memory).
#[must_use]
pub fn illuminance(ev_100: Stops) -> f64 {
    2.5 * exp2(ev_100.get())
}

/// Lit side to shadow side where the fill reaches both: (key + fill) : fill.
///
/// ```
/// # use optics::exposure::lighting_ratio;
/// // A key twice as strong as the fill lights 3:1.
/// assert_eq!(lighting_ratio(2.0, 1.0)?, 3.0);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a negative key or a fill that is not positive.
pub fn lighting_ratio(key: f64, fill: f64) -> Result<f64, OutOfRange> {
    within("key light", key, 0.0, f64::MAX, "0 or more, and finite")?;
    Ok((key + positive("fill light", fill)?) / fill)
}

/// The lighting ratio of a key so many stops over the fill: 1 + 2^stops (published table: 2:1, 3:1, 5:1, 9:1
/// for 0, 1, 2, 3).
#[must_use]
pub fn lighting_ratio_of_stops(key_over_fill: Stops) -> f64 {
    1.0 + exp2(key_over_fill.get())
}

/// What a second light adds to a first, in stops: log2((first + second)/first).
///
/// # Errors
/// [`OutOfRange`] for a first light that is not positive or a negative second.
pub fn stops_gained(first: f64, second: f64) -> Result<Stops, OutOfRange> {
    within("second light", second, 0.0, f64::MAX, "0 or more, and finite")?;
    stops_of_ratio((positive("first light", first)? + second) / first)
}
