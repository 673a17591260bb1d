//! The colour of light against chromatic_adaptation.csv: the Bradford matrix, whites, adaptation, the CIE
//! loci, correlated colour temperatures.

use crate::table::{Row, Tolerance, Tolerance::Absolute, check_every_row, rows};
use optics::adaptation::{BRADFORD, Chromaticity, bradford};
use optics::light_colour::chromaticity;
use optics::locus::{correlated, correlated_quick, daylight, planckian};
use std::collections::BTreeMap;
use units::{Kelvin, Mat3, Vec3};

const NEAR: Tolerance = Absolute(1e-6);
const LOCUS: Tolerance = Absolute(1e-5);

fn matrix(row: &Row, got: Mat3, tolerance: f64) {
    for (i, line) in got.0.iter().enumerate() {
        for (j, &value) in line.iter().enumerate() {
            row.near(&format!("m{i}{j}"), value, Absolute(tolerance));
        }
    }
}

/// The whites of the table by name.
fn whites() -> BTreeMap<String, Chromaticity> {
    rows("chromatic_adaptation.csv")
        .iter()
        .filter(|row| row.text("kind") == "white_point")
        .map(|row| (row.text("name").to_owned(), Chromaticity::new(row.get("x"), row.get("y")).unwrap()))
        .collect()
}

fn white_point(row: &Row) {
    let got = Chromaticity::new(row.get("x"), row.get("y")).unwrap().xyz();
    for (column, value) in ["X", "Y", "Z"].into_iter().zip(got.0) {
        row.near(column, value, NEAR);
    }
    let back = Chromaticity::of_xyz(Vec3::new(row.get("X"), row.get("Y"), row.get("Z"))).unwrap();
    row.near("x", back.x(), NEAR);
    row.near("y", back.y(), NEAR);
    row.holds(
        "a white with a name, either way",
        !row.text("name").is_empty() && row.text("method").contains(" to "),
    );
}

/// "D65 (0.95047 1 1.08883)": a name with its own XYZ.
fn printed_white(text: &str) -> Chromaticity {
    let xyz: Vec<f64> =
        text.split(['(', ')']).nth(1).unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
    Chromaticity::of_xyz(Vec3::new(xyz[0], xyz[1], xyz[2])).unwrap()
}

fn adaptation_matrix(row: &Row, whites: &BTreeMap<String, Chromaticity>) {
    row.holds("Bradford", row.text("method") == "Bradford");
    let printed = !row.text("name").is_empty();
    let white = |column| if printed { printed_white(row.text(column)) } else { whites[row.text(column)] };
    let got = bradford(white("white_from"), white("white_to")).unwrap();
    matrix(row, got, if printed { 2e-6 } else { 1e-6 });
}

fn adapted_colour(row: &Row, whites: &BTreeMap<String, Chromaticity>) {
    row.holds("Bradford", row.text("method") == "Bradford");
    let m = bradford(whites[row.text("white_from")], whites[row.text("white_to")]).unwrap();
    let out = m * Vec3::new(row.get("X"), row.get("Y"), row.get("Z"));
    for (column, value) in ["X_out", "Y_out", "Z_out"].into_iter().zip(out.0) {
        row.near(column, value, NEAR);
    }
}

fn on_locus(row: &Row, method: &str, got: Chromaticity) {
    row.holds("the locus of the row", row.text("method").starts_with(method));
    let _ = row.text("name");
    row.near("x", got.x(), LOCUS);
    row.near("y", got.y(), LOCUS);
}

fn kelvin(row: &Row) -> Kelvin {
    Kelvin::of(row.get("cct_kelvin"))
}

fn daylight_locus(row: &Row) {
    on_locus(row, "CIE D-series polynomial", daylight(kelvin(row)).unwrap());
    on_locus(row, "CIE D-series polynomial", chromaticity(kelvin(row), 0.0).unwrap());
}

fn planckian_locus(row: &Row) {
    on_locus(row, "Planck's law, CIE 1931 2 deg observer", planckian(kelvin(row)).unwrap());
    // A light's colour is the black body's up to 4000 K, where daylight takes over.
    if row.get("cct_kelvin") < 4000.0 {
        on_locus(row, "Planck's law", chromaticity(kelvin(row), 0.0).unwrap());
    }
}

fn cct_estimate(row: &Row) {
    row.holds("the light has a name", !row.text("name").is_empty());
    let light = Chromaticity::new(row.get("x"), row.get("y")).unwrap();
    let want = row.get("cct_kelvin");
    let near = Absolute(if want < 7000.0 { 5.0 } else { 0.002 * want });
    match row.text("method") {
        "McCamy 1992" => row.near("cct_kelvin", correlated_quick(light).unwrap().get(), Absolute(1e-3)),
        // Both look for the nearest black body, by tables; here it is searched for.
        "Ohno 2013" | "Robertson 1968" => {
            let got = correlated(light).unwrap();
            row.near("cct_kelvin", got.temperature.get(), near);
            // Tables of the two methods carry the distance to about a ten-thousandth.
            row.near("duv", got.duv, Absolute(1e-4));
        }
        other => panic!("no such method: {other}"),
    }
}

#[test]
fn every_row_of_chromatic_adaptation() {
    let whites = whites();
    check_every_row(
        "chromatic_adaptation.csv",
        "kind",
        &[
            ("cone_matrix", &|row| {
                row.holds("Bradford", row.text("name") == "Bradford" && row.text("method") == "Bradford");
                matrix(row, BRADFORD, 1e-12);
            }),
            ("white_point", &white_point),
            ("adaptation_matrix", &|row| adaptation_matrix(row, &whites)),
            ("adapted_colour", &|row| adapted_colour(row, &whites)),
            ("daylight_locus", &daylight_locus),
            ("planckian_locus", &planckian_locus),
            ("cct_estimate", &cct_estimate),
        ],
    );
}
