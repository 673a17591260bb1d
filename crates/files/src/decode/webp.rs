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
    frames_fit(bytes, head)?;
    let mut decoder = decoder(bytes, &Limits::default())?;
    // For a pixel, the decoder holds besides: planes (1.5) and, for coverage, its packed colours (5); for a picture that moves
    // the planes, a frame and the canvas (4 each); for a lossless one its packed colours (4).
    let held = match (decoder.is_animated(), decoder.has_alpha()) {
        (true, _) => 10,
        (false, true) => 7,
        (false, false) => 6,
    };
    let scratch = head.size.area() * held + bytes.len() as u64 + (1 << 20);
    let _scratch = budget.take(scratch).map_err(|e| Error::over_budget(e, "decoding a WebP picture"))?;
    decoder.set_memory_limit(usize::try_from(scratch).unwrap_or(usize::MAX));
    let mut samples = head.samples::<u8>(budget)?;
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

/// Refuses lossy frames that call themselves larger than the picture: the decoder takes the memory for one by its own header
/// (RFC 6386, section 9.1) before it compares it with the picture's.
fn frames_fit(bytes: &[u8], head: &Head) -> Result<(), Error> {
    /// What comes before the frame within its chunk, in a picture that moves: place, size, time, flags.
    const MOVING: usize = 16;
    let mut at = 12;
    while let Some(chunk) = Chunk::at(bytes, at) {
        chunk.fits(bytes, head)?;
        if &chunk.name == b"ANMF"
            && let Some(first) = Chunk::at(bytes, chunk.body + MOVING)
        {
            first.fits(bytes, head)?;
            // After its coverage comes the frame itself.
            Chunk::at(bytes, first.next).map_or(Ok(()), |second| second.fits(bytes, head))?;
        }
        at = chunk.next;
    }
    Ok(())
}

/// A part of the file (RFC 9649, section 2.3).
struct Chunk {
    name: [u8; 4],
    /// Where its content begins, and where the next chunk does.
    body: usize,
    next: usize,
}

impl Chunk {
    fn at(bytes: &[u8], at: usize) -> Option<Self> {
        let start: [u8; 8] = bytes.get(at..at.checked_add(8)?)?.try_into().ok()?;
        let [a, b, c, d, length @ ..] = start;
        let length = u32::from_le_bytes(length) as usize;
        let body = at + 8;
        Some(Self { name: [a, b, c, d], body, next: body.checked_add(length)?.checked_add(length % 2)? })
    }

    fn fits(&self, bytes: &[u8], head: &Head) -> Result<(), Error> {
        let sides = self.body + 6;
        match bytes.get(sides..sides + 4) {
            Some(&[w0, w1, h0, h1]) if &self.name == b"VP8 " => {
                // The two highest bits are for enlarging it.
                let side = |low, high| u32::from(u16::from_le_bytes([low, high]) & 0x3fff);
                if side(w0, w1) > head.size.width() || side(h0, h1) > head.size.height() {
                    let place = format!("WebP data, byte {sides}");
                    return Err(Error::damaged("a frame in it is larger than the picture", place));
                }
                Ok(())
            }
            _ => Ok(()),
        }
    }
}
