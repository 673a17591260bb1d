//! Pictures to files, strip by strip, so that a picture can be written while it is still being made.
//!
//! [`Encoder::strip`] turns rows into a finished strip; it is pure and may run on several threads at once.
//! [`Writer::put`] takes the strips in order, a [`Queue`] before it in any order. [`Writer::rows`] makes and writes them for a
//! caller with one thread.

mod deflate;
mod exr;
mod huffman;
mod jpeg;
mod png;
mod queue;
mod tiff;

pub use queue::Queue;

use crate::error::{Error, Fault};
use crate::photograph::{Channels, Depth};
use pixels::encode::Transfer;
use std::borrow::Cow;
use std::io::{Seek, Write};
use units::{Primaries, PxSize};

/// What a picture is, whatever format it is written in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Description {
    /// Size in pixels.
    pub size: PxSize,
    /// Grey, RGB or RGBA. Coverage stands straight beside its colour, save in OpenEXR, which holds premultiplied
    /// light.
    pub channels: Channels,
    /// The colours that the codes mean, written as a profile; `None` for what has no colour, as a matte.
    pub colour: Option<(Primaries, Transfer)>,
    /// Pixels per inch.
    pub ppi: Option<f64>,
}

/// How TIFF data is packed. All are without loss.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Packing {
    /// As it is: the quickest by far.
    None,
    /// LZW with differences: read by everything.
    Lzw,
    /// Deflate with differences: the smallest.
    Deflate,
}

/// How much colour detail JPEG keeps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sampling {
    /// 4:4:4, all of it.
    Full,
    /// 4:2:2, half across.
    HalfAcross,
    /// 4:2:0, half across and down.
    Half,
}

/// The format to write, with what it can be told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// PNG of 8 or 16 bits.
    Png {
        /// Codes.
        depth: Depth,
    },
    /// TIFF of 8 or 16 bits, or 32-bit floats.
    Tiff {
        /// Codes.
        depth: Depth,
        /// How it is packed.
        packing: Packing,
    },
    /// JPEG, 8 bits.
    Jpeg {
        /// 1 to 100.
        quality: u8,
        /// Colour detail.
        sampling: Sampling,
    },
    /// OpenEXR of 16 or 32-bit floats, linear light, packed by Deflate.
    Exr {
        /// Floats.
        depth: Depth,
    },
}

/// Rows of samples, all channels, pixel by pixel.
#[derive(Clone, Copy, Debug)]
pub enum Codes<'a> {
    /// 8-bit codes.
    U8(&'a [u8]),
    /// 16-bit codes.
    U16(&'a [u16]),
    /// Floats: for TIFF and OpenEXR.
    F32(&'a [f32]),
}

impl<'a> Codes<'a> {
    /// Number of samples.
    #[must_use]
    #[allow(clippy::len_without_is_empty, reason = "a number, not a container")]
    pub const fn len(self) -> usize {
        match self {
            Self::U8(v) => v.len(),
            Self::U16(v) => v.len(),
            Self::F32(v) => v.len(),
        }
    }

    /// Those samples alone.
    ///
    /// # Panics
    /// Where they are not all there.
    #[must_use]
    pub fn part(self, range: std::ops::Range<usize>) -> Self {
        match self {
            Self::U8(v) => Self::U8(&v[range]),
            Self::U16(v) => Self::U16(&v[range]),
            Self::F32(v) => Self::F32(&v[range]),
        }
    }

    fn bytes(self) -> &'a [u8] {
        match self {
            Self::U8(v) => v,
            Self::U16(v) => bytemuck::cast_slice(v),
            Self::F32(v) => bytemuck::cast_slice(v),
        }
    }

    /// Bytes of a sample; tells the kinds apart as well.
    const fn width(self) -> usize {
        match self {
            Self::U8(_) => 1,
            Self::U16(_) => 2,
            Self::F32(_) => 4,
        }
    }
}

/// Turns rows into strips of a file. Pure: threads may share it.
#[derive(Debug)]
pub struct Encoder {
    description: Description,
    form: Form,
    way: Way,
}

#[derive(Debug)]
enum Way {
    Png,
    Tiff(tiff::Tiff),
    Jpeg(jpeg::Jpeg),
    Exr(exr::Exr),
}

/// Some rows as they will stand in the file. What is not packed is only borrowed.
#[derive(Debug)]
pub struct Strip<'a> {
    first_row: u32,
    rows: u32,
    bytes: Cow<'a, [u8]>,
}

impl Strip<'_> {
    /// The same strip with bytes of its own, free of the rows it was made from.
    #[must_use]
    pub fn into_owned(self) -> Strip<'static> {
        let Self { first_row, rows, bytes } = self;
        Strip { first_row, rows, bytes: Cow::Owned(bytes.into_owned()) }
    }
}

/// Rows of a strip where the format leaves the choice: small enough to stay in the cache, large enough to pack well.
const STRIP_ROWS: u32 = 32;

impl Encoder {
    /// For a picture and a format.
    ///
    /// # Errors
    /// Where the format does not hold such a picture.
    pub fn new(description: Description, form: Form) -> Result<Self, Error> {
        let refuse = |what: String| Err(Error::new(Fault::Refused, what, format!("{form:?}")));
        if !matches!(description.channels, Channels::Grey | Channels::Rgb | Channels::Rgba) {
            return refuse(format!("{:?} samples are not written", description.channels));
        }
        let way = match form {
            Form::Png { depth: Depth::U8 | Depth::U16 } => Way::Png,
            Form::Tiff { depth: depth @ (Depth::U8 | Depth::U16 | Depth::F32), packing } => {
                Way::Tiff(tiff::Tiff::new(depth, packing))
            }
            Form::Jpeg { quality: quality @ 1..=100, sampling } => {
                Way::Jpeg(jpeg::Jpeg::new(&description, quality, sampling)?)
            }
            Form::Jpeg { quality, .. } => {
                return refuse(format!("a quality of {quality}, which is not in 1..=100"));
            }
            Form::Exr { depth: depth @ (Depth::F16 | Depth::F32) } => {
                if description.colour.is_some_and(|(_, transfer)| transfer != Transfer::Linear) {
                    return refuse("OpenEXR holds linear light only".to_owned());
                }
                Way::Exr(exr::Exr { depth })
            }
            Form::Png { depth } | Form::Tiff { depth, .. } | Form::Exr { depth } => {
                return refuse(format!("samples of {depth:?} in this format"));
            }
        };
        Ok(Self { description, form, way })
    }

    /// Rows of every strip but the last, which holds what is left.
    #[must_use]
    pub const fn strip_rows(&self) -> u32 {
        match self.way {
            Way::Exr(_) => exr::BLOCK_ROWS,
            _ => STRIP_ROWS,
        }
    }

    /// Samples of a row.
    #[must_use]
    pub const fn row_samples(&self) -> usize {
        self.description.size.width() as usize * self.description.channels.count()
    }

    /// The kind of codes that it takes: what [`Codes`] must be.
    #[must_use]
    pub const fn depth(&self) -> Depth {
        match self.form {
            Form::Png { depth } | Form::Tiff { depth, .. } => depth,
            Form::Jpeg { .. } => Depth::U8,
            Form::Exr { .. } => Depth::F32,
        }
    }

    /// The strip that begins with this row, a multiple of [`Encoder::strip_rows`].
    ///
    /// # Errors
    /// Where the codes are not those of such a strip.
    pub fn strip<'a>(&self, first_row: u32, codes: Codes<'a>) -> Result<Strip<'a>, Error> {
        let height = self.description.size.height();
        let rows = self.strip_rows().min(height.saturating_sub(first_row));
        let wanted = rows as usize * self.row_samples();
        let kind = self.depth().bytes() as usize;
        if !first_row.is_multiple_of(self.strip_rows())
            || rows == 0
            || codes.len() != wanted
            || codes.width() != kind
        {
            let what = format!(
                "a strip of {} samples of {} bytes from row {first_row} where {wanted} of {kind} belong",
                codes.len(),
                codes.width()
            );
            return Err(Error::new(Fault::Refused, what, format!("{:?}", self.form)));
        }
        let bytes = match &self.way {
            Way::Png => png::strip(codes, &self.description).into(),
            Way::Tiff(tiff) => tiff.strip(codes, &self.description)?,
            Way::Jpeg(jpeg) => jpeg.strip(codes.bytes(), &self.description)?.into(),
            Way::Exr(exr) => exr.strip(first_row, codes, &self.description).into(),
        };
        Ok(Strip { first_row, rows, bytes })
    }
}

/// A file in the making.
pub struct Writer<'e, W: Write + Seek> {
    encoder: &'e Encoder,
    sink: Sink<W>,
    next_row: u32,
}

enum Sink<W: Write + Seek> {
    Png(png::File<W>),
    Tiff(tiff::File<W>),
    Jpeg(jpeg::File<W>),
    Exr(exr::File<W>),
}

pub(crate) fn disk(e: &std::io::Error) -> Error {
    Error::disk("cannot be written", std::path::Path::new("the file being written"), e)
}

impl<'e, W: Write + Seek> Writer<'e, W> {
    /// Writes what comes before the rows.
    ///
    /// # Errors
    /// Where the place to write to fails.
    pub fn new(encoder: &'e Encoder, out: W) -> Result<Self, Error> {
        let d = &encoder.description;
        let sink = match &encoder.way {
            Way::Png => png::File::begin(out, d, encoder.form).map(Sink::Png),
            Way::Tiff(tiff) => tiff::File::begin(out, d, tiff).map(Sink::Tiff),
            Way::Jpeg(jpeg) => jpeg::File::begin(out, jpeg).map(Sink::Jpeg),
            Way::Exr(exr) => exr::File::begin(out, d, exr).map(Sink::Exr),
        };
        Ok(Self { encoder, sink: sink.map_err(|e| disk(&e))?, next_row: 0 })
    }

    /// Writes the next strip.
    ///
    /// # Errors
    /// Where it is not the next one, or the place to write to fails.
    pub fn put(&mut self, strip: &Strip<'_>) -> Result<(), Error> {
        if strip.first_row != self.next_row {
            let what = format!("a strip from row {} where row {} is next", strip.first_row, self.next_row);
            return Err(Error::new(Fault::Refused, what, format!("{:?}", self.encoder.form)));
        }
        match &mut self.sink {
            Sink::Png(file) => file.put(&strip.bytes),
            Sink::Tiff(file) => file.put(&strip.bytes),
            Sink::Jpeg(file) => file.put(&strip.bytes),
            Sink::Exr(file) => file.put(&strip.bytes),
        }
        .map_err(|e| disk(&e))?;
        self.next_row += strip.rows;
        Ok(())
    }

    /// Turns rows into strips and writes them: as many rows as make whole strips, or all that are left.
    ///
    /// # Errors
    /// Where they do not make whole strips of the right kind, or the place to write to fails.
    pub fn rows(&mut self, codes: Codes<'_>) -> Result<(), Error> {
        let strip = self.encoder.row_samples() * self.encoder.strip_rows() as usize;
        for start in (0..codes.len()).step_by(strip) {
            let part = codes.part(start..(start + strip).min(codes.len()));
            let strip = self.encoder.strip(self.next_row, part)?;
            self.put(&strip)?;
        }
        Ok(())
    }

    /// Completes the file and gives back where it was written to.
    ///
    /// # Errors
    /// Where rows are missing, or the place to write to fails.
    pub fn finish(self) -> Result<W, Error> {
        let height = self.encoder.description.size.height();
        if self.next_row != height {
            let what = format!("the picture ends after {} of {height} rows", self.next_row);
            return Err(Error::new(Fault::Refused, what, format!("{:?}", self.encoder.form)));
        }
        match self.sink {
            Sink::Png(file) => file.finish(),
            Sink::Tiff(file) => file.finish(),
            Sink::Jpeg(file) => file.finish(),
            Sink::Exr(file) => file.finish(),
        }
        .map_err(|e| disk(&e))
    }
}

/// Writes a whole picture.
///
/// # Errors
/// As [`Encoder::new`], [`Writer::rows`] and [`Writer::finish`].
pub fn whole<W: Write + Seek>(
    out: W,
    description: Description,
    form: Form,
    codes: Codes<'_>,
) -> Result<W, Error> {
    let encoder = Encoder::new(description, form)?;
    let mut writer = Writer::new(&encoder, out)?;
    writer.rows(codes)?;
    writer.finish()
}
