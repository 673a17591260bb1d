//! What one window sees through the lens: its part of the picture, coarse at once and sharp at rest, and while a piece is dragged.
//!
//! A thread of its own draws; what is asked meanwhile calls off what is no longer wanted, and only the newest is drawn.

use crate::room::{Room, Shown, moved, refusal};
use crate::wire::{Screen, Tell, View, Whereto};
use setpiece::commands::rendering::{self, Memory};
use setpiece::commands::scene::PieceId;
use setpiece::commands::staging::{Layout, resolve};
use setpiece::commands::units::{Primaries, PxRect};
use setpiece::commands::write::{self, Hands};
use setpiece::commands::{line_up, names, projection};
use setpiece::rasters::Kept;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use tokio::sync::mpsc;

/// How much coarser the picture is drawn at once, and while a piece is dragged.
const AT_ONCE: u32 = 4;
const DRAGGED: u32 = 2;

/// Where codes lie, in screen pixels of their view, and they themselves.
type Drawn = ([i32; 4], Vec<u8>);

/// What leaves for the window.
pub(crate) enum Out {
    Tell(Tell),
    Screen(Screen, Vec<u8>),
}

/// Where rasters are held, for all windows of a picture.
pub(crate) struct Store {
    still: Memory<Kept>,
    dragged: Memory,
}

impl Store {
    pub(crate) fn of(room: &Room) -> Option<Self> {
        let cache = room.cache()?;
        Some(Self {
            still: Memory::before(700 << 20, Kept::at(&cache, room.budget())),
            dragged: Memory::of_bytes(300 << 20),
        })
    }
}

/// One window's lens.
pub(crate) struct Lens {
    slot: Mutex<Slot>,
    wake: Condvar,
    cancel: AtomicBool,
}

struct Slot {
    shown: Arc<Shown>,
    view: Option<View>,
    drag: Option<(u32, u64, Whereto)>,
    /// Something is to be drawn that was not.
    is_stale: bool,
    is_closed: bool,
}

/// One thing to draw.
struct Wanted {
    shown: Arc<Shown>,
    view: View,
    drag: Option<(u32, u64, Whereto)>,
}

impl Lens {
    pub(crate) fn new(shown: Arc<Shown>) -> Self {
        let slot = Slot { shown, view: None, drag: None, is_stale: false, is_closed: false };
        Self { slot: Mutex::new(slot), wake: Condvar::new(), cancel: AtomicBool::new(false) }
    }

    pub(crate) fn show(&self, view: View) {
        self.change(|slot| slot.view = Some(view));
    }

    /// A drag that goes on does not call off the last place's drawing: a hand that moves all the time would see nothing.
    pub(crate) fn drag(&self, n: u32, piece: u64, to: Whereto) {
        let mut slot = self.slot();
        if slot.drag.replace((n, piece, to)).is_none() {
            self.cancel.store(true, Ordering::Relaxed);
        }
        slot.is_stale = true;
        self.wake.notify_one();
    }

    pub(crate) fn let_go(&self) {
        self.change(|slot| slot.drag = None);
    }

    /// The picture is another. Whatever was dragged stands where that says.
    pub(crate) fn update(&self, shown: Arc<Shown>) {
        self.change(|slot| {
            slot.shown = shown;
            slot.drag = None;
        });
    }

    pub(crate) fn close(&self) {
        self.change(|slot| slot.is_closed = true);
    }

    fn slot(&self) -> MutexGuard<'_, Slot> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut Slot)) {
        let mut slot = self.slot();
        change(&mut slot);
        slot.is_stale = true;
        self.cancel.store(true, Ordering::Relaxed);
        self.wake.notify_one();
    }

    /// Waits for something to draw; `None` when the window is closed.
    fn next(&self) -> Option<Wanted> {
        let mut slot = self.slot();
        loop {
            if slot.is_closed {
                return None;
            }
            if let (true, Some(view)) = (slot.is_stale, slot.view) {
                slot.is_stale = false;
                self.cancel.store(false, Ordering::Relaxed);
                return Some(Wanted { shown: Arc::clone(&slot.shown), view, drag: slot.drag });
            }
            slot = self.wake.wait(slot).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Draws until the window is closed.
    pub(crate) fn work(&self, room: &Room, store: &Store, out: &mpsc::Sender<Out>) {
        while let Some(wanted) = self.next() {
            match wanted.drag {
                Some((n, piece, to)) => self.dragged(room, store, &wanted, (n, piece, to), out),
                None => self.at_rest(room, store, &wanted, out),
            }
        }
    }

    fn at_rest(&self, room: &Room, store: &Store, wanted: &Wanted, out: &mpsc::Sender<Out>) {
        for coarse in [AT_ONCE, 1] {
            let layout = &wanted.shown.resolved.layout;
            let drawn = self.draw(room, &store.still, (layout, wanted, coarse));
            let Ok(Some((part, codes))) = drawn else { return };
            let screen = Screen {
                part,
                coarse,
                scale: wanted.view.scale,
                number: wanted.shown.number,
                is_drag: false,
            };
            if out.blocking_send(Out::Screen(screen, codes)).is_err() || self.cancel.load(Ordering::Relaxed) {
                return;
            }
        }
        // As a drag will ask for it: what does not move is then at hand. A drag that comes first calls it off.
        let layout = &wanted.shown.resolved.layout;
        let _ = self.draw(room, &store.dragged, (layout, wanted, DRAGGED));
    }

    fn dragged(
        &self,
        room: &Room,
        store: &Store,
        wanted: &Wanted,
        (n, piece, to): (u32, u64, Whereto),
        out: &mpsc::Sender<Out>,
    ) {
        let Shown { scene, measures, number, .. } = &*wanted.shown;
        let mut tried = scene.clone();
        // Where it cannot stand it stays where it was seen last.
        let Ok(id) = names::piece(scene, &format!("#{piece}")) else { return };
        if moved(scene, piece, &to).ok().and_then(|edit| tried.apply(edit).ok()).is_none() {
            return;
        }
        let resolved = resolve(&tried, &measures.measured);
        let card = line_up::drawn_up(&tried, &[id], measures, &resolved).pieces.pop();
        let views = projection::projection(&tried, measures, &resolved);
        let tell = Tell::Dragged { n, card: card.map(Box::new), projection: views.map(Box::new) };
        if out.blocking_send(Out::Tell(tell)).is_err() {
            return;
        }
        let drawn = self.draw(room, &store.dragged, (&resolved.layout, wanted, DRAGGED));
        let answer = match drawn {
            Ok(Some((part, codes))) => {
                let (coarse, scale, number) = (DRAGGED, wanted.view.scale, *number);
                Out::Screen(Screen { part, coarse, scale, number, is_drag: true }, codes)
            }
            Ok(None) => return,
            // The window waits for an answer before it asks for the next place.
            Err(e) => Out::Tell(Tell::Refused { n, why: refusal(&e) }),
        };
        let _ = out.blocking_send(answer);
    }

    /// The part of a layout that a view shows, on pixels so many screen pixels wide; `None` where it shows none.
    fn draw(
        &self,
        room: &Room,
        keep: &dyn rendering::Keep,
        (layout, wanted, coarse): (&Layout, &Wanted, u32),
    ) -> Result<Option<Drawn>, setpiece::commands::Error> {
        let view = wanted.view;
        let Some(layout) = layout.scaled(view.scale / f64::from(coarse)) else { return Ok(None) };
        let [x0, y0, x1, y1] = view.part.map(i64::from);
        let k = i64::from(coarse);
        let want =
            PxRect::new(x0.div_euclid(k), y0.div_euclid(k), -(-x1).div_euclid(k), -(-y1).div_euclid(k));
        let want = want.intersect(layout.size.rect());
        if want.is_empty() {
            return Ok(None);
        }
        let hands = Hands {
            threads: std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN),
            budget: room.budget(),
            keep,
            cancel: &self.cancel,
            progress: &|_| {},
        };
        let codes = write::screen(&layout, &wanted.shown.measures.parts, want, Primaries::Srgb, &hands)?;
        let part = [want.x0() * k, want.y0() * k, want.x1() * k, want.y1() * k].map(|v| v as i32);
        Ok(Some((part, codes)))
    }
}

/// The piece that is seen at a place of the picture.
pub(crate) fn picked(room: &Room, store: &Store, shown: &Shown, [u, v]: [f64; 2]) -> Option<PieceId> {
    /// Width that the picture is looked at: no finer than a hand points.
    const WIDE: f64 = 1200.0;
    let layout = &shown.resolved.layout;
    let factor = (WIDE / f64::from(layout.size.width())).min(1.0);
    let scaled = layout.scaled(factor)?;
    let job = rendering::Job {
        layout: &scaled,
        sources: &shown.measures.parts,
        keep: &store.still,
        budget: room.budget(),
        threads: NonZeroUsize::MIN,
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    job.seen_at((u * factor).floor() as i64, (v * factor).floor() as i64)
        .ok()
        .flatten()
        .map(|seen| seen.piece)
}
