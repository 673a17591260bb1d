//! A memory budget: each buffer holds a receipt for its bytes and gives them back when it is dropped.
//! Over budget is an error that says what was asked, never an abort.
//!
//! Large buffers that are done with are kept for the next one of about their size: fresh memory costs a system more than the
//! pixels that are written into it. Together with what is in use they never hold more than was in use at once before.

use std::fmt;
use std::ops::{Deref, DerefMut};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// How much memory the pictures of one job may take together. Clones share the same account.
#[derive(Clone, Debug)]
pub struct Budget {
    account: Arc<Account>,
}

#[derive(Debug)]
struct Account {
    limit: u64,
    taken: AtomicU64,
    most: AtomicU64,
    spare: Mutex<Vec<Vec<f32>>>,
}

/// Bytes from which a buffer is worth keeping.
const WORTH_KEEPING: usize = 1 << 18;

impl Budget {
    /// A budget of so many bytes.
    #[must_use]
    pub fn of_bytes(limit: u64) -> Self {
        let (taken, most) = (AtomicU64::new(0), AtomicU64::new(0));
        Self { account: Arc::new(Account { limit, taken, most, spare: Mutex::default() }) }
    }

    /// A buffer of so many samples. What is in it is left from before, or zero.
    ///
    /// # Errors
    /// Where the bytes are not there.
    pub fn buffer(&self, samples: usize) -> Result<Buffer, OverBudget> {
        let receipt = self.take(samples as u64 * size_of::<f32>() as u64)?;
        let mut spare = self.account.spare();
        let fits = |v: &Vec<f32>| v.capacity() >= samples && v.capacity() / 5 <= samples / 4;
        let found = (0..spare.len()).filter(|&i| fits(&spare[i])).min_by_key(|&i| spare[i].capacity());
        let samples = match found {
            Some(i) => {
                let mut found = spare.swap_remove(i);
                found.resize(samples, 0.0);
                found
            }
            None => {
                let most = self.most_taken();
                while !spare.is_empty() && self.taken() + bytes_of(&spare) > most {
                    spare.remove(0);
                }
                drop(spare);
                vec![0.0; samples]
            }
        };
        Ok(Buffer { samples, receipt })
    }

    /// Takes `bytes` from the budget until the receipt is dropped.
    ///
    /// # Errors
    /// Where the bytes are not there.
    pub fn take(&self, bytes: u64) -> Result<Receipt, OverBudget> {
        let account = &self.account;
        let refused = |taken| OverBudget {
            asked: bytes,
            free: account.limit.saturating_sub(taken),
            limit: account.limit,
        };
        let before = account
            .taken
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, |taken| {
                taken.checked_add(bytes).filter(|&sum| sum <= account.limit)
            })
            .map_err(refused)?;
        account.most.fetch_max(before + bytes, Ordering::Relaxed);
        Ok(Receipt { bytes, account: Arc::clone(account) })
    }

    /// Bytes taken now.
    #[must_use]
    pub fn taken(&self) -> u64 {
        self.account.taken.load(Ordering::Relaxed)
    }

    /// The most that was ever taken at once.
    #[must_use]
    pub fn most_taken(&self) -> u64 {
        self.account.most.load(Ordering::Relaxed)
    }

    /// The whole budget in bytes.
    #[must_use]
    pub fn limit(&self) -> u64 {
        self.account.limit
    }
}

impl Account {
    fn spare(&self) -> MutexGuard<'_, Vec<Vec<f32>>> {
        self.spare.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn bytes_of(spare: &[Vec<f32>]) -> u64 {
    spare.iter().map(|v| (v.capacity() * size_of::<f32>()) as u64).sum()
}

/// Samples that are paid for from a budget.
#[derive(Debug)]
pub struct Buffer {
    samples: Vec<f32>,
    receipt: Receipt,
}

impl Deref for Buffer {
    type Target = [f32];

    fn deref(&self) -> &[f32] {
        &self.samples
    }
}

impl DerefMut for Buffer {
    fn deref_mut(&mut self) -> &mut [f32] {
        &mut self.samples
    }
}

impl Drop for Buffer {
    fn drop(&mut self) {
        if size_of_val(&self.samples[..]) < WORTH_KEEPING {
            return;
        }
        let account = &self.receipt.account;
        let mut spare = account.spare();
        // The receipt is still among what is taken, and stands for the buffer that is now spare.
        if account.taken.load(Ordering::Relaxed) + bytes_of(&spare) <= account.most.load(Ordering::Relaxed) {
            spare.push(std::mem::take(&mut self.samples));
        }
    }
}

/// Proof that memory was paid for; dropping it gives the bytes back.
#[derive(Debug)]
pub struct Receipt {
    bytes: u64,
    account: Arc<Account>,
}

impl Drop for Receipt {
    fn drop(&mut self) {
        self.account.taken.fetch_sub(self.bytes, Ordering::Relaxed);
    }
}

/// More memory was asked for than the budget holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OverBudget {
    /// Bytes asked for.
    pub asked: u64,
    /// Bytes that were left.
    pub free: u64,
    /// The whole budget.
    pub limit: u64,
}

impl fmt::Display for OverBudget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mb = |bytes: u64| bytes.div_ceil(1 << 20);
        write!(
            f,
            "{} MB of picture memory needed, {} MB of {} MB left",
            mb(self.asked),
            self.free >> 20,
            self.limit >> 20
        )
    }
}

impl std::error::Error for OverBudget {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_done_with_serves_again_and_never_adds_to_the_most() {
        let budget = Budget::of_bytes(100 << 20);
        let samples = 1 << 20;
        let a = budget.buffer(samples).unwrap();
        let at = a.as_ptr();
        drop(a);
        assert_eq!((budget.taken(), bytes_of(&budget.account.spare())), (0, 4 << 20));
        assert_eq!(budget.buffer(samples - 100).unwrap().as_ptr(), at, "the same memory");
        let small = budget.buffer(samples / 2).unwrap();
        assert_ne!(small.as_ptr(), at, "too large to serve");
        assert_eq!(bytes_of(&budget.account.spare()), 0, "it went, so that the most was not exceeded");
        drop(small);
        drop((budget.buffer(samples).unwrap(), budget.buffer(samples).unwrap()));
        assert!(bytes_of(&budget.account.spare()) <= budget.most_taken());
    }

    #[test]
    fn memory_is_given_back_and_never_overdrawn() {
        let budget = Budget::of_bytes(100);
        let a = budget.take(60).unwrap();
        assert_eq!(budget.take(41).unwrap_err(), OverBudget { asked: 41, free: 40, limit: 100 });
        assert!(budget.take(u64::MAX).is_err());
        drop(a);
        assert_eq!((budget.taken(), budget.most_taken()), (0, 60));
        assert!(budget.take(100).is_ok());
    }
}
