//! When the sun rises, culminates and sets.

use super::{Moment, Site, topocentric};
use crate::OutOfRange;

/// Elevation of the sun's middle when its upper edge just shows: 34' of refraction and 16' of radius (the
/// almanacs' convention, from memory), with the horizon at the height of the sea.
const RISING: f64 = -0.8333;

const HALF_DAY: f64 = 43200.0;

/// How fast the hour angle grows, in degrees a second: one turn in a mean solar day.
const HOUR_ANGLE_RATE: f64 = 360.0 / 86400.0;

/// The sun's course around one noon.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Day {
    /// When the upper edge appears; `None` where the sun stays up, or down.
    pub rise: Option<Moment>,
    /// When it crosses the meridian.
    pub transit: Moment,
    /// When the upper edge disappears; `None` where the sun stays up, or down.
    pub set: Option<Moment>,
}

/// The course of the sun around local noon of a date: its rise may belong to the day before in UTC, its
/// setting to the day after.
///
/// ```
/// # use optics::solar::{Moment, Site, day};
/// # use units::{Degrees, Metres};
/// let rome = Site::new(Degrees::of(41.9028), Degrees::of(12.4964), Metres::ZERO)?;
/// let course = day(2026, 10, 31, &rome)?;
/// let transit = Moment::utc(2026, 10, 31, 10, 53, 37.0)?;
/// assert!((course.transit.unix() - transit.unix()).abs() < 10.0);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a date that does not exist or lies outside the years -2000 to 6000.
pub fn day(year: i32, month: u8, day: u8, site: &Site) -> Result<Day, OutOfRange> {
    let mean_noon =
        Moment::utc(year, month, day, 12, 0, 0.0)?.later(-site.longitude().get() / HOUR_ANGLE_RATE);
    let transit = transit_near(mean_noon, site);
    Ok(Day { rise: crossing(transit, -1.0, site), transit, set: crossing(transit, 1.0, site) })
}

/// The hour angle hardly changes its rate, so three steps of Newton's method are more than enough.
fn transit_near(noon: Moment, site: &Site) -> Moment {
    (0..3).fold(noon, |moment, _| {
        let hour_angle = (topocentric(moment, site).hour_angle.get() + 180.0).rem_euclid(360.0) - 180.0;
        moment.later(-hour_angle / HOUR_ANGLE_RATE)
    })
}

/// The moment nearest to transit, before it (`side` = -1) or after it (1), when the sun's edge meets the
/// horizon.
///
/// Searched outwards in steps of 20 minutes: near the poles the sun's lowest point is not exactly half a day
/// from its highest, and a step over it could hide a short night. Then halved to less than a millisecond.
fn crossing(transit: Moment, side: f64, site: &Site) -> Option<Moment> {
    const STEP: f64 = 1200.0;
    let up = |seconds: f64| topocentric(transit.later(side * seconds), site).elevation.get() > RISING;
    if !up(0.0) {
        return None;
    }
    let mut outside = STEP;
    while up(outside) {
        outside += STEP;
        if outside > HALF_DAY {
            return None;
        }
    }
    let mut inside = outside - STEP;
    for _ in 0..24 {
        let middle = 0.5 * (inside + outside);
        if up(middle) { inside = middle } else { outside = middle }
    }
    Some(transit.later(side * outside))
}
