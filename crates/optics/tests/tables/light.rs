//! Stops, exposure values, ratios, mired, gels and flash against light.csv.

use crate::table::{Row, Tolerance::Absolute, Tolerance::Arithmetic, check_every_row};
use optics::exposure::{
    at_iso_100, exposure_value, exposure_value_of_luminance, f_number_of_stops, illuminance, inverse_square,
    lighting_ratio, lighting_ratio_of_stops, luminance, ratio_of_stops, stops_gained, stops_of_ratio,
};
use optics::flash::{ambient_over_flash, f_number, f_number_for_ambient_under, guide_number_at_power};
use optics::temperature::{mired, shift, through_gel};
use units::{Kelvin, Metres, Mired, Stops};

fn kelvin(row: &Row, column: &str) -> Kelvin {
    Kelvin::of(row.get(column))
}

fn stops(row: &Row, column: &str) -> Stops {
    Stops::of(row.get(column))
}

fn inverse_square_law(row: &Row) {
    let ratio =
        inverse_square(Metres::of(row.get("distance_1_m")), Metres::of(row.get("distance_2_m"))).unwrap();
    row.near("ratio", ratio, Arithmetic);
    row.near("stops", stops_of_ratio(ratio).unwrap().get(), Arithmetic);
}

fn ratio_and_stops(row: &Row) {
    row.near("ratio", ratio_of_stops(stops(row, "stops")), Arithmetic);
    row.near("stops", stops_of_ratio(row.get("ratio")).unwrap().get(), Arithmetic);
}

fn f_number_series(row: &Row) {
    let exact = f_number_of_stops(stops(row, "stops"));
    row.near("f_number", exact, Arithmetic);
    // The marking is the exact number rounded by custom: f/5.6, f/11 and f/22 lie up to 3 % off.
    let marked: f64 = row.text("name").trim_start_matches("marked f/").parse().unwrap();
    row.holds("the marking names the exact number", (marked / exact - 1.0).abs() < 0.035);
}

fn ev_settings(row: &Row) {
    let ev = exposure_value(row.get("f_number"), row.get("shutter_s")).unwrap();
    row.near("ev", ev.get(), Arithmetic);
    row.near("ev_100", at_iso_100(ev, row.get("iso")).unwrap().get(), Arithmetic);
}

fn ev_luminance(row: &Row) {
    let ev = stops(row, "ev_100");
    row.near("luminance_cd_m2", luminance(ev), Arithmetic);
    row.near("illuminance_lux", illuminance(ev), Arithmetic);
    row.near("ev_100", exposure_value_of_luminance(row.get("luminance_cd_m2")).unwrap().get(), Arithmetic);
}

/// A table of scenes, no measurement: that each is a scene a meter can read, and reads back.
fn ev_scene(row: &Row) {
    row.holds("the scene has a name", !row.text("name").is_empty());
    row.holds("the range is in order", row.get("ev_100_low") <= row.get("ev_100_high"));
    for column in ["ev_100_low", "ev_100_high"] {
        row.near(
            column,
            exposure_value_of_luminance(luminance(stops(row, column))).unwrap().get(),
            Arithmetic,
        );
    }
}

fn ratio_of_key_and_fill(row: &Row) {
    row.holds("the ratio has a name", row.text("name").starts_with("key to fill "));
    let ratio = lighting_ratio(row.get("key_units"), row.get("fill_units")).unwrap();
    row.near("ratio", ratio, Arithmetic);
    row.near("stops", stops_of_ratio(ratio).unwrap().get(), Arithmetic);
}

fn mired_shift(row: &Row) {
    let (from, to) = (kelvin(row, "cct_from_k"), kelvin(row, "cct_to_k"));
    row.near("mired_from", mired(from).unwrap().get(), Arithmetic);
    row.near("mired_to", mired(to).unwrap().get(), Arithmetic);
    row.near("mired_shift", shift(from, to).unwrap().get(), Arithmetic);
}

fn gel_effect(row: &Row) {
    let behind = through_gel(kelvin(row, "cct_from_k"), Mired::of(row.get("mired_shift"))).unwrap();
    row.near("cct_out_k", behind.get(), Arithmetic);
}

/// Trade values differ between makes: good to 10 mired.
fn gel_trade_value(row: &Row) {
    if row.number("cct_from_k").is_some() {
        gel_effect(row);
        let wanted = shift(kelvin(row, "cct_from_k"), kelvin(row, "cct_to_k")).unwrap();
        row.near("mired_shift", wanted.get(), Absolute(10.0));
        row.holds("the gel has a name", !row.text("name").is_empty());
        return;
    }
    // Film filters are known by what they convert: 3200 K lamps and 5500 K daylight one into the other.
    let (lamp, day) = (Kelvin::of(3200.0), Kelvin::of(5500.0));
    let known = match row.text("name") {
        "daylight film filter for 3200 K lamps (blue)" => shift(lamp, day).unwrap().get(),
        // For film balanced for 3400 K.
        "daylight to 3200 K film filter (amber)" => shift(day, Kelvin::of(3400.0)).unwrap().get(),
        "half of the amber conversion" => shift(day, Kelvin::of(3400.0)).unwrap().get() / 2.0,
        other => panic!("no known conversion for the filter '{other}'"),
    };
    row.near("mired_shift", known, Absolute(10.0));
}

fn guide_number(row: &Row) {
    let (gn, d) = (Metres::of(row.get("guide_number_m")), Metres::of(row.get("distance_m")));
    row.near("f_number", f_number(gn, d, row.get("iso")).unwrap(), Arithmetic);
}

fn flash_power(row: &Row) {
    // The table's flash has guide number 40 at full power.
    let share = row.get("ratio");
    row.near("guide_number_m", guide_number_at_power(Metres::of(40.0), share).unwrap().get(), Arithmetic);
    row.near("stops", stops_of_ratio(share).unwrap().get(), Arithmetic);
}

fn flash_ambient(row: &Row) {
    let over = ambient_over_flash(
        stops(row, "ambient_ev_100"),
        row.get("f_number"),
        row.get("shutter_s"),
        row.get("iso"),
    )
    .unwrap();
    row.near("ambient_minus_flash_stops", over.get(), Arithmetic);
}

fn flash_sync_aperture(row: &Row) {
    let under = -stops(row, "ambient_minus_flash_stops");
    let (ev, t, iso) = (stops(row, "ambient_ev_100"), row.get("sync_limit_s"), row.get("iso"));
    row.near("f_number", f_number_for_ambient_under(ev, under, t, iso).unwrap(), Arithmetic);
}

fn sum_of_lights(row: &Row) {
    let (first, second) = (row.get("key_units"), row.get("fill_units"));
    row.near("ratio", first + second, Arithmetic);
    row.near("stops", stops_gained(first, second).unwrap().get(), Arithmetic);
}

#[test]
fn every_row_of_light() {
    check_every_row(
        "light.csv",
        "kind",
        &[
            ("inverse_square", &inverse_square_law),
            ("stops", &ratio_and_stops),
            ("f_number_series", &f_number_series),
            ("ev_settings", &ev_settings),
            ("ev_luminance", &ev_luminance),
            ("ev_scene", &ev_scene),
            ("lighting_ratio", &ratio_of_key_and_fill),
            ("key_over_fill_stops", &|row| {
                row.near("ratio", lighting_ratio_of_stops(stops(row, "stops")), Arithmetic);
            }),
            ("mired", &mired_shift),
            ("gel_trade_value", &gel_trade_value),
            ("gel_effect", &gel_effect),
            ("guide_number", &guide_number),
            ("flash_power", &flash_power),
            ("flash_ambient", &flash_ambient),
            ("flash_sync_aperture", &flash_sync_aperture),
            ("sum_of_lights", &sum_of_lights),
        ],
    );
}
