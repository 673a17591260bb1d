//! A layout to a file: bands are rendered, encoded and packed on all threads, and written in order while others are still
//! being rendered, so that the picture is never in memory as a whole (unless its toning looks around).

mod queue;
mod rows;

use super::render::Existing;
use super::{Error, Kind};
use files::encode::{Codes, Description, Encoder, Form, Packing, Sampling, Writer};
use files::{Channels, Depth};
use pixels::Budget;
use pixels::encode::Transfer;
use queue::Queue;
use render::{Job, Keep, Progress, Sources};
use rows::Coder;
use staging::Layout;
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

impl<'a> Hands<'a> {
    /// The rendering of a layout by these hands.
    #[must_use]
    pub const fn job(&self, layout: &'a Layout, sources: &'a dyn Sources) -> Job<'a> {
        let Self { threads, budget, keep, cancel, progress } = *self;
        Job { layout, sources, keep, budget, threads, cancel, progress }
    }
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
    let written =
        files::atomic::write(path, |out| stream(layout, sources, want, (out, finish), hands, &mut stopped));
    match (written, stopped) {
        (_, Some(said)) => Err(said.into()),
        (Ok(clipped), None) => Ok(clipped),
        (Err(e), None) => Err(e.into()),
    }
}

fn stream(
    layout: &Layout,
    sources: &dyn Sources,
    want: PxRect,
    (out, finish): (impl Write + Seek + Send, &Finish),
    hands: &Hands<'_>,
    stopped: &mut Option<render::Error>,
) -> Result<Clipped, files::Error> {
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
    let writer = Writer::new(&encoder, out)?;
    let primaries = (layout.primaries, finish.colours);
    let coder = Coder::new(primaries, transfer, encoder.depth(), hands.budget);
    let queue = Queue::new(&encoder, writer, &coder, (want.y0(), size.height()));
    let job = hands.job(layout, sources);
    let rendered = job.bands(want, &|band| queue.take(band));
    let (writer, failed) = queue.into_parts();
    if let Some(e) = failed {
        return Err(e);
    }
    // Where the picture stopped, the file says that rows are missing, and is thrown away.
    *stopped = rendered.err();
    writer.finish()?;
    let share = |n: &AtomicU64| n.load(Ordering::Relaxed) as f64 / want.area().max(1) as f64;
    Ok(if floats {
        Clipped::default()
    } else {
        Clipped {
            out_of_gamut_share: share(&coder.counts.outside),
            over_white_share: share(&coder.counts.over),
        }
    })
}

/// Renders the part `want` of a layout for a screen, made of what `within`, all that the screen shows, is made of: codes of 8 bits by these primaries and their curve, red, green, blue and an alpha of
/// 255, row after row.
///
/// # Errors
/// Where a photograph or memory is missing, or it was called off.
pub fn screen(
    layout: &Layout,
    sources: &dyn Sources,
    (within, want): (PxRect, PxRect),
    colours: Primaries,
    hands: &Hands<'_>,
) -> Result<Vec<u8>, Error> {
    let coder = Coder::new((layout.primaries, colours), curve_of(colours), Depth::U8, hands.budget);
    let job = hands.job(layout, sources);
    let codes = Mutex::new(vec![0; 4 * want.area()]);
    job.part_of(within, want, &|band| {
        let rows = coder.rows(band)?;
        let Codes::U8(from) = rows.codes() else { return Ok(()) };
        let at = 4 * (band.place().y0() - want.y0()) as usize * want.width();
        let mut codes = codes.lock().unwrap_or_else(PoisonError::into_inner);
        for (to, from) in codes[at..].chunks_exact_mut(4).zip(from.chunks_exact(3)) {
            to[..3].copy_from_slice(from);
            to[3] = u8::MAX;
        }
        Ok(())
    })?;
    Ok(codes.into_inner().unwrap_or_else(PoisonError::into_inner))
}

/// Whether a result may be written to a file: it is none that it is made `from`, and none that another result goes to.
///
/// # Errors
/// Where it is, or where there is a file already that may not be replaced.
pub fn may_be(to: &Path, (from, beside): (&[&Path], &[&Path]), existing: Existing) -> Result<(), Error> {
    let place = || to.display().to_string();
    if from.iter().any(|f| is_same(f, to)) {
        let what = "this is what the result is made from, and stays as it is";
        return Err(Error::refused(what, place(), "give another name"));
    }
    if beside.iter().any(|b| is_same(b, to)) {
        return Err(Error::new(Kind::Wording, "two results cannot be one file", place(), "name two files"));
    }
    if existing == Existing::Keep && to.exists() {
        return Err(taken(to));
    }
    Ok(())
}

/// Whether two names mean one file; it need not be there yet.
fn is_same(a: &Path, b: &Path) -> bool {
    let meant = |path: &Path| {
        path.canonicalize().ok().or_else(|| {
            let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
            Some(folder.canonicalize().ok()?.join(path.file_name()?))
        })
    };
    a == b || meant(a).is_some_and(|a| Some(a) == meant(b))
}

/// That there is a file already, and it may not be replaced.
#[must_use]
pub fn taken(path: &Path) -> Error {
    Error::new(
        Kind::Refused,
        "there is a file of this name already",
        path.display().to_string(),
        "give another name, or --over to replace it",
    )
}
