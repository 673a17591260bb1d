//! Moments as the journal writes them. Nothing here reads a clock.

use std::fmt;
use std::str::FromStr;

/// A moment, to the millisecond, written as in RFC 3339 in UTC: `2026-03-01T17:05:09.250Z`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Timestamp(i64);

const DAY: i64 = 86_400_000;
/// First moment of the year 0 and of the year 10000, in milliseconds from 1970: RFC 3339 has four digits.
const YEARS: std::ops::Range<i64> = -62_167_219_200_000..253_402_300_800_000;

impl Timestamp {
    /// So many milliseconds after the beginning of 1970, UTC; `None` outside the years 0 to 9999.
    #[must_use]
    pub fn from_unix_millis(millis: i64) -> Option<Self> {
        YEARS.contains(&millis).then_some(Self(millis))
    }

    /// Milliseconds after the beginning of 1970, UTC.
    #[must_use]
    pub const fn unix_millis(self) -> i64 {
        self.0
    }
}

/// Days from 1970-01-01 to a date of the Gregorian calendar, in eras of 400 years that begin in March, so that
/// the leap day comes last (from memory; checked below against known dates).
const fn days_from_date(year: i64, month: i64, day: i64) -> i64 {
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let era = year.div_euclid(400);
    let year = year.rem_euclid(400);
    let day_of_year = (153 * month + 2) / 5 + day - 1;
    era * 146_097 + year * 365 + year / 4 - year / 100 + day_of_year - 719_468
}

/// The inverse of [`days_from_date`].
const fn date_from_days(days: i64) -> (i64, i64, i64) {
    let days = days + 719_468;
    let era = days.div_euclid(146_097);
    let day = days.rem_euclid(146_097);
    let year = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day_of_year = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month + 2) / 5 + 1;
    let year = era * 400 + year;
    if month < 10 { (year, month + 3, day) } else { (year + 1, month - 9, day) }
}

impl fmt::Display for Timestamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = date_from_days(self.0.div_euclid(DAY));
        let of_day = self.0.rem_euclid(DAY);
        let (seconds, millis) = (of_day / 1000, of_day % 1000);
        let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        write!(f, "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}.{millis:03}Z")
    }
}

/// The text is not a moment in the form that [`Timestamp`] is written in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NotATimestamp;

impl FromStr for Timestamp {
    type Err = NotATimestamp;

    fn from_str(text: &str) -> Result<Self, NotATimestamp> {
        let bytes = text.as_bytes();
        let shape = b"dddd-dd-ddTdd:dd:dd.dddZ";
        let fits = |(b, s): (&u8, &u8)| if *s == b'd' { b.is_ascii_digit() } else { b == s };
        if bytes.len() != shape.len() || !bytes.iter().zip(shape).all(fits) {
            return Err(NotATimestamp);
        }
        let number =
            |at: std::ops::Range<usize>| bytes[at].iter().fold(0, |n, b| n * 10 + i64::from(b - b'0'));
        let days = days_from_date(number(0..4), number(5..7), number(8..10));
        let seconds = (number(11..13) * 60 + number(14..16)) * 60 + number(17..19);
        let moment = Self(days * DAY + seconds * 1000 + number(20..23));
        // What is no date (February 30) or time (25:00) reads as another moment, and is written otherwise.
        if moment.to_string() == text { Ok(moment) } else { Err(NotATimestamp) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_moments() {
        // RFC 3339, section 5.8: 1990-12-31T23:59:60Z is a leap second, so the second after 23:59:59 is 1991.
        for (millis, text) in [
            (0, "1970-01-01T00:00:00.000Z"),
            (-1, "1969-12-31T23:59:59.999Z"),
            (951_782_400_000, "2000-02-29T00:00:00.000Z"),
            (1_000_000_000_000, "2001-09-09T01:46:40.000Z"),
            (4_107_542_400_000, "2100-03-01T00:00:00.000Z"),
            (YEARS.start, "0000-01-01T00:00:00.000Z"),
            (YEARS.end - 1, "9999-12-31T23:59:59.999Z"),
        ] {
            let moment = Timestamp::from_unix_millis(millis).unwrap();
            assert_eq!(moment.to_string(), text);
            assert_eq!(text.parse(), Ok(moment));
        }
        assert_eq!(Timestamp::from_unix_millis(YEARS.end), None);
    }

    #[test]
    fn what_is_no_moment() {
        for text in [
            "",
            "2026-02-30T00:00:00.000Z",
            "2026-01-01T24:00:00.000Z",
            "2026-01-01 00:00:00.000Z",
            "2026-13-01T00:00:00.000Z",
        ] {
            assert_eq!(text.parse::<Timestamp>(), Err(NotATimestamp), "{text}");
        }
    }

    #[test]
    fn every_day_of_four_centuries_comes_back() {
        for day in 0..146_097 {
            let (y, m, d) = date_from_days(day);
            assert_eq!(days_from_date(y, m, d), day);
        }
    }
}
