//! A blur disc by the renderer's way: on a grid that it allows to be coarse. The renderer shares pieces among threads; here the
//! rows of one are shared.

use super::bands;
use crate::error::Error;
use pixels::kernel::aperture::{self, Shape};
use pixels::kernel::convolve;
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Along, Edge, Resampler, settle};
use pixels::{Budget, Image, OverBudget, Rgba};
use render::coarseness;
use std::num::NonZeroUsize;
use units::PxRect;

/// Coarse pixels around that enlarging looks at.
const MARGIN: i64 = 3;

/// The picture blurred, over its own rectangle, in bands from the top.
pub(super) fn run(
    source: &Image<Rgba>,
    disc: f64,
    threads: NonZeroUsize,
    budget: &Budget,
) -> Result<Vec<Image<Rgba>>, Error> {
    let place = source.place();
    let k = coarseness(disc);
    let spread = aperture::spread_coarse(disc, Shape::Disc, k as usize);
    let blurred = |sharp: &Image<Rgba>, band| {
        let mut out = convolve::run(sharp, &spread, band, budget)?;
        settle(out.pixels_mut());
        Ok(out)
    };
    if k == 1 {
        return Ok(bands(place, threads, &|band| blurred(source, band))?);
    }
    let scaled = |from: &Image<Rgba>, scale: f64, band| {
        let along = Along { scale, offset: 0.0 };
        Resampler::new(Filter::Lanczos3, along, along, Edge::Clear, from.place(), band).run(from, budget)
    };
    let whole = |place, make: &(dyn Fn(PxRect) -> Result<Image<Rgba>, OverBudget> + Sync)| {
        joined(bands(place, threads, make)?, place, budget)
    };
    // Halved as often as the grid allows.
    let mut halved: Option<Image<Rgba>> = None;
    let mut rest = k as f64;
    while rest >= 2.0 {
        let from = halved.as_ref().unwrap_or(source);
        halved = Some(whole(from.place().coarser(2).grow(MARGIN), &|band| scaled(from, 2.0, band))?);
        rest /= 2.0;
    }
    let coarse = place.coarser(k).grow(MARGIN);
    let sharp = whole(coarse, &|band| scaled(halved.as_ref().unwrap_or(source), rest, band))?;
    let soft = whole(coarse, &|band| blurred(&sharp, band))?;
    let up = Along { scale: 1.0 / k as f64, offset: 0.0 };
    Ok(bands(place, threads, &|band| {
        Resampler::new(Filter::Lanczos3, up, up, Edge::Clear, soft.place(), band).between().run(&soft, budget)
    })?)
}

fn joined(mut bands: Vec<Image<Rgba>>, place: PxRect, budget: &Budget) -> Result<Image<Rgba>, OverBudget> {
    if let (1, Some(only)) = (bands.len(), bands.pop_if(|b| b.place() == place)) {
        return Ok(only);
    }
    let mut out = Image::new(place, budget)?;
    for band in &bands {
        for y in band.place().y0()..band.place().y1() {
            out.row_mut(y).copy_from_slice(band.row(y));
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use render::keep::Nothing;
    use render::{Job, Photograph, Sources};
    use scene::PieceId;
    use staging::layout::{Aperture, Cut, Daylight, Drawn, Ground, Layout, Mixing, Resampling};
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;
    use units::{Digest, Mat3, Primaries, PxSize, Vec3};

    struct One(Arc<Image<Rgba>>);

    impl Sources for One {
        fn photograph(&self, _: Digest, _: &Budget) -> Result<Arc<dyn Photograph>, render::Error> {
            Err(render::Error::Cancelled)
        }

        fn cut_out(&self, _: Cut, _: &Budget) -> Result<Arc<Image<Rgba>>, render::Error> {
            Ok(Arc::clone(&self.0))
        }
    }

    #[test]
    fn it_is_what_the_renderer_draws() {
        let size = PxSize::new(170, 130).unwrap();
        let budget = Budget::of_bytes(1 << 30);
        let image = Image::from_fn(size.rect(), &budget, |x, y| {
            let v = ((x * 37 + y * 91) as u32).wrapping_mul(2_654_435_761) as f32 / u32::MAX as f32;
            Rgba([v * 0.9, 0.3 * v, v * v, v])
        });
        let sources = One(Arc::new(image.unwrap()));
        for disc in [0.5, 5.0, 20.0, 80.0, 240.0] {
            let cut = Cut::of(Digest::of(b"one"), None, Mixing::Over);
            let piece = Drawn {
                piece: PieceId::from_number(1),
                cut,
                to_shot: Mat3::IDENTITY,
                bounds: size.rect(),
                disc,
                aperture: Aperture::Disc,
                gain: Vec3::splat(1.0),
                lit: None,
                veil: Vec3::default(),
                masks: Vec::new(),
                in_water: None,
            };
            let layout = Layout {
                size,
                primaries: Primaries::Srgb,
                resampling: Resampling::Lanczos3,
                ground: Ground::Plain(Vec3::default()),
                daylight: Daylight::default(),
                pools: Vec::new(),
                shadows: Vec::new(),
                pieces: vec![piece],
                fields: Vec::new(),
                toning: Vec::new(),
            };
            let job = Job {
                layout: &layout,
                sources: &sources,
                keep: &Nothing,
                budget: &budget,
                threads: NonZeroUsize::MIN,
                cancel: &AtomicBool::new(false),
                progress: &|_| {},
            };
            let drawn = job.picture(size.rect()).unwrap();
            for threads in [1, 3] {
                let ours = run(&sources.0, disc, NonZeroUsize::new(threads).unwrap(), &budget).unwrap();
                let ours = joined(ours, size.rect(), &budget).unwrap();
                for (a, b) in ours.pixels().iter().zip(drawn.pixels()) {
                    let off = (0..3).map(|c| (a.0[c] - b.0[c]).abs()).fold(0.0, f32::max);
                    assert!(off < 1e-6, "{disc}: {a:?} {b:?}");
                }
            }
        }
    }
}
