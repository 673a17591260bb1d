//! From pieces that stand to the rule that would lay such.

use crate::ground::Place;
use scene::{Area, Arrangement, Chosen, Dressing, Factor, Laid, Piece, PieceId, Ranges, Scene};
use std::collections::BTreeMap;
use units::{Degrees, Metres, math};

/// What a spacing is taken down to, so that what stands keeps it: nearest neighbours differ in distance.
const CLOSER: f64 = 0.8;
/// Places of what was not laid by a rule: beyond all that a rule lays.
const ADOPTED: u64 = 1 << 52;

/// The rule that would lay pieces like these: of the same cut-outs, as often, as close, as different, on the ground around them.
/// They become its pieces, let go: as they stand they stay, and what is laid more is laid beside them. `None` where none of them
/// stands on the ground by itself.
#[must_use]
pub fn like(scene: &Scene, pieces: &[PieceId], name: String) -> Option<Dressing> {
    let standing: Vec<(PieceId, &Piece)> = pieces
        .iter()
        .filter_map(|id| Some((*id, scene.pieces().get(id)?)))
        .filter(|(_, p)| p.attached_to.is_none())
        .collect();
    let (_, first) = standing.first()?;
    let mut shares: BTreeMap<_, f64> = BTreeMap::new();
    for (_, piece) in &standing {
        *shares.entry(piece.cutout).or_default() += 1.0;
    }
    let marks: Vec<Place> = standing.iter().map(|(_, p)| [p.mark.x.get(), p.mark.z.get()]).collect();
    let spacing = (nearest(&marks) * CLOSER).max(0.05);
    let around = grown(&marks, spacing);
    let span = |of: &dyn Fn(&Piece) -> f64| {
        let all = standing.iter().map(|(_, p)| of(p));
        (all.clone().fold(f64::INFINITY, f64::min), all.fold(f64::NEG_INFINITY, f64::max))
    };
    let degrees = |(least, most): (f64, f64)| {
        (Degrees::new(least).unwrap_or_default(), Degrees::new(most).unwrap_or_default())
    };
    let (short, tall) = span(&|p| p.rows.size.nudge.get());
    let (low, high) = span(&|p| p.mark.y.get());
    let ranges = Ranges {
        height: (Factor::new(short)?, Factor::new(tall)?),
        lean: degrees(span(&|p| p.lean.get())),
        turn: degrees(span(&|p| p.turn.get())),
        lift: (Metres::new(low)?, Metres::new(high)?),
        mirror: standing.iter().any(|(_, p)| p.mirrored),
    };
    // What all of them have in common; the first speaks where they differ.
    let facing = first.facing.filter(|_| standing.iter().all(|(_, p)| p.facing == first.facing));
    let laid = standing.iter().enumerate().map(|(i, (id, p))| {
        let laid = Laid {
            piece: *id,
            cutout: p.cutout,
            mark: p.mark,
            lean: p.lean,
            turn: p.turn,
            mirrored: p.mirrored,
            size: p.rows.size.nudge,
            stance: p.stance,
            facing: p.facing,
            released: true,
        };
        (ADOPTED + i as u64, laid)
    });
    Some(Dressing {
        name,
        of: shares.into_iter().map(|(cutout, share)| Chosen { cutout, share }).collect(),
        level: first.mark.level,
        area: Area::Outline(around),
        arrangement: Arrangement::Drift { spacing: Metres::new(spacing)? },
        number: None,
        thinning: Vec::new(),
        ranges,
        stance: first.stance,
        facing,
        clear: Vec::new(),
        way: 0,
        laid: laid.collect(),
    })
}

/// The median distance to the nearest neighbour; a metre for one alone.
fn nearest(marks: &[Place]) -> f64 {
    let mut all: Vec<f64> = marks
        .iter()
        .enumerate()
        .filter_map(|(i, a)| {
            let others = marks.iter().enumerate().filter(|(j, _)| *j != i);
            others.map(|(_, b)| math::hypot(a[0] - b[0], a[1] - b[1])).reduce(f64::min)
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or(1.0)
}

/// The convex hull of places (Andrew: Another efficient algorithm for convex hulls in two dimensions, 1979; from memory), each
/// with room around it.
fn grown(marks: &[Place], by: f64) -> Vec<Place> {
    let turns = (0..8).map(|i| math::radians(45.0 * f64::from(i)));
    let round: Vec<Place> = turns.map(|t| [by * math::cos(t), by * math::sin(t)]).collect();
    let mut all: Vec<Place> =
        marks.iter().flat_map(|m| round.iter().map(|r| [m[0] + r[0], m[1] + r[1]])).collect();
    all.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let left = |o: &Place, a: &Place, b: &Place| {
        (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]) <= 0.0
    };
    let half = |places: &mut dyn Iterator<Item = &Place>| {
        let mut hull: Vec<Place> = Vec::new();
        for p in places {
            while hull.len() >= 2 && left(&hull[hull.len() - 2], &hull[hull.len() - 1], p) {
                hull.pop();
            }
            hull.push(*p);
        }
        hull.pop();
        hull
    };
    let mut hull = half(&mut all.iter());
    hull.extend(half(&mut all.iter().rev()));
    hull
}
