//! WebP (RFC 9649), lossy and lossless.

use super::head::Head;
use crate::error::Error;
use crate::limits::Limits;
use crate::photograph::{Channels, Depth, Samples};
use image_webp::{DecodingError, WebPDecoder};
use pixels::Budget;
use std::io::Cursor;

fn damaged(e: DecodingError) -> Error {
    let what = match e {
        DecodingError::IoError(_) => "the file ends before its picture does".to_owned(),
        other => format!("it cannot be decoded: {other}"),
    };
    Error::damaged(what, "WebP data")
}

fn decoder<'a>(bytes: &'a [u8], limits: &Limits) -> Result<WebPDecoder<Cursor<&'a [u8]>>, Error> {
    let mut decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(damaged)?;
    decoder.set_memory_limit(limits.profile);
    Ok(decoder)
}

pub(super) fn head(bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    let mut decoder = decoder(bytes, limits)?;
    let (width, height) = decoder.dimensions();
    let size = limits.size(u64::from(width), u64::from(height))?;
    let channels = if decoder.has_alpha() { Channels::Rgba } else { Channels::Rgb };
    let mut head = Head::new(size, channels, Depth::U8);
    if decoder.is_animated() {
        head.warnings.push("the picture moves; only its first frame was read".to_owned());
    }
    match decoder.icc_profile() {
        Ok(icc) => head.icc = icc,
        Err(e) => head.warnings.push(format!("the colour profile cannot be read ({e}); read as sRGB")),
    }
    match decoder.exif_metadata() {
        Ok(Some(exif)) => head.read_exif(&exif),
        Ok(None) => {}
        Err(e) => head.warnings.push(format!("what the camera wrote cannot be read: {e}")),
    }
    Ok(head)
}

pub(super) fn pixels(bytes: &[u8], head: &Head, budget: &Budget) -> Result<Samples, Error> {
    // The decoder holds the picture once more, as planes or as packed colours, and its compressed data.
    let scratch = head.size.area() * 6 + bytes.len() as u64 + (1 << 20);
    let _scratch = budget.take(scratch).map_err(|e| Error::over_budget(e, "decoding a WebP picture"))?;
    let mut decoder = decoder(bytes, &Limits::default())?;
    decoder.set_memory_limit(usize::try_from(scratch).unwrap_or(usize::MAX));
    let mut samples = vec![0u8; head.size.area() as usize * head.channels.count()];
    if decoder.output_buffer_size() != Some(samples.len()) {
        return Err(Error::damaged("its rows have another length than its header promises", "WebP data"));
    }
    if decoder.is_animated() {
        decoder.read_frame(&mut samples).map_err(damaged)?;
    } else {
        decoder.read_image(&mut samples).map_err(damaged)?;
    }
    Ok(Samples::U8(samples))
}
