//! Turning a stored picture upright.

use crate::error::Error;
use crate::exif::Orientation;
use crate::photograph::Samples;
use pixels::budget::Sample;
use pixels::{Budget, Buffer};
use units::PxSize;

/// The samples with the orientation applied. What needs a second copy pays for it while it is made.
pub(super) fn upright(
    samples: Samples,
    stored: PxSize,
    channels: usize,
    orientation: Orientation,
    budget: &Budget,
) -> Result<Samples, Error> {
    if orientation == Orientation::AsSeen {
        return Ok(samples);
    }
    Ok(match samples {
        Samples::U8(v) => Samples::U8(turned(&v, stored, channels, orientation, budget)?),
        Samples::U16(v) => Samples::U16(turned(&v, stored, channels, orientation, budget)?),
        Samples::F32(v) => Samples::F32(turned(&v, stored, channels, orientation, budget)?),
    })
}

fn turned<S: Sample>(
    from: &[S],
    stored: PxSize,
    channels: usize,
    orientation: Orientation,
    budget: &Budget,
) -> Result<Buffer<S>, Error> {
    let mut to = budget
        .buffer(from.len())
        .map_err(|e| Error::over_budget(e, "turning the picture upright needs a second copy"))?;
    match channels {
        1 => turn::<S, 1>(from, stored, orientation, &mut to),
        2 => turn::<S, 2>(from, stored, orientation, &mut to),
        3 => turn::<S, 3>(from, stored, orientation, &mut to),
        _ => turn::<S, 4>(from, stored, orientation, &mut to),
    }
    Ok(to)
}

/// Works in squares, so that both the rows read and the rows written stay in the cache.
const SQUARE: usize = 32;

fn turn<S: Copy, const N: usize>(from: &[S], stored: PxSize, orientation: Orientation, to: &mut [S]) {
    let seen = orientation.seen(stored);
    let (w, h) = (stored.width() as usize, stored.height() as usize);
    let (sw, sh) = (seen.width() as usize, seen.height() as usize);
    // Column and row in the stored picture of column x, row y as seen.
    let source = |x: usize, y: usize| match orientation {
        Orientation::AsSeen => (x, y),
        Orientation::Mirrored => (w - 1 - x, y),
        Orientation::HalfTurn => (w - 1 - x, h - 1 - y),
        Orientation::Flipped => (x, h - 1 - y),
        Orientation::Transposed => (y, x),
        Orientation::QuarterRight => (y, h - 1 - x),
        Orientation::Transversed => (w - 1 - y, h - 1 - x),
        Orientation::QuarterLeft => (w - 1 - y, x),
    };
    let from = from.as_chunks::<N>().0;
    let to = to.as_chunks_mut::<N>().0;
    for y0 in (0..sh).step_by(SQUARE) {
        for x0 in (0..sw).step_by(SQUARE) {
            for y in y0..(y0 + SQUARE).min(sh) {
                for x in x0..(x0 + SQUARE).min(sw) {
                    let (i, j) = source(x, y);
                    to[y * sw + x] = from[j * w + i];
                }
            }
        }
    }
}
