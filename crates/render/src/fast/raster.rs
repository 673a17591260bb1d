//! The raster of a piece: its pixels, warped and defocused, on a grid that its blur allows to be coarse.
//!
//! A blur disc is a low-pass filter: what it leaves fits on a grid k times coarser. There the piece is warped, spread with the
//! disc's coarse weights ([`aperture::spread_coarse`]) and, row by row while it is laid over the picture, enlarged
//! again. So the cost of a disc does not grow with its area. The grid is anchored to the picture's origin.

use super::enlarge::{self, Enlarge, grid};
use super::key;
use super::lit::{self, Lights};
use super::reduce::{Levels, SHARP, SOFT, least_stretch};
use crate::plain::{filter_of, shape};
use crate::{Error, Keep};
use pixels::kernel::aperture::{self, Spread};
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::settle;
use pixels::kernel::{convolve, warp};
use pixels::{Budget, Image, Rgba};
use staging::layout::{Aperture, Cut, Drawn, Layout, Lit, Mixing, Resampling};
use std::sync::Arc;
use units::{Digest, Digester, Mat3, Primaries, PxRect};

/// Part of every key: raised when the pixels of a raster change for the same request.
const VERSION: u64 = 8;

/// What a raster is made from.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Request {
    cut: Cut,
    /// From the raster's coarse pixels to the shot's.
    to_shot: Mat3,
    /// How its light differs over the shot.
    lit: Option<Box<Lit>>,
    /// Diameter of the disc in picture pixels, and its shape.
    disc: f64,
    aperture: Aperture,
    resampling: Resampling,
    /// Of its colours.
    primaries: Primaries,
    /// Picture pixels a coarse pixel is wide.
    k: i64,
    /// Coarse pixels that can hold the sharp piece.
    sharp: PxRect,
    /// Coarse pixels that are wanted.
    place: PxRect,
}

/// The filters of a rendering as tables.
pub(super) struct Tables {
    /// For what is drawn pixel by pixel: what covers, and light.
    solid: warp::Table,
    light: warp::Table,
    /// For what goes on to a coarse grid.
    grid: warp::Table,
}

impl Tables {
    pub(super) fn new(resampling: Resampling) -> Self {
        Self {
            solid: warp::Table::new(filter_of(Mixing::Over, resampling)),
            light: warp::Table::new(filter_of(Mixing::Add, resampling)),
            grid: warp::Table::new(Filter::Lanczos3),
        }
    }
}

/// A raster as it is laid over the picture.
pub(super) struct Raster {
    pixels: Arc<Image<Rgba>>,
    enlarge: Enlarge,
}

/// How much coarser the grid of a disc may be: (disc / 8)^(3/4), rounded, so 10 coarse pixels across a disc of 20 px and 18 across
/// one of 240. Wider discs are given more, for they cost less there and their edges show more.
#[must_use]
pub fn coarseness(disc: f64) -> i64 {
    // The fourth root of the cube: exact square roots only, the same on every machine.
    ((disc / 8.0).powi(3).sqrt().sqrt().round() as i64).max(1)
}

/// Picture pixels that a piece can be seen on: as far as its disc reaches, to the borders of the coarse pixels there.
pub(crate) fn footprint(piece: &Drawn, resampling: Resampling) -> PxRect {
    let disc = resampling.drawn(piece.disc);
    spread(piece.bounds, disc, grain(disc, piece.cut.mixing, piece.aperture))
}

fn spread(bounds: PxRect, disc: f64, k: i64) -> PxRect {
    enlarge::whole(bounds.grow(aperture::reach(disc) as i64), k)
}

/// How much coarser the grid of a piece is.
fn grain(disc: f64, mixing: Mixing, aperture: Aperture) -> i64 {
    coarseness(disc / fineness(mixing, aperture))
}

/// By how much a disc counts as smaller where a coarse grid shows sooner: straight blades have corners, and what shone on black is
/// often a point of light, whose image is the aperture itself, edge and all.
fn fineness(mixing: Mixing, aperture: Aperture) -> f64 {
    let corners = if matches!(aperture, Aperture::Blades(_)) { 2.0 } else { 1.0 };
    let points = if mixing == Mixing::Add { 3.0 } else { 1.0 };
    corners * points
}

impl Request {
    /// For a piece, as far as it is seen in `want`; `None` where it is not.
    pub(super) fn new(piece: &Drawn, layout: &Layout, want: PxRect) -> Option<Self> {
        let Drawn { cut, to_shot, bounds, aperture, .. } = *piece;
        let disc = layout.resampling.drawn(piece.disc);
        let k = grain(disc, cut.mixing, aperture);
        let covers = want.intersect(spread(bounds, disc, k));
        if covers.is_empty() {
            return None;
        }
        Some(Self {
            cut,
            to_shot: to_shot * Mat3::scaling(k as f64, k as f64),
            lit: piece.lit.clone(),
            disc,
            aperture,
            resampling: layout.resampling,
            primaries: layout.primaries,
            k,
            sharp: grid(bounds, k),
            place: grid(covers, k),
        })
    }

    /// The cut-out it shows.
    pub(super) const fn cut(&self) -> Cut {
        self.cut
    }

    /// Pixels of the shot that it shows, roughly.
    pub(super) fn shot_area(&self) -> u64 {
        let place = self.sharp;
        let middle = warp::look(
            &self.to_shot,
            i64::midpoint(place.x0(), place.x1()),
            i64::midpoint(place.y0(), place.y1()),
        );
        middle.map_or(0, |look| (look.stretch.0 * look.stretch.1 * place.area() as f64) as u64)
    }

    /// Names the raster by all it depends on.
    pub(super) fn key(&self) -> Digest {
        let mut d = Digester::new();
        d.text("raster").number(VERSION);
        key::cut(&mut d, self.cut, self.primaries);
        key::mapping(&mut d, &self.to_shot);
        if let Some(lit) = &self.lit {
            lit::digest(&mut d, lit, self.primaries);
        }
        d.float(self.disc).number(self.k as u64).number(u64::from(self.resampling == Resampling::Lanczos3));
        key::aperture(&mut d, self.aperture);
        key::place(&mut d, self.sharp);
        key::place(&mut d, self.place);
        d.finish()
    }

    /// The raster, from the store or made anew.
    pub(super) fn raster(
        &self,
        levels: &Levels<'_>,
        keep: &dyn Keep,
        tables: &Tables,
        budget: &Budget,
    ) -> Result<Raster, Error> {
        let key = self.key();
        let pixels = match keep.get(&key) {
            Some(kept) if self.place.intersect(kept.place()) == kept.place() => kept,
            _ => {
                let made = Arc::new(self.make(levels, tables, (keep, budget))?);
                keep.put(key, &made);
                made
            }
        };
        let enlarge = Enlarge::new(pixels.place(), self.k);
        Ok(Raster { pixels, enlarge })
    }

    fn make(
        &self,
        levels: &Levels<'_>,
        tables: &Tables,
        (keep, budget): (&dyn Keep, &Budget),
    ) -> Result<Image<Rgba>, Error> {
        let left = if self.k == 1 { SHARP } else { SOFT };
        // By all of the piece, not by the part that is wanted: a part must be the crop of the whole.
        let (source, to_shot, own) = levels.fit(self.cut, &self.to_shot, self.sharp, left)?;
        // A coarse grid is no sensor: it takes what its pixels can hold, and the disc's weights do the rest.
        let picture = match self.cut.mixing {
            Mixing::Over => tables.solid.over(own),
            Mixing::Add => tables.light.over(own),
        };
        let table = if self.k == 1 { &picture } else { &tables.grid };
        // A shot is mostly paper: what shows nothing of the cut-out is not kept.
        let spread = self.spread();
        let shown = warp::shows(source.place(), &to_shot, table.filter(), self.sharp);
        let place = enlarge::around(convolve::needs(&spread, shown), self.k).intersect(self.place);
        let sharp_place = convolve::needs(&spread, place).intersect(shown);
        let mut sharp = warp::run(&source, &to_shot, table, sharp_place, budget)?;
        drop(source);
        if self.k == 1 {
            settle(sharp.pixels_mut());
        }
        if let Some(lit) = &self.lit {
            let stretch = least_stretch(&self.to_shot, self.sharp);
            Lights::of((lit, self.cut), levels, stretch, (keep, budget))?.light_up(&mut sharp, &self.to_shot);
        }
        if spread == Spread::none() && sharp.place() == place {
            return Ok(sharp);
        }
        let mut out = convolve::run(&sharp, &spread, place, budget)?;
        settle(out.pixels_mut());
        Ok(out)
    }

    fn spread(&self) -> Spread {
        aperture::spread_coarse(self.disc, shape(self.aperture), self.k as usize)
    }
}

impl Raster {
    /// Picture pixels that it covers.
    pub(super) const fn covers(&self) -> PxRect {
        self.enlarge.covers()
    }

    /// The rows of a part of what it covers, from the top.
    pub(super) fn rows<'l>(
        &'l self,
        part: PxRect,
        room: &'l mut enlarge::Room<Rgba>,
    ) -> impl Iterator<Item = &'l [Rgba]> + use<'l> {
        self.enlarge.rows(&self.pixels, part, room)
    }
}
