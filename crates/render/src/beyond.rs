//! A photograph where a picture shows more than it holds: beyond its border it goes on as its mirror image, as far again as it is
//! wide and high (docs/model.md, *Coordinates*).

use crate::{Error, Photograph};
use pixels::kernel::filter::Filter;
use pixels::kernel::warp;
use pixels::{Budget, Image, Rgb};
use units::{Mat3, PxRect, PxSize};

/// How far it goes on. Farther out the last pixels are repeated.
pub(crate) fn ground(size: PxSize) -> PxRect {
    let (w, h) = (i64::from(size.width()), i64::from(size.height()));
    PxRect::new(-w, -h, 2 * w, 2 * h)
}

/// What of the ground a part of a picture looks at through a filter.
pub(crate) fn seen(size: PxSize, to_source: &Mat3, filter: Filter, want: PxRect) -> PxRect {
    let whole = ground(size);
    let ends =
        [(want.x0(), want.y0()), (want.x1(), want.y0()), (want.x0(), want.y1()), (want.x1(), want.y1())];
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (x, y) in ends {
        // Beyond the vanishing line there is no saying how far it looks.
        let Some(look) = warp::look(to_source, x, y) else { return whole };
        let reach = filter.support(look.stretch.0.max(look.stretch.1)).ceil() + 2.0;
        low = [low[0].min(look.at.0 - reach), low[1].min(look.at.1 - reach)];
        high = [high[0].max(look.at.0 + reach), high[1].max(look.at.1 + reach)];
    }
    let at = |v: f64| v.clamp(-1e15, 1e15) as i64;
    PxRect::new(at(low[0].floor()), at(low[1].floor()), at(high[0].ceil()), at(high[1].ceil()))
        .intersect(whole)
}

/// A part of the ground.
pub(crate) fn part(photograph: &dyn Photograph, part: PxRect, budget: &Budget) -> Result<Image<Rgb>, Error> {
    let size = photograph.size();
    let (w, h) = (i64::from(size.width()), i64::from(size.height()));
    let mut made = Image::<Rgb>::new(part, budget)?;
    let is_within = part.x0() >= 0 && part.x1() <= w;
    let mut row = vec![Rgb::default(); if is_within { 0 } else { w as usize }];
    for y in part.y0()..part.y1() {
        let from = mirrored(y, h) as usize;
        if is_within {
            photograph.row(part.x0() as usize, from, made.row_mut(y));
        } else {
            photograph.row(0, from, &mut row);
            for (x, p) in (part.x0()..).zip(made.row_mut(y)) {
                *p = row[mirrored(x, w) as usize];
            }
        }
    }
    Ok(made)
}

/// Which of `n` pixels stands at `i`.
const fn mirrored(i: i64, n: i64) -> i64 {
    let i = i.rem_euclid(2 * n);
    if i < n { i } else { 2 * n - 1 - i }
}

#[cfg(test)]
mod tests {
    use super::mirrored;

    #[test]
    fn the_border_stands_beside_itself() {
        let all: Vec<i64> = (-4..8).map(|i| mirrored(i, 3)).collect();
        assert_eq!(all, [2, 2, 1, 0, 0, 1, 2, 2, 1, 0, 0, 1]);
    }
}
