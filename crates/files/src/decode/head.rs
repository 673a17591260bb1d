//! What the beginning of a file tells, whatever its format.

use crate::error::Error;
use crate::exif::{Exif, Orientation};
use crate::photograph::{Association, Channels, Colour, Depth};
use pixels::budget::Sample;
use pixels::{Budget, Buffer};
use units::PxSize;

pub(super) struct Head {
    /// As stored, before the orientation is applied.
    pub(super) size: PxSize,
    pub(super) channels: Channels,
    pub(super) association: Association,
    pub(super) depth: Depth,
    /// An embedded profile, not yet read.
    pub(super) icc: Option<Vec<u8>>,
    /// What the file says about its colours where it has no profile.
    pub(super) colour: Colour,
    pub(super) exif: Option<Exif>,
    pub(super) orientation: Orientation,
    pub(super) ppi: Option<f64>,
    pub(super) warnings: Vec<String>,
}

impl Head {
    pub(super) const fn new(size: PxSize, channels: Channels, depth: Depth) -> Self {
        Self {
            size,
            channels,
            association: Association::Straight,
            depth,
            icc: None,
            colour: Colour::Untagged,
            exif: None,
            orientation: Orientation::AsSeen,
            ppi: None,
            warnings: Vec::new(),
        }
    }

    /// Takes in an EXIF block; a damaged one is a warning.
    pub(super) fn read_exif(&mut self, block: &[u8]) {
        match Exif::read(block) {
            Ok(exif) => {
                self.orientation = exif.orientation;
                self.take_exif(exif);
            }
            Err(e) => self.warnings.push(format!("what the camera wrote cannot be read: {}", e.what())),
        }
    }

    /// Takes in what the camera wrote; what cannot be is a warning.
    pub(super) fn take_exif(&mut self, exif: Exif) {
        let told = |odd: &String| format!("the file's EXIF is not believed: {odd}");
        self.warnings.extend(exif.odd.iter().map(told));
        self.exif = Some(exif);
    }

    /// Samples of the whole picture.
    pub(super) const fn count(&self) -> usize {
        self.size.area() as usize * self.channels.count()
    }

    /// Room for the samples of the whole picture, all zero.
    pub(super) fn samples<S: Sample>(&self, budget: &Budget) -> Result<Buffer<S>, Error> {
        budget.zeroed(self.count()).map_err(|e| {
            let (width, height) = (self.size.width(), self.size.height());
            Error::over_budget(e, format!("the samples of a picture of {width} x {height}"))
        })
    }

    /// Bytes of a row of samples as stored in memory.
    pub(super) const fn row_bytes(&self) -> usize {
        self.size.width() as usize * self.channels.count() * self.depth.bytes() as usize
    }
}
