//! The profiles that go into our files: version 4, matrix and parametric curves, some 500 bytes.

use super::{PCS_WHITE, to_pcs};
use pixels::encode::{Transfer, bradford};
use units::primaries::xyz_of_xy;
use units::{Primaries, Vec3};

/// A profile for RGB samples in these primaries, encoded by this curve.
pub(crate) fn rgb_profile(primaries: Primaries, transfer: Transfer) -> Vec<u8> {
    let name = format!("{}{}", primaries_name(primaries), transfer_name(primaries, transfer));
    let colorants = to_pcs(primaries).transpose().0.map(Vec3);
    let curve = curve(transfer);
    let mut tags = common(&name, primaries.white());
    for (signature, colorant) in [b"rXYZ", b"gXYZ", b"bXYZ"].into_iter().zip(colorants) {
        tags.push((*signature, xyz(colorant)));
    }
    for signature in [b"rTRC", b"gTRC", b"bTRC"] {
        tags.push((*signature, curve.clone()));
    }
    assemble(*b"RGB ", &tags)
}

/// A profile for grey samples encoded by this curve.
pub(crate) fn grey_profile(transfer: Transfer) -> Vec<u8> {
    let mut tags =
        common(&format!("Grey{}", transfer_name(Primaries::Romm, transfer)), units::primaries::D50);
    tags.push((*b"kTRC", curve(transfer)));
    assemble(*b"GRAY", &tags)
}

const fn primaries_name(primaries: Primaries) -> &'static str {
    match primaries {
        Primaries::Srgb => "sRGB",
        Primaries::DisplayP3 => "Display P3",
        Primaries::Rec2020 => "Rec.2020",
        Primaries::Romm => "ROMM RGB",
    }
}

/// Named only where it is not the curve that belongs to the primaries.
fn transfer_name(primaries: Primaries, transfer: Transfer) -> String {
    match (primaries, transfer) {
        (Primaries::Srgb | Primaries::DisplayP3, Transfer::Srgb)
        | (Primaries::Rec2020, Transfer::Bt2020)
        | (Primaries::Romm, Transfer::Romm) => String::new(),
        (_, Transfer::Linear) => ", linear".to_owned(),
        (_, Transfer::Srgb) => ", sRGB curve".to_owned(),
        (_, Transfer::Romm) => ", ROMM curve".to_owned(),
        (_, Transfer::Bt709) => ", BT.709 curve".to_owned(),
        (_, Transfer::Bt2020) => ", BT.2020 curve".to_owned(),
        (_, Transfer::Power(p)) => format!(", gamma {:.3}", p.exponent()),
    }
}

type Tag = ([u8; 4], Vec<u8>);

fn common(name: &str, white: (f64, f64)) -> Vec<Tag> {
    vec![
        (*b"desc", text(name)),
        (*b"cprt", text("No rights reserved (CC0 1.0)")),
        (*b"wtpt", xyz(PCS_WHITE)),
        (*b"chad", {
            let m = bradford(xyz_of_xy(white), PCS_WHITE);
            let mut out = b"sf32\0\0\0\0".to_vec();
            m.0.iter().flatten().for_each(|&v| out.extend(fixed(v)));
            out
        }),
    ]
}

/// s15Fixed16Number.
fn fixed(v: f64) -> [u8; 4] {
    ((v * 65536.0).round() as i32).to_be_bytes()
}

fn xyz(v: Vec3) -> Vec<u8> {
    let mut out = b"XYZ \0\0\0\0".to_vec();
    v.0.iter().for_each(|&c| out.extend(fixed(c)));
    out
}

/// multiLocalizedUnicodeType with one text, English.
fn text(s: &str) -> Vec<u8> {
    let utf16: Vec<u8> = s.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut out = b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cenUS".to_vec();
    out.extend((utf16.len() as u32).to_be_bytes());
    out.extend(28u32.to_be_bytes());
    out.extend(utf16);
    out
}

/// parametricCurveType: a pure power (0) or a power with a straight foot (3).
fn curve(transfer: Transfer) -> Vec<u8> {
    let (kind, numbers): (u16, Vec<f64>) = match transfer {
        Transfer::Linear => (0, vec![1.0]),
        Transfer::Power(p) => (0, vec![p.exponent()]),
        Transfer::Srgb => (3, vec![2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045]),
        Transfer::Romm => (3, vec![1.8, 1.0, 0.0, 1.0 / 16.0, 16.0 / 512.0]),
        Transfer::Bt709 => (3, vec![1.0 / 0.45, 1.0 / 1.099, 0.099 / 1.099, 1.0 / 4.5, 0.081]),
        Transfer::Bt2020 => {
            let (alpha, beta) = (1.099_296_826_809_44, 0.018_053_968_510_807);
            (3, vec![1.0 / 0.45, 1.0 / alpha, (alpha - 1.0) / alpha, 1.0 / 4.5, 4.5 * beta])
        }
    };
    let mut out = b"para\0\0\0\0".to_vec();
    out.extend(kind.to_be_bytes());
    out.extend([0, 0]);
    numbers.iter().for_each(|&v| out.extend(fixed(v)));
    out
}

/// Header (ICC.1:2022, 7.2), tag table, tag data; tags of the same data share it.
fn assemble(space: [u8; 4], tags: &[Tag]) -> Vec<u8> {
    let start = 128 + 4 + 12 * tags.len();
    let (mut table, mut data) = (Vec::new(), Vec::new());
    let mut placed: Vec<(&[u8], usize)> = Vec::new();
    for (signature, bytes) in tags {
        let at = match placed.iter().find(|(b, _)| b == bytes) {
            Some(&(_, at)) => at,
            None => {
                let at = start + data.len();
                data.extend_from_slice(bytes);
                data.resize(data.len().next_multiple_of(4), 0);
                placed.push((bytes, at));
                at
            }
        };
        table.extend(signature);
        table.extend((at as u32).to_be_bytes());
        table.extend((bytes.len() as u32).to_be_bytes());
    }
    let mut out = Vec::with_capacity(start + data.len());
    out.extend(((start + data.len()) as u32).to_be_bytes());
    out.extend([0; 4]); // no preferred colour management module
    out.extend([4, 0x40, 0, 0]); // version 4.4
    out.extend(b"mntr");
    out.extend(space);
    out.extend(b"XYZ ");
    // A fixed date, so that the same picture makes the same file: 2024-01-01.
    for n in [2024u16, 1, 1, 0, 0, 0] {
        out.extend(n.to_be_bytes());
    }
    out.extend(b"acsp");
    out.extend([0; 24]); // platform, flags, maker, model, attributes
    out.extend([0, 0, 0, 1]); // relative colorimetric
    PCS_WHITE.0.iter().for_each(|&c| out.extend(fixed(c)));
    out.resize(128, 0); // creator, identifier, reserved
    out.extend((tags.len() as u32).to_be_bytes());
    out.extend(table);
    out.extend(data);
    out
}
