//! The checks on the repository itself and the tools of the tests, as a library, so that the ordinary tests use them too.
#![forbid(unsafe_code)]

pub mod check;
pub mod generated;
mod page;
pub mod tools;

use std::path::{Path, PathBuf};

/// The repository.
#[must_use]
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}
