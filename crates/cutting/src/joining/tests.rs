//! Invented sitters: a body that stayed and a head that moved, each with a pattern of its own, before paper.

use super::*;
use crate::pen::{Dot, Form};
use units::{Mat3, math};

const PLACE: PxRect = PxRect::new(0, 0, 420, 520);

/// Uneven light from 0 to 1, smooth, about so many pixels to a speck.
fn pattern(x: f64, y: f64, speck: f64, seed: i64) -> f64 {
    let knot = |i: i64, j: i64| {
        let h =
            (i.wrapping_mul(374_761_393) ^ j.wrapping_mul(668_265_263) ^ seed.wrapping_mul(2_147_483_647))
                .wrapping_mul(1_274_126_177);
        ((h >> 16) & 1023) as f64 / 1023.0
    };
    let (u, v) = (x / speck, y / speck);
    let (i, j) = (u.floor() as i64, v.floor() as i64);
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (s, t) = (ease(u - u.floor()), ease(v - v.floor()));
    let top = knot(i, j) + (knot(i + 1, j) - knot(i, j)) * s;
    let low = knot(i, j + 1) + (knot(i + 1, j + 1) - knot(i, j + 1)) * s;
    top + (low - top) * t
}

/// Colour and coverage at a point of the first frame, with the head's middle moved so far.
fn sitter((x, y): (f64, f64), head: (f64, f64)) -> ([f64; 3], f64) {
    let (u, v) = (x - 210.0 - head.0, y - 130.0 - head.1);
    let inside = |d: f64| (d + 0.5).clamp(0.0, 1.0);
    let head_covers = inside(60.0 - (u * u + v * v).sqrt());
    let body_covers = inside(x - 110.0).min(inside(310.0 - x)).min(inside(y - 170.0));
    let skin = 0.25 + 0.35 * pattern(u, v, 7.0, 3) * pattern(u, v, 23.0, 4);
    let cloth = 0.06 + 0.3 * pattern(x, y, 6.0, 1) * pattern(x, y, 31.0, 2);
    let paper = 0.8 - 0.0002 * x;
    let under = [cloth, 0.7 * cloth, 0.5 * cloth].map(|c| body_covers * c + (1.0 - body_covers) * paper);
    let skin = [skin, 0.8 * skin, 0.7 * skin];
    let colour = [0, 1, 2].map(|c| head_covers * skin[c] + (1.0 - head_covers) * under[c]);
    (colour, head_covers + (1.0 - head_covers) * body_covers)
}

/// A frame of it, four points to a pixel; `to_shot` as the camera moved, `gain` as the light changed.
fn frame(
    place: PxRect,
    head: (f64, f64),
    to_shot: Mat3,
    gain: [f64; 3],
    budget: &Budget,
) -> (Image<Rgb>, Image<Coverage>) {
    let back = to_shot.inverse().unwrap();
    let seen = |x: i64, y: i64| {
        let points = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)];
        let all = points.map(|(u, v)| sitter(back.project(x as f64 + u, y as f64 + v).unwrap(), head));
        let colour = [0, 1, 2].map(|c| (gain[c] * all.iter().map(|p| p.0[c]).sum::<f64>() / 4.0) as f32);
        (colour, (all.iter().map(|p| p.1).sum::<f64>() / 4.0) as f32)
    };
    let colour = Image::from_fn(place, budget, |x, y| Rgb(seen(x, y).0)).unwrap();
    (colour, Image::from_fn(place, budget, |x, y| Coverage(seen(x, y).1)).unwrap())
}

fn moved_camera() -> Mat3 {
    let (s, c) = (math::sin(0.008) * 1.003, math::cos(0.008) * 1.003);
    Mat3([[c, -s, 5.3], [s, c, -3.8], [0.0, 0.0, 1.0]])
}

fn around_the_head() -> Stroke {
    let dots = [(130.0, 55.0), (300.0, 55.0), (310.0, 190.0), (120.0, 190.0)];
    Stroke::new(dots.iter().map(|(x, y)| Dot { x: *x, y: *y, radius: 2.0 }).collect(), Form::Area, 0.0)
        .unwrap()
}

/// How far a mapping is from the true one, at the worst of the corners of what is covered.
fn off(found: Mat3, truth: Mat3) -> f64 {
    let corners = [(110.0, 180.0), (310.0, 180.0), (110.0, 510.0), (310.0, 510.0)];
    let miss = |(x, y): (f64, f64)| {
        let (a, b) = (found.project(x, y).unwrap(), truth.project(x, y).unwrap());
        math::hypot(a.0 - b.0, a.1 - b.1)
    };
    corners.into_iter().map(miss).fold(0.0, f64::max)
}

#[test]
fn what_stayed_says_how_a_shot_lies_though_the_head_moved() {
    let budget = Budget::of_bytes(1 << 28);
    let (first, matte) = frame(PLACE, (0.0, 0.0), Mat3::IDENTITY, [1.0; 3], &budget);
    let (other, _) = frame(PLACE, (14.0, -6.0), moved_camera(), [1.1, 1.0, 0.9], &budget);
    let moved = drawn(&[around_the_head()], PLACE, &budget).unwrap();
    let near = Some(PxRect::new(60, 20, 360, 260));
    for asked in [Asked::default(), Asked { near, moved: Some(&moved), thing: Some(&matte) }] {
        let found = align(&first, &other, asked, &budget).unwrap().unwrap();
        let error = off(found.alignment.to_shot(), moved_camera());
        assert!(error < 0.1 && found.kept > 50 && found.spread_px < 0.2, "{error} {found:?}");
        assert!(found.error_px < 0.2, "{found:?}");
    }
}

#[test]
fn plain_paper_and_another_sitter_do_not_agree() {
    let budget = Budget::of_bytes(1 << 28);
    let (first, _) = frame(PLACE, (0.0, 0.0), Mat3::IDENTITY, [1.0; 3], &budget);
    let paper = Image::from_fn(PLACE, &budget, |x, _| Rgb([0.8 - 0.0002 * x as f32; 3])).unwrap();
    assert!(align(&first, &paper, Asked::default(), &budget).unwrap().is_err());
    assert!(align(&paper, &paper, Asked::default(), &budget).unwrap().is_err());
    let speck = |x: i64, y: i64| Rgb([pattern(x as f64, y as f64, 6.0, 77) as f32; 3]);
    let else_where = Image::from_fn(PLACE, &budget, speck).unwrap();
    assert!(align(&first, &else_where, Asked::default(), &budget).unwrap().is_err());
    for size in [1, 2, 20] {
        let small = first.crop(PxRect::new(150, 250, 150 + size, 250 + size), &budget).unwrap();
        assert!(align(&small, &small, Asked::default(), &budget).unwrap().is_err());
    }
    let scarce = Budget::of_bytes(1 << 20);
    assert!(align(&first, &first, Asked::default(), &scarce).is_err());
}

/// The head of another frame on the body of the first, wherever on the grid the shots stand.
#[test]
fn the_head_of_another_frame_comes_without_a_seam() {
    let budget = Budget::of_bytes(1 << 28);
    let (head, gain) = ((14.0, -6.0), [1.1, 1.0, 0.9]);
    let (first, matte) = frame(PLACE, (0.0, 0.0), Mat3::IDENTITY, [1.0; 3], &budget);
    let (other, other_matte) = frame(PLACE, head, moved_camera(), gain, &budget);
    let take = [around_the_head()];
    let alignment = Alignment::found(moved_camera()).unwrap();
    let part = Part { shot: &other, matte: &other_matte, alignment, take: &take, stay: &[], leeway: None };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| join((&first, &matte), &[part], &budget)).unwrap()
    };
    let joined = on(1);
    assert_eq!(joined.colour.samples(), on(3).colour.samples());
    let seam = &joined.seams[0];
    for (found, wanted) in seam.gain.iter().zip(gain) {
        assert!((found * wanted - 1.0).abs() < 0.01, "{:?}", seam.gain);
    }
    assert!(seam.difference < 0.02 && seam.missing == 0.0, "{seam:?}");
    let (truth, true_matte) = frame(PLACE, head, Mat3::IDENTITY, [1.0; 3], &budget);
    let (mut worst, mut covered) = (0.0f32, 0.0f32);
    for (x, y) in (0..520).flat_map(|y| (0..420).map(move |x| (x, y))) {
        covered = covered.max((joined.matte.at(x, y).0 - true_matte.at(x, y).0).abs());
        // Paper takes the light of either frame.
        if true_matte.at(x, y).0 > 0.99 {
            let (a, b) = (joined.colour.at(x, y).0, truth.at(x, y).0);
            worst = (0..3).map(|c| (a[c] - b[c]).abs()).fold(worst, f32::max);
        }
    }
    assert!(worst < 0.05 && covered < 0.12, "{worst} {covered}");
    // Below, the first shot is as it was, to the last bit.
    assert!((300..520).all(|y| joined.colour.row(y) == first.row(y) && joined.matte.row(y) == matte.row(y)));
}

#[test]
fn what_is_to_stay_stays_and_what_the_other_shot_does_not_hold_is_said() {
    let budget = Budget::of_bytes(1 << 28);
    let (first, matte) = frame(PLACE, (0.0, 0.0), Mat3::IDENTITY, [1.0; 3], &budget);
    let narrow = PxRect::new(200, 0, 420, 520);
    let (other, other_matte) = frame(narrow, (10.0, 0.0), Mat3::IDENTITY, [1.0; 3], &budget);
    let take = [around_the_head()];
    let stay = [Stroke::new(vec![Dot { x: 270.0, y: 120.0, radius: 12.0 }], Form::Line, 0.0).unwrap()];
    let alignment = Alignment::SAME;
    let part =
        Part { shot: &other, matte: &other_matte, alignment, take: &take, stay: &stay, leeway: Some(20.0) };
    let joined = join((&first, &matte), &[part], &budget).unwrap();
    let seam = &joined.seams[0];
    assert!((0.35..0.55).contains(&seam.missing), "{}", seam.missing);
    assert!((100..140).all(|y| (0..200).all(|x| joined.colour.at(x, y) == first.at(x, y))));
    assert!((262..278).all(|x| joined.colour.at(x, 120) == first.at(x, 120)));
    let nothing = Part { take: &[], ..part };
    let joined = join((&first, &matte), &[nothing], &budget).unwrap();
    assert!(joined.colour.samples() == first.samples() && joined.seams[0].taken.place().is_empty());
    assert!(join((&first, &matte), &[part], &Budget::of_bytes(1 << 22)).is_err());
}
