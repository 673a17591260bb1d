//! Random set dressings.

use super::{degrees, factor, finite, id, mark, metres, name, number, stance, target};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use scene::*;
use units::{Degrees, Metres};

pub(super) fn dressing() -> BoxedStrategy<Dressing> {
    let chosen = (id(), number(0.1, 9.0))
        .prop_map(|(n, share)| Chosen { cutout: CutOutId::from_number(n), share })
        .boxed();
    let line = |least: usize| vec([finite(-20.0, 20.0), finite(0.5, 40.0)], least..6);
    let length = || metres(0.05, 9.0);
    let area = prop_oneof![
        3 => line(3).prop_map(Area::Outline),
        3 => (line(2), length()).prop_map(|(along, width)| Area::Band { along, width }),
        1 => (id(), length(), length(), degrees(0.0, 300.0)).prop_map(|(n, width, depth, opening)| Area::Arc {
            around: PieceId::from_number(n),
            width,
            depth,
            opening
        }),
    ];
    let arrangement = prop_oneof![
        length().prop_map(|spacing| Arrangement::Drift { spacing }),
        (length(), length(), length()).prop_map(|(spacing, width, within)| Arrangement::Clumps {
            spacing,
            width,
            within
        }),
        (degrees(-180.0, 180.0), length(), length(), number(0.0, 1.0)).prop_map(
            |(bearing, spacing, between, jitter)| Arrangement::Ranks { bearing, spacing, between, jitter }
        ),
    ];
    let thinning = prop_oneof![
        (length(), length(), number(0.0, 1.0)).prop_map(|(from, to, left)| Thinning::Distance {
            from,
            to,
            left
        }),
        (length(), number(0.0, 1.0)).prop_map(|(width, left)| Thinning::Edge { width, left }),
    ];
    let pair = |low: f64, high: f64| [finite(low, high), finite(low, high)];
    let ranges = (pair(0.5, 2.0), pair(-30.0, 30.0), pair(-30.0, 30.0), pair(-1.0, 1.0), any::<bool>())
        .prop_map(|(mut height, mut lean, mut turn, mut lift, mirror)| {
            for range in [&mut height, &mut lean, &mut turn, &mut lift] {
                range.sort_by(f64::total_cmp);
            }
            let degrees = |v: f64| Degrees::of(v);
            Ranges {
                height: (Factor::new(height[0]).unwrap(), Factor::new(height[1]).unwrap()),
                lean: (degrees(lean[0]), degrees(lean[1])),
                turn: (degrees(turn[0]), degrees(turn[1])),
                lift: (Metres::of(lift[0]), Metres::of(lift[1])),
                mirror,
            }
        });
    let piece = || id().prop_map(PieceId::from_number);
    let clear = prop_oneof![
        vec(vec([number(0.0, 1.0), number(0.0, 1.0)], 3..5), 1..3).prop_map(KeepClear::Region),
        (piece(), number(0.0, 0.5), number(0.5, 1.0)).prop_map(|(piece, from, to)| KeepClear::Piece {
            piece,
            from,
            to
        }),
        id().prop_map(|n| KeepClear::Practical(PracticalId::from_number(n))),
        (piece(), target(), length()).prop_map(|(from, to, width)| KeepClear::Sight { from, to, width }),
        length().prop_map(|around| KeepClear::Feet { around }),
    ];
    let angles = (degrees(-30.0, 30.0), degrees(-30.0, 30.0));
    let looks = (stance(), option::of(target()));
    let laid = (piece(), id(), mark(), angles, factor(), looks, any::<[bool; 2]>()).prop_map(
        |(piece, cutout, mark, (lean, turn), size, (stance, facing), [mirrored, released])| Laid {
            piece,
            cutout: CutOutId::from_number(cutout),
            mark,
            lean,
            turn,
            mirrored,
            size,
            stance,
            facing,
            released,
        },
    );
    let what = (
        name(),
        prop_oneof![8 => vec(chosen.clone(), 1..2), 1 => vec(chosen, 0..3)],
        option::weighted(0.1, id().prop_map(LevelId::from_number)),
        area,
    );
    let how = (arrangement, option::of(0_u32..90), vec(thinning, 0..2), ranges, stance());
    let more = (
        option::weighted(0.1, target()),
        prop_oneof![3 => Just(Vec::new()), 1 => vec(clear, 1..3)],
        0_u64..99,
        proptest::collection::btree_map(0_u64..99, laid, 0..4),
    );
    (what, how, more)
        .prop_map(
            |(
                (name, of, level, area),
                (arrangement, number, thinning, ranges, stance),
                (facing, clear, way, laid),
            )| Dressing {
                name,
                of,
                level,
                area,
                arrangement,
                number,
                thinning,
                ranges,
                stance,
                facing,
                clear,
                way,
                laid,
            },
        )
        .boxed()
}
