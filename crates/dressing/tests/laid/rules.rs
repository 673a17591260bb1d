//! What a rule lays: spacing, keeping clear, no twins, and what stays when it changes.

use crate::stage::{apart, lay, m, marks, meadow, stage};
use proptest::prelude::*;
use scene::*;
use std::collections::{BTreeMap, BTreeSet};
use units::Degrees;

fn at(marks: &[(PieceId, [f64; 2])]) -> BTreeMap<PieceId, [f64; 2]> {
    marks.iter().copied().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Nothing stands closer than the spacing, all of it stands within the area, and there is no room left where another whole one
    /// would find it: a circle as wide as two spacings is empty nowhere well inside.
    #[test]
    fn a_drift_keeps_its_spacing_and_fills_its_ground(spacing in 0.4..2.0f64, way in 0u64..1000) {
        let mut stage = stage();
        let rule = Dressing { arrangement: Arrangement::Drift { spacing: m(spacing) }, way, ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        let marks = marks(&stage, id);
        for (i, (_, a)) in marks.iter().enumerate() {
            prop_assert!(a[1] >= 3.0 && a[1] <= 11.0 && a[0].abs() <= 6.0);
            for (_, b) in &marks[..i] {
                prop_assert!(apart(*a, *b) >= spacing);
            }
        }
        // Inside the picture, where pieces are not left out for not being seen.
        for (x, z) in [(0.0, 7.0), (1.0, 6.0), (-1.5, 8.0), (0.5, 5.5)] {
            prop_assert!(marks.iter().any(|(_, a)| apart(*a, [x, z]) < 2.0 * spacing), "nothing near {x}, {z}");
        }
    }

    /// A smaller number keeps the first of a larger: they are laid from coarse to fine.
    #[test]
    fn fewer_pieces_are_some_of_the_many(many in 5u32..60, fewer in 1u32..60, way in 0u64..1000) {
        let mut stage = stage();
        let rule = Dressing { number: Some(many), way, ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        let before = at(&marks(&stage, id));
        prop_assert!(before.len() <= many as usize);
        let (_, laying) = lay(&mut stage, Some(id), &Dressing { number: Some(fewer.min(many)), ..rule });
        let after = at(&marks(&stage, id));
        prop_assert_eq!(after.len(), before.len().min(fewer as usize));
        prop_assert!(after.iter().all(|(id, mark)| before.get(id) == Some(mark)));
        prop_assert_eq!(laying.new, 0);
    }

    /// Whatever else of a rule changes, what still fits stands where it stood.
    #[test]
    fn what_still_fits_does_not_move(
        way in 0u64..1000,
        spacing in 0.5..1.5f64,
        grown in 0.0..3.0f64,
        height in 0.5..1.0f64,
        share in 0.1..4.0f64,
    ) {
        let mut stage = stage();
        let mut rule = Dressing { way, ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        let before = at(&marks(&stage, id));
        rule.ranges.height.0 = Factor::new(height).unwrap();
        rule.of[0].share = share;
        rule.area = Area::Outline(vec![[-4.0 - grown, 3.0], [4.0, 3.0], [6.0, 11.0 + grown], [-6.0, 11.0]]);
        lay(&mut stage, Some(id), &rule);
        let after = at(&marks(&stage, id));
        // All of the old ground is in the new, or the old ones there went out of it.
        // (At the picture's edge another plant may not be seen any more.)
        let is_inside = |at: &[f64; 2]| at[0].abs() < 0.4 * at[1];
        let left: Vec<_> = before.iter().filter(|(id, at)| !after.contains_key(id) && is_inside(at)).collect();
        prop_assert!(left.is_empty(), "{left:?}");
        prop_assert!(before.iter().all(|(id, mark)| after.get(id).is_none_or(|at| at == mark)));
        // Wider apart, all that is left stands where it stood; closer, all of it.
        rule.arrangement = Arrangement::Drift { spacing: m(spacing) };
        lay(&mut stage, Some(id), &rule);
        let last = at(&marks(&stage, id));
        prop_assert!(last.iter().filter_map(|(id, mark)| Some((after.get(id)?, mark))).all(|(a, b)| a == b));
        if spacing <= 0.9 {
            prop_assert!(after.iter().all(|(id, at)| last.contains_key(id) || !is_inside(at)));
        }
    }

    /// The sitter's face, drawn here as the box around its head, is behind nothing.
    #[test]
    fn nothing_stands_before_what_is_kept_clear(way in 0u64..1000, from in 0.5..0.8f64) {
        let mut stage = stage();
        let face = KeepClear::Piece { piece: stage.sitter, from, to: 1.0 };
        let rule = Dressing { way, clear: vec![face], ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        let resolved = staging::resolve(&stage.scene, &stage.measured);
        // From the camera's own projection: the box of the head, and of each piece that stands nearer.
        let camera = staging::frame::frame(&stage.scene, None).unwrap().camera;
        let corners = |foot: [f64; 2], half: f64, low: f64, high: f64| {
            let p = |x: f64, y: f64| camera.project(optics::Point::new(m(x), m(y), m(foot[1]))).unwrap();
            let (a, b) = (p(foot[0] - half, high), p(foot[0] + half, low));
            [a.u, b.u, a.v, b.v]
        };
        let head = corners([0.0, 6.0], 1.7 * 130.0 / 760.0, 1.7 * from, 1.7);
        for (piece, mark) in marks(&stage, id) {
            let stands = &resolved.standing[&piece];
            if stands.depth >= resolved.standing[&stage.sitter].depth {
                continue;
            }
            let cut = &stage.measured.cuts[&stands.cutout];
            let height = stands.height.get() * stands.size.result / stands.size.computed;
            let half = height * cut.solid.width() as f64 / 760.0 / 2.0;
            // As it stands when it neither leans nor turns: its middle is surely within.
            let lean = height * 0.25;
            let own = corners(mark, (half - lean).max(0.0), 0.0, height * 0.95);
            let meets = own[0] < head[1] && head[0] < own[1] && own[2] < head[3] && head[2] < own[3];
            prop_assert!(!meets, "{piece} at {mark:?}: {own:?} {head:?}");
        }
    }

    /// Feet and lines of sight stay free.
    #[test]
    fn feet_and_lines_of_sight_stay_free(way in 0u64..1000, around in 0.3..2.0f64, width in 0.3..2.0f64) {
        let mut stage = stage();
        let sight = KeepClear::Sight {
            from: stage.sitter,
            to: Target::Point(optics::Point::new(m(4.0), m(0.0), m(9.0))),
            width: m(width),
        };
        let rule = Dressing { way, clear: vec![KeepClear::Feet { around: m(around) }, sight], ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        for (_, mark) in marks(&stage, id) {
            prop_assert!(apart(mark, [0.0, 6.0]) >= around);
            // Distance from the line through (0, 6) and (4, 9), between its ends.
            let along = (mark[0] * 4.0 + (mark[1] - 6.0) * 3.0) / 5.0;
            let off = (mark[0] * 3.0 - (mark[1] - 6.0) * 4.0).abs() / 5.0;
            prop_assert!(!(0.0..=5.0).contains(&along) || off >= width / 2.0 - 1e-9);
        }
    }

    /// In an arc around the sitter everything stands between its radii, and nothing in its opening.
    #[test]
    fn an_arc_is_open_towards_the_lens(
        way in 0u64..1000, width in 3.0..6.0f64, depth in 0.5..1.5f64, opening in 20.0..180.0f64,
    ) {
        let mut stage = stage();
        let area = Area::Arc { around: stage.sitter, width: m(width), depth: m(depth), opening: Degrees::of(opening) };
        let rule = Dressing { way, area, arrangement: Arrangement::Drift { spacing: m(0.4) }, ..meadow(&stage) };
        let (id, _) = lay(&mut stage, None, &rule);
        let marks = marks(&stage, id);
        prop_assert!(!marks.is_empty());
        for (_, [x, z]) in marks {
            let r = apart([x, z], [0.0, 6.0]);
            prop_assert!(r <= width / 2.0 + 1e-9 && r >= width / 2.0 - depth - 1e-9);
            let off = units::math::degrees(units::math::atan2(x, 6.0 - z)).abs();
            prop_assert!(off >= opening / 2.0 - 1e-9, "{x} {z} {off}");
        }
    }
}

#[test]
fn the_same_rule_lays_the_same_and_another_way_lays_other() {
    let (mut a, mut b) = (stage(), stage());
    let rule = meadow(&a);
    lay(&mut a, None, &rule);
    lay(&mut b, None, &rule);
    assert_eq!(a.scene, b.scene);
    let id = *a.scene.dressings().keys().next().unwrap();
    let before = marks(&a, id);
    let (_, laying) = lay(&mut a, Some(id), &rule);
    assert_eq!((laying.new, laying.gone), (0, 0));
    assert_eq!(a.scene, b.scene);
    let (_, laying) = lay(&mut a, Some(id), &Dressing { way: 4, ..rule });
    assert_eq!(laying.gone, before.len());
    let after = marks(&a, id);
    assert!(after.iter().all(|(_, at)| before.iter().all(|(_, old)| at != old)));
}

#[test]
fn neighbours_differ_and_what_may_not_be_mirrored_is_not() {
    let mut stage = stage();
    let rule = Dressing { arrangement: Arrangement::Drift { spacing: m(0.5) }, ..meadow(&stage) };
    let (id, _) = lay(&mut stage, None, &rule);
    let marks = marks(&stage, id);
    assert!(marks.len() > 60, "{}", marks.len());
    let mut shown: BTreeSet<(CutOutId, bool)> = BTreeSet::new();
    for (piece, at) in &marks {
        let p = &stage.scene.pieces()[piece];
        shown.insert((p.cutout, p.mirrored));
        assert!(p.cutout != stage.plants[2] || !p.mirrored, "the sign has writing on it");
        for (other, there) in &marks {
            let o = &stage.scene.pieces()[other];
            let close = piece != other && apart(*at, *there) < 0.5 * 1.3;
            let same = p.cutout == o.cutout && p.mirrored == o.mirrored;
            let (a, b) = (p.rows.size.nudge.get() / at[1], o.rows.size.nudge.get() / there[1]);
            let alike = (a / b).max(b / a) < 1.1
                && (p.lean - o.lean).get().abs() < 3.5
                && (p.turn - o.turn).get().abs() < 3.5;
            assert!(!(close && same && alike), "{piece} and {other} are twins");
        }
    }
    assert_eq!(shown.len(), 5, "every cut-out is shown, and mirrored where it may be");
}

#[test]
fn shares_are_kept() {
    let mut stage = stage();
    let mut rule = meadow(&stage);
    rule.of =
        vec![Chosen { cutout: stage.plants[0], share: 3.0 }, Chosen { cutout: stage.plants[1], share: 1.0 }];
    rule.arrangement = Arrangement::Drift { spacing: m(0.3) };
    let (id, _) = lay(&mut stage, None, &rule);
    let marks = marks(&stage, id);
    let reeds = marks.iter().filter(|(p, _)| stage.scene.pieces()[p].cutout == stage.plants[0]).count();
    let share = reeds as f64 / marks.len() as f64;
    // Neighbours that must differ pull it towards even.
    assert!(marks.len() > 200 && (0.55..0.85).contains(&share), "{share} of {}", marks.len());
}

#[test]
fn ranks_stand_in_lines_and_clumps_in_tufts() {
    let mut stage = stage();
    let ranks =
        Arrangement::Ranks { bearing: Degrees::of(30.0), spacing: m(0.7), between: m(1.1), jitter: 0.0 };
    let rule = Dressing { arrangement: ranks, ..meadow(&stage) };
    let (id, _) = lay(&mut stage, None, &rule);
    let (sin, cos) = (0.5f64, 0.75f64.sqrt());
    for (_, [x, z]) in marks(&stage, id) {
        let (along, across) = (x * sin + z * cos, x * cos - z * sin);
        let off = |v: f64, step: f64| (v / step - (v / step).round()).abs();
        assert!(off(along, 0.7) < 1e-9 && off(across, 1.1) < 1e-9, "{x} {z}");
    }
    let clumps = Arrangement::Clumps { spacing: m(2.5), width: m(1.0), within: m(0.25) };
    let rule = Dressing { arrangement: clumps, ..rule };
    let (id, _) = lay(&mut stage, None, &rule);
    let marks = marks(&stage, id);
    // Each has close company, and from each there is empty ground at a metre and a quarter.
    let alone =
        marks.iter().filter(|(p, a)| !marks.iter().any(|(q, b)| p != q && apart(*a, *b) < 0.8)).count();
    assert!(alone * 10 < marks.len(), "{alone} of {} stand alone", marks.len());
    let (mut pairs, mut far) = (0, 0);
    for (i, (_, a)) in marks.iter().enumerate() {
        for (_, b) in &marks[..i] {
            pairs += usize::from(apart(*a, *b) < 1.0);
            far += usize::from((1.0..1.5).contains(&apart(*a, *b)));
        }
    }
    // Evenly spread there would be 1.25 times as many in the ring as within.
    assert!(pairs > 2 * far, "{pairs} {far}");
}

#[test]
fn thinning_leaves_the_share_it_says() {
    let mut stage = stage();
    let dense = Arrangement::Drift { spacing: m(0.25) };
    let area = Area::Outline(vec![[-1.0, 4.0], [1.0, 4.0], [1.0, 12.0], [-1.0, 12.0]]);
    let even = Dressing { area, arrangement: dense, ..meadow(&stage) };
    let thin = Thinning::Distance { from: m(4.0), to: m(12.0), left: 0.25 };
    let (full, _) = lay(&mut stage, None, &even);
    let (thinned, _) = lay(&mut stage, None, &Dressing { thinning: vec![thin], ..even });
    let count = |id, from: f64, to: f64| {
        marks(&stage, id).iter().filter(|(_, a)| a[1] >= from && a[1] < to).count() as f64
    };
    // The density falls in a straight line from all to a quarter: at its middle to 0.625.
    for (from, to, left) in [(4.0, 6.0, 0.906), (7.0, 9.0, 0.625), (10.0, 12.0, 0.344)] {
        let share = count(thinned, from, to) / count(full, from, to);
        assert!((share / left - 1.0).abs() < 0.2, "{from} to {to}: {share} instead of {left}");
    }
}

#[test]
fn a_rule_like_pieces_that_stand_keeps_them_and_lays_more_beside_them() {
    let mut stage = stage();
    let rule = Dressing { number: Some(9), ..meadow(&stage) };
    let (id, _) = lay(&mut stage, None, &rule);
    // Made by hand: no rule knows them any more.
    stage.scene.apply(Edit::Dressing { id, put: Put::Remove }).unwrap();
    let plants: Vec<PieceId> = stage.scene.pieces().keys().copied().filter(|p| *p != stage.sitter).collect();
    let before: Vec<Piece> = plants.iter().map(|p| stage.scene.pieces()[p].clone()).collect();
    let mut like = dressing::like(&stage.scene, &plants, "More".into()).unwrap();
    let adopted = std::mem::take(&mut like.laid);
    stage
        .scene
        .apply(Edit::Dressing {
            id: stage.scene.fresh().dressing(),
            put: Put::Add(Box::new(Dressing { laid: adopted, ..like.clone() })),
        })
        .unwrap();
    let id = *stage.scene.dressings().keys().next().unwrap();
    like.arrangement = Arrangement::Drift { spacing: m(0.7) };
    let (_, laying) = lay(&mut stage, Some(id), &like);
    assert!(laying.new > 5, "{laying:?}");
    assert_eq!(laying.held, 9);
    for (id, was) in plants.iter().zip(before) {
        assert_eq!(stage.scene.pieces()[id], was);
    }
    let marks = marks(&stage, id);
    for (i, (a, p)) in marks.iter().enumerate() {
        for (b, q) in &marks[..i] {
            let by_hand = plants.contains(a) && plants.contains(b);
            assert!(by_hand || apart(*p, *q) >= 0.7);
        }
    }
    let least = like.ranges.height.0.get();
    assert!(marks.iter().all(|(p, _)| stage.scene.pieces()[p].rows.size.nudge.get() >= least));
}
