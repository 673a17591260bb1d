//! Shadows against shadows.csv: rays from the top of an upright to level ground, soft edges, depth.

use crate::table::{Row, Tolerance, Tolerance::Arithmetic, check_every_row};
use optics::shadow;
use optics::{Lights, Plane, Point, Sky, Sun, solar};
use units::{Degrees, Metres, Vec3};

fn degrees(row: &Row, column: &str) -> Degrees {
    Degrees::of(row.get(column))
}

fn length(row: &Row) {
    let (height, elevation) = (Metres::of(row.get("height_m")), degrees(row, "sun_elevation_deg"));
    row.near("shadow_length_m", shadow::length(height, elevation).unwrap().get(), Arithmetic);
    row.near("ray_length_m", shadow::ray_length(height, elevation).unwrap().get(), Arithmetic);
    row.near("shadow_azimuth_deg", shadow::azimuth(degrees(row, "sun_azimuth_deg")).get(), Arithmetic);
    // The upright stands on a mark; the tip is counted from its foot.
    let mark = Point::new(Metres::of(1.5), Metres::ZERO, Metres::of(7.0));
    let sun =
        solar::direction(elevation, degrees(row, "sun_azimuth_deg"), degrees(row, "camera_heading_deg"));
    let plane = Plane::upright(mark).unwrap();
    let tip = shadow::of_point(plane.place(Metres::ZERO, height), sun, Metres::ZERO).unwrap();
    row.near("tip_x_m", (tip.x - mark.x).get(), Arithmetic);
    row.near("tip_z_m", (tip.z - mark.z).get(), Arithmetic);
    let whole = shadow::of_plane(&plane, sun, Metres::ZERO).unwrap().project(0.0, height.get()).unwrap();
    row.near("tip_x_m", whole.0 - mark.x.get(), Arithmetic);
    row.near("tip_z_m", whole.1 - mark.z.get(), Arithmetic);
}

fn penumbra(row: &Row) {
    let (height, elevation) = (Metres::of(row.get("height_m")), degrees(row, "sun_elevation_deg"));
    let diameter = degrees(row, "sun_diameter_deg");
    row.holds("the sun's own diameter", diameter == Sun::DIAMETER);
    let ray = shadow::ray_length(height, elevation).unwrap();
    row.near("ray_length_m", ray.get(), Arithmetic);
    row.near("penumbra_across_m", shadow::penumbra_across(ray, diameter).get(), Arithmetic);
    let along = shadow::penumbra_along(height, elevation, diameter).unwrap().get();
    row.near("penumbra_along_exact_m", along, Arithmetic);
    // The usual shorter form, h δ/sin² e, is within a per cent of it.
    row.near("penumbra_along_small_angle_m", along, Tolerance::Relative(0.01));
}

fn depth(row: &Row) {
    let ratio = row.get("sun_to_sky_ratio");
    row.near("shadow_level", shadow::level_in_shadow(ratio).unwrap(), Arithmetic);
    row.near("shadow_stops", shadow::stops_in_shadow(ratio).unwrap().get(), Arithmetic);
    // And as the lights of a picture give it: an overhead sun of that ratio over an even sky.
    let sky = Sky::new(Vec3::splat(0.4), Vec3::splat(0.2)).unwrap();
    let sun = Sun::new(Vec3::new(0.0, 1.0, 0.0), Vec3::splat(0.4 * ratio), Sun::DIAMETER).unwrap();
    let lights = Lights::new(sky, Some(sun), Vec3::splat(0.3), Vec::new()).unwrap();
    row.near("shadow_level", 1.0 - lights.share_of_sun(Point::default()).0[1], Arithmetic);
}

#[test]
fn every_row_of_shadows() {
    check_every_row(
        "shadows.csv",
        "kind",
        &[("length", &length), ("penumbra", &penumbra), ("depth", &depth)],
    );
}
