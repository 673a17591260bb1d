//! What is known in places, carried on to where it is not: by pull and push over a pyramid (Gortler, Grzeszczuk, Szeliski and Cohen,
//! "The lumigraph", 1996, section 3.4).

use pixels::{Budget, Image, OverBudget, Rgba};
use units::PxRect;

/// Fills what has no weight from what has, smoothly: pull (means of four, their weights added up to at most 1),
/// then push (what lacks weight is mixed with the coarser level). Colours are premultiplied by the weight.
pub(crate) fn fill(fine: Image<Rgba>, budget: &Budget) -> Result<Image<Rgba>, OverBudget> {
    let whole = |image: &Image<Rgba>| image.pixels().iter().all(|p| p.0[3] >= 1.0);
    if (fine.width() == 1 && fine.height() == 1) || whole(&fine) {
        return Ok(fine);
    }
    let half = PxRect::new(0, 0, (fine.width() as i64 + 1) / 2, (fine.height() as i64 + 1) / 2);
    let coarse = Image::from_fn(half, budget, |x, y| {
        let mut sum = [0.0f32; 4];
        for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
            let p = fine.at(2 * x + dx, 2 * y + dy);
            for c in 0..4 {
                sum[c] += p.0[c];
            }
        }
        let scale = if sum[3] > 1.0 { 1.0 / sum[3] } else { 1.0 };
        Rgba(sum.map(|v| v * scale))
    })?;
    let coarse = fill(coarse, budget)?;
    let mut out = fine;
    let place = out.place();
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(out.row_mut(y)) {
            let lacks = 1.0 - p.0[3];
            if lacks > 0.0 {
                let below = at(&coarse, x, y, 2);
                for c in 0..4 {
                    p.0[c] += lacks * below[c];
                }
            }
        }
    }
    Ok(out)
}

/// A coarse field at a fine pixel: bilinear, the border repeated.
pub(crate) fn at(field: &Image<Rgba>, x: i64, y: i64, step: i64) -> [f32; 4] {
    let axis = |v: i64| {
        let t = (v as f32 + 0.5) / step as f32 - 0.5;
        let i = t.floor();
        (i as i64, t - i)
    };
    let ((i, fx), (j, fy)) = (axis(x), axis(y));
    let p = |di: i64, dj: i64| field.at_clamped(i + di, j + dj).0;
    let (a, b, c, d) = (p(0, 0), p(1, 0), p(0, 1), p(1, 1));
    std::array::from_fn(|k| {
        let top = a[k] + (b[k] - a[k]) * fx;
        let low = c[k] + (d[k] - c[k]) * fx;
        top + (low - top) * fy
    })
}
