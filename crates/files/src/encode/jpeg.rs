//! JPEG (ISO/IEC 10918-1), baseline. Each strip is coded by itself, with a restart marker between strips, so that
//! strips can be coded on several threads and written while the picture is still being made.

use super::{Description, STRIP_ROWS, Sampling};
use crate::error::{Error, Fault};
use crate::icc::{grey_profile, rgb_profile};
use crate::photograph::Channels;
use jpeg_encoder::{ColorType, EncodingError, SamplingFactor};
use std::io::{self, Write};

#[derive(Debug)]
pub(super) struct Jpeg {
    quality: u8,
    sampling: Sampling,
    grey: bool,
    /// All that comes before the first scan's data.
    head: Vec<u8>,
}

/// The longest side: JPEG counts in 16 bits, and the coder of strips rounds up.
const LONGEST: u32 = 65_500;

impl Jpeg {
    pub(super) fn new(d: &Description, quality: u8, sampling: Sampling) -> Result<Self, Error> {
        let refuse = |what: &str| Error::new(Fault::Refused, what, "JPEG");
        let grey = match d.channels {
            Channels::Grey => true,
            Channels::Rgb => false,
            _ => return Err(refuse("JPEG holds no coverage")),
        };
        if d.size.width() > LONGEST || d.size.height() > LONGEST {
            return Err(refuse("JPEG holds at most 65500 pixels a side"));
        }
        let mut jpeg = Self { quality, sampling, grey, head: Vec::new() };
        let blank = vec![0; d.size.width() as usize * if grey { 1 } else { 3 }];
        let sample = jpeg.coded(&blank, d.size.width() as u16, 1)?;
        jpeg.head = jpeg.head_from(&sample, d).ok_or_else(|| refuse("the coder made no picture"))?;
        Ok(jpeg)
    }

    fn coded(&self, bytes: &[u8], width: u16, height: u16) -> Result<Vec<u8>, Error> {
        let mut out = Vec::with_capacity(bytes.len() / 4 + 2048);
        let mut encoder = jpeg_encoder::Encoder::new(&mut out, self.quality);
        encoder.set_sampling_factor(match self.sampling {
            Sampling::Full => SamplingFactor::F_1_1,
            Sampling::HalfAcross => SamplingFactor::F_2_1,
            Sampling::Half => SamplingFactor::F_2_2,
        });
        let colour = if self.grey { ColorType::Luma } else { ColorType::Rgb };
        let refuse =
            |e: EncodingError| Error::new(Fault::Refused, format!("it cannot be coded: {e}"), "JPEG");
        encoder.encode(bytes, width, height, colour).map_err(refuse)?;
        Ok(out)
    }

    /// The scan's data of rows coded by themselves.
    pub(super) fn strip(&self, bytes: &[u8], d: &Description) -> Result<Vec<u8>, Error> {
        let width = d.size.width() as usize;
        let rows = bytes.len() / (width * if self.grey { 1 } else { 3 });
        let mut coded = self.coded(bytes, width as u16, rows as u16)?;
        let scan =
            scan(&coded).ok_or_else(|| Error::new(Fault::Refused, "the coder made no picture", "JPEG"))?;
        coded.truncate(coded.len() - 2);
        coded.drain(..scan);
        Ok(coded)
    }

    /// Our own beginning, then the coder's tables and frame with the true height, then the restart interval.
    fn head_from(&self, sample: &[u8], d: &Description) -> Option<Vec<u8>> {
        let mut out = vec![0xff, 0xd8];
        let density = d.ppi.map_or(1, |ppi| ppi.round().clamp(1.0, 65535.0) as u16).to_be_bytes();
        let unit = u8::from(d.ppi.is_some());
        out.extend(b"\xff\xe0\0\x10JFIF\0\x01\x02");
        out.push(unit);
        out.extend([density[0], density[1], density[0], density[1], 0, 0]);
        if let Some((primaries, transfer)) = d.colour {
            let profile = if self.grey { grey_profile(transfer) } else { rgb_profile(primaries, transfer) };
            // Our profiles are small: one segment holds any of them.
            out.extend([0xff, 0xe2]);
            out.extend((profile.len() as u16 + 16).to_be_bytes());
            out.extend(b"ICC_PROFILE\0\x01\x01");
            out.extend(profile);
        }
        let mut at = 2;
        let mut unit = (1, 1);
        loop {
            let marker = *sample.get(at + 1)?;
            let length = usize::from(u16::from_be_bytes([*sample.get(at + 2)?, *sample.get(at + 3)?]));
            let mut segment = sample.get(at..at + 2 + length)?.to_vec();
            match marker {
                0xe0..=0xef => segment.clear(),
                0xc0 => {
                    segment[5..7].copy_from_slice(&(d.size.height() as u16).to_be_bytes());
                    let factors = segment[11];
                    unit = (u32::from(factors >> 4), u32::from(factors & 15));
                }
                0xda => {
                    let across = d.size.width().div_ceil(8 * unit.0);
                    let units = across * STRIP_ROWS.div_ceil(8 * unit.1);
                    out.extend([0xff, 0xdd, 0, 4]);
                    out.extend((units as u16).to_be_bytes());
                    out.extend(segment);
                    return Some(out);
                }
                _ => {}
            }
            out.extend(segment);
            at += 2 + length;
        }
    }
}

/// Where the data of the only scan begins.
fn scan(coded: &[u8]) -> Option<usize> {
    let mut at = 2;
    loop {
        let marker = *coded.get(at + 1)?;
        at += 2 + usize::from(u16::from_be_bytes([*coded.get(at + 2)?, *coded.get(at + 3)?]));
        if marker == 0xda {
            return (at + 2 <= coded.len()).then_some(at);
        }
    }
}

pub(super) struct File<W: Write> {
    out: W,
    strips: u32,
}

impl<W: Write> File<W> {
    pub(super) fn begin(mut out: W, jpeg: &Jpeg) -> io::Result<Self> {
        out.write_all(&jpeg.head)?;
        Ok(Self { out, strips: 0 })
    }

    pub(super) fn put(&mut self, strip: &[u8]) -> io::Result<()> {
        if self.strips > 0 {
            self.out.write_all(&[0xff, 0xd0 + ((self.strips - 1) % 8) as u8])?;
        }
        self.strips += 1;
        self.out.write_all(strip)
    }

    pub(super) fn finish(mut self) -> io::Result<W> {
        self.out.write_all(&[0xff, 0xd9])?;
        Ok(self.out)
    }
}
