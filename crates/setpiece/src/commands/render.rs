//! Rendering a picture, or a part of it, to a file.

use super::line_up::SnagReport;
use super::measure::measure;
use super::reading::primaries_name;
use super::write::{self, Clipped, Finish, Hands};
use super::{Error, Kind, names, out};
use crate::Folder;
use files::Depth;
use files::encode::{Form, Packing, Sampling};
use scene::Scene;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use units::{Primaries, PxRect};

/// What is to be rendered, and how.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Wanted {
    /// The file; NAME.tif in the picture's folder of deliveries, where nothing is said.
    pub to: Option<PathBuf>,
    /// The part of the picture, in the pixels of its format; the whole, where nothing is said.
    pub region: Option<PxRect>,
    /// How large.
    pub scale: Scale,
    /// The take, by name.
    pub take: Option<String>,
    /// What the file is told beyond what its name says.
    pub told: FinishTold,
    /// Whether a file of that name may be replaced.
    pub existing: Existing,
}

/// How large a rendering is.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Scale {
    /// As the format says.
    #[default]
    Whole,
    /// Times this.
    Times(f64),
    /// So many pixels wide (the whole picture, not the region).
    Width(u32),
}

/// What becomes of a file of the same name.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Existing {
    /// It stays, and nothing is rendered.
    #[default]
    Keep,
    /// It is replaced.
    Replace,
}

/// What a file is told; `None` is what suits its format.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct FinishTold {
    /// Depth of the samples.
    pub depth: Option<DepthTold>,
    /// JPEG: 1 to 100.
    pub quality: Option<u8>,
    /// JPEG: colour detail.
    pub sampling: Option<Sampling>,
    /// TIFF: how it is packed.
    pub packing: Option<Packing>,
    /// Primaries.
    pub colours: Option<Primaries>,
    /// Pixels per inch; the print's, where the picture states one.
    pub ppi: Option<f64>,
}

/// Depth of samples as it is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DepthTold {
    /// 8-bit codes.
    Bits8,
    /// 16-bit codes.
    Bits16,
    /// Floats of 16 bits.
    Half,
    /// Floats of 32 bits.
    Float,
}

/// What was rendered.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Rendered {
    /// The file.
    pub file: PathBuf,
    /// Its format.
    pub format: &'static str,
    /// Its width.
    pub width_px: u32,
    /// Its height.
    pub height_px: u32,
    /// Its primaries.
    pub colours: &'static str,
    /// Its length.
    pub bytes: u64,
    /// What was rendered: the take's name; none is the picture itself.
    pub take: Option<String>,
    /// Pieces in it.
    pub pieces: usize,
    /// What did not fit into its codes.
    pub clipped: Clipped,
    /// The most memory for pixels that was taken at once.
    pub pixel_memory_bytes: u64,
    /// What could not be drawn, or gives the picture away.
    pub snags: Vec<SnagReport>,
}

/// Renders a picture to a file: whole or not at all.
///
/// # Errors
/// Where the file is there already, its format is not written, the region is not in the picture, a photograph that is
/// needed is missing, memory or disk do not suffice, or it was called off.
pub fn render(scene: &Scene, folder: &Folder, wanted: &Wanted, hands: &Hands<'_>) -> Result<Rendered, Error> {
    let path =
        wanted.to.clone().unwrap_or_else(|| folder.out().join(format!("{}.tif", file_stem(scene.name()))));
    let finish = finish(scene, &path, &wanted.told)?;
    out::allowed(&path, (scene, folder), wanted.existing)?;
    let (seen, mut snags) = match &wanted.take {
        Some(name) => {
            let (seen, passed) = scene.seen_as(names::take(scene, name)?);
            let said = |r: &scene::Refused| SnagReport {
                what: format!("passed over: {}", r.what()),
                place: scene::fields_in_words(&scene::with_names(r.place(), scene)),
                remedy: r.remedy().to_owned(),
            };
            (seen, passed.iter().map(said).collect())
        }
        None => (scene.clone(), Vec::new()),
    };
    let measures = measure(&seen, folder, hands.budget);
    snags.extend(measures.unread.values().chain(&measures.backdrop).map(SnagReport::from));
    let resolved = staging::resolve(&seen, &measures.measured);
    snags.extend(resolved.snags.iter().map(SnagReport::from));
    let size = resolved.layout.size;
    let factor = match wanted.scale {
        Scale::Whole => 1.0,
        Scale::Times(factor) => factor,
        Scale::Width(width) => f64::from(width) / f64::from(size.width()),
    };
    let layout = if factor == 1.0 { Some(resolved.layout) } else { resolved.layout.scaled(factor) };
    let layout = layout.ok_or_else(|| {
        Error::new(
            Kind::Wording,
            format!(
                "{} x {} pixels times {} is no size a picture can have",
                size.width(),
                size.height(),
                scene::figure(factor)
            ),
            "the scale",
            "choose one that makes 1 to 1048576 pixels a side",
        )
    })?;
    let want = match wanted.region {
        None => layout.size.rect(),
        Some(region) => part(region, size.rect(), layout.size.rect())?,
    };
    if wanted.to.is_none() {
        // It may have been left out when the folder was copied.
        let out = folder.out();
        std::fs::create_dir_all(&out).map_err(crate::Error::disk("make the folder of deliveries", &out))?;
    }
    // What a rendering that was killed left there.
    files::atomic::sweep(out::folder_of(&path));
    let clipped = write::file(&layout, &measures.parts, want, (&path, &finish), hands)?;
    let bytes = std::fs::metadata(&path).map_or(0, |m| m.len());
    Ok(Rendered {
        format: format_name(finish.form),
        width_px: want.width() as u32,
        height_px: want.height() as u32,
        colours: primaries_name(finish.colours),
        bytes,
        take: wanted.take.clone(),
        // A piece with parts in front of others is drawn more than once.
        pieces: layout.pieces.iter().map(|d| d.piece).collect::<BTreeSet<_>>().len(),
        clipped,
        pixel_memory_bytes: hands.budget.most_taken(),
        snags,
        file: path,
    })
}

/// A region of the format in the pixels of a scaled picture: whatever pixels it touches.
fn part(region: PxRect, whole: PxRect, scaled: PxRect) -> Result<PxRect, Error> {
    if region.intersect(whole) != region {
        return Err(Error::new(
            Kind::Wording,
            format!(
                "the region reaches beyond the picture, which is {} x {} pixels",
                whole.width(),
                whole.height()
            ),
            format!("region {},{},{},{}", region.x0(), region.y0(), region.width(), region.height()),
            "choose a part of the picture, in the pixels of its format",
        ));
    }
    let sx = scaled.width() as f64 / whole.width() as f64;
    let sy = scaled.height() as f64 / whole.height() as f64;
    let lo = |v: i64, s: f64| (v as f64 * s).floor() as i64;
    let hi = |v: i64, s: f64| (v as f64 * s).ceil() as i64;
    let part =
        PxRect::new(lo(region.x0(), sx), lo(region.y0(), sy), hi(region.x1(), sx), hi(region.y1(), sy));
    Ok(part.intersect(scaled))
}

/// A file name out of a picture's: what no system minds.
fn file_stem(name: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || matches!(c, '-' | '_' | ' ') { c } else { '-' };
    let stem: String = name.chars().take(100).map(plain).collect();
    let stem = stem.trim();
    if stem.is_empty() { "picture".to_owned() } else { stem.to_owned() }
}

const fn format_name(form: Form) -> &'static str {
    match form {
        Form::Png { .. } => "PNG",
        Form::Tiff { .. } => "TIFF",
        Form::Jpeg { .. } => "JPEG",
        Form::Exr { .. } => "OpenEXR",
    }
}

/// The finish of a file of this name, as it is told. Colours are sRGB where nothing is said: what every reader shows rightly; floats stay
/// in the picture's own.
///
/// # Errors
/// Where the name promises no format that is written, or it is told what that has not.
pub fn finish(scene: &Scene, path: &Path, told: &FinishTold) -> Result<Finish, Error> {
    let wording = |what: String, place: &str, remedy: &str| Error::new(Kind::Wording, what, place, remedy);
    let form = write::form_of(path).ok_or_else(|| {
        let place = path.display().to_string();
        wording(
            "the file's name does not say a format that is written".to_owned(),
            &place,
            "end it in .tif, .png, .jpg or .exr",
        )
    })?;
    let depth = |d: DepthTold| match d {
        DepthTold::Bits8 => Depth::U8,
        DepthTold::Bits16 => Depth::U16,
        DepthTold::Half => Depth::F16,
        DepthTold::Float => Depth::F32,
    };
    let asked = told.depth.map(depth);
    let has_not = |what: &str, remedy: &str| {
        Err(wording(format!("{} has no {what}", format_name(form)), &path.display().to_string(), remedy))
    };
    if !matches!(form, Form::Jpeg { .. }) && (told.quality.is_some() || told.sampling.is_some()) {
        return has_not(
            "quality or chroma to choose: it keeps everything",
            "leave them out, or write a .jpg",
        );
    }
    if !matches!(form, Form::Tiff { .. }) && told.packing.is_some() {
        return has_not("packing to choose", "leave it out, or write a .tif");
    }
    let form = match form {
        Form::Jpeg { quality, sampling } => match asked {
            None | Some(Depth::U8) => Form::Jpeg {
                quality: told.quality.unwrap_or(quality),
                sampling: told.sampling.unwrap_or(sampling),
            },
            Some(_) => return has_not("more than 8 bits", "leave the depth out, or write a .tif or .png"),
        },
        Form::Png { depth } => match asked {
            Some(Depth::F16 | Depth::F32) => return has_not("floats", "write a .tif or .exr"),
            asked => Form::Png { depth: asked.unwrap_or(depth) },
        },
        Form::Tiff { depth, packing } => match asked {
            Some(Depth::F16) => return has_not("half floats here", "ask for float, or write an .exr"),
            asked => Form::Tiff { depth: asked.unwrap_or(depth), packing: told.packing.unwrap_or(packing) },
        },
        Form::Exr { depth } => match asked {
            Some(Depth::U8 | Depth::U16) => {
                return has_not("whole-number samples", "ask for half or float, or write a .tif or .png");
            }
            asked => Form::Exr { depth: asked.unwrap_or(depth) },
        },
    };
    let floats = matches!(form, Form::Exr { .. } | Form::Tiff { depth: Depth::F32, .. });
    let own = scene.format().primaries;
    let colours = told.colours.unwrap_or(if floats { own } else { Primaries::Srgb });
    let ppi = told.ppi.or(scene.format().print.map(|p| p.ppi));
    Ok(Finish { form, colours, ppi })
}
