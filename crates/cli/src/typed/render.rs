//! What can be said of a rendering.

use clap::{Args, ValueEnum};
use setpiece::commands::files::encode::{Packing as Packed, Sampling};
use setpiece::commands::quantity as q;
use setpiece::commands::render::DepthTold;
use setpiece::commands::units::{Primaries, PxRect};
use std::path::PathBuf;

/// Render the picture to a file
///
/// The file's name says the format: .tif, .png, .jpg or .exr. Colours are sRGB unless told otherwise; floats stay in the
/// picture's own primaries. What does not fit is clipped, and said.
#[derive(Args)]
#[command(after_help = "\
setpiece render marsh
setpiece render marsh -o proof.jpg --width 1800
setpiece render marsh -o face.png --region 2400,900,800,800
setpiece render marsh -o print.tif --colours rec2020 --packing lzw")]
pub(crate) struct Render {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    /// The file [default: out/NAME.tif in the picture's folder]
    #[arg(short, long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// A part of the picture, in its pixels
    #[arg(long, value_name = "X,Y,W,H", value_parser = q::region)]
    pub(crate) region: Option<PxRect>,
    #[command(flatten)]
    pub(crate) size: Size,
    /// The picture as this take shows it
    #[arg(long, value_name = "NAME")]
    pub(crate) take: Option<String>,
    /// Depth of the samples [default: 16; JPEG 8; OpenEXR half]
    #[arg(long, value_enum)]
    pub(crate) depth: Option<Depth>,
    /// Quality of a JPEG, 1 to 100 [default: 92]
    #[arg(long, value_name = "N", value_parser = crate::words::quality)]
    pub(crate) quality: Option<u8>,
    /// Colour detail of a JPEG [default: 444, all of it]
    #[arg(long, value_enum)]
    pub(crate) chroma: Option<Chroma>,
    /// How a TIFF is packed, always without loss [default: deflate]
    #[arg(long, value_enum)]
    pub(crate) packing: Option<Packing>,
    /// The primaries of the file
    #[arg(long, value_enum)]
    pub(crate) colours: Option<Colours>,
    /// Pixels per inch to note in the file [default: as the print]
    #[arg(long, value_name = "N", value_parser = q::ppi)]
    pub(crate) ppi: Option<f64>,
    /// Replace a file of the same name
    #[arg(long)]
    pub(crate) over: bool,
    #[command(flatten)]
    pub(crate) hands: Hands,
}

#[derive(Args)]
pub(crate) struct Size {
    /// Times this, as 0.25
    #[arg(long, value_name = "N", value_parser = q::scale, conflicts_with = "width")]
    pub(crate) scale: Option<f64>,
    /// The whole picture so many pixels wide
    #[arg(long, value_name = "PX", value_parser = crate::words::count)]
    pub(crate) width: Option<u32>,
}

#[derive(Args)]
pub(crate) struct Hands {
    /// Memory for pixels
    #[arg(long, value_name = "AMOUNT", default_value = "4GB", value_parser = q::memory)]
    pub(crate) memory: u64,
    /// Threads [default: one a processor]
    #[arg(long, value_name = "N", value_parser = crate::words::threads)]
    pub(crate) threads: Option<std::num::NonZeroUsize>,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Depth {
    /// 8 bits
    #[value(name = "8")]
    Bits8,
    /// 16 bits
    #[value(name = "16")]
    Bits16,
    /// Floats of 16 bits (OpenEXR)
    Half,
    /// Floats of 32 bits (TIFF, OpenEXR)
    Float,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Chroma {
    /// All colour detail
    #[value(name = "444")]
    Full,
    /// Half of it across
    #[value(name = "422")]
    HalfAcross,
    /// Half of it across and down
    #[value(name = "420")]
    Half,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Packing {
    /// Not at all: the quickest
    None,
    /// Read by everything
    Lzw,
    /// The smallest
    Deflate,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Colours {
    /// sRGB
    Srgb,
    /// Display P3
    P3,
    /// ITU-R BT.2020
    Rec2020,
    /// ROMM
    Romm,
}

impl From<Colours> for Primaries {
    fn from(c: Colours) -> Self {
        match c {
            Colours::Srgb => Self::Srgb,
            Colours::P3 => Self::DisplayP3,
            Colours::Rec2020 => Self::Rec2020,
            Colours::Romm => Self::Romm,
        }
    }
}

impl From<Depth> for DepthTold {
    fn from(d: Depth) -> Self {
        match d {
            Depth::Bits8 => Self::Bits8,
            Depth::Bits16 => Self::Bits16,
            Depth::Half => Self::Half,
            Depth::Float => Self::Float,
        }
    }
}

impl From<Chroma> for Sampling {
    fn from(c: Chroma) -> Self {
        match c {
            Chroma::Full => Self::Full,
            Chroma::HalfAcross => Self::HalfAcross,
            Chroma::Half => Self::Half,
        }
    }
}

impl From<Packing> for Packed {
    fn from(p: Packing) -> Self {
        match p {
            Packing::None => Self::None,
            Packing::Lzw => Self::Lzw,
            Packing::Deflate => Self::Deflate,
        }
    }
}
