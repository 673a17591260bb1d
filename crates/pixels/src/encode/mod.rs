//! Between encoded values, as files hold them, and linear light.
//!
//! [`Transfer`] gives each curve as the standard writes it, in `f64`: the form everything else is judged by.
//! [`Decoder`] and [`Encoder`] are the fast ways for whole rows. They give the same digits on every machine:
//! nothing in them but IEEE sums, products and square roots in a fixed order, and tables made by `units::math`.

mod decoder;
mod encoder;
mod primaries;
mod transfer;

pub use decoder::Decoder;
pub use encoder::{Encoder, narrowed};
pub use primaries::{between, bradford, convert_rgb, convert_rgba, narrow};
pub use transfer::{Power, Transfer};

#[cfg(test)]
mod tests;
