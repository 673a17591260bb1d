//! The backdrop, band by band.

use super::{Job, key};
use crate::plain;
use crate::{Error, Photograph, beyond};
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Edge, Resampler, Room};
use pixels::kernel::warp;
use pixels::{Budget, Image, Rgb, Rgba};
use staging::layout::{Ground, Resampling};
use std::sync::Arc;
use units::{Digest, Digester, Mat3, PxRect, Vec3};

pub(super) struct Backdrop {
    ground: Made,
    filter: Filter,
}

enum Made {
    Plain(Rgb),
    Photograph(Arc<dyn Photograph>, Mat3),
    /// Brought to the picture's pixels already.
    Reduced(Arc<Image<Rgba>>),
}

/// Part of every key: raised when the pixels change for the same request.
const VERSION: u64 = 2;
/// From this reduction on the backdrop is made once as a whole and kept: for previews, where reading the photograph costs more
/// than all the rest.
const WORTH_KEEPING: f64 = 1.5;

impl Backdrop {
    /// The backdrop of a job, as far as `want` shows it.
    pub(super) fn new(job: &Job<'_>, want: PxRect) -> Result<Self, Error> {
        let layout = job.layout;
        let filter = plain::filter(layout.resampling);
        let ground = match &layout.ground {
            Ground::Plain(Vec3(tone)) => Made::Plain(Rgb(tone.map(|v| v as f32))),
            Ground::Photograph { source, to_source } => {
                let reduces = warp::along_axes(to_source)
                    .is_some_and(|(x, y)| x.scale.abs().min(y.scale.abs()) >= WORTH_KEEPING);
                if reduces {
                    Made::Reduced(reduced(job, *source, to_source, filter, want)?)
                } else {
                    Made::Photograph(job.sources.photograph(*source, job.budget)?, *to_source)
                }
            }
        };
        Ok(Self { ground, filter })
    }

    /// Fills a band.
    pub(super) fn fill(&self, band: &mut Image<Rgb>, budget: &Budget) -> Result<(), Error> {
        match &self.ground {
            Made::Plain(tone) => band.pixels_mut().fill(*tone),
            Made::Photograph(photograph, to_source) => {
                show(&**photograph, to_source, self.filter, band, budget)?
            }
            Made::Reduced(whole) => {
                let place = band.place();
                let from = (place.x0() - whole.place().x0()) as usize;
                for y in place.y0()..place.y1() {
                    for (o, p) in band.row_mut(y).iter_mut().zip(&whole.row(y)[from..]) {
                        *o = Rgb([p.0[0], p.0[1], p.0[2]]);
                    }
                }
            }
        }
        Ok(())
    }
}

/// The backdrop at the picture's pixels, from the store or made anew.
fn reduced(
    job: &Job<'_>,
    source: Digest,
    to_source: &Mat3,
    filter: Filter,
    want: PxRect,
) -> Result<Arc<Image<Rgba>>, Error> {
    let mut d = Digester::new();
    d.text("backdrop").number(VERSION).digest(&source);
    d.number(u64::from(job.layout.resampling == Resampling::Lanczos3))
        .text(&format!("{:?}", job.layout.primaries));
    key::mapping(&mut d, to_source);
    key::place(&mut d, want);
    let key = d.finish();
    if let Some(kept) = job.keep.get(&key).filter(|k| k.place() == want) {
        return Ok(kept);
    }
    let photograph = job.sources.photograph(source, job.budget)?;
    let mut whole = Image::<Rgba>::new(want, job.budget)?;
    for place in want.slices(32) {
        job.check()?;
        let mut band = Image::new(place, job.budget)?;
        show(&*photograph, to_source, filter, &mut band, job.budget)?;
        for y in place.y0()..place.y1() {
            for (o, p) in whole.row_mut(y).iter_mut().zip(band.row(y)) {
                *o = Rgba([p.0[0], p.0[1], p.0[2], 1.0]);
            }
        }
    }
    let whole = Arc::new(whole);
    job.keep.put(key, &whole);
    Ok(whole)
}

fn show(
    photograph: &dyn Photograph,
    to_source: &Mat3,
    filter: Filter,
    band: &mut Image<Rgb>,
    budget: &Budget,
) -> Result<(), Error> {
    let size = photograph.size().rect();
    let place = band.place();
    if let Some((dx, dy)) = whole_step(to_source)
        && size.intersect(place.shift(dx, dy)) == place.shift(dx, dy)
    {
        // Pixel on pixel: nothing to compute.
        for y in place.y0()..place.y1() {
            photograph.row((place.x0() + dx) as usize, (y + dy) as usize, band.row_mut(y));
        }
        return Ok(());
    }
    let Some((x, y)) = warp::along_axes(to_source) else {
        // Frames are laid along the axes; whatever else a layout may hold is drawn as it is defined.
        let seen =
            beyond::part(photograph, beyond::seen(photograph.size(), to_source, filter, place), budget)?;
        let turned = warp::plain(&seen, to_source, filter, Edge::Repeat, place, budget)?;
        band.pixels_mut().copy_from_slice(turned.pixels());
        return Ok(());
    };
    let resampler = Resampler::new(filter, x, y, Edge::Repeat, beyond::ground(photograph.size()), place);
    let part = beyond::part(photograph, resampler.needs(), budget)?;
    resampler.part(&part, place, &mut Room::default(), band.pixels_mut());
    Ok(())
}

/// The step of a mapping that moves by whole pixels and does nothing else.
fn whole_step(m: &Mat3) -> Option<(i64, i64)> {
    let (dx, dy) = (m.0[0][2], m.0[1][2]);
    let only_moves = *m == Mat3::translation(dx, dy) && dx.fract() == 0.0 && dy.fract() == 0.0;
    (only_moves && dx.abs() < 1e9 && dy.abs() < 1e9).then_some((dx as i64, dy as i64))
}
