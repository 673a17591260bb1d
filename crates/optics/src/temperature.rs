//! Kelvin and mired, and what a gel does to a light (docs/model.md, *Colour of light*).

use crate::OutOfRange;
use crate::range::within;
use units::{Kelvin, Mired};

/// A colour temperature in mired, 10⁶/K.
///
/// ```
/// # use optics::temperature::{kelvin, mired};
/// # use units::Kelvin;
/// assert_eq!(mired(Kelvin::of(3200.0))?.get(), 312.5);
/// assert_eq!(kelvin(mired(Kelvin::of(3200.0))?)?, Kelvin::of(3200.0));
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a temperature outside 1 to 10⁹ K.
pub fn mired(temperature: Kelvin) -> Result<Mired, OutOfRange> {
    within("colour temperature", temperature.get(), 1.0, 1e9, "1 to 1000000000 K")?;
    Ok(Mired::of(1.0) * (1e6 / temperature.get()))
}

/// A number of mired as a colour temperature, 10⁶/mired.
///
/// # Errors
/// [`OutOfRange`] for a number outside 0.001 to 10⁶.
pub fn kelvin(mired: Mired) -> Result<Kelvin, OutOfRange> {
    within("number of mired", mired.get(), 1e-3, 1e6, "0.001 to 1000000")?;
    Ok(Kelvin::of(1.0) * (1e6 / mired.get()))
}

/// What takes one light to another, in mired: negative is bluer.
///
/// # Errors
/// As [`mired`].
pub fn shift(from: Kelvin, to: Kelvin) -> Result<Mired, OutOfRange> {
    Ok(mired(to)? - mired(from)?)
}

/// The light behind a gel of a mired shift.
///
/// ```
/// # use optics::temperature::through_gel;
/// # use units::{Kelvin, Mired};
/// let daylight = through_gel(Kelvin::of(3200.0), Mired::of(-137.0))?;
/// assert!((daylight.get() - 5698.0).abs() < 0.1);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// As [`mired`], and where the gel would leave no temperature (no blue is bluer than 0 mired).
pub fn through_gel(light: Kelvin, shift: Mired) -> Result<Kelvin, OutOfRange> {
    kelvin(mired(light)? + shift)
}
