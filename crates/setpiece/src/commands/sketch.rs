//! What strokes will do, at the scale that is looked at: at once, where the shot itself takes seconds.

use super::looks::{self, On};
use super::making::SEEN_IN;
use super::measure::Measures;
use super::strokes::{Strokes, Told, for_cutting};
use super::sure::{self, Known};
use super::write::Hands;
use super::{Error, Kind};
use crate::handwork::Handwork;
use cutting::matting::{self, Trimap};
use cutting::regions::Prepared;
use cutting::sheet;
use pixels::encode::{between, convert_rgb, narrow};
use pixels::{Budget, Coverage, Image, Rgb};
use scene::{CutOut, CutOutId, Says, Scene, SourceKind};
use std::path::Path;
use std::sync::{Mutex, PoisonError};
use units::{Digest, Pixels, PxSize};

/// Pixels that are worked on (own choice, no source): what two threads cut within a third of a second. Fewer are not faster.
const WORKED: f64 = 500_000.0;

/// A shot and its matte at the scale that is sketched at.
pub struct Ground {
    /// Linear sRGB.
    picture: Image<Rgb>,
    /// As it was cut, before anything was touched up.
    matte: Image<Coverage>,
    /// What is sure of it by its paper, whatever is drawn, and the paper's colour; none where no paper is found.
    by_paper: Option<sheet::Found>,
    /// Its regions, for strokes that say what it is.
    regions: Prepared,
    /// What was sure of it last, and the matte that came of it; none where that is not known.
    last: Mutex<Option<(Trimap, Image<Coverage>)>>,
    shot: PxSize,
    /// The files that it is laid out from.
    files: (Digest, Option<Digest>),
}

/// Lays a cut-out's shot out for sketching.
///
/// # Errors
/// Where there is no such cut-out, it cannot be read, or the memory does not suffice.
pub fn ground(scene: &Scene, measures: &Measures, id: CutOutId, hands: &Hands<'_>) -> Result<Ground, Error> {
    // Straight from the files: as it was cut.
    let untouched = |on| {
        let mut layout = looks::cut_out(scene, measures, id, on)?;
        layout.pieces.iter_mut().for_each(|p| p.cut.handwork = None);
        let area = layout.size.rect().area() as f64;
        let small = layout.scaled((WORKED / area).sqrt().min(1.0)).unwrap_or(layout);
        Ok::<_, Error>(hands.job(&small, &measures.parts).picture(small.size.rect())?)
    };
    let mut picture = untouched(On::Shot)?;
    let lith = untouched(On::Lith)?;
    let primaries = scene.format().primaries;
    let to = narrow(between(primaries, SEEN_IN));
    convert_rgb(&to, picture.pixels_mut());
    let matte =
        Image::from_fn(lith.place(), hands.budget, |x, y| Coverage(lith.at(x, y).0[0].clamp(0.0, 1.0)))?;
    let shot =
        measures.measured.cuts.get(&id).map(|m| m.size).ok_or_else(|| super::cutouts::gone("the cut-out"))?;
    let (found, regions) = cutting::on_threads(hands.threads, || {
        Ok::<_, Error>((sheet::found(&picture, hands.budget)?, Prepared::to_sketch(&picture, hands.budget)?))
    })?;
    let by_paper = found.ok();
    let cutout = &scene.cutouts()[&id];
    let files = files(cutout);
    let ground = Ground { picture, matte, by_paper, regions, last: Mutex::default(), shot, files };
    // A matte that came with the shot says nothing of how it is cut.
    let is_made =
        cutout.matte.and_then(|m| scene.sources().get(&m)).is_some_and(|m| m.kind == SourceKind::Cutting);
    if is_made && !cutout.owes_cut() {
        let last = ground.as_cut(cutout, hands)?;
        *ground.last.lock().unwrap_or_else(PoisonError::into_inner) = last;
    }
    Ok(ground)
}

const fn files(cutout: &CutOut) -> (Digest, Option<Digest>) {
    (cutout.shot, cutout.matte)
}

impl Ground {
    /// Whether it is laid out from the files that a cut-out has now.
    #[must_use]
    pub fn is_of(&self, cutout: &CutOut) -> bool {
        self.files == files(cutout)
    }

    /// The size of the shot.
    #[must_use]
    pub const fn shot(&self) -> PxSize {
        self.shot
    }

    /// The shot, cut by the strokes that the cut-out has and by those of a strokes file, laid on an even tone, in linear sRGB. Of the edge's colour the paper's is taken off; before anything else it is the
    /// shot's.
    ///
    /// # Errors
    /// Where the text is no strokes file of this shot, strokes say too little, or the memory does not suffice.
    pub fn sketched(
        &self,
        cutout: &CutOut,
        text: &str,
        tone: Tone,
        hands: &Hands<'_>,
    ) -> Result<Image<Rgb>, Error> {
        let place = "what was drawn";
        let new = Strokes::of_text(text, place)?.over(self.shot)?;
        let kept = cutout.strokes.iter().filter_map(Told::of);
        let told = kept.chain(new).map(|t| self.smaller(t)).collect::<Option<Vec<_>>>().ok_or_else(|| {
            Error::new(Kind::Wording, "it lies too far away to be drawn", place, "draw it on the shot")
        })?;
        let cuts = for_cutting(&told);
        let (threads, budget) = (hands.threads, hands.budget);
        let matte = cutting::on_threads(threads, || -> Result<_, Error> {
            let matte = if cuts.is_empty() {
                self.matte.crop(self.matte.place(), budget)?
            } else {
                let names = (Path::new(&cutout.name), place);
                let known = Known::Ready(self.by_paper.as_ref().map(|found| &found.trimap), &self.regions);
                let found = sure::found(&self.picture, known, &cuts, names, budget)?;
                self.matte_of(found.trimap, budget)?
            };
            Ok(Handwork::by_strokes(&told).touched(matte, &self.picture, budget)?)
        })?;
        Ok(Image::from_fn(self.picture.place(), budget, |x, y| {
            let (Rgb(p), a) = (self.picture.at(x, y), matte.at(x, y).0);
            match tone {
                Tone::Laid(behind) => {
                    let own = self.own(p, a, (x, y));
                    Rgb(own.map(|v| v + (1.0 - a) * behind))
                }
                Tone::Lith => Rgb([a; 3]),
            }
        })?)
    }

    /// The matte of what is sure: solved where that is not what it was last.
    fn matte_of(&self, trimap: Trimap, budget: &Budget) -> Result<Image<Coverage>, Error> {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let matte = match &*last {
            Some((sure, matte)) => matting::again(&self.picture, &trimap, (sure, matte), budget)?,
            None => matting::in_small(&self.picture, &trimap, budget)?,
        };
        *last = Some((trimap, matte.crop(matte.place(), budget)?));
        Ok(matte)
    }

    /// What was sure of it when it was cut, with the matte that it has; none where that cannot be told.
    fn as_cut(&self, cutout: &CutOut, hands: &Hands<'_>) -> Result<Option<(Trimap, Image<Coverage>)>, Error> {
        let kept = cutout.strokes.iter().filter_map(Told::of);
        let Some(told) = kept.map(|t| self.smaller(t)).collect::<Option<Vec<_>>>() else { return Ok(None) };
        let names = (Path::new(&cutout.name), "what was drawn");
        let known = Known::Ready(self.by_paper.as_ref().map(|found| &found.trimap), &self.regions);
        let found = cutting::on_threads(hands.threads, || {
            sure::found(&self.picture, known, &for_cutting(&told), names, hands.budget)
        });
        let Ok(found) = found else { return Ok(None) };
        Ok(Some((found.trimap, self.matte.crop(self.matte.place(), hands.budget)?)))
    }

    /// The thing's own light in a pixel that it covers so far: what is left of it without the paper's.
    fn own(&self, seen: [f32; 3], covers: f32, (x, y): (i64, i64)) -> [f32; 3] {
        /// No thing is much lighter than white (own choice, no source).
        const LIGHTEST: f32 = 1.2;
        let Some(found) = &self.by_paper else { return seen.map(|v| v * covers) };
        let Rgb(paper) = found.paper.at_clamped(x.div_euclid(found.step), y.div_euclid(found.step));
        [0, 1, 2].map(|c| (seen[c] - (1.0 - covers) * paper[c]).clamp(0.0, covers * LIGHTEST))
    }

    /// A stroke at the scale of the sketch.
    fn smaller(&self, told: Told) -> Option<Told> {
        let by = self.picture.place().width() as f64 / f64::from(self.shot.width());
        let says = match told.says {
            Says::Soften(radius) => Says::Soften(Pixels::new(radius.get() * by)?),
            says => says,
        };
        Some(Told { says, stroke: told.stroke.scaled(by)?, strength: told.strength })
    }
}

/// What a sketch is laid on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Tone {
    /// An even ground that returns this share of light.
    Laid(f32),
    /// None: the matte alone.
    Lith,
}

impl From<On> for Tone {
    fn from(on: On) -> Self {
        match on {
            On::Ground(ground) => Self::Laid(ground.reflectance()),
            On::Lith => Self::Lith,
            // Where it is not the thing the shot is laid on grey.
            On::Shot => Self::Laid(0.18),
        }
    }
}
