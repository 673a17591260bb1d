//! A stage to lay dressings on: a sitter, and three cut-outs of plants.

use optics::{Aperture, Camera, Focus, Lens, Viewpoint};
use scene::{Stage as StageOfScene, *};
use staging::Measured;
use staging::measured::{BANDS, MeasuredCut};
use units::{Degrees, Digest, Metres, Millimetres, PxRect, PxSize};

pub(crate) struct Stage {
    pub(crate) scene: Scene,
    pub(crate) measured: Measured,
    pub(crate) plants: [CutOutId; 3],
    pub(crate) sitter: PieceId,
}

pub(crate) fn m(v: f64) -> Metres {
    Metres::of(v)
}

/// 1500 x 1000 pixels, from 1.5 m above even ground, 35 mm at f/4 focused on the sitter, 6 m away.
pub(crate) fn stage() -> Stage {
    let size = PxSize::new(1500, 1000).unwrap();
    let mut scene = Scene::new("Meadow", Format::of_size(size)).unwrap();
    let mut fresh = scene.fresh();
    let mut measured = Measured::default();
    let mut edits = Vec::new();
    let camera = Camera::new(Viewpoint {
        size,
        height: m(1.5),
        pitch: Degrees::of(4.0),
        roll: Degrees::ZERO,
        focal: Millimetres::of(35.0),
        sensor_width: Millimetres::of(36.0),
        principal: None,
    });
    edits.push(Edit::Stage(StageOfScene { camera: camera.unwrap(), ..*scene.stage() }));
    edits.push(Edit::Lens(Lens::new(Millimetres::of(35.0), 4.0, Focus::At(m(6.0)), Aperture::Disc).unwrap()));
    let mut cut = |name: &str, height: f64, wide: i64, may_mirror| {
        let id = fresh.cutout();
        let digest = Digest::of(name.as_bytes());
        let source = Source {
            file: format!("{name}.png"),
            name: name.into(),
            kind: SourceKind::Shot,
            bytes: 4,
            size: PxSize::new(400, 800),
            note: String::new(),
        };
        let mut cutout = CutOut::of(name, digest, None);
        cutout.facts.scale = Some(Scale::Height(m(height)));
        cutout.facts.may_mirror = may_mirror;
        edits.push(Edit::Source { digest, put: Put::Add(Box::new(source)) });
        edits.push(Edit::CutOut { id, put: Put::Add(Box::new(cutout)) });
        let covered = PxRect::new(200 - wide / 2, 20, 200 + wide / 2, 780);
        let ends = [(200 - wide / 2) as f32, (200 + wide / 2) as f32];
        measured.cuts.insert(
            id,
            MeasuredCut {
                size: PxSize::new(400, 800).unwrap(),
                covered,
                solid: covered,
                lowest: 200.0,
                outline: [ends; BANDS],
                bulk: 0.0,
                girths: Default::default(),
                crown: None,
                base: None,
            },
        );
        id
    };
    let person = cut("sitter", 1.7, 260, None);
    let plants =
        [cut("reed", 1.4, 120, None), cut("sedge", 0.6, 380, None), cut("sign", 0.9, 200, Some(false))];
    let sitter = fresh.piece();
    let stands = Piece::standing("Sitter", person, Mark::on_ground(m(0.0), m(6.0)));
    edits.push(Edit::Piece { id: sitter, put: Put::Add(Box::new(stands)) });
    edits.push(Edit::Subject(Some(sitter)));
    scene.apply(Edit::Group(edits)).unwrap();
    Stage { scene, measured, plants, sitter }
}

/// Plants on the ground before and around the sitter.
pub(crate) fn meadow(stage: &Stage) -> Dressing {
    Dressing {
        name: "Meadow".into(),
        of: stage.plants.iter().map(|c| Chosen { cutout: *c, share: 1.0 }).collect(),
        level: None,
        area: Area::Outline(vec![[-4.0, 3.0], [4.0, 3.0], [6.0, 11.0], [-6.0, 11.0]]),
        arrangement: Arrangement::Drift { spacing: m(0.9) },
        number: None,
        thinning: Vec::new(),
        ranges: Ranges {
            height: (Factor::new(0.8).unwrap(), Factor::new(1.2).unwrap()),
            lean: (Degrees::of(-6.0), Degrees::of(6.0)),
            turn: (Degrees::of(-5.0), Degrees::of(5.0)),
            ..Ranges::default()
        },
        stance: Stance::Upright,
        facing: None,
        clear: Vec::new(),
        way: 3,
        laid: std::collections::BTreeMap::new(),
    }
}

/// Lays a rule in the picture and gives it back as the picture has it.
pub(crate) fn lay(
    stage: &mut Stage,
    which: Option<DressingId>,
    rule: &Dressing,
) -> (DressingId, dressing::Laying) {
    let laying = dressing::laid(&stage.scene, &stage.measured, which, rule);
    stage.scene.apply(laying.edit.clone()).unwrap();
    (laying.id, laying)
}

/// Where the pieces of a dressing stand.
pub(crate) fn marks(stage: &Stage, id: DressingId) -> Vec<(PieceId, [f64; 2])> {
    let laid = stage.scene.dressings()[&id].laid.values();
    laid.filter_map(|l| {
        let mark = stage.scene.pieces().get(&l.piece)?.mark;
        Some((l.piece, [mark.x.get(), mark.z.get()]))
    })
    .collect()
}

pub(crate) fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt()
}
