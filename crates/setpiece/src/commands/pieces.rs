//! Pieces: standing one, moving it, and all else that is decided about it but its rows.

use super::cutouts::{FactsSaid, NewCutOut, bring, gone};
use super::incoming::{self, Uncut};
use super::marks::{self, MarkSaid};
use super::stand_ins::{self, StandIn};
use super::{Done, Error, Layer, carry_out};
use crate::{Picture, Timestamp};
use optics::Focus;
use scene::{
    CutOutId, CutOutKind, Edit, Facts, InFront, InFrontOf, Mark, Piece, PieceChange, PieceId, Put, Scale,
    Scene, Stance, Stated,
};
use std::path::PathBuf;
use units::{Degrees, Metres, Pixels};

/// A piece that is to stand in the picture.
#[derive(Clone, PartialEq, Debug)]
pub struct NewPiece {
    /// What it is called.
    pub name: String,
    /// What it shows.
    pub shows: Shows,
    /// Where it stands.
    pub mark: MarkSaid,
    /// How it stands, and the like.
    pub manner: Manner,
}

/// What a new piece shows.
#[derive(Clone, PartialEq, Debug)]
pub enum Shows {
    /// A cut-out of the picture, by its name (or that of a piece that shows it).
    CutOut(String),
    /// A stand-in of this height.
    StandIn(StandIn, Metres),
    /// Another one, from files.
    Files {
        /// The shot.
        shot: PathBuf,
        /// Its matte; none is its own alpha, and none is needed for light alone.
        matte: Option<PathBuf>,
        /// Solid, or light alone.
        kind: CutOutKind,
        /// What becomes of it where it cannot be cut out by itself.
        uncut: Uncut,
        /// The prop it is a view of.
        prop: Option<String>,
        /// What is known of it.
        facts: Box<FactsSaid>,
    },
}

/// How a piece stands. What is `None` stays as it is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Manner {
    /// How it stands.
    pub stance: Option<Stance>,
    /// Out of its plane.
    pub lean: Option<Degrees>,
    /// In its plane.
    pub turn: Option<Degrees>,
    /// Left and right exchanged.
    pub mirrored: Option<bool>,
    /// What it should face, as [`marks::facing`] reads it.
    pub facing: Option<String>,
    /// The piece that carries it.
    pub attached_to: Option<String>,
}

/// Stands a new piece in the picture, its files copied in, as one edit.
///
/// # Errors
/// Where a file cannot be read or does not fit the other, a name is not known, or the mark lies behind the camera; the picture is
/// as it was.
pub fn add(
    picture: &mut Picture,
    layer: Layer,
    new: &NewPiece,
    (budget, at): (&pixels::Budget, Timestamp),
) -> Result<(PieceId, Done), Error> {
    let mut tried = super::seen(picture.scene(), layer);
    let mut fresh = tried.fresh();
    let mut edits = Vec::new();
    let mut copied = None;
    let cutout = match &new.shows {
        Shows::CutOut(name) => super::cutouts::named(&tried, name)?,
        Shows::StandIn(which, height) => {
            let facts = FactsSaid { scale: Some(Scale::Height(*height)), ..FactsSaid::default() };
            let cut = stand_ins::cut(*which, budget)?;
            let cutout = NewCutOut { name: None, prop: None, cut, facts };
            let (id, more) = bring(&tried, &mut fresh, &cutout)?;
            edits.extend(more);
            copied = Some(cutout.cut);
            id
        }
        Shows::Files { shot, matte, kind, uncut, prop, facts } => {
            let cut = incoming::cut(picture, (shot, matte.as_deref()), (*kind, *uncut), budget)?;
            let cutout = NewCutOut { name: None, prop: prop.clone(), cut, facts: (**facts).clone() };
            let (id, more) = bring(&tried, &mut fresh, &cutout)?;
            edits.extend(more);
            copied = Some(cutout.cut);
            id
        }
    };
    let id = fresh.piece();
    let piece = standing(&tried, new, cutout)?;
    edits.push(Edit::Piece { id, put: Put::Add(Box::new(piece)) });
    let edit = if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) };
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    marks::before_the_camera(&tried, backdrop_size(&tried), &[id])?;
    if let Some(cut) = &copied {
        let files: Vec<_> = std::iter::once(&cut.shot).chain(&cut.matte).collect();
        incoming::copy(picture, &files)?;
    }
    let mut done = carry_out(picture, layer, at, |_| Ok(edit))?;
    done.notes = copied.iter().flat_map(|cut| cut.notes()).collect();
    Ok((id, done))
}

/// Gives what a piece shows to a shot: every piece that shows the same shows the shot's cut-out from then on, each with its mark and its
/// nudges. The height that was stated of what it showed stays, where nothing else is said.
///
/// # Errors
/// As [`add`].
pub fn recast(
    picture: &mut Picture,
    layer: Layer,
    (id, new): (PieceId, NewCutOut),
    at: Timestamp,
) -> Result<Done, Error> {
    let mut tried = super::seen(picture.scene(), layer);
    let was = tried.pieces().get(&id).ok_or_else(|| gone(&id.to_string()))?.cutout;
    let mut facts = new.facts.clone();
    facts.scale = facts.scale.or_else(|| match tried.cutouts().get(&was)?.facts.scale? {
        scale @ Scale::Height(_) => Some(scale),
        Scale::PerMetre(_) => None,
    });
    let new = NewCutOut { facts, ..new };
    let (cutout, mut edits) = bring(&tried, &mut tried.fresh(), &new)?;
    let showing: Vec<PieceId> =
        tried.pieces().iter().filter(|(_, p)| p.cutout == was).map(|(id, _)| *id).collect();
    edits.push(each(&showing, &[PieceChange::CutOut(cutout)]));
    let edit = if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) };
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    let files: Vec<_> = std::iter::once(&new.cut.shot).chain(&new.cut.matte).collect();
    incoming::copy(picture, &files)?;
    let mut done = carry_out(picture, layer, at, |_| Ok(edit))?;
    done.notes = new.cut.notes().collect();
    Ok(done)
}

/// Where a new piece stands until its mark says otherwise: at the foot of what carries it; else on the axis, as far away as the
/// lens is focused at.
fn place(scene: &Scene, new: &NewPiece) -> Result<Mark, Error> {
    let focus = scene.lens().focus();
    match focus {
        _ if new.mark.at.is_some() || new.manner.attached_to.is_some() => Ok(Mark::default()),
        Focus::At(away) if scene.is_stated(Stated::Focus) => Ok(Mark::on_ground(Metres::ZERO, away)),
        _ => Err(Error::new(
            super::Kind::Wording,
            "it does not say where the piece stands",
            "--at",
            "give metres to the right and metres away, as --at -1.2,4.5; left out, it is where the lens is focused at, once read --focus has said that",
        )),
    }
}

fn standing(scene: &Scene, new: &NewPiece, cutout: CutOutId) -> Result<Piece, Error> {
    let mark = new.mark.over(&place(scene, new)?, scene)?;
    let mut piece = Piece::standing(new.name.clone(), cutout, mark);
    let m = &new.manner;
    piece.stance = m.stance.unwrap_or(piece.stance);
    piece.lean = m.lean.unwrap_or(piece.lean);
    piece.turn = m.turn.unwrap_or(piece.turn);
    piece.mirrored = m.mirrored.unwrap_or(piece.mirrored);
    if let Some(text) = &m.facing {
        piece.facing = marks::facing(scene, text)?;
    }
    if piece.mirrored {
        may_mirror(scene, cutout, &new.name)?;
    }
    if let Some(text) = &m.attached_to {
        piece.attached_to = Some(super::names::piece(scene, text)?);
    }
    Ok(piece)
}

/// Whether a mirror image of a cut-out may be used.
fn may_mirror(scene: &Scene, cutout: CutOutId, piece: &str) -> Result<(), Error> {
    match scene.cutouts().get(&cutout) {
        Some(shown) if shown.facts.may_mirror == Some(false) => Err(Error::refused(
            format!("no mirror image of {} may be used", shown.name),
            piece,
            "leave it as it was shot, or choose another cut-out",
        )),
        _ => Ok(()),
    }
}

/// The size that the backdrop is stated to have.
pub(crate) fn backdrop_size(scene: &Scene) -> Option<units::PxSize> {
    scene.backdrop().and_then(|b| scene.sources().get(&b.source)).and_then(|s| s.size)
}

/// The edit that moves a piece.
///
/// # Errors
/// Where a level is not known, or the mark lies behind the camera.
pub fn moved(scene: &Scene, id: PieceId, said: &MarkSaid) -> Result<Edit, Error> {
    let piece = scene.pieces().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let mark = said.over(&piece.mark, scene)?;
    let edit = Edit::Change { piece: id, change: PieceChange::Mark(mark) };
    before(scene, &edit, id)?;
    Ok(edit)
}

/// The edit that moves several pieces alike: those that others of them carry go along by themselves.
///
/// # Errors
/// As [`moved`].
pub fn moved_together(scene: &Scene, ids: &[PieceId], said: &MarkSaid) -> Result<Edit, Error> {
    if let [one] = ids {
        return moved(scene, *one, said);
    }
    let goes_along = |id: PieceId| carriers(scene, id).skip(1).any(|carrier| ids.contains(&carrier));
    let each = ids.iter().filter(|id| !goes_along(**id)).map(|id| moved(scene, *id, said));
    Ok(Edit::Group(each.collect::<Result<_, _>>()?))
}

/// Whether the piece stands before the camera after the edit, and all it carries.
pub(crate) fn before(scene: &Scene, edit: &Edit, id: PieceId) -> Result<(), Error> {
    let mut tried = scene.clone();
    tried.apply(edit.clone())?;
    let carried: Vec<PieceId> =
        tried.pieces().keys().copied().filter(|p| carriers(&tried, *p).any(|c| c == id)).collect();
    marks::before_the_camera(&tried, backdrop_size(&tried), &carried)
}

/// A piece and what carries it, from itself on.
fn carriers(scene: &Scene, id: PieceId) -> impl Iterator<Item = PieceId> {
    std::iter::successors(Some(id), |at| scene.pieces().get(at).and_then(|p| p.attached_to))
}

/// The edit that changes how pieces stand.
///
/// # Errors
/// Where what they should face is not known.
pub fn manner(scene: &Scene, pieces: &[PieceId], said: &Manner) -> Result<Edit, Error> {
    let mut changes = Vec::new();
    changes.extend(said.stance.map(PieceChange::Stance));
    changes.extend(said.lean.map(PieceChange::Lean));
    changes.extend(said.turn.map(PieceChange::Turn));
    changes.extend(said.mirrored.map(PieceChange::Mirrored));
    if said.mirrored == Some(true) {
        for (id, piece) in pieces.iter().filter_map(|id| Some((*id, scene.pieces().get(id)?))) {
            may_mirror(scene, piece.cutout, &scene.called(id))?;
        }
    }
    if let Some(text) = &said.facing {
        changes.push(PieceChange::Facing(marks::facing(scene, text)?));
    }
    Ok(each(pieces, &changes))
}

/// The same changes of several pieces, as one edit.
pub(crate) fn each(pieces: &[PieceId], changes: &[PieceChange]) -> Edit {
    let all = pieces.iter().flat_map(|piece| {
        changes.iter().map(|change| Edit::Change { piece: *piece, change: change.clone() })
    });
    let mut edits: Vec<Edit> = all.collect();
    if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) }
}

/// The edit that fixes a piece to another, staying where it is; or lets it stand by itself again, for `None`.
///
/// # Errors
/// Where a piece is not there.
pub fn attach(scene: &Scene, id: PieceId, to: Option<PieceId>) -> Result<Edit, Error> {
    let feet = staging::standing::feet(scene);
    let foot = |id: PieceId| feet.get(&id).map(|f| f.0).ok_or_else(|| gone(&id.to_string()));
    let here = foot(id)?;
    let mark = match to {
        Some(carrier) => {
            let base = foot(carrier)?;
            Mark { x: here.x - base.x, y: here.y - base.y, z: here.z - base.z, level: None }
        }
        None => Mark { x: here.x, y: here.y, z: here.z, level: None },
    };
    Ok(Edit::Change { piece: id, change: PieceChange::Attached { to, mark } })
}

/// The edit that takes pieces out of the picture. Cut-outs that nothing else shows stay: a prop keeps its views.
///
/// # Errors
/// Where there are none.
pub fn remove(pieces: &[PieceId]) -> Result<Edit, Error> {
    if pieces.is_empty() {
        return Err(gone("piece"));
    }
    // What was added last goes first: what is carried before what carries it, mostly.
    let mut edits: Vec<Edit> =
        pieces.iter().rev().map(|id| Edit::Piece { id: *id, put: Put::Remove }).collect();
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

/// The edit that puts something in front of a piece against the order by distance.
///
/// # Errors
/// Where nothing is called so.
pub fn in_front(
    scene: &Scene,
    before: PieceId,
    what: &str,
    region: Vec<[f64; 2]>,
    softness: Pixels,
) -> Result<Edit, Error> {
    let what = in_front_of(scene, what)?;
    let region = InFront { what, before, region: vec![region], softness };
    Ok(Edit::InFront { id: scene.fresh().in_front(), put: Put::Add(Box::new(region)) })
}

/// The edit that takes away what was put in front of a piece: all of it, or that of the backdrop or of one piece.
///
/// # Errors
/// Where nothing is called so, or nothing of it is in front.
pub fn lift_off(scene: &Scene, before: PieceId, what: Option<&str>) -> Result<Edit, Error> {
    let what = what.map(|name| in_front_of(scene, name)).transpose()?;
    let regions = scene.in_front().iter();
    let meant = regions.filter(|(_, r)| r.before == before && what.is_none_or(|what| r.what == what));
    let edits: Vec<Edit> = meant.map(|(id, _)| Edit::InFront { id: *id, put: Put::Remove }).collect();
    if edits.is_empty() {
        let remedy = "see what is in front of it with: setpiece place FOLDER list --json";
        return Err(Error::refused("nothing was put in front of it", scene.called(before), remedy));
    }
    Ok(if let [edit] = edits.as_slice() { edit.clone() } else { Edit::Group(edits) })
}

fn in_front_of(scene: &Scene, what: &str) -> Result<InFrontOf, Error> {
    Ok(match what {
        "backdrop" => InFrontOf::Backdrop,
        name => InFrontOf::Piece(super::names::piece(scene, name)?),
    })
}

/// What facts a piece's real height changes.
pub(crate) fn height_fact(scene: &Scene, id: PieceId, height: Metres) -> Result<Edit, Error> {
    let piece = scene.pieces().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let cutout = scene.cutouts().get(&piece.cutout).ok_or_else(|| gone(&piece.cutout.to_string()))?;
    let facts = Facts { scale: Some(Scale::Height(height)), ..cutout.facts };
    Ok(Edit::Facts { cutout: piece.cutout, facts: Box::new(facts) })
}
