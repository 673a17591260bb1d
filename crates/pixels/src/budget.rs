//! A memory budget: each buffer holds a receipt for its bytes and gives them back when it is dropped.
//! Over budget is an error that says what was asked, never an abort.
//!
//! Large buffers that are done with are kept for the next one of about their size: fresh memory costs a system more than the
//! pixels that are written into it. Together with what is in use they never hold more than was in use at once before, and alone never
//! more than a quarter of the budget.
//!
//! What is kept only for speed can be told to give way where the bytes would not be there otherwise, and others that work may be waited for.

use bytemuck::Pod;
use std::fmt;
use std::marker::PhantomData;
use std::ops::{Deref, DerefMut, Range};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};

/// How much memory the pictures of one job may take together. Clones share the same account. It goes along with the work, and so may
/// carry whether the work is called off, and whom to tell how far it is.
#[derive(Clone)]
pub struct Budget {
    account: Arc<Account>,
    called_off: Option<Arc<AtomicBool>>,
    /// Of work that would rather be done later than wait with what it has in its hands: whether it was put off.
    put_off: Option<Arc<AtomicBool>>,
    told: Option<Told>,
    /// Which part of the whole work asks: from this share to that one.
    part: (f64, f64),
}

/// Who is told how far a piece of work is, as a share of the whole.
pub type Told = Arc<dyn Fn(f64) + Send + Sync>;

impl fmt::Debug for Budget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Budget").field("account", &self.account).finish_non_exhaustive()
    }
}

struct Account {
    limit: u64,
    taken: AtomicU64,
    most: AtomicU64,
    spare: Mutex<Vec<Words>>,
    yielding: Mutex<Option<Yielding>>,
    large: Mutex<()>,
}

/// Makes room where it can, the first, second, third time it is asked; tells whether it is worth trying again.
pub type Yielding = Arc<dyn Fn(u32) -> bool + Send + Sync>;

impl fmt::Debug for Account {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Account")
            .field("limit", &self.limit)
            .field("taken", &self.taken)
            .finish_non_exhaustive()
    }
}

/// The memory of a buffer, whatever is held in it: all of it is paid for.
type Words = Vec<u32>;

/// Bytes from which a buffer is worth keeping.
const WORTH_KEEPING: u64 = 1 << 16;

impl Budget {
    /// A budget of so many bytes.
    #[must_use]
    pub fn of_bytes(limit: u64) -> Self {
        let (taken, most) = (AtomicU64::new(0), AtomicU64::new(0));
        let account = Arc::new(Account {
            limit,
            taken,
            most,
            spare: Mutex::default(),
            yielding: Mutex::default(),
            large: Mutex::default(),
        });
        Self { account, called_off: None, put_off: None, told: None, part: (0.0, 1.0) }
    }

    /// Makes room by this from now on where bytes are not there, for as long as it tells that they are worth asking for again. It is called
    /// while a buffer is asked for, and asks for none itself.
    pub fn yield_by(&self, yielding: Yielding) {
        *self.account.yielding.lock().unwrap_or_else(PoisonError::into_inner) = Some(yielding);
    }

    /// The same account, from which nothing more is given once the work that asks is called off: it then ends at its next step, as where
    /// memory does not suffice.
    #[must_use]
    pub fn until(&self, called_off: Arc<AtomicBool>) -> Self {
        Self { called_off: Some(called_off), ..self.clone() }
    }

    /// The same account for work of which somebody is told how far it is.
    #[must_use]
    pub fn telling(&self, told: Told) -> Self {
        Self { told: Some(told), part: (0.0, 1.0), ..self.clone() }
    }

    /// The same for a part of the work, from one share of it to another (by experience, no source).
    #[must_use]
    pub fn within(&self, from: f64, to: f64) -> Self {
        let (begin, long) = (self.part.0, self.part.1 - self.part.0);
        Self { part: (begin + from * long, begin + to * long), ..self.clone() }
    }

    /// Tells that so much of this part of the work is done.
    pub fn reached(&self, share: f64) {
        if let Some(told) = &self.told {
            told(self.part.0 + share * (self.part.1 - self.part.0));
        }
    }

    /// A buffer of so many samples. What is in it is left from before, or zero.
    ///
    /// # Errors
    /// Where the bytes are not there.
    pub fn buffer<S: Sample>(&self, samples: usize) -> Result<Buffer<S>, OverBudget> {
        let count = samples.checked_mul(size_of::<S>()).map(|bytes| bytes.div_ceil(size_of::<u32>()));
        let memory = self.memory(count.unwrap_or(usize::MAX))?;
        Ok(Buffer { memory, part: 0..samples, of: PhantomData })
    }

    /// A buffer of so many samples, all zero.
    ///
    /// # Errors
    /// Where the bytes are not there.
    pub fn zeroed<S: Sample>(&self, samples: usize) -> Result<Buffer<S>, OverBudget> {
        let mut buffer = self.buffer(samples)?;
        // What the system hands out is zero, and is not touched before it is used.
        if buffer.memory.used {
            buffer.fill(S::zeroed());
        }
        Ok(buffer)
    }

    fn memory(&self, count: usize) -> Result<Memory, OverBudget> {
        let bytes = |words: usize| (words as u64).saturating_mul(size_of::<u32>() as u64);
        let fits = |words: &Words| words.len() >= count && words.len() / 5 <= count / 4;
        let mut spare = self.account.spare();
        let found = (0..spare.len()).filter(|&i| fits(&spare[i])).min_by_key(|&i| spare[i].len());
        if let Some(i) = found
            && let Ok(receipt) = self.there(bytes(spare[i].len()))
        {
            return Ok(Memory { words: spare.swap_remove(i), used: true, receipt });
        }
        drop(spare);
        let receipt = self.take(bytes(count))?;
        let mut spare = self.account.spare();
        let most = self.most_taken();
        while !spare.is_empty() && self.taken() + bytes_of(&spare) > most {
            spare.remove(0);
        }
        drop(spare);
        Ok(Memory { words: vec![0; count], used: false, receipt })
    }

    /// The same account for work that can be done at any time: where large work has its [turn](Self::turn) it fails, and is to be begun anew.
    #[must_use]
    pub fn giving_way(&self) -> Self {
        Self { put_off: Some(Arc::default()), ..self.clone() }
    }

    /// Waits for a turn, where work takes more than an eighth of the budget: two such at once might not find room that each finds alone.
    /// It holds until it is dropped.
    ///
    /// # Errors
    /// Where another has it, for work that gives way: what it holds may be what the other lacks.
    pub fn turn(&self, bytes: u64) -> Result<Option<Turn<'_>>, OverBudget> {
        let account = &self.account;
        if bytes <= account.limit / 8 {
            return Ok(None);
        }
        let held = match account.large.try_lock() {
            Ok(held) => held,
            Err(TryLockError::Poisoned(held)) => held.into_inner(),
            Err(TryLockError::WouldBlock) if self.is_put_off() => {
                let free = account.limit.saturating_sub(self.taken());
                return Err(OverBudget { asked: bytes, free, limit: account.limit });
            }
            Err(TryLockError::WouldBlock) => account.large.lock().unwrap_or_else(PoisonError::into_inner),
        };
        Ok(Some(Turn { _held: held }))
    }

    /// Whether work that gives way failed for that since this was asked last.
    #[must_use]
    pub fn was_put_off(&self) -> bool {
        self.put_off.as_ref().is_some_and(|was| was.swap(false, Ordering::Relaxed))
    }

    /// Puts work off that gives way, where other, large work has its turn.
    fn is_put_off(&self) -> bool {
        let Some(was) = &self.put_off else { return false };
        let is = matches!(self.account.large.try_lock(), Err(TryLockError::WouldBlock));
        was.fetch_or(is, Ordering::Relaxed);
        is
    }

    /// Takes `bytes` from the budget until the receipt is dropped.
    ///
    /// # Errors
    /// Where the bytes are not there.
    pub fn take(&self, bytes: u64) -> Result<Receipt, OverBudget> {
        let mut found = self.there(bytes);
        if found.is_ok() || bytes > self.limit() {
            return found;
        }
        let yielding = self.account.yielding.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let Some(make_room) = yielding else { return found };
        let mut times = 0;
        while found.is_err() && !self.is_called_off() && !self.is_put_off() && make_room(times) {
            found = self.there(bytes);
            times += 1;
        }
        found
    }

    fn is_called_off(&self) -> bool {
        self.called_off.as_ref().is_some_and(|is| is.load(Ordering::Relaxed))
    }

    /// The same of bytes that are there as it is.
    fn there(&self, bytes: u64) -> Result<Receipt, OverBudget> {
        let account = &self.account;
        if self.is_called_off() {
            return Err(OverBudget { asked: bytes, free: 0, limit: account.limit });
        }
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
    fn spare(&self) -> MutexGuard<'_, Vec<Words>> {
        self.spare.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn bytes_of(spare: &[Words]) -> u64 {
    spare.iter().map(|words| size_of_val(&words[..]) as u64).sum()
}

/// What a buffer can hold: numbers of at most 32 bits.
pub trait Sample: Pod {}

impl Sample for u8 {}
impl Sample for u16 {}
impl Sample for f32 {}

/// Samples that are paid for from a budget.
#[derive(Debug)]
pub struct Buffer<S = f32> {
    memory: Memory,
    /// Which of the samples that the memory would hold.
    part: Range<usize>,
    of: PhantomData<S>,
}

#[derive(Debug)]
struct Memory {
    words: Words,
    /// Whether something may be left in it from before.
    used: bool,
    receipt: Receipt,
}

impl Buffer<u8> {
    /// Whether `count` samples can be seen from byte `first` on: they are all there, and stand where numbers of their size may.
    #[must_use]
    pub fn holds<S: Sample>(&self, first: usize, count: usize) -> bool {
        let end = count.checked_mul(size_of::<S>()).and_then(|bytes| bytes.checked_add(first));
        first.is_multiple_of(size_of::<S>()) && end.is_some_and(|end| end <= self.len())
    }

    /// The same memory seen as `count` samples from byte `first` on, in this machine's order of bytes.
    ///
    /// # Panics
    /// Where it does not [hold](Self::holds) them.
    #[must_use]
    pub fn seen_as<S: Sample>(self, first: usize, count: usize) -> Buffer<S> {
        assert!(self.holds::<S>(first, count), "{count} samples from byte {first} of {}", self.len());
        let first = first / size_of::<S>();
        Buffer { memory: self.memory, part: first..first + count, of: PhantomData }
    }
}

impl<S: Sample> Deref for Buffer<S> {
    type Target = [S];

    fn deref(&self) -> &[S] {
        &bytemuck::cast_slice(&self.memory.words)[self.part.clone()]
    }
}

impl<S: Sample> DerefMut for Buffer<S> {
    fn deref_mut(&mut self) -> &mut [S] {
        &mut bytemuck::cast_slice_mut(&mut self.memory.words)[self.part.clone()]
    }
}

impl<S: Sample + PartialEq> PartialEq for Buffer<S> {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl Drop for Memory {
    fn drop(&mut self) {
        if self.receipt.bytes < WORTH_KEEPING {
            return;
        }
        let account = &self.receipt.account;
        let mut spare = account.spare();
        // The receipt is still among what is taken, and stands for the memory that is now spare.
        let (kept, most) = (bytes_of(&spare), account.most.load(Ordering::Relaxed));
        let is_little = kept + self.receipt.bytes <= account.limit / 4;
        if is_little && account.taken.load(Ordering::Relaxed) + kept <= most {
            spare.push(std::mem::take(&mut self.words));
        }
    }
}

/// Leave to do large work.
#[derive(Debug)]
pub struct Turn<'a> {
    _held: MutexGuard<'a, ()>,
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
        const MB: u64 = 1_000_000;
        write!(
            f,
            "{} MB of picture memory needed, {} MB of {} MB left",
            self.asked.div_ceil(MB),
            self.free / MB,
            self.limit / MB
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
        let a = budget.buffer::<f32>(samples).unwrap();
        let at = a.as_ptr();
        drop(a);
        assert_eq!((budget.taken(), bytes_of(&budget.account.spare())), (0, 4 << 20));
        assert_eq!(budget.buffer::<f32>(samples - 100).unwrap().as_ptr(), at, "the same memory");
        let small = budget.buffer::<f32>(samples / 2).unwrap();
        assert!(!small.memory.used, "too large to serve");
        assert_eq!(bytes_of(&budget.account.spare()), 0, "it went, so that the most was not exceeded");
        drop(small);
        drop((budget.buffer::<f32>(samples).unwrap(), budget.buffer::<f32>(samples).unwrap()));
        assert!(bytes_of(&budget.account.spare()) <= budget.most_taken());
    }

    #[test]
    fn what_is_kept_for_speed_gives_way() {
        let budget = Budget::of_bytes(100 << 20);
        let held = Arc::new(Mutex::new(vec![budget.buffer::<u8>(60 << 20).unwrap()]));
        assert!(budget.buffer::<u8>(50 << 20).is_err());
        let letting_go = Arc::clone(&held);
        budget.yield_by(Arc::new(move |times| {
            letting_go.lock().unwrap().clear();
            times == 0
        }));
        // Not for what is there, nor for what can never be.
        drop(budget.buffer::<u8>(30 << 20).unwrap());
        assert!(budget.take(101 << 20).is_err());
        assert_eq!(held.lock().unwrap().len(), 1);
        assert!(budget.buffer::<u8>(50 << 20).is_ok());
        assert!(held.lock().unwrap().is_empty());
        // What others work with is waited for, as long as that is worth it, and not by what was called off.
        let others = Arc::new(Mutex::new(Some(budget.take(100 << 20).unwrap())));
        let working = Arc::clone(&others);
        budget.yield_by(Arc::new(move |times| {
            if times == 5 {
                working.lock().unwrap().take();
            }
            times < 9
        }));
        assert!(budget.until(Arc::new(AtomicBool::new(true))).take(1).is_err());
        assert!(others.lock().unwrap().is_some());
        assert!(budget.take(1 << 20).is_ok());
        *others.lock().unwrap() = Some(budget.take(100 << 20).unwrap());
        budget.yield_by(Arc::new(|times| times < 3));
        assert!(budget.take(1).is_err());
    }

    #[test]
    fn large_work_is_done_in_turn() {
        let budget = Budget::of_bytes(80);
        assert!(budget.turn(10).unwrap().is_none());
        let turn = budget.turn(11).unwrap();
        let giving_way = budget.giving_way();
        assert!(giving_way.turn(10).unwrap().is_none() && !giving_way.was_put_off());
        assert!(giving_way.turn(11).is_err() && giving_way.was_put_off() && !giving_way.was_put_off());
        // Nor does it wait for bytes that the other may be waiting for.
        budget.yield_by(Arc::new(|times| times < 1));
        assert!(giving_way.take(81).is_err() && !giving_way.was_put_off());
        let all = budget.take(80).unwrap();
        assert!(giving_way.take(1).is_err() && giving_way.was_put_off());
        drop(all);
        let (begun, over) = (AtomicBool::new(false), AtomicBool::new(false));
        std::thread::scope(|scope| {
            scope.spawn(|| {
                begun.store(true, Ordering::SeqCst);
                let _turn = budget.turn(80);
                assert!(over.load(Ordering::SeqCst), "before the other's end");
            });
            while !begun.load(Ordering::SeqCst) {
                std::thread::yield_now();
            }
            std::thread::sleep(std::time::Duration::from_millis(20));
            over.store(true, Ordering::SeqCst);
            drop(turn);
        });
        assert!(giving_way.turn(11).unwrap().is_some());
    }

    #[test]
    fn spare_memory_is_no_more_than_a_quarter() {
        let budget = Budget::of_bytes(100 << 20);
        let all: Vec<_> = (0..9).map(|_| budget.buffer::<u8>(10 << 20).unwrap()).collect();
        drop(all);
        assert_eq!(bytes_of(&budget.account.spare()), 20 << 20);
    }

    #[test]
    fn bytes_are_seen_as_samples_where_they_may() {
        let budget = Budget::of_bytes(1 << 20);
        let mut bytes = budget.buffer::<u8>(11).unwrap();
        bytes.copy_from_slice(&[9, 9, 1, 0, 2, 0, 3, 0, 4, 0, 5]);
        assert!(bytes.holds::<u16>(2, 4) && !bytes.holds::<u16>(1, 4) && !bytes.holds::<f32>(2, 1));
        assert!(!bytes.holds::<u16>(2, 5) && !bytes.holds::<u16>(4, usize::MAX));
        assert_eq!(*bytes.seen_as::<u16>(2, 4), [1, 2, 3, 4].map(u16::to_le));
        assert_eq!(budget.taken(), 0);
    }

    #[test]
    fn zeroed_is_zero_in_memory_that_served_before() {
        let budget = Budget::of_bytes(8 << 20);
        budget.buffer::<u8>(1 << 20).unwrap().fill(7);
        let mut again = budget.buffer::<u8>(1 << 20).unwrap();
        assert_eq!(again[5], 7, "the same memory");
        again.fill(8);
        drop(again);
        assert!(budget.zeroed::<u16>(1 << 19).unwrap().iter().all(|&v| v == 0));
    }

    #[test]
    fn a_part_of_the_work_tells_its_share_of_the_whole() {
        let heard = Arc::new(Mutex::new(Vec::new()));
        let hear = Arc::clone(&heard);
        let budget = Budget::of_bytes(100).telling(Arc::new(move |share| hear.lock().unwrap().push(share)));
        budget.reached(0.25);
        let part = budget.within(0.5, 1.0);
        part.reached(0.0);
        part.within(0.5, 1.0).reached(0.5);
        part.within(0.2, 0.4).reached(1.0);
        assert_eq!(*heard.lock().unwrap(), [0.25, 0.5, 0.875, 0.7]);
        // One account, whoever is told.
        let held = part.take(60).unwrap();
        assert!(budget.take(41).is_err());
        drop(held);
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
