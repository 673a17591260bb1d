//! The line-up: every piece with its mark card, nearest first.

use super::Error;
use super::measure::{Measures, measure};
use crate::Folder;
use optics::adaptation::{Chromaticity, bradford};
use optics::{light_colour, locus, temperature};
use pixels::Budget;
use scene::{Basis, Factor, InFrontOf, PieceId, Row, Scene, Stance, Target, Warmth};
use serde::Serialize;
use staging::standing::Standing;
use staging::{Resolved, Snag};
use std::collections::{BTreeMap, BTreeSet};
use ts_rs::TS;
use units::{Kelvin, Mat3, Mired, Primaries, Vec3};

/// The pieces of a picture.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct LineUp {
    /// Nearest first; then those in the wings and those that cannot stand.
    pub pieces: Vec<Card>,
}

/// A piece's mark card. What is `None` has no value: the piece is in the wings or cannot stand.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct Card {
    /// Its number.
    pub piece: u64,
    /// What it is called.
    pub name: String,
    /// The cut-out that it shows, as facing chose it.
    pub shows: String,
    /// The number of that cut-out.
    pub cutout: u64,
    /// Whether that is mirrored.
    pub mirrored: bool,
    /// Whether the picture is about it.
    pub is_subject: bool,
    /// Kept in the wings.
    pub hidden: bool,
    /// To the right (of the piece that carries it, where it is attached).
    pub x_m: f64,
    /// Lifted above the level.
    pub lift_m: f64,
    /// Away.
    pub z_m: f64,
    /// The level it is on.
    pub level: Option<String>,
    /// The piece that carries it.
    pub attached_to: Option<String>,
    /// What was put in front of it against the order by distance, one for each region: `backdrop`, or a piece.
    pub in_front: Vec<String>,
    /// How it stands.
    pub stance: &'static str,
    /// Out of its plane.
    pub lean_deg: f64,
    /// In its plane.
    pub turn_deg: f64,
    /// What it should face.
    pub facing: Option<String>,
    /// By how much the view misses that.
    pub facing_missed_by_deg: Option<f64>,
    /// How much farther down its view looks at it than the picture's camera does; none where nobody knows.
    pub height_of_view_missed_by_deg: Option<f64>,
    /// Before the lens, along the axis.
    pub depth_m: Option<f64>,
    /// Real height of what it shows.
    pub height_m: Option<f64>,
    /// Whether that is assumed: nobody has said how large the thing is.
    pub is_height_assumed: bool,
    /// In the picture.
    pub height_px: Option<f64>,
    /// Picture pixels to a metre.
    pub size: Option<SizeRow>,
    /// Blur disc.
    pub defocus: Option<DefocusRow>,
    /// Gain.
    pub light: Option<LightRow>,
    /// Colour of the gain.
    pub warmth: Option<WarmthRow>,
    /// Haze.
    pub haze: Option<ShareRow>,
    /// Shadow.
    pub shadow: Option<ShareRow>,
    /// Whether it casts one: there is a light for it, and a level that takes it.
    pub casts_shadow: bool,
    /// Why it cannot stand, or what gives it away.
    pub snags: Vec<SnagReport>,
    /// What is worth knowing, and may well be meant.
    pub remarks: Vec<SnagReport>,
}

/// Where a row's value comes from: `computed`, `pinned`, `as photographed`.
pub type BasisName = &'static str;

/// Picture pixels to a metre.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct SizeRow {
    /// From the mark.
    pub computed_px_per_m: f64,
    /// The artist's.
    pub nudge_factor: f64,
    /// Where it comes from.
    pub basis: BasisName,
    /// As it is drawn.
    pub result_px_per_m: f64,
}

/// Diameter of the blur disc.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct DefocusRow {
    /// From the mark.
    pub computed_px: f64,
    /// The artist's.
    pub nudge_factor: f64,
    /// Where it comes from.
    pub basis: BasisName,
    /// As it is drawn.
    pub result_px: f64,
}

/// Gain on the shot.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct LightRow {
    /// From the mark.
    pub computed_stops: f64,
    /// The artist's.
    pub nudge_stops: f64,
    /// Where it comes from.
    pub basis: BasisName,
    /// As it is drawn.
    pub result_stops: f64,
}

/// Colour of the gain: a shift from the picture's white, where it has a colour temperature, and linear RGB of luminance 1.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct WarmthRow {
    /// From the mark: positive is warmer.
    pub computed_mired: Option<f64>,
    /// From the mark, as a light's colour temperature.
    pub computed_k: Option<f64>,
    /// From the mark.
    pub computed_rgb: [f64; 3],
    /// The artist's.
    pub nudge_mired: f64,
    /// The artist's, thousandths of CIE 1960 u, v: positive is green.
    pub nudge_tint: f64,
    /// Where it comes from.
    pub basis: BasisName,
    /// As it is drawn: positive is warmer.
    pub result_mired: Option<f64>,
    /// As it is drawn: positive is green.
    pub result_tint: Option<f64>,
    /// As it is drawn, as a light's colour temperature.
    pub result_k: Option<f64>,
    /// As it is drawn.
    pub result_rgb: [f64; 3],
}

impl WarmthRow {
    /// As it is drawn, where it has a colour temperature.
    #[must_use]
    pub fn shift(&self) -> Option<Warmth> {
        Some(Warmth { warmth: Mired::new(self.result_mired?)?, tint: self.result_tint? })
    }
}

/// A share of 1.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct ShareRow {
    /// From the mark.
    pub computed_share: f64,
    /// The artist's.
    pub nudge_factor: f64,
    /// Where it comes from.
    pub basis: BasisName,
    /// As it is drawn.
    pub result_share: f64,
}

/// Something that gives the picture away, or bars it.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct SnagReport {
    /// What is wrong, and how much.
    pub what: String,
    /// Where.
    pub place: String,
    /// What would mend it.
    pub remedy: String,
}

impl From<&Snag> for SnagReport {
    fn from(s: &Snag) -> Self {
        Self { what: s.what.clone(), place: s.place.clone(), remedy: s.remedy.clone() }
    }
}

impl From<&Error> for SnagReport {
    fn from(e: &Error) -> Self {
        Self { what: e.what().to_owned(), place: e.place().to_owned(), remedy: e.remedy().to_owned() }
    }
}

/// Every piece's card.
#[must_use]
pub fn line_up(scene: &Scene, folder: &Folder, budget: &Budget) -> LineUp {
    let all: Vec<PieceId> = scene.pieces().keys().copied().collect();
    cards(scene, folder, &all, budget)
}

/// The cards of some pieces; ids of which there is no piece are passed over.
#[must_use]
pub fn cards(scene: &Scene, folder: &Folder, ids: &[PieceId], budget: &Budget) -> LineUp {
    let measures = measure(scene, folder, budget);
    let resolved = staging::resolve(scene, &measures.measured);
    drawn_up(scene, ids, &measures, &resolved)
}

/// The same of a picture that is measured and resolved already.
#[must_use]
pub fn drawn_up(scene: &Scene, ids: &[PieceId], measures: &Measures, resolved: &Resolved) -> LineUp {
    let white = White::of(scene);
    let found = Found::of(resolved);
    let there = ids.iter().filter(|id| scene.pieces().contains_key(id));
    let mut pieces: Vec<Card> =
        there.map(|id| card(scene, *id, measures, (resolved, &found, white.as_ref()))).collect();
    // Where it has no depth, after all that have; ties by number, as they were.
    pieces.sort_by(|a, b| a.depth_m.unwrap_or(f64::INFINITY).total_cmp(&b.depth_m.unwrap_or(f64::INFINITY)));
    LineUp { pieces }
}

/// One piece's card.
#[must_use]
pub fn card_of(scene: &Scene, folder: &Folder, id: PieceId, budget: &Budget) -> Option<Card> {
    cards(scene, folder, &[id], budget).pieces.pop()
}

/// What was found of pieces, by the piece.
struct Found<'a> {
    snags: BTreeMap<PieceId, Vec<&'a Snag>>,
    remarks: BTreeMap<PieceId, Vec<&'a Snag>>,
    casting: BTreeSet<PieceId>,
}

impl<'a> Found<'a> {
    fn of(resolved: &'a Resolved) -> Self {
        let by_piece = |all: &'a [Snag]| {
            let mut found: BTreeMap<PieceId, Vec<&Snag>> = BTreeMap::new();
            for snag in all {
                if let Some(id) = snag.piece {
                    found.entry(id).or_default().push(snag);
                }
            }
            found
        };
        Self {
            snags: by_piece(&resolved.snags),
            remarks: by_piece(&resolved.remarks),
            casting: resolved.layout.shadows.iter().map(|s| s.piece).collect(),
        }
    }
}

/// Snags as they are reported; none where nothing was found.
fn reports(found: Option<&Vec<&Snag>>) -> Vec<SnagReport> {
    found.into_iter().flatten().map(|s| SnagReport::from(*s)).collect()
}

fn card(
    scene: &Scene,
    id: PieceId,
    measures: &Measures,
    (resolved, found, white): (&Resolved, &Found<'_>, Option<&White>),
) -> Card {
    let piece = &scene.pieces()[&id];
    let standing = resolved.standing.get(&id);
    let shown = standing.map_or(piece.cutout, |s| s.cutout);
    let mut snags = reports(found.snags.get(&id));
    snags.extend(measures.unread.get(&shown).map(SnagReport::from));
    let rows = &piece.rows;
    Card {
        piece: id.number(),
        name: scene.called(id),
        shows: scene.cutouts().get(&shown).map_or_else(String::new, |c| c.name.clone()),
        cutout: shown.number(),
        mirrored: standing.map_or(piece.mirrored, |s| s.mirrored),
        is_subject: scene.subject() == Some(id),
        hidden: piece.hidden,
        x_m: piece.mark.x.get(),
        lift_m: piece.mark.y.get(),
        z_m: piece.mark.z.get(),
        level: piece.mark.level.and_then(|l| scene.levels().get(&l)).map(|l| l.name.clone()),
        attached_to: piece.attached_to.map(|p| scene.called(p)),
        in_front: in_front(scene, id),
        stance: stance_name(piece.stance),
        lean_deg: piece.lean.get(),
        turn_deg: piece.turn.get(),
        facing: piece.facing.map(|t| target_name(scene, t)),
        facing_missed_by_deg: standing.and_then(|s| s.miss).map(units::Degrees::get),
        height_of_view_missed_by_deg: standing.and_then(|s| s.miss_in_height).map(units::Degrees::get),
        depth_m: standing.map(|s| s.depth.metres().get()),
        height_m: standing.map(|s| s.height.get()),
        is_height_assumed: scene.cutouts().get(&shown).is_some_and(|c| c.facts.scale.is_none()),
        height_px: standing.map(|s| s.height.get() * s.size.result),
        size: standing.map(|s| SizeRow {
            computed_px_per_m: s.size.computed,
            nudge_factor: rows.size.nudge.get(),
            basis: basis(&rows.size),
            result_px_per_m: s.size.result,
        }),
        defocus: standing.map(|s| DefocusRow {
            computed_px: s.defocus.computed,
            nudge_factor: rows.defocus.nudge.get(),
            basis: basis(&rows.defocus),
            result_px: s.defocus.result,
        }),
        light: standing.map(|s| LightRow {
            computed_stops: s.light.computed,
            nudge_stops: rows.light.nudge.get(),
            basis: basis(&rows.light),
            result_stops: s.light.result,
        }),
        warmth: standing.map(|s| warmth(white, s, &rows.warmth)),
        haze: standing.map(|s| share(&s.haze, &rows.haze)),
        shadow: standing.map(|s| share(&s.shadow, &rows.shadow)),
        casts_shadow: found.casting.contains(&id),
        snags,
        remarks: reports(found.remarks.get(&id)),
    }
}

fn share(figure: &staging::standing::Figure<f64>, row: &Row<Factor, f64>) -> ShareRow {
    ShareRow {
        computed_share: figure.computed,
        nudge_factor: row.nudge.get(),
        basis: basis(row),
        result_share: figure.result,
    }
}

fn warmth(white: Option<&White>, s: &Standing, row: &Row<Warmth, Warmth>) -> WarmthRow {
    let computed = white.and_then(|w| w.shift_of(s.colour.computed));
    // Mostly it is drawn as it was computed; to find a lamp's colour takes longest of all that is on a card.
    let same = s.colour.result == s.colour.computed;
    let result = if same { computed } else { white.and_then(|w| w.shift_of(s.colour.result)) };
    WarmthRow {
        computed_mired: computed.map(|(_, w)| w.warmth.get()),
        computed_k: computed.map(|(k, _)| k.get()),
        computed_rgb: s.colour.computed.0,
        nudge_mired: row.nudge.warmth.get(),
        nudge_tint: row.nudge.tint,
        basis: basis(row),
        result_mired: result.map(|(_, w)| w.warmth.get()),
        result_tint: result.map(|(_, w)| w.tint),
        result_k: result.map(|(k, _)| k.get()),
        result_rgb: s.colour.result.0,
    }
}

/// What a picture is balanced for, from which the colours of gains are told.
struct White {
    /// From the white of the primaries to what is balanced for, in XYZ.
    adapt: Mat3,
    primaries: Primaries,
    /// Its own temperature.
    from: Kelvin,
}

impl White {
    fn of(scene: &Scene) -> Option<Self> {
        let (white, primaries) = (scene.stage().white_balance, scene.format().primaries);
        let balanced = light_colour::chromaticity(white, 0.0).ok()?;
        let adapt = bradford(Chromaticity::white_of(primaries), balanced).ok()?;
        let from = locus::correlated(balanced)?.temperature;
        Some(Self { adapt, primaries, from })
    }

    /// The colour temperature that a gain's colour gives to a white in the picture, and how that differs from the picture's white;
    /// `None` for a colour that no lamp has. The way back of [`light_colour::light_rgb`].
    fn shift_of(&self, rgb: Vec3) -> Option<(Kelvin, Warmth)> {
        let seen = Chromaticity::of_xyz(self.adapt * (self.primaries.to_xyz() * rgb)).ok()?;
        let to = locus::correlated(seen)?;
        let warmth = temperature::mired(to.temperature).ok()? - temperature::mired(self.from).ok()?;
        // Tint counts from the locus that lamps of this temperature lie on.
        let on_locus = light_colour::chromaticity(to.temperature, 0.0).ok().and_then(locus::correlated)?;
        Some((to.temperature, Warmth { warmth, tint: (to.duv - on_locus.duv) * 1000.0 }))
    }
}

const fn basis<N, V>(row: &Row<N, V>) -> BasisName {
    match row.basis {
        Basis::Computed => "computed",
        Basis::Pinned(_) => "pinned",
        Basis::AsPhotographed => "as photographed",
    }
}

fn in_front(scene: &Scene, id: PieceId) -> Vec<String> {
    let before = scene.in_front().values().filter(|region| region.before == id);
    before
        .map(|region| match region.what {
            InFrontOf::Backdrop => "backdrop".to_owned(),
            InFrontOf::Piece(piece) => scene.called(piece),
        })
        .collect()
}

/// What a stance is called, here and on the command line.
#[must_use]
pub const fn stance_name(stance: Stance) -> &'static str {
    match stance {
        Stance::Upright => "upright",
        Stance::FacingLens => "facing-lens",
        Stance::Lying => "lying",
        Stance::Hanging => "hanging",
        Stance::Wall => "wall",
    }
}

/// What a target is called, as [`super::marks::facing`] reads it.
#[must_use]
pub fn target_name(scene: &Scene, target: Target) -> String {
    match target {
        Target::Lens => "lens".to_owned(),
        Target::Away => "away".to_owned(),
        Target::Piece(id) => scene.called(id),
        Target::Practical(id) => {
            scene.practicals().get(&id).map_or_else(|| id.to_string(), |p| p.name.clone())
        }
        Target::Point(p) => format!("{},{},{}", p.x.get(), p.y.get(), p.z.get()),
    }
}
