//! Pictures in memory, with their colour state in the type, and the pure kernels that work on them.
//!
//! All colour here is **linear light** in some set of primaries; what has an alpha is **premultiplied**.
//! Encoded values exist only in [`encode`], on their way from and to files. Knows no metre, no scene, no
//! path and no thread; every buffer is paid for from a [`Budget`] before it is taken.

pub mod budget;
pub mod difference;
pub mod encode;
pub mod image;
pub mod kernel;

pub use budget::{Budget, Buffer, OverBudget};
pub use image::{Coverage, Image, Pixel, Rgb, Rgba};
