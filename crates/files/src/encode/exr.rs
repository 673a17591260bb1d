//! OpenEXR 2: scan lines in blocks of 16, packed by Deflate (ZIP), linear light, coverage premultiplied.

use super::deflate::zlib;
use super::{Codes, Description};
use crate::photograph::{Channels, Depth};
use half::f16;
use std::io::{self, Seek, SeekFrom, Write};
use units::Primaries;

/// Rows of a block, which ZIP packing fixes.
pub(super) const BLOCK_ROWS: u32 = 16;

#[derive(Debug)]
pub(super) struct Exr {
    pub(super) depth: Depth,
}

/// Names of the channels in the file's order, which is that of the alphabet, and their place in a pixel.
const fn channels(channels: Channels) -> &'static [(&'static str, usize)] {
    match channels {
        Channels::Grey => &[("Y", 0)],
        Channels::Rgb => &[("B", 2), ("G", 1), ("R", 0)],
        _ => &[("A", 3), ("B", 2), ("G", 1), ("R", 0)],
    }
}

impl Exr {
    /// Row number, length, data.
    pub(super) fn strip(&self, first_row: u32, codes: Codes<'_>, d: &Description) -> Vec<u8> {
        let Codes::F32(samples) = codes else { return Vec::new() };
        let n = d.channels.count();
        let mut raw = Vec::with_capacity(samples.len() * 4);
        for row in samples.chunks_exact(d.size.width() as usize * n) {
            for &(_, place) in channels(d.channels) {
                let plane = row.iter().skip(place).step_by(n);
                if self.depth == Depth::F16 {
                    // What is beyond a half is held at its largest number: an infinite pixel helps nobody.
                    let most = f16::MAX.to_f32();
                    plane.for_each(|v| raw.extend(f16::from_f32(v.clamp(-most, most)).to_le_bytes()));
                } else {
                    plane.for_each(|v| raw.extend(v.to_le_bytes()));
                }
            }
        }
        let packed = zlib(&shuffled(&raw));
        // A block that packing would make larger stands as it is.
        let data = if packed.len() < raw.len() { packed } else { raw };
        let mut out = first_row.to_le_bytes().to_vec();
        out.extend((data.len() as u32).to_le_bytes());
        out.extend(data);
        out
    }
}

/// Even bytes, then odd ones, then differences offset by 128 (OpenEXR's own order before Deflate).
fn shuffled(raw: &[u8]) -> Vec<u8> {
    let mut out: Vec<u8> = raw.iter().step_by(2).chain(raw.iter().skip(1).step_by(2)).copied().collect();
    let mut before = out[0];
    for b in &mut out[1..] {
        let this = *b;
        *b = this.wrapping_sub(before).wrapping_add(128);
        before = this;
    }
    out
}

pub(super) struct File<W: Write + Seek> {
    out: W,
    /// Where the table of blocks stands.
    table: u64,
    base: u64,
    at: u64,
    offsets: Vec<u64>,
}

impl<W: Write + Seek> File<W> {
    pub(super) fn begin(mut out: W, d: &Description, exr: &Exr) -> io::Result<Self> {
        let base = out.stream_position()?;
        let mut head = b"\x76\x2f\x31\x01\x02\0\0\0".to_vec();
        let mut attribute = |name: &str, kind: &str, value: &[u8]| {
            head.extend(name.bytes().chain([0]).chain(kind.bytes()).chain([0]));
            head.extend((value.len() as u32).to_le_bytes());
            head.extend(value);
        };
        let mut list = Vec::new();
        for (name, _) in channels(d.channels) {
            list.extend(name.bytes().chain([0]));
            list.extend(if exr.depth == Depth::F16 { 1u32 } else { 2 }.to_le_bytes());
            list.extend([0; 4]);
            list.extend([1, 0, 0, 0, 1, 0, 0, 0]);
        }
        list.push(0);
        attribute("channels", "chlist", &list);
        if let Some((primaries, _)) = d.colour {
            attribute("chromaticities", "chromaticities", &chromaticities(primaries));
        }
        attribute("compression", "compression", &[3]);
        let corner = [0, 0, d.size.width() - 1, d.size.height() - 1].map(u32::to_le_bytes).concat();
        attribute("dataWindow", "box2i", &corner);
        attribute("displayWindow", "box2i", &corner);
        attribute("lineOrder", "lineOrder", &[0]);
        attribute("pixelAspectRatio", "float", &1f32.to_le_bytes());
        attribute("screenWindowCenter", "v2f", &[0; 8]);
        attribute("screenWindowWidth", "float", &1f32.to_le_bytes());
        if let Some(ppi) = d.ppi {
            attribute("xDensity", "float", &(ppi as f32).to_le_bytes());
        }
        head.push(0);
        let blocks = d.size.height().div_ceil(BLOCK_ROWS) as usize;
        let table = head.len() as u64;
        head.resize(head.len() + blocks * 8, 0);
        out.write_all(&head)?;
        Ok(Self { out, table, base, at: head.len() as u64, offsets: Vec::with_capacity(blocks) })
    }

    pub(super) fn put(&mut self, strip: &[u8]) -> io::Result<()> {
        self.out.write_all(strip)?;
        self.offsets.push(self.at);
        self.at += strip.len() as u64;
        Ok(())
    }

    pub(super) fn finish(mut self) -> io::Result<W> {
        self.out.seek(SeekFrom::Start(self.base + self.table))?;
        let table: Vec<u8> = self.offsets.iter().flat_map(|o| o.to_le_bytes()).collect();
        self.out.write_all(&table)?;
        self.out.seek(SeekFrom::End(0))?;
        Ok(self.out)
    }
}

fn chromaticities(primaries: Primaries) -> Vec<u8> {
    let [r, g, b] = primaries.chromaticities();
    [r, g, b, primaries.white()]
        .iter()
        .flat_map(|&(x, y)| [x, y])
        .flat_map(|v| (v as f32).to_le_bytes())
        .collect()
}
