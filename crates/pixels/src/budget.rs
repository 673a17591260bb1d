//! A memory budget: each buffer holds a receipt for its bytes and gives them back when it is dropped.
//! Over budget is an error that says what was asked, never an abort.

use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

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
}

impl Budget {
    /// A budget of so many bytes.
    #[must_use]
    pub fn of_bytes(limit: u64) -> Self {
        Self { account: Arc::new(Account { limit, taken: AtomicU64::new(0), most: AtomicU64::new(0) }) }
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
