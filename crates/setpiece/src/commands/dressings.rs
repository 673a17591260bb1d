//! Set dressings: laying a rule, changing it, letting its pieces go, striking it.

mod report;

pub use report::{ArrangementReport, ChosenReport, ClearReport, DressingReport, GroundReport, list};

use super::measure::{self, Measured};
use super::{Done, Error, Kind, Layer, carry_out, marks, names, pieces, seen};
use crate::{Picture, Timestamp};
use optics::Point;
use pixels::Budget;
use scene::{
    Area, Arrangement, Chosen, CutOutId, Dressing, DressingId, Edit, Factor, KeepClear, PieceId, Put, Ranges,
    Scene, Stance, Target, Thinning,
};
use std::collections::BTreeMap;
use units::{Degrees, Metres, Pixels};

/// What is said of a dressing. What is `None` stays as it is, or is what a new one begins with.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct DressingSaid {
    /// What it is called from now on.
    pub name: Option<String>,
    /// What it is made of: cut-outs by name, with how often each is taken.
    pub of: Vec<(String, f64)>,
    /// What it fills.
    pub ground: Option<GroundSaid>,
    /// The level, by name; `ground` is the ground under the camera.
    pub level: Option<String>,
    /// How the pieces stand to one another.
    pub arrangement: Option<Arrangement>,
    /// So many at most; `Some(None)`: as many as find room.
    pub number: Option<Option<u32>>,
    /// Where they stand less close; an empty list: nowhere.
    pub thinning: Option<Vec<Thinning>>,
    /// Factor on the real height, least and most.
    pub heights: Option<(Factor, Factor)>,
    /// Out of the plane.
    pub leans: Option<(Degrees, Degrees)>,
    /// In the plane.
    pub turns: Option<(Degrees, Degrees)>,
    /// Above the level.
    pub lifts: Option<(Metres, Metres)>,
    /// Whether mirror images are used.
    pub mirror: Option<bool>,
    /// How they stand.
    pub stance: Option<Stance>,
    /// What they face, as [`marks::facing`] reads it.
    pub facing: Option<String>,
    /// What must be left free, beside what is left free already.
    pub clear: Vec<ClearSaid>,
    /// Nothing is left free but what is said with it.
    pub clear_nothing_else: bool,
    /// Another of the endless ways to lay it.
    pub again: bool,
}

/// An area of ground as it is said.
#[derive(Clone, PartialEq, Debug)]
pub enum GroundSaid {
    /// Corners on the ground: right and away.
    Outline(Vec<(Metres, Metres)>),
    /// Corners as they are seen in the picture, in its pixels. Above the horizon the ground ends at it.
    Seen(Vec<(Pixels, Pixels)>),
    /// Along a line on the ground.
    Band(Vec<(Metres, Metres)>, Metres),
    /// Along a line as it is seen in the picture.
    SeenBand(Vec<(Pixels, Pixels)>, Metres),
    /// Around a piece: across, inwards, and the opening towards the lens.
    Around(String, Metres, Metres, Degrees),
}

/// What must be left free, as it is said.
#[derive(Clone, PartialEq, Debug)]
pub enum ClearSaid {
    /// A region of the picture, by its corners in pixels.
    Region(Vec<(Pixels, Pixels)>),
    /// A piece, from one share of its height to another.
    Piece(String, f64, f64),
    /// A lamp.
    Lamp(String),
    /// From a piece to what it looks at, so wide.
    Sight(String, String, Metres),
    /// The feet of others, so far around.
    Feet(Metres),
}

/// From here up is a person's face, as a share of the height: with the neck, and room for a bowed head. Common practice of figure drawing
/// (a standing person is seven to eight heads tall), no source.
pub const FACE: f64 = 0.8;

/// Lays a new dressing.
///
/// # Errors
/// Where a name is not known, it is not said of what or where, or the picture has a dressing of that name.
pub fn lay(
    picture: &mut Picture,
    layer: Layer,
    (name, said): (&str, &DressingSaid),
    (budget, at): (&Budget, Timestamp),
) -> Result<(DressingId, Done), Error> {
    let scene = seen(picture.scene(), layer);
    if scene.dressings().values().any(|d| d.name == name) {
        let remedy = format!("choose another name, or change it: setpiece dress FOLDER change {name}");
        return Err(Error::refused(format!("there is a dressing called {name} already"), name, remedy));
    }
    let measured = measure::measure(&scene, picture.folder(), budget).measured;
    let rule = begun(&scene, &measured, name, said)?;
    carried(picture, layer, (None, rule), (&measured, at))
}

/// Changes a dressing: what still fits stays where it is, what was done by hand stays as it is.
///
/// # Errors
/// Where a name is not known.
pub fn change(
    picture: &mut Picture,
    layer: Layer,
    (id, said): (DressingId, &DressingSaid),
    (budget, at): (&Budget, Timestamp),
) -> Result<Done, Error> {
    let scene = seen(picture.scene(), layer);
    let measured = measure::measure(&scene, picture.folder(), budget).measured;
    let old = scene.dressings().get(&id).ok_or_else(|| pieces_gone(id))?;
    let rule = laid_over(&scene, old.clone(), said)?;
    carried(picture, layer, (Some(id), rule), (&measured, at)).map(|(_, done)| done)
}

/// A new dressing like pieces that stand: they become its own, let go, and stay as they are. With another ground said they are only its
/// pattern.
///
/// # Errors
/// As [`lay`].
pub fn like(
    picture: &mut Picture,
    layer: Layer,
    (name, pieces, said): (&str, &[PieceId], &DressingSaid),
    (budget, at): (&Budget, Timestamp),
) -> Result<(DressingId, Done), Error> {
    let scene = seen(picture.scene(), layer);
    let measured = measure::measure(&scene, picture.folder(), budget).measured;
    let Some(pattern) = dressing::like(&scene, pieces, name.to_owned()) else {
        return Err(Error::refused(
            "none of these pieces stands by itself",
            name,
            "name pieces that are not attached to others",
        ));
    };
    let adopted = if said.ground.is_none() { pattern.laid.clone() } else { BTreeMap::new() };
    let rule = laid_over(&scene, Dressing { laid: BTreeMap::new(), ..pattern }, said)?;
    if adopted.is_empty() {
        return carried(picture, layer, (None, rule), (&measured, at));
    }
    // The rule first, then what it lays: both are one decision.
    let mut tried = scene.clone();
    let id = tried.fresh().dressing();
    let first = Edit::Dressing { id, put: Put::Add(Box::new(Dressing { laid: adopted, ..rule.clone() })) };
    tried.apply(first.clone()).map_err(|e| Error::from(e).named(&scene))?;
    let laying = dressing::laid(&tried, &measured, Some(id), &rule);
    let done = carry_out(picture, layer, at, |_| Ok(Edit::Group(vec![first, laying.edit.clone()])))?;
    Ok((id, noted(done, &laying, &rule)))
}

/// The edit that lets pieces go from their dressing.
///
/// # Errors
/// Where no dressing laid any of them.
pub fn release(scene: &Scene, pieces: &[PieceId]) -> Result<Edit, Error> {
    dressing::released(scene, pieces).ok_or_else(|| {
        let called: Vec<String> = pieces.iter().take(3).map(|id| scene.called(*id)).collect();
        Error::refused(
            "no dressing laid it",
            called.join(", "),
            "name pieces of a dressing; they are told by: setpiece dress FOLDER list",
        )
    })
}

/// The edit that ends a dressing's rule; its pieces stay, as pieces like any other.
#[must_use]
pub fn end(id: DressingId) -> Edit {
    Edit::Dressing { id, put: Put::Remove }
}

/// The edit that strikes a dressing: rule and pieces go; what was let go stays.
///
/// # Errors
/// Where there is no such dressing.
pub fn strike(scene: &Scene, id: DressingId) -> Result<Edit, Error> {
    if !scene.dressings().contains_key(&id) {
        return Err(pieces_gone(id));
    }
    let going = dressing::struck(scene, id);
    let mut edits = vec![end(id)];
    edits.extend(going.into_iter().rev().map(|piece| Edit::Piece { id: piece, put: Put::Remove }));
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

/// Nobody who says how many wants them closer than this.
const CLOSEST: Metres = Metres::of(0.05);

fn pieces_gone(id: DressingId) -> Error {
    Error::refused(format!("there is no {id}"), id.to_string(), "list them: setpiece dress FOLDER list")
}

/// Lays a rule, and tells how it went.
fn carried(
    picture: &mut Picture,
    layer: Layer,
    (which, rule): (Option<DressingId>, Dressing),
    (measured, at): (&Measured, Timestamp),
) -> Result<(DressingId, Done), Error> {
    let mut laying = None;
    let done = carry_out(picture, layer, at, |s| {
        let laid = dressing::laid(s, measured, which, &rule);
        let edit = laid.edit.clone();
        laying = Some(laid);
        Ok(edit)
    })?;
    let Some(laying) = laying else { unreachable!("carrying out asked for the edit") };
    Ok((laying.id, noted(done, &laying, &rule)))
}

/// With what is worth knowing of how it was laid.
fn noted(mut done: Done, laying: &dressing::Laying, rule: &Dressing) -> Done {
    let count = |n: usize| if n == 1 { "one piece".to_owned() } else { format!("{n} pieces") };
    match rule.number {
        _ if laying.pieces == 0 => done.notes.push(format!(
            "nothing finds room: {} lies where nothing is seen, all of it is to be kept clear, or its ground is kilometres wide",
            rule.name
        )),
        Some(n) if laying.pieces < n as usize => {
            done.notes.push(format!("{} found room, of {n} that were asked for", count(laying.pieces)));
        }
        _ => {}
    }
    if laying.held > 0 {
        done.notes.push(format!("{} stayed as the hand left it", count(laying.held)));
    }
    done
}

/// A new rule.
fn begun(scene: &Scene, measured: &Measured, name: &str, said: &DressingSaid) -> Result<Dressing, Error> {
    let needs = |what: &str, remedy: &str| Err(Error::new(Kind::Wording, what, name, remedy));
    if said.of.is_empty() {
        return needs("it does not say what to lay", "name cut-outs: --of 'reed*' sedge=2");
    }
    if said.ground.is_none() {
        return needs(
            "it does not say where to lay it",
            "draw an outline (--outline, --seen), a line (--band, --seen-band with --width), or say --around a piece",
        );
    }
    let small = |v| Degrees::of(v);
    let factor = |v: f64| Factor::new(v).unwrap_or_default();
    // Things that grow differ by about so much (own choice, no source).
    let ranges = Ranges {
        height: (factor(0.85), factor(1.15)),
        lean: (small(-4.0), small(4.0)),
        turn: (small(-3.0), small(3.0)),
        ..Ranges::default()
    };
    let mut clear = vec![KeepClear::Feet { around: Metres::of(0.25) }];
    if let Some(subject) = scene.subject() {
        clear.push(KeepClear::Piece { piece: subject, from: FACE, to: 1.0 });
    }
    clear.extend(scene.practicals().keys().map(|lamp| KeepClear::Practical(*lamp)));
    let blank = Dressing {
        name: name.to_owned(),
        of: Vec::new(),
        level: None,
        area: Area::Outline(Vec::new()),
        arrangement: Arrangement::Drift { spacing: Metres::of(1.0) },
        number: None,
        thinning: Vec::new(),
        ranges,
        stance: Stance::Upright,
        facing: None,
        clear,
        way: 0,
        laid: BTreeMap::new(),
    };
    let mut rule = laid_over(scene, blank, said)?;
    if said.arrangement.is_none() {
        let mut spacing = as_close(scene, measured, &rule);
        rule.arrangement = Arrangement::Drift { spacing };
        // Some of the ground is not in the picture, and some is to be kept clear.
        while let Some(wanted) = rule.number
            && spacing > CLOSEST
            && dressing::laid(scene, measured, None, &rule).pieces < wanted as usize
        {
            spacing = spacing * 0.88;
            rule.arrangement = Arrangement::Drift { spacing };
        }
    }
    Ok(rule)
}

/// How close pieces stand where nobody says so: as many as are wanted fill the ground; else about as far apart as they are wide.
fn as_close(scene: &Scene, measured: &Measured, rule: &Dressing) -> Metres {
    // Darts at random leave about 0.7 of a piece to a square of their spacing.
    const FILLED: f64 = 0.7;
    let wide = || {
        let widths = rule.of.iter().filter_map(|chosen| {
            let cut = measured.cuts.get(&chosen.cutout)?;
            let cutout = scene.cutouts().get(&chosen.cutout)?;
            let seen = staging::in_shot::seen(scene, cutout, cut, rule.stance)?;
            Some(cut.solid.width() as f64 / seen.per_metre)
        });
        let (sum, n) = widths.fold((0.0, 0), |(sum, n), w| (sum + w, n + 1));
        if n > 0 { sum / f64::from(n) } else { 1.0 }
    };
    let apart = match (rule.number, dressing::square_metres(scene, rule)) {
        (Some(n), Some(ground)) => (FILLED * ground / f64::from(n)).sqrt(),
        _ => wide(),
    };
    Metres::new(apart.clamp(0.03, 1000.0)).unwrap_or(Metres::of(1.0))
}

/// A rule with what is said laid over it.
fn laid_over(scene: &Scene, mut rule: Dressing, said: &DressingSaid) -> Result<Dressing, Error> {
    if let Some(name) = &said.name {
        rule.name.clone_from(name);
    }
    if !said.of.is_empty() {
        rule.of = chosen(scene, &said.of)?;
    }
    match said.level.as_deref() {
        None => {}
        Some("ground") => rule.level = None,
        Some(name) => rule.level = Some(names::level(scene, name)?),
    }
    if let Some(ground) = &said.ground {
        rule.area = area(scene, ground, &rule)?;
    }
    rule.arrangement = said.arrangement.unwrap_or(rule.arrangement);
    rule.number = said.number.unwrap_or(rule.number);
    if let Some(thinning) = &said.thinning {
        rule.thinning.clone_from(thinning);
    }
    let r = &mut rule.ranges;
    r.height = said.heights.unwrap_or(r.height);
    r.lean = said.leans.unwrap_or(r.lean);
    r.turn = said.turns.unwrap_or(r.turn);
    r.lift = said.lifts.unwrap_or(r.lift);
    r.mirror = said.mirror.unwrap_or(r.mirror);
    rule.stance = said.stance.unwrap_or(rule.stance);
    if let Some(facing) = &said.facing {
        rule.facing = marks::facing(scene, facing)?;
    }
    if said.clear_nothing_else {
        rule.clear.clear();
    }
    for clear in &said.clear {
        let clear = kept_clear(scene, clear)?;
        // Said again, it takes the place of what was said of the same.
        let same = |old: &KeepClear| match (old, &clear) {
            (KeepClear::Piece { piece: a, .. }, KeepClear::Piece { piece: b, .. }) => a == b,
            (KeepClear::Practical(a), KeepClear::Practical(b)) => a == b,
            (KeepClear::Sight { from: a, to: at, .. }, KeepClear::Sight { from: b, to: bt, .. }) => {
                a == b && at == bt
            }
            (KeepClear::Feet { .. }, KeepClear::Feet { .. }) => true,
            _ => false,
        };
        rule.clear.retain(|old| !same(old));
        rule.clear.push(clear);
    }
    if said.again {
        rule.way += 1;
    }
    Ok(rule)
}

fn chosen(scene: &Scene, of: &[(String, f64)]) -> Result<Vec<Chosen>, Error> {
    let mut shares: BTreeMap<CutOutId, f64> = BTreeMap::new();
    for (name, share) in of {
        for cutout in names::cutouts(scene, name)? {
            shares.insert(cutout, *share);
        }
    }
    Ok(shares.into_iter().map(|(cutout, share)| Chosen { cutout, share }).collect())
}

fn area(scene: &Scene, ground: &GroundSaid, rule: &Dressing) -> Result<Area, Error> {
    let flat = |corners: &[(Metres, Metres)]| corners.iter().map(|(x, z)| [x.get(), z.get()]).collect();
    Ok(match ground {
        GroundSaid::Outline(corners) => Area::Outline(flat(corners)),
        GroundSaid::Seen(corners) => Area::Outline(seen_ground(scene, corners, rule)?),
        GroundSaid::Band(along, width) => Area::Band { along: flat(along), width: *width },
        GroundSaid::SeenBand(along, width) => {
            Area::Band { along: seen_ground(scene, along, rule)?, width: *width }
        }
        GroundSaid::Around(piece, width, depth, opening) => {
            let around = names::piece(scene, piece)?;
            Area::Arc { around, width: *width, depth: *depth, opening: *opening }
        }
    })
}

/// Where corners that are seen in the picture lie on the dressing's level.
fn seen_ground(scene: &Scene, corners: &[(Pixels, Pixels)], rule: &Dressing) -> Result<Vec<[f64; 2]>, Error> {
    /// Ground is looked at up to so far away.
    const FAR: f64 = 300.0;
    let refused =
        |what: &str, remedy: &str| Err(Error::refused(what, "the ground drawn in the picture", remedy));
    let Ok(frame) = staging::frame::frame(scene, pieces::backdrop_size(scene)) else {
        return refused("the camera cannot be", "say what is known of it: setpiece read FOLDER");
    };
    let level = rule.level.and_then(|l| scene.levels().get(&l)).map_or(Metres::ZERO, |l| l.height);
    let camera = &frame.camera;
    let mut below = 0;
    let mut ground = Vec::with_capacity(corners.len());
    for (u, v) in corners {
        let near = |p: &Point| p.z.get() <= FAR && p.x.get().abs() <= FAR;
        let at = camera.on_level(u.get(), v.get(), level).filter(near);
        below += usize::from(at.is_some());
        // Above the horizon, the farthest ground under that place.
        let at = at.or_else(|| {
            let [x, _, z] = camera.ray(u.get(), v.get()).0;
            let long = units::math::hypot(x, z);
            let far = |v: f64| Metres::new(v / long * FAR);
            Some(Point::new(far(x)?, level, far(z).filter(|z| z.get() > 0.0)?))
        });
        ground.extend(at.map(|p| [p.x.get(), p.z.get()]));
    }
    if below < 2 {
        return refused("there is no ground to stand on", "draw it below the horizon");
    }
    Ok(ground)
}

fn kept_clear(scene: &Scene, said: &ClearSaid) -> Result<KeepClear, Error> {
    Ok(match said {
        ClearSaid::Region(corners) => {
            let size = scene.format().size;
            let (w, h) = (f64::from(size.width()), f64::from(size.height()));
            KeepClear::Region(vec![corners.iter().map(|(u, v)| [u.get() / w, v.get() / h]).collect()])
        }
        ClearSaid::Piece(name, from, to) => {
            KeepClear::Piece { piece: names::piece(scene, name)?, from: *from, to: *to }
        }
        ClearSaid::Lamp(name) => KeepClear::Practical(names::lamp(scene, name)?),
        ClearSaid::Sight(from, to, width) => {
            let from = names::piece(scene, from)?;
            let Some(to) = marks::facing(scene, to)?.filter(|to| *to != Target::Away) else {
                return Err(Error::refused(
                    "a line of sight has two ends",
                    to.as_str(),
                    "name a piece, a lamp, x,z or the lens",
                ));
            };
            KeepClear::Sight { from, to, width: *width }
        }
        ClearSaid::Feet(around) => KeepClear::Feet { around: *around },
    })
}
