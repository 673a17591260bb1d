//! Every formula of the model, in `f64`: camera and ground, lens, light and its colour, haze, the sun's
//! place, shadows. The formulas are those of docs/model.md, which the comments cite by section name.
//!
//! Knows no piece, no image, no file and no clock. Lengths, angles and colour temperatures come in and go
//! out as quantities of the `units` crate; radians stay inside. A constructor either makes a value that no
//! formula can stumble over, or says which number is out of range and what is allowed.
#![forbid(unsafe_code)]

pub mod adaptation;
pub mod camera;
mod cie1931;
pub mod exposure;
pub mod field_of_view;
pub mod flash;
pub mod haze;
pub mod lens;
pub mod light_colour;
pub mod lights;
pub mod locus;
pub mod plane;
pub mod practical;
mod range;
pub mod shadow;
pub mod sightings;
pub mod solar;
pub mod studio;
pub mod temperature;

pub use camera::{Camera, Depth, Point, Seen, Viewpoint};
pub use haze::Haze;
pub use lens::{Aperture, Focus, Lens};
pub use lights::{Lights, Sky, Sun};
pub use plane::Plane;
pub use practical::Practical;
pub use range::OutOfRange;
pub use studio::StudioCamera;
