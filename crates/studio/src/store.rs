//! Rasters that are held for all windows of a picture, to be shown at once; they give way to work that needs the memory.

use crate::room::Room;
use setpiece::commands::rendering::Memory;
use setpiece::rasters::{Kept, Worth};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long it is waited for memory that others have, and how often.
pub(crate) const WAITED: Duration = Duration::from_millis(50);
const PATIENCE: u32 = 200;

/// Where rasters are held, for all windows of a picture.
pub(crate) struct Store {
    still: Memory<Kept>,
    tried: Memory<Kept>,
    is_outlining: Mutex<()>,
}

impl Store {
    /// It gives way to work that needs memory of its own, as cutting and printing: what is worth it has a file, and is read again.
    pub(crate) fn of(room: &Room) -> Option<Arc<Self>> {
        let cache = room.cache()?;
        let budget = &room.means().budget;
        let kept = |worth| Kept::at(&cache, worth, budget);
        let store = Arc::new(Self {
            still: Memory::before(500 << 20, kept(Worth::Both)),
            tried: Memory::before(300 << 20, kept(Worth::Reduced)),
            is_outlining: Mutex::default(),
        });
        let held = Arc::downgrade(&store);
        // Then it is waited for those that work at the same time.
        budget.yield_by(Arc::new(move |times| {
            if times > 0 {
                std::thread::sleep(WAITED);
            } else if let Some(store) = held.upgrade() {
                store.still.clear();
                store.tried.clear();
            }
            times < PATIENCE
        }));
        Some(store)
    }

    /// Silhouettes are made one after another: each has a whole shot in its hands.
    pub(crate) fn outlining(&self) -> MutexGuard<'_, ()> {
        self.is_outlining.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Of the picture at rest.
    pub(crate) const fn still(&self) -> &Memory<Kept> {
        &self.still
    }

    /// Of what is tried.
    pub(crate) const fn tried(&self) -> &Memory<Kept> {
        &self.tried
    }
}
