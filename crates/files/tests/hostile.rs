//! Files that are cut off, lie about their size, or were damaged: a clear error, no panic, no memory beyond the budget.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use files::encode::{Codes, Form, Packing, Sampling};
use files::{Channels, Depth, Fault, Limits};
use peak_alloc::PeakAlloc;
use pixels::Budget;
use pixels::encode::Transfer;
use support::*;
use units::Primaries;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

const LINEAR: Option<(Primaries, Transfer)> = Some((Primaries::Rec2020, Transfer::Linear));

/// Small files of every format and way of packing.
fn samples() -> Vec<(&'static str, Vec<u8>)> {
    let soft = soft(67, 45);
    let deep: Vec<u16> = soft.iter().map(|&c| u16::from(c) * 257 + 13).collect();
    let floats: Vec<f32> = soft.iter().map(|&c| f32::from(c) / 100.0).collect();
    let rgb = describe(67, 45, Channels::Rgb, Some((Primaries::DisplayP3, Transfer::Srgb)));
    let linear = describe(67, 45, Channels::Rgb, LINEAR);
    let tiff = |packing| file(rgb, Form::Tiff { depth: Depth::U16, packing }, Codes::U16(&deep));
    vec![
        ("JPEG", file(rgb, Form::Jpeg { quality: 90, sampling: Sampling::Half }, Codes::U8(&soft))),
        ("progressive JPEG", progressive(&soft, 67, 45)),
        ("PNG 8", file(rgb, Form::Png { depth: Depth::U8 }, Codes::U8(&soft))),
        ("PNG 16", file(rgb, Form::Png { depth: Depth::U16 }, Codes::U16(&deep))),
        ("TIFF", tiff(Packing::None)),
        ("TIFF LZW", tiff(Packing::Lzw)),
        ("TIFF Deflate", tiff(Packing::Deflate)),
        (
            "TIFF float",
            file(linear, Form::Tiff { depth: Depth::F32, packing: Packing::Deflate }, Codes::F32(&floats)),
        ),
        ("OpenEXR", file(linear, Form::Exr { depth: Depth::F16 }, Codes::F32(&floats))),
        ("WebP", webp(&soft, 67, 45)),
    ]
}

fn progressive(rgb: &[u8], width: u16, height: u16) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut out, 85);
    encoder.set_progressive(true);
    encoder.encode(rgb, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    out
}

fn webp(rgb: &[u8], width: u32, height: u32) -> Vec<u8> {
    let mut out = Vec::new();
    image_webp::WebPEncoder::new(&mut out).encode(rgb, width, height, image_webp::ColorType::Rgb8).unwrap();
    out
}

fn try_to(bytes: &[u8], megabytes: u64) -> Result<files::Photograph, files::Error> {
    files::decode(bytes, &Limits::default(), &Budget::of_bytes(megabytes << 20))
}

/// Memory that a run took at its height beyond what was there before.
fn height_of(run: impl FnOnce()) -> usize {
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    run();
    MEMORY.peak_usage().saturating_sub(before)
}

// One test: the allocator counts for the whole process.
#[test]
fn nothing_that_is_wrong_with_a_file_does_harm() {
    whole_files_are_read();
    cut_off_files_are_refused();
    absurd_sizes_are_refused_without_memory();
    no_bytes_and_foreign_bytes_are_refused();
    damaged_bytes_never_panic_or_take_too_much();
}

fn whole_files_are_read() {
    for (name, bytes) in samples() {
        let photograph = try_to(&bytes, 64).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!((photograph.size().width(), photograph.size().height()), (67, 45), "{name}");
    }
}

fn cut_off_files_are_refused() {
    for (name, bytes) in samples() {
        let lengths = [1, 2, 5, 9, 20, 50, 100, 300, bytes.len() / 3, bytes.len() / 2, bytes.len() * 9 / 10];
        let near_end = (1..=24).map(|n| bytes.len() - n);
        for length in lengths.into_iter().chain(near_end).filter(|&n| n < bytes.len()) {
            let cut = &bytes[..length];
            match try_to(cut, 64) {
                Err(e) => {
                    assert!(!e.what().is_empty() && !e.place().is_empty() && !e.remedy().is_empty());
                    assert!(
                        matches!(e.fault(), Fault::Damaged | Fault::Unknown | Fault::Unsupported),
                        "{name}: {e}"
                    );
                }
                // The very end of some formats holds nothing of the picture.
                Ok(photograph) => {
                    let whole = try_to(&bytes, 64).unwrap();
                    assert!(length + 24 >= bytes.len(), "{name} read from {length} of {} bytes", bytes.len());
                    assert_eq!(
                        photograph.samples(),
                        whole.samples(),
                        "{name} cut to {length} of {}",
                        bytes.len()
                    );
                }
            }
        }
    }
}

/// The same file with other declared sides.
fn resized(name: &str, bytes: &[u8], width: u32, height: u32) -> Vec<u8> {
    let mut out = bytes.to_vec();
    let find = |pattern: &[u8]| bytes.windows(pattern.len()).position(|w| w == pattern).unwrap();
    match name {
        n if n.contains("JPEG") => {
            let kind = if n == "JPEG" { 0xc0 } else { 0xc2 };
            let at = find(&[0xff, kind, 0, 17, 8]) + 5;
            out[at..at + 2].copy_from_slice(&(height as u16).to_be_bytes());
            out[at + 2..at + 4].copy_from_slice(&(width as u16).to_be_bytes());
        }
        n if n.starts_with("PNG") => {
            out[16..20].copy_from_slice(&width.to_be_bytes());
            out[20..24].copy_from_slice(&height.to_be_bytes());
            let crc = crc32fast::hash(&out[12..29]);
            out[29..33].copy_from_slice(&crc.to_be_bytes());
        }
        n if n.starts_with("TIFF") => {
            for (tag, v) in [(256u16, width), (257, height)] {
                let entry = [tag.to_le_bytes(), 4u16.to_le_bytes()].concat();
                let at = find(&[entry, 1u32.to_le_bytes().to_vec()].concat()) + 8;
                out[at..at + 4].copy_from_slice(&v.to_le_bytes());
            }
        }
        "OpenEXR" => {
            for window in [&b"dataWindow\0box2i\0"[..], b"displayWindow\0box2i\0"] {
                let at = find(window) + window.len() + 4 + 8;
                out[at..at + 4].copy_from_slice(&(width - 1).to_le_bytes());
                out[at + 4..at + 8].copy_from_slice(&(height - 1).to_le_bytes());
            }
        }
        _ => {
            // VP8L: 14 bits of each side, less one, after the signature.
            let at = find(b"VP8L") + 9;
            let sides = ((width - 1) & 0x3fff) | (((height - 1) & 0x3fff) << 14);
            out[at..at + 4].copy_from_slice(&sides.to_le_bytes());
        }
    }
    out
}

fn absurd_sizes_are_refused_without_memory() {
    for (name, bytes) in samples() {
        for (width, height) in
            [(1 << 31, 1 << 31), (1 << 31, 1), (60_000, 60_000), (16_384, 16_384), (1 << 20, 900)]
        {
            let lie = resized(name, &bytes, width, height);
            let budget = Budget::of_bytes(64 << 20);
            let took = height_of(|| {
                let e = files::decode(&lie, &Limits::default(), &budget).map(drop).unwrap_err();
                assert!(!e.remedy().is_empty());
            });
            assert!(took < 64 << 20, "{name} {width}x{height} took {took} bytes");
            assert!(budget.most_taken() <= budget.limit());
        }
        // A limit on the pixels is kept as well.
        let small = Limits { pixels: 3000, ..Limits::default() };
        let e = files::decode(&bytes, &small, &budget()).unwrap_err();
        assert_eq!(e.fault(), Fault::TooLarge, "{name}: {e}");
        let e = try_to(&bytes, 0).unwrap_err();
        assert_eq!(e.fault(), Fault::OverBudget, "{name}: {e}");
    }
}

fn no_bytes_and_foreign_bytes_are_refused() {
    let said = |bytes: &[u8]| try_to(bytes, 64).unwrap_err().to_string();
    assert!(said(b"").contains("empty"));
    assert!(said(b"GIF89a....").contains("GIF"));
    assert!(said(b"%PDF-1.7").contains("PDF"));
    assert!(said(b"\0\0\0\x18ftypheic\0\0\0\0").contains("HEIF"));
    assert!(said(b"Dear reader, this is a letter.").contains("text"));
    assert!(said(&[0; 4096]).contains("not a picture"));
    for head in [
        &b"\xff\xd8\xff"[..],
        b"\x89PNG\r\n\x1a\n",
        b"II\x2a\0",
        b"MM\0\x2a",
        b"II\x2b\0",
        b"\x76\x2f\x31\x01",
    ] {
        let e = try_to(head, 64).unwrap_err();
        assert_eq!(e.fault(), Fault::Damaged, "{e}");
    }
}

/// Gives each chunk of a PNG the checksum of its content, so that the damage gets past the first gate.
fn mend_checksums(png: &mut [u8]) {
    let mut at = 8;
    while let Some(head) = png.get(at..at + 4) {
        let length = u32::from_be_bytes(head.try_into().unwrap()) as usize;
        let Some(end) = (at + 8).checked_add(length).filter(|end| end + 4 <= png.len()) else { break };
        let crc = crc32fast::hash(&png[at + 4..end]);
        png[end..end + 4].copy_from_slice(&crc.to_be_bytes());
        at = end + 4;
    }
}

/// How many damaged files are tried of each kind.
const ROUNDS: usize = 400;

fn damaged_bytes_never_panic_or_take_too_much() {
    // The trouble is expected; its story on the terminal is not needed.
    let tell = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| ()));
    let mut harm = Vec::new();
    let mut chance = Chance::new(2026);
    for (name, bytes) in samples() {
        for round in 0..ROUNDS {
            let mut bad = bytes.clone();
            for _ in 0..1 + chance.below(6) {
                if bad.is_empty() {
                    break;
                }
                // Most of the harm is done in the first bytes.
                let reach = if chance.below(2) == 0 { bad.len().min(400) } else { bad.len() };
                let at = chance.below(reach);
                match chance.below(5) {
                    0 => bad[at] ^= 1 << chance.below(8),
                    1 => bad[at] = chance.next() as u8,
                    2 => bad[at] = [0, 0xff, 0x7f, 0x80][chance.below(4)],
                    3 => bad.truncate(at.max(1)),
                    _ => {
                        let end = (at + 1 + chance.below(8)).min(bad.len());
                        bad.drain(at..end);
                    }
                }
            }
            if name.starts_with("PNG") && round % 2 == 0 {
                mend_checksums(&mut bad);
            }
            let mut result = Ok(());
            let took = height_of(|| result = std::panic::catch_unwind(|| files::fuzz_one(&bad)));
            // The budget is for pictures; a decoder's own small change comes on top.
            if result.is_err() || took > (64 + 16) << 20 {
                let kept = std::env::temp_dir().join(format!("hostile-{}-{round}", name.replace(' ', "-")));
                std::fs::write(&kept, &bad).unwrap();
                harm.push(format!("{name}, round {round}: {result:?}, {took} bytes, kept as {kept:?}"));
            }
        }
    }
    std::panic::set_hook(tell);
    assert!(harm.is_empty(), "{}", harm.join("\n"));
}
