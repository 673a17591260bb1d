//! `setpiece place`.

use super::edits::{edit, finish, looked_at, notices, one};
use super::read::switch;
use crate::answer::{Answer, Trouble};
use crate::bench::{Bench, Held};
use crate::typed::Layer as TypedLayer;
use crate::typed::place::{Add, CutOutFacts, Manner, Mark, Place, SetUp, View, What};
use crate::{exit, shown};
use serde_json::json;
use setpiece::Picture;
use setpiece::commands::cutouts::{self, FactsSaid, NewCutOut, SetUpSaid};
use setpiece::commands::incoming::{self, Uncut};
use setpiece::commands::line_up::{self, Card};
use setpiece::commands::marks::MarkSaid;
use setpiece::commands::measure::{self, Measured};
use setpiece::commands::pieces::{self, NewPiece, Shows};
use setpiece::commands::pixels::Budget;
use setpiece::commands::rows::{self, Return};
use setpiece::commands::scene::{CutOutKind, Edit, PieceChange, PieceId, Scale, Scene, WhiteReading};
use setpiece::commands::views;
use setpiece::commands::white::{self, White};
use setpiece::commands::{Done, Error, Kind, Layer, carry_out, names, seen};
use std::path::Path;

pub(crate) fn place(typed: Place, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let (folder, layer) = (&typed.at.folder, &typed.layer);
    let several = |bench: &mut Bench<'_>, text: &str, change: PieceChange| {
        one(bench, folder, layer, |s| Ok(each(&names::pieces(s, text)?, &change)))
    };
    match typed.what {
        What::Add(said) => add(bench, folder, layer, *said),
        What::View(said) => view(bench, folder, layer, *said),
        What::Move { piece, mark, by } => with_card(bench, folder, layer, &piece, |s, ids| {
            pieces::moved_together(s, ids, &MarkSaid { by, ..mark_of(mark) })
        }),
        What::Nudge { piece, said } => {
            with_card(bench, folder, layer, &piece, |s, ids| rows::nudge(s, ids, &said))
        }
        What::Pin { piece, rows: pins } => pin(bench, folder, layer, &piece, &pins),
        What::Release { piece, rows: of } => {
            with_card(bench, folder, layer, &piece, |s, ids| rows::based(s, ids, &of, Return::Mark))
        }
        What::AsPhotographed { piece, rows: of } => {
            with_card(bench, folder, layer, &piece, |s, ids| rows::based(s, ids, &of, Return::Shot))
        }
        What::Stand { piece, manner } => {
            let said = manner_of(manner);
            with_card(bench, folder, layer, &piece, |s, ids| pieces::manner(s, ids, &said))
        }
        What::Attach { piece, to } => one(bench, folder, layer, |s| {
            pieces::attach(s, names::piece(s, &piece)?, Some(names::piece(s, &to)?))
        }),
        What::Detach { piece } => {
            one(bench, folder, layer, |s| pieces::attach(s, names::piece(s, &piece)?, None))
        }
        What::Hide { piece } => several(bench, &piece, PieceChange::Hidden(true)),
        What::Show { piece } => several(bench, &piece, PieceChange::Hidden(false)),
        What::Rename { piece, name } => one(bench, folder, layer, |s| {
            Ok(Edit::Change { piece: names::piece(s, &piece)?, change: PieceChange::Name(name) })
        }),
        What::Subject { piece } => one(bench, folder, layer, |s| match piece.as_str() {
            "none" => Ok(Edit::Subject(None)),
            name => Ok(Edit::Subject(Some(names::piece(s, name)?))),
        }),
        What::Swap { piece, cut_out } => one(bench, folder, layer, |s| {
            let cutout = cutouts::named(s, &cut_out)?;
            Ok(each(&names::pieces(s, &piece)?, &PieceChange::CutOut(cutout)))
        }),
        What::Recast { piece, view } => {
            let (budget, now) = (bench.budget().clone(), bench.now());
            let mut picture = bench.picture(folder)?;
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let id = names::piece(&seen(picture.scene(), layer), &piece)?;
            let new = coming(&mut picture, *view, &budget)?;
            let done = pieces::recast(&mut picture, layer, (id, new), now)?;
            told(&mut picture, &budget, layer, done, &[id])
        }
        What::InFront { piece, what, lift_off: true, .. } => {
            one(bench, folder, layer, |s| pieces::lift_off(s, names::piece(s, &piece)?, what.as_deref()))
        }
        What::InFront { piece, what, region, softness, .. } => one(bench, folder, layer, |s| {
            let size = s.format().size;
            let (w, h) = (f64::from(size.width()), f64::from(size.height()));
            let corners = region.iter().map(|(u, v)| [u.get() / w, v.get() / h]).collect();
            pieces::in_front(
                s,
                names::piece(s, &piece)?,
                what.as_deref().unwrap_or("backdrop"),
                corners,
                softness,
            )
        }),
        What::Remove { piece } => one(bench, folder, layer, |s| pieces::remove(&names::pieces(s, &piece)?)),
        What::SetUp(said) => {
            let of_paper = said.paper.clone().map(White::Paper);
            let white = of_paper.or(said.grey_card.clone().map(|(cut_out, at)| White::GreyCard(cut_out, at)));
            let (mut measured, mut read) = (Measured::default(), None);
            if said.known.is_some() || white.is_some() {
                let (look, seen) = looked_at(folder, layer)?;
                measured = measure::measure(&seen, look.folder(), bench.budget()).measured;
                let from = |w| white::read(&seen, look.folder(), w, &measured, bench.budget());
                read = white.as_ref().map(from).transpose()?;
            }
            one(bench, folder, layer, |s| set_up(s, said, read, &measured))
        }
        What::Facts { cut_out, name, like, facts } => {
            known(bench, folder, layer, &cut_out, (name, like), *facts)
        }
        What::CutOuts => {
            let (look, seen) = looked_at(folder, layer)?;
            let measured = measure::measure(&seen, look.folder(), bench.budget()).measured;
            let list = cutouts::list(&seen, &measured);
            Ok(Answer::new(shown::cutouts(&list), &json!({ "cutouts": list })))
        }
        What::Views => {
            let (look, seen) = looked_at(folder, layer)?;
            let measures = measure::measure(&seen, look.folder(), bench.budget());
            let resolved = setpiece::commands::staging::resolve(&seen, &measures.measured);
            let list = views::wanted(&seen, &measures, &resolved);
            Ok(Answer::new(shown::views(&list), &json!({ "views": list })))
        }
        What::List { piece } => list(bench, folder, layer, piece.as_deref()),
    }
}

fn each(ids: &[PieceId], change: &PieceChange) -> Edit {
    let mut edits: Vec<Edit> =
        ids.iter().map(|id| Edit::Change { piece: *id, change: change.clone() }).collect();
    if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) }
}

/// One edit about pieces, and the card of what became of them.
fn with_card(
    bench: &mut Bench<'_>,
    folder: &Path,
    layer: &TypedLayer,
    piece: &str,
    make: impl FnOnce(&Scene, &[PieceId]) -> Result<Edit, Error>,
) -> Result<Answer, Trouble> {
    let (budget, now) = (bench.budget().clone(), bench.now());
    let mut picture = bench.picture(folder)?;
    let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
    let ids = names::pieces(&seen(picture.scene(), layer), piece)?;
    let done = carry_out(&mut picture, layer, now, |s| make(s, &ids))?;
    told(&mut picture, &budget, layer, done, &ids)
}

/// What was done, with the cards of the pieces it was done to.
fn told(
    picture: &mut Held<'_>,
    budget: &Budget,
    layer: Layer,
    done: Done,
    ids: &[PieceId],
) -> Result<Answer, Trouble> {
    let scene = seen(picture.scene(), layer);
    let cards = line_up::cards(&scene, picture.folder(), ids, budget).pieces;
    let mut answer = finish(picture, vec![done.clone()])?;
    answer.text += &shown::line_up(&cards);
    answer.json = json!({ "done": [done], "pieces": cards });
    Ok(answer)
}

fn add(bench: &mut Bench<'_>, folder: &Path, layer: &TypedLayer, said: Add) -> Result<Answer, Trouble> {
    let (budget, now) = (bench.budget().clone(), bench.now());
    let mut picture = bench.picture(folder)?;
    let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
    let shows = match (said.cut_out, said.shot) {
        (Some(name), _) if facts_of(said.facts.clone()) != FactsSaid::default() => {
            return Err(Trouble::new(
                Kind::Wording,
                "facts of a cut-out that is in the picture already are not stated with a new piece: others may show it too",
                format!("--cut-out {name}"),
                format!(
                    "leave them out, and state them with: setpiece place {} facts {name}",
                    folder.display()
                ),
            ));
        }
        (Some(name), _) => Shows::CutOut(name),
        (None, Some(shot)) => Shows::Files {
            shot,
            matte: said.shows.matte,
            kind: kind(said.shows.additive),
            uncut: uncut(said.shows.or_whole),
            prop: said.shows.prop,
            facts: Box::new(facts_of(said.facts)),
        },
        (None, None) => match said.stand_in.zip(said.facts.height) {
            Some((which, height)) => Shows::StandIn(which.into(), height),
            None => unreachable!("the table requires one of them"),
        },
    };
    let manner = pieces::Manner { attached_to: said.attached_to, ..manner_of(said.manner) };
    let new = NewPiece { name: said.name, shows, mark: mark_of(said.mark), manner };
    let (id, done) = pieces::add(&mut picture, layer, &new, (&budget, now))?;
    told(&mut picture, &budget, layer, done, &[id])
}

fn view(bench: &mut Bench<'_>, folder: &Path, layer: &TypedLayer, said: View) -> Result<Answer, Trouble> {
    let (budget, now) = (bench.budget().clone(), bench.now());
    let mut picture = bench.picture(folder)?;
    let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
    let new = coming(&mut picture, said, &budget)?;
    let mut tried = seen(picture.scene(), layer);
    let edit = cutouts::view(&tried, &new)?;
    tried.apply(edit.clone()).map_err(Error::from)?;
    let files: Vec<_> = std::iter::once(&new.cut.shot).chain(&new.cut.matte).collect();
    incoming::copy(&picture, &files)?;
    let mut done = carry_out(&mut picture, layer, now, |_| Ok(edit))?;
    done.notes = new.cut.notes().collect();
    finish(&mut picture, vec![done])
}

/// A shot as it is to come in.
fn coming(picture: &mut Picture, said: View, budget: &Budget) -> Result<NewCutOut, Error> {
    let cut = incoming::cut(
        picture,
        (&said.shot, said.shows.matte.as_deref()),
        (kind(said.shows.additive), uncut(said.shows.or_whole)),
        budget,
    )?;
    Ok(NewCutOut { name: said.name, prop: said.shows.prop, cut, facts: facts_of(said.facts) })
}

fn pin(
    bench: &mut Bench<'_>,
    folder: &Path,
    layer: &TypedLayer,
    piece: &str,
    pins: &[rows::Pin],
) -> Result<Answer, Trouble> {
    let (budget, now) = (bench.budget().clone(), bench.now());
    let mut picture = bench.picture(folder)?;
    let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
    let scene = seen(picture.scene(), layer);
    let id = names::piece(&scene, piece)?;
    let card = line_up::card_of(&scene, picture.folder(), id, &budget);
    let done = carry_out(&mut picture, layer, now, |s| match &card {
        Some(card) => rows::pin(s, id, pins, card),
        None => unreachable!("the piece was found by its name"),
    })?;
    told(&mut picture, &budget, layer, done, &[id])
}

fn known(
    bench: &mut Bench<'_>,
    folder: &Path,
    layer: &TypedLayer,
    cut_out: &str,
    (name, like): (Option<String>, Option<String>),
    facts: CutOutFacts,
) -> Result<Answer, Trouble> {
    let said = facts_of(facts);
    if name.is_none() && like.is_none() && said == FactsSaid::default() {
        let (look, seen) = looked_at(folder, layer)?;
        let measured = measure::measure(&seen, look.folder(), bench.budget()).measured;
        let report = cutouts::report(&seen, cutouts::named(&seen, cut_out)?, &measured)?;
        let mut answer = Answer::new(shown::facts(&report), &report);
        answer.asides = notices(look.notices());
        return Ok(answer);
    }
    edit(bench, folder, |picture, at| {
        let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
        let done = carry_out(picture, layer, at, |s| match name {
            Some(name) => cutouts::rename(s, cutouts::named(s, cut_out)?, name, &said),
            None => cutouts::facts(s, &names::cutouts(s, cut_out)?, like.as_deref(), &said),
        })?;
        Ok(vec![done])
    })
}

fn set_up(
    scene: &Scene,
    said: SetUp,
    read: Option<Vec<WhiteReading>>,
    measured: &Measured,
) -> Result<Edit, Error> {
    let white = (!said.white.is_empty()).then_some(said.white).or(read);
    let meant = SetUpSaid {
        cct: said.cct,
        tint: said.tint,
        white_balance: said.white_balance,
        camera_distance: said.camera_distance,
        white_readings: white,
        known: said.known,
        pitch: said.shot_pitch,
        focal_px: said.focal_px,
        principal: said.principal,
    };
    cutouts::set_up(scene, &said.name, &meant, measured)
}

fn list(
    bench: &Bench<'_>,
    folder: &Path,
    layer: &TypedLayer,
    piece: Option<&str>,
) -> Result<Answer, Trouble> {
    let (look, seen) = looked_at(folder, layer)?;
    let mut line_up = line_up::line_up(&seen, look.folder(), bench.budget());
    if let Some(text) = piece {
        let ids = names::pieces(&seen, text)?;
        line_up.pieces.retain(|c: &Card| ids.iter().any(|id| id.number() == c.piece));
    }
    let mut answer = Answer::new(shown::line_up(&line_up.pieces), &line_up);
    answer.asides = notices(look.notices());
    if line_up.pieces.iter().any(|c| !c.snags.is_empty()) {
        answer.exit = exit::SNAGS;
    }
    Ok(answer)
}

const fn uncut(or_whole: bool) -> Uncut {
    if or_whole { Uncut::Whole } else { Uncut::Refused }
}

const fn kind(additive: bool) -> CutOutKind {
    if additive { CutOutKind::Additive } else { CutOutKind::Solid }
}

fn mark_of(mark: Mark) -> MarkSaid {
    MarkSaid { at: mark.at, lift: mark.lift, level: mark.level, by: None }
}

fn manner_of(manner: Manner) -> pieces::Manner {
    pieces::Manner {
        stance: manner.stance.map(Into::into),
        lean: manner.lean,
        turn: manner.turn,
        mirrored: switch(manner.mirror, manner.no_mirror),
        facing: manner.facing,
        attached_to: None,
    }
}

fn facts_of(f: CutOutFacts) -> FactsSaid {
    FactsSaid {
        foot: f.foot,
        scale: f.per_metre.map(Scale::PerMetre).or(f.height.map(Scale::Height)),
        principal: f.principal,
        focal_px: f.focal_px,
        camera_distance: f.camera_distance,
        pitch: f.shot_pitch,
        eye_height: f.eye_height,
        bearing: f.bearing,
        set_up: f.set_up,
        defocus: f.shot_defocus,
        noise: f.noise,
        may_mirror: f.never_mirror.then_some(false),
    }
}
