//! What holds for every camera, lens and light: proved on paper, tried on many. No values but the formulas'
//! own.
#![allow(clippy::unwrap_used, reason = "a value that is missing fails the test")]

use optics::lights::on_cylinder;
use optics::{
    Aperture, Camera, Focus, Lens, Lights, Plane, Point, Practical, Sky, Sun, Viewpoint, shadow, temperature,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use units::math::{cos, hypot, sin};
use units::{Degrees, Kelvin, Metres, Millimetres, Pixels, PxSize, Vec3};

fn point(x: f64, y: f64, z: f64) -> Point {
    Point::new(Metres::of(x), Metres::of(y), Metres::of(z))
}

prop_compose! {
    /// A camera as photographers hold it, cropped or not.
    fn camera()(
        (width, height) in (200u32..12000, 200u32..12000),
        eye in 0.2..30.0f64,
        (pitch, roll) in (-60.0..60.0f64, -40.0..40.0f64),
        focal in 14.0..200.0f64,
        crop in proptest::option::of((-0.5..1.5f64, -0.5..1.5f64)),
    ) -> Camera {
        let px = |share: f64, side: u32| Pixels::of(share * f64::from(side));
        Camera::new(Viewpoint {
            size: PxSize::new(width, height).unwrap(),
            height: Metres::of(eye),
            pitch: Degrees::of(pitch),
            roll: Degrees::of(roll),
            focal: Millimetres::of(focal),
            sensor_width: Millimetres::of(36.0),
            principal: crop.map(|(u, v)| (px(u, width), px(v, height))),
        }).unwrap()
    }
}

prop_compose! {
    /// A camera at the limits of what is accepted.
    fn any_camera()(
        width in 1u32..=PxSize::LIMIT,
        eye in 1e-3..=1e5f64,
        (pitch, roll) in (-89.0..=89.0f64, -89.0..=89.0f64),
        (focal, sensor) in (0.1..=1e5f64, 0.1..=1e4f64),
    ) -> Camera {
        Camera::new(Viewpoint {
            size: PxSize::new(width, 77).unwrap(),
            height: Metres::of(eye),
            pitch: Degrees::of(pitch),
            roll: Degrees::of(roll),
            focal: Millimetres::of(focal),
            sensor_width: Millimetres::of(sensor),
            principal: None,
        }).unwrap()
    }
}

fn any_finite() -> impl Strategy<Value = f64> {
    proptest::num::f64::ANY.prop_map(|v| if v.is_finite() { v } else { 0.0 })
}

fn inside(u: f64, v: f64) -> bool {
    u.abs() < 20000.0 && v.abs() < 20000.0
}

/// The same trials in every run: a failure can be looked at again.
fn trials() -> ProptestConfig {
    ProptestConfig {
        cases: 2000,
        max_global_rejects: 100_000,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1839),
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(trials())]

    #[test]
    fn a_point_of_a_level_comes_back_to_its_pixel(
        camera in camera(), (x, z) in (-80.0..80.0f64, -5.0..150.0f64), level in -2.0..35.0f64,
    ) {
        let place = point(x, level, z);
        let eye = camera.viewpoint().height.get();
        // A level at the camera's own height is seen edge on: no pixel of it can be told from another.
        prop_assume!((level - eye).abs() > 0.05);
        let Some(seen) = camera.project(place) else { return Ok(()) };
        prop_assume!(inside(seen.u, seen.v));
        let back = camera.on_level(seen.u, seen.v, place.y).unwrap();
        // A metre off at depth d moves the pixel by F (h - level)/d²: the digits of the pixel bound the
        // metres.
        let metres_per_px = seen.depth.metres().get().powi(2) / (camera.focal_px().get() * (level - eye).abs());
        let near = 1e-9 * (1.0 + metres_per_px);
        prop_assert!((back.x.get() - x).abs() < near && (back.z.get() - z).abs() < near, "{back:?}");
        prop_assert_eq!(back.y, place.y);
        let again = camera.project(back).unwrap();
        prop_assert!((again.u - seen.u).abs() < 1e-7 && (again.v - seen.v).abs() < 1e-7, "{seen:?} {again:?}");
    }

    #[test]
    fn a_plane_appears_as_its_points_do(
        camera in camera(), (x, y, z) in (-50.0..50.0f64, -2.0..4.0f64, -3.0..150.0f64),
        (right, up) in (-3.0..3.0f64, -1.0..4.0f64),
    ) {
        let mark = point(x, y, z);
        let mut planes = vec![Plane::facing_lens(&camera, mark), Plane::level(Metres::of(y))];
        planes.extend(Plane::upright(mark));
        for plane in planes {
            let seen = camera.project(plane.place(Metres::of(right), Metres::of(up)));
            let mapped = plane.to_picture(&camera);
            let third = (mapped * Vec3::new(right, up, 1.0)).0[2];
            let Some(seen) = seen else {
                prop_assert!(third < 1e-9);
                continue;
            };
            prop_assert!((third - seen.depth.metres().get()).abs() < 1e-9);
            if inside(seen.u, seen.v) {
                let (u, v) = mapped.project(right, up).unwrap();
                prop_assert!((u - seen.u).abs() < 1e-9 && (v - seen.v).abs() < 1e-9, "{u} {v} {seen:?}");
            }
        }
    }

    #[test]
    fn a_plane_that_faces_the_lens_keeps_its_shape(
        camera in camera(), (x, y, z) in (-50.0..50.0f64, -2.0..4.0f64, 0.0..150.0f64),
    ) {
        let mark = point(x, y, z);
        let Some(depth) = camera.depth(mark) else { return Ok(()) };
        let m = Plane::facing_lens(&camera, mark).to_picture(&camera).0;
        let scale = camera.scale(depth).get();
        // Depth the same all over; right and up at right angles, both as long as a metre is there.
        prop_assert!(m[2][0].abs() < 1e-12 && m[2][1].abs() < 1e-12);
        let d = m[2][2];
        let column = |j: usize| ((m[0][j] - m[2][j] * m[0][2] / d) / d, (m[1][j] - m[2][j] * m[1][2] / d) / d);
        let (right, up) = (column(0), column(1));
        prop_assert!((hypot(right.0, right.1) / scale - 1.0).abs() < 1e-9);
        prop_assert!((hypot(up.0, up.1) / scale - 1.0).abs() < 1e-9);
        prop_assert!((right.0 * up.0 + right.1 * up.1).abs() / scale.powi(2) < 1e-9);
    }

    #[test]
    fn an_upright_is_cut_by_the_horizon_at_the_height_of_the_camera(
        camera in camera(), (x, z) in (-50.0..50.0f64, 0.5..200.0f64),
    ) {
        let eye = Point { y: camera.viewpoint().height, ..point(x, 0.0, z) };
        let seen = camera.project(eye);
        prop_assume!(seen.is_some_and(|s| inside(s.u, s.v)));
        let seen = seen.unwrap();
        prop_assert!((camera.horizon(seen.u) - seen.v).abs() < 1e-7);
        let line = camera.horizon_line();
        prop_assert!(line.dot(Vec3::new(seen.u, seen.v, 1.0)).abs() < 1e-7);
        // Below the line lies what is lower than the camera.
        if let Some(foot) = camera.project(point(x, 0.0, z)) {
            prop_assert!(line.dot(Vec3::new(foot.u, foot.v, 1.0)) > 0.0);
        }
    }

    #[test]
    fn a_pixel_looks_at_what_it_shows(camera in camera(), (x, y, z) in (-50.0..50.0f64, -2.0..30.0f64, -5.0..200.0f64)) {
        let place = point(x, y, z);
        let Some(seen) = camera.project(place) else { return Ok(()) };
        prop_assume!(inside(seen.u, seen.v));
        let eye = Vec3::new(0.0, camera.viewpoint().height.get(), 0.0);
        let to = (place.vector() - eye).unit().unwrap();
        prop_assert!((camera.ray(seen.u, seen.v) - to).length() < 1e-9);
    }

    #[test]
    fn a_preview_shows_the_same_view(camera in camera(), (x, y, z) in (-50.0..50.0f64, -2.0..4.0f64, 0.5..200.0f64), width in 20u32..4000) {
        let size = camera.viewpoint().size;
        let k = f64::from(width) / f64::from(size.width());
        let small = camera.scaled(PxSize::new(width, 50).unwrap());
        prop_assert!((small.focal_px().get() - k * camera.focal_px().get()).abs() < 1e-9);
        let seen = camera.project(point(x, y, z));
        prop_assume!(seen.is_some_and(|s| inside(s.u, s.v)));
        let (seen, less) = (seen.unwrap(), small.project(point(x, y, z)).unwrap());
        prop_assert!((less.u - k * seen.u).abs() < 1e-8 && (less.v - k * seen.v).abs() < 1e-8);
        prop_assert_eq!(less.depth, seen.depth);
        // And it is the camera that its own description makes.
        let again = Camera::new(*small.viewpoint()).unwrap().project(point(x, y, z)).unwrap();
        prop_assert!((less.u - again.u).abs() < 1e-8 && (less.v - again.v).abs() < 1e-8);
    }

    #[test]
    fn nothing_behind_the_camera_is_seen_and_nothing_seen_is_infinite(
        camera in any_camera(), (x, y, z) in (any_finite(), any_finite(), any_finite()), (u, v) in (any_finite(), any_finite()),
    ) {
        let place = point(x, y, z);
        if let Some(depth) = camera.depth(place) {
            prop_assert!(depth.metres().get() > 0.0);
            prop_assert!(camera.scale(depth).get() > 0.0);
        }
        if let Some(seen) = camera.project(place) {
            prop_assert!(seen.u.is_finite() && seen.v.is_finite() && seen.depth.metres().get() > 0.0);
        }
        prop_assert!((camera.ray(u, v).length() - 1.0).abs() < 1e-12);
        if let Some(there) = camera.on_level(u, v, Metres::of(y)) {
            prop_assert_eq!(there.y, Metres::of(y));
        }
        prop_assert!(camera.horizon(0.0).is_finite());
        if let Some(plane) = Plane::upright(place) {
            prop_assert!((plane.right().length() - 1.0).abs() < 1e-9);
            prop_assert!(plane.right().0[1] == 0.0);
        }
    }

    #[test]
    fn the_limits_are_where_the_disc_is_permissible(
        (focal, n, s) in (14.0..300.0f64, 1.0..32.0f64, 0.6..40.0f64), permissible in 0.005..0.1f64,
    ) {
        let lens = Lens::new(Millimetres::of(focal), n, Focus::At(Metres::of(s)), Aperture::Disc).unwrap();
        let camera = level_camera();
        let disc = |d: Metres| lens.disc_on_sensor(camera.depth(point(0.0, 0.0, d.get())).unwrap()).get();
        let limits = lens.limits(Millimetres::of(permissible)).unwrap();
        prop_assert!((disc(limits.near) / permissible - 1.0).abs() < 1e-9);
        match limits.far {
            Focus::At(far) => prop_assert!((disc(far) / permissible - 1.0).abs() < 1e-6),
            Focus::Infinity => prop_assert!(lens.disc_of_distance().get() <= permissible * (1.0 + 1e-9)),
        }
        // Far beyond, the disc becomes that of the farthest distance.
        prop_assert!((disc(Metres::of(1e9)) - lens.disc_of_distance().get()).abs() < 1e-6);
    }

    #[test]
    fn focused_ever_farther_a_lens_becomes_one_at_infinity((focal, n, d) in (14.0..300.0f64, 1.0..32.0f64, 0.5..100.0f64)) {
        let at = |focus| Lens::new(Millimetres::of(focal), n, focus, Aperture::Disc).unwrap();
        let depth = level_camera().depth(point(0.0, 0.0, d)).unwrap();
        let (far, infinity) = (at(Focus::At(Metres::of(1e8))), at(Focus::Infinity));
        prop_assert!((far.disc_on_sensor(depth) / infinity.disc_on_sensor(depth) - 1.0).abs() < 1e-5);
        let by_hand = focal * focal / n / (d * 1000.0);
        prop_assert!((infinity.disc_on_sensor(depth).get() / by_hand - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_cylinder_is_the_mean_of_its_strips(
        (a, e) in (0.0..std::f64::consts::TAU, -1.5..1.5f64), toward in 0.0..std::f64::consts::TAU,
    ) {
        let light = Vec3::new(cos(e) * sin(a), sin(e), cos(e) * cos(a));
        let viewer = Vec3::new(sin(toward), 0.0, cos(toward));
        let side = Vec3::new(viewer.0[2], 0.0, -viewer.0[0]);
        let strips = 4000;
        let (mut sum, mut weights) = (0.0, 0.0);
        for i in 0..strips {
            let angle = ((f64::from(i) + 0.5) / f64::from(strips) - 0.5) * std::f64::consts::PI;
            let normal = viewer * cos(angle) + side * sin(angle);
            sum += normal.dot(light).max(0.0) * cos(angle);
            weights += cos(angle);
        }
        prop_assert!((on_cylinder(light, viewer) - sum / weights).abs() < 1e-6);
    }

    #[test]
    fn lights_add(
        (x, y, z) in (-5.0..5.0f64, 0.0..3.0f64, 1.0..20.0f64), (nx, ny, nz) in (-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64),
        (sx, sy, sz) in (-1.0..1.0f64, 0.01..1.0f64, -1.0..1.0f64), visibility in 0.0..1.0f64,
    ) {
        let dark = Sky::new(Vec3::splat(0.0), Vec3::splat(0.0)).unwrap();
        let sky = Sky::new(Vec3::new(0.2, 0.3, 0.4), Vec3::new(0.1, 0.13, 0.18)).unwrap();
        let sun = Sun::new(Vec3::new(sx, sy, sz), Vec3::new(1.0, 0.9, 0.7), Sun::DIAMETER).unwrap();
        let lamp = Practical::new(point(0.7, 0.6, 5.0), Vec3::new(0.8, 0.3, 0.05), Metres::of(0.075)).unwrap();
        let ground = Vec3::new(0.12, 0.1, 0.08);
        let (place, normal) = (point(x, y, z), Vec3::new(nx, ny, nz));
        prop_assume!(normal.length() > 1e-3);
        let of = |sky, sun, lamps| Lights::new(sky, sun, ground, lamps).unwrap();
        let whole = of(sky, Some(sun), vec![lamp]);
        let parts = [of(sky, None, vec![]), of(dark, Some(sun), vec![]), of(dark, None, vec![lamp])];
        type Reading<'a> = &'a dyn Fn(&Lights) -> Vec3;
        let card: Reading = &|l| l.on_card(place, normal, visibility);
        let cylinder: Reading = &|l| l.on_cylinder(place, visibility);
        let level: Reading = &|l| l.on_level(place);
        for reading in [card, cylinder, level] {
            let sum = parts.iter().fold(Vec3::splat(0.0), |sum, part| sum + reading(part));
            prop_assert!((reading(&whole) - sum).length() < 1e-12);
            prop_assert!(reading(&whole).0.iter().all(|&v| v >= 0.0));
        }
        // The shares of sun, lamp and what is left to the sky make the whole.
        let sky_part = parts[0].on_level(place).over(whole.on_level(place));
        let shares = whole.share_of_sun(place) + whole.share_of_practical(0, place) + sky_part;
        prop_assert!((shares - Vec3::splat(1.0)).length() < 1e-12);
    }

    #[test]
    fn mired_and_back(k in 500.0..40000.0f64) {
        let there = temperature::mired(Kelvin::of(k)).unwrap();
        prop_assert!((temperature::kelvin(there).unwrap().get() - k).abs() < 1e-9 * k);
    }

    #[test]
    fn a_shadow_lies_on_the_line_from_the_light(
        (x, z) in (-5.0..5.0f64, 2.0..20.0f64), (lx, ly, lz) in (-5.0..5.0f64, 0.5..6.0f64, 1.0..20.0f64),
        (right, share) in (-1.0..1.0f64, 0.0..0.9f64),
    ) {
        let (plane, level) = (Plane::upright(point(x, 0.0, z)).unwrap(), Metres::of(-0.1));
        let up = ly * share;
        let lamp = point(lx, ly, lz);
        let place = plane.place(Metres::of(right), Metres::of(up)).vector();
        let (sx, sz) = shadow::of_plane_from_lamp(&plane, lamp, level).unwrap().project(right, up).unwrap();
        let (to_place, to_shadow) = (place - lamp.vector(), Vec3::new(sx, level.get(), sz) - lamp.vector());
        let k = to_shadow.0[1] / to_place.0[1];
        prop_assert!(k >= 1.0);
        prop_assert!((to_place * k - to_shadow).length() < 1e-9 * (1.0 + to_shadow.length()));
    }
}

fn level_camera() -> Camera {
    Camera::new(Viewpoint {
        size: PxSize::new(6000, 4000).unwrap(),
        height: Metres::of(1.6),
        pitch: Degrees::ZERO,
        roll: Degrees::ZERO,
        focal: Millimetres::of(50.0),
        sensor_width: Millimetres::of(36.0),
        principal: None,
    })
    .unwrap()
}
