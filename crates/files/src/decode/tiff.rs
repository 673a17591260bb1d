//! TIFF 6.0 and its 64-bit variant: strips or tiles, chunky or planar, 8 and 16 bits and 32-bit floats; stored as
//! they are, by LZW, Deflate or PackBits.

mod layout;
mod unpack;

use super::Content;
use super::head::Head;
use crate::error::Error;
use crate::exif::{Exif, Orientation};
use crate::ifd::{Ifd, Ifds};
use crate::limits::Limits;
use crate::photograph::{Association, Channels, Colour, Depth, Samples};
use layout::{Layout, Sample};
use pixels::encode::Transfer;
use pixels::{Budget, Buffer};
use units::Primaries;

/// The directory of the main picture: the first that is not a reduced one, else the first.
fn main_directory<'a>(file: Ifds<'a>, first: u64) -> Result<Ifd<'a>, Error> {
    let main = file.read(first)?;
    let reduced = |ifd: &Ifd<'_>| ifd.number(254).ok().flatten().is_some_and(|kind| kind & 1 == 1);
    if reduced(&main) {
        let mut at = main.next();
        // A handful is enough, and a chain that bites its tail ends.
        for _ in 0..16 {
            if at == 0 {
                break;
            }
            let next = file.read(at)?;
            if !reduced(&next) && next.has(256) {
                return Ok(next);
            }
            at = next.next();
        }
    }
    Ok(main)
}

pub(super) fn head(bytes: &[u8], limits: &Limits) -> Result<Head, Error> {
    let (file, first) = Ifds::open(bytes)?;
    let ifd = main_directory(file, first)?;
    let side = |tag, name: &str| {
        ifd.number(tag)?.ok_or_else(|| Error::damaged(format!("no {name} is given"), format!("tag {tag}")))
    };
    let size = limits.size(side(256, "width")?, side(257, "height")?)?;
    let samples = ifd.number(277)?.unwrap_or(1);
    let depth = depth(&ifd, samples)?;
    let extra = ifd.numbers(338, 64)?.unwrap_or_default();
    let photometric = ifd.number(262)?.unwrap_or(if samples >= 3 { 2 } else { 1 });
    let mut warnings = Vec::new();
    let (channels, association) = channels(photometric, samples, &extra, &mut warnings)?;
    let mut head = Head::new(size, channels, depth);
    head.association = association;
    head.warnings = warnings;
    if ifd.has(34675) {
        let cut = || Error::damaged("the colour profile lies beyond the end of the file", "tag 34675");
        let icc = ifd.raw(34675).ok_or_else(cut)?;
        if icc.len() > limits.profile {
            head.warnings.push("the colour profile is too large and was not used".to_owned());
        } else {
            head.icc = Some(icc.to_vec());
        }
    }
    if head.icc.is_none() && matches!(depth, Depth::F16 | Depth::F32) {
        // Nobody writes floats to hold encoded values.
        head.colour = Colour::Known(Primaries::Srgb, Transfer::Linear);
        head.warnings
            .push("the file does not say what its floats mean; they are read as linear light".to_owned());
    }
    match Exif::of_ifd(file, &ifd) {
        Ok(exif) => head.take_exif(exif),
        Err(e) => head.warnings.push(format!("what the camera wrote cannot be read: {}", e.what())),
    }
    head.orientation = Orientation::of_number(ifd.number(274)?.unwrap_or(1));
    let per_inch = match ifd.number(296)?.unwrap_or(2) {
        2 => Some(1.0),
        3 => Some(2.54),
        _ => None,
    };
    head.ppi = ifd.real(282, 0).zip(per_inch).map(|(x, k)| x * k).filter(|&v| v > 0.0);
    Ok(head)
}

fn depth(ifd: &Ifd<'_>, samples: u64) -> Result<Depth, Error> {
    let bits = ifd.numbers(258, 64)?.unwrap_or_else(|| vec![1]);
    let kinds = ifd.numbers(339, 64)?.unwrap_or_else(|| vec![1]);
    let place = format!("{samples} samples a pixel of {bits:?} bits");
    let same = |v: &[u64]| v.iter().all(|b| *b == v[0]);
    if bits.is_empty() || kinds.is_empty() || !same(&bits) || !same(&kinds) {
        return Err(Error::unsupported("samples of different depth", place));
    }
    match (bits[0], kinds[0]) {
        (8, 1 | 4) => Ok(Depth::U8),
        (16, 1 | 4) => Ok(Depth::U16),
        (16, 3) => Ok(Depth::F16),
        (32, 3) => Ok(Depth::F32),
        (b, 3) => Err(Error::unsupported(format!("floating point of {b} bits"), place)),
        (b, 2) => Err(Error::unsupported(format!("signed numbers of {b} bits"), place)),
        (b, _) => Err(Error::unsupported(format!("samples of {b} bits"), place)),
    }
}

fn channels(
    photometric: u64,
    samples: u64,
    extra: &[u64],
    warnings: &mut Vec<String>,
) -> Result<(Channels, Association), Error> {
    let place = format!("photometric interpretation {photometric}, {samples} samples a pixel");
    let colours = match photometric {
        0 | 1 => 1,
        2 => 3,
        3 => return Err(Error::unsupported("a palette", place)),
        5 => 4,
        6 => return Err(Error::unsupported("YCbCr, as JPEG within TIFF uses", place)),
        8..=10 => return Err(Error::unsupported("CIE L*a*b* samples", place)),
        32803 | 34892 => return Err(Error::unsupported("raw sensor data", place)),
        _ => return Err(Error::unsupported("samples of an unknown meaning", place)),
    };
    if samples < colours {
        return Err(Error::damaged("too few samples a pixel for its colours", place));
    }
    if samples > 64 {
        return Err(Error::unsupported("more than 64 samples a pixel", place));
    }
    let beyond = samples - colours;
    if colours == 4 {
        if beyond > 0 {
            warnings.push(format!("{beyond} channels beside the inks were left out"));
        }
        return Ok((Channels::Cmyk, Association::Straight));
    }
    // 1: associated, 2: unassociated alpha; 0: not said. One nameless extra channel is taken for a matte.
    let association = match (beyond, extra.first()) {
        (0, _) => None,
        (_, Some(1)) => Some(Association::Associated),
        (_, Some(2)) => Some(Association::Straight),
        (1, None | Some(0)) => {
            warnings
                .push("the file does not say what its last channel is; it is read as coverage".to_owned());
            Some(Association::Straight)
        }
        _ => None,
    };
    let left = beyond - u64::from(association.is_some());
    if left > 0 {
        warnings.push(format!("{left} more channels than colour and coverage were left out"));
    }
    Ok(match (colours, association) {
        (1, None) => (Channels::Grey, Association::Straight),
        (1, Some(a)) => (Channels::GreyAlpha, a),
        (_, None) => (Channels::Rgb, Association::Straight),
        (_, Some(a)) => (Channels::Rgba, a),
    })
}

pub(super) fn pixels(
    bytes: Content<'_>,
    head: &Head,
    limits: &Limits,
    budget: &Budget,
) -> Result<Samples, Error> {
    let (file, first) = Ifds::open(&bytes)?;
    let invert = main_directory(file, first)?.number(262)?.unwrap_or(1) == 0;
    let channels = head.channels.count();
    Ok(match head.depth {
        Depth::U8 => {
            let mut v = stored::<u8>(bytes, head, limits, budget)?;
            if invert {
                invert_grey(&mut v, channels, |c| *c = !*c);
            }
            Samples::U8(v)
        }
        Depth::U16 => {
            let mut v = stored::<u16>(bytes, head, limits, budget)?;
            if invert {
                invert_grey(&mut v, channels, |c| *c = !*c);
            }
            Samples::U16(v)
        }
        Depth::F16 | Depth::F32 => {
            let mut v = if head.depth == Depth::F16 {
                let halves = stored::<u16>(bytes, head, limits, budget)?;
                let mut v = head.samples::<f32>(budget)?;
                v.iter_mut().zip(&*halves).for_each(|(v, &bits)| *v = half::f16::from_bits(bits).to_f32());
                v
            } else {
                stored::<f32>(bytes, head, limits, budget)?
            };
            if invert {
                invert_grey(&mut v, channels, |c| *c = 1.0 - *c);
            }
            Samples::F32(v)
        }
    })
}

/// The picture's samples as they are stored, in this machine's order of bytes: in the file's own memory where they lie there
/// one after the other.
fn stored<S: Sample>(
    bytes: Content<'_>,
    head: &Head,
    limits: &Limits,
    budget: &Budget,
) -> Result<Buffer<S>, Error> {
    let count = head.count();
    let unpacked = |layout: Layout<'_>| {
        let mut samples = head.samples(budget)?;
        layout.fill(&mut samples, budget)?;
        Ok(samples)
    };
    let own = match bytes {
        Content::Lent(bytes) => return unpacked(Layout::of(bytes, head, limits)?),
        Content::Own(own) => own,
    };
    let layout = Layout::of(&own, head, limits)?;
    let swapped = layout.swapped();
    match layout.in_a_row::<S>() {
        Some(first) if own.holds::<S>(first, count) => {
            let mut samples = own.seen_as::<S>(first, count);
            if swapped {
                samples.iter_mut().for_each(|s| *s = s.swapped());
            }
            Ok(samples)
        }
        _ => unpacked(layout),
    }
}

/// Where 0 is white, the grey is turned round; coverage is not.
fn invert_grey<S>(samples: &mut [S], channels: usize, turn: impl Fn(&mut S)) {
    for p in samples.chunks_exact_mut(channels) {
        turn(&mut p[0]);
    }
}
