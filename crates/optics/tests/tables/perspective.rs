//! The camera against perspective.csv: points projected by another program's pinhole model, horizons as
//! vanishing lines, focal lengths from vanishing points (Caprile and Torre 1990), heights from one view
//! (Criminisi, Reid, Zisserman 2000).

use crate::table::{Row, Tolerance, Tolerance::Absolute, check_every_row};
use optics::sightings::{Upright, attitude_from_horizon, camera_height, focal_from_vanishing_points, height};
use optics::{Camera, Point, Viewpoint};
use units::{Degrees, Metres, Millimetres, PxSize};

const PX: Tolerance = Absolute(1e-3);
const M: Tolerance = Absolute(1e-6);

fn camera(row: &Row) -> Camera {
    let px = |column| row.get(column) as u32;
    Camera::new(Viewpoint {
        size: PxSize::new(px("image_width_px"), px("image_height_px")).unwrap(),
        height: Metres::of(row.get("camera_height_m")),
        pitch: Degrees::of(row.get("pitch_deg")),
        roll: Degrees::of(row.get("roll_deg")),
        focal: Millimetres::of(row.get("focal_mm")),
        sensor_width: Millimetres::of(row.get("sensor_width_mm")),
        principal: None,
    })
    .unwrap()
}

fn point(row: &Row) {
    let camera = camera(row);
    let m = |column| Metres::of(row.get(column));
    let place = Point::new(m("x_m"), m("y_m"), m("z_m"));
    let seen = camera.project(place).unwrap();
    row.near("u_px", seen.u, PX);
    row.near("v_px", seen.v, PX);
    row.near("depth_m", seen.depth.metres().get(), M);
    row.near("px_per_m", camera.scale(seen.depth).get(), M);
    // And back from the printed pixel to the level it lies on. Near the horizon a pixel is many metres, so
    // the printed digits (1e-6 px) bound how near one can come.
    if place.y != camera.viewpoint().height {
        let back = camera.on_level(row.get("u_px"), row.get("v_px"), place.y).unwrap();
        let metres_per_px = seen.depth.metres().get().powi(2)
            / (camera.focal_px().get() * (camera.viewpoint().height - place.y).get().abs());
        row.near("x_m", back.x.get(), Absolute(1e-6 + 1e-6 * metres_per_px));
        row.near("z_m", back.z.get(), Absolute(1e-6 + 1e-6 * metres_per_px));
    }
}

fn horizon(row: &Row) {
    let camera = camera(row);
    let width = row.get("image_width_px");
    row.near("horizon_left_v_px", camera.horizon(0.0), PX);
    row.near("horizon_right_v_px", camera.horizon(width), PX);
    let line = camera.horizon_line();
    for (u, column) in [(0.0, "horizon_left_v_px"), (width, "horizon_right_v_px")] {
        row.near(column, -(line.0[0] * u + line.0[2]) / line.0[1], PX);
    }
    // And back: how the camera was held.
    let (left, right) = ((0.0, row.get("horizon_left_v_px")), (width, row.get("horizon_right_v_px")));
    let held = attitude_from_horizon(left, right, camera.principal(), camera.focal_px()).unwrap();
    row.near("pitch_deg", held.pitch.get(), M);
    row.near("roll_deg", held.roll.get(), M);
}

fn vanishing_points(row: &Row) {
    let camera = camera(row);
    let spot = |name: &str| (row.get(&format!("{name}_u_px")), row.get(&format!("{name}_v_px")));
    let focal = focal_from_vanishing_points(spot("vp1"), spot("vp2"), camera.principal()).unwrap();
    row.near("focal_px", focal.get(), PX);
    row.near("focal_px", camera.focal_px().get(), PX);
    for (at, quarter) in [(spot("vp1"), 0.0), (spot("vp2"), 90.0)] {
        row.holds("the vanishing point lies on the horizon", (camera.horizon(at.0) - at.1).abs() < 1e-3);
        let ray = camera.ray(at.0, at.1);
        let azimuth = units::math::degrees(units::math::atan2(ray.0[0], ray.0[2]));
        let off = azimuth - row.get("azimuth1_deg") + quarter;
        row.holds("its ray has the azimuth of the row", ((off + 90.0).rem_euclid(180.0) - 90.0).abs() < 1e-6);
    }
}

fn one_view(row: &Row) {
    let camera = camera(row);
    let spot = |name: &str| (row.get(&format!("{name}_u_px")), row.get(&format!("{name}_v_px")));
    let wanted = Upright { foot: spot("base"), top: spot("top") };
    let reference = Upright { foot: spot("ref_base"), top: spot("ref_top") };
    let known = Metres::of(row.get("ref_height_m"));
    let (horizon, vertical) = (camera.horizon_line(), camera.vertical_vanishing_point());
    row.near("height_m", height(horizon, vertical, reference, known, wanted).unwrap().get(), M);
    row.near("camera_height_m", camera_height(horizon, vertical, reference, known).unwrap().get(), M);
}

#[test]
fn every_row_of_perspective() {
    check_every_row(
        "perspective.csv",
        "kind",
        &[
            ("point", &point),
            ("horizon", &horizon),
            ("vanishing_points", &vanishing_points),
            ("height", &one_view),
        ],
    );
}
