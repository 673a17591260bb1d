//! Views of props that would be worth photographing: where what faces something misses it by more than is forgiven.

use super::measure::Measures;
use scene::{CutOutId, PieceId, Scene};
use serde::Serialize;
use staging::facing::{Sight, sight};
use staging::{Resolved, standing::Standing};
use std::collections::BTreeMap;
use units::Degrees;

/// A view that misses by less is good enough (own choice: the demo's birds, photographed every 45 degrees, miss by 22 at most, and by 12
/// they look right).
const FORGIVEN: f64 = 12.0;

/// A view that is not there yet.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct WantedView {
    /// The prop, or the cut-out that has no other view.
    pub of: String,
    /// How it is turned: 0 looks at the camera, positive has come round to the right.
    pub bearing_deg: f64,
    /// How far down the camera looks at its middle, negative up.
    pub height_of_view_deg: Option<f64>,
    /// How far from it the camera stands best, along the ground: as in the picture.
    pub distance_m: f64,
    /// How tall it is in the picture at most.
    pub height_px: f64,
    /// Who would show it.
    pub pieces: Vec<String>,
    /// By how much these miss now, at most.
    pub off_deg: f64,
}

/// A piece whose view misses.
struct Missed<'a> {
    id: PieceId,
    stands: &'a Standing,
    off: f64,
    may_mirror: bool,
}

/// The views that the most pieces ask for first.
#[must_use]
pub fn wanted(scene: &Scene, measures: &Measures, resolved: &Resolved) -> Vec<WantedView> {
    let mut by_prop: BTreeMap<String, Vec<Missed<'_>>> = BTreeMap::new();
    for (id, stands) in &resolved.standing {
        let Some(piece) = scene.pieces().get(id).filter(|p| p.facing.is_some()) else { continue };
        let Some(own) = sight(scene, &measures.measured, stands.cutout, piece.stance) else { continue };
        let own = if stands.mirrored { own.mirrored() } else { own };
        let off = own.off(stands.wanted).get();
        if off > FORGIVEN {
            let may_mirror =
                scene.cutouts().get(&piece.cutout).is_some_and(|c| c.facts.may_mirror != Some(false));
            by_prop.entry(called(scene, piece.cutout)).or_default().push(Missed {
                id: *id,
                stands,
                off,
                may_mirror,
            });
        }
    }
    let mut all: Vec<WantedView> =
        by_prop.into_iter().flat_map(|(of, missed)| of_prop(scene, &of, missed)).collect();
    all.sort_by(|a, b| {
        b.pieces
            .len()
            .cmp(&a.pieces.len())
            .then(b.off_deg.total_cmp(&a.off_deg))
            .then_with(|| a.of.cmp(&b.of))
    });
    all
}

fn called(scene: &Scene, cutout: CutOutId) -> String {
    scene
        .cutouts()
        .get(&cutout)
        .map_or_else(String::new, |c| c.prop.clone().unwrap_or_else(|| c.name.clone()))
}

/// Time after time the view that serves the most of those that are left, and of these the one that they all come nearest to.
fn of_prop(scene: &Scene, of: &str, mut left: Vec<Missed<'_>>) -> Vec<WantedView> {
    let mut views = Vec::new();
    while !left.is_empty() {
        let best = left.iter().map(|m| m.stands.wanted).min_by(|a, b| {
            let served = |at: &Sight| {
                let offs: Vec<f64> =
                    left.iter().map(|m| off(*at, m)).filter(|off| *off <= FORGIVEN).collect();
                (offs.len(), offs.iter().sum::<f64>())
            };
            let ((n, sum), (m, other)) = (served(a), served(b));
            m.cmp(&n).then(sum.total_cmp(&other))
        });
        let Some(at) = best else { break };
        let (served, others): (Vec<_>, Vec<_>) = left.into_iter().partition(|m| off(at, m) <= FORGIVEN);
        left = others;
        let most = |f: &dyn Fn(&Missed<'_>) -> f64| served.iter().map(f).fold(0.0, f64::max);
        let mut distances: Vec<f64> = served.iter().map(|m| away(m.stands)).collect();
        distances.sort_by(f64::total_cmp);
        views.push(WantedView {
            of: of.to_owned(),
            bearing_deg: at.bearing.get(),
            height_of_view_deg: at.height.map(Degrees::get),
            distance_m: distances[distances.len() / 2],
            height_px: most(&|m| m.stands.height.get() * m.stands.size.result),
            pieces: served.iter().map(|m| scene.called(m.id)).collect(),
            off_deg: most(&|m| m.off),
        });
    }
    views
}

fn off(at: Sight, missed: &Missed<'_>) -> f64 {
    let plain = at.off(missed.stands.wanted).get();
    let mirrored = at.mirrored().off(missed.stands.wanted).get();
    if missed.may_mirror { plain.min(mirrored) } else { plain }
}

fn away(stands: &Standing) -> f64 {
    units::math::hypot(stands.foot.x.get(), stands.foot.z.get())
}
