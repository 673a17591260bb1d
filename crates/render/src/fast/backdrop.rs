//! The backdrop, band by band, with the light that lamps throw on it.

use crate::plain;
use crate::{Error, Photograph, Sources};
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Edge, Resampler};
use pixels::kernel::warp;
use pixels::{Budget, Image, Rgb};
use staging::layout::{Ground, Layout, Pool};
use std::sync::Arc;
use units::{Mat3, PxRect, Vec3};

pub(super) struct Backdrop {
    ground: Made,
    filter: Filter,
    pools: Vec<Pool>,
}

enum Made {
    Plain(Rgb),
    Photograph(Arc<dyn Photograph>, Mat3),
}

impl Backdrop {
    pub(super) fn new(layout: &Layout, sources: &dyn Sources, budget: &Budget) -> Result<Self, Error> {
        let ground = match &layout.ground {
            Ground::Plain(Vec3(tone)) => Made::Plain(Rgb(tone.map(|v| v as f32))),
            Ground::Photograph { source, to_source } => {
                Made::Photograph(sources.photograph(*source, budget)?, *to_source)
            }
        };
        Ok(Self { ground, filter: plain::filter(layout.resampling), pools: layout.pools.clone() })
    }

    /// Fills a band.
    pub(super) fn fill(&self, band: &mut Image<Rgb>, budget: &Budget) -> Result<(), Error> {
        match &self.ground {
            Made::Plain(tone) => band.pixels_mut().fill(*tone),
            Made::Photograph(photograph, to_source) => show(&**photograph, to_source, self.filter, band, budget)?,
        }
        for pool in &self.pools {
            plain::light_up(pool, band);
        }
        Ok(())
    }
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
    let rows = |needs: PxRect| {
        let mut part = Image::<Rgb>::new(needs, budget)?;
        for y in needs.y0()..needs.y1() {
            photograph.row(needs.x0() as usize, y as usize, part.row_mut(y));
        }
        Ok::<_, Error>(part)
    };
    let Some((x, y)) = warp::along_axes(to_source) else {
        // Frames are laid along the axes; whatever else a layout may hold is drawn as it is defined.
        let turned = warp::plain(&rows(size)?, to_source, filter, Edge::Repeat, place, budget)?;
        band.pixels_mut().copy_from_slice(turned.pixels());
        return Ok(());
    };
    let resampler = Resampler::new(filter, x, y, Edge::Repeat, size, place);
    let part = rows(resampler.needs())?;
    let mut scratch = Vec::new();
    for y in place.y0()..place.y1() {
        resampler.row(&part, y, &mut scratch, band.row_mut(y));
    }
    Ok(())
}

/// The step of a mapping that moves by whole pixels and does nothing else.
fn whole_step(m: &Mat3) -> Option<(i64, i64)> {
    let (dx, dy) = (m.0[0][2], m.0[1][2]);
    let only_moves = *m == Mat3::translation(dx, dy) && dx.fract() == 0.0 && dy.fract() == 0.0;
    (only_moves && dx.abs() < 1e9 && dy.abs() < 1e9).then_some((dx as i64, dy as i64))
}
