//! The fast renderer draws what the plain one draws: over tile sizes, thread counts, regions, scales and stores.

#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]
#![expect(clippy::disallowed_methods, reason = "made-up pictures need no portable digits")]

use optics::lens::Blades;
use pixels::{Budget, Image, Rgb, Rgba};
use render::keep::Nothing;
use render::{Error, Job, Keep, Memory, Photograph, Sources};
use scene::PieceId;
use staging::layout::{
    Aperture, Curve, Cut, Drawn, Field, Ground, GroundField, Keeps, Layout, Mask, Mixing, Pool, Ramp,
    Resampling, Shadow, Tone, Toned, Weight,
};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use units::{Degrees, Digest, Mat3, Primaries, PxRect, PxSize, Vec3};

/// Made-up photographs: a soft pattern with some hard edges, and a cut-out with a round outline and a hole.
struct Made;

fn digest(name: &str) -> Digest {
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

fn cut(mixing: Mixing) -> Cut {
    Cut::of(digest("shot"), Some(digest("matte")), mixing)
}

fn drawn(id: u64, to_shot: Mat3, disc: f64, aperture: Aperture, mixing: Mixing) -> Drawn {
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
        veil: Vec3::new(0.05, 0.06, 0.08),
        masks: Vec::new(),
    }
}

/// A layout with one of everything.
fn everything() -> Layout {
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
    again.masks = vec![region(Keeps::Inside)];
    let to_level = Mat3([[0.02, 0.0, -2.6], [0.0, 0.0, 4.0], [0.0, 0.02, -1.0]]);
    let pool = Pool {
        to_level,
        centre: [0.3, 3.0],
        gain: (0..40).map(|i| Vec3::new(2.0, 1.0, 0.3) * (1.0 / (1.0 + f64::from(i) / 4.0))).collect(),
        extent: 6.0,
    };
    let leaning = |dx: f64| Mat3([[2.0, -1.5, 40.0 + dx], [0.0, -6.0, 1000.0], [0.0, 0.0, 1.0]]);
    let shadow = Shadow {
        piece: PieceId::from_number(3),
        cut: cut(Mixing::Over),
        to_shot: (0..4).map(|i| leaning(f64::from(i))).collect(),
        bounds: PxRect::new(20, 120, 240, 170),
        disc: 3.0,
        aperture: Aperture::Disc,
        share: Vec3::new(0.5, 0.45, 0.3),
    };
    let ramp = |from, to, before, after| Ramp { from, to, before, after };
    let luminance = Vec3(Primaries::Rec2020.to_xyz().0[1]);
    let everywhere = |tone| Toned { tone, strength: 1.0, weights: Vec::new() };
    Layout {
        size,
        primaries: Primaries::Rec2020,
        resampling: Resampling::Sensor,
        ground: Ground::Photograph {
            source: digest("backdrop"),
            to_source: Mat3::translation(300.0, 5.0) * Mat3::scaling(-1.08, 1.08),
        },
        pools: vec![pool],
        shadows: vec![shadow],
        pieces: vec![
            drawn(1, similar(4.3, 200.0, 60.0, 0.1), 2.5, blades, Mixing::Over),
            forward,
            drawn(2, keystone, 0.0, Aperture::Disc, Mixing::Over),
            masked,
            again,
            drawn(4, similar(1.1, 150.0, 60.0, -0.2), 0.0, Aperture::Disc, Mixing::Add),
            drawn(5, similar(1.3, 30.0, 60.0, 0.3), 14.0, blades, Mixing::Over),
            drawn(6, similar(0.7, 250.0, 150.0, 0.0), 40.0, Aperture::Disc, Mixing::Over),
        ],
        fields: vec![
            Field { ground: GroundField::Even(0.0), pieces: vec![0.0, 0.5, 1.0, 1.0, 0.5, 0.0, 0.0, 0.0] },
            Field {
                ground: GroundField::Around {
                    to_level,
                    centre: [0.3, 3.0],
                    lift_squared: 0.4,
                    ramp: ramp(1.0, 3.0, 1.0, 0.0),
                },
                pieces: vec![0.2, 0.4, 0.9, 1.0, 0.4, 0.5, 0.3, 0.0],
            },
            Field {
                ground: GroundField::Depth {
                    to_level,
                    depth: [0.0, 0.9, 0.1],
                    ramp: ramp(2.0, 9.0, 0.0, 1.0),
                },
                pieces: vec![0.9, 0.8, 0.5, 0.5, 0.8, 0.4, 0.1, 0.0],
            },
        ],
        toning: vec![
            everywhere(Tone::Veil { amount: 0.05, colour: Vec3::new(1.0, 0.9, 0.8) }),
            everywhere(Tone::Halation { amount: 0.1, sigma: 3.0 }),
            everywhere(Tone::Gain(Vec3::new(1.2, 1.1, 1.0))),
            Toned {
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
                tone: Tone::Saturation { factor: 0.4, luminance },
                strength: 1.0,
                weights: vec![Weight::Hues { centre: 60.0, half: 40.0, soft: 30.0 }, Weight::Field(2)],
            },
            Toned {
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
                tone: Tone::Edge { factor: Vec3::new(0.4, 0.5, 0.7), ramp: ramp(0.5, 1.0, 0.0, 1.0) },
                strength: 1.0,
                weights: vec![Weight::Field(0)],
            },
            everywhere(Tone::Sharpness { amount: 0.4, sigma: 1.2 }),
        ],
    }
}

fn fast(layout: &Layout, want: PxRect, threads: usize, keep: &dyn Keep) -> Image<Rgb> {
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

fn plain(layout: &Layout, want: PxRect) -> Image<Rgb> {
    render::plain::render(layout, want, &Made, &Budget::of_bytes(1 << 30)).unwrap()
}

/// PSNR in decibels over all samples (1 is the peak), and the worst difference.
fn agreement(a: &Image<Rgb>, b: &Image<Rgb>) -> (f64, f64) {
    assert_eq!(a.place(), b.place());
    let (mut sum, mut worst) = (0.0, 0.0f64);
    for (x, y) in a.samples().iter().zip(b.samples()) {
        let d = f64::from(x - y).abs();
        sum += d * d;
        worst = worst.max(d);
    }
    (-10.0 * (sum / a.samples().len() as f64).log10(), worst)
}

#[test]
fn the_twins_agree_on_a_picture_with_one_of_everything() {
    let layout = everything();
    let (psnr, worst) =
        agreement(&plain(&layout, layout.size.rect()), &fast(&layout, layout.size.rect(), 2, &Nothing));
    println!("one of everything: {psnr:.1} dB, worst {worst:.4}");
    assert!(psnr > 60.0, "{psnr:.1} dB, worst {worst:.4}");
}

#[test]
fn the_twins_agree_on_each_piece_alone() {
    let layout = everything();
    for i in 0..layout.pieces.len() {
        let one = Layout {
            pieces: vec![layout.pieces[i].clone()],
            shadows: Vec::new(),
            fields: Vec::new(),
            toning: Vec::new(),
            ..layout.clone()
        };
        let (psnr, worst) =
            agreement(&plain(&one, one.size.rect()), &fast(&one, one.size.rect(), 2, &Nothing));
        println!("piece {}: {psnr:.1} dB, worst {worst:.4}", i + 1);
        assert!(psnr > 60.0, "piece {}: {psnr:.1} dB, worst {worst:.4}", i + 1);
    }
}

#[test]
fn threads_regions_and_stores_change_no_bit() {
    let mut layout = everything();
    let whole = fast(&layout, layout.size.rect(), 1, &Nothing);
    let budget = Budget::of_bytes(1 << 30);
    for threads in [2, 5] {
        assert!(
            fast(&layout, layout.size.rect(), threads, &Nothing).samples() == whole.samples(),
            "{threads} threads"
        );
    }
    let memory = Memory::of_bytes(1 << 26);
    for round in ["cold", "warm"] {
        assert!(fast(&layout, layout.size.rect(), 2, &memory).samples() == whole.samples(), "{round}");
    }
    for part in [PxRect::new(0, 0, 1, 1), PxRect::new(37, 21, 38, 170), PxRect::new(100, 60, 260, 131)] {
        let want = whole.crop(part, &budget).unwrap();
        assert!(fast(&layout, part, 2, &memory).samples() == want.samples(), "{part:?}");
    }
    // Without a step that looks around, each band is made by itself.
    layout.toning.retain(|t| !matches!(t.tone, Tone::Halation { .. } | Tone::Sharpness { .. }));
    let whole = fast(&layout, layout.size.rect(), 1, &Nothing);
    for y in (0..170).step_by(7) {
        let part = PxRect::new(0, y, 260, (y + 7).min(170));
        assert!(
            fast(&layout, part, 2, &Nothing).samples() == whole.crop(part, &budget).unwrap().samples(),
            "{y}"
        );
    }
}

#[test]
fn a_smaller_scale_shows_the_same_picture() {
    let mut layout = everything();
    // Grain is finer than the small picture's pixels, hard lines alias in no two ways alike: tone and place are compared.
    layout.toning.retain(|t| !matches!(t.tone, Tone::Grain { .. } | Tone::Sharpness { .. }));
    let whole = fast(&layout, layout.size.rect(), 2, &Nothing);
    let small = layout.scaled(0.5).unwrap();
    let small = fast(&small, small.size.rect(), 2, &Nothing);
    let mean = |image: &Image<Rgb>, x0: i64, y0: i64, n: i64| {
        let mut sum = [0.0f64; 3];
        for y in y0..y0 + n {
            for x in x0..x0 + n {
                for c in 0..3 {
                    sum[c] += f64::from(image.at(x, y).0[c]) / (n * n) as f64;
                }
            }
        }
        sum
    };
    for y in (0..160).step_by(20) {
        for x in (0..240).step_by(20) {
            let (a, b) = (mean(&whole, x, y, 20), mean(&small, x / 2, y / 2, 10));
            for c in 0..3 {
                assert!((a[c] - b[c]).abs() < 0.03, "{x},{y}: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn a_rendering_can_be_called_off_and_refuses_to_overdraw_its_memory() {
    let layout = everything();
    let run = |budget: &Budget, cancel: bool| {
        let job = Job {
            layout: &layout,
            sources: &Made,
            keep: &Nothing,
            budget,
            threads: NonZeroUsize::new(2).unwrap(),
            cancel: &AtomicBool::new(cancel),
            progress: &|_| {},
        };
        job.picture(layout.size.rect()).map(|_| ())
    };
    assert_eq!(run(&Budget::of_bytes(1 << 30), true), Err(Error::Cancelled));
    assert!(matches!(run(&Budget::of_bytes(1 << 20), false), Err(Error::Memory(_))));
}

#[test]
fn light_that_is_added_never_darkens() {
    let mut layout = everything();
    let to_shot =
        Mat3::translation(100.0, 130.0) * Mat3::scaling(12.0, 12.0) * Mat3::translation(-130.0, -85.0);
    let spark = drawn(1, to_shot, 43.0, Aperture::Disc, Mixing::Add);
    layout.pieces = vec![Drawn { gain: Vec3::splat(300.0), veil: Vec3::default(), ..spark }];
    layout.shadows.clear();
    layout.fields.clear();
    layout.toning.clear();
    let lit = fast(&layout, layout.size.rect(), 2, &Nothing);
    layout.pieces.clear();
    let dark = fast(&layout, layout.size.rect(), 2, &Nothing);
    let most = lit.samples().iter().copied().fold(0.0, f32::max);
    assert!(most > 10.0, "{most}");
    for (lit, dark) in lit.samples().iter().zip(dark.samples()) {
        assert!(lit >= dark, "{lit} {dark}");
    }
}

#[test]
fn a_spark_out_of_focus_is_the_aperture_without_a_rim() {
    let mut layout = everything();
    layout.ground = Ground::Plain(Vec3::default());
    (layout.pools, layout.shadows, layout.fields, layout.toning) = Default::default();
    // The spark is some pixels wide; only it is there.
    let to_shot =
        Mat3::translation(100.0, 130.0) * Mat3::scaling(26.0, 26.0) * Mat3::translation(-130.0, -85.0);
    for (disc, aperture) in [
        (120.0, Aperture::Disc),
        (120.0, Aperture::Blades(Blades::new(5, Degrees::of(0.0), 0.0).unwrap())),
        (60.0, Aperture::Disc),
    ] {
        let spark = drawn(1, to_shot, disc, aperture, Mixing::Add);
        layout.pieces = vec![Drawn { gain: Vec3::splat(300.0), veil: Vec3::default(), ..spark }];
        let (plain, fast) =
            (plain(&layout, layout.size.rect()), fast(&layout, layout.size.rect(), 2, &Nothing));
        let most = |i: &Image<Rgb>| f64::from(i.samples().iter().fold(0.0f32, |a, b| a.max(*b)));
        let sum = |i: &Image<Rgb>| i.samples().iter().map(|v| f64::from(*v)).sum::<f64>();
        let (brightest, energy) = (most(&fast) / most(&plain), sum(&fast) / sum(&plain));
        let worst = agreement(&plain, &fast).1 / most(&plain);
        println!("{disc} px: brightest {brightest:.4}, energy {energy:.4}, worst {worst:.4}");
        assert!(brightest < 1.05 && worst < 0.05 && (energy - 1.0).abs() < 3e-3, "{disc} px, {aperture:?}");
    }
}

#[test]
fn wide_halation_on_a_coarse_grid_is_the_definition_and_a_part_is_its_crop() {
    let mut layout = everything();
    // A spark is what halation is about.
    let to_shot =
        Mat3::translation(100.0, 130.0) * Mat3::scaling(12.0, 12.0) * Mat3::translation(-90.0, -60.0);
    let spark = drawn(7, to_shot, 0.0, Aperture::Disc, Mixing::Add);
    layout.pieces.push(Drawn { gain: Vec3::splat(100.0), veil: Vec3::default(), ..spark });
    (layout.fields, layout.shadows) = Default::default();
    let whole = layout.size.rect();
    layout.toning.clear();
    let sharp = [plain(&layout, whole), fast(&layout, whole, 2, &Nothing)];
    for sigma in [12.0, 25.0, 71.0] {
        let tone = Tone::Halation { amount: 0.5, sigma };
        layout.toning = vec![Toned { tone, strength: 1.0, weights: Vec::new() }];
        let toned = [plain(&layout, whole), fast(&layout, whole, 2, &Nothing)];
        // The glow alone: what the step added to half of the picture.
        let glow =
            |i: usize| toned[i].samples().iter().zip(sharp[i].samples()).map(|(a, b)| f64::from(a - 0.5 * b));
        let most = glow(0).fold(0.0f64, f64::max);
        let worst = glow(0).zip(glow(1)).map(|(a, b)| (a - b).abs()).fold(0.0f64, f64::max);
        println!("sigma {sigma}: {:.5} of the brightest glow", worst / most);
        assert!(worst < 0.01 * most, "sigma {sigma}: {worst} of {most}");
        for part in [PxRect::new(3, 5, 40, 41), PxRect::new(200, 100, 260, 170)] {
            let crop = toned[1].crop(part, &Budget::of_bytes(1 << 26)).unwrap();
            assert!(fast(&layout, part, 2, &Nothing).samples() == crop.samples(), "{sigma} {part:?}");
        }
    }
}

#[test]
fn points_of_light_have_no_ghosts_beside_them() {
    let mut layout = everything();
    layout.ground = Ground::Plain(Vec3::default());
    (layout.pools, layout.shadows, layout.fields, layout.toning) = Default::default();
    // A square of light six times its size, along the axes and turned a little.
    for turn in [0.0f64, 0.1] {
        let turned = Mat3([[turn.cos(), turn.sin(), 0.0], [-turn.sin(), turn.cos(), 0.0], [0.0, 0.0, 1.0]]);
        let to_shot = Mat3::translation(100.0, 130.0)
            * Mat3::scaling(1.0 / 6.0, 1.0 / 6.0)
            * turned
            * Mat3::translation(-130.0, -85.0);
        let light = drawn(1, to_shot, 0.0, Aperture::Disc, Mixing::Add);
        let cut = Cut { shot: digest("square"), ..light.cut };
        layout.pieces = vec![Drawn { cut, gain: Vec3::splat(500.0), veil: Vec3::default(), ..light }];
        let fast = fast(&layout, layout.size.rect(), 2, &Nothing);
        for step in [(1, 1), (1, -1), (-1, 1), (-1, -1), (1, 0), (0, -1)] {
            let along: Vec<f32> = (0..85).map(|i| fast.at(130 + step.0 * i, 85 + step.1 * i).0[0]).collect();
            let rises = along.windows(2).filter(|w| w[1] > w[0] * 1.0001 + 1e-5).count();
            assert_eq!(rises, 0, "turned by {turn}, towards {step:?}: {along:?}");
        }
    }
}
