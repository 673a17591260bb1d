//! An open picture: its folder, lock, journal and file; edits, undo and redo that survive whatever happens to the machine.
//!
//! Contains no formula and no pixel loop, and reads no clock: the time of an edit is handed in.
#![forbid(unsafe_code)]

mod ahead;
pub mod commands;
pub mod desk;
pub mod disk;
mod error;
pub mod facts;
mod folder;
mod handwork;
mod history;
mod journal;
mod lock;
mod look;
mod notice;
mod open;
mod originals;
pub mod parts;
pub mod rasters;
mod smalls;
mod source;
mod timestamp;

pub use ahead::Ahead;
pub use error::Error;
pub use folder::Folder;
pub use history::{Entry, Turn};
pub use look::Look;
pub use notice::Notice;
pub use open::{Accepted, Picture};
pub use source::NewSource;
pub use timestamp::Timestamp;
