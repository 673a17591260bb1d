//! What staging must know of a picture's photographs: their sizes, and where each cut-out is covered.
//!
//! What was measured is kept in the picture's cache by the digests of the files, so that it is right for as long as it is
//! found; a file that is gone, or is not what it was, is not answered from there.

use super::Error;
use super::incoming::Incoming;
use crate::Folder;
use crate::originals::Stamp;
use crate::parts::Parts;
use pixels::Budget;
use scene::{CutOutId, CutOutKind, Scene};
use serde::{Deserialize, Serialize};
use staging::layout::{Cut, Mixing};
pub use staging::measured::Measured;
use staging::measured::{BANDS, GIRTHS, MeasuredCut, Rim};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use units::{Digest, Digester, Primaries, PxRect, PxSize};

/// A picture's photographs, measured.
pub struct Measures {
    /// Where the files are, for rendering.
    pub parts: Parts,
    /// What was measured.
    pub measured: Measured,
    /// Which could not be, and why.
    pub unread: BTreeMap<CutOutId, Error>,
    /// Why the backdrop could not be read.
    pub backdrop: Option<Error>,
}

/// Where a picture's original files are.
#[must_use]
pub fn parts(scene: &Scene, folder: &Folder) -> Parts {
    let mut parts = Parts::new(scene.format().primaries);
    if let Some(cache) = folder.cache() {
        parts.keep_small(cache);
    }
    for (digest, source) in scene.sources() {
        parts.add_source(*digest, source, folder);
    }
    scene.cutouts().values().for_each(|cutout| parts.add_handwork(cutout));
    parts
}

/// That an original file is there and what it was.
///
/// # Errors
/// Where it is not, or cannot be read.
pub(crate) fn check(scene: &Scene, folder: &Folder, source: Digest) -> Result<(), Error> {
    let parts = parts(scene, folder);
    parts.originals().know(Kept::of(folder).known(scene));
    Ok(parts.originals().check(source).map(drop)?)
}

/// Measures whatever a picture's pieces show, and their other views. Total: what cannot be read is said.
#[must_use]
pub fn measure(scene: &Scene, folder: &Folder, budget: &Budget) -> Measures {
    let parts = parts(scene, folder);
    let mut kept = Kept::of(folder);
    let before = kept.known(scene);
    parts.originals().know(before.clone());
    let cuts: Vec<(CutOutId, Cut)> = scene.cutouts().iter().map(|(id, c)| (*id, Cut::out(c))).collect();
    let results =
        on_all_threads(&cuts, &|(_, cut)| match kept.cuts.get(&key(*cut)).and_then(Numbers::measured) {
            Some(known) => parts.check(*cut).map(|()| known),
            None => parts.measure(*cut, budget),
        });
    let (mut measured, mut unread, mut new) = (Measured::default(), BTreeMap::new(), false);
    for ((id, cut), result) in cuts.iter().zip(results) {
        match result {
            Ok(found) => {
                measured.cuts.insert(*id, found);
                new |= kept.cuts.insert(key(*cut), Numbers::of(&found)).is_none();
            }
            Err(e) => drop(unread.insert(*id, Error::from(e))),
        }
    }
    let mut backdrop = None;
    if let Some(shown) = scene.backdrop() {
        match parts.size(shown.source) {
            Ok(size) => measured.backdrop = Some(size),
            Err(e) => backdrop = Some(Error::from(e)),
        }
    }
    let known = parts.originals().known();
    if new || known != before {
        kept.stamps = known.into_iter().map(|(digest, stamp)| (digest.to_string(), stamp)).collect();
        kept.write(folder);
    }
    Measures { parts, measured, unread, backdrop }
}

/// Measures a shot that is not in a picture yet.
///
/// # Errors
/// Where it and its matte cannot be read or do not belong together.
pub(crate) fn measured_alone(
    shot: &Incoming,
    matte: Option<&Incoming>,
    kind: CutOutKind,
    budget: &Budget,
) -> Result<MeasuredCut, Error> {
    let mut parts = Parts::new(Primaries::Srgb);
    for file in std::iter::once(shot).chain(matte) {
        parts.add(file.digest, file.path.clone());
    }
    let mixing = match kind {
        CutOutKind::Solid => Mixing::Over,
        CutOutKind::Additive => Mixing::Add,
    };
    let cut = Cut::of(shot.digest, matte.map(|m| m.digest), mixing);
    Ok(parts.measure(cut, budget)?)
}

/// The results of `work` on each item, in their order.
fn on_all_threads<T: Sync, R: Send>(items: &[T], work: &(dyn Fn(&T) -> R + Sync)) -> Vec<R> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(items.len().max(1));
    let next = AtomicUsize::new(0);
    let results: Vec<Mutex<Option<R>>> = items.iter().map(|_| Mutex::new(None)).collect();
    let run = || {
        while let Some((item, result)) = {
            let i = next.fetch_add(1, Ordering::Relaxed);
            items.get(i).zip(results.get(i))
        } {
            let done = work(item);
            *result.lock().unwrap_or_else(PoisonError::into_inner) = Some(done);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(run);
        }
        run();
    });
    let taken = |m: Mutex<Option<R>>| m.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.into_iter().map(|m| taken(m).expect("every item was worked on")).collect()
}

const KEPT: &str = "measured";

/// What is kept in the cache.
#[derive(Serialize, Deserialize, Default)]
struct Kept {
    version: u32,
    cuts: BTreeMap<String, Numbers>,
    /// How the original files looked when their content was last found to be right, by their digests.
    stamps: BTreeMap<String, Stamp>,
}

/// A measured cut-out as it is kept.
#[derive(Serialize, Deserialize)]
struct Numbers {
    size: [u32; 2],
    /// Left, top, right and bottom.
    covered: [i64; 4],
    solid: [i64; 4],
    lowest: f64,
    outline: [[f32; 2]; BANDS],
    bulk: f32,
    girths: [[f32; 2]; GIRTHS.len() - 1],
    /// Rows and width.
    crown: Option<[f64; 2]>,
    base: Option<[f64; 2]>,
}

fn key(cut: Cut) -> String {
    let matte = cut.matte.map_or_else(|| "alpha".to_owned(), |m| m.to_string());
    let mixing = match cut.mixing {
        Mixing::Over => "over",
        Mixing::Add => "add",
    };
    let hand = cut.handwork.map_or_else(String::new, |h| format!(" {h}"));
    format!("{} {matte} {mixing}{hand}", cut.shot)
}

impl Numbers {
    fn of(m: &MeasuredCut) -> Self {
        let rect = |r: PxRect| [r.x0(), r.y0(), r.x1(), r.y1()];
        let rim = |r: Option<Rim>| r.map(|r| [r.rows, r.width]);
        Self {
            size: [m.size.width(), m.size.height()],
            covered: rect(m.covered),
            solid: rect(m.solid),
            lowest: m.lowest,
            outline: m.outline,
            bulk: m.bulk,
            girths: m.girths,
            crown: rim(m.crown),
            base: rim(m.base),
        }
    }

    fn measured(&self) -> Option<MeasuredCut> {
        let rect = |r: [i64; 4]| PxRect::new(r[0], r[1], r[2], r[3]);
        let rim = |r: Option<[f64; 2]>| r.map(|[rows, width]| Rim { rows, width });
        Some(MeasuredCut {
            size: PxSize::new(self.size[0], self.size[1])?,
            covered: rect(self.covered),
            solid: rect(self.solid),
            lowest: self.lowest,
            outline: self.outline,
            bulk: self.bulk,
            girths: self.girths,
            crown: rim(self.crown),
            base: rim(self.base),
        })
    }
}

impl Kept {
    /// Of the way mattes are measured; another is measured anew.
    const VERSION: u32 = 5;

    /// Nothing, where it cannot be read: it is a cache.
    fn of(folder: &Folder) -> Self {
        let text =
            folder.cache().and_then(|c| std::fs::read_to_string(c.join(KEPT)).ok()).unwrap_or_default();
        // The first line is the digest of the second: pixels follow from what is kept here.
        let sound = text.split_once('\n').filter(|(sum, kept)| *sum == Self::sum(kept));
        let kept: Option<Self> = sound.and_then(|(_, kept)| serde_json::from_str(kept).ok());
        kept.filter(|k| k.version == Self::VERSION).unwrap_or_else(|| Self {
            version: Self::VERSION,
            cuts: BTreeMap::new(),
            stamps: BTreeMap::new(),
        })
    }

    /// Of the files that the picture has.
    fn known(&self, scene: &Scene) -> BTreeMap<Digest, Stamp> {
        let stamp = |d: &Digest| self.stamps.get(&d.to_string()).map(|s| (*d, *s));
        scene.sources().keys().filter_map(stamp).collect()
    }

    fn sum(text: &str) -> String {
        let mut digester = Digester::new();
        digester.text(text);
        digester.finish().to_string()
    }

    /// Where it cannot be written, the next time takes longer; nothing else.
    fn write(&self, folder: &Folder) {
        let text = serde_json::to_string(self).unwrap_or_default();
        let text = format!("{}\n{text}", Self::sum(&text));
        let Some(path) = folder.cache().map(|c| c.join(KEPT)) else { return };
        // Under a name of its own while it is written: several may look at the picture at once.
        let _ = files::atomic::write(&path, |out| {
            out.write_all(text.as_bytes()).map_err(|e| files::Error::unwritten(&path, &e))
        });
    }
}
