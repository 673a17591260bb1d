//! What a dressing leaves free.

use crate::ground::{Place, from_stretch};
use crate::silhouette::{Box4, Silhouette};
use optics::Point;
use scene::{Dressing, KeepClear, PieceId, Target};
use staging::standing::{Stage, Standing};
use std::collections::BTreeSet;

/// A lamp is left as much room around it as it is thick.
const AROUND_LAMP: f64 = 2.0;

/// All that one dressing must leave free.
pub(crate) struct Clear {
    /// Corners in picture pixels: nothing may cover these.
    regions: Vec<Vec<[f64; 2]>>,
    /// What stands nearer than so deep may not cover these.
    boxes: Vec<(f64, Box4)>,
    /// Strips of ground from end to end, with half their width.
    strips: Vec<(Place, Place, f64)>,
    /// Places with the distance that must be kept from them.
    feet: Vec<(Place, f64)>,
}

impl Clear {
    /// `own` are the dressing's own pieces, which are no obstacle to it.
    pub(crate) fn of(stage: &Stage<'_>, rule: &Dressing, own: &BTreeSet<PieceId>) -> Self {
        let mut clear = Self { regions: Vec::new(), boxes: Vec::new(), strips: Vec::new(), feet: Vec::new() };
        for keep in &rule.clear {
            clear.keep(stage, keep, (rule, own));
        }
        clear
    }

    fn keep(
        &mut self,
        stage: &Stage<'_>,
        keep: &KeepClear,
        (rule, own): (&Dressing, &BTreeSet<PieceId>),
    ) -> Option<()> {
        let size = stage.scene.format().size;
        let (w, h) = (f64::from(size.width()), f64::from(size.height()));
        let foot = |id: PieceId| stage.feet.get(&id).map(|f| f.0);
        match keep {
            KeepClear::Region(region) => {
                let place = |p: &[f64; 2]| [p[0] * w, p[1] * h];
                self.regions.extend(region.iter().map(|polygon| polygon.iter().map(place).collect()));
            }
            KeepClear::Piece { piece, from, to } => {
                let standing = stage.stand(*piece, stage.scene.pieces().get(piece)?, &mut Vec::new())?;
                let cut = stage.measured.cuts.get(&standing.cutout)?;
                let depth = standing.depth.metres().get();
                let bands = Silhouette::of(&standing, cut, Some((*from, *to)))?.bands;
                self.boxes.extend(bands.into_iter().map(|band| (depth, band)));
            }
            KeepClear::Practical(lamp) => {
                let at = stage.lamp_at(*lamp)?;
                let seen = stage.frame.camera.project(at)?;
                let radius = stage.scene.practicals().get(lamp)?.radius.get() * AROUND_LAMP;
                let r = radius * stage.frame.camera.scale(seen.depth).get();
                let around = Box4([seen.u - r, seen.u + r, seen.v - r, seen.v + r]);
                self.boxes.push((seen.depth.metres().get(), around));
            }
            KeepClear::Sight { from, to, width } => {
                let flat = |p: Point| [p.x.get(), p.z.get()];
                let end = match to {
                    Target::Piece(id) => flat(foot(*id)?),
                    Target::Practical(lamp) => flat(stage.lamp_at(*lamp)?),
                    Target::Point(p) => flat(*p),
                    Target::Lens => [0.0, 0.0],
                    Target::Away => return None,
                };
                self.strips.push((flat(foot(*from)?), end, width.get() / 2.0));
            }
            KeepClear::Feet { around } => {
                let level = rule.level;
                let others = stage.scene.pieces().iter().filter(|(id, p)| {
                    !own.contains(id) && p.attached_to.is_none() && p.mark.level == level && !p.hidden
                });
                self.feet.extend(others.map(|(_, p)| ([p.mark.x.get(), p.mark.z.get()], around.get())));
            }
        }
        Some(())
    }

    /// Whether something may have its foot at a place.
    pub(crate) fn lets_stand(&self, at: Place) -> bool {
        let far = |(from, to, half): &(Place, Place, f64)| from_stretch(*from, *to, at) >= *half;
        let off =
            |(foot, around): &(Place, f64)| units::math::hypot(foot[0] - at[0], foot[1] - at[1]) >= *around;
        self.strips.iter().all(far) && self.feet.iter().all(off)
    }

    /// Whether what must be seen is seen past a piece; one without an outline reaches behind the lens, and hides it.
    pub(crate) fn lets_see(&self, piece: &Standing, silhouette: impl FnOnce() -> Option<Silhouette>) -> bool {
        let depth = piece.depth.metres().get();
        if self.regions.is_empty() && self.boxes.iter().all(|(deep, _)| depth >= *deep) {
            return true;
        }
        let Some(silhouette) = silhouette() else { return false };
        let covers =
            |polygon: &Vec<[f64; 2]>| silhouette.bands.iter().any(|band| band.meets_polygon(polygon));
        !self.regions.iter().any(covers)
            && !self.boxes.iter().any(|(deep, part)| depth < *deep && silhouette.meets(*part))
    }
}
