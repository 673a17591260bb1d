use super::*;
use units::{PxRect, math};

const SIZE: (i64, i64) = (360, 300);

fn budget() -> Budget {
    Budget::of_bytes(1 << 28)
}

/// Even and repeatable, about -1 to 1.
fn noise(x: i64, y: i64, c: i64) -> f32 {
    let mut h = ((x * 73_856_093) ^ (y * 19_349_663) ^ (c * 83_492_791)) as u64;
    (0..3).for_each(|_| h = (h ^ h >> 29).wrapping_mul(0xbf58_476d_1ce4_e5b9));
    (h >> 40) as f32 / (1 << 23) as f32 - 1.0
}

/// Cream paper that loses a stop and a half to the right, with a soft shadow on the ground; without noise.
fn paper(x: i64, y: i64) -> [f32; 3] {
    let fall = math::pow(2.0, -1.5 * x as f64 / SIZE.0 as f64) as f32;
    let away = math::hypot((x - 180) as f64 / 120.0, (y - 250) as f64 / 40.0);
    let shadow = 1.0 - 0.45 * math::exp(-away * away) as f32;
    [0.82, 0.76, 0.66].map(|v| v * fall * shadow)
}

/// A shot: what covers a place by how much, and the thing's colour there.
fn shot(covers: impl Fn(i64, i64) -> (f32, [f32; 3])) -> Image<Rgb> {
    Image::from_fn(PxRect::new(0, 0, SIZE.0, SIZE.1), &budget(), |x, y| {
        let ((a, thing), behind) = (covers(x, y), paper(x, y));
        Rgb(std::array::from_fn(|c| {
            let light = a * thing[c] + (1.0 - a) * behind[c];
            (light + 0.012 * light.sqrt() * noise(x, y, c as i64)).max(0.0)
        }))
    })
    .unwrap()
}

fn cut(covers: impl Fn(i64, i64) -> (f32, [f32; 3])) -> Found {
    found(&shot(covers), &budget()).unwrap().unwrap()
}

const RED: [f32; 3] = [0.30, 0.05, 0.04];
const BROWN: [f32; 3] = [0.16, 0.09, 0.05];

fn in_box(x: i64, y: i64, (x0, y0, x1, y1): (i64, i64, i64, i64)) -> bool {
    (x0..x1).contains(&x) && (y0..y1).contains(&y)
}

/// A head with strands around it that let paper through, a body, and an arm akimbo with a gap that only paper shows in.
fn sitter(x: i64, y: i64) -> (f32, [f32; 3]) {
    let (dx, dy) = ((x - 180) as f64, (y - 90) as f64);
    let (r, turn) = (math::hypot(dx, dy), math::atan2(dy, dx));
    let hair = math::sin(turn * 60.0 + math::sin(r * 0.2)) as f32;
    let gap = in_box(x, y, (215, 160, 240, 215));
    match () {
        () if r < 28.0 => (1.0, BROWN),
        () if r < 60.0 && dy < 20.0 && hair > 0.5 => {
            (((hair - 0.5) * 2.0).min(1.0) * (1.0 - (r as f32 - 28.0) / 40.0), BROWN)
        }
        () if in_box(x, y, (140, 115, 250, 250)) && !gap => (1.0, RED),
        () => (0.0, RED),
    }
}

#[test]
fn what_is_sure_is_right_before_paper_that_darkens_and_has_shadows() {
    let found = cut(sitter);
    let place = found.trimap.place();
    let (mut open, mut lost) = (0, 0.0);
    for (x, y) in (0..SIZE.1).flat_map(|y| (0..SIZE.0).map(move |x| (x, y))) {
        let (a, sure) = (sitter(x, y).0, found.trimap.at(x, y));
        match sure {
            Sure::Outside => lost += a,
            Sure::Inside => assert!(a > 0.9, "{x} {y}: {a}"),
            Sure::Between => open += 1,
        }
    }
    assert!(open * 4 < place.area() && lost < 5.0, "{open} {lost}");
    // The gap under the arm is paper, the shadow on the ground as well, and far from its edges the body is sure.
    assert_eq!([(227, 187), (180, 270), (300, 250)].map(|(x, y)| found.trimap.at(x, y)), [Sure::Outside; 3]);
    assert_eq!([(180, 180), (180, 90)].map(|(x, y)| found.trimap.at(x, y)), [Sure::Inside; 2]);
    assert!(found.doubts.is_empty(), "{:?}", found.doubts);
    // The paper's colour is known within the thing's hair as well.
    for (x, y) in [(180, 45), (227, 187), (330, 20)] {
        let seen = found.paper.at(x / found.step, y / found.step).0;
        (0..3).for_each(|c| assert!((seen[c] / paper(x, y)[c] - 1.0).abs() < 0.05, "{x} {y}: {seen:?}"));
    }
}

/// A box of the paper's own tint, with a panel in it as bright as the paper, but for a weave.
#[test]
fn a_light_panel_is_filled_and_told_and_a_hole_is_a_hole() {
    let tint = |x, y, k: f32| paper(x, y).map(|v| v * k);
    let in_frame = |x, y| in_box(x, y, (90, 40, 270, 200));
    let in_panel = |x, y| in_box(x, y, (150, 80, 210, 150));
    let panel = cut(|x, y| match () {
        () if in_panel(x, y) => (1.0, tint(x, y, 1.0 + 0.05 * math::sin(x as f64 / 6.0) as f32)),
        () if in_frame(x, y) => (1.0, tint(x, y, 0.45)),
        () => (0.0, RED),
    });
    assert_ne!(panel.trimap.at(180, 115), Sure::Outside);
    assert!(
        panel.doubts.iter().any(|d| matches!(d, Doubt::Filled(p) if in_panel(p.x0(), p.y0()))),
        "{:?}",
        panel.doubts
    );
    let hole = cut(|x, y| match () {
        () if in_frame(x, y) && !in_panel(x, y) => (1.0, RED),
        () => (0.0, RED),
    });
    assert_eq!(hole.trimap.at(180, 115), Sure::Outside);
    assert!(hole.doubts.is_empty(), "{:?}", hole.doubts);
}

/// A post stands in a deep shadow that is a dozen pixels wide; a light shirt above a red skirt is nearly as light as the paper.
#[test]
fn a_deep_shadow_that_a_thing_stands_in_is_paper_and_a_light_shirt_is_not() {
    let shade = |x: i64, y: i64| {
        let away = math::hypot((x - 180) as f64 / 44.0, (y - 252) as f64 / 16.0);
        1.0 - 0.6 / (1.0 + math::exp((away - 1.0) * 7.0)) as f32
    };
    let standing = cut(|x, y| match () {
        () if in_box(x, y, (165, 60, 195, 254)) => (1.0, RED),
        () => (1.0, paper(x, y).map(|v| v * shade(x, y))),
    });
    let sure = [(150, 250), (210, 250), (180, 262)].map(|(x, y)| standing.trimap.at(x, y));
    assert_eq!(sure, [Sure::Outside; 3]);
    assert_eq!(standing.trimap.at(180, 200), Sure::Inside);
    let worn = cut(|x, y| match () {
        () if in_box(x, y, (120, 60, 240, 150)) => (1.0, paper(x, y).map(|v| v * 0.8)),
        () if in_box(x, y, (130, 150, 230, 250)) => (1.0, RED),
        () => (0.0, RED),
    });
    assert_ne!(worn.trimap.at(180, 105), Sure::Outside);
}

/// A shirt nearly as light as the paper, whose sleeve leaves a wedge of paper that narrows to nothing.
#[test]
fn a_narrow_wedge_of_paper_does_not_lead_into_a_light_shirt() {
    let in_wedge =
        |x: i64, y: i64| y > 90 && (x - 200) as f32 > 0.0 && (x - 200) as f32 * 6.0 < (y - 90) as f32;
    let worn = |x: i64, y: i64| match () {
        () if in_box(x, y, (130, 190, 200, 290)) => (1.0, RED),
        () if in_box(x, y, (120, 50, 250, 190)) && !in_wedge(x, y) => (1.0, paper(x, y).map(|v| v * 0.8)),
        () => (0.0, RED),
    };
    let quiet = Image::from_fn(PxRect::new(0, 0, SIZE.0, SIZE.1), &budget(), |x, y| {
        let ((a, thing), behind) = (worn(x, y), paper(x, y));
        Rgb([0, 1, 2].map(|c| {
            let light = a * thing[c] + (1.0 - a) * behind[c];
            light * (1.0 + 0.002 * noise(x, y, c as i64))
        }))
    });
    let found = found(&quiet.unwrap(), &budget()).unwrap().unwrap();
    assert_eq!(found.trimap.at(160, 120), Sure::Inside);
    assert!([(140, 70), (240, 80)].iter().all(|(x, y)| found.trimap.at(*x, *y) != Sure::Outside));
    assert_eq!([(207, 180), (300, 120)].map(|(x, y)| found.trimap.at(x, y)), [Sure::Outside; 2]);
}

#[test]
fn the_room_beyond_the_paper_is_left_out_and_told() {
    let found = cut(|x, y| match () {
        () if x > 325 => (1.0, [0.05, 0.07, 0.12]),
        () if x < 20 && y > 200 => (1.0, [0.3, 0.2, 0.1]),
        () => sitter(x, y),
    });
    assert_eq!([(350, 100), (5, 280)].map(|(x, y)| found.trimap.at(x, y)), [Sure::Outside; 2]);
    assert_eq!(found.trimap.at(180, 180), Sure::Inside);
    let rooms = found.doubts.iter().filter(|d| matches!(d, Doubt::Room(_))).count();
    assert_eq!(rooms, 2, "{:?}", found.doubts);
}

#[test]
fn a_rim_without_detail_and_dark_paper_are_told() {
    let clipped = cut(|x, y| match () {
        () if in_box(x, y, (140, 80, 146, 240)) => (1.0, [1.6; 3]),
        () if in_box(x, y, (140, 80, 220, 240)) => (1.0, RED),
        () => (0.0, RED),
    });
    assert!(
        clipped.doubts.iter().any(|d| matches!(d, Doubt::Clipped(p) if p.contains(142, 150))),
        "{:?}",
        clipped.doubts
    );
    let dim = shot(sitter);
    let dim = Image::from_fn(dim.place(), &budget(), |x, y| Rgb(dim.at(x, y).0.map(|v| v * 0.01))).unwrap();
    let dim = found(&dim, &budget()).unwrap().unwrap();
    assert!(
        dim.doubts.iter().any(|d| matches!(d, Doubt::DarkPaper(light) if *light < 0.01)),
        "{:?}",
        dim.doubts
    );
}

#[test]
fn without_paper_or_without_a_thing_it_is_said() {
    let place = PxRect::new(-3, 5, 100, 80);
    let of = |f: &dyn Fn(i64, i64) -> Rgb| {
        found(&Image::from_fn(place, &budget(), f).unwrap(), &budget()).unwrap()
    };
    assert!(matches!(
        of(&|x, y| Rgb([0, 1, 2].map(|c| 0.5 + 0.5 * noise(x, y, c)))),
        Err(NotFound::NoPaper(_))
    ));
    assert_eq!(of(&|_, _| Rgb([0.6; 3])).err(), Some(NotFound::NothingOnIt));
    let one = Image::from_fn(PxRect::new(0, 0, 1, 1), &budget(), |_, _| Rgb([0.5; 3])).unwrap();
    assert!(found(&one, &budget()).unwrap().is_err());
}

#[test]
fn any_number_of_threads_finds_the_same() {
    let picture = shot(sitter);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| found(&picture, &budget()).unwrap().unwrap())
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.trimap, three.trimap);
    assert_eq!(one.paper.pixels(), three.paper.pixels());
}

/// Too narrow for means of three by three, and deep within: what shows in slits between stalks is paper, and stays open.
#[test]
fn slits_between_stalks_are_not_the_thing() {
    const GREEN: [f32; 3] = [0.10, 0.16, 0.05];
    let is_slit = |x: i64, y: i64| in_box(x, y, (120, 80, 240, 150)) && (x - 120) % 40 < 3;
    let stalks = |x: i64, y: i64| match () {
        () if is_slit(x, y) => (0.0, GREEN),
        () if in_box(x, y, (80, 60, 280, 260)) => (1.0, GREEN),
        () => (0.0, GREEN),
    };
    let found = cut(stalks);
    let all = (0..SIZE.1).flat_map(|y| (0..SIZE.0).map(move |x| (x, y)));
    let slits: Vec<_> = all.filter(|(x, y)| is_slit(*x, *y)).collect();
    let closed = slits.iter().filter(|(x, y)| found.trimap.at(*x, *y) == Sure::Inside).count();
    // All are, where only gaps of five cells and more are looked for.
    assert!(closed * 20 < slits.len(), "{closed} of {}", slits.len());
    assert_eq!(found.trimap.at(140, 115), Sure::Inside);
}

/// A file of fewer bytes has no tint of its own but in some blocks, and no noise but in some.
#[test]
fn blocks_of_a_compressed_file_are_paper() {
    let covers = |x: i64, y: i64| (f32::from(in_box(x, y, (140, 100, 230, 250))), RED);
    for often in [-0.96, -0.8, -0.2] {
        let picture = Image::from_fn(PxRect::new(0, 0, SIZE.0, SIZE.1), &budget(), |x, y| {
            let ((a, thing), behind) = (covers(x, y), paper(x, y));
            let block = |size: i64, c: i64| noise(x / size, y / size, c) < often;
            let light = 1.0 + if block(8, 5) { 0.02 * noise(x / 2, y / 2, 7) } else { 0.0 };
            let tint = if block(16, 6) { [1.016, 1.0, 0.984] } else { [1.0; 3] };
            Rgb(std::array::from_fn(|c| (a * thing[c] + (1.0 - a) * behind[c]) * light * tint[c]))
        });
        let found = found(&picture.unwrap(), &budget()).unwrap().unwrap();
        let share = |sure: Sure| found.trimap.cells().iter().filter(|s| **s == sure).count() as f64;
        let all = (SIZE.0 * SIZE.1) as f64;
        assert!(share(Sure::Outside) > 0.82 * all, "{often}: {}", share(Sure::Outside) / all);
        assert!(share(Sure::Between) < 0.06 * all, "{often}: {}", share(Sure::Between) / all);
        assert!(found.doubts.is_empty(), "{often}: {:?}", found.doubts);
    }
}
