//! Dodging cards: where a treatment works, painted over the picture.

use super::super::measure::measure;
use super::super::strokes::Strokes;
use super::super::{Done, Error, Kind as Trouble, Layer, carry_out, names, seen};
use super::gone;
use crate::{Picture, Timestamp};
use pixels::Budget;
use scene::{
    Clause, Edit, PieceId, Says, Scene, Stroke, StrokeForm, Treatment, TreatmentChange, TreatmentId,
};
use std::path::Path;
use units::{Mat3, Pixels};

/// What is painted.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// On the card of which treatment.
    pub treatment: &'a str,
    /// A strokes file, drawn over the picture: add paints, remove rubs off.
    pub file: &'a Path,
    /// The piece that the card is fixed to, and goes with; the picture where there is none.
    pub on: Option<&'a str>,
}

/// Paints on a treatment's dodging card. From the first stroke on it works there alone.
///
/// # Errors
/// Where there is no such treatment or piece, the file cannot be read, its strokes say something else, or the card is fixed to something
/// else already.
pub fn paint(
    picture: &mut Picture,
    layer: Layer,
    wanted: Wanted<'_>,
    (budget, at): (&Budget, Timestamp),
) -> Result<Done, Error> {
    let scene = seen(picture.scene(), layer);
    let id = names::treatment(&scene, wanted.treatment)?;
    let of = wanted.on.map(|on| names::piece(&scene, on)).transpose()?;
    let place = wanted.file.display().to_string();
    let told = Strokes::read(wanted.file)?.over(scene.format().size)?;
    let painted: Vec<Stroke> = told.iter().map(super::super::strokes::Told::kept).collect();
    if painted.is_empty() {
        return Err(Error::new(Trouble::Files, "there is no stroke in it", place, "draw some"));
    }
    let fits = |s: &Stroke| matches!(s.says, Says::Add | Says::Remove) && s.form == StrokeForm::Line;
    if let Some(i) = painted.iter().position(|s| !fits(s)) {
        return Err(Error::new(
            Trouble::Files,
            "on a dodging card lines are painted, or rubbed off",
            format!("{place}, stroke {}", i + 1),
            "say add or remove, and draw lines",
        ));
    }
    let to_card = match of {
        None => Mat3::IDENTITY,
        Some(piece) => {
            let measures = measure(&scene, picture.folder(), budget);
            let layout = staging::resolve(&scene, &measures.measured).layout;
            let drawn = layout.pieces.iter().find(|d| d.piece == piece).map(|d| d.to_shot);
            drawn.ok_or_else(|| {
                let remedy = "bring it into the picture first, or fix the card to the picture";
                Error::refused("it is not seen in the picture", scene.called(piece), remedy)
            })?
        }
    };
    let painted: Vec<Stroke> = painted.iter().filter_map(|s| carried(s, &to_card)).collect();
    let edit = with(&scene, id, of, painted)?;
    carry_out(picture, layer, at, |_| Ok(edit))
}

/// A stroke over the picture, in the pixels of a card; none where it lies beyond all that can be seen of it.
fn carried(stroke: &Stroke, to_card: &Mat3) -> Option<Stroke> {
    if *to_card == Mat3::IDENTITY {
        return Some(stroke.clone());
    }
    let dot = |(x, y, r): &(Pixels, Pixels, Pixels)| {
        let (x, y) = (x.get(), y.get());
        let (u, v) = to_card.project(x, y)?;
        let ((au, av), (bu, bv)) = (to_card.project(x + 1.0, y)?, to_card.project(x, y + 1.0)?);
        // By the area that a pixel has there.
        let area = ((au - u) * (bv - v) - (av - v) * (bu - u)).abs();
        Some((Pixels::new(u)?, Pixels::new(v)?, Pixels::new(r.get() * area.sqrt())?))
    };
    let dots: Vec<_> = stroke.dots.iter().filter_map(dot).collect();
    (!dots.is_empty()).then(|| Stroke { dots, ..stroke.clone() })
}

fn with(scene: &Scene, id: TreatmentId, of: Option<PieceId>, strokes: Vec<Stroke>) -> Result<Edit, Error> {
    let mut treatment = scene.treatment(id).ok_or_else(|| gone(&id.to_string()))?.clone();
    let card = treatment.where_.0.iter_mut().find_map(|clause| match clause {
        Clause::Card { of, strokes } => Some((*of, strokes)),
        _ => None,
    });
    match card {
        Some((fixed, under)) if fixed == of => under.extend(strokes),
        Some((fixed, _)) => {
            let to = fixed.map_or_else(|| "the picture".to_owned(), |piece| scene.called(piece));
            return Err(Error::refused(
                format!("its dodging card is fixed to {to}"),
                treatment.kind.name(),
                "paint on that, take it away first (--clear), or add another treatment",
            ));
        }
        None => treatment.where_.0.push(Clause::Card { of, strokes }),
    }
    Ok(replaced(treatment))
}

/// The edit that takes a treatment's dodging card away: it works everywhere else again as well.
///
/// # Errors
/// Where there is no such treatment, or it has none.
pub fn clear(scene: &Scene, id: TreatmentId) -> Result<Edit, Error> {
    let mut treatment = scene.treatment(id).ok_or_else(|| gone(&id.to_string()))?.clone();
    let before = treatment.where_.0.len();
    treatment.where_.0.retain(|clause| !matches!(clause, Clause::Card { .. }));
    if treatment.where_.0.len() == before {
        let remedy = "see its where with: setpiece tone FOLDER list";
        return Err(Error::refused("it has no dodging card", treatment.kind.name(), remedy));
    }
    Ok(replaced(treatment))
}

fn replaced(treatment: Treatment) -> Edit {
    Edit::Treatment { id: treatment.id, change: TreatmentChange::Replace(Box::new(treatment)) }
}
