//! From a scene to a layout: what each mark means, decided once, before a pixel is touched.
//!
//! [`resolve`] is total and pure: what cannot be drawn becomes a [`Snag`]. The same values that a layout is
//! made of stand on each piece's [`standing::Standing`], so that a mark card shows what is drawn.
#![forbid(unsafe_code)]

mod bounds;
pub mod facing;
pub mod frame;
pub mod illumination;
pub mod in_shot;
pub mod layout;
mod lit;
pub mod measured;
mod pools;
mod remarks;
mod resolve;
mod shadows;
pub mod snag;
pub mod standing;
mod toning;
mod water;

pub use layout::Layout;
pub use measured::Measured;
pub use remarks::{widest, window_beyond};
pub use resolve::{Resolved, is_hidden, resolve};
pub use snag::Snag;
pub use toning::printed;
