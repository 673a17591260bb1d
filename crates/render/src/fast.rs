//! The fast renderer: the plain one's twin.
//!
//! First the rasters of all pieces that are seen, cut-out by cut-out; then the picture in bands of rows, each band
//! from backdrop to toned light in one go, on as many threads as there are. Every result pixel is computed by
//! the same sums whatever the band, the thread or the part that is asked for.

mod around;
mod backdrop;
mod enlarge;
mod ground;
mod key;
mod lit;
mod raster;
mod reduce;
mod shadow;
mod threads;
mod toning;

use crate::plain::masked;
use crate::{Error, Keep, Nothing, Sources};
use backdrop::Backdrop;
use enlarge::{Room, TOGETHER};
use ground::Ground;
use pixels::kernel::filter::Filter;
use pixels::kernel::{lay, warp};
use pixels::{Budget, Coverage, Image, Pixel, Rgb, Rgba};
pub use raster::coarseness;
pub(crate) use raster::footprint;
use raster::{Raster, Request, Tables};
use reduce::Levels;
pub(crate) use shadow::footprint as shadow_footprint;
use shadow::{Cast, Taking};
use staging::layout::{Cut, Drawn, Layout, Mixing};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use toning::Toning;
pub(crate) use toning::reach;
use units::PxRect;

/// Rows of a band. Of 16 to 512, 64 was as fast as any on 24 megapixels; higher bands cost memory.
const BAND: usize = 32;

/// How far a rendering has come.
pub type Progress<'a> = &'a (dyn Fn(f64) + Sync);

/// Everything a rendering works with.
#[derive(Clone, Copy)]
pub struct Job<'a> {
    /// What is drawn.
    pub layout: &'a Layout,
    /// Where the photographs' pixels come from.
    pub sources: &'a dyn Sources,
    /// Where rasters are kept.
    pub keep: &'a dyn Keep,
    /// Memory for pixels.
    pub budget: &'a Budget,
    /// How many threads work.
    pub threads: NonZeroUsize,
    /// Set to true from another thread to call it off.
    pub cancel: &'a AtomicBool,
    /// Told the share that is done, 0 to 1, from any of the threads.
    pub progress: Progress<'a>,
}

impl Job<'_> {
    /// The part `want` of the picture, in linear light.
    ///
    /// # Errors
    /// Where a photograph or the memory is missing, or it was called off.
    pub fn picture(&self, want: PxRect) -> Result<Image<Rgb>, Error> {
        let out = Mutex::new(Image::unset(want, self.budget)?);
        self.bands(want, &|band| {
            put(&mut out.lock().unwrap_or_else(PoisonError::into_inner), band);
            Ok(())
        })?;
        Ok(out.into_inner().unwrap_or_else(PoisonError::into_inner))
    }

    /// The same in bands of whole rows, each handed over when it is done: in any order, from any thread.
    ///
    /// # Errors
    /// Where a photograph or the memory is missing, it was called off, or `take` fails.
    pub fn bands(
        &self,
        want: PxRect,
        take: &(dyn Fn(&Image<Rgb>) -> Result<(), Error> + Sync),
    ) -> Result<(), Error> {
        self.part_of(want, want, take)
    }

    /// The same of the part `want` alone, made of what `within`, a larger part, is made of: where that was drawn before, it is at hand.
    ///
    /// # Errors
    /// As [`Job::bands`].
    pub fn part_of(
        &self,
        within: PxRect,
        want: PxRect,
        take: &(dyn Fn(&Image<Rgb>) -> Result<(), Error> + Sync),
    ) -> Result<(), Error> {
        let toning = Toning::new(self)?;
        let reach = toning.reach(0);
        let wide = want.grow(reach);
        let parts = Parts::new(self, within.union(want).grow(reach), wide)?;
        let Some(around) = toning.first_look_around() else {
            return self.each_band(want, &|place| {
                let mut band = parts.band(self, place)?;
                toning.run(0..toning.len(), None, &mut band.picture, &band.fields);
                take(&band.picture)
            });
        };
        // A step that looks around needs its neighbourhood toned up to it: from there on the whole is kept.
        let whole = Mutex::new(Whole::new(wide, self.layout.fields.len(), self.budget)?);
        self.each_band(wide, &|place| {
            let mut band = parts.band(self, place)?;
            toning.run(0..around, None, &mut band.picture, &band.fields);
            whole.lock().unwrap_or_else(PoisonError::into_inner).take(&band);
            Ok(())
        })?;
        drop(parts);
        let mut whole = whole.into_inner().unwrap_or_else(PoisonError::into_inner);
        let mut from = around;
        loop {
            let to = toning.next_look_around(from + 1);
            // No more than what is still looked at.
            let place = want.grow(toning.reach(to));
            let around = toning.around(from, self, &whole.picture, place)?;
            let toned = |place: PxRect| -> Result<Image<Rgb>, Error> {
                let mut band = whole.picture.crop(place, self.budget)?;
                toning.run(from..to, around.as_ref(), &mut band, &whole.fields);
                Ok(band)
            };
            if to == toning.len() {
                return self.each_band(want, &|place| take(&toned(place)?));
            }
            let next = Mutex::new(Image::unset(place, self.budget)?);
            self.each_band(place, &|place| {
                let band = toned(place)?;
                put(&mut next.lock().unwrap_or_else(PoisonError::into_inner), &band);
                Ok(())
            })?;
            whole.picture = next.into_inner().unwrap_or_else(PoisonError::into_inner);
            from = to;
        }
    }

    /// The layout with the means of light that its toning asks for held as they are in this picture.
    ///
    /// # Errors
    /// As [`Job::picture`].
    pub fn held(&self) -> Result<Layout, Error> {
        toning::held(self)
    }

    /// What is seen of the pieces in a place, by the pixel of it that they cover most: the nearest that covers at least half, or else
    /// whatever covers most.
    ///
    /// # Errors
    /// As [`Job::picture`].
    pub fn seen_in(&self, place: PxRect) -> Result<Option<&Drawn>, Error> {
        /// What covers less is not seen.
        const LEAST: f32 = 0.05;
        let layout = self.layout;
        let want = place.intersect(layout.size.rect());
        if want.is_empty() {
            return Ok(None);
        }
        let tables = Tables::new(layout.resampling);
        let mut most = (LEAST, None);
        for piece in layout.pieces.iter().rev() {
            // How it is lit is no matter here.
            let Some(request) = Request::new(&Drawn { lit: None, ..piece.clone() }, layout, want) else {
                continue;
            };
            let levels = Levels::new(std::iter::once(piece.cut), self);
            let raster = request.raster(&levels, &Nothing, &tables, self.budget)?;
            let seen = want.intersect(raster.covers());
            let mut room = Room::default();
            let rows = (seen.y0()..seen.y1()).zip(raster.rows(seen, &mut room));
            let pixels =
                rows.flat_map(|(y, row)| (seen.x0()..seen.x1()).zip(row).map(move |(x, p)| (x, y, *p)));
            let covers = pixels.map(|(x, y, pixel)| match piece.cut.mixing {
                Mixing::Over => piece.masks.iter().fold(pixel, |p, m| masked(p, m, x, y)).0[3],
                Mixing::Add => pixel.0[..3].iter().fold(0.0, |most: f32, v| most.max(*v)).min(1.0),
            });
            let covers = covers.fold(0.0, f32::max);
            if covers >= 0.5 {
                return Ok(Some(piece));
            }
            if covers > most.0 {
                most = (covers, Some(piece));
            }
        }
        Ok(most.1)
    }

    fn each_band(
        &self,
        want: PxRect,
        work: &(dyn Fn(PxRect) -> Result<(), Error> + Sync),
    ) -> Result<(), Error> {
        let bands: Vec<PxRect> = want.slices(BAND).collect();
        let done = AtomicUsize::new(0);
        threads::each(self.threads, bands.len(), &|i| {
            self.check()?;
            work(bands[i])?;
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            (self.progress)(0.5 + 0.5 * done as f64 / bands.len() as f64);
            Ok(())
        })
    }

    pub(crate) fn check(&self) -> Result<(), Error> {
        if self.cancel.load(Ordering::Relaxed) { Err(Error::Cancelled) } else { Ok(()) }
    }
}

/// A band, or the whole, before it is toned: the picture and its fields, over the same rectangle.
struct Whole {
    picture: Image<Rgb>,
    fields: Vec<Image<Coverage>>,
}

impl Whole {
    fn new(place: PxRect, fields: usize, budget: &Budget) -> Result<Self, Error> {
        let fields = (0..fields).map(|_| Image::unset(place, budget)).collect::<Result<_, _>>()?;
        Ok(Self { picture: Image::unset(place, budget)?, fields })
    }

    fn take(&mut self, band: &Self) {
        put(&mut self.picture, &band.picture);
        for (whole, part) in self.fields.iter_mut().zip(&band.fields) {
            put(whole, part);
        }
    }
}

/// Puts a band of whole rows in its place.
fn put<P: Pixel>(whole: &mut Image<P>, band: &Image<P>) {
    for y in band.place().y0()..band.place().y1() {
        whole.row_mut(y).copy_from_slice(band.row(y));
    }
}

/// Part of what a picture is laid together from, by its index.
enum Work {
    Backdrop,
    Piece(usize),
    Shadow(usize),
}

/// What a picture is laid together from.
struct Parts<'a> {
    backdrop: Backdrop,
    ground: Ground,
    taking: Vec<Taking>,
    /// For each entry of the layout's pieces: its raster, where it is seen.
    rasters: Vec<Option<Raster>>,
    pieces: &'a [Drawn],
}

impl<'a> Parts<'a> {
    /// Of all that is seen in `want`, what `within` shows of it.
    fn new(job: &Job<'a>, within: PxRect, want: PxRect) -> Result<Self, Error> {
        let layout = job.layout;
        let request = |d: &Drawn| {
            if footprint(d, layout.resampling).intersect(want).is_empty() {
                return None;
            }
            Request::new(d, layout, within)
        };
        let requests: Vec<Option<Request>> = layout.pieces.iter().map(request).collect();
        let is_seen = |s: &&staging::layout::Shadow| shadow::is_seen(s, layout.resampling, want);
        let shadows: Vec<_> = layout.shadows.iter().filter(is_seen).collect();
        let asked =
            requests.iter().flatten().map(Request::cut).chain(shadows.iter().filter_map(|s| shadow::cut(s)));
        let levels = Levels::new(asked, job);

        // Work by cut-out, so that its pixels need not wait in memory for their next use. The largest first: while there are few
        // rasters yet there is room for it, and the threads end together on the small ones.
        let pieces =
            requests.iter().enumerate().filter_map(|(i, r)| Some((r.as_ref()?.cut(), Work::Piece(i))));
        let casts = shadows.iter().enumerate();
        let thrown = casts.clone().filter_map(|(i, s)| Some((shadow::cut(s)?, Work::Shadow(i))));
        let mut by_cut = BTreeMap::<Cut, Vec<Work>>::new();
        for (cut, work) in pieces.chain(thrown) {
            by_cut.entry(cut).or_default().push(work);
        }
        let mut groups: Vec<Vec<Work>> = by_cut.into_values().collect();
        let hidden = casts.filter(|(_, s)| shadow::cut(s).is_none());
        groups.extend(hidden.map(|(i, _)| vec![Work::Shadow(i)]));
        let size = |work: &Work| match work {
            Work::Piece(i) => requests[*i].as_ref().map_or(0, Request::shot_area),
            Work::Backdrop | Work::Shadow(_) => 0,
        };
        groups.sort_by_key(|group| Reverse(group.iter().map(size).max()));
        groups.insert(0, vec![Work::Backdrop]);
        let mut first = 0;
        let ranges = groups.iter().map(|group| {
            let range = first..first + group.len();
            first = range.end;
            range
        });
        let ranges = ranges.collect();
        let work: Vec<Work> = groups.into_iter().flatten().collect();

        let backdrop = Mutex::new(None);
        let rasters: Vec<Mutex<Option<Raster>>> = requests.iter().map(|_| Mutex::new(None)).collect();
        let cast: Vec<Mutex<Option<Cast>>> = shadows.iter().map(|_| Mutex::new(None)).collect();
        let tables = Tables::new(layout.resampling);
        let soft = warp::Table::new(Filter::Spline);
        let done = AtomicUsize::new(0);
        threads::grouped(job.threads, ranges, &|w| {
            job.check()?;
            match work[w] {
                Work::Backdrop => {
                    let made = Backdrop::new(job, within)?;
                    *backdrop.lock().unwrap_or_else(PoisonError::into_inner) = Some(made);
                }
                Work::Piece(i) => {
                    if let Some(request) = &requests[i] {
                        let made = request.raster(&levels, job.keep, &tables, job.budget)?;
                        *rasters[i].lock().unwrap_or_else(PoisonError::into_inner) = Some(made);
                        levels.done(request.cut());
                    }
                }
                Work::Shadow(i) => {
                    let made = Cast::new(shadows[i], within, &levels, job, &soft)?;
                    *cast[i].lock().unwrap_or_else(PoisonError::into_inner) = Some(made);
                    shadow::cut(shadows[i]).into_iter().for_each(|cut| levels.done(cut));
                }
            }
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            (job.progress)(0.5 * done as f64 / work.len() as f64);
            Ok(())
        })?;
        let taken = |m: Mutex<Option<Raster>>| m.into_inner().unwrap_or_else(PoisonError::into_inner);
        let backdrop = backdrop.into_inner().unwrap_or_else(PoisonError::into_inner);
        let made = |m: Mutex<Option<Cast>>| m.into_inner().unwrap_or_else(PoisonError::into_inner);
        Ok(Self {
            backdrop: backdrop.expect("the first piece of work makes the backdrop"),
            ground: Ground::new(layout),
            taking: Taking::all(cast.into_iter().filter_map(made).collect(), job.budget)?,
            rasters: rasters.into_iter().map(taken).collect(),
            pieces: &layout.pieces,
        })
    }

    /// A band of the picture, before it is toned.
    fn band(&self, job: &Job<'_>, place: PxRect) -> Result<Whole, Error> {
        let fields =
            job.layout.fields.iter().map(|_| Image::unset(place, job.budget)).collect::<Result<_, _>>()?;
        let mut band = Whole { picture: Image::unset(place, job.budget)?, fields };
        self.backdrop.fill(&mut band.picture, job.budget)?;
        self.ground.light_up(&mut band.picture, &self.taking, &mut ground::Work::default());
        for (field, map) in job.layout.fields.iter().zip(&mut band.fields) {
            for y in place.y0()..place.y1() {
                for (x, f) in (place.x0()..).zip(map.row_mut(y)) {
                    f.0 = crate::plain::ground_field(&field.ground, x, y) as f32;
                }
            }
        }
        let luminance = job.layout.primaries.to_xyz().0[1].map(|v| v as f32);
        let (mut room, mut own) = (Room::default(), Vec::new());
        for (i, (piece, raster)) in self.pieces.iter().zip(&self.rasters).enumerate() {
            let Some(raster) = raster else { continue };
            let seen = place.intersect(raster.covers());
            let light =
                lay::Light { gain: piece.gain.0.map(|v| v as f32), veil: piece.veil.0.map(|v| v as f32) };
            let from = (seen.x0() - place.x0()) as usize;
            for part in seen.slices(TOGETHER) {
                for (y, mut row) in (part.y0()..).zip(raster.rows(part, &mut room)) {
                    if !piece.masks.is_empty() || piece.in_water.is_some() {
                        own.clear();
                        own.extend_from_slice(row);
                        mask(piece, seen.x0(), y, &mut own);
                        row = &own;
                    }
                    let out = &mut band.picture.row_mut(y)[from..from + row.len()];
                    match piece.cut.mixing {
                        Mixing::Over => {
                            lay::over(row, &light, out);
                            for (field, map) in job.layout.fields.iter().zip(&mut band.fields) {
                                let out = &mut map.row_mut(y)[from..from + row.len()];
                                lay::mix(row, field.pieces[i] as f32, out);
                            }
                        }
                        Mixing::Add => {
                            for (field, map) in job.layout.fields.iter().zip(&mut band.fields) {
                                let weight = &mut map.row_mut(y)[from..from + row.len()];
                                lay::mix_light(row, &light, (luminance, out), field.pieces[i] as f32, weight);
                            }
                            lay::add(row, &light, out);
                        }
                    }
                }
            }
        }
        Ok(band)
    }
}

/// Leaves of a row what the piece's masks keep.
fn mask(piece: &Drawn, x0: i64, y: i64, row: &mut [Rgba]) {
    for mask in &piece.masks {
        for (x, p) in (x0..).zip(row.iter_mut()) {
            *p = masked(*p, mask, x, y);
        }
    }
    if let Some(share) = piece.in_water {
        row.iter_mut().for_each(|p| *p = Rgba(p.0.map(|v| v * share as f32)));
    }
}
