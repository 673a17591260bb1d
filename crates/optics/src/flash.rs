//! Flash: guide numbers, and flash against the light that is there (docs/model.md, *Exposure*).

use crate::OutOfRange;
use crate::exposure::{at_iso_100, exposure_value};
use crate::range::{positive, within};
use units::math::{exp2, log2};
use units::{Metres, Stops};

/// The f-number for a flash of a guide number (metres, ISO 100) at a distance: GN √(ISO/100)/d.
///
/// ```
/// # use optics::flash::f_number;
/// # use units::Metres;
/// // Published example: guide number 32 at 4 m gives f/8.
/// assert_eq!(f_number(Metres::of(32.0), Metres::of(4.0), 100.0)?, 8.0);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a guide number, distance or ISO speed that is not positive.
pub fn f_number(guide_number: Metres, distance: Metres, iso: f64) -> Result<f64, OutOfRange> {
    let gn = positive("guide number", guide_number.get())?;
    Ok(gn * (positive("ISO speed", iso)? / 100.0).sqrt() / positive("flash distance", distance.get())?)
}

/// The guide number left at a share of the full power: GN √share.
///
/// # Errors
/// [`OutOfRange`] for a guide number that is not positive or a share outside 0 to 1.
pub fn guide_number_at_power(full: Metres, share: f64) -> Result<Metres, OutOfRange> {
    positive("guide number", full.get())?;
    within("share of the flash's power", share, 0.0, 1.0, "0 to 1")?;
    Ok(full * share.sqrt())
}

/// How many stops the light that is there stands over (or under) a flash set for the same f-number: the
/// scene's exposure value less that of the settings, both at ISO 100. Holds up to the synchronising speed.
///
/// # Errors
/// [`OutOfRange`] for an f-number, time or ISO speed that is not positive.
pub fn ambient_over_flash(
    ambient_ev_100: Stops,
    f_number: f64,
    seconds: f64,
    iso: f64,
) -> Result<Stops, OutOfRange> {
    Ok(ambient_ev_100 - at_iso_100(exposure_value(f_number, seconds)?, iso)?)
}

/// The widest f-number that keeps the light that is there so many stops under the flash, at the shortest
/// time that still synchronises: √(2^(EV + under) t ISO/100).
///
/// # Errors
/// [`OutOfRange`] for a time or ISO speed that is not positive.
pub fn f_number_for_ambient_under(
    ambient_ev_100: Stops,
    under: Stops,
    sync_seconds: f64,
    iso: f64,
) -> Result<f64, OutOfRange> {
    let t = positive("synchronising time", sync_seconds)?;
    let speed = positive("ISO speed", iso)? / 100.0;
    // Half the logarithm, so that no power overflows on the way to a root that does not.
    Ok(exp2((ambient_ev_100 + under).get() / 2.0 + log2(t) / 2.0 + log2(speed) / 2.0))
}
