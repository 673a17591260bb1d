//! What is written comes back: exactly where the format is without loss, within the expected error where it is not.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use files::encode::{Codes, Encoder as Writing, Form, Packing, Sampling, Writer};
use files::{Association, Channels, Colour, Depth, Format, Limits, Photograph, Samples};
use pixels::encode::{Encoder, Transfer};
use pixels::{Rgb, Rgba};
use std::io::Cursor;
use support::*;
use units::Primaries;

const PACKINGS: [Packing; 3] = [Packing::None, Packing::Lzw, Packing::Deflate];

/// Both formats without loss, in all their ways.
fn lossless(depth: Depth) -> Vec<Form> {
    let tiff = PACKINGS.into_iter().map(|packing| Form::Tiff { depth, packing });
    tiff.chain([Form::Png { depth }]).collect()
}

fn spaces() -> [(Primaries, Transfer); 5] {
    [
        (Primaries::Srgb, Transfer::Srgb),
        (Primaries::DisplayP3, Transfer::Srgb),
        (Primaries::Rec2020, Transfer::Bt2020),
        (Primaries::Romm, Transfer::Romm),
        (Primaries::Srgb, Transfer::Bt709),
    ]
}

fn linear(photograph: &Photograph, working: Primaries) -> Vec<f32> {
    photograph.to_rgb(working, &budget()).unwrap().samples().to_vec()
}

#[test]
fn all_8_bit_codes_come_back_exactly_through_linear_light() {
    // Every code in every channel, beside others.
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v.wrapping_mul(7)]).collect();
    for colour in spaces() {
        for form in lossless(Depth::U8) {
            let d = describe(16, 16, Channels::Rgb, Some(colour));
            let photograph = decode(&file(d, form, Codes::U8(&codes)));
            assert_eq!(u8s(&photograph), codes, "{form:?}");
            assert!(
                matches!(photograph.colour(), Colour::Known(p, t) if (*p, *t) == colour),
                "{photograph:?}"
            );
            assert!((photograph.ppi().unwrap() - 300.0).abs() < 0.02, "{:?}", photograph.ppi());
            assert!(photograph.warnings().is_empty(), "{:?}", photograph.warnings());
            let mut back = vec![0; codes.len()];
            Encoder::of(colour.1).u8s(&linear(&photograph, colour.0), &mut back);
            assert_eq!(back, codes, "{colour:?} {form:?}");
        }
    }
}

#[test]
fn codes_come_back_through_other_working_primaries() {
    let codes: Vec<u8> = (0..=255u8).flat_map(|v| [v, 255 - v, v.wrapping_mul(7)]).collect();
    let d = describe(16, 16, Channels::Rgb, SRGB);
    let photograph = decode(&file(d, Form::Png { depth: Depth::U8 }, Codes::U8(&codes)));
    for working in Primaries::ALL {
        let mut rgb: Vec<Rgb> = photograph.to_rgb(working, &budget()).unwrap().pixels().to_vec();
        let back = pixels::encode::narrow(pixels::encode::between(working, Primaries::Srgb));
        pixels::encode::convert_rgb(&back, &mut rgb);
        let mut out = vec![0; codes.len()];
        Encoder::of(Transfer::Srgb).u8s(bytemuck::cast_slice(&rgb), &mut out);
        assert_eq!(out, codes, "{working:?}");
    }
}

#[test]
fn all_16_bit_codes_come_back_within_one() {
    let codes: Vec<u16> = (0..=65535u16).flat_map(|v| [v, !v, v.wrapping_mul(7)]).collect();
    for colour in spaces() {
        for form in lossless(Depth::U16) {
            let d = describe(256, 256, Channels::Rgb, Some(colour));
            let photograph = decode(&file(d, form, Codes::U16(&codes)));
            assert_eq!(u16s(&photograph), codes, "{form:?}");
            let mut back = vec![0; codes.len()];
            Encoder::of(colour.1).u16s(&linear(&photograph, colour.0), &mut back);
            // The step that BT.709 prints between its two parts is 16 codes wide and stands for no light.
            let most = if colour.1 == Transfer::Bt709 { 17 } else { 1 };
            let worst = back.iter().zip(&codes).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
            assert!(worst <= most, "{colour:?} {form:?}: {worst}");
        }
    }
}

#[test]
fn floats_come_back_exactly() {
    let mut chance = Chance::new(3);
    let n = 37 * 41 * 4;
    let floats: Vec<f32> = (0..n).map(|_| (chance.below(1 << 20) as f32 - 3e5) / 4e4).collect();
    let linear = Some((Primaries::Rec2020, Transfer::Linear));
    for channels in [Channels::Grey, Channels::Rgb, Channels::Rgba] {
        let d = describe(37, 41, channels, linear);
        let part = &floats[..37 * 41 * channels.count()];
        for packing in PACKINGS {
            let photograph = decode(&file(d, Form::Tiff { depth: Depth::F32, packing }, Codes::F32(part)));
            assert_eq!(f32s(&photograph), part, "{packing:?} {channels:?}");
        }
        let photograph = decode(&file(d, Form::Exr { depth: Depth::F32 }, Codes::F32(part)));
        assert_eq!(f32s(&photograph), part, "{channels:?}");
        assert_eq!(photograph.format(), Format::Exr);
        assert!(matches!(photograph.colour(), Colour::Known(Primaries::Rec2020, Transfer::Linear)));
        let photograph = decode(&file(d, Form::Exr { depth: Depth::F16 }, Codes::F32(part)));
        // A half has 11 significant bits.
        assert!(f32s(&photograph).iter().zip(part).all(|(a, b)| (a - b).abs() <= b.abs() / 2048.0 + 1e-7));
    }
}

#[test]
fn uneven_sizes_and_all_channels_come_back() {
    let mut chance = Chance::new(5);
    for (width, height) in [(1, 1), (1, 100), (33, 31), (64, 33), (7, 65)] {
        for channels in [Channels::Grey, Channels::Rgb, Channels::Rgba] {
            let n = (width * height) as usize * channels.count();
            let small: Vec<u8> = (0..n).map(|_| chance.next() as u8).collect();
            let large: Vec<u16> = (0..n).map(|_| chance.next() as u16).collect();
            let d = describe(width, height, channels, SRGB);
            for form in lossless(Depth::U8) {
                assert_eq!(u8s(&decode(&file(d, form, Codes::U8(&small)))), small, "{form:?} {d:?}");
            }
            for form in lossless(Depth::U16) {
                let photograph = decode(&file(d, form, Codes::U16(&large)));
                assert_eq!(u16s(&photograph), large, "{form:?} {d:?}");
                assert_eq!(photograph.channels(), channels);
                assert_eq!(photograph.association(), Association::Straight);
            }
        }
    }
}

#[test]
fn jpeg_stays_near_at_every_size_and_sampling() {
    for (width, height) in [(1, 1), (8, 8), (33, 31), (64, 64), (100, 161), (17, 32)] {
        let soft = soft(width, height);
        let grey: Vec<u8> = soft.chunks(3).map(|p| p[1]).collect();
        for sampling in [Sampling::Full, Sampling::HalfAcross, Sampling::Half] {
            for (quality, most) in [(100, 2.0), (92, 3.0), (60, 8.0)] {
                let form = Form::Jpeg { quality, sampling };
                let rms = |a: &[u8], b: &[u8]| {
                    let sum: f64 =
                        a.iter().zip(b).map(|(&a, &b)| (f64::from(a) - f64::from(b)).powi(2)).sum();
                    (sum / a.len() as f64).sqrt()
                };
                let d = describe(width, height, Channels::Rgb, SRGB);
                let photograph = decode(&file(d, form, Codes::U8(&soft)));
                let miss = rms(u8s(&photograph), &soft);
                assert!(miss < most, "{form:?} {width}x{height}: {miss}");
                assert!((photograph.ppi().unwrap() - 300.0).abs() < 1e-9);
                let d = describe(width, height, Channels::Grey, SRGB);
                let miss = rms(u8s(&decode(&file(d, form, Codes::U8(&grey)))), &grey);
                assert!(miss < most, "grey {form:?} {width}x{height}: {miss}");
            }
        }
    }
}

#[test]
fn strips_may_be_made_out_of_order_by_several_threads() {
    let d = describe(50, 100, Channels::Rgb, SRGB);
    let soft = soft(50, 100);
    for form in [
        Form::Jpeg { quality: 90, sampling: Sampling::Half },
        Form::Png { depth: Depth::U8 },
        Form::Tiff { depth: Depth::U8, packing: Packing::Deflate },
    ] {
        let encoder = Writing::new(d, form).unwrap();
        let strip = encoder.row_samples() * encoder.strip_rows() as usize;
        let strips: Vec<_> = std::thread::scope(|s| {
            let work: Vec<_> = soft
                .chunks(strip)
                .enumerate()
                .map(|(i, part)| {
                    let encoder = &encoder;
                    s.spawn(move || encoder.strip(i as u32 * encoder.strip_rows(), Codes::U8(part)).unwrap())
                })
                .collect();
            work.into_iter().map(|w| w.join().unwrap()).collect()
        });
        let mut writer = Writer::new(&encoder, Cursor::new(Vec::new())).unwrap();
        assert!(writer.put(&strips[1]).is_err(), "out of order");
        strips.iter().for_each(|s| writer.put(s).unwrap());
        assert_eq!(writer.finish().unwrap().into_inner(), file(d, form, Codes::U8(&soft)), "{form:?}");
    }
}

#[test]
fn alpha_is_premultiplied_once_and_the_matte_is_linear() {
    let codes: Vec<u16> =
        (0..1024u32).flat_map(|i| [i * 61, 65535 - i * 40, 30000, i * 64].map(|v| v as u16)).collect();
    for form in lossless(Depth::U16) {
        let d = describe(32, 32, Channels::Rgba, Some((Primaries::Rec2020, Transfer::Bt2020)));
        let photograph = decode(&file(d, form, Codes::U16(&codes)));
        let rgba = photograph.to_rgba(Primaries::Rec2020, &budget()).unwrap();
        let matte = photograph.to_coverage(&budget()).unwrap();
        for ((p, m), c) in rgba.pixels().iter().zip(matte.pixels()).zip(codes.chunks(4)) {
            let a = f64::from(c[3]) / 65535.0;
            assert!((f64::from(m.0) - a).abs() < 1e-7);
            assert!((f64::from(p.0[3]) - a).abs() < 1e-7);
            for k in 0..3 {
                let light = Transfer::Bt2020.decode(f64::from(c[k]) / 65535.0) * a;
                assert!((f64::from(p.0[k]) - light).abs() < 1e-6, "{p:?} {c:?}");
            }
        }
        // Rows and rectangles are the same pixels.
        let linear = photograph.linear(Primaries::Rec2020);
        let mut row = [Rgba::default(); 20];
        linear.rgba(5, 7, &mut row);
        assert_eq!(&rgba.row(7)[5..25], row);
        let part = linear.rgba_in(units::PxRect::new(-2, 30, 5, 34), &budget()).unwrap();
        assert_eq!(part.at(3, 31), rgba.at(3, 31));
        assert_eq!(part.at(-1, 31), Rgba::default());
        assert_eq!(part.at(3, 33), Rgba::default());
    }
}

#[test]
fn a_matte_in_grey_ignores_its_profile() {
    let codes: Vec<u16> = (0..=65535).collect();
    for colour in [None, SRGB] {
        let d = describe(256, 256, Channels::Grey, colour);
        let photograph = decode(&file(d, Form::Png { depth: Depth::U16 }, Codes::U16(&codes)));
        let matte = photograph.to_coverage(&budget()).unwrap();
        assert!(
            matte
                .pixels()
                .iter()
                .enumerate()
                .all(|(i, c)| (f64::from(c.0) - i as f64 / 65535.0).abs() < 1e-7)
        );
    }
    let coloured = decode(&file(
        describe(2, 1, Channels::Rgb, SRGB),
        Form::Png { depth: Depth::U8 },
        Codes::U8(&[1, 1, 1, 1, 2, 1]),
    ));
    let e = coloured.to_coverage(&budget()).unwrap_err();
    assert!(e.what().contains("no alpha"), "{e}");
    let grey = decode(&file(
        describe(2, 1, Channels::Rgb, SRGB),
        Form::Png { depth: Depth::U8 },
        Codes::U8(&[0, 0, 0, 255, 255, 255]),
    ));
    assert_eq!(grey.to_coverage(&budget()).unwrap().samples(), [0.0, 1.0]);
}

#[test]
fn forms_refuse_what_they_do_not_hold() {
    let rgba = describe(4, 4, Channels::Rgba, SRGB);
    let refused = |d, form| Writing::new(d, form).unwrap_err().to_string();
    assert!(refused(rgba, Form::Jpeg { quality: 90, sampling: Sampling::Half }).contains("no coverage"));
    assert!(refused(rgba, Form::Png { depth: Depth::F32 }).contains("F32"));
    assert!(refused(rgba, Form::Exr { depth: Depth::F16 }).contains("linear"));
    let wide = describe(70_000, 4, Channels::Rgb, SRGB);
    assert!(refused(wide, Form::Jpeg { quality: 90, sampling: Sampling::Half }).contains("65500"));
    let rgb = describe(4, 4, Channels::Rgb, SRGB);
    assert!(refused(rgb, Form::Jpeg { quality: 0, sampling: Sampling::Half }).contains("quality"));
    let encoder = Writing::new(rgb, Form::Png { depth: Depth::U8 }).unwrap();
    assert!(encoder.strip(0, Codes::U8(&[0; 47])).is_err());
    assert!(encoder.strip(0, Codes::U16(&[0; 48])).is_err());
    let writer = Writer::new(&encoder, Cursor::new(Vec::new())).unwrap();
    assert!(writer.finish().err().unwrap().what().contains("0 of 4 rows"));
}

#[test]
fn a_probe_tells_without_decoding() {
    let soft = soft(40, 30);
    let bytes = file(
        describe(40, 30, Channels::Rgb, Some((Primaries::Romm, Transfer::Romm))),
        Form::Jpeg { quality: 90, sampling: Sampling::Half },
        Codes::U8(&soft),
    );
    let probe = files::probe(&bytes, &Limits::default()).unwrap();
    assert_eq!((probe.format, probe.channels, probe.depth), (Format::Jpeg, Channels::Rgb, Depth::U8));
    assert_eq!((probe.size.width(), probe.size.height()), (40, 30));
    assert_eq!(probe.colour, "ROMM RGB");
    let none = file(describe(40, 30, Channels::Rgb, None), Form::Png { depth: Depth::U8 }, Codes::U8(&soft));
    assert_eq!(files::probe(&none, &Limits::default()).unwrap().colour, "untagged");
}

#[test]
fn samples_that_are_not_finite_are_counted_and_found() {
    let mut floats = vec![0.5f32; 20 * 10 * 3];
    floats[(3 * 20 + 7) * 3 + 1] = f32::NAN;
    floats[(3 * 20 + 8) * 3] = f32::NEG_INFINITY;
    let linear = Some((Primaries::Srgb, Transfer::Linear));
    for form in [Form::Tiff { depth: Depth::F32, packing: Packing::Deflate }, Form::Exr { depth: Depth::F32 }]
    {
        let bytes = file(describe(20, 10, Channels::Rgb, linear), form, Codes::F32(&floats));
        let e = files::decode(&bytes, &Limits::default(), &budget()).unwrap_err();
        assert_eq!(e.fault(), files::Fault::BadSamples);
        assert!(e.what().starts_with("2 samples"), "{e}");
        assert!(e.place().contains("column 7, row 3"), "{e}");
    }
}

#[test]
fn large_floats_are_not_taken_for_bad_ones() {
    let floats = vec![f32::MAX; 12];
    let d = describe(2, 2, Channels::Rgb, Some((Primaries::Srgb, Transfer::Linear)));
    let form = Form::Tiff { depth: Depth::F32, packing: Packing::None };
    assert!(
        matches!(decode(&file(d, form, Codes::F32(&floats))).samples(), Samples::F32(v) if **v == floats)
    );
}
