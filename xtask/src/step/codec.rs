//! Decoding and encoding, from and to files that the system holds in memory.

use super::{RUNS, timed};
use crate::error::Error;
use crate::share;
use files::encode::{Codes, Description, Encoder, Form, Packing, Sampling, Writer};
use files::{Channels, Depth, Limits, Photograph, Samples};
use pixels::Budget;
use pixels::encode::Transfer;
use serde::Deserialize;
use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::num::NonZeroUsize;
use std::path::Path;
use units::Primaries;

/// What is done.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum What {
    JpegDecode,
    JpegEncode,
    Tiff16None,
    Tiff16Deflate,
    Png16,
}

/// Times it; encodes to OUT.jpg, OUT.tif or OUT.png.
pub(super) fn run(
    what: What,
    jpeg: &Path,
    deep: &Path,
    out: &str,
    threads: NonZeroUsize,
    budget: &Budget,
) -> Result<[f64; RUNS], Error> {
    let tiff = |packing| (deep, "tif", Form::Tiff { depth: Depth::U16, packing });
    let (from, extension, form) = match what {
        What::JpegDecode => return Ok(timed(|| read(jpeg, budget))?.0),
        What::JpegEncode => (jpeg, "jpg", Form::Jpeg { quality: 92, sampling: Sampling::Half }),
        What::Tiff16None => tiff(Packing::None),
        What::Tiff16Deflate => tiff(Packing::Deflate),
        What::Png16 => (deep, "png", Form::Png { depth: Depth::U16 }),
    };
    let photograph = read(from, budget)?;
    let path = format!("{out}.{extension}");
    Ok(timed(|| write(&photograph, form, Path::new(&path), threads))?.0)
}

/// A photograph with its codes.
pub(super) fn read(path: &Path, budget: &Budget) -> Result<Photograph, Error> {
    files::read(path, &Limits::default(), budget).map_err(|e| Error::new(format!("{}: {e}", path.display())))
}

fn write(photograph: &Photograph, form: Form, path: &Path, threads: NonZeroUsize) -> Result<(), Error> {
    let description = Description {
        size: photograph.size(),
        channels: Channels::Rgb,
        colour: Some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    let encoder = Encoder::new(description, form)?;
    let file = File::create(path).map_err(|e| Error::new(format!("{}: {e}", path.display())))?;
    let mut writer = Writer::new(&encoder, BufWriter::with_capacity(1 << 20, file))?;
    let rows = encoder.strip_rows();
    let firsts: Vec<u32> = (0..description.size.height()).step_by(rows as usize).collect();
    let strip = |first: u32| {
        let past = (first + rows).min(description.size.height());
        let part = first as usize * encoder.row_samples()..past as usize * encoder.row_samples();
        let codes = match photograph.samples() {
            Samples::U8(v) => Codes::U8(&v[part]),
            Samples::U16(v) => Codes::U16(&v[part]),
            Samples::F32(v) => Codes::F32(&v[part]),
        };
        encoder.strip(first, codes)
    };
    // By rounds, so that not the whole file lies in memory.
    for round in firsts.chunks(8 * threads.get()) {
        for strip in share(threads, round.len(), &|i| strip(round[i]))? {
            writer.put(&strip)?;
        }
    }
    Ok(writer.finish()?.flush()?)
}
