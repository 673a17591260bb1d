//! JPEG (ISO/IEC 10918-1): baseline, extended and progressive, 8 bits, Huffman coded.

use super::head::Head;
use crate::error::Error;
use crate::limits::Limits;
use crate::photograph::{Channels, Depth, Samples};
use pixels::Budget;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// What the segments before the first scan say, and whether the file is whole.
#[derive(Default)]
struct Segments<'a> {
    frame: Option<Frame>,
    exif: Option<&'a [u8]>,
    icc: Vec<(u8, &'a [u8])>,
    ppi: Option<f64>,
    /// The transform that an Adobe segment names; such a segment also means that ink is stored inverted.
    adobe: Option<u8>,
    /// Components of the first scan.
    first_scan: u8,
    has_end: bool,
}

struct Frame {
    kind: u8,
    precision: u8,
    width: u16,
    height: u16,
    /// Sampling factors across and down of each component.
    components: Vec<(u8, u8)>,
}

/// Walks the file from marker to marker.
fn segments(bytes: &[u8]) -> Result<Segments<'_>, Error> {
    let mut found = Segments::default();
    let mut at = 2;
    // Fill bytes may stand before a marker, and some writers leave stray ones.
    while let Some(gap) = bytes.get(at..).and_then(|rest| rest.iter().position(|&b| b == 0xff)) {
        at += gap;
        let Some(&marker) = bytes.get(at + 1) else { break };
        at += 1;
        match marker {
            // A stuffed byte, a restart, or a fill byte.
            0x00 | 0x01 | 0xd0..=0xd8 => {
                at += 1;
                continue;
            }
            0xff => continue,
            0xd9 => {
                found.has_end = true;
                break;
            }
            _ => {}
        }
        at += 1;
        let here = at;
        let place = || format!("byte {here}");
        let length = match bytes.get(at..at + 2) {
            Some(l) => usize::from(u16::from_be_bytes([l[0], l[1]])),
            None => break,
        };
        if length < 2 {
            return Err(Error::damaged("a segment without a length", place()));
        }
        let Some(body) = bytes.get(at + 2..at + length) else { break };
        match marker {
            0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf if found.frame.is_none() => {
                found.frame = Some(frame(marker, body, &place)?);
            }
            0xda if found.first_scan == 0 => found.first_scan = body.first().copied().unwrap_or(0),
            0xe0 if body.starts_with(b"JFIF\0") => found.ppi = jfif_ppi(body),
            0xe1 if body.starts_with(b"Exif\0") && found.exif.is_none() => found.exif = Some(body),
            0xe2 if body.starts_with(b"ICC_PROFILE\0") && body.len() > 14 => {
                found.icc.push((body[12], &body[14..]));
            }
            0xee if body.starts_with(b"Adobe") => found.adobe = body.get(11).copied(),
            _ => {}
        }
        at += length;
    }
    Ok(found)
}

fn frame(kind: u8, body: &[u8], place: &dyn Fn() -> String) -> Result<Frame, Error> {
    let short = || Error::damaged("its frame header is too short", place());
    let head = body.get(..6).ok_or_else(short)?;
    let list = body[6..].chunks_exact(3).take(usize::from(head[5]));
    let components: Vec<_> = list.map(|c| (c[1] >> 4, c[1] & 15)).collect();
    if components.len() != usize::from(head[5]) {
        return Err(short());
    }
    Ok(Frame {
        kind,
        precision: head[0],
        height: u16::from_be_bytes([head[1], head[2]]),
        width: u16::from_be_bytes([head[3], head[4]]),
        components,
    })
}

/// JFIF 1.02: unit 1 is the inch, 2 the centimetre.
fn jfif_ppi(body: &[u8]) -> Option<f64> {
    let per = f64::from(u16::from_be_bytes([*body.get(8)?, *body.get(9)?]));
    match body.get(7)? {
        1 if per > 0.0 => Some(per),
        2 if per > 0.0 => Some(per * 2.54),
        _ => None,
    }
}

pub(super) fn head(bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    let found = segments(bytes)?;
    let frame = found.frame.as_ref().ok_or_else(|| {
        Error::damaged("it ends before its picture begins", "the segments of the JPEG file")
    })?;
    let place = format!("frame header of kind {}, {} bits", frame.kind & 15, frame.precision);
    match frame.kind {
        0xc0..=0xc2 if frame.precision == 8 => {}
        0xc0..=0xc2 => return Err(Error::unsupported("JPEG of more than 8 bits", place)),
        0xc3 => return Err(Error::unsupported("lossless JPEG", place)),
        0xc5..=0xc7 => return Err(Error::unsupported("hierarchical JPEG", place)),
        _ => return Err(Error::unsupported("arithmetically coded JPEG", place)),
    }
    let channels = match frame.components.len() {
        1 => Channels::Grey,
        3 => Channels::Rgb,
        4 => Channels::Cmyk,
        n => return Err(Error::unsupported(format!("JPEG of {n} components"), place)),
    };
    if frame.components.iter().any(|&(h, v)| !(1..=4).contains(&h) || !(1..=4).contains(&v)) {
        return Err(Error::damaged("sampling factors that do not exist", place));
    }
    let size = limits.size(u64::from(frame.width), u64::from(frame.height))?;
    let mut head = Head::new(size, channels, Depth::U8);
    head.ppi = found.ppi;
    head.icc = icc(found.icc, limits, &mut head.warnings);
    if let Some(block) = found.exif {
        head.read_exif(block);
    }
    Ok(head)
}

/// The parts of a profile in their order, which need not be that of the file (ICC.1:2022, annex B.4).
fn icc(mut parts: Vec<(u8, &[u8])>, limits: &Limits, warnings: &mut Vec<String>) -> Option<Vec<u8>> {
    parts.sort_by_key(|&(number, _)| number);
    let whole = parts.iter().zip(1..).all(|(&(number, _), i)| number == i);
    let size: usize = parts.iter().map(|(_, part)| part.len()).sum();
    if parts.is_empty() {
        return None;
    }
    if !whole || size > limits.profile {
        warnings.push("the embedded colour profile is not whole; the colours are read as sRGB".to_owned());
        return None;
    }
    Some(parts.into_iter().flat_map(|(_, part)| part).copied().collect())
}

pub(super) fn pixels(bytes: &[u8], head: &Head, budget: &Budget) -> Result<Samples, Error> {
    let found = segments(bytes)?;
    let frame = found.frame.as_ref().expect("a file without a frame has no head");
    if !found.has_end {
        return Err(Error::damaged("the file ends before its picture does", "end of the JPEG file"));
    }
    let _scratch = budget
        .take(scratch(frame, found.first_scan))
        .map_err(|e| Error::over_budget(e, "decoding a JPEG picture"))?;
    let out = match head.channels {
        Channels::Grey => ColorSpace::Luma,
        // Black beside luminance and chroma, or ink as it is.
        Channels::Cmyk if found.adobe == Some(2) => ColorSpace::YCCK,
        Channels::Cmyk => ColorSpace::CMYK,
        _ => ColorSpace::RGB,
    };
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(usize::from(frame.width))
        .set_max_height(usize::from(frame.height))
        .jpeg_set_max_scans(200)
        .jpeg_set_out_colorspace(out);
    let mut samples = head.samples::<u8>(budget)?;
    JpegDecoder::new_with_options(ZCursor::new(bytes), options)
        .decode_into(&mut samples)
        .map_err(|e| Error::damaged(format!("its picture cannot be decoded: {e:?}"), "JPEG data"))?;
    if out == ColorSpace::YCCK {
        samples.as_chunks_mut::<4>().0.iter_mut().for_each(from_ycck);
    } else if head.channels == Channels::Cmyk && found.adobe.is_some() {
        samples.iter_mut().for_each(|s| *s = !*s);
    }
    Ok(Samples::U8(samples))
}

/// Luminance and chroma of the inks' complements, and inverted black (Adobe technical note 5116), to ink. Complement
/// of the complement: what the JFIF formulas give as red, green and blue is the ink.
fn from_ycck(p: &mut [u8; 4]) {
    let [y, cb, cr, k] = p.map(f32::from);
    let byte = |v: f32| (v + 0.5) as u8;
    let (cb, cr) = (cb - 128.0, cr - 128.0);
    *p = [
        byte(y + 1.402 * cr),
        byte(y - 0.344_136 * cb - 0.714_136 * cr),
        byte(y + 1.772 * cb),
        byte(255.0 - k),
    ];
}

/// What the decoder takes beside the samples: rows of blocks, or all coefficients where they come in several scans.
fn scratch(frame: &Frame, first_scan: u8) -> u64 {
    let most = |f: fn(&(u8, u8)) -> u8| u64::from(frame.components.iter().map(f).max().unwrap_or(1));
    let (h_most, v_most) = (most(|c| c.0), most(|c| c.1));
    let across = u64::from(frame.width).div_ceil(8 * h_most);
    let down = u64::from(frame.height).div_ceil(8 * v_most);
    let all = frame.kind == 0xc2 || usize::from(first_scan) < frame.components.len();
    frame
        .components
        .iter()
        .map(|&(h, v)| {
            let row = across * u64::from(h) * u64::from(v) * 64 * 2;
            row * 6 * h_most * v_most + if all { row * down } else { 0 }
        })
        .sum()
}
