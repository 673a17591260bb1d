//! Haze against atmosphere.csv (Koschmieder 1924; the classes from memory).

use crate::table::{Row, Tolerance::Absolute, Tolerance::Relative, check_every_row};
use optics::haze::{KOSCHMIEDER, extinction, in_words};
use optics::{Camera, Depth, Haze, Point, Viewpoint};
use units::{Degrees, Metres, Millimetres, PxSize, Vec3};

/// The depth of a place so many metres before a level camera.
fn depth(distance: f64) -> Depth {
    let camera = Camera::new(Viewpoint {
        size: PxSize::new(600, 400).unwrap(),
        height: Metres::of(1.6),
        pitch: Degrees::ZERO,
        roll: Degrees::ZERO,
        focal: Millimetres::of(35.0),
        sensor_width: Millimetres::of(36.0),
        principal: None,
    })
    .unwrap();
    camera.depth(Point::new(Metres::of(2.0), Metres::ZERO, Metres::of(distance))).unwrap()
}

fn haze(row: &Row, colour: f64) -> Haze {
    Haze::new(Metres::of(row.get("visibility_m")), Vec3::splat(colour)).unwrap()
}

fn extinction_of(row: &Row) {
    let per_m = extinction(Metres::of(row.get("visibility_m")), row.get("threshold")).unwrap();
    row.near("extinction_per_m", per_m, Relative(1e-6));
}

fn transmittance(row: &Row) {
    extinction_of(row);
    let left = haze(row, 0.5).transmission(depth(row.get("distance_m")));
    // The table takes -ln(0.02) in full, the model 3.912: the exponent differs by 6e-6 of itself.
    let exponent = row.get("extinction_per_m") * row.get("distance_m");
    row.near("transmittance", left, Relative(1e-6 + 6e-6 * exponent));
    row.near("contrast_out", row.get("contrast_in") * left, Relative(1e-6 + 6e-6 * exponent));
}

fn airlight(row: &Row) {
    row.holds("Koschmieder's threshold", row.get("threshold") == 0.02);
    row.near("extinction_per_m", KOSCHMIEDER / row.get("visibility_m"), Absolute(1e-6));
    let (haze, depth) = (haze(row, row.get("airlight_linear")), depth(row.get("distance_m")));
    row.near("transmittance", haze.transmission(depth), Absolute(1e-6));
    row.near("seen_linear", haze.seen(Vec3::splat(row.get("foreground_linear")), depth).0[1], Absolute(1e-6));
}

fn visibility_class(row: &Row) {
    let (low, high) = (row.get("visibility_low_m"), row.get("visibility_high_m"));
    let at = |v: f64| in_words(Metres::of(v));
    let (first, last) = (at(low), at(if high.is_finite() { high * (1.0 - 1e-9) } else { 1e6 }));
    match row.text("name") {
        "fog (meteorology)" => {
            row.holds("all below it is some fog", first == "dense fog" && last == "light fog");
            row.holds("and nothing else", at(high) == "thin fog");
        }
        // Its upper limit lies within a class of the optical code.
        "mist (meteorology)" => {
            row.holds("from thin fog to light haze", first == "thin fog" && last == "light haze")
        }
        name => row.holds("the class from its low to its high", first == name && last == name),
    }
}

#[test]
fn every_row_of_atmosphere() {
    check_every_row(
        "atmosphere.csv",
        "kind",
        &[
            ("extinction", &extinction_of),
            ("transmittance", &transmittance),
            ("airlight", &airlight),
            ("visibility_class", &visibility_class),
        ],
    );
}
