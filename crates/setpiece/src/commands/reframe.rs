//! A picture whose frame is laid elsewhere: what is fixed to places of the picture goes along with what is seen there (docs/model.md,
//! *Coordinates*).

use super::Error;
use super::new::{self, Extent};
use scene::Put;
use scene::{
    Basis, Clause, Edit, Format, InFrontOf, KeepClear, Kind, Level, PieceChange, Polygon, Row, Scene,
    TreatmentChange, Window,
};
use units::{Pixels, PixelsPerMetre, PxSize};

/// The format that a picture has at another extent.
///
/// # Errors
/// Where a print is larger, or smaller, than a picture can be.
pub fn format(scene: &Scene, extent: Extent) -> Result<Format, Error> {
    let (size, print) = new::sized(extent)?;
    Ok(Format { size, print, ..*scene.format() })
}

/// The part of a photograph that a picture of another shape shows: around the middle of the old one, all that the old one showed where
/// the photograph holds it.
#[must_use]
pub fn window(old: Window, was: PxSize, now: PxSize, photograph: Option<PxSize>) -> Window {
    let shape = |size: PxSize| f64::from(size.width()) / f64::from(size.height());
    let (left, top, wide) = (old.left.get(), old.top.get(), old.width.get());
    let high = wide / shape(was);
    let held = photograph.map(|p| (f64::from(p.width()), f64::from(p.height())));
    // What was extended before is extended again.
    let held = held.filter(|(w, h)| left >= 0.0 && top >= 0.0 && left + wide <= *w && top + high <= *h);
    let around = wide.max(high * shape(now));
    let width = held.map_or(around, |(w, h)| around.min(w).min(h * shape(now)));
    let height = width / shape(now);
    let middle = (left + wide / 2.0, top + high / 2.0);
    let place = |middle: f64, side: f64, held: Option<f64>| {
        let at = middle - side / 2.0;
        held.map_or(at, |held| at.clamp(0.0, (held - side).max(0.0)))
    };
    Window {
        left: Pixels::of(place(middle.0, width, held.map(|h| h.0))),
        top: Pixels::of(place(middle.1, height, held.map(|h| h.1))),
        width: Pixels::of(width),
    }
}

/// Whether a window shows so much of a photograph that it stands before it: a tenth of what the window holds (own choice, no source).
#[must_use]
pub fn shows_enough(window: Window, format: PxSize, photograph: PxSize) -> bool {
    const LEAST: f64 = 0.1;
    let (left, top, wide) = (window.left.get(), window.top.get(), window.width.get());
    let high = wide * f64::from(format.height()) / f64::from(format.width());
    let shared =
        |from: f64, long: f64, side: u32| ((from + long).min(f64::from(side)) - from.max(0.0)).max(0.0);
    shared(left, wide, photograph.width()) * shared(top, high, photograph.height()) >= LEAST * wide * high
}

/// What has to change with the frame: regions, painted strokes and gradients stay over what they were drawn on, and figures in pixels
/// of the picture stay as large in it.
#[must_use]
pub fn carried(was: &Scene, now: &Scene) -> Vec<Edit> {
    let Some(moves) = Moves::between(was, now) else { return Vec::new() };
    let mut edits = Vec::new();
    for (id, region) in now.in_front() {
        let of = if region.what == InFrontOf::Backdrop { &moves.backdrop } else { &moves.pieces };
        let mut carried = region.clone();
        carried.region = region.region.iter().map(|p| of.polygon(p)).collect();
        carried.softness = region.softness * moves.grown;
        if carried != *region {
            edits.push(Edit::InFront { id: *id, put: Put::Replace(Box::new(carried)) });
        }
    }
    for (id, level) in now.levels() {
        let region = level.region.iter().map(|p| moves.backdrop.polygon(p)).collect();
        let carried = Level { region, ..level.clone() };
        if carried != *level {
            edits.push(Edit::Level { id: *id, put: Put::Replace(Box::new(carried)) });
        }
    }
    for (id, rule) in now.dressings() {
        let mut carried = rule.clone();
        for clear in &mut carried.clear {
            if let KeepClear::Region(region) = clear {
                *region = region.iter().map(|p| moves.pieces.polygon(p)).collect();
            }
        }
        if carried != *rule {
            edits.push(Edit::Dressing { id: *id, put: Put::Replace(Box::new(carried)) });
        }
    }
    for treatment in now.toning() {
        let mut carried = treatment.clone();
        carried.where_.0.iter_mut().for_each(|clause| moves.carry(clause, (was, now)));
        if moves.is_resized {
            match &mut carried.kind {
                Kind::Halation { radius: px, .. }
                | Kind::Sharpness { radius: px, .. }
                | Kind::Grain { size: px, .. } => {
                    *px = *px * moves.grown;
                }
                _ => {}
            }
        }
        if carried != *treatment {
            let change = TreatmentChange::Replace(Box::new(carried));
            edits.push(Edit::Treatment { id: treatment.id, change });
        }
    }
    if moves.is_resized {
        for (piece, at) in now.pieces() {
            let rows = &at.rows;
            if let Basis::Pinned(size) = rows.size.basis
                && let Some(size) = PixelsPerMetre::new(size.get() * moves.grown)
            {
                let change = PieceChange::Size(Row { basis: Basis::Pinned(size), ..rows.size });
                edits.push(Edit::Change { piece: *piece, change });
            }
            if let Basis::Pinned(disc) = rows.defocus.basis {
                let change =
                    PieceChange::Defocus(Row { basis: Basis::Pinned(disc * moves.grown), ..rows.defocus });
                edits.push(Edit::Change { piece: *piece, change });
            }
        }
    }
    edits
}

/// Where places of the picture come to lie.
struct Moves {
    /// Places of the backdrop.
    backdrop: Along,
    /// Places of the stage, where pieces stand: a backdrop that is turned over does not turn them.
    pieces: Along,
    /// New picture pixels to an old one.
    grown: f64,
    /// The picture has another number of pixels.
    is_resized: bool,
}

/// From fractions of the old picture's width and height to those of the new one: a step and a stretch along each.
struct Along {
    across: (f64, f64),
    down: (f64, f64),
}

impl Moves {
    /// None where the frame lies where it lay, or another photograph lies under it.
    fn between(was: &Scene, now: &Scene) -> Option<Self> {
        let source = |scene: &Scene| scene.backdrop().map(|b| b.source);
        let (before, after) = (framed(was), framed(now));
        if source(was) != source(now) || before == after {
            return None;
        }
        let size = source(now).and_then(|d| now.sources().get(&d)?.size);
        let across = size
            .map_or_else(|| f64::from(now.stage().camera.viewpoint().size.width()), |s| f64::from(s.width()));
        let turns = before.is_mirrored != after.is_mirrored;
        let (stretch, high) = (before.wide / after.wide, before.high / after.high);
        let down = (high, (before.top - after.top) / after.high);
        let backdrop = if turns {
            (-stretch, (across - before.left - after.left) / after.wide)
        } else {
            (stretch, (before.left - after.left) / after.wide)
        };
        // From the camera's axis.
        let axis = |scene: &Scene| scene.stage().camera.principal().0;
        let pieces = (stretch, (axis(now) - after.left - (axis(was) - before.left)) / after.wide);
        Some(Self {
            backdrop: Along { across: backdrop, down },
            pieces: Along { across: pieces, down },
            grown: stretch * f64::from(now.format().size.width()) / f64::from(was.format().size.width()),
            is_resized: was.format().size != now.format().size,
        })
    }

    fn carry(&self, clause: &mut Clause, (was, now): (&Scene, &Scene)) {
        match clause {
            Clause::Gradient { from, to } => {
                (*from, *to) = (self.backdrop.place(*from), self.backdrop.place(*to))
            }
            Clause::Card { of: None, strokes } => {
                let sides = |scene: &Scene| {
                    [scene.format().size.width(), scene.format().size.height()].map(f64::from)
                };
                let (old, new) = (sides(was), sides(now));
                for (u, v, half) in strokes.iter_mut().flat_map(|s| &mut s.dots) {
                    let to = self.backdrop.place([u.get() / old[0], v.get() / old[1]]);
                    (*u, *v) = (Pixels::of(to[0] * new[0]), Pixels::of(to[1] * new[1]));
                    *half = *half * self.grown;
                }
            }
            _ => {}
        }
    }
}

impl Along {
    fn place(&self, [u, v]: [f64; 2]) -> [f64; 2] {
        // Regions reach no farther than a picture beyond the picture.
        [(self.across, u), (self.down, v)].map(|((stretch, step), at)| (stretch * at + step).clamp(-1.0, 2.0))
    }

    fn polygon(&self, polygon: &Polygon) -> Polygon {
        polygon.iter().map(|corner| self.place(*corner)).collect()
    }
}

/// The frame on the photograph, or on the stage's own picture.
#[derive(PartialEq)]
struct Framed {
    left: f64,
    top: f64,
    wide: f64,
    high: f64,
    is_mirrored: bool,
    size: PxSize,
}

fn framed(scene: &Scene) -> Framed {
    let size = scene.format().size;
    let whole = || (0.0, 0.0, f64::from(scene.stage().camera.viewpoint().size.width()));
    let window = scene.backdrop().map(|b| b.window);
    let (left, top, wide) = window.map_or_else(whole, |w| (w.left.get(), w.top.get(), w.width.get()));
    let high = wide * f64::from(size.height()) / f64::from(size.width());
    Framed { left, top, wide, high, is_mirrored: scene.backdrop().is_some_and(|b| b.mirrored), size }
}

#[cfg(test)]
mod tests {
    use super::*;
    use scene::{Backdrop, Says, Source, SourceKind, Stroke, StrokeForm, Treatment, Where};
    use units::Digest;

    const PHOTOGRAPH: PxSize = match PxSize::new(6000, 4000) {
        Some(size) => size,
        None => panic!(),
    };

    fn size(w: u32, h: u32) -> PxSize {
        PxSize::new(w, h).unwrap()
    }

    fn of(left: f64, top: f64, width: f64) -> Window {
        Window { left: Pixels::of(left), top: Pixels::of(top), width: Pixels::of(width) }
    }

    #[test]
    fn another_shape_shows_what_was_seen_where_the_photograph_holds_it() {
        let (wide, tall, square) = (size(3000, 2000), size(2000, 3000), size(2000, 2000));
        let whole = of(0.0, 0.0, 6000.0);
        let upright = window(whole, wide, tall, Some(PHOTOGRAPH));
        assert!((upright.width.get() - 4000.0 / 1.5).abs() < 1e-9 && upright.top.get() == 0.0, "{upright:?}");
        // Back again: nothing is lost.
        let back = window(upright, tall, wide, Some(PHOTOGRAPH));
        assert!((back.width.get() - 6000.0).abs() < 1e-9 && back.left.get().abs() < 1e-9, "{back:?}");
        // A part in a corner grows inwards.
        let corner = window(of(4500.0, 3000.0, 1500.0), wide, square, Some(PHOTOGRAPH));
        assert_eq!(corner, of(4500.0, 2500.0, 1500.0));
        // What was extended is extended again.
        let beyond = window(of(-300.0, 0.0, 6000.0), wide, square, Some(PHOTOGRAPH));
        assert_eq!(beyond, of(-300.0, -1000.0, 6000.0));
    }

    /// A picture of 600 x 400 with a backdrop, a region before a piece, a gradient, a painted card, and grain.
    fn scene() -> Scene {
        let mut scene = Scene::new("marsh", Format::of_size(size(600, 400))).unwrap();
        let source = Digest::of(b"photograph");
        let file = Source {
            kind: SourceKind::Backdrop,
            file: "marsh.png".to_owned(),
            name: "marsh.png".to_owned(),
            bytes: 1,
            size: Some(PHOTOGRAPH),
            note: String::new(),
        };
        let backdrop = Backdrop { source, window: of(600.0, 400.0, 3000.0), mirrored: false };
        let dot = (Pixels::of(150.0), Pixels::of(100.0), Pixels::of(8.0));
        let stroke =
            Stroke { says: Says::Add, form: StrokeForm::Line, dots: vec![dot], soft: 0.0, strength: 1.0 };
        let id = scene.fresh().treatment();
        let clauses = vec![
            Clause::Gradient { from: [0.25, 0.25], to: [0.5, 0.75] },
            Clause::Card { of: None, strokes: vec![stroke] },
        ];
        let kind = Kind::Grain { amount: 0.02, size: Pixels::of(2.0), seed: 1 };
        let treatment = Treatment { id, kind, strength: 1.0, where_: Where(clauses) };
        for edit in [
            Edit::Source { digest: source, put: Put::Add(Box::new(file)) },
            Edit::Backdrop(Some(backdrop)),
            Edit::Treatment { id, change: TreatmentChange::Add { at: 0, treatment: Box::new(treatment) } },
        ] {
            scene.apply(edit).unwrap();
        }
        scene
    }

    /// The photograph's place under the painted dot, and the dot's width there.
    fn dot(scene: &Scene) -> (f64, f64, f64) {
        let Clause::Card { strokes, .. } = &scene.toning()[0].where_.0[1] else { panic!("no card") };
        let ((u, v, half), framed) = (strokes[0].dots[0], framed(scene));
        let scale = framed.wide / f64::from(framed.size.width());
        (framed.left + u.get() * scale, framed.top + v.get() * scale, half.get() * scale)
    }

    fn is_near(a: (f64, f64, f64), b: (f64, f64, f64)) -> bool {
        (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6 && (a.2 - b.2).abs() < 1e-9
    }

    fn framed_anew(was: &Scene, edits: Vec<Edit>) -> Scene {
        let mut now = was.clone();
        now.apply(Edit::Group(edits)).unwrap();
        let carried = carried(was, &now);
        now.apply(Edit::Group(carried)).unwrap();
        now
    }

    #[test]
    fn what_is_painted_stays_over_what_it_was_painted_on() {
        let was = scene();
        let shown = *was.backdrop().unwrap();
        let cropped = Edit::Backdrop(Some(Backdrop { window: of(900.0, 500.0, 1500.0), ..shown }));
        let now = framed_anew(&was, vec![cropped.clone()]);
        assert!(is_near(dot(&was), dot(&now)), "{:?} {:?}", dot(&was), dot(&now));
        // The same number of pixels: the grain is the film's, and stays.
        assert_eq!(now.toning()[0].kind, was.toning()[0].kind);
        // Half as many pixels of the same view: everything is half as many pixels large.
        let now = framed_anew(&was, vec![Edit::Format(Format::of_size(size(300, 200)))]);
        assert!(is_near(dot(&was), dot(&now)));
        assert_eq!(now.toning()[0].kind, Kind::Grain { amount: 0.02, size: Pixels::of(1.0), seed: 1 });
        assert_eq!(now.toning()[0].where_.0[0], was.toning()[0].where_.0[0]);
        // Both at once, and another shape.
        let now = framed_anew(&was, vec![Edit::Format(Format::of_size(size(500, 500))), cropped]);
        assert!(is_near(dot(&was), dot(&now)));
    }

    #[test]
    fn what_is_painted_turns_over_with_the_backdrop() {
        let was = scene();
        let shown = *was.backdrop().unwrap();
        let over = Backdrop { window: of(6000.0 - 600.0 - 3000.0, 400.0, 3000.0), mirrored: true, ..shown };
        let now = framed_anew(&was, vec![Edit::Backdrop(Some(over))]);
        let (x, y, half) = dot(&now);
        assert!(is_near(dot(&was), (6000.0 - x, y, half)), "{:?} {x}", dot(&was));
    }

    #[test]
    fn another_photograph_carries_nothing() {
        let was = scene();
        let mut now = was.clone();
        now.apply(Edit::Backdrop(None)).unwrap();
        assert!(carried(&was, &now).is_empty());
        assert!(carried(&was, &was).is_empty());
    }
}
