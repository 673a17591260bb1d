//! PNG (ISO/IEC 15948, third edition): all colour types and depths, with what it says about its colours.

use super::head::Head;
use crate::error::Error;
use crate::limits::Limits;
use crate::photograph::{Channels, Colour, Depth, Samples};
use ::png::{BitDepth, ColorType, Decoder, DecodingError, Info, Reader, Transformations, Unit};
use pixels::Budget;
use pixels::encode::{Power, Transfer};
use std::io::Cursor;
use units::Primaries;
use units::primaries::D65;

fn reader<'a>(bytes: &'a [u8], limits: &Limits, memory: usize) -> Result<Reader<Cursor<&'a [u8]>>, Error> {
    let memory = ::png::Limits { bytes: memory.saturating_add(limits.profile) };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), memory);
    decoder.set_ignore_text_chunk(true);
    // Palettes, fewer than 8 bits and transparent colours become plain 8-bit samples.
    decoder.set_transformations(Transformations::EXPAND);
    // Size first, before anything is allocated for a row.
    let info = decoder.read_header_info().map_err(damaged)?;
    limits.size(u64::from(info.width), u64::from(info.height))?;
    decoder.read_info().map_err(damaged)
}

fn damaged(e: DecodingError) -> Error {
    let what = match e {
        DecodingError::LimitsExceeded => "it wants more memory than its size explains".to_owned(),
        DecodingError::IoError(_) => "the file ends before its picture does".to_owned(),
        other => format!("it cannot be decoded: {other}"),
    };
    Error::damaged(what, "PNG data")
}

pub(super) fn head(bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    let reader = reader(bytes, limits, 1 << 26)?;
    let info = reader.info();
    let size = limits.size(u64::from(info.width), u64::from(info.height))?;
    let (colour, depth) = reader.output_color_type();
    let channels = match colour {
        ColorType::Grayscale => Channels::Grey,
        ColorType::GrayscaleAlpha => Channels::GreyAlpha,
        ColorType::Rgb => Channels::Rgb,
        ColorType::Rgba => Channels::Rgba,
        ColorType::Indexed => {
            return Err(Error::damaged("a palette picture without a palette", "PNG header"));
        }
    };
    let depth = if depth == BitDepth::Sixteen { Depth::U16 } else { Depth::U8 };
    let mut head = Head::new(size, channels, depth);
    head.ppi =
        info.pixel_dims.filter(|d| d.unit == Unit::Meter && d.xppu > 0).map(|d| f64::from(d.xppu) * 0.0254);
    match stated(info) {
        Ok(Some(colour)) => head.colour = colour,
        Ok(None) => {
            head.icc = info.icc_profile.as_ref().map(|icc| icc.to_vec());
            if head.icc.is_none() {
                if chunk(bytes, *b"iCCP").is_some() {
                    // The decoder leaves out what it cannot unpack.
                    head.warnings.push("the colour profile cannot be unpacked; it is not used".to_owned());
                }
                head.colour = by_gamma(info);
            }
        }
        Err(e) => return Err(e),
    }
    if let Some(exif) = info.exif_metadata.as_deref().or_else(|| chunk(bytes, *b"eXIf")) {
        head.read_exif(exif);
    }
    Ok(head)
}

/// The space that cICP names, which goes before everything else (PNG third edition, 11.3.2.6).
fn stated(info: &Info<'_>) -> Result<Option<Colour>, Error> {
    let Some(cicp) = info.coding_independent_code_points else { return Ok(None) };
    // ITU-T H.273 tables 2 and 3.
    let place = format!("cICP {} {}", cicp.color_primaries, cicp.transfer_function);
    let primaries = match cicp.color_primaries {
        1 => Primaries::Srgb,
        9 => Primaries::Rec2020,
        12 => Primaries::DisplayP3,
        _ => return Err(Error::unsupported("primaries that are not known", place)),
    };
    let power = |g| Power::new(g).map(Transfer::Power);
    let transfer = match cicp.transfer_function {
        1 | 6 | 14 => Some(Transfer::Bt709),
        15 => Some(Transfer::Bt2020),
        4 => power(2.2),
        5 => power(2.8),
        8 => Some(Transfer::Linear),
        13 => Some(Transfer::Srgb),
        16 | 18 => {
            return Err(Error::unsupported("a picture for high dynamic range displays (PQ or HLG)", place)
                .with_remedy("export the picture again for print or an ordinary display"));
        }
        _ => None,
    };
    let transfer = transfer.ok_or_else(|| Error::unsupported("a transfer curve that is not known", place))?;
    Ok(Some(Colour::Known(primaries, transfer)))
}

/// sRGB, else gAMA and cHRM.
fn by_gamma(info: &Info<'_>) -> Colour {
    if info.srgb.is_some() {
        return Colour::Known(Primaries::Srgb, Transfer::Srgb);
    }
    let power = info.gama_chunk.and_then(|g| Power::new(100_000.0 / f64::from(g.into_scaled())));
    let transfer =
        power.map(|p| if (p.exponent() - 1.0).abs() < 1e-4 { Transfer::Linear } else { Transfer::Power(p) });
    let chromaticities = info.chrm_chunk.map(|c| {
        [c.red, c.green, c.blue, c.white]
            .map(|(x, y)| (f64::from(x.into_scaled()) / 1e5, f64::from(y.into_scaled()) / 1e5))
    });
    match (transfer, chromaticities) {
        (None, None) => Colour::Untagged,
        (transfer, None) => Colour::Known(Primaries::Srgb, transfer.unwrap_or(Transfer::Srgb)),
        (transfer, Some(xy)) => crate::photograph::measured(
            [xy[0], xy[1], xy[2]],
            if xy[3].1 > 0.0 { xy[3] } else { D65 },
            transfer.unwrap_or(Transfer::Srgb),
        ),
    }
}

/// The content of the first chunk of a kind.
fn chunk(bytes: &[u8], kind: [u8; 4]) -> Option<&[u8]> {
    let mut at = 8;
    loop {
        let head = bytes.get(at..at + 8)?;
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let body = bytes.get(at + 8..(at + 8).checked_add(length)?)?;
        if head[4..] == kind {
            return Some(body);
        }
        at += 12 + length;
    }
}

pub(super) fn pixels(bytes: &[u8], head: &Head, limits: &Limits, budget: &Budget) -> Result<Samples, Error> {
    // Rows of the decoder, its window, and what an interlaced picture needs to find its pixels.
    let rows = head.row_bytes() * 4 + (1 << 20);
    let _scratch = budget.take(rows as u64).map_err(|e| Error::over_budget(e, "decoding a PNG picture"))?;
    let mut reader = reader(bytes, limits, rows + (1 << 20))?;
    let size = reader.output_buffer_size();
    let read = |reader: &mut Reader<_>, out: &mut [u8]| -> Result<(), Error> {
        if size != Some(out.len()) {
            return Err(Error::damaged("its rows have another length than its header promises", "PNG data"));
        }
        reader.next_frame(out).map(drop).map_err(damaged)
    };
    Ok(if head.depth == Depth::U16 {
        let mut samples = head.samples::<u16>(budget)?;
        read(&mut reader, bytemuck::cast_slice_mut(&mut samples))?;
        samples.iter_mut().for_each(|s| *s = u16::from_be(*s));
        Samples::U16(samples)
    } else {
        let mut samples = head.samples::<u8>(budget)?;
        read(&mut reader, &mut samples)?;
        Samples::U8(samples)
    })
}
