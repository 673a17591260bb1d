//! The one door through which files come in: content decides the format, declarations are checked against limits
//! and budget before memory is taken, and whatever a decoder does with a hostile file ends as an [`Error`].

#[cfg(feature = "exr")]
mod exr;
mod head;
mod jpeg;
mod orient;
mod png;
mod tiff;
#[cfg(feature = "webp")]
mod webp;

use crate::error::{Error, Fault};
use crate::exif::Exif;
use crate::format::Format;
use crate::icc::Profile;
use crate::limits::Limits;
use crate::photograph::{Channels, Colour, Depth, Photograph, Samples};
use crate::regular::open;
use head::Head;
use pixels::{Budget, Buffer};
use std::fs::File;
use std::io::Read;
use std::ops::Deref;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use units::{Digest, PxSize};

/// What a file is, told without decoding its pixels.
#[derive(Clone, Debug)]
pub struct Probe {
    /// By content, never by name.
    pub format: Format,
    /// Size in pixels as it will be seen, upright.
    pub size: PxSize,
    /// What the samples of a pixel are.
    pub channels: Channels,
    /// How deep a sample is in the file.
    pub depth: Depth,
    /// What the embedded profile calls itself, or the space that the file states in words, or `untagged`.
    pub colour: String,
    /// What the camera wrote.
    pub exif: Option<Exif>,
    /// Pixels per inch, where the file says.
    pub ppi: Option<f64>,
    /// What is odd about the file but does not hinder reading it.
    pub warnings: Vec<String>,
}

/// What a file is, without decoding its pixels.
///
/// # Errors
/// Where it is no picture of a kind that is read, or breaks the rules of its format, or is beyond the limits.
pub fn probe(bytes: &[u8], limits: &Limits) -> Result<Probe, Error> {
    guarded(|| {
        let format = Format::of(bytes)?;
        let head = head(format, bytes, limits)?;
        let mut warnings = head.warnings.clone();
        let (colour, profile) = colour_of(&head, &mut warnings)?;
        let named = match (&profile, &colour) {
            (Some(profile), _) => profile.description().to_owned(),
            (None, colour) => colour.name(),
        };
        Ok(Probe {
            format,
            size: head.orientation.seen(head.size),
            channels: head.channels,
            depth: head.depth,
            colour: named,
            exif: head.exif,
            ppi: head.ppi,
            warnings,
        })
    })
}

/// Decodes a picture. Its EXIF orientation is applied.
///
/// # Errors
/// Where it is no picture of a kind that is read, breaks the rules of its format or ends too soon, uses a part of
/// its format that is not read, is beyond the limits or the budget, or holds samples that are not finite.
pub fn decode(bytes: &[u8], limits: &Limits, budget: &Budget) -> Result<Photograph, Error> {
    decode_content(Content::Lent(bytes), limits, budget)
}

/// The bytes of a file.
enum Content<'a> {
    Lent(&'a [u8]),
    /// Samples that need no decoding may stay where they are.
    Own(Buffer<u8>),
}

impl Deref for Content<'_> {
    type Target = [u8];

    fn deref(&self) -> &[u8] {
        match self {
            Self::Lent(bytes) => bytes,
            Self::Own(bytes) => bytes,
        }
    }
}

fn decode_content(bytes: Content<'_>, limits: &Limits, budget: &Budget) -> Result<Photograph, Error> {
    guarded(|| {
        let format = Format::of(&bytes)?;
        let head = head(format, &bytes, limits)?;
        let mut warnings = head.warnings.clone();
        let (colour, profile) = colour_of(&head, &mut warnings)?;
        let samples = match format {
            Format::Jpeg => jpeg::pixels(&bytes, &head, budget)?,
            Format::Png => png::pixels(&bytes, &head, limits, budget)?,
            Format::Tiff => tiff::pixels(bytes, &head, limits, budget)?,
            #[cfg(feature = "webp")]
            Format::WebP => webp::pixels(&bytes, &head, budget)?,
            #[cfg(feature = "exr")]
            Format::Exr => exr::pixels(&bytes, &head, limits, budget)?,
            #[allow(unreachable_patterns, reason = "reached where a format is left out of the build")]
            other => return Err(left_out(other)),
        };
        if let Samples::F32(v) = &samples {
            all_finite(v, head.channels, head.size)?;
        }
        let samples = orient::upright(samples, head.size, head.channels.count(), head.orientation, budget)?;
        Ok(Photograph {
            format,
            size: head.orientation.seen(head.size),
            channels: head.channels,
            association: head.association,
            samples,
            colour,
            profile,
            exif: head.exif,
            ppi: head.ppi,
            warnings,
        })
    })
}

/// As [`probe`], of a file of the disk. A name that promises another format is a warning.
///
/// # Errors
/// Where it is no file or the disk refuses, and as [`probe`].
pub fn probe_file(path: &Path, limits: &Limits) -> Result<Probe, Error> {
    let (mut file, length) = open_within(path, limits)?;
    let mut bytes = vec![0; length as usize];
    file.read_exact(&mut bytes).map_err(|e| Error::unread(path, &e))?;
    let mut probe = probe(&bytes, limits).map_err(|e| e.in_file(path))?;
    probe.warnings.extend(misnamed(path, probe.format));
    Ok(probe)
}

/// Reads and decodes a file of the disk. A name that promises another format is a warning.
///
/// # Errors
/// Where it is no file or the disk refuses, and as [`decode`].
pub fn read(path: &Path, limits: &Limits, budget: &Budget) -> Result<Photograph, Error> {
    read_if(path, None, limits, budget)
}

/// As [`read`], of a file whose content is known: the very bytes that are decoded have this digest.
///
/// # Errors
/// As [`read`], and where the content is another.
pub fn read_known(
    path: &Path,
    known: &Digest,
    limits: &Limits,
    budget: &Budget,
) -> Result<Photograph, Error> {
    read_if(path, Some(known), limits, budget)
}

fn read_if(
    path: &Path,
    known: Option<&Digest>,
    limits: &Limits,
    budget: &Budget,
) -> Result<Photograph, Error> {
    let (mut file, length) = open_within(path, limits)?;
    let mut bytes =
        budget.buffer(length as usize).map_err(|e| Error::over_budget(e, path.display().to_string()))?;
    file.read_exact(&mut bytes).map_err(|e| Error::unread(path, &e))?;
    if known.is_some_and(|known| Digest::of(&bytes) != *known) {
        let what = "the file is not what it was: its content is another";
        return Err(Error::new(Fault::Changed, what, path.display().to_string()));
    }
    let mut photograph = decode_content(Content::Own(bytes), limits, budget).map_err(|e| e.in_file(path))?;
    photograph.warnings.extend(misnamed(path, photograph.format));
    Ok(photograph)
}

fn open_within(path: &Path, limits: &Limits) -> Result<(File, u64), Error> {
    let (file, length) = open(path)?;
    if length > limits.file {
        let what = format!("the file has {length} bytes, more than the limit of {}", limits.file);
        return Err(Error::new(Fault::TooLarge, what, path.display().to_string()));
    }
    Ok((file, length))
}

fn misnamed(path: &Path, format: Format) -> Option<String> {
    let promised = Format::promised_by(path).filter(|&p| p != format)?;
    Some(format!("the name says {promised}, the content is {format}"))
}

/// Probes and decodes whatever it is given within 64 MB: must never panic, hang or take more.
#[doc(hidden)]
pub fn fuzz_one(bytes: &[u8]) {
    let limits = Limits::default();
    let budget = Budget::of_bytes(64 << 20);
    let _probe = probe(bytes, &limits);
    if let Ok(photograph) = decode(bytes, &limits, &budget) {
        let _picture = photograph.to_rgba(units::Primaries::Rec2020, &budget);
        let _matte = photograph.to_coverage(&budget);
    }
    assert_eq!(budget.taken(), 0, "what was taken from the budget is given back");
}

/// Decoders of other authors are careful, but a file that trips one must not take the program with it.
fn guarded<T>(run: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    catch_unwind(AssertUnwindSafe(run)).unwrap_or_else(|_| {
        Err(Error::damaged("its content breaks the rules of its format", "somewhere in the file"))
    })
}

fn head(format: Format, bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    match format {
        Format::Jpeg => jpeg::head(bytes, limits),
        Format::Png => png::head(bytes, limits),
        Format::Tiff => tiff::head(bytes, limits),
        #[cfg(feature = "webp")]
        Format::WebP => webp::head(bytes, limits),
        #[cfg(feature = "exr")]
        Format::Exr => exr::head(bytes, limits),
        #[allow(unreachable_patterns, reason = "reached where a format is left out of the build")]
        other => Err(left_out(other)),
    }
}

fn left_out(format: Format) -> Error {
    Error::unsupported(format!("this program was built without {format}"), "first bytes of the file")
}

/// The colours that the samples mean, and the profile if there is a sound one that fits them.
fn colour_of(head: &Head, warnings: &mut Vec<String>) -> Result<(Colour, Option<Profile>), Error> {
    let ink = head.channels == Channels::Cmyk;
    let mut trouble = None;
    if let Some(icc) = &head.icc {
        match Profile::read(icc) {
            Ok(profile) if profile.samples() == head.channels.colours() => {
                let colour = profile
                    .known()
                    .map_or_else(|| Colour::Icc(profile.clone()), |(p, t)| Colour::Known(p, t));
                return Ok((colour, Some(profile)));
            }
            Ok(_) => {
                trouble = Some("the colour profile is for other channels than the picture has".to_owned())
            }
            Err(e) => trouble = Some(e.what().to_owned()),
        }
    }
    if ink {
        let what = match trouble {
            Some(trouble) => format!("CMYK ink whose colours cannot be known: {trouble}"),
            None => "CMYK ink without a colour profile: its colours cannot be known".to_owned(),
        };
        return Err(Error::unsupported(what, "its channels")
            .with_remedy("convert the picture to RGB in the program it comes from"));
    }
    if let Some(trouble) = trouble {
        warnings.push(format!("{trouble}; it is not used, the colours are read as sRGB"));
        return Ok((Colour::Untagged, None));
    }
    Ok((head.colour.clone(), None))
}

fn all_finite(samples: &[f32], channels: Channels, size: PxSize) -> Result<(), Error> {
    // A sum of products with zero is zero unless a sample is infinite or not a number.
    let clean = |run: &[f32]| run.iter().fold(0.0f32, |sum, v| sum + v * 0.0) == 0.0;
    if samples.chunks(4096).all(clean) {
        return Ok(());
    }
    let bad = |v: &&f32| !v.is_finite();
    let many = samples.iter().filter(bad).count();
    let first = samples.iter().position(|v| !v.is_finite()).unwrap_or(0) / channels.count();
    let (x, y) = (first % size.width() as usize, first / size.width() as usize);
    Err(Error::new(
        Fault::BadSamples,
        format!("{many} samples are infinite or not a number"),
        format!("the first at column {x}, row {y} of the stored picture"),
    ))
}
