//! What work on a cut-out's edge does to its size: a typed height goes from its foot to its top, so that all of it grows or shrinks where
//! its foot or its top was worked on. That is told, with the figure.

use super::measure::measure;
use super::{Done, Error, Layer, carry_out, cutouts, seen};
use crate::{Picture, Timestamp};
use pixels::Budget;
use scene::{Edit, Scene, Stance, figure};
use staging::in_shot::{self, SeenInShot};

/// Change of scale that is told (own choice, no source).
const TOLD: f64 = 0.005;

/// Carries out an edit of a cut-out's edge as [`carry_out`] does, and tells what became of its size.
///
/// # Errors
/// As [`carry_out`].
pub fn carry_out_on_edge(
    picture: &mut Picture,
    (layer, cut_out): (Layer, &str),
    (budget, at): (&Budget, Timestamp),
    make: impl FnOnce(&Scene) -> Result<Edit, Error>,
) -> Result<Done, Error> {
    let before = size(picture, layer, cut_out, budget);
    let mut done = carry_out(picture, layer, at, make)?;
    if done.number.is_some() {
        let after = size(picture, layer, cut_out, budget);
        done.notes.extend(match (before, after) {
            (Size::Seen(before), Size::Seen(after)) => told(&before, &after),
            (Size::Seen(_), Size::Nothing) => {
                Some("nothing of the cut-out is left: take that back with undo".to_owned())
            }
            _ => None,
        });
    }
    Ok(done)
}

/// A cut-out as its shot shows it.
enum Size {
    Seen(SeenInShot),
    /// It covers nothing.
    Nothing,
    /// There is none, or it cannot be measured.
    Unknown,
}

fn size(picture: &Picture, layer: Layer, cut_out: &str, budget: &Budget) -> Size {
    let scene = seen(picture.scene(), layer);
    let Ok(id) = cutouts::named(&scene, cut_out) else { return Size::Unknown };
    let measures = measure(&scene, picture.folder(), budget);
    match measures.measured.cuts.get(&id) {
        Some(cut) if cut.covered.is_empty() => Size::Nothing,
        Some(cut) => in_shot::seen(&scene, &scene.cutouts()[&id], cut, Stance::Upright)
            .map_or(Size::Unknown, Size::Seen),
        None => Size::Unknown,
    }
}

fn told(before: &SeenInShot, after: &SeenInShot) -> Option<String> {
    let times = before.per_metre / after.per_metre;
    let rows = |s: &SeenInShot| (s.per_metre * s.height.get()).round();
    ((times - 1.0).abs() > TOLD).then(|| {
        format!(
            "from foot to top it is {} px in its shot now and was {}, for {} m: all of it becomes {} % {}; as large as before it is with {} px to a metre (place facts --per-metre)",
            rows(after),
            rows(before),
            figure(after.height.get()),
            figure(((times - 1.0).abs() * 1000.0).round() / 10.0),
            if times > 1.0 { "larger" } else { "smaller" },
            figure((before.per_metre * 10.0).round() / 10.0),
        )
    })
}
