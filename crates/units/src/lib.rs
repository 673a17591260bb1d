//! The vocabulary of measure: quantities that cannot be NaN or mixed up, pixel rectangles, 3x3
//! matrices, the primaries of the colour standards, content digests, and the portable float functions.
//!
//! Knows no formula of the model, no file and no pixel.
#![forbid(unsafe_code)]

pub mod digest;
pub mod math;
pub mod matrix;
pub mod primaries;
pub mod quantity;
pub mod rect;

pub use digest::{Digest, Digester};
pub use matrix::{Mat3, Vec3};
pub use primaries::Primaries;
pub use quantity::{Degrees, Kelvin, Metres, Millimetres, Mired, Pixels, PixelsPerMetre, Stops};
pub use rect::{PxRect, PxSize};
