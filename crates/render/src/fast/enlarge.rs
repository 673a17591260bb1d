//! A picture on a grid k times coarser than the picture's, handed out at the picture's own pixels.

use pixels::Image;
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{self, Along, Edge, Resampler};
use units::PxRect;

/// Coarse pixels around that enlarging looks at.
const MARGIN: i64 = 3;

/// Rows that are made together.
pub(super) const TOGETHER: usize = resample::TOGETHER;

/// The coarse pixels that show a rectangle of picture pixels on a grid anchored to the picture's origin.
pub(super) fn grid(rect: PxRect, k: i64) -> PxRect {
    if k == 1 { rect } else { rect.coarser(k).grow(MARGIN) }
}

/// A rectangle of picture pixels to the borders of the coarse pixels that show it.
pub(super) fn whole(rect: PxRect, k: i64) -> PxRect {
    let r = rect.coarser(k);
    PxRect::new(r.x0() * k, r.y0() * k, r.x1() * k, r.y1() * k)
}

/// Coarse pixels with those around that enlarging them wants.
pub(super) fn around(coarse: PxRect, k: i64) -> PxRect {
    if k == 1 || coarse.is_empty() { coarse } else { coarse.grow(2 * MARGIN) }
}

/// The way from a coarse grid to the picture's pixels.
pub(super) struct Enlarge {
    /// Picture pixels that it makes.
    covers: PxRect,
    /// Where the grid is coarse.
    up: Option<Resampler>,
}

/// What enlarging reuses from part to part.
pub(super) struct Room<P> {
    resampling: resample::Room,
    lines: Vec<P>,
}

impl<P> Default for Room<P> {
    fn default() -> Self {
        Self { resampling: resample::Room::default(), lines: Vec::new() }
    }
}

impl Enlarge {
    /// From a rectangle of coarse pixels, as [`grid`] makes it.
    pub(super) fn new(coarse: PxRect, k: i64) -> Self {
        if k == 1 {
            return Self { covers: coarse, up: None };
        }
        let r = coarse.grow(-MARGIN);
        let covers = PxRect::new(r.x0() * k, r.y0() * k, r.x1() * k, r.y1() * k);
        let up = Along { scale: 1.0 / k as f64, offset: 0.0 };
        let up = Resampler::new(Filter::Lanczos3, up, up, Edge::Clear, coarse, covers).between();
        Self { covers, up: Some(up) }
    }

    /// Picture pixels that it makes.
    pub(super) const fn covers(&self) -> PxRect {
        self.covers
    }

    /// The rows of a part of what it covers, from the top.
    pub(super) fn rows<'l, P: pixels::Pixel>(
        &self,
        coarse: &'l Image<P>,
        part: PxRect,
        room: &'l mut Room<P>,
    ) -> impl Iterator<Item = &'l [P]> + use<'l, P> {
        let width = part.width();
        let (pixels, stride) = match &self.up {
            None => {
                let place = coarse.place();
                let first = (part.y0() - place.y0()) as usize * place.width();
                (&coarse.pixels()[first + (part.x0() - place.x0()) as usize..], place.width())
            }
            Some(up) => {
                room.lines.resize(part.area(), P::default());
                up.part(coarse, part, &mut room.resampling, &mut room.lines);
                (&room.lines[..], width)
            }
        };
        (0..part.height()).map(move |i| &pixels[i * stride..i * stride + width])
    }
}
