//! Runs one step of the work alone, to be timed beside other programs that do the same: a blur disc, a reduction, a codec.
//!
//! Input lies in memory beforehand, save for decoding; result files of encoding are written within the time. The least of three
//! runs counts, on as many threads as there are cores.

mod blur;
mod codec;

use crate::error::Error;
use crate::{option, share};
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Along, Edge, Resampler};
use pixels::{Budget, Image, OverBudget, Pixel, Rgb, Rgba};
use serde::Deserialize;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::num::NonZeroUsize;
use std::path::Path;
use std::time::Instant;
use units::{Primaries, PxRect, PxSize};

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
enum Case {
    /// A disc over raw premultiplied floats, red, green, blue, coverage; clear outside.
    Blur { input: String, width: u32, height: u32, diameter: f64 },
    /// A photograph, in linear light, reduced by Lanczos-3.
    Resize { input: String, to: [u32; 2] },
    /// Decoding or encoding.
    Codec { what: codec::What, jpeg: String, input: String },
}

const RUNS: usize = 3;

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let threads = match option(&mut args, "--threads")? {
        Some(n) => n.parse().map_err(|_| Error::new("--threads takes a number above 0"))?,
        None => std::thread::available_parallelism()?,
    };
    let [case, out] = args.as_slice() else {
        return Err(Error::new("a case file and an output path without extension are needed"));
    };
    let text = std::fs::read_to_string(case).map_err(|e| Error::new(format!("{case}: {e}")))?;
    let parsed: Case = serde_json::from_str(&text).map_err(|e| Error::new(format!("{case}: {e}")))?;
    let folder = Path::new(case).parent().unwrap_or(Path::new("."));
    let budget = Budget::of_bytes(8 << 30);
    let times = match parsed {
        Case::Blur { input, width, height, diameter } => {
            let size = size(width, height)?;
            let source = raw(&folder.join(input), size, &budget)?;
            let (times, made) = timed(|| blur::run(&source, diameter, threads, &budget))?;
            write_raw(out, &made)?;
            times
        }
        Case::Resize { input, to: [width, height] } => {
            let to = size(width, height)?;
            let source = codec::read(&folder.join(input), &budget)?.to_rgb(Primaries::Srgb, &budget)?;
            let (times, made) = timed(|| reduce(&source, to, threads, &budget))?;
            write_raw(out, &made)?;
            times
        }
        Case::Codec { what, jpeg, input } => {
            codec::run(what, &folder.join(jpeg), &folder.join(input), out, threads, &budget)?
        }
    };
    println!("{{\"work_s\": {:.5}, \"median_s\": {:.5}}}", times[0], times[times.len() / 2]);
    Ok(())
}

fn size(width: u32, height: u32) -> Result<PxSize, Error> {
    PxSize::new(width, height).ok_or_else(|| Error::new("the picture's size is out of range"))
}

/// Seconds of each run, the least first, and the last run's result.
fn timed<T>(work: impl Fn() -> Result<T, Error>) -> Result<([f64; RUNS], T), Error> {
    let mut last = None;
    let mut times = [0.0; RUNS];
    for time in &mut times {
        drop(last.take());
        let started = Instant::now();
        last = Some(work()?);
        *time = started.elapsed().as_secs_f64();
    }
    times.sort_by(f64::total_cmp);
    last.map(|made| (times, made)).ok_or_else(|| Error::new("nothing was run"))
}

/// A rectangle in bands from the top, made on so many threads; a single thread makes it in one.
fn bands<P: Pixel>(
    place: PxRect,
    threads: NonZeroUsize,
    make: &(dyn Fn(PxRect) -> Result<Image<P>, OverBudget> + Sync),
) -> Result<Vec<Image<P>>, OverBudget> {
    let number = if threads.get() == 1 { 1 } else { 4 * threads.get() };
    let height = (place.height().div_ceil(number).next_multiple_of(8)) as i64;
    let band = |i: i64| {
        let y = place.y0() + i * height;
        PxRect::new(place.x0(), y, place.x1(), (y + height).min(place.y1()))
    };
    let number = place.height().div_ceil(height as usize);
    share(threads, number, &|i| make(band(i as i64)))
}

/// The reduction, as a backdrop is drawn by it.
fn reduce(
    source: &Image<Rgb>,
    to: PxSize,
    threads: NonZeroUsize,
    budget: &Budget,
) -> Result<Vec<Image<Rgb>>, Error> {
    let from = source.place();
    let x = Along::fit(from.width() as u32, to.width());
    let y = Along::fit(from.height() as u32, to.height());
    let make = |band| Resampler::new(Filter::Lanczos3, x, y, Edge::Repeat, from, band).run(source, budget);
    Ok(bands(to.rect(), threads, &make)?)
}

fn raw(path: &Path, size: PxSize, budget: &Budget) -> Result<Image<Rgba>, Error> {
    let bytes = std::fs::read(path).map_err(|e| Error::new(format!("{}: {e}", path.display())))?;
    let mut image = Image::<Rgba>::whole(size, budget)?;
    if bytes.len() != 4 * image.samples().len() {
        return Err(Error::new(format!("{}: has not four floats for each pixel", path.display())));
    }
    for (s, b) in image.samples_mut().iter_mut().zip(bytes.as_chunks::<4>().0) {
        *s = f32::from_le_bytes(*b);
    }
    Ok(image)
}

fn write_raw<P: Pixel>(out: &str, bands: &[Image<P>]) -> Result<(), Error> {
    let path = format!("{out}.f32");
    let mut file = BufWriter::new(File::create(&path).map_err(|e| Error::new(format!("{path}: {e}")))?);
    for sample in bands.iter().flat_map(Image::samples) {
        file.write_all(&sample.to_le_bytes())?;
    }
    Ok(file.flush()?)
}
