//! Photographs from the disk into linear light and back: colour-true, bounded, robust against hostile files.
//!
//! [`decode()`] gives a [`Photograph`] that still holds the codes of its file; [`Photograph::linear`] reads them as
//! linear light in the working primaries, row by row. A file's content alone decides its format; what it declares
//! is checked against [`Limits`] and paid for from a `Budget` before memory is taken.
//!
//! The model's words on this are in docs/model.md, sections Colour and Files.
//! Never changes a colour unasked, never leaves half a file, knows nothing of what is in a picture.
#![forbid(unsafe_code)]

pub mod atomic;
mod decode;
mod digest;
pub mod encode;
mod error;
mod exif;
mod format;
mod icc;
mod ifd;
mod limits;
mod linear;
mod matte;
mod photograph;
mod regular;

pub use decode::{Probe, decode, fuzz_one, probe, probe_file, read, read_known};
pub use digest::digest;
pub use error::{Error, Fault, in_words};
pub use exif::{Exif, Orientation, SubjectDistance};
pub use format::Format;
pub use icc::Profile;
pub use limits::Limits;
pub use linear::Linear;
pub use matte::Matte;
pub use photograph::{Association, Channels, Colour, Depth, Photograph, Samples};
pub use regular::open;
