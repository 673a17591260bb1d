//! A made-up layout with one of everything, its photographs, and how both renderers draw it.

#![allow(dead_code, reason = "each test uses what it needs")]

use optics::lens::Blades;
use optics::{Lights, Point, Practical, Sky, Sun};
use pixels::{Budget, Image, Rgb, Rgba};
use render::{Error, Job, Keep, Photograph, Sources};
use scene::{PieceId, TreatmentId};
use staging::layout::{
    Aperture, Around, Blocker, Card, Curve, Cut, Daylight, Drawn, Field, Ground, GroundField, Keeps, Layout,
    LightOf, Lit, Mask, Mixing, Painted, Pool, Ramp, Resampling, Shadow, Taken, Tone, Toned, Weight,
};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use units::{Degrees, Digest, Mat3, Metres, Primaries, PxRect, PxSize, Vec3};

/// Made-up photographs: a soft pattern with some hard edges, and a cut-out with a round outline and a hole.
pub(crate) struct Made;

pub(crate) fn digest(name: &str) -> Digest {
    Digest::of(name.as_bytes())
}

impl Sources for Made {
    fn photograph(&self, _: Digest, budget: &Budget) -> Result<Arc<dyn Photograph>, Error> {
        let image = Image::from_fn(PxRect::new(0, 0, 300, 200), budget, |x, y| {
            let wave = |a: f32, b: f32| 0.5 + 0.4 * (a * x as f32 + b * y as f32).sin();
            Rgb([wave(0.05, 0.02), 0.5 * wave(0.11, -0.07), 0.3 + f32::from(u8::from(x / 40 % 2 == 0)) * 0.3])
        })?;
        Ok(Arc::new(image))
    }

    fn cut_out(&self, cut: Cut, budget: &Budget) -> Result<Arc<Image<Rgba>>, Error> {
        let image = Image::from_fn(PxRect::new(10, 20, 190, 240), budget, |x, y| {
            let (dx, dy) = (x as f32 - 100.0, (y as f32 - 130.0) * 0.85);
            let r = (dx * dx + dy * dy).sqrt();
            let a = ((88.0 - r) / 3.0).clamp(0.0, 1.0) * ((r - 12.0) / 2.0).clamp(0.0, 1.0);
            let lines = if (x + y) % 9 < 2 || cut.shot == digest("square") { 1.0 } else { 0.25 };
            let a = if cut.mixing == Mixing::Add { 0.0 } else { a };
            let shine = if cut.shot == digest("square") {
                f32::from(u8::from((90..110).contains(&x) && (120..140).contains(&y)))
            } else {
                ((88.0 - r) / 40.0).clamp(0.0, 1.0)
            };
            let c = if cut.mixing == Mixing::Add { shine } else { a };
            Rgba([c * lines, c * 0.4, c * (0.2 + 0.003 * y as f32), a])
        })?;
        Ok(Arc::new(image))
    }
}

pub(crate) fn cut(mixing: Mixing) -> Cut {
    Cut::of(digest("shot"), Some(digest("matte")), mixing)
}

pub(crate) fn drawn(id: u64, to_shot: Mat3, disc: f64, aperture: Aperture, mixing: Mixing) -> Drawn {
    let to_picture = to_shot.inverse().unwrap();
    let corners = [(6.0, 16.0), (194.0, 16.0), (6.0, 244.0), (194.0, 244.0)];
    let seen: Vec<_> = corners.iter().map(|&(x, y)| to_picture.project(x, y).unwrap()).collect();
    let lo = |f: fn(&(f64, f64)) -> f64| seen.iter().map(f).fold(f64::MAX, f64::min).floor() as i64 - 4;
    let hi = |f: fn(&(f64, f64)) -> f64| seen.iter().map(f).fold(f64::MIN, f64::max).ceil() as i64 + 4;
    Drawn {
        piece: PieceId::from_number(id),
        cut: cut(mixing),
        to_shot,
        bounds: PxRect::new(lo(|p| p.0), lo(|p| p.1), hi(|p| p.0), hi(|p| p.1)),
        disc,
        aperture,
        gain: Vec3::new(0.9, 0.8, 0.5 + 0.1 * id as f64),
        lit: (mixing == Mixing::Over).then(|| Box::new(lit(id as f64))),
        veil: Vec3::new(0.05, 0.06, 0.08),
        masks: Vec::new(),
        in_water: None,
    }
}

/// Light on a piece 1.8 m high at 5 m: sky, a sun from the side, and a lamp close to it on the other.
fn lit(x: f64) -> Lit {
    let sky = Sky::new(Vec3::new(0.5, 0.6, 0.8), Vec3::new(0.25, 0.3, 0.4)).unwrap();
    let sun = Sun::new(Vec3::new(0.8, 0.3, -0.4), Vec3::new(1.0, 0.9, 0.7), Sun::DIAMETER).unwrap();
    let at = Point::new(Metres::of(x - 0.9), Metres::of(1.3), Metres::of(4.8));
    let lamp = Practical::new(at, Vec3::new(1.0, 0.6, 0.2), Metres::of(0.1)).unwrap();
    Lit {
        to_plane: Mat3([[1.0 / 120.0, 0.0, -100.0 / 120.0], [0.0, -1.0 / 120.0, 2.0], [0.0, 0.0, 1.0]]),
        foot: Vec3::new(x, 0.0, 5.0),
        right: Vec3::new(1.0, 0.0, 0.0),
        up: Vec3::new(0.0, 1.0, 0.0),
        towards: Vec3::new(0.0, 0.0, -1.0),
        viewer: Vec3::new(0.0, 0.0, -1.0),
        lights: Lights::new(sky, Some(sun), Vec3::splat(0.2), vec![lamp]).unwrap(),
        readings: vec![(0.0, Vec3::splat(0.9)), (1.8, Vec3::splat(0.8))],
        mean: Vec3::new(3.0, 2.4, 1.6),
        blockers: vec![Blocker {
            light: 0,
            cut: cut(Mixing::Over),
            foot: Vec3::new(x + 1.2, 0.0, 4.4),
            normal: Vec3::new(0.8, 0.0, -0.6),
            right: Vec3::new(-0.6, 0.0, -0.8),
            up: Vec3::new(0.0, 1.0, 0.0),
            to_shot: Mat3([[100.0, 0.0, 100.0], [0.0, -100.0, 240.0], [0.0, 0.0, 1.0]]),
            softness: 6.0,
        }],
    }
}

/// A layout with one of everything.
pub(crate) fn everything() -> Layout {
    let size = PxSize::new(260, 170).unwrap();
    let blades = Aperture::Blades(Blades::new(6, Degrees::of(12.0), 0.3).unwrap());
    let similar = |scale: f64, x: f64, y: f64, turn: f64| {
        Mat3::translation(100.0, 130.0)
            * Mat3::scaling(scale, scale)
            * Mat3([[turn.cos(), turn.sin(), 0.0], [-turn.sin(), turn.cos(), 0.0], [0.0, 0.0, 1.0]])
            * Mat3::translation(-x, -y)
    };
    let keystone = Mat3([[2.4, 0.05, -40.0], [0.02, 2.6, -120.0], [0.0, 0.0012, 1.0]]);
    let mut masked = drawn(3, similar(1.9, 60.0, 120.0, 0.0), 0.0, Aperture::Disc, Mixing::Over);
    masked.masks = vec![Mask {
        polygons: vec![vec![[40.0, 90.0], [80.0, 95.0], [70.0, 150.0]]],
        softness: 4.0,
        keeps: Keeps::Outside,
    }];
    let mut forward = drawn(7, similar(1.6, 120.0, 110.0, 0.15), 2.0, Aperture::Disc, Mixing::Over);
    let region = |keeps| Mask {
        polygons: vec![vec![[90.0, 80.0], [140.0, 85.0], [120.0, 150.0]]],
        softness: 6.0,
        keeps,
    };
    let mut again = forward.clone();
    forward.masks = vec![region(Keeps::Rest)];
    let mut mirrored = drawn(
        8,
        Mat3([[1.3, 0.0, 10.0], [0.0, -1.2, 400.0], [0.0, 0.0, 1.0]]),
        7.0,
        Aperture::Disc,
        Mixing::Over,
    );
    mirrored.in_water = Some(0.7);
    mirrored.masks = vec![region(Keeps::Inside)];
    again.masks = vec![region(Keeps::Inside)];
    let to_level = Mat3([[0.02, 0.0, -2.6], [0.0, 0.0, 4.0], [0.0, 0.02, -1.0]]);
    let table =
        |top: Vec3| -> Vec<Vec3> { (0..40).map(|i| top * (1.0 / (1.0 + f64::from(i) / 4.0))).collect() };
    let pool = |x: f64, lit| Pool {
        to_level,
        light: Around { centre: [x, 3.0], values: table(Vec3::new(2.0, 1.0, 0.3)), extent: 6.0 },
        taken: if lit { Vec3::new(0.5, 0.6, 0.9) } else { Vec3::default() },
    };
    let leaning = |dx: f64| Mat3([[2.0, -1.5, 40.0 + dx], [0.0, -6.0, 1000.0], [0.0, 0.0, 1.0]]);
    let shadow = |of, dx: f64, disc| Shadow {
        piece: PieceId::from_number(3),
        of,
        taken: Taken::Thrown {
            cut: cut(Mixing::Over),
            to_shot: (0..4).map(|i| leaning(f64::from(i) + dx)).collect(),
        },
        bounds: PxRect::new(20, 120, 240, 170),
        disc,
        aperture: Aperture::Disc,
        strength: 0.9,
        soft: 0.0,
        is_faint: false,
    };
    let hides = Shadow {
        of: LightOf::Sky,
        taken: Taken::Hidden {
            to_level,
            around: vec![Around {
                centre: [-0.4, 2.5],
                values: (0..60).map(|i| 0.4 / (1.0 + f64::from(i * i) / 200.0)).collect(),
                extent: 1.5,
            }],
        },
        bounds: PxRect::new(0, 60, 260, 170),
        ..shadow(LightOf::Sky, 0.0, 3.0)
    };
    let ramp = |from, to, before, after| Ramp { from, to, before, after };
    let luminance = Vec3(Primaries::Rec2020.to_xyz().0[1]);
    let everywhere =
        |tone| Toned { treatment: TreatmentId::from_number(0), tone, strength: 1.0, weights: Vec::new() };
    Layout {
        size,
        primaries: Primaries::Rec2020,
        resampling: Resampling::Sensor,
        ground: Ground::Photograph {
            source: digest("backdrop"),
            to_source: Mat3::translation(300.0, 5.0) * Mat3::scaling(-1.08, 1.08),
        },
        daylight: Daylight {
            sky: Vec3::new(0.4, 0.5, 0.7),
            sun: Vec3::new(0.6, 0.5, 0.3),
            told: Vec3::new(0.7, 0.8, 1.1),
        },
        pools: vec![pool(0.3, false), pool(-0.6, true)],
        shadows: vec![
            shadow(LightOf::Sun, 0.0, 3.0),
            shadow(LightOf::Sun, 60.0, 9.0),
            shadow(LightOf::Lamp(0), 90.0, 3.0),
            hides,
        ],
        pieces: vec![
            drawn(1, similar(4.3, 200.0, 60.0, 0.1), 2.5, blades, Mixing::Over),
            forward,
            drawn(2, keystone, 0.0, Aperture::Disc, Mixing::Over),
            masked,
            again,
            drawn(4, similar(1.1, 150.0, 60.0, -0.2), 0.0, Aperture::Disc, Mixing::Add),
            drawn(5, similar(1.3, 30.0, 60.0, 0.3), 14.0, blades, Mixing::Over),
            drawn(6, similar(0.7, 250.0, 150.0, 0.0), 40.0, Aperture::Disc, Mixing::Over),
            mirrored,
        ],
        fields: vec![
            Field {
                ground: GroundField::Even(0.0),
                pieces: vec![0.0, 0.5, 1.0, 1.0, 0.5, 0.0, 0.0, 0.0, 0.25],
            },
            Field {
                ground: GroundField::Around {
                    to_level,
                    centre: [0.3, 3.0],
                    lift_squared: 0.4,
                    ramp: ramp(1.0, 3.0, 1.0, 0.0),
                },
                pieces: vec![0.2, 0.4, 0.9, 1.0, 0.4, 0.5, 0.3, 0.0, 0.25],
            },
            Field {
                ground: GroundField::Depth {
                    to_level,
                    depth: [0.0, 0.9, 0.1],
                    ramp: ramp(2.0, 9.0, 0.0, 1.0),
                },
                pieces: vec![0.9, 0.8, 0.5, 0.5, 0.8, 0.4, 0.1, 0.0, 0.25],
            },
        ],
        toning: vec![
            everywhere(Tone::Veil { amount: 0.05, colour: Vec3::new(1.0, 0.9, 0.8), held: None }),
            everywhere(Tone::Halation { amount: 0.1, sigma: 3.0 }),
            everywhere(Tone::Gain(Vec3::new(1.2, 1.1, 1.0))),
            Toned {
                treatment: TreatmentId::from_number(0),
                tone: Tone::Gain(Vec3::new(0.5, 0.6, 0.8)),
                strength: 0.7,
                weights: vec![
                    Weight::Field(1),
                    Weight::Tones(ramp(-4.0, -2.0, 0.0, 1.0), ramp(0.0, 2.0, 1.0, 0.0)),
                ],
            },
            everywhere(Tone::Grain { amount: 0.05, size: 1.6, seed: 9, luminance }),
            everywhere(Tone::Curve(Curve::from_fn(|c, v| v / (v + 0.8 + 0.1 * c as f64) * 1.6))),
            Toned {
                treatment: TreatmentId::from_number(0),
                tone: Tone::Saturation { factor: 0.4, luminance },
                strength: 1.0,
                weights: vec![Weight::Hues { centre: 60.0, half: 40.0, soft: 30.0 }, Weight::Field(2)],
            },
            Toned {
                treatment: TreatmentId::from_number(0),
                tone: Tone::Split {
                    shadow: Vec3::new(0.9, 1.0, 1.2),
                    highlight: Vec3::new(1.1, 1.0, 0.9),
                    ramp: ramp(-3.0, 2.0, 0.0, 1.0),
                    luminance,
                },
                strength: 1.0,
                weights: vec![Weight::Gradient { from: [0.0, 20.0], to: [10.0, 150.0] }],
            },
            Toned {
                treatment: TreatmentId::from_number(0),
                tone: Tone::Edge { factor: Vec3::new(0.4, 0.5, 0.7), ramp: ramp(0.5, 1.0, 0.0, 1.0) },
                strength: 1.0,
                weights: vec![Weight::Field(0)],
            },
            Toned {
                treatment: TreatmentId::from_number(0),
                tone: Tone::Gain(Vec3::new(1.6, 1.4, 1.2)),
                strength: 0.9,
                weights: vec![Weight::Card(card(Mat3::IDENTITY)), Weight::Card(card(askew()))],
            },
            everywhere(Tone::Sharpness { amount: 0.4, sigma: 1.2 }),
        ],
    }
}

/// A card with a hard stroke, a soft one over it, a dot, and something rubbed off.
fn card(to_card: Mat3) -> Card {
    let painted =
        |dots: &[[f64; 3]], soft, strength, rubs| Painted { dots: dots.to_vec(), soft, strength, rubs };
    let strokes = vec![
        painted(&[[20.0, 30.0, 9.0], [120.0, 90.0, 30.0], [180.0, 40.0, 12.0]], 0.0, 1.0, false),
        painted(&[[60.0, 10.0, 25.0], [70.0, 150.0, 40.0]], 1.0, 0.6, false),
        painted(&[[150.0, 110.0, 14.0]], 0.5, 1.0, false),
        painted(&[[90.0, 70.0, 12.0], [130.0, 75.0, 12.0]], 0.4, 0.8, true),
    ];
    Card { to_card, strokes }
}

/// From the picture to a plane that is seen askew.
fn askew() -> Mat3 {
    Mat3([[0.9, 0.1, 4.0], [-0.05, 1.1, -3.0], [0.0004, 0.0007, 1.0]])
}

pub(crate) fn fast(layout: &Layout, want: PxRect, threads: usize, keep: &dyn Keep) -> Image<Rgb> {
    let budget = Budget::of_bytes(1 << 30);
    let job = Job {
        layout,
        sources: &Made,
        keep,
        budget: &budget,
        threads: NonZeroUsize::new(threads).unwrap(),
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    job.picture(want).unwrap()
}

pub(crate) fn plain(layout: &Layout, want: PxRect) -> Image<Rgb> {
    render::plain::render(layout, want, &Made, &Budget::of_bytes(1 << 30)).unwrap()
}
