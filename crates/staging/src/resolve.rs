//! A scene, as it is seen in one take, into a layout.

use crate::frame::frame;
use crate::illumination::illumination;
use crate::layout::{Cut, Daylight, Drawn, Ground, Keeps, Layout, Mask, Mixing, Resampling};
use crate::measured::{Measured, MeasuredCut};
use crate::shadows::Thrower;
use crate::snag::Snag;
use crate::standing::{Stage, Standing, feet};
use crate::{bounds, lit, pools, remarks, shadows, toning, water};
use scene::{InFrontOf, LevelId, PieceId, Scene, Surface};
use std::collections::BTreeMap;
use units::{PxRect, Vec3, math};

/// A resolved picture: what is drawn, and where each piece of it stands.
#[derive(Clone, PartialEq, Debug)]
pub struct Resolved {
    /// What is drawn.
    pub layout: Layout,
    /// Every piece that is drawn, by its name in the scene.
    pub standing: BTreeMap<PieceId, Standing>,
    /// What could not be drawn, or gives the picture away.
    pub snags: Vec<Snag>,
    /// What is worth knowing, and may well be meant: pieces of which nothing is seen.
    pub remarks: Vec<Snag>,
}

/// Resolves a scene (with its take already laid over it). Total: what cannot be drawn is left out and said.
#[must_use]
pub fn resolve(scene: &Scene, measured: &Measured) -> Resolved {
    let mut snags = Vec::new();
    let format = scene.format();
    let ground_tone = Vec3::splat(0.18);
    let empty = Layout {
        size: format.size,
        primaries: format.primaries,
        resampling: Resampling::Sensor,
        ground: Ground::Plain(ground_tone),
        daylight: Daylight::default(),
        pools: Vec::new(),
        shadows: Vec::new(),
        pieces: Vec::new(),
        fields: Vec::new(),
        toning: Vec::new(),
    };
    let frame = match frame(scene, measured.backdrop) {
        Ok(frame) => frame,
        Err(e) => {
            snags.push(Snag::of_number(&e, "the stage's camera", None));
            let (standing, remarks) = (BTreeMap::new(), Vec::new());
            return Resolved { layout: empty, standing, snags, remarks };
        }
    };
    let feet = feet(scene);
    // A lamp on a piece in the wings is in the wings with it.
    let lit = |id| feet.get(&id).map(|f| f.0).filter(|_| !is_hidden(scene, id));
    let light = illumination(scene, &lit, &mut snags);
    let stage = Stage { scene, frame: &frame, light: &light, measured, feet: &feet };

    let standing: BTreeMap<PieceId, Standing> = scene
        .pieces()
        .iter()
        .filter(|(id, _)| !is_hidden(scene, **id))
        .filter_map(|(id, piece)| Some((*id, stage.stand(*id, piece, &mut snags)?)))
        .collect();
    let order = far_to_near(scene, &standing);
    let mut pieces = Vec::new();
    let mut cast = Vec::new();
    let pools = pools::resolve(&stage);
    let mut remarks: Vec<Snag> =
        measured.backdrop.and_then(|size| remarks::window_beyond(scene, size)).into_iter().collect();
    remarks.extend(remarks::widest(scene));
    let casting = order.iter().filter(|id| standing[*id].shadow.result > 0.0);
    let throwers: BTreeMap<PieceId, Thrower<'_>> = casting
        .filter_map(|id| {
            let cut = Cut::out(scene.cutouts().get(&standing[id].cutout)?);
            let thrower = (cut.mixing == Mixing::Over).then(|| Thrower::new(&stage, &standing[id], cut));
            Some((*id, thrower.flatten()?))
        })
        .collect();
    for id in &order {
        let stands = &standing[id];
        let cutout = &scene.cutouts()[&stands.cutout];
        if stands.mirrored && cutout.facts.may_mirror == Some(false) {
            snags.push(Snag {
                what: format!("is mirrored, but no mirror image of {} may be used", cutout.name),
                place: scene.called(*id),
                piece: Some(*id),
                remedy: "take the mirror image back, or show another cut-out".to_owned(),
            });
        }
        let cut = Cut::out(cutout);
        let MeasuredCut { covered, solid, .. } = measured.cuts[&stands.cutout];
        let Some(mut drawn) = drawn(&stage, stands, cut, covered) else {
            snags.push(Snag {
                what: "is seen edge-on: nothing of it would show".to_owned(),
                place: scene.called(*id),
                piece: Some(*id),
                remedy: "turn or lean it less".to_owned(),
            });
            continue;
        };
        drawn.lit = lit::of_piece(&stage, stands, &scene.pieces()[id], cutout).map(|mut lit| {
            lit.blockers = lit::blockers(&lit, stands, covered, &throwers);
            Box::new(lit)
        });
        let is_in_water = level_under(scene, *id)
            .and_then(|l| scene.levels().get(&l))
            .is_some_and(|l| l.surface == Surface::Water && stands.foot.y < stands.level);
        if is_in_water && let Some(under) = water::under(&stage, stands, stands.level) {
            drawn.masks.push(Mask { polygons: vec![under], softness: 1.0, keeps: Keeps::Outside });
        }
        if let Some(thrower) = throwers.get(id).filter(|_| takes_shadow(scene, *id)) {
            cast.extend(shadows::of_piece(thrower, &pools));
        }
        remarks.extend(remarks::of_piece(scene, stands, &drawn, solid, cutout.kind));
        pieces.push(drawn);
    }
    let own = |d: &Drawn| {
        let stands = standing.get(&d.piece)?;
        Some(water::images(&stage, stands, d, level_under(scene, d.piece)).collect::<Vec<_>>())
    };
    // All of them lie on the water, under whatever stands; far ones under near ones.
    let images: Vec<Drawn> = pieces.iter().filter_map(own).flatten().collect();
    bring_forward(scene, &mut pieces);
    pieces.splice(0..0, images);

    let ground = match (scene.backdrop(), measured.backdrop) {
        (Some(backdrop), Some(_)) => {
            Ground::Photograph { source: backdrop.source, to_source: frame.to_backdrop }
        }
        (Some(_), None) => {
            snags.push(Snag {
                what: "the backdrop cannot be read".to_owned(),
                place: "backdrop".to_owned(),
                piece: None,
                remedy: "bring its file back, or choose another".to_owned(),
            });
            empty.ground.clone()
        }
        (None, _) => empty.ground.clone(),
    };
    let pools = pools.into_iter().map(|(_, pool)| pool).collect();
    let daylight = pools::daylight(&light.lights, light.dusk);
    let mut layout = Layout { ground, daylight, pools, shadows: cast, pieces, ..empty };
    toning::resolve(&stage, &standing, &mut layout, &mut snags);
    Resolved { layout, standing, snags, remarks }
}

/// Whether the piece or one that carries it is kept in the wings.
#[must_use]
pub fn is_hidden(scene: &Scene, id: PieceId) -> bool {
    let mut at = Some(id);
    while let Some(piece) = at.and_then(|id| scene.pieces().get(&id)) {
        if piece.hidden {
            return true;
        }
        at = piece.attached_to;
    }
    false
}

/// The level under a piece, or under what carries it.
fn level_under(scene: &Scene, id: PieceId) -> Option<LevelId> {
    let mut at = id;
    while let Some(parent) = scene.pieces().get(&at).and_then(|p| p.attached_to) {
        at = parent;
    }
    scene.pieces().get(&at).and_then(|p| p.mark.level)
}

fn takes_shadow(scene: &Scene, id: PieceId) -> bool {
    level_under(scene, id).and_then(|l| scene.levels().get(&l)).is_none_or(|l| l.surface == Surface::Dry)
}

/// By depth, what carries something together with it, ties by id (docs/model.md, *Order*).
fn far_to_near(scene: &Scene, standing: &BTreeMap<PieceId, Standing>) -> Vec<PieceId> {
    let root = |id: PieceId| {
        let mut at = id;
        while let Some(parent) = scene.pieces().get(&at).and_then(|p| p.attached_to) {
            at = parent;
        }
        at
    };
    let depth = |id: PieceId| standing.get(&id).map(|s| s.depth.metres());
    let mut order: Vec<PieceId> = standing.keys().copied().collect();
    order.sort_by(|a, b| {
        let (ra, rb) = (root(*a), root(*b));
        depth(rb).cmp(&depth(ra)).then(ra.cmp(&rb)).then_with(|| depth(*b).cmp(&depth(*a))).then(a.cmp(b))
    });
    order
}

fn drawn(stage: &Stage<'_>, piece: &Standing, cut: Cut, covered: PxRect) -> Option<Drawn> {
    let to_shot = piece.to_shot * piece.to_picture.inverse()?;
    let keep = 1.0 - piece.haze.result;
    let haze = stage.scene.haze().map_or(Vec3::default(), |h| h.colour()).times(stage.light.dusk);
    Some(Drawn {
        piece: piece.id,
        cut,
        to_shot,
        bounds: bounds::of_shot(&to_shot, covered, stage.scene.format().size),
        disc: piece.defocus.result,
        aperture: stage.scene.lens().aperture(),
        gain: piece.colour.result * (math::exp2(piece.light.result) * keep),
        lit: None,
        veil: haze * piece.haze.result,
        masks: Vec::new(),
        in_water: None,
    })
}

/// What stands before a piece against the order by distance: the backdrop takes the piece away there; another piece is
/// drawn over it there instead of in its place.
fn bring_forward(scene: &Scene, pieces: &mut Vec<Drawn>) {
    let size = scene.format().size;
    for front in scene.in_front().values() {
        let Some(at) = pieces.iter().rposition(|d| d.piece == front.before) else { continue };
        let place = |p: &[f64; 2]| [p[0] * f64::from(size.width()), p[1] * f64::from(size.height())];
        let mask = |keeps| Mask {
            polygons: front.region.iter().map(|p| p.iter().map(place).collect()).collect(),
            softness: front.softness.get(),
            keeps,
        };
        match front.what {
            InFrontOf::Backdrop => {
                for drawn in pieces.iter_mut().filter(|d| d.piece == front.before) {
                    drawn.masks.push(mask(Keeps::Outside));
                }
            }
            InFrontOf::Piece(other) => {
                let Some(first) = pieces.iter().position(|d| d.piece == other) else { continue };
                if first < at {
                    let mut again = pieces[first].clone();
                    again.masks.push(mask(Keeps::Inside));
                    pieces[first].masks.push(mask(Keeps::Rest));
                    pieces.insert(at + 1, again);
                }
            }
        }
    }
}
