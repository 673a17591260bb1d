//! Handing a shot out to be worked on elsewhere, and taking its new version back: matte, facts, marks and nudges stay.

use super::incoming::{self, Incoming};
use super::measure::parts;
use super::render::Existing;
use super::{Done, Error, Kind, Layer, carry_out, cutouts, joining, write};
use crate::parts::Parts;
use crate::{Folder, Picture, Timestamp};
use files::encode::{self, Codes, Description, Form, Packing};
use files::{Channels, Colour, Depth, Format};
use pixels::Budget;
use pixels::encode::{Encoder as Curve, Transfer};
use scene::{CutOut, CutOutId, Edit, Put, Scene, SourceKind};
use serde::Serialize;
use std::path::{Path, PathBuf};
use units::{Digest, Primaries};

/// A shot that was handed out.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct HandedOut {
    /// The cut-out whose shot it is.
    pub cutout: String,
    /// The file.
    pub file: PathBuf,
    /// Its size.
    pub width_px: u32,
    /// As well.
    pub height_px: u32,
}

/// Writes the shot of a cut-out as TIFF of 16 bits, without loss, in its own primaries where they are known, else in those the
/// picture is worked in.
///
/// # Errors
/// Where there is no such cut-out, its shot cannot be read, the name is none of a TIFF, or it cannot be written.
pub fn out(
    scene: &Scene,
    folder: &Folder,
    (text, to): (&str, &Path),
    existing: Existing,
    budget: &Budget,
) -> Result<HandedOut, Error> {
    if Format::promised_by(to) != Some(Format::Tiff) {
        return Err(Error::new(
            Kind::Wording,
            "a shot is handed out as TIFF of 16 bits, and this name promises something else",
            to.display().to_string(),
            "give a name that ends in .tif",
        ));
    }
    super::out::allowed(to, (scene, folder), existing)?;
    let id = cutouts::named(scene, text)?;
    let cutout = &scene.cutouts()[&id];
    let shot = parts(scene, folder).read(cutout.shot, budget)?;
    let (primaries, transfer) = match shot.colour() {
        // Light itself, in 16 bits, would lose the shadows.
        Colour::Known(primaries, Transfer::Linear) => (*primaries, write::curve_of(*primaries)),
        Colour::Known(primaries, transfer) => (*primaries, *transfer),
        Colour::Untagged => (Primaries::Srgb, Transfer::Srgb),
        _ => (scene.format().primaries, write::curve_of(scene.format().primaries)),
    };
    let size = shot.size();
    let (channels, samples) = if shot.channels().has_alpha() {
        (Channels::Rgba, straight(shot.to_rgba(primaries, budget)?.samples()))
    } else {
        (Channels::Rgb, shot.to_rgb(primaries, budget)?.samples().to_vec())
    };
    drop(shot);
    let mut codes = vec![0; samples.len()];
    let curve = Curve::of(transfer);
    curve.u16s(&samples, &mut codes);
    if channels.has_alpha() {
        // Coverage has no curve.
        for (code, alpha) in codes.iter_mut().zip(&samples).skip(3).step_by(4) {
            *code = (alpha * 65535.0).round() as u16;
        }
    }
    let description = Description { size, channels, colour: Some((primaries, transfer)), ppi: None };
    let form = Form::Tiff { depth: Depth::U16, packing: Packing::Deflate };
    files::atomic::write(to, |out| encode::whole(out, description, form, Codes::U16(&codes)).map(drop))?;
    Ok(HandedOut {
        cutout: cutout.name.clone(),
        file: to.to_owned(),
        width_px: size.width(),
        height_px: size.height(),
    })
}

/// Colours as they are before they are multiplied by coverage.
fn straight(premultiplied: &[f32]) -> Vec<f32> {
    let each = premultiplied.chunks_exact(4).flat_map(|p| {
        let by = if p[3] > 0.0 { 1.0 / p[3] } else { 0.0 };
        [p[0] * by, p[1] * by, p[2] * by, p[3]]
    });
    each.collect()
}

/// Takes a new version of a cut-out's shot back. Every cut-out of that shot has it from then on; the old one stays in the folder.
///
/// # Errors
/// Where there is no such cut-out, the file cannot be read, or is of another size than the shot.
pub fn back(
    picture: &mut Picture,
    layer: Layer,
    (text, file): (&str, &Path),
    (budget, at): (&Budget, Timestamp),
) -> Result<Done, Error> {
    let seen = super::seen(picture.scene(), layer);
    let id = cutouts::named(&seen, text)?;
    let old = seen.cutouts()[&id].shot;
    let (new, read) = incoming::photograph(file, SourceKind::Shot, budget)?;
    let was = parts(&seen, picture.folder()).size(old)?;
    let place = file.display().to_string();
    if new.size != was {
        let of = |s: units::PxSize| format!("{} x {}", s.width(), s.height());
        return Err(Error::new(
            Kind::Files,
            format!(
                "the shot has {} pixels and its new version {}: matte and foot would not fit",
                of(was),
                of(new.size)
            ),
            place,
            "bring it back neither cropped nor resized",
        ));
    }
    let shown = |c: &&CutOut| c.shot == old;
    if !read.channels().has_alpha()
        && seen
            .cutouts()
            .values()
            .filter(shown)
            .any(|c| c.matte.is_none() && c.kind == scene::CutOutKind::Solid)
    {
        return Err(Error::new(
            Kind::Files,
            "the shot was cut out by its own alpha, and its new version has none",
            place,
            "bring it back with its alpha channel",
        ));
    }
    drop(read);
    if new.digest == old {
        return carry_out(picture, layer, at, |_| Ok(Edit::Group(Vec::new())));
    }
    let mut files = parts(&seen, picture.folder());
    files.add(new.digest, file.to_owned());
    let versions = versions(&seen, (&new, old), &files, budget)?;
    let all: Vec<&Incoming> =
        std::iter::once(&new).chain(versions.iter().flat_map(|v| v.made.iter())).collect();
    let mut edits = incoming::edits(&seen, &all);
    if let (Some(Edit::Source { put: Put::Add(source), .. }), Some(was)) =
        (edits.first_mut(), seen.sources().get(&old))
    {
        source.note = format!("a new version of {}", was.name);
    }
    let put = |v: &Version| Edit::CutOut { id: v.id, put: Put::Replace(Box::new(v.cutout.clone())) };
    edits.extend(versions.iter().map(put));
    let edit = Edit::Group(edits);
    let mut tried = seen;
    tried.apply(edit.clone()).map_err(|e| Error::from(e).named(&tried))?;
    incoming::copy(picture, &all)?;
    let mut done = carry_out(picture, layer, at, |_| Ok(edit))?;
    done.notes = new.warnings;
    Ok(done)
}

/// A cut-out with the new version of its shot, and what had to be made for it.
struct Version {
    id: CutOutId,
    cutout: CutOut,
    made: Vec<Incoming>,
}

/// Every cut-out of a shot, with its new version. Where a colour of its own was found in the old one, it is found anew, and what was joined
/// is joined again.
fn versions(
    scene: &Scene,
    (new, old): (&Incoming, Digest),
    files: &Parts,
    budget: &Budget,
) -> Result<Vec<Version>, Error> {
    let of_it = scene.cutouts().iter().filter(|(_, c)| c.shot == old);
    let each = of_it.map(|(id, c)| {
        let mut cutout = CutOut { shot: new.digest, ..c.clone() };
        if c.colour.is_none() {
            return Ok(Version { id: *id, cutout, made: Vec::new() });
        }
        let anew = joining::again(files, &cutout, None, budget)?;
        cutout.matte = Some(anew.matte.digest);
        cutout.colour = anew.colour.as_ref().map(|colour| colour.digest);
        Ok(Version { id: *id, cutout, made: std::iter::once(anew.matte).chain(anew.colour).collect() })
    });
    each.collect()
}
