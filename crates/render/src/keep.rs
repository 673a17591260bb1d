//! Where rasters of pieces are kept from one rendering to the next, named by the digest of all they depend on: kernel and its version,
//! pixels, mapping, disc, rectangle. No clock, path or id is in a key, so whatever is found is right.

use pixels::{Image, Rgba};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use units::Digest;

/// A store of rasters. What is put in may be gone at any time; what comes out is what was put in, bit for bit.
pub trait Keep: Sync {
    /// The raster of this key, if it is kept.
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>>;

    /// Offers a raster.
    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>);
}

/// Keeps nothing.
pub struct Nothing;

impl Keep for Nothing {
    fn get(&self, _: &Digest) -> Option<Arc<Image<Rgba>>> {
        None
    }

    fn put(&self, _: Digest, _: &Arc<Image<Rgba>>) {}
}

/// Keeps rasters in memory, the latest used, up to a number of bytes; behind it another store, asked when it lacks one.
pub struct Memory<B = Nothing> {
    limit: usize,
    held: Mutex<Held>,
    behind: B,
}

#[derive(Default)]
struct Held {
    rasters: BTreeMap<Digest, (u64, Arc<Image<Rgba>>)>,
    bytes: usize,
    uses: u64,
}

impl Memory {
    /// With nothing behind it.
    #[must_use]
    pub fn of_bytes(limit: usize) -> Self {
        Self::before(limit, Nothing)
    }
}

impl<B: Keep> Memory<B> {
    /// With another store behind it.
    #[must_use]
    pub fn before(limit: usize, behind: B) -> Self {
        Self { limit, held: Mutex::default(), behind }
    }

    fn hold(&self, key: Digest, raster: &Arc<Image<Rgba>>) {
        let size = size_of_val(raster.pixels());
        if size > self.limit {
            return;
        }
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.uses += 1;
        let uses = held.uses;
        if held.rasters.insert(key, (uses, Arc::clone(raster))).is_none() {
            held.bytes += size;
        }
        while held.bytes > self.limit {
            let Some(oldest) = held.rasters.iter().min_by_key(|(_, (used, _))| *used).map(|(k, _)| *k) else {
                break;
            };
            if let Some((_, gone)) = held.rasters.remove(&oldest) {
                held.bytes -= size_of_val(gone.pixels());
            }
        }
    }
}

impl<B: Keep> Keep for Memory<B> {
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>> {
        {
            let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
            held.uses += 1;
            let uses = held.uses;
            if let Some((used, raster)) = held.rasters.get_mut(key) {
                *used = uses;
                return Some(Arc::clone(raster));
            }
        }
        let found = self.behind.get(key)?;
        self.hold(*key, &found);
        Some(found)
    }

    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>) {
        self.behind.put(key, raster);
        self.hold(key, raster);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::Budget;
    use units::PxRect;

    #[test]
    fn the_least_recently_used_goes_first() {
        let raster =
            || Arc::new(Image::<Rgba>::new(PxRect::new(0, 0, 10, 1), &Budget::of_bytes(1 << 20)).unwrap());
        let keep = Memory::of_bytes(2 * 160);
        let [a, b, c] = ["a", "b", "c"].map(|t| Digest::of(t.as_bytes()));
        keep.put(a, &raster());
        keep.put(b, &raster());
        assert!(keep.get(&a).is_some());
        keep.put(c, &raster());
        assert!(keep.get(&a).is_some() && keep.get(&b).is_none() && keep.get(&c).is_some());
    }
}
