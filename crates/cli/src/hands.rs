//! What works: threads, memory, the clock, progress on a terminal, Ctrl-C.

use setpiece::Timestamp;
use setpiece::commands::pixels::Budget;
use std::io::{IsTerminal as _, Write as _};
use std::num::NonZeroUsize;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// Set by Ctrl-C.
pub(crate) static CALLED_OFF: AtomicBool = AtomicBool::new(false);

/// Lets Ctrl-C call the work off, so that nothing half-made stays behind; a second one ends at once.
pub(crate) fn listen() {
    // Where the system does not let us, Ctrl-C ends the program as ever.
    let _ = ctrlc::set_handler(|| {
        if CALLED_OFF.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(crate::exit::CALLED_OFF));
        }
    });
}

/// This moment.
pub(crate) fn now() -> Timestamp {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    let millis = i64::try_from(since.as_millis()).unwrap_or(0);
    let begin = || Timestamp::from_unix_millis(0).expect("1970 is a year between 0 and 9999");
    Timestamp::from_unix_millis(millis).unwrap_or_else(begin)
}

/// Memory for looking at photographs.
pub(crate) fn budget() -> Budget {
    Budget::of_bytes(4_000_000_000)
}

pub(crate) fn threads() -> NonZeroUsize {
    std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

/// A budget for work that tells a terminal how far it is, as long as the budget is there.
pub(crate) fn telling(what: &'static str, budget: &Budget) -> Budget {
    let progress = Progress::new(what);
    budget.telling(Arc::new(move |share| progress.tell(share)))
}

/// A line on the terminal that tells how far the work is; nothing where no one watches.
pub(crate) struct Progress {
    what: &'static str,
    begun: Instant,
    /// Thousandths that were told last.
    told: AtomicU64,
    watched: bool,
}

impl Progress {
    pub(crate) fn new(what: &'static str) -> Self {
        let watched = std::io::stderr().is_terminal();
        Self { what, begun: Instant::now(), told: AtomicU64::new(0), watched }
    }

    pub(crate) fn tell(&self, share: f64) {
        let thousandths = (share.clamp(0.0, 1.0) * 1000.0) as u64;
        // Not for what is over at once.
        if !self.watched || self.begun.elapsed().as_millis() < 300 {
            return;
        }
        if self.told.fetch_max(thousandths, Ordering::Relaxed) < thousandths {
            let filled = (thousandths / 40) as usize;
            let bar: String = (0..25).map(|i| if i < filled { '=' } else { '.' }).collect();
            let mut err = std::io::stderr().lock();
            let _ = write!(err, "\r{} {bar} {:3} %", self.what, thousandths / 10);
            let _ = err.flush();
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.watched && self.told.load(Ordering::Relaxed) > 0 {
            let _ = write!(std::io::stderr().lock(), "\r{:60}\r", "");
        }
    }
}
