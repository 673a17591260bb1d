//! Where rasters of pieces are kept from one rendering to the next, named by the digest of all they depend on: kernel and its version,
//! pixels, mapping, disc, rectangle. No clock, path or id is in a key, so whatever is found is right.

use pixels::kernel::form::{Form, Soft};
use pixels::{Coverage, Image, Rgb, Rgba};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use units::Digest;

/// The light over a shot, on a grid anchored to its origin.
#[derive(Debug)]
pub struct Lit {
    /// What each coarse pixel's colour is multiplied by.
    pub map: Image<Rgb>,
    /// Pixels of the shot to one of the map.
    pub k: f64,
}

/// A store of rasters. What is put in may be gone at any time; what comes out is what was put in, bit for bit.
pub trait Keep: Sync {
    /// The raster of this key, if it is kept.
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>>;

    /// Offers a raster.
    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>);

    /// What is held under this key, beside what was put there to be kept.
    fn held(&self, _: &Digest) -> Option<Held> {
        None
    }

    /// Offers something that is only worth keeping where much will be made of it: while a hand moves pieces.
    fn hold(&self, _: Digest, _: Held) {}
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
    held: Mutex<Shelf>,
    behind: B,
}

#[derive(Default)]
struct Shelf {
    all: BTreeMap<Digest, (u64, Held)>,
    bytes: usize,
    uses: u64,
}

/// What is held under a key.
#[derive(Clone, Debug)]
pub enum Held {
    /// A piece, or a reduced cut-out.
    Raster(Arc<Image<Rgba>>),
    /// What a piece takes of a light.
    Shadow(Arc<Image<Coverage>>),
    /// The form of a cut-out.
    Form(Arc<Form>),
    /// A softened matte.
    Soft(Arc<Soft>),
    /// The light over a shot.
    Light(Arc<Lit>),
}

impl Held {
    fn bytes(&self) -> usize {
        match self {
            Self::Raster(image) => size_of_val(image.pixels()),
            Self::Shadow(image) => size_of_val(image.pixels()),
            Self::Form(form) => form.bytes(),
            Self::Soft(soft) => size_of_val(soft.image.pixels()),
            Self::Light(light) => size_of_val(light.map.pixels()),
        }
    }
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

    /// Lets go of all that is held here; what stands behind it stays.
    pub fn clear(&self) {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.all.clear();
        held.bytes = 0;
    }

    fn take(&self, key: Digest, pixels: Held) {
        let size = pixels.bytes();
        if size > self.limit {
            return;
        }
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.uses += 1;
        let uses = held.uses;
        if held.all.insert(key, (uses, pixels)).is_none() {
            held.bytes += size;
        }
        while held.bytes > self.limit {
            let Some(oldest) = held.all.iter().min_by_key(|(_, (used, _))| *used).map(|(k, _)| *k) else {
                break;
            };
            if let Some((_, gone)) = held.all.remove(&oldest) {
                held.bytes -= gone.bytes();
            }
        }
    }

    fn find(&self, key: &Digest) -> Option<Held> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.uses += 1;
        let uses = held.uses;
        let (used, pixels) = held.all.get_mut(key)?;
        *used = uses;
        Some(pixels.clone())
    }
}

impl<B: Keep> Keep for Memory<B> {
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>> {
        if let Some(Held::Raster(raster)) = self.find(key) {
            return Some(raster);
        }
        let found = self.behind.get(key)?;
        self.take(*key, Held::Raster(Arc::clone(&found)));
        Some(found)
    }

    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>) {
        self.behind.put(key, raster);
        self.take(key, Held::Raster(Arc::clone(raster)));
    }

    fn held(&self, key: &Digest) -> Option<Held> {
        self.find(key).or_else(|| self.behind.held(key))
    }

    fn hold(&self, key: Digest, held: Held) {
        self.behind.hold(key, held.clone());
        self.take(key, held);
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
        keep.clear();
        assert!(keep.get(&a).is_none() && keep.get(&c).is_none());
        keep.put(b, &raster());
        assert!(keep.get(&b).is_some());
    }
}
