//! What the camera wrote beside the picture (EXIF 2.32, CIPA DC-008).

use crate::error::Error;
use crate::ifd::{Ifd, Ifds};
use std::ops::RangeInclusive;
use units::{Metres, Millimetres, PxRect, PxSize};

/// The eight ways a picture may be stored (EXIF tag 0x0112): which side of the scene the first row and the first
/// column are.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Orientation {
    /// 1: as seen.
    #[default]
    AsSeen,
    /// 2: left and right exchanged.
    Mirrored,
    /// 3: turned by 180 degrees.
    HalfTurn,
    /// 4: upside down, mirrored.
    Flipped,
    /// 5: rows and columns exchanged.
    Transposed,
    /// 6: must be turned clockwise by 90 degrees to be seen upright.
    QuarterRight,
    /// 7: rows and columns exchanged about the other diagonal.
    Transversed,
    /// 8: must be turned anticlockwise by 90 degrees to be seen upright.
    QuarterLeft,
}

impl Orientation {
    /// From the number that EXIF and TIFF use; 1 for any other.
    #[must_use]
    pub const fn of_number(n: u64) -> Self {
        match n {
            2 => Self::Mirrored,
            3 => Self::HalfTurn,
            4 => Self::Flipped,
            5 => Self::Transposed,
            6 => Self::QuarterRight,
            7 => Self::Transversed,
            8 => Self::QuarterLeft,
            _ => Self::AsSeen,
        }
    }

    /// Whether width and height change places.
    #[must_use]
    pub const fn turns_sides(self) -> bool {
        matches!(self, Self::Transposed | Self::QuarterRight | Self::Transversed | Self::QuarterLeft)
    }

    /// The size as seen of a picture of this stored size.
    #[must_use]
    pub fn seen(self, stored: PxSize) -> PxSize {
        if self.turns_sides() {
            PxSize::new(stored.height(), stored.width()).expect("both sides are those of a size")
        } else {
            stored
        }
    }
}

/// What EXIF says. All of it is as the camera claims; whatever is missing or senseless is `None`.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Exif {
    /// How the stored picture must be turned to be seen upright. Already done in a decoded photograph.
    pub orientation: Orientation,
    /// Maker of the camera.
    pub make: Option<String>,
    /// Model of the camera.
    pub model: Option<String>,
    /// Model of the lens.
    pub lens: Option<String>,
    /// Focal length.
    pub focal: Option<Millimetres>,
    /// The focal length that gives the same angle of view on 36 x 24 mm (by the diagonal, CIPA DC-008).
    pub focal_on_35mm: Option<Millimetres>,
    /// F-number.
    pub f_number: Option<f64>,
    /// Exposure time in seconds.
    pub exposure: Option<f64>,
    /// ISO speed.
    pub iso: Option<u32>,
    /// Distance focused at.
    pub subject_distance: Option<SubjectDistance>,
    /// When it was taken, as written (`YYYY:MM:DD HH:MM:SS`), by the camera's clock.
    pub taken: Option<String>,
    /// Pixels per millimetre of sensor, across and down, of the stored picture.
    pub pixels_per_mm: Option<(f64, f64)>,
    /// The size in pixels as the camera recorded it; another size now means a cropped or reduced picture.
    pub recorded: Option<PxSize>,
    /// Digital zoom: the camera itself cropped by this factor.
    pub digital_zoom: Option<f64>,
    /// The part that the camera suggests to show (DNG DefaultCropOrigin and DefaultCropSize).
    pub crop: Option<PxRect>,
    /// What was written and cannot be, in words; it is left out above.
    pub odd: Vec<String>,
}

/// A distance from the camera to what it was focused at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum SubjectDistance {
    /// So far away.
    At(Metres),
    /// Beyond any measuring.
    Infinity,
}

/// Focal lengths, in millimetres.
const FOCAL: RangeInclusive<f64> = 0.5..=20_000.0;
const F_NUMBER: RangeInclusive<f64> = 0.4..=1_000.0;
/// Distances focused at, in metres: beyond is infinity, and would have been written so.
const FARTHEST: f64 = 100_000.0;
/// Sides and diagonals of sensors, in millimetres.
const SENSOR: RangeInclusive<f64> = 0.5..=1_000.0;
/// Of 36 x 24 mm.
const DIAGONAL_35MM: f64 = 43.27;
/// Pixels to a millimetre of sensor.
const DENSITY: RangeInclusive<f64> = 0.1..=100_000.0;

impl Exif {
    /// From an EXIF block: TIFF directories, with or without `Exif\0\0` before them.
    ///
    /// # Errors
    /// Where the block is not one. A picture can be read without it.
    pub fn read(block: &[u8]) -> Result<Self, Error> {
        let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
        let (file, first) = Ifds::open(block)?;
        Self::of_ifd(file, &file.read(first)?)
    }

    /// From the main directory of a file; the EXIF directory is looked up in it.
    pub(crate) fn of_ifd(file: Ifds<'_>, main: &Ifd<'_>) -> Result<Self, Error> {
        let camera = match main.number(0x8769)? {
            Some(at) => Some(file.read(at)?),
            None => None,
        };
        // Some writers put the camera's entries into the main directory.
        let dirs = || camera.iter().chain(std::iter::once(main));
        let positive = |tag| dirs().find_map(|d| d.real(tag, 0)).filter(|&v| v > 0.0);
        let text = |tag| dirs().find_map(|d| d.text(tag));
        let whole = |tag| dirs().find_map(|d| d.number(tag).ok().flatten());
        let mm = |tag| positive(tag).and_then(Millimetres::new);
        let size = |w, h| PxSize::new(u32::try_from(whole(w)?).ok()?, u32::try_from(whole(h)?).ok()?);
        let mut read = Self {
            orientation: Orientation::of_number(main.number(0x0112).ok().flatten().unwrap_or(1)),
            make: text(0x010f),
            model: text(0x0110),
            lens: text(0xa434),
            focal: mm(0x920a),
            focal_on_35mm: mm(0xa405),
            f_number: positive(0x829d),
            exposure: positive(0x829a),
            iso: whole(0x8827).and_then(|v| u32::try_from(v).ok()).filter(|&v| v > 0),
            subject_distance: camera.as_ref().and_then(subject_distance),
            taken: text(0x9003).or_else(|| text(0x0132)),
            pixels_per_mm: pixels_per_mm(positive(0xa20e), positive(0xa20f), whole(0xa210)),
            recorded: size(0xa002, 0xa003),
            digital_zoom: positive(0xa404).filter(|&z| z > 1.0),
            crop: crop(main),
            odd: Vec::new(),
        };
        read.doubt();
        Ok(read)
    }

    /// Leaves out what no camera can have meant. The bounds are wide: common practice, no source.
    fn doubt(&mut self) {
        let odd = &mut self.odd;
        if let Some(focal) = self.focal.take_if(|f| !FOCAL.contains(&f.get())) {
            odd.push(format!("a focal length of {focal}"));
        }
        if let Some(f) = self.f_number.take_if(|f| !F_NUMBER.contains(f)) {
            odd.push(format!("f/{f}"));
        }
        let nearest = self.focal.map_or(Metres::ZERO, Metres::from);
        let within = |d: Metres| d > nearest && d.get() <= FARTHEST;
        let at = |s: &mut SubjectDistance| matches!(s, SubjectDistance::At(d) if !within(*d));
        if let Some(SubjectDistance::At(distance)) = self.subject_distance.take_if(at) {
            odd.push(format!("focused at {distance}"));
        }
        // With the focal length the equivalent tells the sensor; without, it must at least be one itself.
        let focal = self.focal;
        let impossible = |e: &mut Millimetres| {
            let diagonal = focal.map(|f| DIAGONAL_35MM * (f.get() / e.get()));
            !FOCAL.contains(&e.get()) || diagonal.is_some_and(|d| !SENSOR.contains(&d))
        };
        if let Some(equivalent) = self.focal_on_35mm.take_if(impossible) {
            odd.push(format!("an equivalent of {equivalent} on 36 x 24 mm"));
        }
        if let Some((x, y)) =
            self.pixels_per_mm.take_if(|(x, y)| ![*x, *y].iter().all(|v| DENSITY.contains(v)))
        {
            odd.push(format!("a sensor of {x} x {y} pixels to the millimetre"));
        }
    }
}

/// Tag 0x9206 is a rational: numerator 0xffffffff means infinity, 0 means not known.
fn subject_distance(camera: &Ifd<'_>) -> Option<SubjectDistance> {
    let raw = camera.raw(0x9206).filter(|raw| raw.len() == 8)?;
    if raw[..4] == [0xff; 4] {
        return Some(SubjectDistance::Infinity);
    }
    camera.real(0x9206, 0).filter(|&d| d > 0.0).and_then(Metres::new).map(SubjectDistance::At)
}

/// Focal plane resolution; its unit is the inch unless tag 0xa210 says otherwise.
fn pixels_per_mm(x: Option<f64>, y: Option<f64>, unit: Option<u64>) -> Option<(f64, f64)> {
    let mm = match unit.unwrap_or(2) {
        2 => 25.4,
        3 => 10.0,
        4 => 1.0,
        5 => 0.001,
        _ => return None,
    };
    Some((x? / mm, y? / mm))
}

fn crop(main: &Ifd<'_>) -> Option<PxRect> {
    let at =
        |tag, i| main.real(tag, i).filter(|v| (0.0..=f64::from(PxSize::LIMIT)).contains(v)).map(|v| v as i64);
    let (x, y) = (at(0xc61f, 0)?, at(0xc61f, 1)?);
    let (w, h) = (at(0xc620, 0)?, at(0xc620, 1)?);
    let rect = PxRect::new(x, y, x + w, y + h);
    (!rect.is_empty()).then_some(rect)
}
