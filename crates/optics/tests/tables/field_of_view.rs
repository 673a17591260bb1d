//! What a lens takes in, against field_of_view.csv: angles between edge rays, published tables.

use crate::table::{Row, Tolerance, Tolerance::Absolute, Tolerance::Arithmetic, check_every_row};
use optics::field_of_view::{Format, angle_of_view, coverage};
use optics::{Aperture, Focus, Lens};
use units::{Metres, Millimetres};

fn format(row: &Row) -> Format {
    // The format's name says the same as its sides.
    let named = row.text("format").to_owned();
    row.holds("the format has a name", !named.is_empty());
    Format::new(Millimetres::of(row.get("sensor_width_mm")), Millimetres::of(row.get("sensor_height_mm")))
        .unwrap()
}

fn angles(row: &Row, focus: Focus, tolerance: Tolerance) {
    let format = format(row);
    let lens = Lens::new(Millimetres::of(row.get("focal_mm")), 8.0, focus, Aperture::Disc).unwrap();
    row.near("horizontal_deg", angle_of_view(&lens, format.width()).get(), tolerance);
    row.near_if_given("vertical_deg", angle_of_view(&lens, format.height()).get(), tolerance);
    row.near_if_given("diagonal_deg", angle_of_view(&lens, format.diagonal()).get(), tolerance);
    row.near_if_given("crop_factor", format.crop_factor(), Arithmetic);
    row.near_if_given("equivalent_focal_mm", format.equivalent_focal(lens.focal()).get(), Arithmetic);
}

fn covered(row: &Row) {
    let (format, focal) = (format(row), Millimetres::of(row.get("focal_mm")));
    let distance = Metres::of(row.get("distance_m"));
    let takes_in = |side| coverage(focal, side, distance).unwrap().get();
    row.near("covered_width_m", takes_in(format.width()), Arithmetic);
    row.near("covered_height_m", takes_in(format.height()), Arithmetic);
}

#[test]
fn every_row_of_field_of_view() {
    check_every_row(
        "field_of_view.csv",
        "kind",
        &[
            ("angle_of_view", &|row| angles(row, Focus::Infinity, Absolute(1e-6))),
            ("angle_of_view_close_focus", &|row| {
                angles(row, Focus::At(Metres::of(row.get("focus_m"))), Absolute(1e-6));
            }),
            ("coverage", &covered),
            ("published", &|row| angles(row, Focus::Infinity, Absolute(row.get("tolerance_deg")))),
        ],
    );
}
