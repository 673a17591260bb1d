//! What an edit does, as one would say it: for the log of edits and the differences between takes.

mod anew;
mod clause;
mod dressing;

use crate::{
    Basis, Clause, CutOutKind, Edit, Factor, Facts, Kind, Mark, Piece, PieceChange, PieceId, Put, Row, Says,
    Scale, Scene, SourceKind, Stance, Target, Treatment, TreatmentChange, TreatmentId, Warmth, figure,
};
use optics::Focus;
use units::{Degrees, Digest, Millimetres, PixelsPerMetre, Stops};

impl Edit {
    /// What this edit does to the picture as it is before it: "Crane 7, 1.2 m nearer".
    #[must_use]
    pub fn sentence(&self, scene: &Scene) -> String {
        match self {
            Self::Group(edits) => group(edits, scene),
            Self::Name(name) => format!("Picture called {name}"),
            Self::Format(f) => match &f.print {
                Some(p) => {
                    let cm = |side: Millimetres| plain(side.get() / 10.0, 1);
                    format!("Picture {} x {} cm at {} ppi", cm(p.width), cm(p.height), plain(p.ppi, 0))
                }
                None => format!("Picture {} x {} px", f.size.width(), f.size.height()),
            },
            Self::Backdrop(None) => "No backdrop".to_owned(),
            Self::Backdrop(Some(b)) => match scene.backdrop() {
                Some(old) if old.source == b.source => match (old.mirrored, b.mirrored) {
                    (false, true) => "Backdrop mirrored, with its camera and sun".to_owned(),
                    (true, false) => "Backdrop as it was taken, with its camera and sun".to_owned(),
                    _ => "Backdrop framed anew".to_owned(),
                },
                _ => format!("Backdrop {}", source_name(scene, &b.source)),
            },
            Self::Stage(stage) => {
                let view = stage.camera.viewpoint();
                let (height, pitch) = (plain(view.height.get(), 2), plain(view.pitch.get(), 1));
                format!("Camera {height} m up, pitched {pitch}°, {}", view.focal)
            }
            Self::Stated(stated) => {
                let names: Vec<&str> = stated.difference(&scene.stated).map(|s| s.name()).collect();
                match names.as_slice() {
                    [] => "What was stated of the stage changed".to_owned(),
                    names => format!("{} stated", capital(&names.join(", "))),
                }
            }
            Self::Lens(lens) => {
                let focus = match lens.focus() {
                    Focus::At(distance) => format!("{} m", plain(distance.get(), 2)),
                    Focus::Infinity => "infinity".to_owned(),
                };
                format!("Lens {} at f/{}, focused at {focus}", lens.focal(), plain(lens.f_number(), 1))
            }
            Self::DepthScale(scale) => format!("Defocus times {}", plain(scale.get(), 2)),
            Self::Sky(sky) => anew::sky(&scene.lights.sky, sky),
            Self::Sun(None) => "No sun".to_owned(),
            Self::Sun(Some(sun)) => {
                format!("Sun {} high, {} from ahead", degrees(sun.height), side(sun.bearing))
            }
            Self::GroundReflectance(_) => "Ground's reflectance changed".to_owned(),
            Self::Dusk(None) => "Daylight as it was photographed".to_owned(),
            Self::Dusk(Some(dusk)) => format!(
                "Dusk: the daylight {} stops down and {} mired cooler",
                plain(dusk.down.get(), 2),
                plain(dusk.cooler.get(), 0)
            ),
            Self::Haze(None) => "No haze".to_owned(),
            Self::Haze(Some(haze)) => format!("Haze, visibility {} m", plain(haze.visibility().get(), 0)),
            Self::Subject(None) => "No subject".to_owned(),
            Self::Subject(Some(id)) => format!("{} is the subject", scene.called(*id)),
            Self::Source { digest, put } => match put {
                Put::Add(source) if source.kind == SourceKind::Other => format!("Paper {} kept", source.name),
                Put::Add(source) => format!("File {} added", source.name),
                Put::Replace(source) => format!("File {} described anew", source.name),
                Put::Remove => format!("{} removed", kept(scene, digest)),
            },
            Self::Level { id, put } => {
                thing("Level", put, |l| &l.name, scene.levels.get(id).map(|l| l.name.as_str()))
            }
            Self::Practical { id, put } => match (put, scene.practicals.get(id)) {
                (Put::Replace(new), Some(old)) if old.name == new.name => anew::lamp(old, new),
                _ => thing("Lamp", put, |p| &p.name, scene.practicals.get(id).map(|p| p.name.as_str())),
            },
            Self::SetUp { id, put } => {
                thing("Set-up", put, |s| &s.name, scene.set_ups.get(id).map(|s| s.name.as_str()))
            }
            Self::CutOut { id, put } => match put {
                Put::Add(c) if c.kind == CutOutKind::Additive => {
                    format!("Cut-out {} added, as light", c.name)
                }
                _ => match (put, scene.cutouts.get(id)) {
                    (Put::Replace(new), Some(old)) if old.name == new.name => anew::cutout(old, new),
                    (_, old) => thing("Cut-out", put, |c| &c.name, old.map(|c| c.name.as_str())),
                },
            },
            Self::Facts { cutout, facts } => match scene.cutouts.get(cutout) {
                Some(c) => anew::facts(&c.name, &c.facts, facts),
                None => format!("Facts of {cutout} said anew"),
            },
            Self::Stroke { cutout, put, .. } => {
                let name = scene.cutouts.get(cutout).map_or_else(|| cutout.to_string(), |c| c.name.clone());
                let done = match put {
                    Put::Add(stroke) => done_by(stroke.says),
                    Put::Replace(_) => "a stroke drawn otherwise",
                    Put::Remove => "a stroke taken away",
                };
                format!("Cut-out {name}, {done}")
            }
            Self::Finish { cutout, finish } => match scene.cutouts.get(cutout) {
                Some(c) => anew::finish(&c.name, &c.finish, finish),
                None => format!("Edge of {cutout} said anew"),
            },
            Self::Piece { id, put } => match put {
                Put::Add(piece) => format!("{} stands {}", named(*id, piece), at(&piece.mark, scene)),
                Put::Replace(_) => format!("{} changed", scene.called(*id)),
                Put::Remove => format!("{} removed", scene.called(*id)),
            },
            Self::Change { piece, change } => {
                format!("{}, {}", scene.called(*piece), said(change, scene.pieces.get(piece), scene))
            }
            Self::InFront { id, put } => match put.value().map(|v| &**v).or_else(|| scene.in_front.get(id)) {
                Some(region) => {
                    let what = match region.what {
                        crate::InFrontOf::Backdrop => "Backdrop".to_owned(),
                        crate::InFrontOf::Piece(piece) => scene.called(piece),
                    };
                    let not = if matches!(put, Put::Remove) { "no longer " } else { "" };
                    format!("{what} {not}in front of {}", scene.called(region.before))
                }
                None => format!("{id} removed"),
            },
            Self::Dressing { id, put } => dressing::put(*id, put, scene),
            Self::Treatment { id, change } => treatment(*id, change, scene),
            Self::Take { id, put } => {
                thing("Take", put, |t| &t.name, scene.takes.get(id).map(|t| t.name.as_str()))
            }
            Self::TakeChange { take, put, .. } => {
                let name = scene.takes.get(take).map_or_else(|| take.to_string(), |t| t.name.clone());
                match put {
                    Put::Add(edit) | Put::Replace(edit) => {
                        format!("In take {name}: {}", edit.sentence(&scene.seen_as(*take).0))
                    }
                    Put::Remove => format!("In take {name}: one change taken back"),
                }
            }
        }
    }
}

const fn done_by(says: Says) -> &'static str {
    match says {
        Says::Inside => "a stroke says what is the thing",
        Says::Outside => "a stroke says what is not",
        Says::Between => "a stroke says what is partly the thing",
        Says::Add => "a stroke covers more",
        Says::Remove => "a stroke clears some",
        Says::Soften(_) => "edge softened",
        Says::Follow => "edge followed",
        Says::Close => "holes closed",
        Says::Mend => "mended",
        Says::Take | Says::Stay => "said what to take from another shot",
    }
}

fn group(edits: &[Edit], scene: &Scene) -> String {
    match edits {
        [] => "Nothing changed".to_owned(),
        [one] => one.sentence(scene),
        all => {
            let most = all.iter().map(weight).max().unwrap_or_default();
            // Each speaks of the picture as those before it leave it.
            let mut seen = scene.clone();
            let mut told = None;
            for edit in all {
                if weight(edit) == most {
                    told = Some(edit.sentence(&seen));
                    break;
                }
                // What does not fit is refused with the whole group.
                let _ = seen.apply(edit.clone());
            }
            // What goes along with a frame or a dressing is none of its own.
            let is_frame = most >= weight(&Edit::Format(*scene.format()));
            let more = if is_frame { 0 } else { more(all, most) };
            let told = told.unwrap_or_default();
            if more == 0 { told } else { format!("{told}, and {more} more") }
        }
    }
}

/// How many decisions a group holds beside the one that it is about.
fn more(all: &[Edit], most: u8) -> usize {
    all.iter().filter(|e| weight(e).min(DECISION) == most.min(DECISION)).count() - 1
}

/// Of an edit that is a decision of its own, not what another one brings along.
const DECISION: u8 = 2;

/// Which edit of a group says what the group is about.
fn weight(edit: &Edit) -> u8 {
    match edit {
        Edit::Stated(_) | Edit::Source { .. } => 0,
        // On its own a decision; with a piece that shows it, a part of that.
        Edit::CutOut { .. } => 1,
        Edit::Piece { .. } | Edit::Backdrop(_) => DECISION + 1,
        Edit::Format(_) => DECISION + 2,
        // Its pieces are told by number.
        Edit::Dressing { .. } => DECISION + 3,
        _ => DECISION,
    }
}

fn thing<T>(kind: &str, put: &Put<Box<T>>, name: impl Fn(&T) -> &String, old: Option<&str>) -> String {
    let old = old.unwrap_or("unknown");
    match put {
        Put::Add(value) => format!("{kind} {} added", name(value)),
        Put::Replace(value) if name(value) != old => format!("{kind} {old} is now {}", name(value)),
        Put::Replace(_) => format!("{kind} {old} changed"),
        Put::Remove => format!("{kind} {old} removed"),
    }
}

fn named(id: PieceId, piece: &Piece) -> String {
    if piece.name.is_empty() { id.to_string() } else { piece.name.clone() }
}

fn source_name(scene: &Scene, digest: &Digest) -> String {
    scene.sources.get(digest).map_or_else(|| digest.short(), |s| s.name.clone())
}

fn said(change: &PieceChange, now: Option<&Piece>, scene: &Scene) -> String {
    match change {
        PieceChange::Name(name) => format!("now called {name}"),
        PieceChange::CutOut(id) => {
            format!("as {}", scene.cutouts.get(id).map_or_else(|| id.to_string(), |c| c.name.clone()))
        }
        PieceChange::Mark(mark) => match now {
            Some(piece) if piece.mark.level == mark.level => moved(&piece.mark, mark),
            _ => at(mark, scene),
        },
        PieceChange::Attached { to: Some(id), .. } => format!("attached to {}", scene.called(*id)),
        PieceChange::Attached { to: None, mark } => format!("detached, {}", at(mark, scene)),
        PieceChange::Stance(stance) => match stance {
            Stance::Upright => "upright",
            Stance::FacingLens => "facing the lens",
            Stance::Lying => "lying",
            Stance::Hanging => "hanging",
            Stance::Wall => "on a wall",
        }
        .to_owned(),
        PieceChange::Lean(lean) if lean.get() < 0.0 => {
            format!("leaning {} towards the lens", degrees(lean.abs()))
        }
        PieceChange::Lean(lean) => format!("leaning {} away from the lens", degrees(*lean)),
        PieceChange::Turn(turn) if turn.get() < 0.0 => {
            format!("turned {} counter-clockwise", degrees(turn.abs()))
        }
        PieceChange::Turn(turn) => format!("turned {} clockwise", degrees(*turn)),
        PieceChange::Mirrored(true) => "mirrored".to_owned(),
        PieceChange::Mirrored(false) => "no longer mirrored".to_owned(),
        PieceChange::Facing(target) => match target {
            None => "facing as photographed".to_owned(),
            Some(Target::Piece(id)) => format!("facing {}", scene.called(*id)),
            Some(Target::Practical(id)) => {
                let name = scene.practicals.get(id).map_or_else(|| id.to_string(), |p| p.name.clone());
                format!("facing {name}")
            }
            Some(Target::Point(p)) => {
                format!("facing a place {} m away, {}", plain(p.z.get(), 2), across(p.x.get()))
            }
            Some(Target::Lens) => "looking at the lens".to_owned(),
            Some(Target::Away) => "looking away from the lens".to_owned(),
        },
        PieceChange::Hidden(true) => "into the wings".to_owned(),
        PieceChange::Hidden(false) => "out of the wings".to_owned(),
        PieceChange::Size(row) => format!("size {}", factor(row, |v| size(v, now, scene))),
        PieceChange::Defocus(row) => {
            format!("defocus {}", factor(row, |v| format!("{} px", plain(v.get(), 1))))
        }
        PieceChange::Light(row) => format!("light {}", based(row, stops(row.nudge), stops)),
        PieceChange::Warmth(row) => format!("warmth {}", based(row, warmth(row.nudge), warmth)),
        PieceChange::Haze(row) => format!("haze {}", factor(row, per_cent)),
        PieceChange::Shadow(row) => format!("shadow {}", factor(row, per_cent)),
    }
}

/// A size as the card shows it, in pixels of the piece's height; in pixels to a metre, where the height is in the pixels of the shot.
fn size(per_metre: PixelsPerMetre, piece: Option<&Piece>, scene: &Scene) -> String {
    let facts = piece.and_then(|p| scene.cutouts.get(&p.cutout)).map(|c| c.facts);
    match facts.map(|f| f.scale.unwrap_or(Scale::Height(Facts::HEIGHT))) {
        Some(Scale::Height(height)) => format!("{} px", plain(per_metre.get() * height.get(), 0)),
        Some(Scale::PerMetre(_)) | None => format!("{} px/m", plain(per_metre.get(), 1)),
    }
}

fn treatment(id: TreatmentId, change: &TreatmentChange, scene: &Scene) -> String {
    let old = scene.treatment(id).map_or_else(|| id.to_string(), |t| capital(t.kind.name()));
    let strength = |t: &Treatment| per_cent(t.strength);
    match change {
        TreatmentChange::Add { treatment, .. } => {
            format!(
                "{}{} at {}",
                capital(treatment.kind.name()),
                amount(&treatment.kind),
                strength(treatment)
            )
        }
        TreatmentChange::Replace(new) => match scene.treatment(id) {
            Some(t) if t.kind == new.kind && t.where_ == new.where_ => format!("{old} at {}", strength(new)),
            Some(t) if t.kind == new.kind && is_painted(t, new) => format!("{old}, painted on its card"),
            Some(t) if t.kind == new.kind => {
                let clauses: Vec<String> = new.where_.0.iter().map(|c| c.sentence(scene)).collect();
                if clauses.is_empty() {
                    format!("{old} everywhere")
                } else {
                    format!("{old} {}", clauses.join("; "))
                }
            }
            Some(t) => anew::kind(&old, &t.kind, &new.kind),
            None => format!("{} changed", capital(new.kind.name())),
        },
        TreatmentChange::Move { to } => format!("{old} moved to place {}", to + 1),
        TreatmentChange::Remove => format!("{old} removed"),
    }
}

/// A file that is there, by what it is for.
fn kept(scene: &Scene, digest: &Digest) -> String {
    let is_paper = scene.sources.get(digest).is_some_and(|s| s.kind == SourceKind::Other);
    format!("{} {}", if is_paper { "Paper" } else { "File" }, source_name(scene, digest))
}

/// Whether two of them differ in what is painted on dodging cards alone.
fn is_painted(old: &Treatment, new: &Treatment) -> bool {
    let is_same = |(a, b): (&Clause, &Clause)| match (a, b) {
        (Clause::Card { of: a, .. }, Clause::Card { of: b, .. }) => a == b,
        (a, b) => a == b,
    };
    let (old, new) = (&old.where_.0, &new.where_.0);
    old.len() == new.len() && old.iter().zip(new).all(is_same)
}

/// By how many stops, where that is what a treatment is told.
fn amount(kind: &Kind) -> String {
    let stops = match kind {
        Kind::Exposure(stops) | Kind::EdgeFallOff { stops } | Kind::EdgeBurn { stops, .. } => stops.get(),
        _ => return String::new(),
    };
    format!(" {}{} stops", if stops > 0.0 { "+" } else { "" }, plain(stops, 2))
}

/// How a mark differs from another on the same level.
fn moved(from: &Mark, to: &Mark) -> String {
    let parts = [
        ((to.z - from.z).get(), "farther", "nearer"),
        ((to.x - from.x).get(), "to the right", "to the left"),
        ((to.y - from.y).get(), "higher", "lower"),
    ];
    let told: Vec<String> = parts
        .iter()
        .filter(|(by, ..)| plain(by.abs(), 2) != "0")
        .map(|(by, more, less)| format!("{} m {}", plain(by.abs(), 2), if *by > 0.0 { more } else { less }))
        .collect();
    if told.is_empty() { "hardly moved".to_owned() } else { told.join(", ") }
}

/// Where a mark is.
fn at(mark: &Mark, scene: &Scene) -> String {
    let level =
        mark.level.and_then(|id| scene.levels.get(&id)).map_or(String::new(), |l| format!(" on {}", l.name));
    format!("{} m away, {}{level}", plain(mark.z.get(), 2), across(mark.x.get()))
}

fn across(x: f64) -> String {
    match plain(x.abs(), 2) {
        none if none == "0" => "in the middle".to_owned(),
        by if x > 0.0 => format!("{by} m right"),
        by => format!("{by} m left"),
    }
}

fn based<N, V>(row: &Row<N, V>, nudge: String, pinned: impl Fn(V) -> String) -> String
where
    N: PartialEq + Default,
    V: Copy,
{
    match row.basis {
        Basis::Computed => nudge,
        // The nudge works again once the pin is let go.
        Basis::Pinned(value) if row.nudge != N::default() => {
            format!("pinned at {}, nudge {nudge} once released", pinned(value))
        }
        Basis::Pinned(value) => format!("pinned at {}", pinned(value)),
        Basis::AsPhotographed => format!("as photographed, {nudge}"),
    }
}

fn factor<V: Copy>(row: &Row<Factor, V>, pinned: impl Fn(V) -> String) -> String {
    based(row, per_cent(row.nudge.get()), pinned)
}

fn per_cent(share: f64) -> String {
    format!("{} %", plain(share * 100.0, 1))
}

/// How much more or less light that is.
fn factor_of(times: f64) -> String {
    let by = units::math::log2(times);
    let (many, way) = (plain(by.abs(), 2), if by < 0.0 { "darker" } else { "brighter" });
    format!("{many} {} {way}", if many == "1" { "stop" } else { "stops" })
}

fn stops(value: Stops) -> String {
    let sign = if value.get() > 0.0 { "+" } else { "" };
    format!("{sign}{} stops", plain(value.get(), 2))
}

fn warmth(value: Warmth) -> String {
    let way = if value.warmth.get() < 0.0 { "cooler" } else { "warmer" };
    let tint = if value.tint == 0.0 { String::new() } else { format!(", tint {}", plain(value.tint, 1)) };
    format!("{} mired {way}{tint}", plain(value.warmth.abs().get(), 0))
}

fn degrees(value: Degrees) -> String {
    format!("{}°", plain(value.get(), 1))
}

fn side(bearing: Degrees) -> String {
    let way = if bearing.get() < 0.0 { "left" } else { "right" };
    format!("{} {way}", degrees(bearing.abs()))
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A number with at most so many decimals, without zeros at its end.
fn plain(value: f64, decimals: usize) -> String {
    if value.abs() >= 1e9 {
        return figure(value);
    }
    let text = format!("{value:.decimals$}");
    let short = if decimals > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
