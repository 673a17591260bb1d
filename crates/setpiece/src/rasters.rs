//! Rasters of pieces in the picture's cache, so that the next program does not make them anew.
//!
//! A file a raster, named by its key; whatever is found there whole is right, whatever is not is as good as absent. The folder may be
//! deleted at any time, and is kept below a size.

use pixels::{Budget, Image, Rgba};
use render::{Held, Keep};
use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;
use units::{Digest, PxRect};

/// What the folder may hold in all.
const MOST: u64 = 1 << 30;
/// A raster larger than this is for a print, and is not met again while the artist moves pieces about.
const LARGEST: usize = 16 << 20;
/// A reduced cut-out larger than this is for a print too; smaller, it is what a piece in front is drawn from at rest, and long in
/// the making.
const LARGEST_REDUCED: usize = 64 << 20;
/// What a file begins with: form, place, checksum; the samples follow as the machine holds them.
const HEAD: usize = 8 + 4 * 8 + 8;
const MARK: &[u8; 8] = if cfg!(target_endian = "little") { b"raster2l" } else { b"raster2b" };

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

    fn read(&self, path: &Path) -> Option<Arc<Image<Rgba>>> {
        let mut file = fs::File::open(path).ok()?;
        let mut head = [0; HEAD];
        file.read_exact(&mut head).ok()?;
        let number = |i: usize| head[8 + 8 * i..16 + 8 * i].try_into().map(u64::from_le_bytes).ok();
        let place = PxRect::new(number(0)? as i64, number(1)? as i64, number(2)? as i64, number(3)? as i64);
        let whole = place.area().checked_mul(16)?.checked_add(HEAD)?;
        if head[..8] != *MARK || file.metadata().ok()?.len() != whole as u64 {
            return None;
        }
        let mut image = Image::new(place, &self.budget).ok()?;
        let samples: &mut [u8] = bytemuck::cast_slice_mut(image.samples_mut());
        file.read_exact(samples).ok()?;
        if number(4)? != checksum(samples) {
            return None;
        }
        Some(Arc::new(image))
    }

    fn write(&self, key: Digest, raster: &Image<Rgba>, largest: usize) {
        let samples = raster.samples();
        if size_of_val(samples) > largest {
            return;
        }
        let samples: &[u8] = bytemuck::cast_slice(samples);
        let mut head = [0; HEAD];
        let place = raster.place();
        let numbers = [place.x0(), place.y0(), place.x1(), place.y1()].map(|v| v as u64);
        head[..8].copy_from_slice(MARK);
        for (i, n) in numbers.into_iter().chain([checksum(samples)]).enumerate() {
            head[8 + 8 * i..16 + 8 * i].copy_from_slice(&n.to_le_bytes());
        }
        // A cache that cannot be written is none; a name of its own for each writer, and the file is there whole or not at all.
        let mine = self.folder.join(format!("{}.{}", key.short(), std::process::id()));
        let written = fs::create_dir_all(&self.folder)
            .and_then(|()| fs::File::create(&mine))
            .and_then(|mut file| file.write_all(&head).and_then(|()| file.write_all(samples)))
            .and_then(|()| fs::rename(&mine, self.path(&key)));
        if written.is_err() {
            drop(fs::remove_file(&mine));
        }
    }
}

impl Keep for Kept {
    fn get(&self, key: &Digest) -> Option<Arc<Image<Rgba>>> {
        let path = self.path(key);
        let found = self.read(&path);
        if found.is_none() {
            // What is not whole is made anew, and has a file again.
            drop(fs::remove_file(&path));
        }
        found
    }

    fn put(&self, key: Digest, raster: &Arc<Image<Rgba>>) {
        if self.worth != Worth::Reduced {
            self.write(key, raster, LARGEST);
        }
    }

    fn hold(&self, key: Digest, held: Held) {
        if let Held::Raster(reduced) = held
            && self.worth != Worth::Pieces
            && !self.path(&key).exists()
        {
            self.write(key, &reduced, LARGEST_REDUCED);
        }
    }
}

/// Tells damage, not malice: words multiplied and turned (after FNV-1a, on words of eight bytes), in four strands that do not wait
/// for one another.
fn checksum(bytes: &[u8]) -> u64 {
    let mix = |h: u64, w: u64| (h ^ w).wrapping_mul(0x0000_0100_0000_01B3).rotate_left(23);
    let word = |w: &[u8]| w.iter().rev().fold(0, |n, b| n << 8 | u64::from(*b));
    let mut strands = [0xCBF2_9CE4_8422_2325; 4];
    let mut all = bytes.chunks_exact(32);
    for four in all.by_ref() {
        for (strand, w) in strands.iter_mut().zip(four.chunks_exact(8)) {
            *strand = mix(*strand, word(w));
        }
    }
    let h = strands.into_iter().fold(0, mix);
    all.remainder().iter().fold(h, |h, b| mix(h, u64::from(*b)))
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
        kept(Worth::Pieces).hold(reduced, Held::Raster(raster(&budget)));
        kept(Worth::Reduced).put(piece, &raster(&budget));
        assert!([piece, reduced].iter().all(|key| kept(Worth::Both).get(key).is_none()));
        kept(Worth::Pieces).put(piece, &raster(&budget));
        kept(Worth::Reduced).hold(reduced, Held::Raster(raster(&budget)));
        kept(Worth::Both).hold(both, Held::Raster(raster(&budget)));
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
            assert!(!path.exists(), "it would stand in the way of a whole one");
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
