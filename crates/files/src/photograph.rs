//! A picture as its file holds it: encoded samples, and all that is needed to read them as light.

use crate::exif::Exif;
use crate::format::Format;
use crate::icc::Profile;
use pixels::Buffer;
use pixels::encode::Transfer;
use std::fmt;
use units::{Primaries, PxSize};

/// Samples of all channels, pixel by pixel, row by row from the top.
#[derive(PartialEq)]
pub enum Samples {
    /// Codes 0 to 255.
    U8(Buffer<u8>),
    /// Codes 0 to 65535.
    U16(Buffer<u16>),
    /// 1 is white; finite, not bounded.
    F32(Buffer<f32>),
}

impl fmt::Debug for Samples {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::U8(v) => write!(f, "{} samples of 8 bits", v.len()),
            Self::U16(v) => write!(f, "{} samples of 16 bits", v.len()),
            Self::F32(v) => write!(f, "{} samples of 32 bits", v.len()),
        }
    }
}

/// How deep a sample is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Depth {
    /// 8-bit codes.
    U8,
    /// 16-bit codes.
    U16,
    /// Floating point of 16 bits.
    F16,
    /// Floating point of 32 bits.
    F32,
}

impl Depth {
    /// Bytes of a sample in memory (a half is held as a whole float).
    pub(crate) const fn bytes(self) -> u64 {
        match self {
            Self::U8 => 1,
            Self::U16 => 2,
            Self::F16 | Self::F32 => 4,
        }
    }
}

/// What the samples of a pixel are.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Channels {
    /// Grey.
    Grey,
    /// Grey and coverage.
    GreyAlpha,
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue, coverage.
    Rgba,
    /// Cyan, magenta, yellow, black: 0 is no ink.
    Cmyk,
}

impl Channels {
    /// Samples a pixel.
    #[must_use]
    pub const fn count(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::GreyAlpha => 2,
            Self::Rgb => 3,
            Self::Rgba | Self::Cmyk => 4,
        }
    }

    /// Samples a pixel without coverage.
    #[must_use]
    pub const fn colours(self) -> usize {
        match self {
            Self::Grey | Self::GreyAlpha => 1,
            Self::Rgb | Self::Rgba => 3,
            Self::Cmyk => 4,
        }
    }

    /// Whether the last sample is coverage.
    #[must_use]
    pub const fn has_alpha(self) -> bool {
        matches!(self, Self::GreyAlpha | Self::Rgba)
    }
}

/// Whether colour stands beside its coverage or was multiplied by it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Association {
    /// Colour as if there were no coverage, or there is none.
    #[default]
    Straight,
    /// Encoded colour times coverage (TIFF associated alpha, OpenEXR).
    Associated,
}

/// What colours the samples mean.
#[derive(Clone, Debug)]
pub enum Colour {
    /// The file does not say; read as sRGB.
    Untagged,
    /// A standard's space, by its name or by a profile equal to it.
    Known(Primaries, Transfer),
    /// Primaries and white that the file gives by CIE 1931 xy.
    Measured {
        /// Red, green, blue.
        primaries: [(f64, f64); 3],
        /// White.
        white: (f64, f64),
        /// The curve.
        transfer: Transfer,
    },
    /// A profile that is none of the standards.
    Icc(Profile),
}

impl Colour {
    /// In words: a profile by what it calls itself, a standard's space, or `untagged`.
    #[must_use]
    pub fn name(&self) -> String {
        let curve = |transfer: &Transfer| match transfer {
            Transfer::Linear => "linear".to_owned(),
            Transfer::Srgb => "the sRGB curve".to_owned(),
            Transfer::Romm => "the ROMM curve".to_owned(),
            Transfer::Bt709 => "the Rec. 709 curve".to_owned(),
            Transfer::Bt2020 => "the Rec. 2020 curve".to_owned(),
            Transfer::Power(power) => format!("gamma {:.2}", power.exponent()),
        };
        match self {
            Self::Untagged => "untagged".to_owned(),
            Self::Known(Primaries::Srgb, Transfer::Srgb) => "sRGB".to_owned(),
            Self::Known(Primaries::DisplayP3, Transfer::Srgb) => "Display P3".to_owned(),
            Self::Known(Primaries::Rec2020, Transfer::Bt2020) => "Rec. 2020".to_owned(),
            Self::Known(Primaries::Romm, Transfer::Romm) => "ROMM".to_owned(),
            Self::Known(primaries, transfer) => {
                let primaries = match primaries {
                    Primaries::Srgb => "sRGB",
                    Primaries::DisplayP3 => "Display P3",
                    Primaries::Rec2020 => "Rec. 2020",
                    Primaries::Romm => "ROMM",
                };
                format!("{primaries} primaries, {}", curve(transfer))
            }
            Self::Measured { transfer, .. } => format!("primaries of the file's own, {}", curve(transfer)),
            Self::Icc(profile) => profile.description().to_owned(),
        }
    }
}

/// A decoded picture, upright as it was taken.
pub struct Photograph {
    pub(crate) format: Format,
    pub(crate) size: PxSize,
    pub(crate) channels: Channels,
    pub(crate) association: Association,
    pub(crate) samples: Samples,
    pub(crate) colour: Colour,
    pub(crate) profile: Option<Profile>,
    pub(crate) exif: Option<Exif>,
    pub(crate) ppi: Option<f64>,
    pub(crate) warnings: Vec<String>,
}

impl fmt::Debug for Photograph {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}x{} {:?} {:?} {:?}",
            self.format,
            self.size.width(),
            self.size.height(),
            self.channels,
            self.samples,
            self.colour
        )
    }
}

impl Photograph {
    /// The format it came in.
    #[must_use]
    pub const fn format(&self) -> Format {
        self.format
    }

    /// Size in pixels, upright.
    #[must_use]
    pub const fn size(&self) -> PxSize {
        self.size
    }

    /// What the samples of a pixel are.
    #[must_use]
    pub const fn channels(&self) -> Channels {
        self.channels
    }

    /// Whether colour was multiplied by coverage.
    #[must_use]
    pub const fn association(&self) -> Association {
        self.association
    }

    /// The samples as the file holds them, rows upright.
    #[must_use]
    pub const fn samples(&self) -> &Samples {
        &self.samples
    }

    /// What colours the samples mean.
    #[must_use]
    pub const fn colour(&self) -> &Colour {
        &self.colour
    }

    /// The embedded profile, also where it is equal to a standard's space.
    #[must_use]
    pub const fn profile(&self) -> Option<&Profile> {
        self.profile.as_ref()
    }

    /// What the camera wrote.
    #[must_use]
    pub const fn exif(&self) -> Option<&Exif> {
        self.exif.as_ref()
    }

    /// Pixels per inch, where the file says.
    #[must_use]
    pub const fn ppi(&self) -> Option<f64> {
        self.ppi
    }

    /// What was odd about the file but did not hinder reading it.
    #[must_use]
    pub fn warnings(&self) -> &[String] {
        &self.warnings
    }

    /// Depth of the samples in memory.
    #[must_use]
    pub const fn depth(&self) -> Depth {
        match self.samples {
            Samples::U8(_) => Depth::U8,
            Samples::U16(_) => Depth::U16,
            Samples::F32(_) => Depth::F32,
        }
    }
}

/// Primaries that a file gives by numbers: a standard's where they are its own within what files round to.
pub(crate) fn measured(primaries: [(f64, f64); 3], white: (f64, f64), transfer: Transfer) -> Colour {
    let near = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 5e-4 && (a.1 - b.1).abs() < 5e-4;
    let known = Primaries::ALL.into_iter().find(|p| {
        near(p.white(), white) && p.chromaticities().iter().zip(&primaries).all(|(&a, &b)| near(a, b))
    });
    match known {
        Some(known) => Colour::Known(known, transfer),
        None if crate::linear::rgb_to_xyz(primaries, white).is_some() => {
            Colour::Measured { primaries, white, transfer }
        }
        None => Colour::Untagged,
    }
}
