//! A layout to a file: bands are rendered, encoded and packed on all threads, and written in order while others are still
//! being rendered, so that the picture is never in memory as a whole (unless its toning looks around).

use super::{Error, Kind};
use files::encode::{Codes, Description, Encoder, Form, Packing, Sampling, Writer};
use files::{Channels, Depth};
use pixels::encode::{Encoder as Curve, Transfer, between, convert_rgb, narrow};
use pixels::{Budget, Image, Rgb};
use render::{Job, Keep, Progress, Sources};
use staging::Layout;
use std::collections::BTreeMap;
use std::io::{Seek, Write};
use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use units::{Primaries, PxRect, PxSize};

/// The file that is wanted.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Finish {
    /// Format, with what it can be told.
    pub form: Form,
    /// The primaries of its colours. Integer codes have that space's own curve, floats are linear light.
    pub colours: Primaries,
    /// Pixels per inch, to be written into it.
    pub ppi: Option<f64>,
}

/// What works.
#[derive(Clone, Copy)]
pub struct Hands<'a> {
    /// How many threads.
    pub threads: NonZeroUsize,
    /// Memory for pixels.
    pub budget: &'a Budget,
    /// Where rasters are kept.
    pub keep: &'a dyn Keep,
    /// Set to true to call it off.
    pub cancel: &'a AtomicBool,
    /// Told the share that is done.
    pub progress: Progress<'a>,
}

/// What did not fit into the codes of a file, as shares of its pixels. Floats hold everything.
#[derive(Clone, Copy, PartialEq, Debug, Default, serde::Serialize)]
pub struct Clipped {
    /// Too colourful for the file's primaries.
    pub out_of_gamut_share: f64,
    /// Brighter than white.
    pub over_white_share: f64,
}

/// The curve that integer codes of some primaries have.
#[must_use]
pub const fn curve_of(primaries: Primaries) -> Transfer {
    match primaries {
        Primaries::Srgb | Primaries::DisplayP3 => Transfer::Srgb,
        Primaries::Rec2020 => Transfer::Bt2020,
        Primaries::Romm => Transfer::Romm,
    }
}

/// The form that a file's name promises; `None` where the name promises none that is written.
#[must_use]
pub fn form_of(path: &Path) -> Option<Form> {
    Some(match files::Format::promised_by(path)? {
        files::Format::Jpeg => Form::Jpeg { quality: 92, sampling: Sampling::Full },
        files::Format::Png => Form::Png { depth: Depth::U16 },
        files::Format::Tiff => Form::Tiff { depth: Depth::U16, packing: Packing::Deflate },
        files::Format::Exr => Form::Exr { depth: Depth::F16 },
        _ => return None,
    })
}

/// Renders the part `want` of a layout into a file: whole or not at all; what stood there before is replaced.
///
/// # Errors
/// Where a photograph or memory is missing, it was called off, or the disk refuses.
pub fn file(
    layout: &Layout,
    sources: &dyn Sources,
    want: PxRect,
    (path, finish): (&Path, &Finish),
    hands: &Hands<'_>,
) -> Result<Clipped, Error> {
    let mut stopped = None;
    let written = files::atomic::write(path, |out| {
        stream(layout, sources, want, (out, finish), hands).map_err(|e| match e {
            Stopped::Writing(e) => e,
            Stopped::Rendering(said, e) => {
                stopped = Some(said);
                e
            }
        })
    });
    match (written, stopped) {
        (_, Some(said)) => Err(said.into()),
        (Ok(clipped), None) => Ok(clipped),
        (Err(e), None) => Err(e.into()),
    }
}

/// Why no picture came of it.
enum Stopped {
    /// The file.
    Writing(files::Error),
    /// The picture; with what the unfinished file then says of itself.
    Rendering(render::Error, files::Error),
}

impl From<files::Error> for Stopped {
    fn from(e: files::Error) -> Self {
        Self::Writing(e)
    }
}

fn stream(
    layout: &Layout,
    sources: &dyn Sources,
    want: PxRect,
    (out, finish): (impl Write + Seek + Send, &Finish),
    hands: &Hands<'_>,
) -> Result<Clipped, Stopped> {
    let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    // An empty or endless rectangle is refused before; a file of one pixel would say so as well.
    let size = PxSize::new(side(want.width()), side(want.height()));
    let size = size.unwrap_or_else(|| PxSize::new(1, 1).expect("one pixel is a size"));
    let floats = matches!(finish.form, Form::Exr { .. } | Form::Tiff { depth: Depth::F32 | Depth::F16, .. });
    let transfer = if floats { Transfer::Linear } else { curve_of(finish.colours) };
    let description = Description {
        size,
        channels: Channels::Rgb,
        colour: Some((finish.colours, transfer)),
        ppi: finish.ppi,
    };
    let encoder = Encoder::new(description, finish.form)?;
    let convert = (layout.primaries != finish.colours).then(|| narrow(between(layout.primaries, finish.colours)));
    let counts = Counts::default();
    let queue = Queue {
        encoder: &encoder,
        curve: Curve::of(transfer),
        convert,
        counts: &counts,
        budget: hands.budget,
        first: want.y0(),
        height: size.height(),
        parts: Mutex::default(),
        order: Mutex::new(Order {
            writer: Some(Writer::new(&encoder, out)?),
            next: 0,
            waiting: BTreeMap::new(),
        }),
        failed: Mutex::new(None),
    };
    let job = Job {
        layout,
        sources,
        keep: hands.keep,
        budget: hands.budget,
        threads: hands.threads,
        cancel: hands.cancel,
        progress: hands.progress,
    };
    let rendered = job.bands(want, &|band| queue.take(band));
    if let Some(e) = queue.failed.into_inner().unwrap_or_else(PoisonError::into_inner) {
        return Err(Stopped::Writing(e));
    }
    let writer = queue.order.into_inner().unwrap_or_else(PoisonError::into_inner).writer;
    let finished = writer.expect("whoever took the writer gave it back").finish();
    match (rendered, finished) {
        (Ok(()), finished) => drop(finished?),
        // The rows that are missing are why the file is not whole.
        (Err(e), Err(unfinished)) => return Err(Stopped::Rendering(e, unfinished)),
        (Err(_), Ok(_)) => {}
    }
    let share = |n: &AtomicU64| n.load(Ordering::Relaxed) as f64 / want.area().max(1) as f64;
    Ok(if floats {
        Clipped::default()
    } else {
        Clipped { out_of_gamut_share: share(&counts.outside), over_white_share: share(&counts.over) }
    })
}

/// Pixels that did not fit.
#[derive(Default)]
struct Counts {
    outside: AtomicU64,
    over: AtomicU64,
}

/// Bands in, in any order from any thread; strips out, in order.
struct Queue<'e, W: Write + Seek> {
    encoder: &'e Encoder,
    curve: std::sync::Arc<Curve>,
    convert: Option<[[f32; 3]; 3]>,
    counts: &'e Counts,
    budget: &'e Budget,
    /// Row of the picture that is the file's first.
    first: i64,
    /// Rows of the file.
    height: u32,
    /// Strips that await rows of another band, by their first row: how many rows they have, and their codes.
    parts: Mutex<BTreeMap<u32, (u32, Owned)>>,
    order: Mutex<Order<'e, W>>,
    failed: Mutex<Option<files::Error>>,
}

struct Order<'e, W: Write + Seek> {
    /// With the thread that writes, while one does.
    writer: Option<Writer<'e, W>>,
    next: u32,
    /// Codes of strips that have not been written, paid for.
    waiting: BTreeMap<u32, (Owned, pixels::budget::Receipt)>,
}

/// Codes of some rows.
enum Owned {
    U8(Vec<u8>),
    U16(Vec<u16>),
    F32(Vec<f32>),
}

impl Owned {
    fn new(depth: Depth, len: usize) -> Self {
        match depth {
            Depth::U8 => Self::U8(vec![0; len]),
            Depth::U16 => Self::U16(vec![0; len]),
            Depth::F16 | Depth::F32 => Self::F32(vec![0.0; len]),
        }
    }

    fn codes(&self) -> Codes<'_> {
        match self {
            Self::U8(v) => Codes::U8(v),
            Self::U16(v) => Codes::U16(v),
            Self::F32(v) => Codes::F32(v),
        }
    }

    fn part(&self, range: std::ops::Range<usize>) -> Self {
        match self {
            Self::U8(v) => Self::U8(v[range].to_vec()),
            Self::U16(v) => Self::U16(v[range].to_vec()),
            Self::F32(v) => Self::F32(v[range].to_vec()),
        }
    }

    fn put(&mut self, at: usize, from: &Self, range: std::ops::Range<usize>) {
        let to = at..at + range.len();
        match (self, from) {
            (Self::U8(a), Self::U8(b)) => a[to].copy_from_slice(&b[range]),
            (Self::U16(a), Self::U16(b)) => a[to].copy_from_slice(&b[range]),
            (Self::F32(a), Self::F32(b)) => a[to].copy_from_slice(&b[range]),
            _ => unreachable!("all codes of a file are of one kind"),
        }
    }

    fn bytes(&self) -> u64 {
        match self {
            Self::U8(v) => v.len() as u64,
            Self::U16(v) => v.len() as u64 * 2,
            Self::F32(v) => v.len() as u64 * 4,
        }
    }
}

impl<'e, W: Write + Seek + Send> Queue<'e, W> {
    fn take(&self, band: &Image<Rgb>) -> Result<(), render::Error> {
        let codes = self.codes(band)?;
        let samples = self.encoder.row_samples();
        let first = (band.place().y0() - self.first) as u32;
        let past = (band.place().y1() - self.first) as u32;
        let height = self.height;
        let rows = self.encoder.strip_rows();
        let mut start = first / rows * rows;
        while start < past {
            let end = (start + rows).min(height);
            let (from, to) = (start.max(first), end.min(past));
            let range = (from - first) as usize * samples..(to - first) as usize * samples;
            if from == start && to == end {
                self.strip(start, codes.part(range))?;
            } else if let Some(whole) = self.piece_together(start, end, from, &codes, range) {
                self.strip(start, whole)?;
            }
            start = end;
        }
        Ok(())
    }

    /// Puts rows of a band to those of the strip that are there; the strip, where it is whole now.
    fn piece_together(
        &self,
        start: u32,
        end: u32,
        from: u32,
        codes: &Owned,
        range: std::ops::Range<usize>,
    ) -> Option<Owned> {
        let samples = self.encoder.row_samples();
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        let entry = parts
            .entry(start)
            .or_insert_with(|| (0, Owned::new(self.encoder.depth(), (end - start) as usize * samples)));
        entry.0 += (range.len() / samples) as u32;
        entry.1.put((from - start) as usize * samples, codes, range);
        if entry.0 == end - start { parts.remove(&start).map(|(_, whole)| whole) } else { None }
    }

    /// Hands a strip over. One thread at a time packs and writes all that can be written, without keeping the others from
    /// their rendering; it is one that would have to wait otherwise.
    fn strip(&self, start: u32, codes: Owned) -> Result<(), render::Error> {
        let receipt = self.budget.take(codes.bytes())?;
        let mut order = self.lock();
        order.waiting.insert(start, (codes, receipt));
        let Some(mut writer) = order.writer.take() else { return Ok(()) };
        while let Some((codes, _receipt)) = {
            let next = order.next;
            order.waiting.remove(&next)
        } {
            let next = order.next;
            drop(order);
            let packed = self.encoder.strip(next, codes.codes());
            let put = packed.and_then(|strip| writer.put(&strip));
            order = self.lock();
            if let Err(e) = put {
                order.writer = Some(writer);
                return Err(self.fail(e));
            }
            order.next = self.after(next);
        }
        order.writer = Some(writer);
        Ok(())
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Order<'e, W>> {
        self.order.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn after(&self, start: u32) -> u32 {
        (start + self.encoder.strip_rows()).min(self.height)
    }

    /// Keeps what the file said, and stops the rendering.
    fn fail(&self, e: files::Error) -> render::Error {
        let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
        failed.get_or_insert(e);
        render::Error::Cancelled
    }

    /// Linear light to the file's codes.
    fn codes(&self, band: &Image<Rgb>) -> Result<Owned, render::Error> {
        let converted;
        let band = match &self.convert {
            Some(matrix) => {
                let mut copy = band.crop(band.place(), self.budget)?;
                convert_rgb(matrix, copy.pixels_mut());
                converted = copy;
                &converted
            }
            None => band,
        };
        let samples = band.samples();
        let mut codes = Owned::new(self.encoder.depth(), samples.len());
        match &mut codes {
            Owned::U8(v) => self.curve.u8s(samples, v),
            Owned::U16(v) => self.curve.u16s(samples, v),
            Owned::F32(v) => v.copy_from_slice(samples),
        }
        if !matches!(codes, Owned::F32(_)) {
            self.count(band);
        }
        Ok(codes)
    }

    /// Counts what the codes could not hold. A hair beyond is what sums in 32 bits leave behind.
    fn count(&self, band: &Image<Rgb>) {
        const HAIR: f32 = 1e-3;
        let (mut outside, mut over) = (0u64, 0u64);
        for Rgb([r, g, b]) in band.pixels() {
            outside += u64::from(r.min(*g).min(*b) < -HAIR);
            over += u64::from(r.max(*g).max(*b) > 1.0 + HAIR);
        }
        self.counts.outside.fetch_add(outside, Ordering::Relaxed);
        self.counts.over.fetch_add(over, Ordering::Relaxed);
    }
}

/// That there is a file already, and it may not be replaced.
pub(crate) fn taken(path: &Path) -> Error {
    Error::new(
        Kind::Refused,
        "there is a file of this name already",
        path.display().to_string(),
        "give another name, or --over to replace it",
    )
}
