//! Which format a file has, told by its content alone.

use crate::error::{Error, Fault};
use std::fmt;
use std::path::Path;

/// The formats that are read.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Format {
    /// ISO/IEC 10918-1.
    Jpeg,
    /// ISO/IEC 15948.
    Png,
    /// TIFF 6.0, and its 64-bit variant.
    Tiff,
    /// RFC 9649.
    WebP,
    /// OpenEXR 2.
    Exr,
}

impl Format {
    /// By the first bytes.
    ///
    /// # Errors
    /// Where the content is none of the formats; common others are named.
    pub fn of(bytes: &[u8]) -> Result<Self, Error> {
        let starts = |magic: &[u8]| bytes.starts_with(magic);
        let format = if starts(&[0xff, 0xd8, 0xff]) {
            Self::Jpeg
        } else if starts(b"\x89PNG\r\n\x1a\n") {
            Self::Png
        } else if [b"II\x2a\0", b"MM\0\x2a", b"II\x2b\0", b"MM\0\x2b"].iter().any(|m| starts(*m)) {
            Self::Tiff
        } else if starts(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            Self::WebP
        } else if starts(&[0x76, 0x2f, 0x31, 0x01]) {
            Self::Exr
        } else {
            return Err(unknown(bytes));
        };
        Ok(format)
    }

    /// What the extension of a path promises, if it is one of ours.
    #[must_use]
    pub fn promised_by(path: &Path) -> Option<Self> {
        match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "jpg" | "jpeg" | "jpe" | "jfif" => Some(Self::Jpeg),
            "png" => Some(Self::Png),
            "tif" | "tiff" => Some(Self::Tiff),
            "webp" => Some(Self::WebP),
            "exr" => Some(Self::Exr),
            _ => None,
        }
    }

    /// The customary extension.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Tiff => "tif",
            Self::WebP => "webp",
            Self::Exr => "exr",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
            Self::Exr => "OpenEXR",
        })
    }
}

fn unknown(bytes: &[u8]) -> Error {
    let brand = bytes.get(4..12).unwrap_or_default();
    let guess = if bytes.is_empty() {
        "the file is empty"
    } else if brand.starts_with(b"ftyp") {
        match &brand[4..] {
            b"heic" | b"heix" | b"mif1" | b"msf1" => "an HEIF picture, which is not read",
            b"avif" | b"avis" => "an AVIF picture, which is not read",
            b"crx " => "a raw file of a camera, which is not read",
            _ => "a film or sound file",
        }
    } else if bytes.starts_with(b"GIF8") {
        "a GIF picture, which is not read"
    } else if bytes.starts_with(b"BM") {
        "a BMP picture, which is not read"
    } else if bytes.starts_with(b"%PDF") {
        "a PDF document, which is not read"
    } else if bytes.starts_with(&[0xff, 0x0a]) || bytes.starts_with(b"\0\0\0\x0cJXL ") {
        "a JPEG XL picture, which is not read"
    } else if bytes.iter().take(64).all(|b| b.is_ascii_graphic() || b.is_ascii_whitespace()) {
        "a text, not a picture"
    } else {
        "not a picture of a kind that is read"
    };
    Error::new(Fault::Unknown, guess, "first bytes of the file")
}
