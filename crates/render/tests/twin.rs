//! The fast renderer draws what the plain one draws: over tile sizes, thread counts, regions, scales and stores.

#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]
#![expect(clippy::disallowed_methods, reason = "made-up pictures need no portable digits")]

mod made;

use made::{Made, digest, drawn, everything, fast, plain};
use optics::lens::Blades;
use pixels::kernel::form::Small;
use pixels::{Budget, Image, Rgb, Rgba};
use render::keep::Nothing;
use render::{Error, Job, Memory, Photograph, Sources};
use scene::TreatmentId;
use staging::layout::{Aperture, Cut, Daylight, Drawn, Ground, Layout, Mixing, Tone, Toned};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use units::{Degrees, Digest, Mat3, PxRect, Vec3};

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

/// However far the picture looks beyond its border, at its own size, smaller, larger and turned over.
#[test]
fn a_photograph_goes_on_as_its_mirror_image() {
    let all = everything();
    let Ground::Photograph { source, .. } = all.ground else { panic!("it stands on a photograph") };
    let photograph = Made.photograph(source, &Budget::of_bytes(1 << 30)).unwrap();
    let across = f64::from(photograph.size().width());
    let of = |to_source| Layout {
        pieces: Vec::new(),
        shadows: Vec::new(),
        fields: Vec::new(),
        toning: Vec::new(),
        daylight: Daylight::default(),
        pools: Vec::new(),
        ground: Ground::Photograph { source, to_source },
        ..all.clone()
    };
    let over = Mat3::translation(across, 0.0) * Mat3::scaling(-1.0, 1.0);
    for to_source in [
        Mat3::translation(-40.0, -25.0),
        Mat3::translation(-40.0, -25.0) * Mat3::scaling(1.9, 1.9),
        Mat3::translation(-10.5, 3.0) * Mat3::scaling(0.4, 0.4),
        over * Mat3::translation(-40.0, -25.0) * Mat3::scaling(1.3, 1.3),
    ] {
        let layout = of(to_source);
        let (plain, fast) =
            (plain(&layout, layout.size.rect()), fast(&layout, layout.size.rect(), 2, &Nothing));
        let (psnr, worst) = agreement(&plain, &fast);
        assert!(psnr > 100.0, "{to_source:?}: {psnr:.1} dB, worst {worst:.6}");
        if to_source == Mat3::translation(-40.0, -25.0) {
            for i in 0..40 {
                let (a, b) = (plain.at(39 - i, 60), plain.at(40 + i, 60));
                assert!(a.0.iter().zip(b.0).all(|(a, b)| (a - b).abs() < 1e-6), "{i} pixels from the seam");
                let row = photograph_row(&*photograph, 35);
                assert!((row[i as usize].0[1] - b.0[1]).abs() < 1e-6, "column {i}");
            }
        }
    }
}

fn photograph_row(photograph: &dyn Photograph, y: usize) -> Vec<Rgb> {
    let mut row = vec![Rgb::default(); photograph.size().width() as usize];
    photograph.row(0, y, &mut row);
    row
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

/// The made-up photographs, and how often a cut-out was asked for.
#[derive(Default)]
struct Counted(AtomicUsize);

impl Sources for Counted {
    fn photograph(&self, source: Digest, budget: &Budget) -> Result<Arc<dyn Photograph>, Error> {
        Made.photograph(source, budget)
    }

    fn cut_out(&self, cut: Cut, budget: &Budget) -> Result<Arc<Image<Rgba>>, Error> {
        self.0.fetch_add(1, Ordering::Relaxed);
        Made.cut_out(cut, budget)
    }

    fn small(&self, cut: Cut, budget: &Budget) -> Result<Small, Error> {
        Made.small(cut, budget)
    }
}

#[test]
fn a_cut_out_at_every_scale_it_was_used_at_is_held() {
    let at = |id, scale: f64, x: f64| {
        let to_shot =
            Mat3::translation(100.0, 130.0) * Mat3::scaling(scale, scale) * Mat3::translation(-x, -90.0);
        drawn(id, to_shot, 0.0, Aperture::Disc, Mixing::Over)
    };
    // The far one, first asked for, is reduced by more: on its way lies what the near one is drawn from.
    let mut layout = Layout { shadows: Vec::new(), fields: Vec::new(), toning: Vec::new(), ..everything() };
    let (memory, sources, budget) =
        (Memory::of_bytes(1 << 26), Counted::default(), Budget::of_bytes(1 << 30));
    for (x, asked) in [(80.0, 1), (90.0, 1), (100.0, 1)] {
        layout.pieces = vec![at(1, 9.0, 200.0), at(2, 4.5, x)];
        let job = Job {
            layout: &layout,
            sources: &sources,
            keep: &memory,
            budget: &budget,
            threads: NonZeroUsize::MIN,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        job.picture(layout.size.rect()).unwrap();
        assert_eq!(sources.0.load(Ordering::Relaxed), asked, "{x}");
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
        layout.toning =
            vec![Toned { treatment: TreatmentId::from_number(0), tone, strength: 1.0, weights: Vec::new() }];
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

/// What is seen at a pixel is seen in every place that holds it, and nothing is seen where no pixel shows anything.
#[test]
fn what_is_seen_at_a_pixel_is_seen_around_it() {
    let layout = everything();
    let never = AtomicBool::new(false);
    let budget = Budget::of_bytes(1 << 28);
    let job = Job {
        layout: &layout,
        sources: &Made,
        keep: &Nothing,
        budget: &budget,
        threads: NonZeroUsize::MIN,
        cancel: &never,
        progress: &|_| {},
    };
    let is_seen = |place: PxRect| job.seen_in(place).unwrap().is_some();
    let mut edges = 0;
    for (x, y) in (0..5).flat_map(|i| (0..4).map(move |k| (5 + 60 * i, 5 + 45 * k))) {
        let pixels =
            (-2..=2).flat_map(|v| (-2..=2).map(move |u| PxRect::new(x + u, y + v, x + u + 1, y + v + 1)));
        let is_around = pixels.filter(|pixel| is_seen(*pixel)).count() > 0;
        assert_eq!(is_seen(PxRect::new(x - 2, y - 2, x + 3, y + 3)), is_around, "{x} {y}");
        edges += usize::from(is_around && !is_seen(PxRect::new(x, y, x + 1, y + 1)));
    }
    assert!(edges > 0, "no edge was looked at");
}
