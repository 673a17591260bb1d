//! What a piece covers of the picture, in coarse outline.

use staging::measured::{BANDS, MeasuredCut};
use staging::standing::Standing;
use units::{Mat3, PxRect};

/// An upright rectangle in picture pixels: left, right, top, bottom.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Box4(pub(crate) [f64; 4]);

impl Box4 {
    pub(crate) fn grown(self, by: f64) -> Self {
        let [l, r, t, b] = self.0;
        Self([l - by, r + by, t - by, b + by])
    }

    pub(crate) fn meets(self, other: Self) -> bool {
        let ([l, r, t, b], [ol, or, ot, ob]) = (self.0, other.0);
        l < or && ol < r && t < ob && ot < b
    }

    /// Whether it meets a closed polygon, inside or outline.
    pub(crate) fn meets_polygon(self, polygon: &[[f64; 2]]) -> bool {
        let [l, r, t, b] = self.0;
        let middle = [f64::midpoint(l, r), f64::midpoint(t, b)];
        let ends = polygon.iter().zip(polygon.iter().cycle().skip(1));
        crate::ground::surrounds(polygon, middle) || ends.into_iter().any(|(p, q)| self.is_crossed(*p, *q))
    }

    /// Whether a straight stretch passes through it (Liang, Barsky: A new concept and method for line clipping, 1984; from memory).
    fn is_crossed(self, p: [f64; 2], q: [f64; 2]) -> bool {
        let [l, r, t, b] = self.0;
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let (mut from, mut to) = (0.0f64, 1.0f64);
        for (step, room) in [(-dx, p[0] - l), (dx, r - p[0]), (-dy, p[1] - t), (dy, b - p[1])] {
            if step == 0.0 {
                if room < 0.0 {
                    return false;
                }
            } else if step < 0.0 {
                from = from.max(room / step);
            } else {
                to = to.min(room / step);
            }
        }
        from <= to
    }
}

/// What a piece lies within; `None` where it reaches behind the lens.
pub(crate) fn around(piece: &Standing, cut: &MeasuredCut) -> Option<Box4> {
    let to_picture = piece.to_picture * piece.to_shot.inverse()?;
    let c = cut.covered;
    let (x0, x1, y0, y1) = (c.x0() as f64, c.x1() as f64, c.y0() as f64, c.y1() as f64);
    seen(&to_picture, [(x0, y0), (x1, y0), (x0, y1), (x1, y1)])
}

fn seen(to_picture: &Mat3, corners: [(f64, f64); 4]) -> Option<Box4> {
    let mut seen = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
    for (u, v) in corners {
        let (x, y) = to_picture.project(u, v)?;
        seen = [seen[0].min(x), seen[1].max(x), seen[2].min(y), seen[3].max(y)];
    }
    Some(Box4(seen))
}

/// What a piece covers, band by band of its height; a share of the blur disc is counted to it.
pub(crate) struct Silhouette {
    pub(crate) bands: Vec<Box4>,
}

impl Silhouette {
    /// Of a piece as it stands; nothing where it reaches behind the lens. `shares` limits it to a part of its height, 0 at the foot and
    /// 1 at the top of what is solid.
    pub(crate) fn of(piece: &Standing, cut: &MeasuredCut, shares: Option<(f64, f64)>) -> Option<Self> {
        let to_plane = piece.to_shot.inverse()?;
        let to_picture = piece.to_picture * to_plane;
        let (foot, top) = (cut.solid.y1() as f64, cut.solid.y0() as f64);
        let row = |share: f64| foot + (top - foot) * share;
        let (from, to) = shares.map_or((f64::NEG_INFINITY, f64::INFINITY), |(lo, hi)| (row(hi), row(lo)));
        let covered: PxRect = cut.covered;
        let at = |i: usize| covered.y0() as f64 + covered.height() as f64 * i as f64 / BANDS as f64;
        let mut bands = Vec::with_capacity(BANDS);
        for (i, [left, right]) in cut.outline.iter().enumerate() {
            let (upper, lower) = (at(i).max(from), at(i + 1).min(to));
            if left >= right || upper >= lower {
                continue;
            }
            let (l, r) = (f64::from(*left), f64::from(*right));
            let band = seen(&to_picture, [(l, upper), (r, upper), (l, lower), (r, lower)])?;
            // Half a blur disc around covers half as much, and less.
            bands.push(band.grown(piece.defocus.result / 4.0));
        }
        Some(Self { bands })
    }

    pub(crate) fn meets(&self, other: Box4) -> bool {
        self.bands.iter().any(|band| band.meets(other))
    }
}
