//! Renders the speed cases: many pieces, given as rectangles of whole pixels, over a backdrop, finished and written as
//! TIFF and JPEG, to be timed beside other programs that do the same.
//!
//! Geometry, filters, finish and output are those of the case's own definition: Lanczos-3, literal disc weights, linear sRGB.

use crate::error::Error;
use crate::option;
use files::encode::{Codes, Description, Encoder, Form, Packing, Queue, Sampling, Writer};
use files::{Channels, Depth, Limits};
use pixels::encode::{Encoder as Coder, Transfer, narrowed};
use pixels::{Budget, Image, Rgb, Rgba};
use render::keep::Nothing;
use render::{Job, Photograph, Sources};
use scene::{PieceId, TreatmentId};
use serde::Deserialize;
use staging::layout::{
    Aperture, Curve, Cut, Daylight, Drawn, Ground, Layout, Mixing, Ramp, Resampling, Tone, Toned,
};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::BufWriter;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Instant;
use units::{Digest, Mat3, Primaries, PxRect, PxSize, Vec3, math};

#[derive(Deserialize)]
struct Case {
    width: u32,
    height: u32,
    backdrop: String,
    pieces: Vec<Piece>,
    finish: Finish,
}

#[derive(Deserialize)]
struct Piece {
    cutout: String,
    x: i64,
    y: i64,
    width: u32,
    height: u32,
    blur: f64,
    gain: f64,
    tint: [f64; 3],
}

#[derive(Deserialize)]
struct Finish {
    exposure: f64,
    white: f64,
    vignette_start: f64,
    vignette_end: f64,
    vignette_tint: [f64; 3],
    lift: [f64; 3],
}

/// The case's files by name.
struct Files {
    paths: BTreeMap<Digest, PathBuf>,
    limits: Limits,
}

impl Files {
    fn read(&self, digest: Digest, budget: &Budget) -> Result<files::Photograph, render::Error> {
        let path = self.paths.get(&digest).cloned().unwrap_or_default();
        files::read(&path, &self.limits, budget).map_err(|e| told(&e))
    }
}

struct Shown(files::Photograph);

impl Photograph for Shown {
    fn size(&self) -> PxSize {
        self.0.size()
    }

    fn row(&self, x: usize, y: usize, out: &mut [Rgb]) {
        self.0.linear(Primaries::Srgb).rgb(x as u32, y as u32, out);
    }
}

impl Sources for Files {
    fn photograph(&self, source: Digest, budget: &Budget) -> Result<Arc<dyn Photograph>, render::Error> {
        Ok(Arc::new(Shown(self.read(source, budget)?)))
    }

    fn cut_out(&self, cut: Cut, budget: &Budget) -> Result<Arc<Image<Rgba>>, render::Error> {
        let photograph = self.read(cut.shot, budget)?;
        let covered = photograph.matte().map_err(|e| told(&e))?.covered();
        let image = photograph.linear(Primaries::Srgb).rgba_in(covered, budget).map_err(|e| told(&e))?;
        Ok(Arc::new(image))
    }
}

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let kind = option(&mut args, "--sources")?.unwrap_or_else(|| "png".to_owned());
    let threads = match option(&mut args, "--threads")? {
        Some(n) => n.parse().map_err(|_| Error::new("--threads takes a number above 0"))?,
        None => std::thread::available_parallelism()?,
    };
    let [case, out] = args.as_slice() else {
        return Err(Error::new("a case file and an output path without extension are needed"));
    };
    let started = Instant::now();
    let text = std::fs::read_to_string(case).map_err(|e| Error::new(format!("{case}: {e}")))?;
    let parsed: Case = serde_json::from_str(&text).map_err(|e| Error::new(format!("{case}: {e}")))?;
    let folder = Path::new(case).parent().unwrap_or(Path::new("."));
    let (layout, sources) = stage(&parsed, folder, &kind)?;
    let stages = write(&layout, &sources, Path::new(out), threads)?;
    let work = started.elapsed().as_secs_f64();
    println!("{{\"work_s\": {work:.3}, \"most_mb\": {}}}", stages >> 20);
    Ok(())
}

fn stage(case: &Case, folder: &Path, kind: &str) -> Result<(Layout, Files), Error> {
    let size = PxSize::new(case.width, case.height)
        .ok_or_else(|| Error::new("the picture's size is out of range"))?;
    let mut sources = Files { paths: BTreeMap::new(), limits: Limits::default() };
    let mut named = |name: &str| {
        let digest = Digest::of(name.as_bytes());
        sources.paths.insert(digest, folder.join(name));
        digest
    };
    let backdrop = named(&case.backdrop);
    let mut sizes = BTreeMap::new();
    let mut pieces = Vec::new();
    for (i, p) in case.pieces.iter().enumerate() {
        let name = Path::new(&p.cutout).with_extension(kind).to_string_lossy().into_owned();
        let shot = named(&name);
        let size = match sizes.get(&name) {
            Some(size) => *size,
            None => {
                let size = size_of_file(&folder.join(&name))?;
                sizes.insert(name.clone(), size);
                size
            }
        };
        let (sx, sy) = (
            f64::from(size.width()) / f64::from(p.width.max(1)),
            f64::from(size.height()) / f64::from(p.height.max(1)),
        );
        pieces.push(Drawn {
            piece: PieceId::from_number(i as u64 + 1),
            cut: Cut::of(shot, None, Mixing::Over),
            to_shot: Mat3::scaling(sx, sy) * Mat3::translation(-(p.x as f64), -(p.y as f64)),
            bounds: PxRect::new(p.x, p.y, p.x + i64::from(p.width), p.y + i64::from(p.height)),
            disc: p.blur,
            aperture: Aperture::Disc,
            gain: Vec3(p.tint) * math::exp2(p.gain),
            lit: None,
            veil: Vec3::default(),
            masks: Vec::new(),
            in_water: None,
        });
    }
    let f = &case.finish;
    let everywhere =
        |tone| Toned { treatment: TreatmentId::from_number(0), tone, strength: 1.0, weights: Vec::new() };
    let lift = f.lift;
    let toning = vec![
        everywhere(Tone::Curve(Curve::from_fn(|_, v| {
            let x = f.exposure * v;
            x * (1.0 + x / (f.white * f.white)) / (1.0 + x)
        }))),
        everywhere(Tone::Edge {
            factor: Vec3(f.vignette_tint),
            ramp: Ramp { from: f.vignette_start, to: f.vignette_end, before: 0.0, after: 1.0 },
        }),
        everywhere(Tone::Curve(Curve::from_fn(|c, v| {
            let e = Transfer::Srgb.encode(v.clamp(0.0, 1.0));
            Transfer::Srgb.decode(lift[c] + (1.0 - lift[c]) * e)
        }))),
    ];
    let layout = Layout {
        size,
        primaries: Primaries::Srgb,
        resampling: Resampling::Lanczos3,
        ground: Ground::Photograph { source: backdrop, to_source: Mat3::IDENTITY },
        daylight: Daylight::default(),
        pools: Vec::new(),
        shadows: Vec::new(),
        pieces,
        fields: Vec::new(),
        toning,
    };
    Ok((layout, sources))
}

/// Size of a picture, from the few bytes of its file that tell it.
fn size_of_file(path: &Path) -> Result<PxSize, Error> {
    let told = imagesize::size(path).map_err(|e| Error::new(format!("{}: {e}", path.display())))?;
    u32::try_from(told.width)
        .ok()
        .zip(u32::try_from(told.height).ok())
        .and_then(|(width, height)| PxSize::new(width, height))
        .ok_or_else(|| Error::new(format!("{}: its size is out of range", path.display())))
}

fn write(layout: &Layout, sources: &Files, out: &Path, threads: NonZeroUsize) -> Result<u64, Error> {
    let budget = Budget::of_bytes(8 << 30);
    let description = Description {
        size: layout.size,
        channels: Channels::Rgb,
        colour: Some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    let tiff = Encoder::new(description, Form::Tiff { depth: Depth::U16, packing: Packing::None })?;
    let jpeg = Encoder::new(description, Form::Jpeg { quality: 92, sampling: Sampling::Half })?;
    let former = Former::default();
    let queue = |encoder, extension: &str| -> Result<_, Error> {
        let file = former.replaced(Path::new(&format!("{}.{extension}", out.display())))?;
        Ok(Queue::new(Writer::new(encoder, BufWriter::with_capacity(1 << 20, file))?))
    };
    let (deep, shallow) = (queue(&tiff, "tif")?, queue(&jpeg, "jpg")?);
    let coder = Coder::of(Transfer::Srgb);
    // Codes of a band, used again for the next.
    let rooms = Mutex::new(Vec::<(Vec<u16>, Vec<u8>)>::new());
    let job = Job {
        layout,
        sources,
        keep: &Nothing,
        budget: &budget,
        threads,
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    job.bands(layout.size.rect(), &|band| {
        let samples = band.samples();
        let lock = || rooms.lock().unwrap_or_else(PoisonError::into_inner);
        let mut room = lock().pop().unwrap_or_default();
        let (u16s, u8s) = &mut room;
        u16s.resize(samples.len(), 0);
        u8s.resize(samples.len(), 0);
        coder.u16s(samples, u16s);
        narrowed(u16s, u8s);
        let first = band.place().y0() as u32;
        strips(&tiff, &deep, first, Codes::U16(u16s), &budget).map_err(|e| told(&e))?;
        strips(&jpeg, &shallow, first, Codes::U8(u8s), &budget).map_err(|e| told(&e))?;
        lock().push(room);
        Ok(())
    })?;
    for queue in [deep, shallow] {
        queue.into_writer().finish()?.into_inner().map_err(|e| Error::new(e.to_string()))?;
    }
    Ok(budget.most_taken())
}

/// Files whose places others have taken. They are removed on threads of their own: a system takes long to forget a large file,
/// and longer to close one that was emptied and written anew.
#[derive(Default)]
struct Former {
    removals: Mutex<Vec<JoinHandle<()>>>,
}

impl Former {
    /// A new file in the place of another, if there is one.
    fn replaced(&self, path: &Path) -> Result<File, Error> {
        let told = |e: std::io::Error| Error::new(format!("{}: {e}", path.display()));
        let aside = path.with_added_extension("former");
        if std::fs::rename(path, &aside).is_ok() {
            let removal = std::thread::spawn(move || drop(std::fs::remove_file(aside)));
            self.removals.lock().unwrap_or_else(PoisonError::into_inner).push(removal);
        }
        File::create(path).map_err(told)
    }
}

impl Drop for Former {
    fn drop(&mut self) {
        let removals = self.removals.get_mut().unwrap_or_else(PoisonError::into_inner);
        removals.drain(..).for_each(|removal| drop(removal.join()));
    }
}

/// Packs the rows of a band, which make whole strips, and hands them over.
fn strips(
    encoder: &Encoder,
    queue: &Queue<'_, BufWriter<File>>,
    first: u32,
    codes: Codes<'_>,
    budget: &Budget,
) -> Result<(), files::Error> {
    let rows = encoder.strip_rows();
    let samples = encoder.row_samples() * rows as usize;
    for (start, at) in (first..).step_by(rows as usize).zip((0..codes.len()).step_by(samples)) {
        let strip = encoder.strip(start, codes.part(at..(at + samples).min(codes.len())))?;
        queue.put(strip.into_owned(), budget)?;
    }
    Ok(())
}

fn told(e: &files::Error) -> render::Error {
    render::Error::Source {
        what: e.what().to_owned(),
        place: e.place().to_owned(),
        remedy: e.remedy().to_owned(),
    }
}
