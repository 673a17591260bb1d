//! Beginning a picture.

use super::quantity::pixels_of;
use super::{Error, Kind};
use crate::{Picture, Timestamp};
use scene::{Format, Print};
use std::path::Path;
use units::{Primaries, PxSize};

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
    /// Both: the pixels rule, the print is noted.
    Both(PxSize, Print),
}

/// Begins a picture in a folder that does not exist yet, or is empty.
///
/// # Errors
/// Where the folder holds something, the print is larger than a picture can be, or the disk refuses.
pub fn new(folder: &Path, new: &New, at: Timestamp) -> Result<Picture, Error> {
    let (size, print) = match new.extent {
        Extent::Pixels(size) => (size, None),
        Extent::Print(print) => (of_print(&print)?, Some(print)),
        Extent::Both(size, print) => (size, Some(print)),
    };
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

fn of_print(print: &Print) -> Result<PxSize, Error> {
    pixels_of(print).ok_or_else(|| {
        Error::new(
            Kind::Refused,
            format!(
                "a print of {} x {} at {} pixels to the inch is larger, or smaller, than a picture can be",
                print.width, print.height, print.ppi
            ),
            "the print",
            "choose a size and a resolution that make 1 to 1048576 pixels a side",
        )
    })
}
