//! TIFF 6.0, low byte first; the 64-bit variant where 32 bits would not reach.

use super::deflate::zlib;
use super::{Codes, Description, Packing, STRIP_ROWS};
use crate::error::{Error, Fault};
use crate::icc::{grey_profile, rgb_profile};
use crate::photograph::{Channels, Depth};
use std::borrow::Cow;
use std::io::{self, Seek, SeekFrom, Write};

#[derive(Debug)]
pub(super) struct Tiff {
    packing: Packing,
    depth: Depth,
}

impl Tiff {
    pub(super) const fn new(depth: Depth, packing: Packing) -> Self {
        Self { packing, depth }
    }

    pub(super) fn strip<'a>(&self, codes: Codes<'a>, d: &Description) -> Result<Cow<'a, [u8]>, Error> {
        let step = d.channels.count();
        let row = d.size.width() as usize * step;
        if self.packing == Packing::None {
            return Ok(low_byte_first(codes));
        }
        let bytes = match codes {
            Codes::U8(v) => differences(v, row, step, u8::wrapping_sub),
            Codes::U16(v) => {
                let mut less = differences(v, row, step, u16::wrapping_sub);
                less.iter_mut().for_each(|c| *c = c.to_le());
                bytemuck::cast_slice(&less).to_vec()
            }
            Codes::F32(v) => {
                let planes: Vec<u8> = v.chunks_exact(row).flat_map(planes).collect();
                differences(&planes, row * 4, step, u8::wrapping_sub)
            }
        };
        if self.packing == Packing::Deflate {
            return Ok(Cow::Owned(zlib(&bytes)));
        }
        weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
            .encode(&bytes)
            .map(Cow::Owned)
            .map_err(|e| Error::new(Fault::Refused, format!("the data could not be packed: {e}"), "LZW"))
    }
}

/// The bytes of the samples: those of the memory where this machine has the same order.
fn low_byte_first(codes: Codes<'_>) -> Cow<'_, [u8]> {
    match codes {
        Codes::U16(v) if cfg!(target_endian = "big") => v.iter().flat_map(|c| c.to_le_bytes()).collect(),
        Codes::F32(v) if cfg!(target_endian = "big") => v.iter().flat_map(|c| c.to_le_bytes()).collect(),
        codes => Cow::Borrowed(codes.bytes()),
    }
}

/// Each sample less the one of the pixel before it, row by row (TIFF 6.0, section 14).
fn differences<S: Copy>(samples: &[S], row: usize, step: usize, less: impl Fn(S, S) -> S) -> Vec<S> {
    let mut out = samples.to_vec();
    for (to, from) in out.chunks_exact_mut(row).zip(samples.chunks_exact(row)) {
        for ((t, a), b) in to[step..].iter_mut().zip(&from[step..]).zip(from) {
            *t = less(*a, *b);
        }
    }
    out
}

/// Bytes of a row of floats in planes, most significant first (technical note 3, 2005).
fn planes(row: &[f32]) -> Vec<u8> {
    let n = row.len();
    let mut planes = vec![0u8; n * 4];
    for (i, v) in row.iter().enumerate() {
        for (k, b) in v.to_be_bytes().into_iter().enumerate() {
            planes[k * n + i] = b;
        }
    }
    planes
}

pub(super) struct File<W: Write + Seek> {
    out: W,
    /// Where the file begins in what is written to.
    base: u64,
    at: u64,
    wide: bool,
    strips: Vec<(u64, u64)>,
    entries: Vec<Entry>,
}

/// Tag, kind, count, values low byte first.
type Entry = (u16, u16, u64, Vec<u8>);

impl<W: Write + Seek> File<W> {
    pub(super) fn begin(mut out: W, d: &Description, tiff: &Tiff) -> io::Result<Self> {
        let raw = d.size.area() * d.channels.count() as u64 * tiff.depth.bytes();
        // Packed data may grow a little; the directory follows it.
        let wide = raw + raw / 8 > 0xf000_0000;
        let base = out.stream_position()?;
        if wide {
            out.write_all(b"II\x2b\0\x08\0\0\0\0\0\0\0\0\0\0\0")?;
        } else {
            out.write_all(b"II\x2a\0\0\0\0\0")?;
        }
        let at = if wide { 16 } else { 8 };
        Ok(Self { out, base, at, wide, strips: Vec::new(), entries: entries(d, tiff) })
    }

    pub(super) fn put(&mut self, strip: &[u8]) -> io::Result<()> {
        if !self.wide && self.at + strip.len() as u64 > 0xffff_0000 {
            return Err(io::Error::other("packing made the picture larger than TIFF can hold"));
        }
        self.out.write_all(strip)?;
        self.strips.push((self.at, strip.len() as u64));
        self.at += strip.len() as u64;
        // Values of a directory stand at even places.
        if self.at % 2 == 1 {
            self.out.write_all(&[0])?;
            self.at += 1;
        }
        Ok(())
    }

    pub(super) fn finish(mut self) -> io::Result<W> {
        let long =
            |v: u64| if self.wide { v.to_le_bytes().to_vec() } else { (v as u32).to_le_bytes().to_vec() };
        let kind = if self.wide { 16 } else { 4 };
        let n = self.strips.len() as u64;
        self.entries.push((273, kind, n, self.strips.iter().flat_map(|s| long(s.0)).collect()));
        self.entries.push((279, kind, n, self.strips.iter().flat_map(|s| long(s.1)).collect()));
        self.entries.sort_by_key(|e| e.0);
        let inline = if self.wide { 8 } else { 4 };
        let mut directory = Vec::new();
        if self.wide {
            directory.extend((self.entries.len() as u64).to_le_bytes());
        } else {
            directory.extend((self.entries.len() as u16).to_le_bytes());
        }
        let size = directory.len() + self.entries.len() * if self.wide { 20 } else { 12 } + inline;
        let mut values = Vec::new();
        for (tag, kind, count, bytes) in &self.entries {
            directory.extend(tag.to_le_bytes());
            directory.extend(kind.to_le_bytes());
            directory.extend(long(*count));
            let mut value = bytes.clone();
            if value.len() > inline {
                value = long(self.at + size as u64 + values.len() as u64);
                values.extend_from_slice(bytes);
                values.resize(values.len().next_multiple_of(2), 0);
            }
            value.resize(inline, 0);
            directory.extend(value);
        }
        directory.extend(vec![0; inline]);
        self.out.write_all(&directory)?;
        self.out.write_all(&values)?;
        self.out.seek(SeekFrom::Start(self.base + if self.wide { 8 } else { 4 }))?;
        self.out.write_all(&long(self.at))?;
        self.out.seek(SeekFrom::End(0))?;
        Ok(self.out)
    }
}

fn entries(d: &Description, tiff: &Tiff) -> Vec<Entry> {
    let n = d.channels.count();
    let short = |tag: u16, v: &[u16]| -> Entry {
        (tag, 3, v.len() as u64, v.iter().flat_map(|v| v.to_le_bytes()).collect())
    };
    let long = |tag: u16, v: u32| -> Entry { (tag, 4, 1, v.to_le_bytes().to_vec()) };
    let float = tiff.depth == Depth::F32;
    let packing = match tiff.packing {
        Packing::None => 1,
        Packing::Lzw => 5,
        Packing::Deflate => 8,
    };
    let mut entries = vec![
        long(256, d.size.width()),
        long(257, d.size.height()),
        short(258, &vec![tiff.depth.bytes() as u16 * 8; n]),
        short(259, &[packing]),
        short(262, &[if d.channels == Channels::Grey { 1 } else { 2 }]),
        short(277, &[n as u16]),
        long(278, STRIP_ROWS),
        short(284, &[1]),
        short(339, &vec![if float { 3 } else { 1 }; n]),
    ];
    if tiff.packing != Packing::None {
        entries.push(short(317, &[if float { 3 } else { 2 }]));
    }
    if d.channels.has_alpha() {
        entries.push(short(338, &[2]));
    }
    if let Some(ppi) = d.ppi {
        let ratio: Vec<u8> =
            [(ppi * 1000.0).round() as u32, 1000].iter().flat_map(|v| v.to_le_bytes()).collect();
        entries.push((282, 5, 1, ratio.clone()));
        entries.push((283, 5, 1, ratio));
        entries.push(short(296, &[2]));
    }
    if let Some((primaries, transfer)) = d.colour {
        let profile = if d.channels == Channels::Grey {
            grey_profile(transfer)
        } else {
            rgb_profile(primaries, transfer)
        };
        entries.push((34675, 7, profile.len() as u64, profile));
    }
    entries
}
