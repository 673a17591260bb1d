//! The pixel kernels: pure functions from picture to picture.
//!
//! Promise of each: the result for a rectangle is the crop of the result for the whole, bit for bit. So sums
//! run in a fixed order, and what works on a coarser grid anchors it to the picture's origin.

pub mod aperture;
pub mod convolve;
pub mod filter;
pub mod form;
pub mod gauss;
pub mod grain;
pub mod lay;
pub mod over;
pub mod region;
pub mod resample;
pub(crate) mod simd;
pub mod tone;
pub mod warp;
