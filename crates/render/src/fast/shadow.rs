//! Shadows on the backdrop, each made once as a map of how much light it takes.

use super::Job;
use super::raster::coarseness;
use super::reduce::Levels;
use crate::Error;
use crate::plain::shape;
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Along, Edge, Resampler};
use pixels::kernel::{aperture, convolve, warp};
use pixels::{Coverage, Image, Rgb};
use staging::layout::Shadow;
use units::{Mat3, PxRect};

pub(super) struct Cast {
    covers: PxRect,
    k: i64,
    map: Image<Coverage>,
    share: [f32; 3],
}

pub(super) fn is_seen(shadow: &Shadow, want: PxRect) -> bool {
    !shadow.to_shot.is_empty() && !seen(shadow, want).is_empty()
}

fn seen(shadow: &Shadow, want: PxRect) -> PxRect {
    want.intersect(shadow.bounds.grow(aperture::reach(shadow.disc) as i64))
}

impl Cast {
    pub(super) fn new(
        shadow: &Shadow,
        want: PxRect,
        levels: &Levels,
        job: &Job<'_>,
        table: &warp::Table,
    ) -> Result<Self, Error> {
        let budget = job.budget;
        let covers = seen(shadow, want);
        let disc = job.layout.resampling.drawn(shadow.disc);
        let k = coarseness(disc);
        let margin = if k == 1 { 0 } else { 3 };
        let spread = aperture::spread_coarse(disc, shape(shadow.aperture), k as usize);
        let place = covers.coarser(k).grow(margin);
        let whole = shadow.bounds.coarser(k).grow(margin);
        let sharp_place = convolve::needs(&spread, place).intersect(whole);
        let mut sum = Image::<Coverage>::new(sharp_place, budget)?;
        let part = 1.0 / shadow.to_shot.len() as f32;
        let to_grid = Mat3::scaling(k as f64, k as f64);
        let middle = shadow.to_shot[0] * to_grid;
        let (matte, to_level) = levels.coverage(shadow.cut, &middle, whole, job.sources, budget)?;
        for to_shot in &shadow.to_shot {
            let seen = warp::run(&matte, &(to_level * *to_shot * to_grid), table, sharp_place, budget)?;
            for (s, v) in sum.pixels_mut().iter_mut().zip(seen.pixels()) {
                s.0 = v.0.mul_add(part, s.0);
            }
        }
        let mut map = convolve::run(&sum, &spread, place, budget)?;
        for m in map.pixels_mut() {
            m.0 = m.0.clamp(0.0, 1.0);
        }
        Ok(Self { covers, k, map, share: shadow.share.0.map(|v| v as f32) })
    }

    /// Takes the shadow's share of the light from a band.
    pub(super) fn darken(&self, band: &mut Image<Rgb>) {
        let place = band.place().intersect(self.covers);
        if place.is_empty() {
            return;
        }
        let up = Along { scale: 1.0 / self.k as f64, offset: 0.0 };
        let enlarge = Resampler::new(Filter::Lanczos3, up, up, Edge::Clear, self.map.place(), place);
        let (mut scratch, mut line) = (Vec::new(), vec![Coverage(0.0); place.width()]);
        let from = (place.x0() - band.place().x0()) as usize;
        for y in place.y0()..place.y1() {
            enlarge.row(&self.map, y, &mut scratch, &mut line);
            for (p, s) in band.row_mut(y)[from..].iter_mut().zip(&line) {
                let taken = s.0.clamp(0.0, 1.0);
                for c in 0..3 {
                    p.0[c] *= 1.0 - taken * self.share[c];
                }
            }
        }
    }
}
