//! What counts as a finding: a panic that gets out, or more memory than the reader was allowed.

use peak_alloc::PeakAlloc;
use std::panic::{self, AssertUnwindSafe};
use std::sync::{Mutex, PoisonError};

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

static SAID: Mutex<String> = Mutex::new(String::new());

/// Most bytes a run may take: the 64 MB that the readers are given, and a decoder's own small change on top. The
/// replay in tests/invariants holds to the same.
const MOST: usize = (64 + 16) << 20;

/// Before the first run: panics that a reader catches itself are no findings, so none may end the process.
pub fn begin() {
    panic::set_hook(Box::new(|info| {
        *SAID.lock().unwrap_or_else(PoisonError::into_inner) = info.to_string();
    }));
}

/// One run. A hang is noticed by the engine.
///
/// # Panics
/// Where it is a finding.
pub fn judge(bytes: &[u8], run: fn(&[u8])) {
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let done = panic::catch_unwind(AssertUnwindSafe(|| run(bytes)));
    let took = MEMORY.peak_usage().saturating_sub(before);
    if let Err(trouble) = done {
        eprintln!("finding: {}", SAID.lock().unwrap_or_else(PoisonError::into_inner));
        panic::resume_unwind(trouble);
    }
    if took > MOST {
        eprintln!("finding: {took} bytes of memory taken at once, {MOST} allowed");
        panic!("too much memory");
    }
}
