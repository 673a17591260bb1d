//! What is doubtful of a cut-out that was found by its paper, to be walked: what was told when it was cut, less what strokes have
//! settled since.

use super::measure::parts;
use super::strokes::Told;
use super::sure::{self, Doubtful};
use super::{Error, cutouts, making};
use crate::Folder;
use crate::handwork::Handwork;
use cutting::sheet;
use pixels::Budget;
use scene::{Says, Scene, SourceKind, Stroke, StrokeForm};
use serde::Serialize;
use std::num::NonZeroUsize;
use ts_rs::TS;
use units::{Pixels, PxRect};

/// Something worth looking at.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct DoubtReport {
    /// In words.
    pub what: String,
    /// Where in the shot, if it is somewhere: left, top, width, height.
    pub place_px: Option<[f64; 4]>,
}

/// What is doubtful of a cut-out. Nothing where its coverage came with it, or strokes alone say what it is.
///
/// # Errors
/// Where there is none of this name, its shot cannot be read, or the memory does not suffice.
pub fn doubts(
    scene: &Scene,
    folder: &Folder,
    text: &str,
    (threads, budget): (NonZeroUsize, &Budget),
) -> Result<Vec<DoubtReport>, Error> {
    let cutout = &scene.cutouts()[&cutouts::named(scene, text)?];
    let told: Vec<Told> = cutout.strokes.iter().filter_map(Told::of).collect();
    let is_by_strokes = cutout.strokes.iter().any(|s| s.says == Says::Inside);
    let is_made =
        cutout.matte.and_then(|m| scene.sources().get(&m)).is_some_and(|m| m.kind == SourceKind::Cutting);
    if !is_made || is_by_strokes {
        return Ok(Vec::new());
    }
    let read = parts(scene, folder).read(cutout.shot, budget)?;
    let picture = making::mended(&read, making::SEEN_IN, &Handwork::by_strokes(&told), budget)?;
    drop(read);
    let found = cutting::on_threads(threads, || sheet::found(&picture, budget))?;
    // Where no paper is found any more, strokes have said all.
    let Ok(found) = found else { return Ok(Vec::new()) };
    let all = sure::doubtful(&found).into_iter().filter(|d| !is_settled(d, &cutout.strokes));
    Ok(all.map(|d| DoubtReport { what: d.what, place_px: d.place.map(sides) }).collect())
}

/// Whether a stroke of the cutting passes there: what it says is what counts.
fn is_settled(doubt: &Doubtful, strokes: &[Stroke]) -> bool {
    let Some(place) = doubt.place else { return false };
    strokes.iter().filter(|s| s.says.is_for_cutting()).any(|stroke| {
        // Line by line from point to point; of an area, all that it spans.
        let each = if stroke.form == StrokeForm::Area { stroke.dots.len() } else { 2 };
        let each = each.clamp(1, stroke.dots.len().max(1));
        stroke.dots.windows(each).any(|dots| spans(dots, place))
    })
}

/// Whether the rectangle around points, as wide as the pen was there, meets a place.
fn spans(dots: &[(Pixels, Pixels, Pixels)], place: PxRect) -> bool {
    let end = |of: &dyn Fn(&(Pixels, Pixels, Pixels)) -> f64, pick: fn(f64, f64) -> f64| {
        dots.iter().map(of).reduce(pick).unwrap_or(f64::NAN)
    };
    end(&|d| (d.0 - d.2).get(), f64::min) <= place.x1() as f64
        && end(&|d| (d.0 + d.2).get(), f64::max) >= place.x0() as f64
        && end(&|d| (d.1 - d.2).get(), f64::min) <= place.y1() as f64
        && end(&|d| (d.1 + d.2).get(), f64::max) >= place.y0() as f64
}

fn sides(place: PxRect) -> [f64; 4] {
    [place.x0() as f64, place.y0() as f64, place.width() as f64, place.height() as f64]
}
