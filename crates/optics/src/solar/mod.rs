//! Where the sun stands (docs/model.md, *Sun position*): the algorithm of Reda and Andreas, "Solar position
//! algorithm for solar radiation applications", NREL/TP-560-34302 (2004, revised 2008; also Solar Energy
//! 76(5), 577-589), good to 0.0003 degrees from the year -2000 to 6000. The comments give its equation
//! numbers.

mod events;
mod heliocentric;
mod moment;
mod nutation;

pub use events::{Day, day};
pub use moment::{Moment, Site};

use crate::OutOfRange;
use crate::range::within;
use units::math::{asin, atan, atan2, cos, degrees, radians, sin, tan};
use units::{Degrees, Vec3};

/// The sun as seen from the middle of the earth.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Geocentric {
    /// Apparent longitude along the ecliptic, 0 up to 360.
    pub longitude: Degrees,
    /// Right ascension, 0 up to 360.
    pub right_ascension: Degrees,
    /// Declination.
    pub declination: Degrees,
    /// True obliquity of the ecliptic.
    pub obliquity: Degrees,
    /// Apparent sidereal time at Greenwich, 0 up to 360.
    pub sidereal_time: Degrees,
    /// Distance from the earth, in astronomical units.
    pub distance_au: f64,
}

/// The sun as seen from a place on the earth.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Topocentric {
    /// Hour angle seen from the earth's middle, westwards from the meridian, 0 up to 360.
    pub geocentric_hour_angle: Degrees,
    /// Hour angle.
    pub hour_angle: Degrees,
    /// Right ascension.
    pub right_ascension: Degrees,
    /// Declination.
    pub declination: Degrees,
    /// Above the horizon, as if there were no air.
    pub elevation: Degrees,
    /// Clockwise from north, 0 up to 360.
    pub azimuth: Degrees,
}

/// The air at the place, for the refraction.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Air {
    pressure_hpa: f64,
    temperature_c: f64,
}

impl Air {
    /// The air for which tables are made: 1010 hPa and 10 degrees Celsius.
    pub const STANDARD: Self = Self { pressure_hpa: 1010.0, temperature_c: 10.0 };

    /// Pressure in hectopascal (mean of the year) and temperature in degrees Celsius.
    ///
    /// # Errors
    /// [`OutOfRange`] for air that nobody could photograph in.
    pub fn new(pressure_hpa: f64, temperature_c: f64) -> Result<Self, OutOfRange> {
        within("air pressure", pressure_hpa, 0.0, 5000.0, "0 to 5000 hPa")?;
        within("air temperature", temperature_c, -150.0, 100.0, "-150 to 100 degrees Celsius")?;
        Ok(Self { pressure_hpa, temperature_c })
    }
}

/// A finite number of degrees: all angles here come from finite moments and sites.
fn angle(value: f64) -> Degrees {
    Degrees::of(1.0) * value
}

fn turn(value: f64) -> Degrees {
    angle(value.rem_euclid(360.0))
}

/// The sun from the middle of the earth.
#[must_use]
pub fn geocentric(moment: Moment) -> Geocentric {
    let century = moment.ephemeris_century();
    let millennium = century / 10.0;
    // Equations 9 to 12: Σ over the powers of t of Σ A cos(B + C t).
    let series = |parts: &[&[[f64; 3]]]| {
        parts.iter().rev().fold(0.0, |sum, terms| {
            sum * millennium + terms.iter().map(|[a, b, c]| a * cos(b + c * millennium)).sum::<f64>()
        }) / 1e8
    };
    let radius = series(&heliocentric::RADIUS);
    // Equations 13 and 14: from the sun's middle to the earth's.
    let latitude = -series(&heliocentric::LATITUDE);
    let (nutation_longitude, nutation_obliquity) = nutation(century);
    let obliquity = mean_obliquity(millennium) + nutation_obliquity;
    // Equations 26 and 27: aberration, apparent longitude.
    let longitude =
        degrees(series(&heliocentric::LONGITUDE)) + 180.0 + nutation_longitude - 20.4898 / (3600.0 * radius);
    // Equations 28 and 29: sidereal time.
    let sidereal_time = moment.mean_sidereal_time() + nutation_longitude * cos(radians(obliquity));
    let (sin_l, cos_l) = (sin(radians(longitude)), cos(radians(longitude)));
    let (sin_o, cos_o) = (sin(radians(obliquity)), cos(radians(obliquity)));
    // Equations 30 and 31.
    let right_ascension = degrees(atan2(sin_l * cos_o - tan(latitude) * sin_o, cos_l));
    let declination = degrees(asin(sin(latitude) * cos_o + cos(latitude) * sin_o * sin_l));
    Geocentric {
        longitude: turn(longitude),
        right_ascension: turn(right_ascension),
        declination: angle(declination),
        obliquity: angle(obliquity),
        sidereal_time: turn(sidereal_time),
        distance_au: radius,
    }
}

/// The sun from a place on the earth.
///
/// ```
/// # use optics::solar::{Moment, Site, topocentric};
/// # use units::{Degrees, Metres};
/// // The report's worked example, table A5.1: Golden, Colorado, 17 October 2003, 12:30:30 at UTC-7.
/// let moment = Moment::utc(2003, 10, 17, 19, 30, 30.0)?.with_delta_t(67.0)?;
/// let site = Site::new(Degrees::of(39.742476), Degrees::of(-105.1786), Metres::of(1830.14))?;
/// let sun = topocentric(moment, &site);
/// assert!((sun.azimuth.get() - 194.34024).abs() < 1e-5);
/// assert!((sun.elevation.get() - 39.872046).abs() < 1e-5);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
#[must_use]
pub fn topocentric(moment: Moment, site: &Site) -> Topocentric {
    let sun = geocentric(moment);
    let (latitude, declination) = (radians(site.latitude().get()), radians(sun.declination.get()));
    // Equation 32.
    let hour_angle = (sun.sidereal_time + site.longitude() - sun.right_ascension).get().rem_euclid(360.0);
    let (sin_h, cos_h) = (sin(radians(hour_angle)), cos(radians(hour_angle)));
    // Equations 33 to 39: the parallax of the place, on the flattened earth.
    let parallax = sin(radians(8.794 / (3600.0 * sun.distance_au)));
    let u = atan(0.99664719 * tan(latitude));
    let height = site.elevation().get() / 6_378_140.0;
    let x = cos(u) + height * cos(latitude);
    let y = 0.99664719 * sin(u) + height * sin(latitude);
    let equator = cos(declination) - x * parallax * cos_h;
    let shift = atan2(-x * parallax * sin_h, equator);
    let local_declination = atan2((sin(declination) - y * parallax) * cos(shift), equator);
    let local_hour_angle = hour_angle - degrees(shift);
    // Equations 41, 45 and 46.
    let (sin_h, cos_h) = (sin(radians(local_hour_angle)), cos(radians(local_hour_angle)));
    let elevation = degrees(asin(
        sin(latitude) * sin(local_declination) + cos(latitude) * cos(local_declination) * cos_h,
    ));
    let from_south = degrees(atan2(sin_h, cos_h * sin(latitude) - tan(local_declination) * cos(latitude)));
    Topocentric {
        geocentric_hour_angle: angle(hour_angle),
        hour_angle: angle(local_hour_angle),
        right_ascension: angle(sun.right_ascension.get() + degrees(shift)),
        declination: angle(degrees(local_declination)),
        elevation: angle(elevation),
        azimuth: turn(from_south + 180.0),
    }
}

/// How much the air lifts the sun: equation 42,
/// (P/1010) (283/(273+T)) 1.02 / (60 tan(e + 10.3/(e + 5.11))) degrees, and nothing where even the lifted
/// upper edge stays under the horizon (e below -0.26667 - 0.5667).
#[must_use]
pub fn refraction(elevation: Degrees, air: &Air) -> Degrees {
    let e = elevation.get();
    if e < -(0.26667 + 0.5667) {
        return Degrees::ZERO;
    }
    let tabled = 1.02 / (60.0 * tan(radians(e + 10.3 / (e + 5.11))));
    angle(air.pressure_hpa / 1010.0 * (283.0 / (273.0 + air.temperature_c)) * tabled)
}

/// The direction towards the sun in the axes of a stage whose camera looks along `heading` (an azimuth): x
/// to the right, y up, z away, of length 1.
#[must_use]
pub fn direction(elevation: Degrees, azimuth: Degrees, heading: Degrees) -> Vec3 {
    let (e, a) = (radians(elevation.get()), radians((azimuth - heading).get()));
    Vec3::new(cos(e) * sin(a), sin(e), cos(e) * cos(a))
}

/// Equations 15 to 23: nutation in longitude and in obliquity, in degrees, at a Julian ephemeris century.
fn nutation(t: f64) -> (f64, f64) {
    let cubic = |a: f64, b: f64, c: f64, d: f64| a + t * (b + t * (c + t / d));
    let arguments = [
        cubic(297.85036, 445267.111480, -0.0019142, 189474.0),
        cubic(357.52772, 35999.050340, -0.0001603, -300000.0),
        cubic(134.96298, 477198.867398, 0.0086972, 56250.0),
        cubic(93.27191, 483202.017538, -0.0036825, 327270.0),
        cubic(125.04452, -1934.136261, 0.0020708, 450000.0),
    ];
    let (mut longitude, mut obliquity) = (0.0, 0.0);
    for term in &nutation::TERMS {
        let sum: f64 = term.multiples.iter().zip(arguments).map(|(&n, x)| f64::from(n) * x).sum();
        let [a, b] = term.longitude;
        let [c, d] = term.obliquity;
        longitude += (a + b * t) * sin(radians(sum));
        obliquity += (c + d * t) * cos(radians(sum));
    }
    (longitude / 36e6, obliquity / 36e6)
}

/// Equation 24, in degrees.
fn mean_obliquity(millennium: f64) -> f64 {
    const SECONDS: [f64; 11] =
        [84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45];
    let u = millennium / 10.0;
    SECONDS.iter().rev().fold(0.0, |sum, c| sum * u + c) / 3600.0
}
