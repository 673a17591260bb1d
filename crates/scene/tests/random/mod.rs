//! Random edits, sensible and not, over a small pool of ids so that they often meet.

mod dressing;

use dressing::dressing;
use optics::lens::Blades;
use optics::{Aperture, Camera, Focus, Haze, Lens, Point, Viewpoint};
use proptest::collection::{btree_set, vec};
use proptest::option;
use proptest::prelude::*;
use scene::*;
use units::{
    Degrees, Digest, Kelvin, Mat3, Metres, Millimetres, Mired, Pixels, PixelsPerMetre, Primaries, PxSize,
    Stops, Vec3,
};

/// Mostly in the range, at times anything a float can be.
pub(crate) fn number(low: f64, high: f64) -> BoxedStrategy<f64> {
    prop_oneof![
        24 => low..=high,
        4 => prop_oneof![Just(low), Just(high), Just(0.0), Just(-0.0)],
        1 => any::<f64>(),
    ]
    .boxed()
}

/// The same, finite.
fn finite(low: f64, high: f64) -> BoxedStrategy<f64> {
    number(low, high).prop_map(move |v| if v.is_finite() { v } else { low }).boxed()
}

fn metres(low: f64, high: f64) -> impl Strategy<Value = Metres> {
    finite(low, high).prop_map(Metres::of)
}

fn pixels(low: f64, high: f64) -> impl Strategy<Value = Pixels> {
    finite(low, high).prop_map(Pixels::of)
}

fn degrees(low: f64, high: f64) -> impl Strategy<Value = Degrees> {
    finite(low, high).prop_map(Degrees::of)
}

fn stops() -> impl Strategy<Value = Stops> {
    finite(-10.0, 10.0).prop_map(Stops::of)
}

fn kelvin() -> impl Strategy<Value = Kelvin> {
    finite(1500.0, 12000.0).prop_map(Kelvin::of)
}

fn factor() -> impl Strategy<Value = Factor> {
    finite(0.01, 4.0).prop_map(|v| Factor::new(v).unwrap())
}

fn colour() -> impl Strategy<Value = Vec3> {
    [number(0.0, 1.0), number(0.0, 1.0), number(0.0, 1.0)].prop_map(Vec3)
}

fn point() -> impl Strategy<Value = Point> {
    (metres(-20.0, 20.0), metres(-1.0, 5.0), metres(-5.0, 60.0)).prop_map(|(x, y, z)| Point::new(x, y, z))
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![8 => "[A-Za-z \"\\[é]{0,12}", 1 => any::<String>(), 1 => Just("a\nb".to_owned())]
}

pub(crate) fn id() -> impl Strategy<Value = u64> {
    prop_oneof![20 => 1_u64..8, 1 => any::<u64>()]
}

pub(crate) fn digest() -> impl Strategy<Value = Digest> {
    (0_u8..4).prop_map(|n| Digest::of(&[n]))
}

fn size() -> impl Strategy<Value = PxSize> {
    (1_u32..9000, 1_u32..9000).prop_map(|(w, h)| PxSize::new(w, h).unwrap())
}

fn format() -> impl Strategy<Value = Format> {
    let mm = || finite(10.0, 900.0).prop_map(Millimetres::of);
    let print =
        (mm(), mm(), number(72.0, 720.0)).prop_map(|(width, height, ppi)| Print { width, height, ppi });
    (size(), option::of(print), proptest::sample::select(Primaries::ALL.to_vec()))
        .prop_map(|(size, print, primaries)| Format { size, print, primaries })
}

fn stage() -> impl Strategy<Value = Stage> {
    let view =
        (size(), 0.1..5.0, -20.0..20.0, -5.0..5.0, 10.0..200.0, option::of((0.0..4000.0, 0.0..4000.0)));
    let origin =
        proptest::sample::select(vec![Origin::Assumed, Origin::Read, Origin::Declared, Origin::Given]);
    (view, origin, kelvin()).prop_map(|((size, height, pitch, roll, focal, axis), origin, white_balance)| {
        let viewpoint = Viewpoint {
            size,
            height: Metres::of(height),
            pitch: Degrees::of(pitch),
            roll: Degrees::of(roll),
            focal: Millimetres::of(focal),
            sensor_width: Millimetres::of(36.0),
            principal: axis.map(|(u, v): (f64, f64)| (Pixels::of(u), Pixels::of(v))),
        };
        Stage { camera: Camera::new(viewpoint).unwrap(), origin, white_balance }
    })
}

fn stated() -> impl Strategy<Value = std::collections::BTreeSet<Stated>> {
    btree_set(proptest::sample::select(&Stated::ALL[..]), 0..5)
}

fn lens() -> impl Strategy<Value = Lens> {
    let aperture = prop_oneof![
        Just(Aperture::Disc),
        (3_u8..=16, -180.0..180.0, 0.0..=1.0)
            .prop_map(|(n, turn, round)| Aperture::Blades(Blades::new(n, Degrees::of(turn), round).unwrap())),
    ];
    let focus = prop_oneof![(0.5..100.0).prop_map(|d| Focus::At(Metres::of(d))), Just(Focus::Infinity)];
    (10.0..300.0, 1.0..32.0, focus, aperture)
        .prop_map(|(f, n, focus, aperture)| Lens::new(Millimetres::of(f), n, focus, aperture).unwrap())
}

fn glow() -> impl Strategy<Value = Glow> {
    let colour = prop_oneof![
        (kelvin(), number(-20.0, 20.0)).prop_map(|(cct, tint)| LightColour::Kelvin { cct, tint }),
        colour().prop_map(LightColour::Picked),
    ];
    (number(0.0, 10.0), colour).prop_map(|(strength, colour)| Glow { strength, colour })
}

fn sky() -> impl Strategy<Value = SkyLight> {
    (glow(), glow()).prop_map(|(level, upright)| SkyLight { level, upright })
}

fn sun() -> impl Strategy<Value = SunLight> {
    (degrees(-180.0, 180.0), degrees(0.0, 90.0), glow(), degrees(0.0, 2.0))
        .prop_map(|(bearing, height, glow, diameter)| SunLight { bearing, height, glow, diameter })
}

fn practical() -> impl Strategy<Value = Practical> {
    let piece = option::weighted(0.3, id().prop_map(PieceId::from_number));
    (
        name(),
        point(),
        piece,
        glow(),
        metres(0.01, 1.0),
        option::of(metres(0.1, 50.0)),
        number(0.0, 1.0),
        number(0.0, 1.0),
    )
        .prop_map(|(name, at, on, glow, radius, reach, floor, spill)| Practical {
            name,
            at,
            on,
            glow,
            radius,
            reach,
            floor,
            spill,
        })
}

fn source() -> impl Strategy<Value = Source> {
    let kind = proptest::sample::select(vec![
        SourceKind::Backdrop,
        SourceKind::Shot,
        SourceKind::Matte,
        SourceKind::Cutting,
        SourceKind::Other,
    ]);
    let file = prop_oneof![9 => "[a-z0-9-]{1,20}\\.(png|tif)", 1 => any::<String>()];
    (file, name(), kind, 0_u64..1 << 40, option::of(size()), name())
        .prop_map(|(file, name, kind, bytes, size, note)| Source { file, name, kind, bytes, size, note })
}

fn facts() -> impl Strategy<Value = Facts> {
    let place = || option::of((pixels(-10.0, 5000.0), pixels(-10.0, 5000.0)));
    let scale = option::of(prop_oneof![
        finite(10.0, 3000.0).prop_map(|v| Scale::PerMetre(PixelsPerMetre::of(v))),
        metres(0.05, 5.0).prop_map(Scale::Height),
    ]);
    let first = (place(), scale, place(), option::of(pixels(100.0, 9000.0)), option::of(metres(1.0, 20.0)));
    let second = (
        option::of(degrees(-30.0, 30.0)),
        option::of(metres(0.0, 3.0)),
        option::of(degrees(-180.0, 180.0)),
        option::weighted(0.3, id().prop_map(SetUpId::from_number)),
        option::of(pixels(0.0, 9.0)),
        option::of(number(0.0, 0.1)),
        option::of(any::<bool>()),
    );
    (first, second).prop_map(
        |(
            (foot, scale, principal, focal_px, camera_distance),
            (pitch, eye_height, bearing, set_up, defocus, noise, may_mirror),
        )| Facts {
            foot,
            scale,
            principal,
            focal_px,
            camera_distance,
            pitch,
            eye_height,
            bearing,
            set_up,
            defocus,
            noise,
            may_mirror,
        },
    )
}

fn cutout() -> impl Strategy<Value = CutOut> {
    let kind = prop_oneof![Just(CutOutKind::Solid), Just(CutOutKind::Additive)];
    let file = || option::of(digest());
    let hand = (vec(stroke(), 0..3), file(), finish(), option::weighted(0.2, joining()));
    (name(), option::of(name()), digest(), file(), file(), kind, facts(), hand).prop_map(
        |(name, prop, shot, matte, colour, kind, facts, (strokes, cut_by, finish, joining))| CutOut {
            name,
            prop,
            shot,
            matte,
            colour,
            kind,
            facts,
            strokes,
            cut_by,
            finish,
            joining,
        },
    )
}

fn joining() -> impl Strategy<Value = Joining> {
    let numbers = proptest::array::uniform9(number(-9.0, 9.0));
    let to_shot = numbers.prop_map(|[a, b, c, d, e, f, g, h, i]| Mat3([[a, b, c], [d, e, f], [g, h, i]]));
    let taken = (digest(), option::of(digest()), to_shot, vec(stroke(), 0..2))
        .prop_map(|(shot, matte, to_shot, strokes)| Taken { shot, matte, to_shot, strokes });
    (option::of(digest()), vec(taken, 0..3)).prop_map(|(matte, taken)| Joining { matte, taken })
}

fn stroke() -> impl Strategy<Value = Stroke> {
    let says = prop_oneof![
        proptest::sample::select(vec![
            Says::Inside,
            Says::Outside,
            Says::Between,
            Says::Add,
            Says::Remove,
            Says::Follow,
            Says::Close,
            Says::Mend,
            Says::Take,
            Says::Stay,
        ]),
        pixels(0.0, 90.0).prop_map(Says::Soften),
    ];
    let form = proptest::sample::select(vec![StrokeForm::Line, StrokeForm::Area]);
    let dots = vec((pixels(-10.0, 5000.0), pixels(-10.0, 5000.0), pixels(0.0, 90.0)), 0..4);
    (says, form, dots, number(0.0, 1.0), number(0.0, 1.0))
        .prop_map(|(says, form, dots, soft, strength)| Stroke { says, form, dots, soft, strength })
}

fn painted() -> impl Strategy<Value = Stroke> {
    let says = proptest::sample::select(vec![Says::Add, Says::Remove]);
    (stroke(), says).prop_map(|(stroke, says)| Stroke { says, form: StrokeForm::Line, ..stroke })
}

fn finish() -> impl Strategy<Value = Finish> {
    let levels = option::of((number(0.0, 0.6), number(0.4, 1.0)));
    let rim = option::of(pixels(1.0, 30.0));
    (pixels(-5.0, 5.0), levels, number(0.0, 900.0), number(0.0, 1.0), number(0.0, 1.0), rim).prop_map(
        |(margin, levels, holes, cast, calm, rim)| Finish { margin, levels, holes, cast, calm, rim },
    )
}

fn studio_camera() -> impl Strategy<Value = optics::StudioCamera> {
    let principal = (pixels(0.0, 4000.0), pixels(0.0, 4000.0));
    (metres(-1.0, 3.0), degrees(-20.0, 20.0), pixels(100.0, 9000.0), principal).prop_map(
        |(eye_height, pitch, focal_px, principal)| optics::StudioCamera {
            eye_height,
            pitch,
            focal_px,
            principal,
        },
    )
}

fn set_up() -> impl Strategy<Value = SetUp> {
    let reading = (metres(0.0, 2.0), colour()).prop_map(|(height, reading)| WhiteReading { height, reading });
    (
        name(),
        option::of(kelvin()),
        number(-9.0, 9.0),
        option::of(kelvin()),
        option::of(metres(1.0, 9.0)),
        option::weighted(0.3, studio_camera()),
        vec(reading, 0..3),
    )
        .prop_map(|(name, cct, tint, white_balance, camera_distance, camera, mut white_readings)| {
            white_readings.sort_by_key(|r| r.height);
            SetUp { name, cct, tint, white_balance, camera_distance, camera, white_readings }
        })
}

fn mark() -> impl Strategy<Value = Mark> {
    let level = option::weighted(0.1, id().prop_map(LevelId::from_number));
    (metres(-20.0, 20.0), metres(-1.0, 3.0), metres(0.5, 80.0), level).prop_map(|(x, y, z, level)| Mark {
        x,
        y,
        z,
        level,
    })
}

fn row<N: Clone + std::fmt::Debug + 'static, V: Clone + std::fmt::Debug + 'static>(
    nudge: impl Strategy<Value = N> + 'static,
    value: impl Strategy<Value = V> + 'static,
) -> BoxedStrategy<Row<N, V>> {
    let basis = prop_oneof![
        4 => Just(Basis::Computed),
        2 => value.prop_map(Basis::Pinned),
        1 => Just(Basis::AsPhotographed)
    ];
    (nudge, basis).prop_map(|(nudge, basis)| Row { nudge, basis }).boxed()
}

fn warmth() -> impl Strategy<Value = Warmth> {
    (finite(-100.0, 100.0), number(-9.0, 9.0)).prop_map(|(w, tint)| Warmth { warmth: Mired::of(w), tint })
}

fn target() -> impl Strategy<Value = Target> {
    prop_oneof![
        id().prop_map(|n| Target::Piece(PieceId::from_number(n))),
        id().prop_map(|n| Target::Practical(PracticalId::from_number(n))),
        point().prop_map(Target::Point),
        Just(Target::Lens),
        Just(Target::Away),
    ]
}

fn stance() -> impl Strategy<Value = Stance> {
    proptest::sample::select(vec![
        Stance::Upright,
        Stance::FacingLens,
        Stance::Lying,
        Stance::Hanging,
        Stance::Wall,
    ])
}

fn change() -> BoxedStrategy<PieceChange> {
    let piece = || option::weighted(0.7, id().prop_map(PieceId::from_number));
    prop_oneof![
        name().prop_map(PieceChange::Name),
        id().prop_map(|n| PieceChange::CutOut(CutOutId::from_number(n))),
        mark().prop_map(PieceChange::Mark),
        (piece(), mark()).prop_map(|(to, mark)| PieceChange::Attached { to, mark }),
        stance().prop_map(PieceChange::Stance),
        degrees(-80.0, 80.0).prop_map(PieceChange::Lean),
        degrees(-180.0, 180.0).prop_map(PieceChange::Turn),
        any::<bool>().prop_map(PieceChange::Mirrored),
        option::of(target()).prop_map(PieceChange::Facing),
        any::<bool>().prop_map(PieceChange::Hidden),
        row(factor(), finite(1.0, 900.0).prop_map(PixelsPerMetre::of)).prop_map(PieceChange::Size),
        row(factor(), pixels(0.0, 90.0)).prop_map(PieceChange::Defocus),
        row(stops(), stops()).prop_map(PieceChange::Light),
        row(warmth(), warmth()).prop_map(PieceChange::Warmth),
        row(factor(), number(0.0, 1.0)).prop_map(PieceChange::Haze),
        row(factor(), number(0.0, 1.0)).prop_map(PieceChange::Shadow),
    ]
    .boxed()
}

fn piece() -> impl Strategy<Value = Piece> {
    let attached = option::weighted(0.2, id().prop_map(PieceId::from_number));
    let rows = (
        row(factor(), finite(1.0, 900.0).prop_map(PixelsPerMetre::of)),
        row(factor(), pixels(0.0, 90.0)),
        row(stops(), stops()),
        row(warmth(), warmth()),
        row(factor(), number(0.0, 1.0)),
        row(factor(), number(0.0, 1.0)),
    )
        .prop_map(|(size, defocus, light, warmth, haze, shadow)| Rows {
            size,
            defocus,
            light,
            warmth,
            haze,
            shadow,
        });
    (name(), 1_u64..8, mark(), attached, stance(), option::weighted(0.2, target()), rows, any::<[bool; 2]>())
        .prop_map(|(name, cutout, mark, attached_to, stance, facing, rows, [mirrored, hidden])| Piece {
            attached_to,
            stance,
            facing,
            rows,
            mirrored,
            hidden,
            ..Piece::standing(name, CutOutId::from_number(cutout), mark)
        })
}

fn in_front() -> impl Strategy<Value = InFront> {
    let what =
        prop_oneof![Just(InFrontOf::Backdrop), id().prop_map(|n| InFrontOf::Piece(PieceId::from_number(n)))];
    let corner = [number(0.0, 1.0), number(0.0, 1.0)];
    (
        what,
        id(),
        prop_oneof![
            6 => vec(vec(corner.clone(), 3..6), 1..3),
            1 => vec(vec(corner, 2..4), 0..3)
        ],
        pixels(0.0, 20.0),
    )
        .prop_map(|(what, before, region, softness)| InFront {
            what,
            before: PieceId::from_number(before),
            region,
            softness,
        })
}

fn kind() -> BoxedStrategy<Kind> {
    let radius = || pixels(0.0, 200.0);
    let share = || number(0.0, 1.0);
    let pulled = (stops(), stops()).prop_map(|(at, by)| PulledStep { at, by });
    prop_oneof![
        (share(), colour()).prop_map(|(amount, colour)| Kind::Veil { amount, colour }),
        (share(), radius()).prop_map(|(amount, radius)| Kind::Halation { amount, radius }),
        stops().prop_map(|stops| Kind::EdgeFallOff { stops }),
        stops().prop_map(Kind::Exposure),
        (finite(-90.0, 90.0), number(-9.0, 9.0))
            .prop_map(|(w, tint)| Kind::Balance { warmth: Mired::of(w), tint }),
        (share(), pixels(0.5, 9.0), 0_u64..1 << 50).prop_map(|(amount, size, seed)| Kind::Grain {
            amount,
            size,
            seed
        }),
        (finite(0.0, 9.0), number(0.2, 3.0), finite(0.0, 9.0), vec(pulled, 0..3)).prop_map(
            |(toe, slope, shoulder, mut pulled)| {
                pulled.sort_by_key(|p| p.at);
                Kind::CharacteristicCurve {
                    toe: Stops::of(toe),
                    slope,
                    shoulder: Stops::of(shoulder),
                    pulled,
                }
            }
        ),
        number(0.0, 2.0).prop_map(Kind::Saturation),
        (colour(), colour()).prop_map(|(shadow, highlight)| Kind::SplitToning { shadow, highlight }),
        colour().prop_map(|colour| Kind::Flashing { colour }),
        (stops(), colour(), number(0.0, 0.7), number(0.7, 1.0))
            .prop_map(|(stops, tint, start, end)| Kind::EdgeBurn { stops, tint, start, end }),
        (share(), radius()).prop_map(|(amount, radius)| Kind::Sharpness { amount, radius }),
    ]
    .boxed()
}

fn clause() -> BoxedStrategy<Clause> {
    let pieces = || btree_set(id().prop_map(PieceId::from_number), 0..3);
    let place = || {
        prop_oneof![
            point().prop_map(Place::Point),
            id().prop_map(|n| Place::Piece(PieceId::from_number(n))),
            id().prop_map(|n| Place::Practical(PracticalId::from_number(n))),
        ]
    };
    let length = || metres(0.0, 30.0);
    let end = || [number(0.0, 1.0), number(0.0, 1.0)];
    prop_oneof![
        pieces().prop_map(Clause::OnPieces),
        pieces().prop_map(Clause::NotOnPieces),
        Just(Clause::OnSubject),
        Just(Clause::NotOnSubject),
        (place(), length(), length()).prop_map(|(of, distance, soft)| Clause::Within { of, distance, soft }),
        (place(), length(), length()).prop_map(|(of, distance, soft)| Clause::Beyond { of, distance, soft }),
        (length(), length()).prop_map(|(depth, soft)| Clause::BehindDepth { depth, soft }),
        (length(), length()).prop_map(|(depth, soft)| Clause::BeforeDepth { depth, soft }),
        (option::of(stops()), option::of(stops()), finite(0.0, 3.0))
            .prop_map(|(from, to, soft)| Clause::Tones { from, to, soft: Stops::of(soft) }),
        (degrees(0.0, 360.0), degrees(0.0, 360.0), degrees(0.0, 90.0))
            .prop_map(|(centre, width, soft)| Clause::Hues { centre, width, soft }),
        (end(), end()).prop_map(|(from, to)| Clause::Gradient { from, to }),
        (option::of(id().prop_map(PieceId::from_number)), vec(painted(), 0..3))
            .prop_map(|(of, strokes)| Clause::Card { of, strokes }),
    ]
    .boxed()
}

fn treatment_change() -> impl Strategy<Value = Edit> {
    let treatment = |n: u64| {
        (kind(), number(0.0, 1.0), vec(clause(), 0..2)).prop_map(move |(kind, strength, clauses)| {
            Box::new(Treatment { id: TreatmentId::from_number(n), kind, strength, where_: Where(clauses) })
        })
    };
    prop_oneof![20 => 1_u64..5, 1 => any::<u64>()].prop_flat_map(move |n| {
        prop_oneof![
            3 => (0_usize..3, treatment(n)).prop_map(|(at, treatment)| TreatmentChange::Add { at, treatment }),
            1 => treatment(n).prop_map(TreatmentChange::Replace),
            3 => (0_usize..3).prop_map(|to| TreatmentChange::Move { to }),
            1 => Just(TreatmentChange::Remove),
        ]
        .prop_map(move |change| Edit::Treatment { id: TreatmentId::from_number(n), change })
    })
}

fn put<T: Clone + std::fmt::Debug + 'static>(
    value: impl Strategy<Value = T> + 'static,
) -> BoxedStrategy<Put<Box<T>>> {
    let value = value.boxed();
    prop_oneof![
        4 => value.clone().prop_map(|v| Put::Add(Box::new(v))),
        2 => value.prop_map(|v| Put::Replace(Box::new(v))),
        1 => Just(Put::Remove),
    ]
    .boxed()
}

/// An edit that is neither a group nor about takes.
fn plain_edit() -> BoxedStrategy<Edit> {
    let backdrop =
        (digest(), pixels(-100.0, 100.0), pixels(-100.0, 100.0), pixels(10.0, 6000.0), any::<bool>())
            .prop_map(|(source, left, top, width, mirrored)| Backdrop {
                source,
                window: Window { left, top, width },
                mirrored,
            });
    let surface = prop_oneof![Just(Surface::Dry), Just(Surface::Water)];
    let ripple = (0.0..20.0).prop_map(Degrees::of);
    let level = (name(), metres(-3.0, 3.0), surface, vec(vec([-0.2..1.2, -0.2..1.2], 3..6), 0..3), ripple)
        .prop_map(|(name, height, surface, region, ripple)| Level { name, height, surface, region, ripple });
    let haze = (10.0..9000.0, [0.0..1.0, 0.0..1.0, 0.0..1.0])
        .prop_map(|(v, c): (f64, [f64; 3])| Haze::new(Metres::of(v), Vec3(c)).unwrap());
    prop_oneof![
        1 => name().prop_map(Edit::Name),
        1 => format().prop_map(Edit::Format),
        1 => option::weighted(0.8, backdrop).prop_map(Edit::Backdrop),
        1 => stage().prop_map(Edit::Stage),
        1 => lens().prop_map(Edit::Lens),
        1 => stated().prop_map(Edit::Stated),
        1 => factor().prop_map(Edit::DepthScale),
        1 => sky().prop_map(Edit::Sky),
        1 => option::of(sun()).prop_map(Edit::Sun),
        1 => colour().prop_map(Edit::GroundReflectance),
        1 => option::of((-6.0..14.0, -250.0..250.0)).prop_map(|dusk| {
            Edit::Dusk(dusk.map(|(down, cooler): (f64, f64)| Dusk { down: Stops::of(down), cooler: Mired::of(cooler) }))
        }),
        1 => option::of(haze).prop_map(Edit::Haze),
        1 => option::of(id().prop_map(PieceId::from_number)).prop_map(Edit::Subject),
        3 => (digest(), put(source())).prop_map(|(digest, put)| Edit::Source { digest, put }),
        2 => (id(), put(level)).prop_map(|(n, put)| Edit::Level { id: LevelId::from_number(n), put }),
        2 => (id(), put(practical())).prop_map(|(n, put)| Edit::Practical { id: PracticalId::from_number(n), put }),
        2 => (id(), put(set_up())).prop_map(|(n, put)| Edit::SetUp { id: SetUpId::from_number(n), put }),
        6 => (id(), put(cutout())).prop_map(|(n, put)| Edit::CutOut { id: CutOutId::from_number(n), put }),
        4 => (id(), 0_usize..4, put(stroke())).prop_map(|(n, at, put)| Edit::Stroke {
            cutout: CutOutId::from_number(n),
            at,
            put
        }),
        2 => (id(), finish())
            .prop_map(|(n, finish)| Edit::Finish { cutout: CutOutId::from_number(n), finish }),
        2 => (id(), facts()).prop_map(|(n, facts)| Edit::Facts {
            cutout: CutOutId::from_number(n),
            facts: Box::new(facts)
        }),
        8 => (id(), put(piece())).prop_map(|(n, put)| Edit::Piece { id: PieceId::from_number(n), put }),
        12 => (id(), change()).prop_map(|(n, change)| Edit::Change { piece: PieceId::from_number(n), change }),
        5 => (1_u64..3, put(in_front())).prop_map(|(n, put)| Edit::InFront { id: InFrontId::from_number(n), put }),
        9 => (1_u64..2, put(dressing())).prop_map(|(n, put)| Edit::Dressing { id: DressingId::from_number(n), put }),
        14 => treatment_change(),
    ]
    .boxed()
}

/// Any edit.
pub(crate) fn edit() -> BoxedStrategy<Edit> {
    let take = (name(), vec(plain_edit(), 0..4), factor()).prop_map(|(name, changes, depth)| Take {
        name,
        changes,
        depth,
    });
    let take_id = || (1_u64..4).prop_map(TakeId::from_number);
    prop_oneof![
        20 => plain_edit(),
        2 => vec(plain_edit(), 0..4).prop_map(Edit::Group),
        1 => vec(prop_oneof![plain_edit(), Just(Edit::Group(vec![Edit::Subject(None)]))], 0..3)
            .prop_map(|edits| Edit::Group(vec![Edit::Group(edits)])),
        1 => (take_id(), put(take)).prop_map(|(id, put)| Edit::Take { id, put }),
        1 => (take_id(), 0_usize..3, put(plain_edit())).prop_map(|(take, at, put)| Edit::TakeChange { take, at, put }),
    ]
    .boxed()
}
