//! Shares work among threads. The order in which it is done changes nothing: each piece of work writes its own result.

use crate::Error;
use std::num::NonZeroUsize;
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

/// Does `work(i)` for each i below `count` on so many threads; the first error stops what has not begun.
pub(super) fn each(
    threads: NonZeroUsize,
    count: usize,
    work: &(dyn Fn(usize) -> Result<(), Error> + Sync),
) -> Result<(), Error> {
    grouped(threads, (0..count).map(|i| i..i + 1).collect(), work)
}

/// The same for work in groups, whose parts share something that is costly to make: a thread stays with its group to the
/// end, then begins the next; when all are begun, it helps where most is left.
pub(super) fn grouped(
    threads: NonZeroUsize,
    groups: Vec<Range<usize>>,
    work: &(dyn Fn(usize) -> Result<(), Error> + Sync),
) -> Result<(), Error> {
    let count: usize = groups.iter().map(ExactSizeIterator::len).sum();
    let left = Mutex::new(Left { begun: 0, groups, failed: None });
    let lock = || left.lock().unwrap_or_else(PoisonError::into_inner);
    let run = || {
        let mut own = None;
        loop {
            let Some((group, i)) = lock().next(own) else { return };
            own = Some(group);
            if let Err(error) = work(i) {
                let mut left = lock();
                // Of several errors the one of the lowest number is told, as on one thread.
                if left.failed.as_ref().is_none_or(|(at, _)| i < *at) {
                    left.failed = Some((i, error));
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
    match left.into_inner().unwrap_or_else(PoisonError::into_inner).failed {
        Some((_, error)) => Err(error),
        None => Ok(()),
    }
}

/// What no thread has taken yet.
struct Left {
    /// How many of the groups a thread has begun.
    begun: usize,
    groups: Vec<Range<usize>>,
    failed: Option<(usize, Error)>,
}

impl Left {
    /// The next work for a thread that comes from this group, and its group.
    fn next(&mut self, own: Option<usize>) -> Option<(usize, usize)> {
        if self.failed.is_some() {
            return None;
        }
        if let Some(i) = own.and_then(|g| self.groups[g].next()) {
            return own.map(|g| (g, i));
        }
        while self.begun < self.groups.len() {
            let group = self.begun;
            self.begun += 1;
            if let Some(i) = self.groups[group].next() {
                return Some((group, i));
            }
        }
        let fullest = (0..self.groups.len()).max_by_key(|g| self.groups[*g].len())?;
        self.groups[fullest].next().map(|i| (fullest, i))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

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

    #[test]
    fn a_thread_stays_with_its_group_and_helps_in_the_end() {
        let mut left = Left { begun: 0, groups: vec![0..2, 2..3, 3..6], failed: None };
        assert_eq!(left.next(None), Some((0, 0)));
        assert_eq!(left.next(Some(0)), Some((0, 1)));
        assert_eq!(left.next(None), Some((1, 2)));
        assert_eq!(left.next(Some(1)), Some((2, 3)));
        assert_eq!(left.next(Some(0)), Some((2, 4)));
        assert_eq!(left.next(Some(2)), Some((2, 5)));
        assert_eq!(left.next(Some(2)), None);
    }
}
