//! Which stretches of a piece's edge can be seen in the picture, and where care in cutting it out is well spent.

use super::measure::measure;
use super::render::Existing;
use super::write::Hands;
use super::{Error, Kind, names, out};
use crate::Folder;
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth};
use pixels::{Coverage, Image};
use render::edges::{Stretch, edges};
use scene::Scene;
use serde::Serialize;
use std::path::{Path, PathBuf};
use ts_rs::TS;
use units::PxSize;

/// What is wanted.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Wanted {
    /// The piece, by name or number.
    pub piece: String,
    /// The take, by name.
    pub take: Option<String>,
    /// Where the map goes: a PNG.
    pub map: Option<PathBuf>,
    /// Whether a file of that name may be replaced.
    pub existing: Existing,
}

/// The edge of a piece as the picture shows it.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Report {
    /// The piece's name.
    pub piece: String,
    /// The map.
    pub map: Option<PathBuf>,
    /// Of the piece's shot, and of the map.
    pub width_px: u32,
    /// As well.
    pub height_px: u32,
    /// How long the edge is in the picture.
    pub length_px: f64,
    /// The share of it that can be seen, sharp or not.
    pub seen_share: f64,
    /// All stretches, those to be seen most first.
    pub stretches: Vec<StretchReport>,
}

/// A stretch of the edge.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct StretchReport {
    /// Where it is in the shot.
    pub shot_px: [f64; 2],
    /// Where it is in the picture.
    pub picture_px: [f64; 2],
    /// How long it is in the picture.
    pub length_px: f64,
    /// The share of it that nothing nearer covers, and that is in the picture.
    pub seen_share: f64,
    /// Diameter of its blur disc in the picture.
    pub blur_px: f64,
    /// Pixels of the picture to one of the shot.
    pub size_factor: f64,
    /// What defocus leaves of an error's steepness.
    pub sharp_share: f64,
    /// How far the piece differs from what is behind it there, on the eye's scale.
    pub contrast_share: f64,
    /// Pixels of edge times what is seen, sharp, and contrast.
    pub attention: f64,
}

impl From<&Stretch> for StretchReport {
    fn from(s: &Stretch) -> Self {
        Self {
            shot_px: [s.shot.0, s.shot.1],
            picture_px: [s.picture.0, s.picture.1],
            length_px: s.length,
            seen_share: s.seen,
            blur_px: s.disc,
            size_factor: s.size,
            sharp_share: s.sharp,
            contrast_share: s.contrast,
            attention: s.attention,
        }
    }
}

/// Looks along the edge of a piece; the map is written where one is wanted, whole or not at all.
///
/// # Errors
/// Where no piece is called so, it is not drawn or has no edge, a photograph is missing, the map's name promises no PNG or is taken,
/// memory or disk do not suffice, or it was called off.
pub fn look(scene: &Scene, folder: &Folder, wanted: &Wanted, hands: &Hands<'_>) -> Result<Report, Error> {
    if let Some(map) = &wanted.map {
        if files::Format::promised_by(map) != Some(files::Format::Png) {
            return Err(Error::new(
                Kind::Wording,
                "the map is a PNG, and this name does not promise one",
                map.display().to_string(),
                "give a name that ends in .png",
            ));
        }
        out::allowed(map, (scene, folder), wanted.existing)?;
    }
    let seen = match &wanted.take {
        Some(name) => scene.seen_as(names::take(scene, name)?).0,
        None => scene.clone(),
    };
    let piece = names::piece(&seen, &wanted.piece)?;
    let name = seen.pieces().get(&piece).map_or_else(|| wanted.piece.clone(), |p| p.name.clone());
    let measures = measure(&seen, folder, hands.budget);
    let layout = staging::resolve(&seen, &measures.measured).layout;
    let drawings: Vec<usize> = layout
        .pieces
        .iter()
        .enumerate()
        .filter(|(_, d)| d.piece == piece && d.in_water.is_none())
        .map(|(i, _)| i)
        .collect();
    let Some(cut) = drawings.first().map(|i| layout.pieces[*i].cut) else {
        return Err(Error::refused(
            "the piece is not drawn in this picture, so nothing of its edge can be seen",
            name,
            "show it, or see with `check` what keeps it out",
        ));
    };
    let job = hands.job(&layout, &measures.parts);
    let Some(found) = edges(&job, &drawings)? else {
        return Err(Error::refused(
            "the piece only adds light: it has no edge",
            name,
            "name a piece that covers what is behind it",
        ));
    };
    let size = measures.parts.size(cut.shot)?;
    if let Some(path) = &wanted.map {
        write(path, size, &found.map.crop(size.rect(), hands.budget)?)?;
    }
    let sum = |f: &dyn Fn(&Stretch) -> f64| found.stretches.iter().map(f).sum::<f64>();
    let length_px = sum(&|s| s.length);
    Ok(Report {
        piece: name,
        map: wanted.map.clone(),
        width_px: size.width(),
        height_px: size.height(),
        length_px,
        seen_share: if length_px > 0.0 { sum(&|s| s.length * s.seen) / length_px } else { 0.0 },
        stretches: found.stretches.iter().map(StretchReport::from).collect(),
    })
}

fn write(path: &Path, size: PxSize, map: &Image<Coverage>) -> Result<(), Error> {
    let codes: Vec<u16> = map.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
    let grey = Description { size, channels: Channels::Grey, colour: None, ppi: None };
    let form = Form::Png { depth: Depth::U16 };
    files::atomic::write(path, |out| encode::whole(out, grey, form, Codes::U16(&codes)).map(drop))?;
    Ok(())
}
