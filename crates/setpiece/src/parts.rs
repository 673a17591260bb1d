//! The photographs of a picture as rendering wants them: read, freed of their paper, measured.

use crate::Folder;
use crate::handwork::Handwork;
use crate::originals::{Original, Originals, in_words};
use crate::smalls::Smalls;
use cutting::foreground;
use cutting::paper::Field;
use files::{Limits, Photograph};
use pixels::kernel::form::Small;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb, Rgba};
use render::{Error, Sources};
use scene::{CutOut, Source};
use staging::layout::{Cut, Mixing};
use staging::measured::{BANDS, GIRTHS, MeasuredCut, Rim};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use units::{Digest, Primaries, PxRect, PxSize};

/// Bytes that a pixel of a shot takes while its cut-out is made: its light and coverage, its codes, its matte.
const EACH: u64 = 26;

/// Where the original files are, and in which primaries their light is wanted. What is handed out was decoded from the very bytes
/// that the digest names.
#[derive(Clone, Debug)]
pub struct Parts {
    working: Primaries,
    limits: Limits,
    originals: Originals,
    handwork: BTreeMap<Digest, Handwork>,
    smalls: Option<Smalls>,
}

impl Parts {
    /// None yet.
    #[must_use]
    pub fn new(working: Primaries) -> Self {
        Self {
            working,
            limits: Limits::default(),
            originals: Originals::default(),
            handwork: BTreeMap::new(),
            smalls: None,
        }
    }

    /// Small mattes are kept in this cache.
    pub(crate) fn keep_small(&mut self, cache: PathBuf) {
        self.smalls = Some(Smalls::at(cache));
    }

    /// Says where the file with this content is.
    pub fn add(&mut self, digest: Digest, path: PathBuf) {
        self.originals.add(digest, Original { path, bytes: None, size: None });
    }

    /// Says where a file of the picture is.
    pub(crate) fn add_source(&mut self, digest: Digest, source: &Source, folder: &Folder) {
        let path = folder.file(source);
        self.originals.add(digest, Original { path, bytes: Some(source.bytes), size: source.size });
    }

    /// What was done by hand to a cut-out.
    pub(crate) fn add_handwork(&mut self, cutout: &CutOut) {
        if let Some(digest) = cutout.handwork() {
            self.handwork.insert(digest, Handwork::of(cutout));
        }
    }

    pub(crate) const fn originals(&self) -> &Originals {
        &self.originals
    }

    pub(crate) fn read(&self, digest: Digest, budget: &Budget) -> Result<Photograph, Error> {
        self.originals.read(digest, |o| files::read_known(&o.path, &digest, &self.limits, budget))
    }

    /// Size of a photograph, upright.
    ///
    /// # Errors
    /// Where it is missing, not what it was, or cannot be read.
    pub fn size(&self, digest: Digest) -> Result<PxSize, Error> {
        let original = self.originals.check(digest)?;
        match original.size {
            Some(size) => Ok(size),
            None => Ok(files::probe_file(&original.path, &self.limits).map_err(|e| in_words(&e))?.size),
        }
    }

    /// That the files of a cut-out are what they were.
    ///
    /// # Errors
    /// Where one is missing, not what it was, or cannot be read.
    pub fn check(&self, cut: Cut) -> Result<(), Error> {
        std::iter::once(cut.shot)
            .chain(cut.matte)
            .chain(cut.colour)
            .try_for_each(|file| self.originals.check(file).map(drop))
    }

    /// Measures a cut-out.
    ///
    /// # Errors
    /// Where it cannot be read, or its matte does not belong to it.
    pub fn measure(&self, cut: Cut, budget: &Budget) -> Result<MeasuredCut, Error> {
        let _turn =
            budget.turn(self.size(cut.shot)?.area() * EACH).map_err(|over| self.too_large(over, cut.shot))?;
        let shot = self.read(cut.shot, budget)?;
        let size = shot.size();
        if cut.mixing == Mixing::Add {
            let rect = size.rect();
            return Ok(MeasuredCut {
                size,
                covered: rect,
                solid: rect,
                lowest: rect.width() as f64 / 2.0,
                outline: [[0.0, rect.width() as f32]; BANDS],
                bulk: 0.0,
                girths: Default::default(),
                crown: None,
                base: None,
            });
        }
        let matte = self.touched(cut, &shot, budget)?;
        let (measured, small) = measured_and_small(size, &matte);
        if let Some(smalls) = &self.smalls {
            smalls.put(cut, &small);
        }
        Ok(measured)
    }

    /// The matte with what was done to it by hand.
    fn touched(&self, cut: Cut, shot: &Photograph, budget: &Budget) -> Result<Image<Coverage>, Error> {
        let matte = self.matte(cut, shot, budget)?;
        match self.handwork(cut) {
            Some(hand) => self.by_hand(hand, (cut, shot), matte, budget),
            None => Ok(matte),
        }
    }

    fn by_hand(
        &self,
        hand: &Handwork,
        (cut, shot): (Cut, &Photograph),
        matte: Image<Coverage>,
        budget: &Budget,
    ) -> Result<Image<Coverage>, Error> {
        let over = |over| self.too_large(over, cut.shot);
        let picture = if hand.looks_at_shot() {
            let mut picture = shot.to_rgb(self.working, budget).map_err(|e| self.in_file(&e, cut.shot))?;
            hand.mend(&mut picture, budget).map_err(over)?;
            picture
        } else {
            Image::new(PxRect::EMPTY, budget)?
        };
        hand.touched(matte, &picture, budget).map_err(over)
    }

    fn handwork(&self, cut: Cut) -> Option<&Handwork> {
        cut.handwork.and_then(|digest| self.handwork.get(&digest))
    }

    fn matte(&self, cut: Cut, shot: &Photograph, budget: &Budget) -> Result<Image<Coverage>, Error> {
        let Some(digest) = cut.matte else {
            if !shot.channels().has_alpha() {
                return Err(Error::Source {
                    what: "the shot has no matte and no alpha channel".to_owned(),
                    place: self.named(cut.shot),
                    remedy: "give it a matte, or cut it out".to_owned(),
                });
            }
            return shot.to_coverage(budget).map_err(|e| self.in_file(&e, cut.shot));
        };
        let matte = self.read(digest, budget)?;
        if matte.size() != shot.size() {
            let of = |s: PxSize| format!("{} x {}", s.width(), s.height());
            return Err(Error::Source {
                what: format!(
                    "the matte is {} pixels and its shot {}: they must be the same",
                    of(matte.size()),
                    of(shot.size())
                ),
                place: self.named(digest),
                remedy: "give the shot the matte that was made for it, at the shot's own size".to_owned(),
            });
        }
        matte.to_coverage(budget).map_err(|e| self.in_file(&e, digest))
    }

    fn in_file(&self, e: &files::Error, digest: Digest) -> Error {
        let place = format!("{}, {}", self.named(digest), e.place());
        Error::Source { what: e.what().to_owned(), place, remedy: e.remedy().to_owned() }
    }

    /// A cut-out is needed as a whole: no region and no scale makes it smaller.
    fn too_large(&self, over: OverBudget, shot: Digest) -> Error {
        Error::Source {
            what: over.to_string(),
            place: format!("the cut-out of {}", self.named(shot)),
            remedy: "give it a smaller copy of the shot, or allow more memory".to_owned(),
        }
    }

    fn named(&self, digest: Digest) -> String {
        self.originals.get(digest).map_or_else(|_| digest.short(), |o| o.path.display().to_string())
    }
}

impl Sources for Parts {
    fn photograph(&self, source: Digest, budget: &Budget) -> Result<Arc<dyn render::Photograph>, Error> {
        Ok(Arc::new(Shown { photograph: self.read(source, budget)?, working: self.working }))
    }

    fn small(&self, cut: Cut, budget: &Budget) -> Result<Small, Error> {
        if let Some(kept) = self.smalls.as_ref().and_then(|s| s.get(cut)) {
            return Ok(kept);
        }
        let _turn =
            budget.turn(self.size(cut.shot)?.area() * EACH).map_err(|over| self.too_large(over, cut.shot))?;
        let shot = self.read(cut.shot, budget)?;
        let (_, small) = measured_and_small(shot.size(), &self.touched(cut, &shot, budget)?);
        if let Some(smalls) = &self.smalls {
            smalls.put(cut, &small);
        }
        Ok(small)
    }

    fn cut_out(&self, cut: Cut, budget: &Budget) -> Result<Arc<Image<Rgba>>, Error> {
        let _turn =
            budget.turn(self.size(cut.shot)?.area() * EACH).map_err(|over| self.too_large(over, cut.shot))?;
        let shot = self.read(cut.shot, budget)?;
        let linear = shot.linear(self.working);
        let rows = |y: usize, out: &mut [Rgb]| linear.rgb(0, y as u32, out);
        let size = shot.size().rect();
        if cut.mixing == Mixing::Add {
            let light = cutting::paper::light_alone(&rows, size, budget);
            return Ok(Arc::new(light.map_err(|over| self.too_large(over, cut.shot))?));
        }
        let over = |over| self.too_large(over, cut.shot);
        let matte = self.matte(cut, &shot, budget)?;
        let hand = self.handwork(cut);
        let patches = match hand {
            Some(hand) => hand.mended(
                size,
                &|window| linear.rgb_in(window, budget).map_err(|e| self.in_file(&e, cut.shot)),
                budget,
            )?,
            None => Vec::new(),
        };
        let mended = |y: usize, out: &mut [Rgb]| {
            linear.rgb(0, y as u32, out);
            patches.iter().for_each(|patch| lay_row(patch, y as i64, out));
        };
        // Where the paper is, the matte says as it was made: what the hand removed is no paper.
        let paper = match (cut.colour, cut.matte) {
            (None, Some(_)) if hand.is_some_and(Handwork::works_on_rim) => {
                Some(Field::of(&mended, &matte, budget).map_err(over)?)
            }
            _ => None,
        };
        let within = match hand.and_then(Handwork::within_edge) {
            Some(hand) => Some(self.by_hand(
                &hand,
                (cut, &shot),
                matte.crop(matte.place(), budget).map_err(over)?,
                budget,
            )?),
            None => None,
        };
        let matte = match hand {
            Some(hand) => self.by_hand(hand, (cut, &shot), matte, budget)?,
            None => matte,
        };
        let covered = measured(shot.size(), &matte).covered;
        let within = within.as_ref().unwrap_or(&matte);
        let image = match cut.colour {
            Some(colour) => {
                let own = self.read(colour, budget)?;
                let own = own.linear(self.working);
                let row = |y: usize, out: &mut [Rgb]| {
                    own.rgb(0, y as u32, out);
                    patches.iter().for_each(|patch| lay_row(patch, y as i64, out));
                };
                foreground::laid(&row, (within, &matte), covered, budget).map_err(over)?
            }
            None if cut.matte.is_some() => {
                foreground::freed(&mended, (within, &matte), covered, budget).map_err(over)?
            }
            // What carries its own alpha was cut out elsewhere: its colour is its own already.
            None if hand.is_none() => linear.rgba_in(covered, budget).map_err(|e| in_words(&e))?,
            None => foreground::laid(&mended, (within, &matte), covered, budget).map_err(over)?,
        };
        let image = match hand.filter(|hand| hand.works_on_rim()) {
            Some(hand) => hand.finished(image, paper.as_ref(), budget).map_err(over)?,
            None => image,
        };
        Ok(Arc::new(image))
    }
}

/// A row of a shot with what was mended in it.
fn lay_row(patch: &Image<Rgb>, y: i64, row: &mut [Rgb]) {
    let place = patch.place();
    if (place.y0()..place.y1()).contains(&y) {
        row[place.x0() as usize..place.x1() as usize].copy_from_slice(patch.row(y));
    }
}

/// A photograph that stays in memory as its file holds it.
struct Shown {
    photograph: Photograph,
    working: Primaries,
}

impl render::Photograph for Shown {
    fn size(&self) -> PxSize {
        self.photograph.size()
    }

    fn row(&self, x: usize, y: usize, out: &mut [Rgb]) {
        self.photograph.linear(self.working).rgb(x as u32, y as u32, out);
    }
}

/// The rim at the end that `rows` begin with: wider and wider as half an ellipse is, and then no more. `None` for another end.
fn rim(matte: &Image<Coverage>, rows: impl Iterator<Item = i64>) -> Option<Rim> {
    /// Rows after which it is no wider than it was.
    const NO_MORE: usize = 3;
    /// How far it may miss an ellipse, as a share of its width; and where that is asked, as shares of its rows from the end.
    const MISS: f64 = 0.14;
    const ASKED: [f64; 2] = [0.25, 0.5];
    let mut widths: Vec<f64> = Vec::new();
    let mut widest = 0;
    for y in rows {
        let row = matte.row(y);
        let first = row.iter().position(|c| c.0 > 0.5);
        let last = row.iter().rposition(|c| c.0 > 0.5);
        let width = first.zip(last).map_or(0.0, |(a, b)| (b + 1 - a) as f64);
        widths.push(width);
        if width > widths[widest] {
            widest = widths.len() - 1;
        } else if widths.len() - widest > NO_MORE + widest / 4 {
            break;
        }
    }
    let (width, rows) = (*widths.get(widest)?, widest as f64 + 0.5);
    let ellipse = |share: f64| (1.0 - (1.0 - share).powi(2)).sqrt() * width;
    let at = |share: f64| widths.get((share * rows) as usize).copied().unwrap_or(0.0);
    // Between rows it is as wide as the mean of what it is above and below.
    let misses = |share: &f64| {
        let k = (share * rows).floor() + 0.5;
        (at(*share) - ellipse(k / rows)).abs() > MISS * width
    };
    (widest >= 3 && !ASKED.iter().any(misses)).then_some(Rim { rows, width })
}

/// A cut-out by its matte.
pub(crate) fn measured(size: PxSize, matte: &Image<Coverage>) -> MeasuredCut {
    measured_and_small(size, matte).0
}

fn measured_and_small(size: PxSize, matte: &Image<Coverage>) -> (MeasuredCut, Small) {
    let within = |least: f32| {
        let mut rect = PxRect::EMPTY;
        for y in 0..matte.height() as i64 {
            let row = matte.row(y);
            let first = row.iter().position(|c| c.0 > least);
            let last = row.iter().rposition(|c| c.0 > least);
            if let (Some(a), Some(b)) = (first, last) {
                rect = rect.union(PxRect::new(a as i64, y, b as i64 + 1, y + 1));
            }
        }
        rect
    };
    let covered = within(0.0);
    let solid = within(0.499_99);
    let solid = if solid.is_empty() { covered } else { solid };
    let lowest = if solid.is_empty() {
        f64::from(size.width()) / 2.0
    } else {
        let row = matte.row(solid.y1() - 1);
        let (sum, weight) = row
            .iter()
            .enumerate()
            .fold((0.0, 0.0), |(s, w), (x, c)| (s + (x as f64 + 0.5) * f64::from(c.0), w + f64::from(c.0)));
        if weight > 0.0 { sum / weight } else { f64::from(size.width()) / 2.0 }
    };
    let crown = rim(matte, solid.y0()..solid.y1());
    let base = rim(matte, (solid.y0()..solid.y1()).rev());
    let outline = outline(matte, covered);
    let girths = girths(matte, solid);
    let small = Small::of(matte, covered, |c| c.0);
    let bulk = small.bulk();
    (MeasuredCut { size, covered, solid, lowest, outline, bulk, girths, crown, base }, small)
}

/// Mean width and middle of what is covered, band by band from the foot up.
fn girths(matte: &Image<Coverage>, solid: PxRect) -> [[f32; 2]; GIRTHS.len() - 1] {
    let row = |share: f64| solid.y1() - (solid.height() as f64 * share).round() as i64;
    std::array::from_fn(|band| {
        let (low, high) = (row(GIRTHS[band]), row(GIRTHS[band + 1]).min(row(GIRTHS[band]) - 1));
        let rows = high.max(solid.y0())..low;
        let (mut area, mut moment, count) = (0.0f64, 0.0f64, rows.clone().count());
        for y in rows {
            for (x, c) in matte.row(y).iter().enumerate() {
                area += f64::from(c.0);
                moment += f64::from(c.0) * (x as f64 + 0.5);
            }
        }
        if area > 0.0 { [(area / count as f64) as f32, (moment / area) as f32] } else { [0.0; 2] }
    })
}

/// The ends of what is covered, band by band.
fn outline(matte: &Image<Coverage>, covered: PxRect) -> [[f32; 2]; BANDS] {
    const LEAST: f32 = 0.1;
    std::array::from_fn(|band| {
        let row = |i: usize| covered.y0() + (covered.height() * i / BANDS) as i64;
        let (mut left, mut right) = (usize::MAX, 0);
        for y in row(band)..row(band + 1).max(row(band) + 1).min(covered.y1()) {
            let row = matte.row(y);
            left = left.min(row.iter().position(|c| c.0 > LEAST).unwrap_or(usize::MAX));
            right = right.max(row.iter().rposition(|c| c.0 > LEAST).map_or(0, |x| x + 1));
        }
        if left < right { [left as f32, right as f32] } else { [covered.x0() as f32; 2] }
    })
}
