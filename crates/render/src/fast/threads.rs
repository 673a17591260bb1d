//! Shares numbered work among threads. The order in which it is done changes nothing: each piece of work writes its own result.

use crate::Error;
use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Does `work(i)` for each i below `count` on so many threads; the first error stops what has not begun.
pub(super) fn each(
    threads: NonZeroUsize,
    count: usize,
    work: &(dyn Fn(usize) -> Result<(), Error> + Sync),
) -> Result<(), Error> {
    let next = AtomicUsize::new(0);
    let failed = AtomicBool::new(false);
    let first: Mutex<Option<(usize, Error)>> = Mutex::new(None);
    let run = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            if i >= count || failed.load(Ordering::Relaxed) {
                return;
            }
            if let Err(error) = work(i) {
                failed.store(true, Ordering::Relaxed);
                let mut first = first.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                // Of several errors the one of the lowest number is told, as on one thread.
                if first.as_ref().is_none_or(|(at, _)| i < *at) {
                    *first = Some((i, error));
                }
            }
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.get().min(count.max(1)) {
            scope.spawn(run);
        }
        run();
    });
    match first.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner) {
        Some((_, error)) => Err(error),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_is_done_once_and_an_error_is_told() {
        for threads in [1, 2, 5] {
            let threads = NonZeroUsize::new(threads).unwrap();
            let done: Vec<AtomicUsize> = (0..100).map(|_| AtomicUsize::new(0)).collect();
            each(threads, 100, &|i| {
                done[i].fetch_add(1, Ordering::Relaxed);
                Ok(())
            })
            .unwrap();
            assert!(done.iter().all(|d| d.load(Ordering::Relaxed) == 1));
            assert_eq!(each(threads, 9, &|_| Err(Error::Cancelled)), Err(Error::Cancelled));
        }
    }
}
