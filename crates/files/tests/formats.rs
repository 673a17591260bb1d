//! Files as others write them: every layout of TIFF, all depths of PNG, orientation, EXIF, WebP, OpenEXR windows.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "support/tiff.rs"]
mod built;
mod support;

use built::{Layout, Tiff};
use files::encode::{Codes, Form, Packing, Sampling};
use files::{Association, Channels, Depth, Limits, Orientation, SubjectDistance};
use pixels::Rgba;
use pixels::encode::Transfer;
use support::*;
use units::Primaries;

#[test]
fn every_layout_of_tiff_is_read() {
    let mut chance = Chance::new(23);
    let n = 37 * 29;
    for (channels, kept) in
        [(1, Channels::Grey), (2, Channels::GreyAlpha), (3, Channels::Rgb), (4, Channels::Rgba)]
    {
        let codes: Vec<u16> = (0..n * channels).map(|_| chance.next() as u16).collect();
        for big_endian in [false, true] {
            for wide in [false, true] {
                for planar in [false, true] {
                    for layout in
                        [Layout::Strips(29), Layout::Strips(5), Layout::Tiles(16, 16), Layout::Tiles(48, 32)]
                    {
                        for packing in [1u16, 5, 8, 32773, 32946] {
                            let tiff = Tiff {
                                big_endian,
                                wide,
                                planar,
                                layout,
                                packing,
                                ..Tiff::of(37, 29, channels)
                            };
                            let photograph = decode(&tiff.write16(&codes));
                            assert_eq!(photograph.channels(), kept, "{tiff:?}");
                            assert_eq!(u16s(&photograph), codes, "{tiff:?}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn another_reader_understands_our_tiff() {
    use tiff::decoder::{Decoder, DecodingResult};
    let soft = soft(67, 45);
    let deep: Vec<u16> = soft.iter().map(|&c| u16::from(c) * 257).collect();
    let d = describe(67, 45, Channels::Rgb, SRGB);
    for packing in [Packing::None, Packing::Lzw, Packing::Deflate] {
        let small = file(d, Form::Tiff { depth: Depth::U8, packing }, Codes::U8(&soft));
        let large = file(d, Form::Tiff { depth: Depth::U16, packing }, Codes::U16(&deep));
        let read = |bytes: &[u8]| Decoder::new(std::io::Cursor::new(bytes)).unwrap().read_image().unwrap();
        assert!(matches!(read(&small), DecodingResult::U8(v) if v == soft), "{packing:?}");
        assert!(matches!(read(&large), DecodingResult::U16(v) if v == deep), "{packing:?}");
    }
    let floats: Vec<f32> = soft.iter().map(|&c| f32::from(c) / 7.0).collect();
    let linear = describe(67, 45, Channels::Rgb, Some((Primaries::Srgb, Transfer::Linear)));
    let form = Form::Tiff { depth: Depth::F32, packing: Packing::Deflate };
    let bytes = file(linear, form, Codes::F32(&floats));
    let read = Decoder::new(std::io::Cursor::new(&bytes)).unwrap().read_image().unwrap();
    assert!(matches!(read, DecodingResult::F32(v) if v == floats));
}

#[test]
fn tiff_with_more_channels_or_none_named_is_told() {
    let codes: Vec<u16> = (0..16 * 5).map(|v| v * 800).collect();
    let nameless = Tiff { extra: vec![], ..Tiff::of(4, 4, 4) };
    let photograph = decode(&nameless.write16(&codes[..64]));
    assert_eq!(photograph.channels(), Channels::Rgba);
    assert!(photograph.warnings()[0].contains("does not say"), "{:?}", photograph.warnings());
    for planar in [false, true] {
        let more = Tiff { extra: vec![2, 0], planar, ..Tiff::of(4, 4, 5) };
        let photograph = decode(&more.write16(&codes));
        assert_eq!(photograph.channels(), Channels::Rgba);
        let expected: Vec<u16> = codes.chunks(5).flat_map(|p| p[..4].to_vec()).collect();
        assert_eq!(u16s(&photograph), expected);
        assert!(photograph.warnings()[0].contains("1 more channel"), "{:?}", photograph.warnings());
    }
}

#[test]
fn floats_without_a_profile_are_light() {
    let floats: Vec<f32> = (0..48).map(|v| v as f32 / 10.0).collect();
    let d = describe(4, 4, Channels::Rgb, None);
    let photograph =
        decode(&file(d, Form::Tiff { depth: Depth::F32, packing: Packing::None }, Codes::F32(&floats)));
    assert_eq!(photograph.to_rgb(Primaries::Srgb, &budget()).unwrap().samples(), floats);
    assert!(photograph.warnings()[0].contains("linear light"));
}

#[test]
fn a_grey_whose_0_is_white_is_turned_round() {
    let codes: Vec<u16> = (0..16).map(|v| v * 4000).collect();
    let photograph = decode(&Tiff { photometric: 0, ..Tiff::of(4, 4, 1) }.write16(&codes));
    assert!(u16s(&photograph).iter().zip(&codes).all(|(a, b)| *a == 65535 - b));
}

#[test]
fn parts_of_tiff_that_are_not_read_are_refused_with_a_remedy() {
    let codes: Vec<u16> = vec![0; 16 * 4];
    let refusal = |tiff: Tiff| {
        let samples = tiff.samples;
        let e =
            files::decode(&tiff.write16(&codes[..16 * samples]), &Limits::default(), &budget()).unwrap_err();
        assert_eq!(e.fault(), files::Fault::Unsupported, "{e}");
        assert!(!e.remedy().is_empty());
        e.what().to_owned()
    };
    assert!(refusal(Tiff { photometric: 3, ..Tiff::of(4, 4, 1) }).contains("palette"));
    assert!(refusal(Tiff { photometric: 6, ..Tiff::of(4, 4, 3) }).contains("YCbCr"));
    assert!(refusal(Tiff { photometric: 32803, ..Tiff::of(4, 4, 1) }).contains("raw"));
    assert!(refusal(Tiff { photometric: 5, ..Tiff::of(4, 4, 4) }).contains("CMYK"));
    assert!(refusal(Tiff { declared_packing: Some(7), ..Tiff::of(4, 4, 3) }).contains("JPEG"));
    assert!(refusal(Tiff { declared_packing: Some(34925), ..Tiff::of(4, 4, 3) }).contains("LZMA"));
}

#[test]
fn associated_alpha_is_taken_out_before_the_curve_and_put_in_after_it() {
    // Encoded colour 40000 of coverage 32768, stored multiplied: 40000 * 32768 / 65535.
    let straight = [40_000u16, 20_000, 60_000];
    let a = 32_768u16;
    let stored = straight.map(|c| (f64::from(c) * f64::from(a) / 65535.0).round() as u16);
    let codes: Vec<u16> = (0..16).flat_map(|_| [stored[0], stored[1], stored[2], a]).collect();
    let tiff = |extra| decode(&Tiff { extra: vec![extra], ..Tiff::of(4, 4, 4) }.write16(&codes));
    let photograph = tiff(1);
    assert_eq!(photograph.association(), Association::Associated);
    let rgba = photograph.to_rgba(Primaries::Srgb, &budget()).unwrap().at(1, 1);
    let rgb = photograph.to_rgb(Primaries::Srgb, &budget()).unwrap().at(1, 1);
    let cover = f64::from(a) / 65535.0;
    for (k, c) in straight.into_iter().enumerate() {
        let light = Transfer::Srgb.decode(f64::from(c) / 65535.0);
        assert!((f64::from(rgb.0[k]) - light).abs() < 5e-5, "{rgb:?} {light}");
        assert!((f64::from(rgba.0[k]) - light * cover).abs() < 5e-5, "{rgba:?}");
    }
    // The same codes, not associated.
    let rgba = tiff(2).to_rgba(Primaries::Srgb, &budget()).unwrap().at(1, 1);
    let light = Transfer::Srgb.decode(f64::from(stored[0]) / 65535.0) * cover;
    assert!((f64::from(rgba.0[0]) - light).abs() < 1e-6);
}

#[test]
fn light_without_coverage_survives_in_openexr() {
    let floats = [0.5, 0.25, 4.0, 0.0, 0.2, 0.1, 0.0, 0.5];
    let d = describe(2, 1, Channels::Rgba, Some((Primaries::Rec2020, Transfer::Linear)));
    let photograph = decode(&file(d, Form::Exr { depth: Depth::F32 }, Codes::F32(&floats)));
    let rgba = photograph.to_rgba(Primaries::Rec2020, &budget()).unwrap();
    assert_eq!(rgba.pixels(), [Rgba([0.5, 0.25, 4.0, 0.0]), Rgba([0.2, 0.1, 0.0, 0.5])]);
}

/// The stored picture of one seen upright, for each orientation.
fn stored(seen: &[u8], w: usize, h: usize, orientation: u16) -> (Vec<u8>, usize, usize) {
    let (sw, sh) = if orientation >= 5 { (h, w) } else { (w, h) };
    let mut out = vec![0; seen.len()];
    for y in 0..h {
        for x in 0..w {
            // EXIF 2.32, tag 0x0112: where the seen pixel (x, y) is stored.
            let (i, j) = match orientation {
                1 => (x, y),
                2 => (w - 1 - x, y),
                3 => (w - 1 - x, h - 1 - y),
                4 => (x, h - 1 - y),
                5 => (y, x),
                6 => (y, w - 1 - x),
                7 => (h - 1 - y, w - 1 - x),
                _ => (h - 1 - y, x),
            };
            out[(j * sw + i) * 3..][..3].copy_from_slice(&seen[(y * w + x) * 3..][..3]);
        }
    }
    (out, sw, sh)
}

/// A minimal EXIF block.
fn exif(entries: &[(u16, u16, u32, [u8; 4])], camera: &[(u16, u16, u32, [u8; 4])], data: &[u8]) -> Vec<u8> {
    let mut out = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    let at = |n: usize| 2 + n * 12 + 4;
    let camera_at = (8 + at(entries.len() + 1)) as u32;
    let mut list = entries.to_vec();
    list.push((0x8769, 4, 1, camera_at.to_be_bytes()));
    for list in [&list[..], camera] {
        out.extend((list.len() as u16).to_be_bytes());
        for (tag, kind, count, value) in list {
            out.extend(tag.to_be_bytes());
            out.extend(kind.to_be_bytes());
            out.extend(count.to_be_bytes());
            out.extend(value);
        }
        out.extend([0; 4]);
    }
    out.extend(data);
    out
}

fn with_exif(jpeg: &[u8], block: &[u8]) -> Vec<u8> {
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend((block.len() as u16 + 2).to_be_bytes());
    out.extend(block);
    out.extend(&jpeg[2..]);
    out
}

#[test]
fn all_eight_orientations_are_seen_upright() {
    // Patches of 16 px keep their colours in a JPEG: red, green / blue, white, grey, black.
    let (w, h) = (48usize, 32usize);
    let colours =
        [[220u8, 20, 20], [20, 200, 20], [20, 20, 210], [250, 250, 250], [128, 128, 128], [5, 5, 5]];
    let seen: Vec<u8> = (0..h).flat_map(|y| (0..w).flat_map(move |x| colours[y / 16 * 3 + x / 16])).collect();
    for orientation in 1..=8u16 {
        let (kept, sw, sh) = stored(&seen, w, h, orientation);
        let d = describe(sw as u32, sh as u32, Channels::Rgb, SRGB);
        let jpeg = file(d, Form::Jpeg { quality: 100, sampling: Sampling::Full }, Codes::U8(&kept));
        let value = [orientation.to_be_bytes()[0], orientation.to_be_bytes()[1], 0, 0];
        let jpeg = with_exif(&jpeg, &exif(&[(0x0112, 3, 1, value)], &[], &[]));
        let photograph = decode(&jpeg);
        assert_eq!(
            (photograph.size().width(), photograph.size().height()),
            (w as u32, h as u32),
            "{orientation}"
        );
        let worst = u8s(&photograph).iter().zip(&seen).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
        assert!(worst <= 6, "orientation {orientation}: {worst}");
        assert_eq!(files::probe(&jpeg, &Limits::default()).unwrap().size, photograph.size());
        // A TIFF says it in its own directory.
        let deep: Vec<u16> = kept.iter().map(|&c| u16::from(c) * 257).collect();
        let tiff = Tiff { orientation: Some(orientation), ..Tiff::of(sw, sh, 3) }.write16(&deep);
        let expected: Vec<u16> = seen.iter().map(|&c| u16::from(c) * 257).collect();
        assert_eq!(u16s(&decode(&tiff)), expected, "{orientation}");
    }
}

#[test]
fn exif_is_told_as_written() {
    let ratio = |a: u32, b: u32| [a.to_be_bytes(), b.to_be_bytes()].concat();
    let mut data = Vec::new();
    let start = 8 + (2 + 4 * 12 + 4) + (2 + 12 * 12 + 4);
    let mut place = |bytes: &[u8]| {
        let at = (start + data.len()) as u32;
        data.extend_from_slice(bytes);
        at.to_be_bytes()
    };
    let make = place(b"Maker of cameras \0");
    let model = place(b"Model One\0");
    let lens = place(b"85 mm\0");
    let f = place(&ratio(28, 10));
    let exposure = place(&ratio(1, 200));
    let focal = place(&ratio(850, 10));
    let distance = place(&ratio(325, 100));
    let taken = place(b"2024:05:06 07:08:09\0");
    let resolution = place(&ratio(6000 * 100, 3590));
    let zoom = place(&ratio(3, 2));
    let short = |v: u16| [v.to_be_bytes()[0], v.to_be_bytes()[1], 0, 0];
    let main = [(0x010f, 2, 18, make), (0x0110, 2, 10, model), (0x0112, 3, 1, short(1))];
    let camera = [
        (0x829a, 5, 1, exposure),
        (0x829d, 5, 1, f),
        (0x8827, 3, 1, short(400)),
        (0x9003, 2, 20, taken),
        (0x9206, 5, 1, distance),
        (0x920a, 5, 1, focal),
        (0xa002, 4, 1, 6000u32.to_be_bytes()),
        (0xa003, 4, 1, 4000u32.to_be_bytes()),
        (0xa20e, 5, 1, resolution),
        (0xa20f, 5, 1, resolution),
        (0xa404, 5, 1, zoom),
        (0xa434, 2, 6, lens),
    ];
    let block = exif(&main, &camera, &data);
    let soft = soft(16, 16);
    let d = describe(16, 16, Channels::Rgb, SRGB);
    let jpeg = file(d, Form::Jpeg { quality: 90, sampling: Sampling::Half }, Codes::U8(&soft));
    let probe = files::probe(&with_exif(&jpeg, &block), &Limits::default()).unwrap();
    let e = probe.exif.unwrap();
    assert_eq!(e.orientation, Orientation::AsSeen);
    assert_eq!(e.make.as_deref(), Some("Maker of cameras"));
    assert_eq!((e.model.as_deref(), e.lens.as_deref()), (Some("Model One"), Some("85 mm")));
    assert_eq!((e.f_number, e.exposure, e.iso), (Some(2.8), Some(0.005), Some(400)));
    assert_eq!(e.focal.unwrap().get(), 85.0);
    assert_eq!(e.focal_on_35mm, None);
    assert_eq!(e.taken.as_deref(), Some("2024:05:06 07:08:09"));
    assert!(matches!(e.subject_distance, Some(SubjectDistance::At(d)) if (d.get() - 3.25).abs() < 1e-9));
    assert_eq!(e.recorded.map(|s| (s.width(), s.height())), Some((6000, 4000)));
    assert_eq!(e.digital_zoom, Some(1.5));
    // 6000 px over 35.9 mm, given per inch as the tag's absence says: 167.13 px / 25.4.
    assert!((e.pixels_per_mm.unwrap().0 - 6000.0 * 100.0 / 3590.0 / 25.4).abs() < 1e-9);
    // The same in a PNG's own chunk.
    let mut png = Vec::new();
    let mut writer = {
        let mut encoder = png::Encoder::new(&mut png, 16, 16);
        encoder.set_color(png::ColorType::Rgb);
        encoder.write_header().unwrap()
    };
    writer.write_chunk(png::chunk::ChunkType(*b"eXIf"), &block[6..]).unwrap();
    writer.write_image_data(&soft).unwrap();
    writer.finish().unwrap();
    let probe = files::probe(&png, &Limits::default()).unwrap();
    assert_eq!(probe.exif.unwrap().model.as_deref(), Some("Model One"));
    // A damaged block is a warning, not the end.
    let photograph = decode(&with_exif(&jpeg, b"Exif\0\0MM\0\x2a\xff\xff\xff\xff"));
    assert!(photograph.exif().is_none() && photograph.warnings()[0].contains("camera"));
}

#[test]
fn exif_that_cannot_be_is_left_out_and_said() {
    // A good photograph by a camera whose notes are nonsense: numerators and denominators one after another.
    let numbers: [(u32, u32); 5] = [(u32::MAX, 1), (1, 1_000_000), (1, 1000), (4_000_000_000, 1), (3, 1)];
    let data: Vec<u8> =
        numbers.iter().flat_map(|(a, b)| [a.to_be_bytes(), b.to_be_bytes()].concat()).collect();
    let at = |camera: usize, i: usize| ((8 + 6 + 12 + (2 + camera * 12 + 4) + 8 * i) as u32).to_be_bytes();
    let told = |camera: &[(u16, u16, u32, [u8; 4])]| {
        let jpeg = file(
            describe(16, 16, Channels::Rgb, SRGB),
            Form::Jpeg { quality: 90, sampling: Sampling::Half },
            Codes::U8(&soft(16, 16)),
        );
        let probe = files::probe(&with_exif(&jpeg, &exif(&[], camera, &data)), &Limits::default()).unwrap();
        (probe.exif.unwrap(), probe.warnings)
    };
    let (e, warnings) = told(&[
        (0x829d, 5, 1, at(5, 1)),
        (0x9206, 5, 1, at(5, 2)),
        (0x920a, 5, 1, at(5, 0)),
        (0xa20e, 5, 1, at(5, 3)),
        (0xa20f, 5, 1, at(5, 3)),
    ]);
    assert_eq!((e.focal, e.f_number, e.pixels_per_mm), (None, None, None));
    assert_eq!(warnings.len(), 3, "{warnings:?}");
    assert!(warnings.iter().all(|w| w.contains("the file's EXIF is not believed")), "{warnings:?}");
    assert!(warnings[0].contains("a focal length of 4294967295 mm"), "{warnings:?}");
    // Focused within the lens; an equivalent that no sensor has.
    let (e, warnings) =
        told(&[(0x9206, 5, 1, at(3, 2)), (0x920a, 5, 1, at(3, 4)), (0xa405, 3, 1, [0x40, 0, 0, 0])]);
    assert_eq!((e.subject_distance, e.focal_on_35mm), (None, None));
    assert_eq!((e.focal.unwrap().get(), warnings.len()), (3.0, 2), "{warnings:?}");
}

#[test]
fn png_of_few_bits_and_palettes_is_read() {
    let write = |colour, depth, width: u32, rows: &[u8], palette: Option<&[u8]>, trns: Option<&[u8]>| {
        let mut out = Vec::new();
        let mut encoder = png::Encoder::new(&mut out, width, 1);
        encoder.set_color(colour);
        encoder.set_depth(depth);
        if let Some(p) = palette {
            encoder.set_palette(p.to_vec());
        }
        if let Some(t) = trns {
            encoder.set_trns(t.to_vec());
        }
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(rows).unwrap();
        writer.finish().unwrap();
        decode(&out)
    };
    let grey = write(png::ColorType::Grayscale, png::BitDepth::One, 8, &[0b1010_0110], None, None);
    assert_eq!(grey.channels(), Channels::Grey);
    assert_eq!(u8s(&grey), [255, 0, 255, 0, 0, 255, 255, 0]);
    let grey = write(png::ColorType::Grayscale, png::BitDepth::Four, 2, &[0x3f], None, None);
    assert_eq!(u8s(&grey), [0x33, 0xff]);
    let palette = Some(&[1u8, 2, 3, 4, 5, 6, 7, 8, 9][..]);
    let indexed = write(png::ColorType::Indexed, png::BitDepth::Two, 4, &[0b0001_1000], palette, None);
    assert_eq!(indexed.channels(), Channels::Rgb);
    assert_eq!(u8s(&indexed), [1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3]);
    let clear = write(png::ColorType::Indexed, png::BitDepth::Eight, 2, &[1, 0], palette, Some(&[128]));
    assert_eq!(clear.channels(), Channels::Rgba);
    assert_eq!(u8s(&clear), [4, 5, 6, 255, 1, 2, 3, 128]);
}

#[test]
fn webp_with_and_without_alpha_is_read() {
    let soft = soft(33, 21);
    let rgba: Vec<u8> = soft.chunks(3).flat_map(|p| [p[0], p[1], p[2], p[0] / 2]).collect();
    for (colour, channels, codes) in [
        (image_webp::ColorType::Rgb8, Channels::Rgb, &soft),
        (image_webp::ColorType::Rgba8, Channels::Rgba, &rgba),
    ] {
        let mut out = Vec::new();
        let mut encoder = image_webp::WebPEncoder::new(&mut out);
        encoder.set_icc_profile(sample_profile());
        encoder.encode(codes, 33, 21, colour).unwrap();
        let photograph = decode(&out);
        assert_eq!(photograph.channels(), channels);
        assert_eq!(u8s(&photograph), codes);
        assert_eq!(photograph.profile().unwrap().description(), "Display P3");
    }
    // tests/data/soft.webp: the picture of `soft(64, 48)` at quality 90, lossy.
    let lossy = decode(include_bytes!("data/soft.webp"));
    let expected = support::soft(64, 48);
    let rms = u8s(&lossy).iter().zip(&expected).map(|(a, b)| f64::from(a.abs_diff(*b)).powi(2)).sum::<f64>();
    let rms = (rms / expected.len() as f64).sqrt();
    assert!(rms < 6.0, "{rms}");
}

/// A profile as our own files carry it.
fn sample_profile() -> Vec<u8> {
    let d = describe(1, 1, Channels::Rgb, Some((Primaries::DisplayP3, Transfer::Srgb)));
    let tiff = file(d, Form::Tiff { depth: Depth::U8, packing: Packing::None }, Codes::U8(&[0; 3]));
    decode(&tiff).profile().unwrap().bytes().to_vec()
}

#[test]
fn openexr_of_others_is_read() {
    use exr::prelude::*;
    let value = |x: usize, y: usize| (x as f32 * 0.1, y as f32 * 0.2, 1.5f32);
    for compression in
        [Compression::Uncompressed, Compression::RLE, Compression::ZIP1, Compression::ZIP16, Compression::PIZ]
    {
        for tiles in [false, true] {
            let channels = SpecificChannels::rgb(|p: Vec2<usize>| value(p.0, p.1));
            let blocks = if tiles { Blocks::Tiles(Vec2(16, 16)) } else { Blocks::ScanLines };
            let encoding = Encoding { compression, blocks, line_order: LineOrder::Increasing };
            let layer = Layer::new((40, 30), LayerAttributes::named("main"), encoding, channels);
            let mut attributes = ImageAttributes::new(IntegerBounds::new((-5, -3), (50, 40)));
            attributes.chromaticities = Some(attribute::Chromaticities {
                red: Vec2(0.708, 0.292),
                green: Vec2(0.170, 0.797),
                blue: Vec2(0.131, 0.046),
                white: Vec2(0.3127, 0.3290),
            });
            let mut out = std::io::Cursor::new(Vec::new());
            Image::empty(attributes).with_layer(layer).write().non_parallel().to_buffered(&mut out).unwrap();
            let photograph = decode(&out.into_inner());
            // The picture is the display window; what is stored stands in it at (5, 3).
            assert_eq!((photograph.size().width(), photograph.size().height()), (50, 40), "{compression}");
            assert!(matches!(
                photograph.colour(),
                files::Colour::Known(Primaries::Rec2020, Transfer::Linear)
            ));
            let rgb = photograph.to_rgb(Primaries::Rec2020, &budget()).unwrap();
            assert_eq!(rgb.at(4, 10).0, [0.0; 3]);
            for (x, y) in [(0, 0), (39, 29), (17, 16)] {
                let (r, g, b) = value(x, y);
                assert_eq!(rgb.at(x as i64 + 5, y as i64 + 3).0, [r, g, b], "{compression} {x} {y}");
            }
            assert!(photograph.warnings()[0].contains("not the whole picture"));
        }
    }
}

#[test]
fn progressive_jpeg_is_the_same_picture() {
    let soft = soft(100, 70);
    let coded = |progressive| {
        let mut out = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut out, 90);
        encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::R_4_2_0);
        encoder.set_progressive(progressive);
        encoder.encode(&soft, 100, 70, jpeg_encoder::ColorType::Rgb).unwrap();
        u8s(&decode(&out)).to_vec()
    };
    assert_eq!(coded(true), coded(false));
}
