//! Where something can be seen of what a mapping shows: exact, also where that reaches behind the lens.

use units::{Mat3, PxRect, PxSize, Vec3};

/// Four samples: a resampling filter's three and one for luck at the border.
const FILTER: i64 = 4;

/// Where a mapping from picture pixels to a shot shows a rectangle of it, with room for the resampling filter. Limited to a few pictures'
/// width around the picture: no blur disc reaches further.
pub(crate) fn of_shot(to_shot: &Mat3, covered: PxRect, picture: PxSize) -> PxRect {
    let r = covered.grow(FILTER);
    let [x0, y0, x1, y1] = [r.x0(), r.y0(), r.x1(), r.y1()].map(|v| v as f64);
    of_sides(to_shot, [[x0, x1], [y0, y1]], picture)
}

/// Where a mapping from picture pixels to a plane shows what lies between two numbers along each of its axes.
pub(crate) fn of_sides(to_plane: &Mat3, sides: [[f64; 2]; 2], picture: PxSize) -> PxRect {
    let (w, h) = (i64::from(picture.width()), i64::from(picture.height()));
    let around = PxRect::new(-4 * w, -4 * h, 5 * w, 5 * h);
    let corner = |x: i64, y: i64| [x as f64, y as f64];
    let mut seen = vec![
        corner(around.x0(), around.y0()),
        corner(around.x1(), around.y0()),
        corner(around.x1(), around.y1()),
        corner(around.x0(), around.y1()),
    ];
    let [across, along, depth] = to_plane.0.map(Vec3);
    let [[left, right], [upper, lower]] = sides;
    // Each border is a straight line of the picture too: a place lies on the inner side where this is positive.
    let borders =
        [depth, across - depth * left, depth * right - across, along - depth * upper, depth * lower - along];
    for border in borders {
        seen = inner(&seen, border);
    }
    let fold = |f: fn(f64, f64) -> f64, axis: usize| seen.iter().map(|p| p[axis]).reduce(f);
    let [Some(x0), Some(y0), Some(x1), Some(y1)] =
        [fold(f64::min, 0), fold(f64::min, 1), fold(f64::max, 0), fold(f64::max, 1)]
    else {
        return PxRect::EMPTY;
    };
    PxRect::new(
        x0.floor() as i64 - FILTER,
        y0.floor() as i64 - FILTER,
        x1.ceil() as i64 + FILTER,
        y1.ceil() as i64 + FILTER,
    )
    .intersect(around)
}

/// What of a convex outline lies on the inner side of a border (Sutherland and Hodgman's clipping; from memory).
fn inner(outline: &[[f64; 2]], border: Vec3) -> Vec<[f64; 2]> {
    let side = |p: &[f64; 2]| border.dot(Vec3::new(p[0], p[1], 1.0));
    let mut kept = Vec::with_capacity(outline.len() + 1);
    for (i, here) in outline.iter().enumerate() {
        let next = &outline[(i + 1) % outline.len()];
        let (a, b) = (side(here), side(next));
        if a >= 0.0 {
            kept.push(*here);
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            let t = a / (a - b);
            kept.push([0, 1].map(|axis| here[axis] + (next[axis] - here[axis]) * t));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_within_bounds_where_it_shows_something_of_the_shot() {
        let picture = PxSize::new(40, 30).unwrap();
        let covered = PxRect::new(10, 20, 50, 90);
        let maps = [
            Mat3::scaling(2.0, 3.0),
            // Towards a vanishing line that crosses the picture.
            Mat3([[1.0, 0.1, 3.0], [0.0, 2.0, -4.0], [0.0, -0.05, 1.0]]),
            Mat3([[-1.0, 0.3, 30.0], [0.2, 2.0, -4.0], [0.03, 0.02, -0.6]]),
        ];
        for map in maps {
            let bounds = of_shot(&map, covered, picture);
            let mut tight = PxRect::EMPTY;
            for (x, y) in (-160..200).flat_map(|x| (-120..150).map(move |y| (x, y))) {
                let shows = map
                    .project(f64::from(x) + 0.5, f64::from(y) + 0.5)
                    .is_some_and(|(u, v)| (6.0..=54.0).contains(&u) && (16.0..=94.0).contains(&v));
                if shows {
                    let (x, y) = (i64::from(x), i64::from(y));
                    assert!(bounds.contains(x, y), "{map:?} {x} {y} {bounds:?}");
                    tight = tight.union(PxRect::new(x, y, x + 1, y + 1));
                }
            }
            assert!(!tight.is_empty());
            let room = tight.grow(FILTER + 2);
            assert_eq!(bounds.intersect(room), bounds, "{map:?}: {bounds:?} is wider than {tight:?}");
        }
    }

    #[test]
    fn what_lies_behind_the_lens_is_seen_nowhere() {
        let picture = PxSize::new(40, 30).unwrap();
        let behind = Mat3([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]]);
        assert!(of_shot(&behind, PxRect::new(0, 0, 10, 10), picture).is_empty());
    }
}
