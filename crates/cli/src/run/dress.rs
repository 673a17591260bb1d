//! `setpiece dress`.

use super::edits::{edit, looked_at, notices, one};
use super::read::switch;
use crate::answer::{Answer, Trouble};
use crate::bench::Bench;
use crate::shown;
use crate::typed::dress::{Dress, Said, What};
use crate::words::{InPicture, Most, OnGround};
use serde_json::json;
use setpiece::commands::dressings::{self, ClearSaid, DressingSaid, GroundSaid};
use setpiece::commands::units::{Degrees, Metres};
use setpiece::commands::{Kind, Layer, carry_out, names, seen};

pub(crate) fn dress(typed: Dress, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let (folder, layer) = (&typed.at.folder, &typed.layer);
    let budget = bench.budget().clone();
    match typed.what {
        What::Lay { name, said } => {
            let said = said_of(*said)?;
            edit(bench, folder, |picture, at| {
                let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
                Ok(vec![dressings::lay(picture, layer, (&name, &said), (&budget, at))?.1])
            })
        }
        What::Change { dressing, name, said } => {
            let said = DressingSaid { name, ..said_of(*said)? };
            edit(bench, folder, |picture, at| {
                let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
                let id = names::dressing(&seen(picture.scene(), layer), &dressing)?;
                Ok(vec![dressings::change(picture, layer, (id, &said), (&budget, at))?])
            })
        }
        What::Again { dressing } => {
            let said = DressingSaid { again: true, ..DressingSaid::default() };
            edit(bench, folder, |picture, at| {
                let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
                let id = names::dressing(&seen(picture.scene(), layer), &dressing)?;
                Ok(vec![dressings::change(picture, layer, (id, &said), (&budget, at))?])
            })
        }
        What::Like { name, pieces, said } => {
            let said = said_of(*said)?;
            edit(bench, folder, |picture, at| {
                let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
                let ids = names::pieces(&seen(picture.scene(), layer), &pieces)?;
                Ok(vec![dressings::like(picture, layer, (&name, &ids, &said), (&budget, at))?.1])
            })
        }
        What::Release { piece } => {
            one(bench, folder, layer, |s| dressings::release(s, &names::pieces(s, &piece)?))
        }
        What::End { dressing } => {
            one(bench, folder, layer, |s| names::dressing(s, &dressing).map(dressings::end))
        }
        What::Strike { dressing } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let done =
                carry_out(picture, layer, at, |s| dressings::strike(s, names::dressing(s, &dressing)?));
            Ok(vec![done?])
        }),
        What::List => {
            let (look, seen) = looked_at(folder, layer)?;
            let list = dressings::list(&seen);
            let mut answer = Answer::new(shown::dressings(&list), &json!({ "dressings": list }));
            answer.asides = notices(look.notices());
            Ok(answer)
        }
    }
}

fn said_of(said: Said) -> Result<DressingSaid, Trouble> {
    let Said { of, ground, arrangement, manner, clear } = said;
    let level = ground.level.clone();
    let ground = ground_of(ground)?;
    let thinning: Vec<_> = arrangement.thin_far.into_iter().chain(arrangement.thin_edge).collect();
    let thinning = (arrangement.thin_nowhere || !thinning.is_empty()).then_some(thinning);
    let pieces = clear.pieces.into_iter().map(|c| ClearSaid::Piece(c.piece, c.from, c.to));
    let regions = clear.regions.into_iter().map(|InPicture(corners)| ClearSaid::Region(corners));
    let lamps = clear.lamps.into_iter().map(ClearSaid::Lamp);
    let sights = clear.sights.into_iter().map(|s| ClearSaid::Sight(s.from, s.to, s.width));
    let feet = clear.feet.map(ClearSaid::Feet);
    Ok(DressingSaid {
        name: None,
        of,
        ground,
        level,
        arrangement: arrangement.drift.or(arrangement.clumps).or(arrangement.ranks),
        number: arrangement.pieces.map(|Most(n)| n),
        thinning,
        heights: manner.heights,
        leans: manner.leans,
        turns: manner.turns,
        lifts: manner.lifts,
        mirror: switch(manner.mirror, manner.no_mirror),
        stance: manner.stance.map(Into::into),
        facing: manner.facing,
        clear: pieces.chain(regions).chain(lamps).chain(sights).chain(feet).collect(),
        clear_nothing_else: clear.nothing_else,
        again: false,
    })
}

/// One ground, of those that can be said.
fn ground_of(said: crate::typed::dress::Ground) -> Result<Option<GroundSaid>, Trouble> {
    let wrong = |what: &str, remedy: &str| Trouble::new(Kind::Wording, what, "the ground", remedy);
    let many = usize::from(said.outline.is_some())
        + usize::from(said.seen.is_some())
        + usize::from(said.band.is_some())
        + usize::from(said.seen_band.is_some())
        + usize::from(said.around.is_some());
    if many > 1 {
        return Err(wrong(
            "it is said in several ways",
            "give one of --outline, --seen, --band, --seen-band, --around",
        ));
    }
    let across = |said: Option<Metres>| {
        said.ok_or_else(|| wrong("it does not say how wide", "give --width, as --width 2m"))
    };
    Ok(if let Some(OnGround(corners)) = said.outline {
        Some(GroundSaid::Outline(corners))
    } else if let Some(InPicture(corners)) = said.seen {
        Some(GroundSaid::Seen(corners))
    } else if let Some(OnGround(along)) = said.band {
        Some(GroundSaid::Band(along, across(said.width)?))
    } else if let Some(InPicture(along)) = said.seen_band {
        Some(GroundSaid::SeenBand(along, across(said.width)?))
    } else if let Some(piece) = said.around {
        let width = across(said.width)?;
        let depth = said.depth.unwrap_or(width * (1.0 / 3.0));
        Some(GroundSaid::Around(piece, width, depth, said.opening.unwrap_or(Degrees::of(80.0))))
    } else if said.width.is_some() {
        return Err(wrong(
            "it says how wide, but not of what",
            "give --band, --seen-band or --around with it",
        ));
    } else {
        None
    })
}
