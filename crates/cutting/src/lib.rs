//! From a shot and its matte to a clean cut-out.
//!
//! Works on pixels alone; knows nothing of where a piece stands.
#![forbid(unsafe_code)]

mod along;
mod carried;
mod even;
pub mod foreground;
pub mod joining;
pub mod matting;
pub mod mending;
pub mod paper;
pub mod pen;
pub mod regions;
pub mod rims;
pub mod sheet;
pub mod touch;

use std::num::NonZeroUsize;

/// Does some work on so many threads. Where the system gives none, on those there are.
pub fn on_threads<R: Send>(threads: NonZeroUsize, work: impl FnOnce() -> R + Send) -> R {
    match rayon::ThreadPoolBuilder::new().num_threads(threads.get()).build() {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    }
}
