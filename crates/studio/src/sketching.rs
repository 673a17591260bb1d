//! Strokes shown at once, while the shot itself is still being cut.

use crate::lens::{Lens, Out, laid_on};
use crate::room::{Means, refusal};
use crate::store::Store;
use crate::wire::{On, Screen, Tell};
use setpiece::commands::pixels::encode::{Encoder, Transfer};
use setpiece::commands::sketch::{self, Ground};
use setpiece::commands::write::Hands;
use setpiece::commands::{Error, names};
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// The shot that is drawn on, at the scale of a sketch; one a window.
#[derive(Default)]
pub(crate) struct Sketching {
    ground: Mutex<Option<(u64, Arc<Ground>)>>,
    /// The message that asked last: what was asked before it need not be drawn any more.
    last: AtomicU32,
    /// Sketches are drawn one after another.
    is_drawing: Mutex<()>,
}

/// What is to be sketched.
pub(crate) struct Wanted {
    pub(crate) n: u32,
    pub(crate) glass: u32,
    pub(crate) cutout: u64,
    pub(crate) on: On,
    pub(crate) strokes: Option<String>,
}

impl Sketching {
    /// Tells that something is asked for.
    pub(crate) fn ask(&self, n: u32) {
        self.last.store(n, Ordering::Relaxed);
    }

    /// What strokes would do; nothing where they only make ready, or something else was asked for meanwhile.
    pub(crate) fn sketch(&self, lens: &Lens, store: &Store, means: &Means, wanted: &Wanted) -> Option<Out> {
        let _drawing = self.is_drawing.lock().unwrap_or_else(PoisonError::into_inner);
        if self.last.load(Ordering::Relaxed) != wanted.n {
            return None;
        }
        let never = AtomicBool::new(false);
        let hands = Hands {
            threads: std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN),
            budget: &means.budget,
            keep: store.still(),
            cancel: &never,
            progress: &|_| {},
        };
        match self.drawn(lens, wanted, &hands) {
            Ok(drawn) => drawn.map(|(screen, codes)| Out::Screen(screen, codes)),
            Err(e) => Some(Out::Tell(Tell::Refused { n: wanted.n, why: refusal(&e) })),
        }
    }

    fn drawn(
        &self,
        lens: &Lens,
        wanted: &Wanted,
        hands: &Hands<'_>,
    ) -> Result<Option<(Screen, Vec<u8>)>, Error> {
        let (pile, top) = lens.top();
        let leaf = pile.leaf(top);
        let id = names::cutout(&leaf.scene, &format!("#{}", wanted.cutout))?;
        let cutout = &leaf.scene.cutouts()[&id];
        let ground = {
            let mut held = self.ground.lock().unwrap_or_else(PoisonError::into_inner);
            match &*held {
                Some((of, ground)) if *of == wanted.cutout && ground.is_of(cutout) => Arc::clone(ground),
                _ => {
                    let ground = Arc::new(sketch::ground(&leaf.scene, &leaf.measures, id, hands)?);
                    *held = Some((wanted.cutout, Arc::clone(&ground)));
                    ground
                }
            }
        };
        let (Some(text), Some(view)) = (&wanted.strokes, lens.view(wanted.glass)) else { return Ok(None) };
        let image = ground.sketched(cutout, text, laid_on(wanted.on).into(), hands)?;
        let mut rgb = vec![0; image.samples().len()];
        Encoder::of(Transfer::Srgb).u8s(image.samples(), &mut rgb);
        let codes = rgb.chunks_exact(3).flat_map(|p| [p[0], p[1], p[2], u8::MAX]).collect();
        let place = image.place();
        let across = |v: u32| (f64::from(v) * view.scale).round() as i32;
        let shot = ground.shot();
        let screen = Screen {
            glass: wanted.glass,
            part: [0, 0, across(shot.width()), across(shot.height())],
            coarse: 0,
            size: [place.width() as u32, place.height() as u32],
            scale: view.scale,
            number: pile.number,
            is_tried: false,
        };
        Ok(Some((screen, codes)))
    }
}
