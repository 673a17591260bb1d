//! Cut-outs at the scale they are used at.
//!
//! A cut-out that is shown small is first halved, again and again, as long as the rest of the way is still a reduction
//! of two at least: then the halvings' filter falls off only where the last filter lets nothing through. What a blur
//! disc is laid over may be halved to the end.
//! Levels are made when they are first asked for, once each, and go when the last piece that shows the cut-out is made, where the
//! store does not hold them.

use super::{Job, key};
use crate::keep::Held;
use crate::{Error, Keep, Sources};
use pixels::kernel::filter::Filter;
use pixels::kernel::form::{self, Form, Soft};
use pixels::kernel::resample::{Along, Edge, Resampler};
use pixels::kernel::warp;
use pixels::{Budget, Coverage, Image, Rgba};
use staging::layout::Cut;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use units::{Digest, Digester, Mat3, Primaries, PxRect};

/// Part of every key: raised when the pixels of a level change.
const VERSION: u64 = 1;
/// The same of forms.
const FORM: u64 = 2;

/// Least reduction that is left to the last step of what is seen sharp.
pub(super) const SHARP: f64 = 2.0;
/// The same for what is blurred afterwards.
pub(super) const SOFT: f64 = 1.0;

/// The levels of all cut-outs of a rendering.
pub(super) struct Levels<'a> {
    cuts: BTreeMap<Cut, Mutex<Asked>>,
    sources: &'a dyn Sources,
    keep: &'a dyn Keep,
    budget: &'a Budget,
    primaries: Primaries,
}

struct Asked {
    /// How many more requests will ask.
    left: usize,
    /// Whole (0), halved (1), quartered (2) ...
    levels: BTreeMap<usize, Arc<Image<Rgba>>>,
}

impl<'a> Levels<'a> {
    /// For cut-outs of a job, as often as each is asked for.
    pub(super) fn new(cuts: impl Iterator<Item = Cut>, job: &Job<'a>) -> Self {
        let mut counted = BTreeMap::<Cut, usize>::new();
        for cut in cuts {
            *counted.entry(cut).or_default() += 1;
        }
        let held = |left| Mutex::new(Asked { left, levels: BTreeMap::new() });
        Self {
            cuts: counted.into_iter().map(|(cut, n)| (cut, held(n))).collect(),
            sources: job.sources,
            keep: job.keep,
            budget: job.budget,
            primaries: job.layout.primaries,
        }
    }

    /// One request less for a cut-out: its pixels go after the last.
    pub(super) fn done(&self, cut: Cut) {
        if let Some(held) = self.cuts.get(&cut) {
            let mut held = held.lock().unwrap_or_else(PoisonError::into_inner);
            held.left = held.left.saturating_sub(1);
            if held.left == 0 {
                held.levels.clear();
            }
        }
    }

    /// The level that fits a mapping over a rectangle with `left` to reduce at least, the mapping to that level's pixels, and how many of the shot's pixels went
    /// into one of them along an axis.
    pub(super) fn fit(
        &self,
        cut: Cut,
        to_shot: &Mat3,
        place: PxRect,
        left: f64,
    ) -> Result<(Arc<Image<Rgba>>, Mat3, f64), Error> {
        let stretch = least_stretch(to_shot, place);
        let level = halvings(stretch / left);
        let image = self.level(cut, level)?;
        let scale = 1.0 / f64::from(1u32 << level);
        let to_level = Mat3::scaling(scale, scale) * *to_shot;
        let rest = stretch * scale;
        if warp::along_axes(&to_level).is_some() || rest < left * 1.2 {
            return Ok((image, to_level, 1.0 / scale));
        }
        // Off the axes every sample is looked up by itself: worth a separable step down to what must be left.
        let step = rest / left;
        let along = Along { scale: step, offset: 0.0 };
        let p = image.place();
        let smaller = |v: i64| v as f64 / step;
        let want = PxRect::new(
            smaller(p.x0()).floor() as i64 - 3,
            smaller(p.y0()).floor() as i64 - 3,
            smaller(p.x1()).ceil() as i64 + 3,
            smaller(p.y1()).ceil() as i64 + 3,
        );
        let reduced =
            Resampler::new(Filter::Lanczos3, along, along, Edge::Clear, p, want).run(&image, self.budget)?;
        Ok((Arc::new(reduced), Mat3::scaling(1.0 / step, 1.0 / step) * to_level, step / scale))
    }

    /// The coverage of a cut-out at a level whose rest of the way [`warp::run`] can go in one step everywhere in a
    /// rectangle, and the mapping from the shot's pixels to that level's.
    pub(super) fn coverage(
        &self,
        cut: Cut,
        to_shot: &Mat3,
        place: PxRect,
    ) -> Result<(Image<Coverage>, Mat3), Error> {
        let steepest = stretches(to_shot, place).map(|l| l.0.max(l.1)).fold(1.0, f64::max);
        let least = least_stretch(to_shot, place);
        // As fine as the least reduction likes it, but coarse enough for the steepest.
        let level =
            halvings(least / SHARP).max(halvings(2.0 * steepest / warp::most_stretch(Filter::Spline)));
        let image = self.level(cut, level)?;
        let mut matte = Image::new(image.place(), self.budget)?;
        for (m, p) in matte.pixels_mut().iter_mut().zip(image.pixels()) {
            *m = Coverage(p.0[3]);
        }
        let scale = 1.0 / f64::from(1u32 << level);
        Ok((matte, Mat3::scaling(scale, scale)))
    }

    /// Which the cut-outs' colours are in.
    pub(super) const fn primaries(&self) -> Primaries {
        self.primaries
    }

    /// The form of a cut-out, from the store or made anew.
    pub(super) fn form(&self, cut: Cut) -> Result<Arc<Form>, Error> {
        let mut d = Digester::new();
        d.text("form").number(FORM);
        key::cut(&mut d, cut, self.primaries);
        let key = d.finish();
        if let Some(Held::Form(kept)) = self.keep.held(&key) {
            return Ok(kept);
        }
        let made = Arc::new(form::form(&self.sources.small(cut, self.budget)?));
        self.keep.hold(key, Held::Form(Arc::clone(&made)));
        Ok(made)
    }

    /// The matte of a cut-out softened by so many of its pixels, from the store or made anew.
    pub(super) fn softened(&self, cut: Cut, sigma: f64) -> Result<Arc<Soft>, Error> {
        let mut d = Digester::new();
        d.text("soft").number(FORM).float(sigma);
        key::cut(&mut d, cut, self.primaries);
        let key = d.finish();
        if let Some(Held::Soft(kept)) = self.keep.held(&key) {
            return Ok(kept);
        }
        let small = self.sources.small(cut, self.budget)?;
        let made = Arc::new(form::softened(&small, sigma, self.budget)?);
        self.keep.hold(key, Held::Soft(Arc::clone(&made)));
        Ok(made)
    }

    fn level(&self, cut: Cut, level: usize) -> Result<Arc<Image<Rgba>>, Error> {
        let Some(held) = self.cuts.get(&cut) else {
            return self.sources.cut_out(cut, self.budget);
        };
        let mut held = held.lock().unwrap_or_else(PoisonError::into_inner);
        let key = self.key(cut, level);
        if let Some(there) = held.levels.get(&level) {
            // It may have been made on the way to a smaller one, which alone is held yet.
            self.keep.hold(key, Held::Raster(Arc::clone(there)));
            return Ok(Arc::clone(there));
        }
        if let Some(kept) = self.keep.get(&key) {
            held.levels.insert(level, Arc::clone(&kept));
            return Ok(kept);
        }
        let below = held.levels.range(..level).next_back().map(|(n, image)| (*n, Arc::clone(image)));
        let (mut n, mut image) = match below {
            Some(below) => below,
            None => (0, self.sources.cut_out(cut, self.budget)?),
        };
        held.levels.insert(n, Arc::clone(&image));
        while n < level {
            n += 1;
            image = Arc::new(halved(&image, self.budget)?);
            held.levels.insert(n, Arc::clone(&image));
        }
        self.keep.hold(key, Held::Raster(Arc::clone(&image)));
        Ok(image)
    }

    fn key(&self, cut: Cut, level: usize) -> Digest {
        let mut d = Digester::new();
        d.text("level").number(VERSION).number(level as u64);
        key::cut(&mut d, cut, self.primaries);
        d.finish()
    }
}

/// Half the size, on the grid anchored to the shot's origin, with room for what the filter spreads.
fn halved(image: &Image<Rgba>, budget: &Budget) -> Result<Image<Rgba>, Error> {
    let along = Along { scale: 2.0, offset: 0.0 };
    let want = image.place().coarser(2).grow(3);
    Ok(Resampler::new(Filter::Lanczos3, along, along, Edge::Clear, image.place(), want).run(image, budget)?)
}

/// The least number of shot pixels to a result pixel over a rectangle, along either axis.
pub(super) fn least_stretch(to_shot: &Mat3, place: PxRect) -> f64 {
    stretches(to_shot, place).map(|l| l.0.min(l.1)).reduce(f64::min).unwrap_or(1.0)
}

/// Shot pixels to a result pixel at the corners and the middle of a rectangle: a mapping between planes changes steadily, so
/// these tell.
fn stretches(to_shot: &Mat3, place: PxRect) -> impl Iterator<Item = (f64, f64)> {
    let (x0, y0, x1, y1) = (place.x0(), place.y0(), place.x1() - 1, place.y1() - 1);
    let spots = [(x0, y0), (x1, y0), (x0, y1), (x1, y1), ((x0 + x1) / 2, (y0 + y1) / 2)];
    let to_shot = *to_shot;
    spots.into_iter().filter_map(move |(x, y)| warp::look(&to_shot, x, y)).map(|l| l.stretch)
}

/// How often a reduction by this factor can be halved.
fn halvings(reduction: f64) -> usize {
    let mut left = reduction;
    let mut n = 0;
    while left >= 2.0 && n < 16 {
        left /= 2.0;
        n += 1;
    }
    n
}
