//! The original files a picture is made of, and the backdrop among them.

use units::{Digest, Pixels, PxSize};

/// An original file, kept byte for byte in the picture's folder and named by its content.
#[derive(Clone, PartialEq, Debug)]
pub struct Source {
    /// Its file name in the folder it is kept in: a bare name, no path.
    pub file: String,
    /// What it was called where it came from.
    pub name: String,
    /// What it is for.
    pub kind: SourceKind,
    /// Its length in bytes.
    pub bytes: u64,
    /// The picture in it, as it stands upright; `None` where nobody has looked inside yet.
    pub size: Option<PxSize>,
    /// The artist's remark; may be empty.
    pub note: String,
}

/// What a source is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SourceKind {
    /// The photograph everything stands in.
    Backdrop,
    /// An exposure of a sitter or prop.
    Shot,
    /// The coverage of a shot.
    Matte,
    /// Made here by cutting a shot out: coverage, or the thing's own colour.
    Cutting,
    /// Anything else: a receipt, a note, a reference.
    Other,
}

/// The photograph everything stands in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Backdrop {
    /// Which source it is.
    pub source: Digest,
    /// The part of it that the format shows.
    pub window: Window,
    /// Left and right exchanged. The window and the camera are stated for the photograph as mirrored: it is
    /// mirrored first.
    pub mirrored: bool,
}

/// The part of the backdrop that the format shows, in backdrop pixels. It may reach beyond the photograph,
/// which is then extended. Its height follows from the format's shape, so that pixels stay square
/// whatever becomes of the format.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Window {
    /// Backdrop column at the format's left edge.
    pub left: Pixels,
    /// Backdrop row at the format's top edge.
    pub top: Pixels,
    /// Backdrop columns across the format's width.
    pub width: Pixels,
}
