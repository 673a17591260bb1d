//! PNG (ISO/IEC 15948, third edition). Each strip is filtered and packed by itself; together they make one stream.

use super::deflate::{LAST_BLOCK, ZLIB_HEAD, blocks, joined_adler, zlib};
use super::{Codes, Description, Form};
use crate::icc::{grey_profile, rgb_profile};
use crate::photograph::{Channels, Depth};
use pixels::encode::Transfer;
use std::borrow::Cow;
use std::io::{self, Write};
use units::Primaries;

/// A strip: the Adler-32 of its filtered rows, their length, then the packed blocks.
pub(super) fn strip(codes: Codes<'_>, description: &Description) -> Vec<u8> {
    let pixel = description.channels.count() * codes.width();
    let row = description.size.width() as usize * pixel;
    let bytes = match codes {
        // PNG holds its samples high byte first.
        Codes::U16(v) => {
            let turned: Vec<u16> = v.iter().map(|c| c.to_be()).collect();
            Cow::Owned(bytemuck::cast_slice(&turned).to_vec())
        }
        other => Cow::Borrowed(other.bytes()),
    };
    let mut filtered = Vec::with_capacity(bytes.len() + bytes.len() / row);
    let mut above: Option<&[u8]> = None;
    for line in bytes.chunks_exact(row) {
        filter(line, above, pixel, &mut filtered);
        above = Some(line);
    }
    let mut out = simd_adler32::adler32(&filtered.as_slice()).to_be_bytes().to_vec();
    out.extend((filtered.len() as u64).to_be_bytes());
    blocks(&filtered, &mut out);
    out
}

/// Differences to the left or to the row above, whichever are smaller. The first row of a strip goes by the left
/// alone, so that strips do not depend on one another.
fn filter(line: &[u8], above: Option<&[u8]>, pixel: usize, out: &mut Vec<u8>) {
    let start = out.len();
    out.push(1);
    out.extend_from_slice(line);
    for ((o, a), b) in out[start + 1 + pixel..].iter_mut().zip(&line[pixel..]).zip(line) {
        *o = a.wrapping_sub(*b);
    }
    let Some(above) = above else { return };
    let size = |b: u8| u32::from((b as i8).unsigned_abs());
    let left: u32 = out[start + 1..].iter().map(|&b| size(b)).sum();
    let up: u32 = line.iter().zip(above).map(|(a, b)| size(a.wrapping_sub(*b))).sum();
    if up < left {
        out[start] = 2;
        for ((o, a), b) in out[start + 1..].iter_mut().zip(line).zip(above) {
            *o = a.wrapping_sub(*b);
        }
    }
}

pub(super) struct File<W: Write> {
    out: W,
    adler: u32,
}

impl<W: Write> File<W> {
    pub(super) fn begin(mut out: W, d: &Description, form: Form) -> io::Result<Self> {
        out.write_all(b"\x89PNG\r\n\x1a\n")?;
        let mut head = Vec::new();
        head.extend(d.size.width().to_be_bytes());
        head.extend(d.size.height().to_be_bytes());
        head.push(if matches!(form, Form::Png { depth: Depth::U16 }) { 16 } else { 8 });
        head.push(match d.channels {
            Channels::Grey => 0,
            Channels::Rgb => 2,
            _ => 6,
        });
        head.extend([0, 0, 0]);
        chunk(&mut out, *b"IHDR", &[&head])?;
        if let Some((primaries, transfer)) = d.colour {
            let grey = d.channels == Channels::Grey;
            if let (false, Some(cicp)) = (grey, cicp(primaries, transfer)) {
                chunk(&mut out, *b"cICP", &[&cicp])?;
            }
            let profile = if grey { grey_profile(transfer) } else { rgb_profile(primaries, transfer) };
            let packed = zlib(&profile);
            chunk(&mut out, *b"iCCP", &[b"profile\0\0", &packed])?;
        }
        if let Some(ppi) = d.ppi {
            let per_metre = ((ppi / 0.0254).round() as u32).to_be_bytes();
            chunk(&mut out, *b"pHYs", &[&per_metre, &per_metre, &[1]])?;
        }
        chunk(&mut out, *b"IDAT", &[&ZLIB_HEAD])?;
        Ok(Self { out, adler: 1 })
    }

    pub(super) fn put(&mut self, strip: &[u8]) -> io::Result<()> {
        let (adler, rest) = strip.split_first_chunk::<4>().expect("a strip begins with its checksum");
        let (length, packed) = rest.split_first_chunk::<8>().expect("then comes its length");
        self.adler = joined_adler(self.adler, u32::from_be_bytes(*adler), u64::from_be_bytes(*length));
        chunk(&mut self.out, *b"IDAT", &[packed])
    }

    pub(super) fn finish(mut self) -> io::Result<W> {
        chunk(&mut self.out, *b"IDAT", &[&LAST_BLOCK, &self.adler.to_be_bytes()])?;
        chunk(&mut self.out, *b"IEND", &[])?;
        Ok(self.out)
    }
}

/// ITU-T H.273 code points, RGB, full range; none where there is no code for it.
const fn cicp(primaries: Primaries, transfer: Transfer) -> Option<[u8; 4]> {
    let p = match primaries {
        Primaries::Srgb => 1,
        Primaries::Rec2020 => 9,
        Primaries::DisplayP3 => 12,
        Primaries::Romm => return None,
    };
    let t = match transfer {
        Transfer::Linear => 8,
        Transfer::Srgb => 13,
        Transfer::Bt709 => 1,
        Transfer::Bt2020 => 15,
        Transfer::Romm | Transfer::Power(_) => return None,
    };
    Some([p, t, 0, 1])
}

fn chunk(out: &mut impl Write, kind: [u8; 4], parts: &[&[u8]]) -> io::Result<()> {
    let length: usize = parts.iter().map(|p| p.len()).sum();
    let mut crc = crc32fast::Hasher::new();
    crc.update(&kind);
    parts.iter().for_each(|p| crc.update(p));
    out.write_all(&(length as u32).to_be_bytes())?;
    out.write_all(&kind)?;
    parts.iter().try_for_each(|p| out.write_all(p))?;
    out.write_all(&crc.finalize().to_be_bytes())
}
