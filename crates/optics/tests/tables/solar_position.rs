//! The sun against solar_position.csv: the worked example of Reda and Andreas (2004) with its intermediate
//! values, 54 places and times computed by another program, rise, transit and setting found by solving for
//! the elevation.

use crate::table::{Row, Tolerance::Absolute, check_every_row};
use optics::solar::{Air, Moment, Site, day, geocentric, refraction, topocentric};
use units::{Degrees, Metres};

/// The year, month, day, hour, minute and second of a time such as 2003-10-17T19:30:30Z.
fn parts(text: &str) -> [i32; 6] {
    let numbers: Vec<i32> =
        text.trim_end_matches('Z').split(['-', 'T', ':']).map(|n| n.parse().unwrap()).collect();
    numbers.try_into().unwrap()
}

fn moment(row: &Row, column: &str) -> Moment {
    let [year, month, day, hour, minute, second] = parts(row.text(column));
    Moment::utc(year, month as u8, day as u8, hour as u8, minute as u8, f64::from(second))
        .unwrap()
        .with_delta_t(row.get("delta_t_s"))
        .unwrap()
}

fn site(row: &Row) -> Site {
    row.holds("the place has a name", !row.text("place").is_empty());
    let degrees = |column| Degrees::of(row.get(column));
    let elevation = Metres::of(row.number("site_elevation_m").unwrap_or_default());
    Site::new(degrees("latitude_deg"), degrees("longitude_deg"), elevation).unwrap()
}

fn position(row: &Row, tolerance: f64) {
    let near = Absolute(tolerance);
    let sun = topocentric(moment(row, "time_utc"), &site(row));
    let elevation = sun.elevation.get();
    row.near("elevation_deg", elevation, near);
    row.near("zenith_deg", 90.0 - elevation, near);
    let air = Air::new(row.get("pressure_hpa"), row.get("temperature_c")).unwrap();
    let apparent = elevation + refraction(sun.elevation, &air).get();
    row.near("apparent_elevation_deg", apparent, near);
    row.near("apparent_zenith_deg", 90.0 - apparent, near);
    let off = (sun.azimuth.get() - row.get("azimuth_deg") + 180.0).rem_euclid(360.0) - 180.0;
    let allowed = tolerance / units::math::cos(units::math::radians(elevation));
    row.within("azimuth", off, allowed);
}

fn published_intermediate(row: &Row) {
    let moment = moment(row, "time_utc");
    // The report's example stands 1830.14 m high, at 820 hPa and 11 degrees; these rows do not repeat it.
    let site = {
        let low = site(row);
        Site::new(low.latitude(), low.longitude(), Metres::of(1830.14)).unwrap()
    };
    let (earth, place) = (geocentric(moment), topocentric(moment, &site));
    let value = match row.text("quantity") {
        "geocentric right ascension deg" => earth.right_ascension,
        "geocentric declination deg" => earth.declination,
        "observer local hour angle deg" => place.geocentric_hour_angle,
        "topocentric right ascension deg" => place.right_ascension,
        "topocentric declination deg" => place.declination,
        "topocentric hour angle deg" => place.hour_angle,
        "refraction correction deg" => refraction(place.elevation, &Air::new(820.0, 11.0).unwrap()),
        "true ecliptic obliquity deg" => earth.obliquity,
        "apparent sun longitude deg" => earth.longitude,
        "apparent sidereal time deg" => earth.sidereal_time,
        other => panic!("no such quantity: {other}"),
    };
    // As many digits as the report prints, the last one rounded.
    row.near("value", value.get(), Absolute(1e-5));
}

fn events(row: &Row) {
    let site = site(row);
    let _ = row.get("delta_t_s");
    let [year, month, date, ..] = parts(row.text("time_utc"));
    let course = day(year, month as u8, date as u8, &site).unwrap();
    let allowed = if site.latitude().abs() > Degrees::of(60.0) { 60.0 } else { 10.0 };
    let near = |column: &str, got: Option<Moment>| {
        match (row.text(column), got) {
            ("", None) => {}
            // The published example leaves its setting out, which belongs to the next day there.
            ("", Some(_)) => row.holds("an event that the table has", row.text("kind") == "published_events"),
            (_, None) => row.holds(column, false),
            (_, Some(got)) => {
                let off = got.unix() - moment(row, column).unix();
                row.within(column, off, allowed);
            }
        }
    };
    near("sunrise_utc", course.rise);
    near("transit_utc", Some(course.transit));
    near("sunset_utc", course.set);
}

#[test]
fn every_row_of_solar_position() {
    check_every_row(
        "solar_position.csv",
        "kind",
        &[
            // The report prints five decimals.
            ("published", &|row| position(row, 1e-5)),
            ("published_intermediate", &published_intermediate),
            ("position", &|row| position(row, 1e-3)),
            ("published_events", &events),
            ("sun_events", &events),
        ],
    );
}
