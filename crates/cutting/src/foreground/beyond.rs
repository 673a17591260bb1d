//! The colour of a thing beyond its edge: what lies well inside, carried outwards ring by ring.

use crate::carried;
use crate::touch::FARTHEST;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb, Rgba};
use units::PxRect;

/// What is covered no less than this, and so far around it, is surely the thing's own: a shot is a little softer than its matte as a rule
/// (own choice, no source).
const SURE: f32 = 0.9;
const AROUND: i64 = 2;
/// Rings that are carried outwards: as far as an edge is moved, and what is not sure within it.
const RINGS: usize = FARTHEST as usize + 8;

const BESIDE: [(i64, i64); 8] = [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)];

/// A thing's own colour, made over where the second matte covers more than the first: there it is the mean of what is known beside it, from
/// what is sure outwards. Where nothing sure is near, as along strands, what little is known around counts.
pub(super) fn carried(
    mut own: Image<Rgb>,
    (matte, covered): (&Image<Coverage>, &Image<Coverage>),
    budget: &Budget,
) -> Result<Image<Rgb>, OverBudget> {
    let place = own.place();
    let width = place.width();
    let at = |x: i64, y: i64| (y - place.y0()) as usize * width + (x - place.x0()) as usize;
    let mut known = vec![false; place.area()];
    let mut open = Vec::new();
    for y in place.y0()..place.y1() {
        for x in place.x0()..place.x1() {
            if is_sure(matte, x, y) {
                known[at(x, y)] = true;
            } else if covered.at(x, y).0 > 0.0 {
                open.push((x, y));
            }
        }
    }
    for _ in 0..RINGS {
        let (mut ring, mut rest) = (Vec::new(), Vec::new());
        for (x, y) in open {
            let beside = BESIDE.map(|(dx, dy)| (x + dx, y + dy));
            let beside = beside.into_iter().filter(|(u, v)| place.contains(*u, *v) && known[at(*u, *v)]);
            let (sum, count) = beside.fold(([0.0f32; 3], 0.0f32), |(sum, n), (u, v)| {
                let Rgb(c) = own.at(u, v);
                ([0, 1, 2].map(|k| sum[k] + c[k]), n + 1.0)
            });
            if count > 0.0 {
                ring.push((x, y, Rgb(sum.map(|v| v / count))));
            } else {
                rest.push((x, y));
            }
        }
        open = rest;
        if ring.is_empty() {
            break;
        }
        for (x, y, colour) in ring {
            known[at(x, y)] = true;
            own.row_mut(y)[(x - place.x0()) as usize] = colour;
        }
    }
    if open.is_empty() {
        return Ok(own);
    }
    let corner = PxRect::new(0, 0, place.width() as i64, place.height() as i64);
    let weighed = Image::from_fn(corner, budget, |x, y| {
        let (x, y) = (x + place.x0(), y + place.y0());
        let Rgb([r, g, b]) = own.at(x, y);
        let t = if known[at(x, y)] { 1.0 } else { matte.at(x, y).0 };
        Rgba([r * t, g * t, b * t, t])
    })?;
    let filled = carried::fill(weighed, budget)?;
    for (x, y) in open {
        let Rgba([r, g, b, a]) = filled.at(x - place.x0(), y - place.y0());
        if a > 0.0 {
            own.row_mut(y)[(x - place.x0()) as usize] = Rgb([r, g, b].map(|v| v / a));
        }
    }
    Ok(own)
}

fn is_sure(matte: &Image<Coverage>, x: i64, y: i64) -> bool {
    matte.at(x, y).0 >= SURE
        && (y - AROUND..=y + AROUND)
            .all(|v| (x - AROUND..=x + AROUND).all(|u| matte.at_clamped(u, v).0 >= SURE))
}
