//! When and where.

use crate::OutOfRange;
use crate::range::within;
use units::{Degrees, Metres};

/// 1970-01-01T00:00 UTC as a Julian day.
const UNIX_EPOCH: f64 = 2_440_587.5;
/// 2000-01-01T12:00 as a Julian day.
const J2000: f64 = 2_451_545.0;
const DAY: f64 = 86400.0;

/// A moment of universal time.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct Moment {
    unix: f64,
    delta_t: f64,
}

impl Moment {
    /// Terrestrial less universal time in seconds, where none is given: that of 2026. A minute's error moves
    /// the sun by less than 0.0007 degrees, so one number serves for decades to come.
    pub const DELTA_T: f64 = 69.2;

    /// So many seconds after 1970-01-01T00:00 UTC, without leap seconds, as computers count.
    ///
    /// # Errors
    /// [`OutOfRange`] outside the years -2000 to 6000, for which the algorithm holds.
    pub fn from_unix(seconds: f64) -> Result<Self, OutOfRange> {
        within(
            "time in seconds since 1970",
            seconds,
            -1.2528e11,
            1.2718e11,
            "a moment of the years -2000 to 6000",
        )?;
        Ok(Self { unix: seconds, delta_t: Self::DELTA_T })
    }

    /// A date of the Gregorian calendar and a time of day in UTC.
    ///
    /// ```
    /// # use optics::solar::Moment;
    /// assert_eq!(Moment::utc(2000, 1, 1, 12, 0, 0.0)?.unix(), 946_728_000.0);
    /// assert!(Moment::utc(2023, 2, 29, 12, 0, 0.0).is_err());
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] for a date that does not exist, and as [`Moment::from_unix`].
    pub fn utc(year: i32, month: u8, day: u8, hour: u8, minute: u8, second: f64) -> Result<Self, OutOfRange> {
        within("year", f64::from(year), -2000.0, 6000.0, "-2000 to 6000")?;
        within("month", f64::from(month), 1.0, 12.0, "1 to 12")?;
        let last = days_in_month(year, month);
        within("day of the month", f64::from(day), 1.0, f64::from(last), "a day that this month has")?;
        within("hour", f64::from(hour), 0.0, 23.0, "0 to 23")?;
        within("minute", f64::from(minute), 0.0, 59.0, "0 to 59")?;
        within("second", second, 0.0, 60.999, "0 to less than 61")?;
        let seconds = f64::from(hour) * 3600.0 + f64::from(minute) * 60.0 + second;
        Self::from_unix(days_from_1970(year, month, day) as f64 * DAY + seconds)
    }

    /// The same moment with another difference of terrestrial from universal time.
    ///
    /// # Errors
    /// [`OutOfRange`] beyond 8000 seconds, the algorithm's own limit.
    pub fn with_delta_t(self, seconds: f64) -> Result<Self, OutOfRange> {
        within("terrestrial less universal time", seconds, -8000.0, 8000.0, "-8000 to 8000 s")?;
        Ok(Self { delta_t: seconds, ..self })
    }

    /// Seconds after 1970-01-01T00:00 UTC.
    #[must_use]
    pub const fn unix(self) -> f64 {
        self.unix
    }

    /// Some seconds later; not beyond the years of [`Moment::from_unix`].
    pub(super) fn later(self, seconds: f64) -> Self {
        Self { unix: (self.unix + seconds).clamp(-1.2528e11, 1.2718e11), ..self }
    }

    fn julian_day(self) -> f64 {
        self.unix / DAY + UNIX_EPOCH
    }

    /// Equations 5 to 7: Julian centuries of terrestrial time since 2000.
    pub(super) fn ephemeris_century(self) -> f64 {
        (self.julian_day() + self.delta_t / DAY - J2000) / 36525.0
    }

    /// Equation 28, in degrees.
    pub(super) fn mean_sidereal_time(self) -> f64 {
        let days = self.julian_day() - J2000;
        let t = days / 36525.0;
        280.46061837 + 360.98564736629 * days + t * t * (0.000387933 - t / 38_710_000.0)
    }
}

/// A place on the earth.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Site {
    latitude: Degrees,
    longitude: Degrees,
    elevation: Metres,
}

impl Site {
    /// Latitude (north positive), longitude (east positive), height above the sea.
    ///
    /// # Errors
    /// [`OutOfRange`] for coordinates that no place has.
    pub fn new(latitude: Degrees, longitude: Degrees, elevation: Metres) -> Result<Self, OutOfRange> {
        within("latitude", latitude.get(), -90.0, 90.0, "-90 to 90 degrees")?;
        within("longitude", longitude.get(), -180.0, 180.0, "-180 to 180 degrees")?;
        within("height above the sea", elevation.get(), -500.0, 20000.0, "-500 to 20000 m")?;
        Ok(Self { latitude, longitude, elevation })
    }

    /// North positive.
    #[must_use]
    pub const fn latitude(&self) -> Degrees {
        self.latitude
    }

    /// East positive.
    #[must_use]
    pub const fn longitude(&self) -> Degrees {
        self.longitude
    }

    /// Above the sea.
    #[must_use]
    pub const fn elevation(&self) -> Metres {
        self.elevation
    }
}

const fn days_in_month(year: i32, month: u8) -> u8 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Whole days from 1970-01-01 to a date of the Gregorian calendar, counted in years that begin in March, so
/// that the leap day comes last (the usual civil calendar arithmetic, from memory).
const fn days_from_1970(year: i32, month: u8, day: u8) -> i64 {
    let year = year as i64 - if month <= 2 { 1 } else { 0 };
    let from_march = (month as i64 + 9) % 12;
    let before_month = (153 * from_march + 2) / 5;
    let before_year = 365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    // 719468 days lie between 1 March of the year 0 and 1970-01-01.
    before_year + before_month + day as i64 - 1 - 719_468
}
