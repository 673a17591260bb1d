//! The mattes of cut-outs in small, in the picture's cache: lighting a piece asks for no more of the others than these.
//!
//! A file a cut-out, named by what it is made of; what is not whole is as good as absent.

use pixels::kernel::form::Small;
use staging::layout::Cut;
use std::io::Write as _;
use std::path::PathBuf;
use units::{Digest, Digester};

/// Part of every name: raised when small mattes change.
const VERSION: u64 = 1;

/// Where they are kept.
#[derive(Clone, Debug)]
pub(crate) struct Smalls {
    folder: PathBuf,
}

impl Smalls {
    pub(crate) fn at(cache: PathBuf) -> Self {
        Self { folder: cache.join("mattes") }
    }

    pub(crate) fn get(&self, cut: Cut) -> Option<Small> {
        let text = std::fs::read(self.path(cut)).ok()?;
        let (sum, kept) = text.split_at_checked(SUM)?;
        (sum == Digest::of(kept).to_string().as_bytes()).then(|| Small::from_bytes(kept))?
    }

    /// Where it cannot be written, the next time takes longer; nothing else.
    pub(crate) fn put(&self, cut: Cut, small: &Small) {
        let kept = small.to_bytes();
        let sum = Digest::of(&kept).to_string();
        let path = self.path(cut);
        let _ = std::fs::create_dir_all(&self.folder).map(|()| {
            files::atomic::write(&path, |out| {
                let written = out.write_all(sum.as_bytes()).and_then(|()| out.write_all(&kept));
                written.map_err(|e| files::Error::unwritten(&path, &e))
            })
        });
    }

    fn path(&self, cut: Cut) -> PathBuf {
        let mut d = Digester::new();
        d.text("small matte").number(VERSION);
        for part in [Some(cut.shot), cut.matte, cut.handwork] {
            d.text(&part.map_or_else(String::new, |p| p.to_string()));
        }
        self.folder.join(d.finish().to_string())
    }
}

/// Signs that a digest is written with.
const SUM: usize = 64;

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::{Budget, Coverage, Image};
    use staging::layout::Mixing;
    use units::PxRect;

    #[test]
    fn what_is_damaged_is_not_there() {
        let folder = tempfile::tempdir().unwrap();
        let smalls = Smalls::at(folder.path().to_owned());
        let cut = Cut::of(Digest::of(b"shot"), Some(Digest::of(b"matte")), Mixing::Over);
        assert!(smalls.get(cut).is_none());
        let budget = Budget::of_bytes(1 << 20);
        let matte =
            Image::from_fn(PxRect::new(0, 0, 40, 30), &budget, |x, y| Coverage((x + y) as f32 / 70.0));
        let small = Small::of(&matte.unwrap(), PxRect::new(3, 0, 40, 30), |c| c.0);
        smalls.put(cut, &small);
        assert_eq!(smalls.get(cut), Some(small));
        let path = smalls.path(cut);
        let mut bytes = std::fs::read(&path).unwrap();
        bytes[200] ^= 1;
        std::fs::write(&path, &bytes).unwrap();
        assert!(smalls.get(cut).is_none());
        std::fs::write(&path, "").unwrap();
        assert!(smalls.get(cut).is_none());
    }
}
