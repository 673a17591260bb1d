//! What pieces take of the light on the ground, each made once as a map of how much.

use super::enlarge::{self, Enlarge, Room, TOGETHER, grid};
use super::raster::coarseness;
use super::reduce::Levels;
use super::{Job, key};
use crate::Error;
use crate::keep::Held;
use crate::plain::shape;
use pixels::kernel::aperture::Spread;
use pixels::kernel::{aperture, convolve, warp};
use pixels::{Budget, Coverage, Image};
use staging::layout::{Cut, LightOf, Resampling, Shadow, Taken};
use std::collections::BTreeMap;
use std::sync::Arc;
use units::{Digest, Digester, Mat3, PxRect};

/// Part of every key: raised when the pixels of a shadow change.
const VERSION: u64 = 2;

/// What one piece takes of a light.
pub(super) struct Cast {
    map: Arc<Image<Coverage>>,
    k: i64,
    of: LightOf,
    strength: f32,
}

/// What all pieces whose maps are equally coarse take of a light.
pub(super) struct Taking {
    /// Shares.
    map: Image<Coverage>,
    enlarge: Enlarge,
    of: LightOf,
}

pub(super) fn is_seen(shadow: &Shadow, resampling: Resampling, want: PxRect) -> bool {
    !footprint(shadow, resampling).intersect(want).is_empty()
}

/// No shadow is drawn coarser than that for its softness alone.
const SOFTEST: i64 = 12;
/// Least coarseness of what is hidden of the sky: it has no edges.
const HIDDEN: i64 = 4;

/// How much coarser the grid of a shadow is.
fn grain(shadow: &Shadow, resampling: Resampling) -> i64 {
    let k = coarseness(resampling.drawn(shadow.disc));
    match shadow.taken {
        Taken::Thrown { .. } => k.max((shadow.soft as i64).min(SOFTEST)),
        Taken::Hidden { .. } => k.max(HIDDEN),
    }
}

/// Picture pixels that a shadow can lie on, to the borders of the coarse pixels there.
pub(crate) fn footprint(shadow: &Shadow, resampling: Resampling) -> PxRect {
    if matches!(&shadow.taken, Taken::Thrown { to_shot, .. } if to_shot.is_empty()) {
        return PxRect::EMPTY;
    }
    let k = grain(shadow, resampling);
    enlarge::whole(shadow.bounds.grow(aperture::reach(shadow.disc) as i64), k)
}

/// The cut-out that throws it, if one does.
pub(super) const fn cut(shadow: &Shadow) -> Option<Cut> {
    match shadow.taken {
        Taken::Thrown { cut, .. } => Some(cut),
        Taken::Hidden { .. } => None,
    }
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
        let k = grain(shadow, job.layout.resampling);
        let spread = aperture::spread_coarse(disc, shape(shadow.aperture), k as usize);
        let place = grid(want.intersect(footprint(shadow, job.layout.resampling)), k);
        let key = key(shadow, disc, place, job);
        let map = match job.keep.held(&key) {
            Some(Held::Shadow(kept)) => kept,
            _ => {
                let made = Arc::new(map(shadow, (k, &spread, place), levels, (job, table))?);
                job.keep.hold(key, Held::Shadow(Arc::clone(&made)));
                made
            }
        };
        let strength = shadow.strength as f32;
        Ok(Self { map, k, of: shadow.of, strength })
    }
}

impl Taking {
    /// All that is cast. Put together while it is coarse: sixty pieces in a meadow hide the sky from most of it.
    pub(super) fn all(cast: Vec<Cast>, budget: &Budget) -> Result<Vec<Self>, Error> {
        let mut alike = BTreeMap::<(LightOf, i64), Vec<Cast>>::new();
        for cast in cast {
            alike.entry((cast.of, cast.k)).or_default().push(cast);
        }
        alike.into_iter().map(|((of, k), cast)| Self::of_alike(&cast, (of, k), budget)).collect()
    }

    fn of_alike(cast: &[Cast], (of, k): (LightOf, i64), budget: &Budget) -> Result<Self, Error> {
        let place = cast.iter().fold(PxRect::EMPTY, |all, c| all.union(c.map.place()));
        let mut map = Image::<Coverage>::new(place, budget)?;
        for Cast { map: own, strength, .. } in cast {
            let part = own.place();
            for y in part.y0()..part.y1() {
                let from = (part.x0() - place.x0()) as usize;
                for (all, own) in map.row_mut(y)[from..].iter_mut().zip(own.row(y)) {
                    all.0 = 1.0 - (1.0 - all.0) * (1.0 - own.0 * strength);
                }
            }
        }
        Ok(Self { map, enlarge: Enlarge::new(place, k), of })
    }

    /// Of which light it takes.
    pub(super) const fn of(&self) -> LightOf {
        self.of
    }

    /// Picture pixels that it lies on.
    pub(super) const fn covers(&self) -> PxRect {
        self.enlarge.covers()
    }

    /// Takes its share of what is left of its light in a band.
    pub(super) fn take(&self, left: &mut [f32], band: PxRect, room: &mut Room<Coverage>) {
        let place = band.intersect(self.covers());
        if place.is_empty() {
            return;
        }
        for part in place.slices(TOGETHER) {
            let rows = self.enlarge.rows(&self.map, part, room);
            for (y, row) in (part.y0()..).zip(rows) {
                let from = (y - band.y0()) as usize * band.width() + (place.x0() - band.x0()) as usize;
                for (v, s) in left[from..].iter_mut().zip(row) {
                    *v *= 1.0 - s.0.clamp(0.0, 1.0);
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
    let to_grid = Mat3::scaling(k as f64, k as f64);
    let sum = match &shadow.taken {
        Taken::Thrown { cut, to_shot } => {
            let mut sum = Image::<Coverage>::new(sharp_place, budget)?;
            let part = 1.0 / to_shot.len() as f32;
            let (matte, to_level) = levels.coverage(*cut, &(to_shot[0] * to_grid), whole)?;
            for to_shot in to_shot {
                let seen = warp::run(&matte, &(to_level * *to_shot * to_grid), table, sharp_place, budget)?;
                for (s, v) in sum.pixels_mut().iter_mut().zip(seen.pixels()) {
                    s.0 = v.0.mul_add(part, s.0);
                }
            }
            sum
        }
        Taken::Hidden { to_level, around } => {
            let to_level = *to_level * to_grid;
            Image::from_fn(sharp_place, budget, |x, y| {
                Coverage(crate::plain::hidden(&to_level, around, x as f64, y as f64))
            })?
        }
    };
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
    match &shadow.taken {
        Taken::Thrown { cut, to_shot } => {
            key::cut(&mut d, *cut, job.layout.primaries);
            d.number(to_shot.len() as u64);
            to_shot.iter().for_each(|m| key::mapping(&mut d, m));
        }
        Taken::Hidden { to_level, around } => {
            key::mapping(&mut d, to_level);
            for a in around {
                d.float(a.centre[0]).float(a.centre[1]).float(a.extent);
                a.values.iter().for_each(|v| {
                    d.float(*v);
                });
            }
        }
    }
    d.float(disc);
    key::aperture(&mut d, shadow.aperture);
    key::place(&mut d, shadow.bounds);
    key::place(&mut d, place);
    d.finish()
}
