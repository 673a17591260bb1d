//! The lens against depth_of_field.csv: blur discs by image distances, limits by root finding, published
//! examples.

use crate::table::{Row, Tolerance::Absolute, Tolerance::Relative, check_every_row};
use optics::{Aperture, Camera, Focus, Lens, Point, Viewpoint};
use units::{Degrees, Metres, Millimetres, PxSize};

fn lens(row: &Row, focus: Focus) -> Lens {
    Lens::new(Millimetres::of(row.get("focal_mm")), row.get("f_number"), focus, Aperture::Disc).unwrap()
}

fn focus(row: &Row) -> Focus {
    row.number("focus_m").map_or(Focus::Infinity, |s| Focus::At(Metres::of(s)))
}

fn blur_disc(row: &Row) {
    let lens = lens(row, focus(row));
    let camera = Camera::new(Viewpoint {
        size: PxSize::new(row.get("image_width_px") as u32, 4000).unwrap(),
        height: Metres::of(1.0),
        pitch: Degrees::ZERO,
        roll: Degrees::ZERO,
        focal: lens.focal(),
        sensor_width: Millimetres::of(row.get("sensor_width_mm")),
        principal: None,
    })
    .unwrap();
    let subject = row.get("subject_m");
    let (mm, px) = if subject.is_infinite() {
        (lens.disc_of_distance(), lens.disc_of_distance_in_pixels(&camera))
    } else {
        // A level camera: the depth is the distance along the ground.
        let depth = camera.depth(Point::new(Metres::of(0.3), Metres::ZERO, Metres::of(subject))).unwrap();
        (lens.disc_on_sensor(depth), lens.disc(depth, &camera))
    };
    // An image in focus has a disc of 0, of which no share can be taken.
    let (mm_tolerance, px_tolerance) = if row.get("blur_mm") == 0.0 {
        (Absolute(1e-12), Absolute(1e-9))
    } else {
        (Relative(1e-6), Relative(1e-6))
    };
    row.near("blur_mm", mm.get(), mm_tolerance);
    row.near("blur_px", px.get(), px_tolerance);
}

fn far(limit: Focus) -> f64 {
    match limit {
        Focus::At(distance) => distance.get(),
        Focus::Infinity => f64::INFINITY,
    }
}

fn limits(row: &Row) {
    let (lens, permissible) = (lens(row, focus(row)), Millimetres::of(row.get("coc_mm")));
    row.near("hyperfocal_m", lens.hyperfocal(permissible).unwrap().get(), Relative(1e-6));
    row.near(
        "hyperfocal_short_form_m",
        lens.hyperfocal_short_form(permissible).unwrap().get(),
        Relative(1e-6),
    );
    let limits = lens.limits(permissible).unwrap();
    row.near("near_m", limits.near.get(), Relative(1e-6));
    row.near("far_m", far(limits.far), Relative(1e-6));
}

fn published(row: &Row) {
    let (lens, permissible) = (lens(row, focus(row)), Millimetres::of(row.get("coc_mm")));
    let tolerance = Absolute(row.get("tolerance_m"));
    let hyperfocal = lens.hyperfocal(permissible).unwrap();
    row.near_if_given("hyperfocal_m", hyperfocal.get(), tolerance);
    // The row's tolerance belongs to its limits; a long hyperfocal distance is printed to whole units (0.1
    // %).
    let short = row.number("hyperfocal_short_form_m").unwrap_or_default();
    let printed = Absolute(row.get("tolerance_m").max(1e-3 * short));
    row.near_if_given(
        "hyperfocal_short_form_m",
        lens.hyperfocal_short_form(permissible).unwrap().get(),
        printed,
    );
    if row.number("near_m").is_some() {
        let limits = lens.limits(permissible).unwrap();
        row.near("near_m", limits.near.get(), tolerance);
        if row.get("far_m").is_infinite() {
            // The source sets the lens to its rounded hyperfocal distance; rounding may leave the last
            // metres out.
            let Focus::At(set) = lens.focus() else { panic!("the row has a focus") };
            row.holds("focused at the hyperfocal distance", (set / hyperfocal - 1.0).abs() < 0.02);
            row.holds("the far limit is far", far(limits.far) > 50.0 * set.get());
        } else {
            row.near("far_m", far(limits.far), tolerance);
        }
    }
}

#[test]
fn every_row_of_depth_of_field() {
    check_every_row(
        "depth_of_field.csv",
        "kind",
        &[("blur_disc", &blur_disc), ("limits", &limits), ("published", &published)],
    );
}
