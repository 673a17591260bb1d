//! Rasters of pieces in the picture's cache, so that the next program does not make them anew.
//!
//! A file a raster, named by its key; whatever is found there whole is right, whatever is not is as good as absent. The folder may be
//! deleted at any time, and is kept below a size.

use pixels::{Budget, Image, Rgba};
use render::Keep;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;
use units::{Digest, PxRect};

/// What the folder may hold in all.
const MOST: u64 = 1 << 30;
/// A raster larger than this is for a print, and is not met again while the artist moves pieces about.
const LARGEST: usize = 16 << 20;
/// What a file begins with: form, place, checksum.
const HEAD: usize = 8 + 4 * 8 + 8;
const MARK: &[u8; 8] = b"raster1\n";

/// The rasters of one picture's cache.
pub struct Kept {
    folder: PathBuf,
    budget: Budget,
    worth: Worth,
}

/// What is worth a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Worth {
    /// Pieces as they stand in the picture.
    Pieces,
    /// Cut-outs as small as they are used: for pieces that stand elsewhere each time.
    Reduced,
    /// Both.
    Both,
}

impl Kept {
    /// In the cache folder of a picture; what is read is paid for from the budget. Clears away the oldest where there is too much.
    #[must_use]
    pub fn at(cache: &Path, worth: Worth, budget: &Budget) -> Self {
        let folder = cache.join("rasters");
        clear(&folder, MOST);
        Self { folder, budget: budget.clone(), worth }
    }

    fn path(&self, key: &Digest) -> PathBuf {
        self.folder.join(key.to_string())
    }

    fn write(&self, key: Digest, raster: &Image<Rgba>) {
        let samples = raster.samples();
        if size_of_val(samples) > LARGEST {
            return;
        }
        let mut bytes = vec![0; HEAD];
        bytes.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
        let place = raster.place();
        let numbers = [place.x0(), place.y0(), place.x1(), place.y1()].map(|v| v as u64);
        bytes[..8].copy_from_slice(MARK);
        for (i, n) in numbers.into_iter().chain([checksum(&bytes[HEAD..])]).enumerate() {
            bytes[8 + 8 * i..16 + 8 * i].copy_from_slice(&n.to_le_bytes());
        }
        // A cache that cannot be written is none; a name of its own for each writer, and the file is there whole or not at all.
        let mine = self.folder.join(format!("{}.{}", key.short(), std::process::id()));
        let written = fs::create_dir_all(&self.folder)
            .and_then(|()| fs::write(&mine, &bytes))
            .and_then(|()| fs::rename(&mine, self.path(&key)));
        if written.is_err() {
            drop(fs::remove_file(&mine));
        }
    }
}

impl Keep for Kept {
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>> {
        let bytes = fs::read(self.path(key)).ok()?;
        let (head, samples) = bytes.split_at_checked(HEAD)?;
        let number = |i: usize| head[8 + 8 * i..16 + 8 * i].try_into().map(u64::from_le_bytes).ok();
        if head[..8] != *MARK || number(4)? != checksum(samples) {
            return None;
        }
        let place = PxRect::new(number(0)? as i64, number(1)? as i64, number(2)? as i64, number(3)? as i64);
        if place.area().checked_mul(16)? != samples.len() {
            return None;
        }
        let mut image = Image::new(place, &self.budget).ok()?;
        for (s, b) in image.samples_mut().iter_mut().zip(samples.chunks_exact(4)) {
            *s = f32::from_le_bytes(b.try_into().ok()?);
        }
        Some(Arc::new(image))
    }

    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>) {
        if self.worth != Worth::Reduced {
            self.write(key, raster);
        }
    }

    fn hold(&self, key: Digest, reduced: &Arc<Image<Rgba>>) {
        if self.worth != Worth::Pieces && !self.path(&key).exists() {
            self.write(key, reduced);
        }
    }
}

/// Tells damage, not malice: words multiplied and turned (after FNV-1a, on words of eight bytes).
fn checksum(bytes: &[u8]) -> u64 {
    let mut words = bytes.chunks_exact(8);
    let mix = |h: u64, w: u64| (h ^ w).wrapping_mul(0x0000_0100_0000_01B3).rotate_left(23);
    let h = words
        .by_ref()
        .fold(0xCBF2_9CE4_8422_2325, |h, w| mix(h, w.iter().rev().fold(0, |n, b| n << 8 | u64::from(*b))));
    words.remainder().iter().fold(h, |h, b| mix(h, u64::from(*b)))
}

/// Removes the files that were written longest ago until no more than `most` bytes are left.
fn clear(folder: &Path, most: u64) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    let mut files: Vec<(SystemTime, u64, PathBuf)> = entries
        .filter_map(|e| {
            let entry = e.ok()?;
            let data = entry.metadata().ok()?;
            Some((data.modified().ok()?, data.len(), entry.path()))
        })
        .collect();
    let mut sum: u64 = files.iter().map(|f| f.1).sum();
    files.sort();
    for (_, length, path) in files {
        if sum <= most {
            return;
        }
        if fs::remove_file(path).is_ok() {
            sum -= length;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raster(budget: &Budget) -> Arc<Image<Rgba>> {
        let place = PxRect::new(-3, 5, 4, 9);
        Arc::new(Image::from_fn(place, budget, |x, y| Rgba([x as f32, y as f32 * 1e-9, -0.0, 0.1])).unwrap())
    }

    #[test]
    fn what_comes_out_is_what_was_put_in() {
        let (budget, folder) = (Budget::of_bytes(1 << 20), tempfile::tempdir().unwrap());
        let key = Digest::of(b"key");
        let raster = raster(&budget);
        Kept::at(folder.path(), Worth::Pieces, &budget).put(key, &raster);
        let found = Kept::at(folder.path(), Worth::Pieces, &budget).get(&key).unwrap();
        assert_eq!(found.place(), raster.place());
        let bits = |i: &Image<Rgba>| i.samples().iter().map(|s| s.to_bits()).collect::<Vec<_>>();
        assert_eq!(bits(&found), bits(&raster));
        assert!(Kept::at(folder.path(), Worth::Pieces, &budget).get(&Digest::of(b"other")).is_none());
    }

    #[test]
    fn only_what_is_worth_a_file_has_one() {
        let (budget, folder) = (Budget::of_bytes(1 << 20), tempfile::tempdir().unwrap());
        let kept = |worth| Kept::at(folder.path(), worth, &budget);
        let [piece, reduced, both] = ["a piece", "reduced", "both"].map(|t| Digest::of(t.as_bytes()));
        kept(Worth::Pieces).hold(reduced, &raster(&budget));
        kept(Worth::Reduced).put(piece, &raster(&budget));
        assert!([piece, reduced].iter().all(|key| kept(Worth::Both).get(key).is_none()));
        kept(Worth::Pieces).put(piece, &raster(&budget));
        kept(Worth::Reduced).hold(reduced, &raster(&budget));
        kept(Worth::Both).hold(both, &raster(&budget));
        assert!([piece, reduced, both].iter().all(|key| kept(Worth::Pieces).get(key).is_some()));
    }

    #[test]
    fn what_is_damaged_is_not_there() {
        let (budget, folder) = (Budget::of_bytes(1 << 20), tempfile::tempdir().unwrap());
        let key = Digest::of(b"key");
        let kept = Kept::at(folder.path(), Worth::Pieces, &budget);
        kept.put(key, &raster(&budget));
        let path = kept.path(&key);
        let whole = fs::read(&path).unwrap();
        for at in 0..whole.len() {
            let mut damaged = whole.clone();
            damaged[at] ^= 0x10;
            fs::write(&path, &damaged).unwrap();
            assert!(kept.get(&key).is_none(), "byte {at}");
            fs::write(&path, &whole[..at]).unwrap();
            assert!(kept.get(&key).is_none(), "{at} bytes");
        }
    }

    #[test]
    fn the_oldest_goes_where_there_is_too_much() {
        let folder = tempfile::tempdir().unwrap();
        for (i, name) in ["old", "middle", "new"].iter().enumerate() {
            let path = folder.path().join(name);
            fs::write(&path, [0; 100]).unwrap();
            let at = SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1000 + i as u64);
            fs::File::options().append(true).open(&path).unwrap().set_modified(at).unwrap();
        }
        clear(folder.path(), 200);
        assert!(!folder.path().join("old").exists() && folder.path().join("middle").exists());
    }
}
