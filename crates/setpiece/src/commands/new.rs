//! Beginning a picture.

use super::quantity::pixels_of;
use super::{Error, Kind};
use crate::{Picture, Timestamp};
use scene::{Format, Print};
use std::path::Path;
use units::{Millimetres, Primaries, PxSize};

/// What a new picture is to be.
#[derive(Clone, PartialEq, Debug)]
pub struct New {
    /// How large.
    pub extent: Extent,
    /// What it is called; the folder's name, where nothing is said.
    pub name: Option<String>,
    /// The working primaries.
    pub primaries: Primaries,
}

/// How large a picture is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Extent {
    /// So many pixels.
    Pixels(PxSize),
    /// As a print needs.
    Print(Print),
    /// Both: the pixels rule, the print is noted. They agree in shape.
    Both(PxSize, Print),
}

/// How large a picture is by what is said of it: pixels, the print, pixels to the inch. Two of them give the third; a print alone is
/// at 300 to the inch, the custom of the trade (no source).
///
/// # Errors
/// Where it does not say how large, or what it says does not agree.
pub fn extent(
    size: Option<PxSize>,
    print: Option<(Millimetres, Millimetres)>,
    ppi: Option<f64>,
) -> Result<Extent, Error> {
    let wording =
        |what: String, place: &str, remedy: &str| Err(Error::new(Kind::Wording, what, place, remedy));
    match (size, print) {
        (None, None) => wording(
            "it does not say how large the picture is to be".to_owned(),
            "--size or --print",
            "give --size 6000x4000, or --print 60x40cm --ppi 300",
        ),
        (None, Some((width, height))) => {
            Ok(Extent::Print(Print { width, height, ppi: ppi.unwrap_or(300.0) }))
        }
        (Some(size), None) => Ok(match ppi {
            None => Extent::Pixels(size),
            Some(ppi) => {
                let side =
                    |px: u32| Millimetres::new(f64::from(px) / ppi * 25.4).unwrap_or(Millimetres::ZERO);
                Extent::Both(size, Print { width: side(size.width()), height: side(size.height()), ppi })
            }
        }),
        (Some(size), Some((width, height))) => {
            let of_size = f64::from(size.width()) / (width.get() / 25.4);
            let print = Print { width, height, ppi: ppi.unwrap_or(of_size) };
            let sheet = in_mm(&print);
            let asked = format!("{} x {} pixels", size.width(), size.height());
            match pixels_of(&print) {
                Some(made) if agrees(made, size) => Ok(Extent::Both(size, print)),
                Some(made) if ppi.is_some() => wording(
                    format!(
                        "a print of {sheet} at {} pixels to the inch has {} x {} pixels, not {asked}",
                        scene::figure(print.ppi),
                        made.width(),
                        made.height()
                    ),
                    "--size, --print and --ppi",
                    "give two of them: the third follows",
                ),
                _ => wording(
                    format!("a print of {sheet} has another shape than {asked}"),
                    "--size and --print",
                    "give one of them, or both in the same shape",
                ),
            }
        }
    }
}

/// The sides of a print.
fn in_mm(print: &Print) -> String {
    format!("{} x {} mm", scene::figure(print.width.get()), scene::figure(print.height.get()))
}

/// Whether two sizes are the same, but for how a print's sides come out in whole pixels.
fn agrees(a: PxSize, b: PxSize) -> bool {
    let near = |a: u32, b: u32| a.abs_diff(b) <= 1 + b / 500;
    near(a.width(), b.width()) && near(a.height(), b.height())
}

/// Begins a picture in a folder that does not exist yet, or is empty.
///
/// # Errors
/// Where the folder holds something, the print is larger than a picture can be, or the disk refuses.
pub fn new(folder: &Path, new: &New, at: Timestamp) -> Result<Picture, Error> {
    let (size, print) = sized(new.extent)?;
    let named = || {
        // A folder given as `.` has its name from where it is.
        let whole = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
        whole.file_name().map_or_else(|| "picture".to_owned(), |n| n.to_string_lossy().into_owned())
    };
    // Asked before the lock is taken: taking it leaves a file, which has no business in somebody else's folder.
    let is_others = |entries: std::fs::ReadDir| {
        let names: Vec<_> = entries.filter_map(Result::ok).map(|e| e.file_name()).collect();
        !names.is_empty() && !names.iter().any(|n| n == ".lock")
    };
    if std::fs::read_dir(folder).is_ok_and(is_others) {
        return Err(Error::new(
            Kind::Files,
            "the folder is not empty",
            folder.display().to_string(),
            "name a folder that does not exist yet",
        ));
    }
    let name = new.name.clone().unwrap_or_else(named);
    let format = Format { size, print, primaries: new.primaries };
    Ok(Picture::create(folder, format, &name, at)?)
}

/// Pixels and print of an extent.
///
/// # Errors
/// Where the print is larger, or smaller, than a picture can be, or there are more pixels than are of use.
pub fn sized(extent: Extent) -> Result<(PxSize, Option<Print>), Error> {
    let (size, print) = match extent {
        Extent::Pixels(size) => (size, None),
        Extent::Print(print) => (of_print(&print)?, Some(print)),
        Extent::Both(size, print) => (size, Some(print)),
    };
    if size.area() <= MOST_PIXELS {
        return Ok((size, print));
    }
    let what = format!(
        "a picture of {} x {} pixels is larger than is of use: its file would take {:.0} GB",
        size.width(),
        size.height(),
        size.area() as f64 * 6.0 / 1e9
    );
    let remedy = "make at most 4000 megapixels; a wall, seen from some metres, is printed at 20 to 50 pixels to the inch";
    Err(Error::refused(what, if print.is_some() { "the print" } else { "--size" }, remedy))
}

/// Ten times what is printed large: beyond it a unit or a figure was mistyped (common practice, no source).
const MOST_PIXELS: u64 = 4_000_000_000;

fn of_print(print: &Print) -> Result<PxSize, Error> {
    pixels_of(print).ok_or_else(|| {
        Error::new(
            Kind::Refused,
            format!(
                "a print of {} at {} pixels to the inch is larger, or smaller, than a picture can be",
                in_mm(print),
                scene::figure(print.ppi)
            ),
            "the print",
            "choose a size and a resolution that make 1 to 1048576 pixels a side",
        )
    })
}
