//! Set dressings as they are told.

use crate::commands::line_up::target_name;
use crate::commands::pieces;
use optics::Point;
use scene::{Area, Arrangement, CutOutId, Dressing, DressingId, KeepClear, Scene, Thinning};
use serde::Serialize;
use ts_rs::TS;
use units::Metres;

/// What the picture's dressings are.
#[must_use]
pub fn list(scene: &Scene) -> Vec<DressingReport> {
    scene.dressings().iter().map(|(id, rule)| report(scene, *id, rule)).collect()
}

/// A dressing as it is told.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct DressingReport {
    /// Its number.
    pub dressing: u64,
    /// What it is called.
    pub name: String,
    /// What it is made of.
    pub of: Vec<ChosenReport>,
    /// Numbers of the pieces that it has in the picture.
    pub pieces: Vec<u64>,
    /// How many pieces it may have; none: as many as find room.
    pub at_most: Option<u32>,
    /// How they stand to one another.
    pub arrangement: ArrangementReport,
    /// What it fills.
    pub ground: GroundReport,
    /// The level it lies on; none is the ground under the camera.
    pub level: Option<String>,
    /// How much that is.
    pub ground_m2: Option<f64>,
    /// Its edge on the ground, right and away: closed.
    pub edge_m: Vec<[f64; 2]>,
    /// The same as it is seen, in the picture's pixels; what lies behind the lens is left out.
    pub edge_px: Vec<[f64; 2]>,
    /// Where it is thinned with the distance: from, to, and the share that is left there.
    pub thin_far: Option<[f64; 3]>,
    /// Where it is thinned towards its edge: from so far inside, and the share that is left at it.
    pub thin_edge: Option<[f64; 2]>,
    /// Factor on the real height, least and most.
    pub heights: [f64; 2],
    /// Out of the plane.
    pub leans_deg: [f64; 2],
    /// In the plane.
    pub turns_deg: [f64; 2],
    /// Above the level.
    pub lifts_m: [f64; 2],
    /// Whether mirror images are used too.
    pub mirror: bool,
    /// What its pieces look at: the word that it is told by; none where they look anywhere.
    pub facing: Option<String>,
    /// What it leaves free.
    pub clear: Vec<ClearReport>,
}

/// A cut-out that a dressing is made of.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct ChosenReport {
    /// Its number.
    pub cutout: u64,
    /// What it is called.
    pub name: String,
    /// How often it is taken, against the others.
    pub share: f64,
}

/// How the pieces of a dressing stand to one another.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, TS)]
#[serde(tag = "way", rename_all = "snake_case")]
pub enum ArrangementReport {
    /// Irregular.
    Drift {
        /// Least distance between two.
        spacing_m: f64,
    },
    /// In tufts.
    Clumps {
        /// Least distance from middle to middle.
        spacing_m: f64,
        /// Across one.
        width_m: f64,
        /// Least distance in it.
        within_m: f64,
    },
    /// In lines.
    Ranks {
        /// Along one, from piece to piece.
        spacing_m: f64,
        /// From line to line.
        between_m: f64,
        /// Where they lead: 0 is away, positive to the right.
        bearing_deg: f64,
        /// How far off its place a piece may stand: share of half the spacing.
        jitter: f64,
    },
}

/// What a dressing fills.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum GroundReport {
    /// What a closed line surrounds.
    Outline,
    /// Along a line.
    Band {
        /// The line: right and away.
        along_m: Vec<[f64; 2]>,
        /// Across it.
        width_m: f64,
    },
    /// Around a piece.
    Around {
        /// Its number.
        piece: u64,
        /// Across it all.
        width_m: f64,
        /// From the outer edge inwards.
        depth_m: f64,
        /// What stays open towards the lens.
        opening_deg: f64,
    },
}

/// What a dressing leaves free.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct ClearReport {
    /// As it reads.
    pub says: String,
    /// The words that say it.
    pub words: Vec<String>,
}

fn report(scene: &Scene, id: DressingId, rule: &Dressing) -> DressingReport {
    let called = |id: &CutOutId| scene.cutouts().get(id).map_or_else(|| id.to_string(), |c| c.name.clone());
    let chosen = |c: &scene::Chosen| ChosenReport {
        cutout: c.cutout.number(),
        name: called(&c.cutout),
        share: c.share,
    };
    let stands = |laid: &&scene::Laid| scene.pieces().contains_key(&laid.piece);
    let edge_m = dressing::edge(scene, rule);
    let ranges = &rule.ranges;
    DressingReport {
        dressing: id.number(),
        name: rule.name.clone(),
        of: rule.of.iter().map(chosen).collect(),
        pieces: rule.laid.values().filter(stands).map(|laid| laid.piece.number()).collect(),
        at_most: rule.number,
        arrangement: arrangement(rule.arrangement),
        ground: ground(&rule.area),
        level: rule.level.and_then(|l| scene.levels().get(&l)).map(|l| l.name.clone()),
        ground_m2: dressing::square_metres(scene, rule),
        edge_px: seen(scene, rule, &edge_m),
        edge_m,
        thin_far: rule.thinning.iter().find_map(|t| match t {
            Thinning::Distance { from, to, left } => Some([from.get(), to.get(), *left]),
            Thinning::Edge { .. } => None,
        }),
        thin_edge: rule.thinning.iter().find_map(|t| match t {
            Thinning::Edge { width, left } => Some([width.get(), *left]),
            Thinning::Distance { .. } => None,
        }),
        heights: [ranges.height.0.get(), ranges.height.1.get()],
        leans_deg: [ranges.lean.0.get(), ranges.lean.1.get()],
        turns_deg: [ranges.turn.0.get(), ranges.turn.1.get()],
        lifts_m: [ranges.lift.0.get(), ranges.lift.1.get()],
        mirror: ranges.mirror,
        facing: rule.facing.map(|t| target_name(scene, t)),
        clear: rule.clear.iter().map(|c| clear(scene, c)).collect(),
    }
}

fn arrangement(of: Arrangement) -> ArrangementReport {
    match of {
        Arrangement::Drift { spacing } => ArrangementReport::Drift { spacing_m: spacing.get() },
        Arrangement::Clumps { spacing, width, within } => ArrangementReport::Clumps {
            spacing_m: spacing.get(),
            width_m: width.get(),
            within_m: within.get(),
        },
        Arrangement::Ranks { bearing, spacing, between, jitter } => ArrangementReport::Ranks {
            spacing_m: spacing.get(),
            between_m: between.get(),
            bearing_deg: bearing.get(),
            jitter,
        },
    }
}

impl ArrangementReport {
    /// The trade's word for it.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Drift { .. } => "drift",
            Self::Clumps { .. } => "clumps",
            Self::Ranks { .. } => "ranks",
        }
    }

    /// Least distance between two pieces.
    #[must_use]
    pub const fn least_m(&self) -> f64 {
        match self {
            Self::Drift { spacing_m } | Self::Ranks { spacing_m, .. } => *spacing_m,
            Self::Clumps { within_m, .. } => *within_m,
        }
    }
}

fn ground(area: &Area) -> GroundReport {
    match area {
        Area::Outline(_) => GroundReport::Outline,
        Area::Band { along, width } => GroundReport::Band { along_m: along.clone(), width_m: width.get() },
        Area::Arc { around, width, depth, opening } => GroundReport::Around {
            piece: around.number(),
            width_m: width.get(),
            depth_m: depth.get(),
            opening_deg: opening.get(),
        },
    }
}

/// An edge as it is seen: each of its straight lines in steps, for those that end behind the lens.
fn seen(scene: &Scene, rule: &Dressing, edge: &[[f64; 2]]) -> Vec<[f64; 2]> {
    const STEPS: usize = 12;
    let Ok(frame) = staging::frame::frame(scene, pieces::backdrop_size(scene)) else { return Vec::new() };
    let level = rule.level.and_then(|l| scene.levels().get(&l)).map_or(Metres::ZERO, |l| l.height);
    let steps = if edge.len() > 60 { 1 } else { STEPS };
    let places = edge.iter().zip(edge.iter().cycle().skip(1)).flat_map(|(a, b)| {
        (0..steps).map(move |i| {
            let t = i as f64 / steps as f64;
            [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
        })
    });
    let project = |[x, z]: [f64; 2]| {
        let at = Point::new(Metres::new(x)?, level, Metres::new(z)?);
        frame.camera.project(at).map(|p| [p.u, p.v])
    };
    places.filter_map(project).collect()
}

fn clear(scene: &Scene, of: &KeepClear) -> ClearReport {
    let percent = |share: f64| format!("{}%", scene::figure(share * 100.0));
    let (says, words) = match of {
        KeepClear::Region(polygons) => {
            let size = scene.format().size;
            let place = |p: &[f64; 2]| {
                let px = |v: f64, side: u32| scene::figure(v * f64::from(side)).to_string();
                format!("{},{}", px(p[0], size.width()), px(p[1], size.height()))
            };
            let corners: Vec<String> = polygons.iter().flatten().map(place).collect();
            let words = vec!["--clear-region".to_owned(), corners.join(" ")];
            ("a region of the picture".to_owned(), words)
        }
        KeepClear::Piece { piece, from, to } => {
            let of = scene.called(*piece);
            let says = match (*from, *to) {
                (0.0, 1.0) => of,
                (super::FACE, 1.0) => format!("the face of {of}"),
                (from, to) => format!("{of} from {} to {} of its height", percent(from), percent(to)),
            };
            let said = format!("#{}:{}..{}", piece.number(), percent(*from), percent(*to));
            (says, vec!["--clear".to_owned(), said])
        }
        KeepClear::Practical(lamp) => {
            let says = scene.practicals().get(lamp).map_or_else(|| lamp.to_string(), |l| l.name.clone());
            (says, vec!["--clear-lamp".to_owned(), format!("#{}", lamp.number())])
        }
        KeepClear::Sight { from, to, width } => {
            let metres = scene::figure(width.get());
            let to = target_name(scene, *to);
            let says = format!("the line from {} to {to}, {metres} m wide", scene.called(*from));
            (says, vec!["--clear-sight".to_owned(), format!("#{},{to},{metres}m", from.number())])
        }
        KeepClear::Feet { around } => {
            let metres = scene::figure(around.get());
            (
                format!("{metres} m around the feet of others"),
                vec!["--clear-feet".to_owned(), format!("{metres}m")],
            )
        }
    };
    ClearReport { says, words }
}
