//! The studio: a drafting table for a picture, as a page that this program serves to the browser on the same machine.
//!
//! The page draws and asks; what is asked is carried out by `setpiece`, as on the command line. Nothing is computed here.
#![forbid(unsafe_code)]

mod beside;
mod built;
mod deciding;
mod guard;
mod house;
mod inbox;
mod lens;
mod room;
mod serve;
mod sketching;
mod socket;
mod store;
pub mod wire;

pub use room::{CarryOut, Said, Saying};
pub use serve::{Opening, serve};
