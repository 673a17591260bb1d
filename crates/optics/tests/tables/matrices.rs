//! The matrices of the RGB standards against matrices.csv.

use crate::table::{Row, Tolerance::Absolute, check_every_row};
use optics::adaptation::{Chromaticity, bradford};
use units::{Mat3, Primaries};

fn primaries(name: &str) -> Primaries {
    match name {
        "sRGB" => Primaries::Srgb,
        "Display P3" => Primaries::DisplayP3,
        "Rec.2020" => Primaries::Rec2020,
        "ROMM" => Primaries::Romm,
        other => panic!("no such primaries: {other}"),
    }
}

fn matrix(row: &Row, got: Mat3, tolerance: f64) {
    for (i, line) in got.0.iter().enumerate() {
        for (j, &value) in line.iter().enumerate() {
            row.near(&format!("m{i}{j}"), value, Absolute(tolerance));
        }
    }
}

fn one_set(row: &Row, of: fn(Primaries) -> Mat3, tolerance: f64) {
    let set = primaries(row.text("primaries"));
    row.holds(
        "the white of the set",
        row.text("white") == if set == Primaries::Romm { "D50" } else { "D65" },
    );
    for ((x, y), (cx, cy)) in set
        .chromaticities()
        .into_iter()
        .zip([("xr", "yr"), ("xg", "yg"), ("xb", "yb")])
        .chain([(set.white(), ("xw", "yw"))])
    {
        row.near_if_given(cx, x, Absolute(1e-12));
        row.near_if_given(cy, y, Absolute(1e-12));
    }
    matrix(row, of(set), tolerance);
}

fn rgb_to_rgb(row: &Row) {
    let (from, to) = row.text("primaries").split_once('>').unwrap();
    let (from, to) = (primaries(from), primaries(to));
    let adapt = bradford(Chromaticity::white_of(from), Chromaticity::white_of(to)).unwrap();
    row.holds(
        "whites",
        row.text("white") == if from == Primaries::Romm { "D50>D65 Bradford" } else { "D65" },
    );
    matrix(row, to.from_xyz() * adapt * from.to_xyz(), 1e-6);
}

#[test]
fn every_row_of_matrices() {
    check_every_row(
        "matrices.csv",
        "matrix",
        &[
            ("RGB_to_XYZ", &|row| one_set(row, Primaries::to_xyz, 1e-6)),
            ("XYZ_to_RGB", &|row| one_set(row, Primaries::from_xyz, 1e-6)),
            ("RGB_to_XYZ_4dp", &|row| one_set(row, Primaries::to_xyz, 6e-4)),
            ("XYZ_to_RGB_4dp", &|row| one_set(row, Primaries::from_xyz, 6e-4)),
            ("RGB_to_RGB", &rgb_to_rgb),
        ],
    );
}
