//! Shadows on the backdrop, each made once as a map of how much light it takes.

use super::enlarge::{self, Enlarge, Room, TOGETHER, grid};
use super::raster::coarseness;
use super::reduce::Levels;
use super::{Job, key};
use crate::Error;
use crate::plain::shape;
use pixels::kernel::aperture::Spread;
use pixels::kernel::{aperture, convolve, warp};
use pixels::{Coverage, Image, Rgb};
use staging::layout::{Resampling, Shadow};
use std::sync::Arc;
use units::{Digest, Digester, Mat3, PxRect};

/// Part of every key: raised when the pixels of a shadow change.
const VERSION: u64 = 1;

pub(super) struct Cast {
    map: Arc<Image<Coverage>>,
    enlarge: Enlarge,
    share: [f32; 3],
}

pub(super) fn is_seen(shadow: &Shadow, resampling: Resampling, want: PxRect) -> bool {
    !footprint(shadow, resampling).intersect(want).is_empty()
}

/// Picture pixels that a shadow can lie on, to the borders of the coarse pixels there.
pub(crate) fn footprint(shadow: &Shadow, resampling: Resampling) -> PxRect {
    if shadow.to_shot.is_empty() {
        return PxRect::EMPTY;
    }
    let k = coarseness(resampling.drawn(shadow.disc));
    enlarge::whole(shadow.bounds.grow(aperture::reach(shadow.disc) as i64), k)
}

impl Cast {
    pub(super) fn new(
        shadow: &Shadow,
        want: PxRect,
        levels: &Levels<'_>,
        job: &Job<'_>,
        table: &warp::Table,
    ) -> Result<Self, Error> {
        let disc = job.layout.resampling.drawn(shadow.disc);
        let k = coarseness(disc);
        let spread = aperture::spread_coarse(disc, shape(shadow.aperture), k as usize);
        let place = grid(want.intersect(footprint(shadow, job.layout.resampling)), k);
        let share = shadow.share.0.map(|v| v as f32);
        let key = key(shadow, disc, place, job);
        let map = match job.keep.shadow(&key) {
            Some(kept) => kept,
            None => {
                let made = Arc::new(map(shadow, (k, &spread, place), levels, (job, table))?);
                job.keep.hold_shadow(key, &made);
                made
            }
        };
        Ok(Self { map, enlarge: Enlarge::new(place, k), share })
    }

    /// Takes the shadow's share of the light from a band.
    pub(super) fn darken(&self, band: &mut Image<Rgb>, room: &mut Room<Coverage>) {
        let place = band.place().intersect(self.enlarge.covers());
        if place.is_empty() {
            return;
        }
        let from = (place.x0() - band.place().x0()) as usize;
        for part in place.slices(TOGETHER) {
            let rows = self.enlarge.rows(&self.map, part, room);
            for (y, row) in (part.y0()..).zip(rows) {
                for (p, s) in band.row_mut(y)[from..].iter_mut().zip(row) {
                    let taken = s.0.clamp(0.0, 1.0);
                    for c in 0..3 {
                        p.0[c] *= 1.0 - taken * self.share[c];
                    }
                }
            }
        }
    }
}

/// How much of the light is taken, on a grid `k` times coarser.
fn map(
    shadow: &Shadow,
    (k, spread, place): (i64, &Spread, PxRect),
    levels: &Levels<'_>,
    (job, table): (&Job<'_>, &warp::Table),
) -> Result<Image<Coverage>, Error> {
    let budget = job.budget;
    let whole = grid(shadow.bounds, k);
    let sharp_place = convolve::needs(spread, place).intersect(whole);
    let mut sum = Image::<Coverage>::new(sharp_place, budget)?;
    let part = 1.0 / shadow.to_shot.len() as f32;
    let to_grid = Mat3::scaling(k as f64, k as f64);
    let middle = shadow.to_shot[0] * to_grid;
    let (matte, to_level) = levels.coverage(shadow.cut, &middle, whole)?;
    for to_shot in &shadow.to_shot {
        let seen = warp::run(&matte, &(to_level * *to_shot * to_grid), table, sharp_place, budget)?;
        for (s, v) in sum.pixels_mut().iter_mut().zip(seen.pixels()) {
            s.0 = v.0.mul_add(part, s.0);
        }
    }
    let mut map = convolve::run(&sum, spread, place, budget)?;
    for m in map.pixels_mut() {
        m.0 = m.0.clamp(0.0, 1.0);
    }
    Ok(map)
}

/// Names a shadow's map by all it depends on.
fn key(shadow: &Shadow, disc: f64, place: PxRect, job: &Job<'_>) -> Digest {
    let mut d = Digester::new();
    d.text("shadow").number(VERSION);
    key::cut(&mut d, shadow.cut, job.layout.primaries);
    d.number(shadow.to_shot.len() as u64);
    shadow.to_shot.iter().for_each(|m| key::mapping(&mut d, m));
    d.float(disc);
    key::aperture(&mut d, shadow.aperture);
    key::place(&mut d, shadow.bounds);
    key::place(&mut d, place);
    d.finish()
}
