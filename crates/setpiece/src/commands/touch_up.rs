//! What is done by hand on a cut-out: strokes over its shot, and how its edge is finished.

use super::incoming::{self, Incoming};
use super::measure::parts;
use super::strokes::{Strokes, Told};
use super::{Done, Error, Kind, Layer, carry_out_on_edge, cutouts, joining, making};
use crate::{Picture, Timestamp};
use cutting::matting::Effort;
use pixels::Budget;
use scene::{
    CutOut, CutOutId, CutOutKind, Edit, Finish, Joining, Put, Says, Scene, SourceKind, Stroke, StrokeForm,
};
use serde::Serialize;
use std::path::Path;
use ts_rs::TS;
use units::Pixels;

/// What is said of a cut-out's edge. What is `None` stays as it is.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct EdgeSaid {
    /// How far the edge is moved outwards, in the shot's pixels.
    pub margin: Option<Pixels>,
    /// Coverage that becomes clear.
    pub clear_at: Option<f64>,
    /// Coverage that becomes solid.
    pub solid_at: Option<f64>,
    /// Largest hole that is closed, in pixels.
    pub holes: Option<f64>,
    /// How much of the paper's cast is taken off.
    pub cast: Option<f64>,
    /// How much an over-bright rim is calmed.
    pub calm: Option<f64>,
    /// The rim's width.
    pub rim: Option<Pixels>,
}

/// The edit that finishes a cut-out's edge.
///
/// # Errors
/// Where there is no such cut-out, or a number is out of range.
pub fn edge(scene: &Scene, text: &str, said: &EdgeSaid) -> Result<Edit, Error> {
    let cutout = cutouts::named(scene, text)?;
    let was = scene.cutouts()[&cutout].finish;
    let (clear, solid) = was.levels.unwrap_or((0.0, 1.0));
    let levels = (said.clear_at.unwrap_or(clear), said.solid_at.unwrap_or(solid));
    let finish = Finish {
        margin: said.margin.unwrap_or(was.margin),
        levels: (levels != (0.0, 1.0)).then_some(levels),
        holes: said.holes.unwrap_or(was.holes),
        cast: said.cast.unwrap_or(was.cast),
        calm: said.calm.unwrap_or(was.calm),
        rim: said.rim.or(was.rim),
    };
    Ok(Edit::Finish { cutout, finish })
}

/// When strokes that say what is sure are cut by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum When {
    /// At once.
    Now(Effort),
    /// With [`again`]: until then they are kept, and the matte stays.
    Later,
}

/// Draws the strokes of a file over a cut-out's shot. Where they say what is sure, the shot is cut anew by all strokes of that kind.
///
/// # Errors
/// Where there is no such cut-out, the file or the shot cannot be read, or the strokes do not suffice to cut it by.
pub fn strokes(
    picture: &mut Picture,
    layer: Layer,
    (text, file): (&str, &Path),
    work: (When, &Budget, Timestamp),
) -> Result<Done, Error> {
    let seen = super::seen(picture.scene(), layer);
    let cutout = cutouts::named(&seen, text)?;
    let shot = parts(&seen, picture.folder()).size(seen.cutouts()[&cutout].shot)?;
    let told = Strokes::read(file)?.over(shot)?;
    if let Some(beside) = told.iter().position(|t| t.stroke.bounds().intersect(shot.rect()).is_empty()) {
        return Err(Error::new(
            Kind::Files,
            "the stroke lies beside the shot: it would do nothing",
            format!("{}, stroke {}", file.display(), beside + 1),
            format!("draw it within {} x {} pixels, or leave it out", shot.width(), shot.height()),
        ));
    }
    let new: Vec<Stroke> = told.iter().map(Told::kept).collect();
    if new.is_empty() {
        return Err(Error::new(
            Kind::Files,
            "there is no stroke in it",
            file.display().to_string(),
            "draw some",
        ));
    }
    let drawn = file.display().to_string();
    if new.iter().any(|s| s.says.is_for_joining()) {
        return Err(Error::new(
            Kind::Files,
            "a stroke says take or stay, which is for parts of another shot",
            drawn,
            "join by it: setpiece touch-up FOLDER join CUT-OUT --from SHOT --strokes FILE; or take it out of the file",
        ));
    }
    let is_cut_by = new.iter().any(|s| s.says.is_for_cutting());
    if let (true, When::Now(effort)) = (is_cut_by, work.0) {
        return cut_anew(picture, layer, (text, cutout, new), &drawn, (effort, work.1, work.2));
    }
    let first = seen.cutouts()[&cutout].strokes.len();
    let edits =
        (first..).zip(new).map(|(at, stroke)| Edit::Stroke { cutout, at, put: Put::Add(Box::new(stroke)) });
    let edit = one_or_group(edits.collect());
    let mends = told.iter().any(|t| t.says == Says::Mend);
    let mut done = carry_out_on_edge(picture, (layer, text), (work.1, work.2), |_| Ok(edit))?;
    if is_cut_by && done.number.is_some() {
        done.notes.push(LATER.to_owned());
    }
    if mends && done.number.is_some() {
        done.notes.push(MENDED.to_owned());
    }
    Ok(done)
}

const MENDED: &str = "what was mended is still in the matte, which was made before: where it stood beside the thing, cut it anew: touch-up FOLDER again CUT-OUT";
const LATER: &str = "it is not cut by them yet: touch-up FOLDER again CUT-OUT";
const DROPPED: &str =
    "what the stroke said was cut by stays cut until it is cut anew: touch-up FOLDER again CUT-OUT";
const REPLACED: &str = "the matte that it was given is replaced by one cut out here; undo brings it back";

/// Cuts a cut-out's shot anew, by the strokes it has; without any, from its paper.
///
/// # Errors
/// As [`strokes`].
pub fn again(
    picture: &mut Picture,
    layer: Layer,
    text: &str,
    work: (Effort, &Budget, Timestamp),
) -> Result<Done, Error> {
    let cutout = cutouts::named(&super::seen(picture.scene(), layer), text)?;
    cut_anew(picture, layer, (text, cutout, Vec::new()), text, work)
}

fn cut_anew(
    picture: &mut Picture,
    layer: Layer,
    (text, id, new): (&str, CutOutId, Vec<Stroke>),
    drawn: &str,
    (effort, budget, at): (Effort, &Budget, Timestamp),
) -> Result<Done, Error> {
    let mut tried = super::seen(picture.scene(), layer);
    let was = &tried.cutouts()[&id];
    if was.kind == CutOutKind::Additive {
        return Err(Error::refused(
            "light alone is not cut out: it has no edge",
            was.name.clone(),
            "leave it, or add its shot again as a solid thing",
        ));
    }
    let mut strokes = was.strokes.clone();
    strokes.extend(new);
    let told: Vec<Told> = strokes.iter().filter_map(Told::of).collect();
    let was_matte = was.matte;
    let all = parts(&tried, picture.folder());
    let from = format!("{} {told:?} {effort:?} {:?}", was.shot, was.joining);
    let (made, own) = picture.once(&from, || {
        let alone = making::anew((all.read(was.shot, budget)?, &was.name), &told, drawn, (effort, budget))?;
        let own = alone.matte.clone();
        let made = match &was.joining {
            Some(_) => joining::again(&all, was, Some(&own), budget)?,
            None => alone,
        };
        Ok::<_, Error>((made, own))
    })?;
    let joining = was.joining.clone().map(|joining| Joining { matte: Some(own.digest), ..joining });
    let alone = joining.as_ref().map(|_| &own);
    let files: Vec<&Incoming> = std::iter::once(&made.matte).chain(&made.colour).chain(alone).collect();
    let mut edits = incoming::edits(&tried, &files);
    let mut cutout = CutOut {
        strokes,
        matte: Some(made.matte.digest),
        colour: made.colour.as_ref().map(|c| c.digest),
        joining,
        ..was.clone()
    };
    cutout.cut_by = cutout.cutting();
    edits.push(Edit::CutOut { id, put: Put::Replace(Box::new(cutout)) });
    let edit = one_or_group(edits);
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    incoming::copy(picture, &files)?;
    let given =
        was_matte.is_some_and(|m| tried.sources().get(&m).is_some_and(|s| s.kind == SourceKind::Matte));
    let mut done = carry_out_on_edge(picture, (layer, text), (budget, at), |_| Ok(edit))?;
    done.notes.splice(0..0, own.warnings.into_iter().chain(given.then(|| REPLACED.to_owned())));
    Ok(done)
}

fn one_or_group(mut edits: Vec<Edit>) -> Edit {
    if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) }
}

/// Takes a stroke away; they count from 1.
///
/// # Errors
/// Where there is no such cut-out or stroke, or the disk refuses.
pub fn drop_stroke(
    picture: &mut Picture,
    layer: Layer,
    (text, number): (&str, usize),
    (budget, at): (&Budget, Timestamp),
) -> Result<Done, Error> {
    let mut said = None;
    let mut done = carry_out_on_edge(picture, (layer, text), (budget, at), |scene| {
        let (edit, says) = without(scene, text, number)?;
        said = Some(says);
        Ok(edit)
    })?;
    if said.is_some_and(Says::is_for_cutting) {
        done.notes.push(DROPPED.to_owned());
    }
    Ok(done)
}

/// The edit that takes a stroke away, and what that said.
fn without(scene: &Scene, text: &str, number: usize) -> Result<(Edit, Says), Error> {
    let cutout = cutouts::named(scene, text)?;
    let strokes = &scene.cutouts()[&cutout].strokes;
    match number.checked_sub(1).filter(|at| *at < strokes.len()) {
        Some(at) => Ok((Edit::Stroke { cutout, at, put: Put::Remove }, strokes[at].says)),
        None => Err(Error::new(
            Kind::Wording,
            format!("there is no stroke {number}: it has {}", strokes.len()),
            text,
            "list them with: setpiece touch-up FOLDER list CUT-OUT",
        )),
    }
}

/// A stroke of a cut-out.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct StrokeReport {
    /// Its number, from 1.
    pub number: usize,
    /// What it says.
    pub says: &'static str,
    /// The radius it softens by.
    pub radius_px: Option<f64>,
    /// Whether it goes round an area.
    pub area: bool,
    /// How many points it has.
    pub points: usize,
    /// Left, top, right and bottom of its points.
    pub bounds_px: [f64; 4],
    /// Share of its radius over which it fades out.
    pub soft: f64,
    /// How much of it is done.
    pub strength: f64,
}

/// What was done by hand on a cut-out.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
#[ts(rename = "HandworkReport")]
pub struct Report {
    /// What it is called.
    pub cutout: String,
    /// Its strokes, in their order.
    pub strokes: Vec<StrokeReport>,
    /// Whether they say what its matte was not cut by yet.
    pub owes_cut: bool,
    /// The shots that it takes parts from.
    pub joined: Vec<String>,
    /// How far its edge is moved outwards.
    pub margin_px: f64,
    /// Coverage that becomes clear.
    pub clear_at: f64,
    /// Coverage that becomes solid.
    pub solid_at: f64,
    /// Largest hole that is closed.
    pub holes_px: f64,
    /// How much of the paper's cast is taken off.
    pub cast: f64,
    /// How much an over-bright rim is calmed.
    pub calm: f64,
    /// The rim's width.
    pub rim_px: f64,
}

/// What was done by hand on a cut-out.
///
/// # Errors
/// Where there is no such cut-out.
pub fn report(scene: &Scene, text: &str) -> Result<Report, Error> {
    let cutout = &scene.cutouts()[&cutouts::named(scene, text)?];
    let f = cutout.finish;
    let (clear_at, solid_at) = f.levels.unwrap_or((0.0, 1.0));
    Ok(Report {
        cutout: cutout.name.clone(),
        owes_cut: cutout.owes_cut(),
        joined: cutout
            .joining
            .iter()
            .flat_map(|j| &j.taken)
            .map(|t| scene.sources().get(&t.shot).map_or_else(String::new, |s| s.name.clone()))
            .collect(),
        strokes: cutout.strokes.iter().enumerate().map(|(i, s)| stroke(i + 1, s)).collect(),
        margin_px: f.margin.get(),
        clear_at,
        solid_at,
        holes_px: f.holes,
        cast: f.cast,
        calm: f.calm,
        rim_px: f.rim.unwrap_or(Finish::RIM).get(),
    })
}

fn stroke(number: usize, s: &Stroke) -> StrokeReport {
    let all = |of: fn(&(Pixels, Pixels, Pixels)) -> Pixels, pick: fn(f64, f64) -> f64| {
        s.dots.iter().map(|d| of(d).get()).reduce(pick).unwrap_or(0.0)
    };
    StrokeReport {
        number,
        says: word(s.says),
        radius_px: match s.says {
            Says::Soften(radius) => Some(radius.get()),
            _ => None,
        },
        area: s.form == StrokeForm::Area,
        points: s.dots.len(),
        bounds_px: [
            all(|d| d.0, f64::min),
            all(|d| d.1, f64::min),
            all(|d| d.0, f64::max),
            all(|d| d.1, f64::max),
        ],
        soft: s.soft,
        strength: s.strength,
    }
}

/// What a stroke says, in a word.
#[must_use]
pub const fn word(says: Says) -> &'static str {
    match says {
        Says::Inside => "inside",
        Says::Outside => "outside",
        Says::Between => "between",
        Says::Add => "add",
        Says::Remove => "remove",
        Says::Soften(_) => "soften",
        Says::Follow => "follow",
        Says::Close => "close",
        Says::Mend => "mend",
        Says::Take => "take",
        Says::Stay => "stay",
    }
}
