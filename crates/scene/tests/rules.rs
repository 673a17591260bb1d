//! What a picture accepts and refuses, and what it says.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use optics::Point;
use scene::*;
use std::collections::BTreeSet;
use units::{Digest, Metres, Mired, PixelsPerMetre, PxSize, Stops, Vec3};

const SHOT: &[u8] = b"shot";

fn m(v: f64) -> Metres {
    Metres::of(v)
}

/// A picture with a crane cut-out (1), a sitter (2) and a lantern (3) standing, a practical (4) on the lantern and a
/// level (5).
fn marsh() -> Scene {
    let mut scene = Scene::new("Marsh", Format::of_size(PxSize::new(1200, 800).unwrap())).unwrap();
    let source = Source {
        file: "crane.png".into(),
        name: "DSC_0007.png".into(),
        kind: SourceKind::Shot,
        bytes: 4,
        size: PxSize::new(400, 900),
        note: String::new(),
    };
    let mut fresh = scene.fresh();
    let cutout = fresh.cutout();
    let shown = CutOut { prop: Some("Crane".into()), ..CutOut::of("Crane, left", Digest::of(SHOT), None) };
    let stand = |id, name: &str, x, z| Edit::Piece {
        id,
        put: Put::Add(Box::new(Piece::standing(name, cutout, Mark::on_ground(m(x), m(z))))),
    };
    let (sitter, lantern, lamp, bank) = (fresh.piece(), fresh.piece(), fresh.practical(), fresh.level());
    let glow = Glow { strength: 2.0, colour: LightColour::Picked(Vec3::splat(1.0)) };
    let practical = Practical {
        name: "Flame".into(),
        at: Point::default(),
        on: Some(lantern),
        glow,
        radius: m(0.05),
        reach: None,
        floor: 0.0,
        spill: 1.0,
    };
    let level = Level {
        name: "bank".into(),
        height: m(0.4),
        surface: Surface::Dry,
        region: Vec::new(),
        ripple: units::Degrees::ZERO,
    };
    scene
        .apply(Edit::Group(vec![
            Edit::Source { digest: Digest::of(SHOT), put: Put::Add(Box::new(source)) },
            Edit::CutOut { id: cutout, put: Put::Add(Box::new(shown)) },
            stand(sitter, "Sitter", 0.0, 5.0),
            stand(lantern, "Lantern", 0.5, 4.8),
            Edit::Practical { id: lamp, put: Put::Add(Box::new(practical)) },
            Edit::Level { id: bank, put: Put::Add(Box::new(level)) },
        ]))
        .unwrap();
    scene
}

fn piece(n: u64) -> PieceId {
    PieceId::from_number(n)
}

fn change(n: u64, change: PieceChange) -> Edit {
    Edit::Change { piece: piece(n), change }
}

fn attach(n: u64, to: u64) -> Edit {
    change(n, PieceChange::Attached { to: Some(piece(to)), mark: Mark::default() })
}

/// What, place and remedy of a refusal.
fn refusal(scene: &mut Scene, edit: Edit) -> [String; 3] {
    let before = scene.clone();
    let refused = scene.apply(edit).unwrap_err();
    assert_eq!(*scene, before);
    [refused.what(), refused.place(), refused.remedy()].map(String::from)
}

#[test]
fn what_is_needed_cannot_go() {
    let mut scene = marsh();
    let gone = |scene: &mut Scene, edit| refusal(scene, edit)[0].clone();
    let source = Edit::Source { digest: Digest::of(SHOT), put: Put::Remove };
    assert_eq!(gone(&mut scene, source), "cut-out 1 (Crane, left) still needs it");
    let cutout = Edit::CutOut { id: CutOutId::from_number(1), put: Put::Remove };
    assert_eq!(gone(&mut scene, cutout), "Sitter still needs it");
    scene.apply(attach(3, 2)).unwrap();
    let sitter = Edit::Piece { id: piece(2), put: Put::Remove };
    assert_eq!(gone(&mut scene, sitter), "Lantern, which is attached to it, still needs it");
    let on_bank = Mark { level: Some(LevelId::from_number(5)), ..Mark::default() };
    scene.apply(change(2, PieceChange::Mark(on_bank))).unwrap();
    let bank = Edit::Level { id: LevelId::from_number(5), put: Put::Remove };
    assert_eq!(gone(&mut scene, bank), "Sitter still needs it");
}

#[test]
fn nothing_carries_itself() {
    let mut scene = marsh();
    scene.apply(attach(3, 2)).unwrap();
    assert_eq!(refusal(&mut scene, attach(2, 3))[0], "the piece would carry itself");
    assert_eq!(refusal(&mut scene, attach(2, 2))[0], "the piece would carry itself");
}

#[test]
fn a_group_is_all_or_nothing() {
    let mut scene = marsh();
    let next = scene.fresh().piece();
    let group = Edit::Group(vec![
        Edit::Name("Dune".into()),
        Edit::Piece {
            id: next,
            put: Put::Add(Box::new(Piece::standing("Crane", CutOutId::from_number(1), Mark::default()))),
        },
        change(99, PieceChange::Hidden(true)),
    ]);
    let [what, place, _] = refusal(&mut scene, group);
    assert_eq!((what.as_str(), place.as_str()), ("it is not in the picture", "piece 99"));
    assert_eq!(scene.fresh().piece(), next);
}

#[test]
fn numbers_out_of_range_are_named() {
    let mut scene = marsh();
    let far = Mark { x: m(0.0), y: m(0.0), z: m(2e5), level: None };
    let [what, place, remedy] = refusal(&mut scene, change(2, PieceChange::Mark(far)));
    assert_eq!(what, "200000 m is out of range");
    assert_eq!(place, "piece 2, mark.z");
    assert_eq!(remedy, "give -100000 to 100000 m");
    let row = Row { nudge: Stops::of(900.0), basis: Basis::Computed };
    assert_eq!(refusal(&mut scene, change(2, PieceChange::Light(row)))[1], "piece 2, rows.light.nudge");
    let row = Row { nudge: Factor::ONE, basis: Basis::Pinned(f64::NAN) };
    assert_eq!(refusal(&mut scene, change(2, PieceChange::Haze(row)))[1], "piece 2, rows.haze.basis.pinned");
    let nan = Edit::GroundReflectance(Vec3::new(0.5, f64::NAN, 0.5));
    assert_eq!(refusal(&mut scene, nan)[1], "ground_reflectance[1]");
}

#[test]
fn a_file_name_stays_in_the_folder() {
    for file in ["", ".", "..", "../x.png", "a/b.png", "/etc/x", "c:x", "a\\b", ".hidden", "a\0b"] {
        let mut scene = marsh();
        let source = scene.sources()[&Digest::of(SHOT)].clone();
        let put = Put::Replace(Box::new(Source { file: file.into(), ..source }));
        let [_, place, _] = refusal(&mut scene, Edit::Source { digest: Digest::of(SHOT), put });
        assert!(place.ends_with(", file"), "{file:?}: {place}");
    }
}

#[test]
fn ids_are_never_given_twice() {
    let mut scene = marsh();
    let first = scene.fresh().piece();
    let stand = |id| Edit::Piece {
        id,
        put: Put::Add(Box::new(Piece::standing("Crane 7", CutOutId::from_number(1), Mark::default()))),
    };
    let back = scene.apply(stand(first)).unwrap();
    assert_eq!(refusal(&mut scene, stand(first))[0], "the id is taken");
    let forth = scene.apply(back).unwrap();
    let second = scene.fresh().piece();
    assert!(second > first);
    // Done again, it is the same piece.
    scene.apply(forth).unwrap();
    assert!(scene.pieces().contains_key(&first));
    assert_eq!(scene.fresh().piece(), second);
}

#[test]
fn removing_a_piece_settles_what_needs_it() {
    let mut scene = marsh();
    let treatment = TreatmentId::from_number(scene.fresh().treatment().number());
    let where_ = Where(vec![
        Clause::OnPieces(BTreeSet::from([piece(2), piece(3)])),
        Clause::Within { of: Place::Practical(PracticalId::from_number(4)), distance: m(4.0), soft: m(1.0) },
        Clause::Beyond { of: Place::Piece(piece(3)), distance: m(4.0), soft: m(1.0) },
    ]);
    let kind = Kind::Exposure(Stops::of(0.5));
    let added = TreatmentChange::Add {
        at: 0,
        treatment: Box::new(Treatment { id: treatment, kind, strength: 1.0, where_ }),
    };
    let region = InFront {
        what: InFrontOf::Piece(piece(3)),
        before: piece(2),
        region: vec![vec![[0.0, 0.0], [1.0, 0.0], [0.5, 0.5]]],
        softness: units::Pixels::of(2.0),
    };
    scene
        .apply(Edit::Group(vec![
            Edit::Treatment { id: treatment, change: added },
            Edit::InFront { id: InFrontId::from_number(77), put: Put::Add(Box::new(region)) },
            Edit::Subject(Some(piece(3))),
            change(2, PieceChange::Facing(Some(Target::Piece(piece(3))))),
        ]))
        .unwrap();
    scene.apply(attach(2, 3)).unwrap();
    let before = scene.clone();
    let settled = Mark::on_ground(m(1.0), m(4.0));
    let back = scene.apply(scene.removal_of(piece(3), |_| settled)).unwrap();
    let sitter = &scene.pieces()[&piece(2)];
    assert_eq!((sitter.attached_to, sitter.mark, sitter.facing), (None, settled, None));
    assert!(scene.practicals().is_empty() && scene.in_front().is_empty() && scene.subject().is_none());
    let nowhere = Clause::OnPieces(BTreeSet::new());
    assert_eq!(scene.toning()[0].where_, Where(vec![Clause::OnPieces(BTreeSet::from([piece(2)])), nowhere]));
    scene.apply(back).unwrap();
    assert_eq!(scene, before);
}

#[test]
fn toning_keeps_to_the_lights_way() {
    let mut scene = marsh();
    let add = |n: u64, at, kind| Edit::Treatment {
        id: TreatmentId::from_number(n),
        change: TreatmentChange::Add {
            at,
            treatment: Box::new(Treatment {
                id: TreatmentId::from_number(n),
                kind,
                strength: 1.0,
                where_: Where::EVERYWHERE,
            }),
        },
    };
    let order = |scene: &Scene| scene.toning().iter().map(|t| t.id.number()).collect::<Vec<_>>();
    scene.apply(add(20, 0, Kind::Saturation(1.1))).unwrap();
    scene.apply(add(21, 0, Kind::Exposure(Stops::of(1.0)))).unwrap();
    scene.apply(add(22, 0, Kind::EdgeFallOff { stops: Stops::of(0.5) })).unwrap();
    scene.apply(add(23, 0, Kind::Balance { warmth: Mired::of(10.0), tint: 0.0 })).unwrap();
    assert_eq!(order(&scene), [22, 23, 21, 20]);
    let moved =
        |to| Edit::Treatment { id: TreatmentId::from_number(23), change: TreatmentChange::Move { to } };
    let back = scene.apply(moved(1)).unwrap();
    assert_eq!(order(&scene), [22, 21, 23, 20]);
    let forth = scene.apply(back).unwrap();
    assert_eq!(order(&scene), [22, 23, 21, 20]);
    scene.apply(forth).unwrap();
    assert_eq!(order(&scene), [22, 21, 23, 20]);
    assert_eq!(refusal(&mut scene, moved(2))[2], "give a place from 0 to 1");
    assert_eq!(refusal(&mut scene, add(24, 2, Kind::Saturation(1.0)))[2], "give a place from 0 to 1");
}

#[test]
fn a_take_shows_its_changes_and_says_what_no_longer_fits() {
    let mut scene = marsh();
    let id = scene.fresh().take();
    let mut take = Take::named("Closer");
    take.depth = Factor::new(2.0).unwrap();
    take.changes = vec![
        change(2, PieceChange::Mark(Mark::on_ground(m(0.0), m(3.0)))),
        change(3, PieceChange::Hidden(true)),
    ];
    scene.apply(Edit::Take { id, put: Put::Add(Box::new(take)) }).unwrap();
    scene.apply(scene.removal_of(piece(3), |_| Mark::default())).unwrap();
    let (seen, refused) = scene.seen_as(id);
    assert_eq!(seen.pieces()[&piece(2)].mark.z, m(3.0));
    assert_eq!(scene.pieces()[&piece(2)].mark.z, m(5.0));
    assert_eq!(seen.depth_scale().get(), 2.0);
    assert_eq!(refused.len(), 1);
    assert_eq!(refused[0].place(), "take 6 (Closer), change 2, piece 3");
    let nested = change(2, PieceChange::Hidden(true));
    let nested = Edit::TakeChange { take: id, at: 0, put: Put::Add(Box::new(nested)) };
    let nested = Edit::TakeChange { take: id, at: 0, put: Put::Add(Box::new(nested)) };
    assert_eq!(refusal(&mut scene, nested)[0], "a take cannot hold changes to takes");
}

#[test]
fn a_change_laid_again_replaces_the_old_one_unless_others_stand_on_it() {
    let mut scene = marsh();
    let id = scene.fresh().take();
    scene.apply(Edit::Take { id, put: Put::Add(Box::new(Take::named("Warm"))) }).unwrap();
    let lay = |scene: &mut Scene, edit| {
        scene.apply(scene.laid_in_take(id, edit).unwrap()).unwrap();
        scene.takes()[&id].changes.len()
    };
    let mark = |z| change(2, PieceChange::Mark(Mark::on_ground(m(0.0), m(z))));
    assert_eq!(lay(&mut scene, mark(4.0)), 1);
    assert_eq!(lay(&mut scene, change(3, PieceChange::Hidden(true))), 2);
    assert_eq!(lay(&mut scene, mark(3.0)), 2);
    // Attached, the mark means another place: the earlier mark is part of what the attachment replaced.
    assert_eq!(lay(&mut scene, attach(2, 3)), 3);
    assert_eq!(lay(&mut scene, mark(0.1)), 4);
    assert_eq!(scene.seen_as(id).0.pieces()[&piece(2)].mark.z, m(0.1));
    // What a take adds is never given to the picture.
    let added = scene.fresh().piece();
    let stand = Box::new(Piece::standing("Crane", CutOutId::from_number(1), Mark::default()));
    lay(&mut scene, Edit::Piece { id: added, put: Put::Add(stand) });
    assert!(scene.fresh().piece() > added);
}

#[test]
fn edits_are_said_in_the_photographers_words() {
    let mut scene = marsh();
    let mut said = |edit: Edit| {
        let sentence = edit.sentence(&scene);
        scene.apply(edit).unwrap();
        sentence
    };
    assert_eq!(said(change(2, PieceChange::Name("Crane 7".into()))), "Sitter, now called Crane 7");
    let nearer = Mark::on_ground(m(0.0), m(3.8));
    assert_eq!(said(change(2, PieceChange::Mark(nearer))), "Crane 7, 1.2 m nearer");
    let aside = Mark { x: m(-0.254), y: m(0.1), ..nearer };
    assert_eq!(said(change(2, PieceChange::Mark(aside))), "Crane 7, 0.25 m to the left, 0.1 m higher");
    let bank = Mark { level: Some(LevelId::from_number(5)), ..nearer };
    assert_eq!(said(change(2, PieceChange::Mark(bank))), "Crane 7, 3.8 m away, in the middle on bank");
    let light = Row { nudge: Stops::of(0.5), basis: Basis::Computed };
    assert_eq!(said(change(2, PieceChange::Light(light))), "Crane 7, light +0.5 stops");
    let size = Row { nudge: Factor::new(0.9).unwrap(), basis: Basis::AsPhotographed };
    assert_eq!(said(change(2, PieceChange::Size(size))), "Crane 7, size as photographed, 90 %");
    let size = Row { nudge: Factor::ONE, basis: Basis::Pinned(PixelsPerMetre::of(420.25)) };
    // 1.7 m high, as long as nobody has said.
    assert_eq!(said(change(2, PieceChange::Size(size))), "Crane 7, size pinned at 714 px");
    assert_eq!(said(attach(3, 2)), "Lantern, attached to Crane 7");
    assert_eq!(said(Edit::Subject(Some(piece(2)))), "Crane 7 is the subject");
    assert_eq!(
        said(Edit::Group(vec![Edit::Haze(None), Edit::Sun(None), Edit::Name("Dusk".into())])),
        "No haze, and 2 more"
    );
    assert_eq!(
        said(Edit::Stated(BTreeSet::from([Stated::Focal, Stated::Focus]))),
        "Focal length, focus stated"
    );
}

#[test]
fn what_is_said_otherwise_is_told_with_its_figures() {
    let mut scene = marsh();
    let id = TreatmentId::from_number(20);
    let treated = |kind| Box::new(Treatment { id, kind, strength: 1.0, where_: Where::EVERYWHERE });
    let add = TreatmentChange::Add { at: 0, treatment: treated(Kind::Saturation(1.0)) };
    scene.apply(Edit::Treatment { id, change: add }).unwrap();
    let lamp = scene.practicals().iter().next().map(|(id, lamp)| (*id, lamp.clone())).unwrap();
    let cutout = CutOutId::from_number(1);
    let facts = scene.cutouts()[&cutout].facts;
    let mut said = |edit: Edit| {
        let sentence = edit.sentence(&scene);
        scene.apply(edit).unwrap();
        sentence
    };
    let replaced = |kind| Edit::Treatment { id, change: TreatmentChange::Replace(treated(kind)) };
    let curve = |slope, pulled: &[(f64, f64)]| Kind::CharacteristicCurve {
        toe: Stops::of(3.0),
        slope,
        shoulder: Stops::of(2.0),
        pulled: pulled.iter().map(|(at, by)| PulledStep { at: Stops::of(*at), by: Stops::of(*by) }).collect(),
    };
    assert_eq!(said(replaced(Kind::Saturation(0.9))), "Saturation, 90 %");
    assert_eq!(said(replaced(curve(1.0, &[]))), "Saturation, now characteristic curve");
    assert_eq!(
        said(replaced(curve(1.2, &[(1.0, 0.25)]))),
        "Characteristic curve, slope 1.2, step +1 pulled +0.25 stops"
    );
    assert_eq!(said(replaced(curve(1.2, &[]))), "Characteristic curve, a step let go");
    let mut brighter = lamp.1.clone();
    brighter.glow.strength *= 2.0;
    brighter.at.y = brighter.at.y + m(0.3);
    let name = &lamp.1.name;
    let put = |lamp: &Practical| Put::Replace(Box::new(lamp.clone()));
    assert_eq!(
        said(Edit::Practical { id: lamp.0, put: put(&brighter) }),
        format!("Lamp {name}, 0.3 m higher, 1 stop brighter")
    );
    let known = Facts { scale: Some(Scale::Height(m(1.25))), may_mirror: Some(false), ..facts };
    assert_eq!(
        said(Edit::Facts { cutout, facts: Box::new(known) }),
        "Crane, left, 1.25 m tall, not to be mirrored"
    );
    assert_eq!(
        said(Edit::Facts { cutout, facts: Box::new(facts) }),
        "Crane, left, height not said, may be mirrored"
    );
    let finish = Finish { margin: units::Pixels::of(-0.5), calm: 0.4, ..Finish::default() };
    assert_eq!(
        said(Edit::Finish { cutout, finish }),
        "Edge of Crane, left, margin -0.5 px, rim calmed by 40 %"
    );
}

#[test]
fn a_group_is_told_by_the_piece_it_stands_and_not_by_its_files() {
    let mut scene = marsh();
    let (digest, mut fresh) = (Digest::of(b"heron"), scene.fresh());
    let source = Source { name: "heron.tif".into(), ..scene.sources()[&Digest::of(SHOT)].clone() };
    let (cutout, level) = (fresh.cutout(), fresh.level());
    let shown =
        CutOut { name: "Heron".into(), shot: digest, ..scene.cutouts()[&CutOutId::from_number(1)].clone() };
    let mark = Mark { level: Some(level), ..Mark::on_ground(m(0.4), m(6.2)) };
    let level = Edit::Level {
        id: level,
        put: Put::Add(Box::new(Level {
            name: "jetty".into(),
            height: m(1.0),
            surface: Surface::Dry,
            region: Vec::new(),
            ripple: units::Degrees::ZERO,
        })),
    };
    let file = Edit::Source { digest, put: Put::Add(Box::new(source)) };
    let cut = Edit::CutOut { id: cutout, put: Put::Add(Box::new(shown)) };
    let stand =
        Edit::Piece { id: fresh.piece(), put: Put::Add(Box::new(Piece::standing("Heron", cutout, mark))) };
    let said = |edits: &[&Edit]| Edit::Group(edits.iter().map(|e| (*e).clone()).collect()).sentence(&scene);
    assert_eq!(said(&[&file, &cut]), "Cut-out Heron added");
    let all = [&level, &file, &cut, &stand];
    // Told of the picture as those before it leave it: the level is there by then.
    assert_eq!(said(&all), "Heron stands 6.2 m away, 0.4 m right on jetty, and 1 more");
    scene.apply(Edit::Group(all.map(Clone::clone).to_vec())).unwrap();
}

#[test]
fn what_is_stated_is_known_though_it_is_what_was_assumed() {
    let mut scene = marsh();
    assert!(!scene.is_stated(Stated::Focal) && !scene.is_stated(Stated::CameraHeight));
    let stated = BTreeSet::from([Stated::Focal, Stated::Attitude]);
    let back = scene.apply(Edit::Stated(stated)).unwrap();
    scene.apply(Edit::Stage(Stage { origin: Origin::Given, ..*scene.stage() })).unwrap();
    assert!(scene.is_stated(Stated::Focal) && scene.is_stated(Stated::Attitude));
    // Who has stated the pitch alone has not stated the height.
    assert!(!scene.is_stated(Stated::CameraHeight) && !scene.is_stated(Stated::Focus));
    assert_eq!(file::from_file(&file::to_file(&scene)), Ok(scene.clone()));
    scene.apply(back).unwrap();
    // A picture from before such notes: the camera's origin says that height and pitch were given.
    assert!(!scene.is_stated(Stated::Focal) && scene.is_stated(Stated::CameraHeight));
}
