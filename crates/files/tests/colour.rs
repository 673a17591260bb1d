//! Colours against an independent library (lcms2), by CIEDE2000.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "support/profile.rs"]
mod profile;
mod support;

use files::encode::{Codes, Description, Form, Packing, Sampling};
use files::{Channels, Colour, Depth, Photograph};
use lcms2::{CIExyY, CIExyYTRIPLE, Intent, PixelFormat, Profile, ToneCurve, Transform};
use pixels::difference::{ciede2000, lab};
use pixels::encode::{Power, Transfer, bradford};
use std::io::{Cursor, Write as _};
use support::*;
use units::primaries::xyz_of_xy;
use units::{Primaries, Vec3};

/// The white of the profile connection space.
const D50: Vec3 = Vec3([0.9642, 1.0, 0.8249]);

/// L*a*b* under D50 of a photograph read in working primaries.
fn our_labs(photograph: &Photograph, working: Primaries) -> Vec<Vec3> {
    let to_d50 = bradford(xyz_of_xy(working.white()), D50) * working.to_xyz();
    let image = photograph.to_rgb(working, &budget()).unwrap();
    image.pixels().iter().map(|p| lab(to_d50 * Vec3(p.0.map(f64::from)), D50)).collect()
}

/// What the library says about 16-bit codes.
fn their_labs<const N: usize>(profile: &[u8], format: PixelFormat, codes: &[u16]) -> Vec<Vec3> {
    let from = Profile::new_icc(profile).unwrap();
    let to = Profile::new_lab4_context(lcms2::GlobalContext::new(), &CIExyY { x: 0.3457, y: 0.3585, Y: 1.0 })
        .unwrap();
    let transform: Transform<[u16; N], [f64; 3]> = Transform::new_flags(
        &from,
        format,
        &to,
        PixelFormat::Lab_DBL,
        Intent::RelativeColorimetric,
        lcms2::Flags::NO_OPTIMIZE | lcms2::Flags::NO_CACHE,
    )
    .unwrap();
    let input: Vec<[u16; N]> = codes.as_chunks::<N>().0.to_vec();
    let mut output = vec![[0.0; 3]; input.len()];
    transform.transform_pixels(&input, &mut output);
    output.into_iter().map(Vec3).collect()
}

fn worst(ours: &[Vec3], theirs: &[Vec3]) -> f64 {
    assert_eq!(ours.len(), theirs.len());
    ours.iter().zip(theirs).map(|(a, b)| ciede2000(*a, *b)).fold(0.0, f64::max)
}

/// Corners, edges and inner colours.
fn probes(n: usize, channels: usize) -> Vec<u16> {
    let mut chance = Chance::new(11);
    (0..n * channels)
        .map(|i| match i / channels {
            0 => 0,
            1 => 65535,
            p if p < 40 => [0, 65535, 32768, 1000][chance.below(4)],
            p if p < 200 => (chance.below(256) * 257) as u16,
            _ => chance.next() as u16,
        })
        .collect()
}

const SIDE: u32 = 32;

fn picture(channels: Channels, colour: Option<(Primaries, Transfer)>) -> Description {
    describe(SIDE, SIDE, channels, colour)
}

/// A PNG that carries any profile.
fn png_with(icc: &[u8], colour: png::ColorType, codes: &[u16]) -> Vec<u8> {
    let mut info = png::Info::with_size(SIDE, SIDE);
    info.color_type = colour;
    info.bit_depth = png::BitDepth::Sixteen;
    info.icc_profile = Some(icc.to_vec().into());
    let mut out = Vec::new();
    let mut writer = png::Encoder::with_info(&mut out, info).unwrap().write_header().unwrap();
    let bytes: Vec<u8> = codes.iter().flat_map(|c| c.to_be_bytes()).collect();
    writer.write_image_data(&bytes).unwrap();
    writer.finish().unwrap();
    out
}

#[test]
fn our_own_profiles_mean_what_they_say() {
    let codes = probes(1024, 3);
    for colour in [
        (Primaries::Srgb, Transfer::Srgb),
        (Primaries::DisplayP3, Transfer::Srgb),
        (Primaries::Rec2020, Transfer::Bt2020),
        (Primaries::Romm, Transfer::Romm),
        (Primaries::Rec2020, Transfer::Bt709),
        (Primaries::Srgb, Transfer::Linear),
        (Primaries::DisplayP3, Transfer::Power(Power::new(2.2).unwrap())),
    ] {
        let form = Form::Tiff { depth: Depth::U16, packing: Packing::None };
        let tiff = decode(&file(picture(Channels::Rgb, Some(colour)), form, Codes::U16(&codes)));
        let icc = tiff.profile().expect("a TIFF carries its profile").bytes();
        assert!(icc.len() < 700, "{} bytes", icc.len());
        assert!(matches!(tiff.colour(), Colour::Known(p, t) if (*p, *t) == colour), "{:?}", tiff.colour());
        let theirs = their_labs::<3>(icc, PixelFormat::RGB_16, &codes);
        let form = Form::Png { depth: Depth::U16 };
        let png = decode(&file(picture(Channels::Rgb, Some(colour)), form, Codes::U16(&codes)));
        for working in [Primaries::Rec2020, Primaries::Srgb, Primaries::Romm] {
            for photograph in [&tiff, &png] {
                let miss = worst(&our_labs(photograph, working), &theirs);
                assert!(miss < 0.1, "{colour:?} in {working:?} from {photograph:?}: {miss}");
            }
        }
    }
}

#[test]
fn a_tagged_jpeg_is_read_by_its_profile() {
    let soft: Vec<u8> = soft(SIDE, SIDE);
    for colour in [(Primaries::DisplayP3, Transfer::Srgb), (Primaries::Romm, Transfer::Romm)] {
        let form = Form::Jpeg { quality: 95, sampling: Sampling::Full };
        let photograph = decode(&file(picture(Channels::Rgb, Some(colour)), form, Codes::U8(&soft)));
        let codes: Vec<u16> = u8s(&photograph).iter().map(|&c| u16::from(c) * 257).collect();
        let theirs = their_labs::<3>(photograph.profile().unwrap().bytes(), PixelFormat::RGB_16, &codes);
        assert!(worst(&our_labs(&photograph, Primaries::Rec2020), &theirs) < 0.1, "{colour:?}");
    }
}

fn xyy((x, y): (f64, f64)) -> CIExyY {
    CIExyY { x, y, Y: 1.0 }
}

fn their_profile(primaries: [(f64, f64); 3], white: (f64, f64), curve: &ToneCurve, version: f64) -> Vec<u8> {
    let triple = CIExyYTRIPLE { Red: xyy(primaries[0]), Green: xyy(primaries[1]), Blue: xyy(primaries[2]) };
    let mut profile = Profile::new_rgb(&xyy(white), &triple, &[curve, curve, curve]).unwrap();
    profile.set_version(version);
    profile.icc().unwrap()
}

#[test]
fn matrix_profiles_of_others_are_recognised_or_used_as_they_are() {
    let codes = probes(1024, 3);
    let srgb =
        || ToneCurve::new_parametric(4, &[2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045]).unwrap();
    let sampled = |n: u32, t: Transfer| {
        let values: Vec<u16> =
            (0..n).map(|i| (t.decode(f64::from(i) / f64::from(n - 1)) * 65535.0).round() as u16).collect();
        ToneCurve::new_tabulated(&values)
    };
    let known = |p: Primaries| (p.chromaticities(), p.white());
    let wide = ([(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)], (0.3127, 0.3290));
    let odd = ([(0.66, 0.32), (0.28, 0.62), (0.14, 0.08)], (0.3324, 0.3474));
    type Space = ([(f64, f64); 3], (f64, f64));
    type Known = Option<(Primaries, Transfer)>;
    let cases: [(&str, Space, ToneCurve, Known); 6] = [
        ("sRGB", known(Primaries::Srgb), srgb(), Some((Primaries::Srgb, Transfer::Srgb))),
        ("P3", known(Primaries::DisplayP3), srgb(), Some((Primaries::DisplayP3, Transfer::Srgb))),
        (
            "sampled",
            known(Primaries::Srgb),
            sampled(1024, Transfer::Srgb),
            Some((Primaries::Srgb, Transfer::Srgb)),
        ),
        (
            "ROMM",
            known(Primaries::Romm),
            sampled(4096, Transfer::Romm),
            Some((Primaries::Romm, Transfer::Romm)),
        ),
        ("gamma 563/256", wide, ToneCurve::new(563.0 / 256.0), None),
        ("odd white", odd, sampled(33, Transfer::Power(Power::new(2.0).unwrap())), None),
    ];
    for (name, (primaries, white), curve, expected) in cases {
        for version in [2.1, 4.3] {
            let icc = their_profile(primaries, white, &curve, version);
            let photograph = decode(&png_with(&icc, png::ColorType::Rgb, &codes));
            match (photograph.colour(), expected) {
                (Colour::Known(p, t), Some(want)) => assert_eq!((*p, *t), want, "{name} {version}"),
                (Colour::Icc(_), None) => {}
                (got, want) => panic!("{name} {version}: {got:?} for {want:?}"),
            }
            let theirs = their_labs::<3>(&icc, PixelFormat::RGB_16, &codes);
            for working in [Primaries::Rec2020, Primaries::Srgb] {
                let miss = worst(&our_labs(&photograph, working), &theirs);
                assert!(miss < 0.1, "{name} {version} in {working:?}: {miss}");
            }
        }
    }
}

#[test]
fn grey_profiles_are_read_by_their_curve() {
    let codes = probes(1024, 1);
    for (gamma, version) in [(1.8, 2.1), (2.2, 4.3), (1.0, 4.3)] {
        let mut profile = Profile::new_gray(&xyy((0.3457, 0.3585)), &ToneCurve::new(gamma)).unwrap();
        profile.set_version(version);
        let icc = profile.icc().unwrap();
        let photograph = decode(&png_with(&icc, png::ColorType::Grayscale, &codes));
        assert!(photograph.warnings().is_empty(), "{:?}", photograph.warnings());
        let theirs = their_labs::<1>(&icc, PixelFormat::GRAY_16, &codes);
        let miss = worst(&our_labs(&photograph, Primaries::Rec2020), &theirs);
        assert!(miss < 0.1, "gamma {gamma}: {miss}");
    }
    // Our own grey profile.
    let form = Form::Tiff { depth: Depth::U16, packing: Packing::Lzw };
    let photograph = decode(&file(picture(Channels::Grey, SRGB), form, Codes::U16(&codes)));
    let theirs = their_labs::<1>(photograph.profile().unwrap().bytes(), PixelFormat::GRAY_16, &codes);
    assert!(worst(&our_labs(&photograph, Primaries::Rec2020), &theirs) < 0.1);
}

/// Some device: dull, uneven, nothing like a matrix. All its colours lie within ROMM, through which tables go.
fn some_rgb_device(rgb: &[f64]) -> [f64; 3] {
    let [r, g, b] = [rgb[0], rgb[1], rgb[2]].map(|v| v * v * (1.3 - 0.3 * v));
    let y = 0.25 * r + 0.65 * g + 0.1 * b;
    let l = 4.0 + 92.0 * y.sqrt();
    [l, 50.0 * (r - g) * (1.0 - 0.3 * b), 40.0 * (0.5 * (r + g) - b)]
}

fn some_ink(cmyk: &[f64]) -> [f64; 3] {
    let [c, m, y, k] = [cmyk[0], cmyk[1], cmyk[2], cmyk[3]];
    let light = (1.0 - 0.35 * c) * (1.0 - 0.5 * m) * (1.0 - 0.08 * y) * (1.0 - 0.9 * k);
    let colour = 1.0 - 0.9 * k;
    [6.0 + 89.0 * light, colour * (70.0 * m - 35.0 * c - 5.0 * y), colour * (85.0 * y - 45.0 * c - 8.0 * m)]
}

#[test]
fn profiles_made_of_tables_go_through_the_library() {
    let codes = probes(1024, 3);
    let icc = profile::table_profile(*b"RGB ", 17, some_rgb_device);
    let photograph = decode(&png_with(&icc, png::ColorType::Rgb, &codes));
    assert!(matches!(photograph.colour(), Colour::Icc(p) if p.description() == "test"), "{photograph:?}");
    let theirs = their_labs::<3>(&icc, PixelFormat::RGB_16, &codes);
    let miss = worst(&our_labs(&photograph, Primaries::Rec2020), &theirs);
    println!("RGB table: worst CIEDE2000 {miss}");
    assert!(miss < 0.2, "{miss}");
}

#[test]
fn ink_is_read_by_its_profile_and_refused_without_one() {
    let icc = profile::table_profile(*b"CMYK", 9, some_ink);
    let mut chance = Chance::new(17);
    // Even patches, so that what JPEG loses is the same all over a patch.
    let patches: Vec<[u8; 4]> = (0..16).map(|_| std::array::from_fn(|_| chance.next() as u8)).collect();
    let ink: Vec<u8> =
        (0..SIDE * SIDE).flat_map(|i| patches[(i % SIDE / 8 + i / SIDE / 8 * 4) as usize]).collect();
    for colour in [jpeg_encoder::ColorType::Cmyk, jpeg_encoder::ColorType::CmykAsYcck] {
        let mut out = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut out, 100);
        encoder.add_icc_profile(&icc).unwrap();
        // The coder stores ink inverted, as such files do.
        encoder.encode(&ink, SIDE as u16, SIDE as u16, colour).unwrap();
        let photograph = decode(&out);
        assert_eq!(photograph.channels(), Channels::Cmyk);
        let worst_code = u8s(&photograph).iter().zip(&ink).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
        assert!(worst_code <= 4, "{colour:?}: {worst_code}");
        let codes: Vec<u16> = u8s(&photograph).iter().map(|&c| u16::from(c) * 257).collect();
        let theirs = their_labs::<4>(&icc, PixelFormat::CMYK_16, &codes);
        let miss = worst(&our_labs(&photograph, Primaries::Rec2020), &theirs);
        println!("CMYK table: worst CIEDE2000 {miss}");
        assert!(miss < 0.3, "{colour:?}: {miss}");
    }
    let mut out = Vec::new();
    jpeg_encoder::Encoder::new(&mut out, 90)
        .encode(&ink, SIDE as u16, SIDE as u16, jpeg_encoder::ColorType::Cmyk)
        .unwrap();
    let e = files::decode(&out, &files::Limits::default(), &budget()).unwrap_err();
    assert!(e.what().contains("CMYK") && e.remedy().contains("RGB"), "{e}");
}

/// A PNG with these chunks between IHDR and IDAT.
fn png_chunks(codes: &[u8], chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, 16, 16);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().unwrap();
    for (name, data) in chunks {
        writer.write_chunk(png::chunk::ChunkType(**name), data).unwrap();
    }
    writer.write_image_data(codes).unwrap();
    writer.finish().unwrap();
    out
}

#[test]
fn png_colour_notes_are_honoured_in_their_order() {
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v / 2]).collect();
    let colour = |chunks: &[(&[u8; 4], &[u8])]| decode(&png_chunks(&codes, chunks)).colour().clone();
    let gama = 45455u32.to_be_bytes();
    let p3 = [31270u32, 32900, 68000, 32000, 26500, 69000, 15000, 6000].map(u32::to_be_bytes).concat();
    let odd = [31270u32, 32900, 66000, 33000, 21000, 71000, 15000, 6000].map(u32::to_be_bytes).concat();
    assert!(matches!(colour(&[]), Colour::Untagged));
    assert!(matches!(colour(&[(b"sRGB", &[0])]), Colour::Known(Primaries::Srgb, Transfer::Srgb)));
    assert!(matches!(colour(&[(b"gAMA", &gama)]), Colour::Known(Primaries::Srgb, Transfer::Power(p))
        if (p.exponent() - 2.2).abs() < 1e-4));
    assert!(matches!(
        colour(&[(b"gAMA", &gama), (b"cHRM", &p3)]),
        Colour::Known(Primaries::DisplayP3, Transfer::Power(_))
    ));
    assert!(matches!(colour(&[(b"gAMA", &gama), (b"cHRM", &odd)]), Colour::Measured { .. }));
    assert!(matches!(
        colour(&[(b"gAMA", &gama), (b"sRGB", &[0])]),
        Colour::Known(Primaries::Srgb, Transfer::Srgb)
    ));
    // cICP goes before everything else.
    assert!(matches!(
        colour(&[(b"cICP", &[9, 15, 0, 1]), (b"sRGB", &[0])]),
        Colour::Known(Primaries::Rec2020, Transfer::Bt2020)
    ));
    assert!(matches!(
        colour(&[(b"cICP", &[12, 13, 0, 1])]),
        Colour::Known(Primaries::DisplayP3, Transfer::Srgb)
    ));
    let pq = png_chunks(&codes, &[(b"cICP", &[9, 16, 0, 1])]);
    let e = files::decode(&pq, &files::Limits::default(), &budget()).unwrap_err();
    assert!(e.what().contains("high dynamic range"), "{e}");
    // Numbers that are no standard's are used as they are.
    let odd = decode(&png_chunks(&codes, &[(b"gAMA", &gama), (b"cHRM", &odd)]));
    let icc = their_profile(
        [(0.66, 0.33), (0.21, 0.71), (0.15, 0.06)],
        (0.3127, 0.3290),
        &ToneCurve::new(100_000.0 / 45455.0),
        4.3,
    );
    let wide: Vec<u16> = codes.iter().map(|&c| u16::from(c) * 257).collect();
    let theirs = their_labs::<3>(&icc, PixelFormat::RGB_16, &wide);
    assert!(worst(&our_labs(&odd, Primaries::Rec2020), &theirs) < 0.1);
}

#[test]
fn a_damaged_or_unfit_profile_is_told_and_not_used() {
    let codes = probes(1024, 3);
    let photograph = decode(&png_with(b"this is no profile at all, not at all", png::ColorType::Rgb, &codes));
    assert!(matches!(photograph.colour(), Colour::Untagged));
    assert!(photograph.warnings()[0].contains("read as sRGB"), "{:?}", photograph.warnings());
    let grey = Profile::new_gray(&xyy((0.3457, 0.3585)), &ToneCurve::new(2.2)).unwrap().icc().unwrap();
    let photograph = decode(&png_with(&grey, png::ColorType::Rgb, &codes));
    assert!(photograph.warnings()[0].contains("other channels"), "{:?}", photograph.warnings());
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v / 2]).collect();
    let bytes = png_chunks(&codes, &[(b"iCCP", b"name\0\0these bytes do not unpack")]);
    let probe = files::probe(&bytes, &files::Limits::default()).unwrap();
    assert_eq!(probe.colour, "untagged");
    assert!(probe.warnings[0].contains("colour profile cannot be unpacked"), "{:?}", probe.warnings);
}

#[test]
fn what_a_file_states_of_its_colours_is_told_in_words() {
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v / 2]).collect();
    let named = |chunks: &[(&[u8; 4], &[u8])]| {
        files::probe(&png_chunks(&codes, chunks), &files::Limits::default()).unwrap().colour
    };
    assert_eq!(named(&[]), "untagged");
    assert_eq!(named(&[(b"sRGB", &[0])]), "sRGB");
    assert_eq!(named(&[(b"gAMA", &100_000u32.to_be_bytes())]), "sRGB primaries, linear");
    assert_eq!(named(&[(b"gAMA", &45455u32.to_be_bytes())]), "sRGB primaries, gamma 2.20");
    assert_eq!(named(&[(b"cICP", &[9, 15, 0, 1])]), "Rec. 2020");
    assert_eq!(named(&[(b"cICP", &[12, 8, 0, 1])]), "Display P3 primaries, linear");
}

/// A profile that unpacks to far more than it says must not be unpacked.
#[test]
fn a_profile_that_swells_is_stopped() {
    let mut packed = b"bomb\0\0".to_vec();
    let mut z = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    for _ in 0..300 {
        z.write_all(&vec![0u8; 1 << 20]).unwrap();
    }
    packed.extend(z.finish().unwrap());
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v / 2]).collect();
    let bytes = png_chunks(&codes, &[(b"iCCP", &packed)]);
    let small = pixels::Budget::of_bytes(32 << 20);
    // Either answer is right, as long as nothing swells: refused, or read without the profile.
    if let Ok(photograph) = files::decode(&bytes, &files::Limits::default(), &small) {
        assert!(photograph.profile().is_none());
    }
    let _ = Cursor::new(bytes);
}
