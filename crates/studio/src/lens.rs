//! What one window sees: the lens, and the glasses laid on its sheet; coarse at once and sharp at rest, and while something is tried.
//!
//! A thread of its own draws; what is asked meanwhile calls off what is no longer wanted, and only the newest is drawn.

use crate::room::{Leaf, Means, Pile, Room, refusal};
use crate::store::{Store, WAITED};
use crate::wire::{Deed, Of, On, Screen, Tell, View};
use setpiece::commands::laid::Ground;
use setpiece::commands::pixels::Budget;
use setpiece::commands::rendering::{self, Trail};
use setpiece::commands::scene::{PieceId, Scene, TakeId, TreatmentId};
use setpiece::commands::staging::{Layout, Resolved, resolve};
use setpiece::commands::units::{Primaries, PxRect};
use setpiece::commands::write::{self, Hands};
use setpiece::commands::{dressings, line_up, looks, names, projection, toning};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use tokio::sync::mpsc;

/// How much coarser a view is drawn at once, and while something is tried.
const AT_ONCE: u32 = 4;
const TRIED: u32 = 2;
/// The glass that comes first.
const LENS: u32 = 0;

/// Where codes lie, in screen pixels of their view, and they themselves.
type Drawn = ([i32; 4], Vec<u8>);

/// What leaves for the window.
pub(crate) enum Out {
    Tell(Tell),
    Screen(Screen, Vec<u8>),
}

/// One window's glasses.
pub(crate) struct Lens {
    slot: Mutex<Slot>,
    wake: Condvar,
    cancel: AtomicBool,
}

struct Slot {
    pile: Arc<Pile>,
    top: Option<TakeId>,
    glasses: BTreeMap<u32, Glass>,
    tried: Option<(u32, Deed)>,
    /// What is tried is to be drawn and was not.
    is_trying: bool,
    /// What a trial needs may be got ready.
    is_cold: bool,
    /// The window shows nothing yet through the lens.
    is_blank: bool,
    is_closed: bool,
}

struct Glass {
    view: View,
    /// How coarse it is to be drawn next; none where it is drawn.
    owes: Option<u32>,
    /// A sketch lies over it: until it is asked for again it need not be drawn.
    is_covered: bool,
}

/// One thing to draw.
enum Wanted {
    /// What a deed would do, through the lens.
    Tried(Arc<Pile>, Option<TakeId>, Option<View>, (u32, Deed)),
    /// A glass, so coarse.
    Glass(Arc<Pile>, Option<TakeId>, u32, View, u32),
    /// What a trial will need.
    Warm(Arc<Pile>, Option<TakeId>, View),
}

impl Lens {
    pub(crate) fn new(pile: Arc<Pile>) -> Self {
        let slot = Slot {
            pile,
            top: None,
            glasses: BTreeMap::new(),
            tried: None,
            is_trying: false,
            is_cold: false,
            is_blank: true,
            is_closed: false,
        };
        Self { slot: Mutex::new(slot), wake: Condvar::new(), cancel: AtomicBool::new(false) }
    }

    pub(crate) fn show(&self, glass: u32, view: Option<View>) {
        self.change(|slot| {
            match view {
                Some(view) => {
                    slot.glasses.insert(glass, Glass { view, owes: Some(AT_ONCE), is_covered: false })
                }
                None => slot.glasses.remove(&glass),
            };
            slot.is_cold |= glass == LENS;
            slot.is_blank |= glass == LENS;
        });
    }

    /// Leaves a glass as it is, until it is asked for again.
    pub(crate) fn cover(&self, glass: u32) {
        if let Some(glass) = self.slot().glasses.get_mut(&glass) {
            glass.is_covered = true;
        }
    }

    /// What a glass shows.
    pub(crate) fn view(&self, glass: u32) -> Option<View> {
        self.slot().glasses.get(&glass).map(|g| g.view)
    }

    /// The leaf that lies on top.
    pub(crate) fn top(&self) -> (Arc<Pile>, Option<TakeId>) {
        let slot = self.slot();
        (Arc::clone(&slot.pile), slot.top)
    }

    /// Lays another leaf on top.
    pub(crate) fn lay(&self, take: Option<u64>) {
        self.change(|slot| {
            slot.top = slot.pile.take(take);
            slot.tried = None;
            slot.owe_all();
        });
    }

    /// A trial that goes on does not call off the last one's drawing: a hand that moves all the time would see nothing.
    pub(crate) fn try_out(&self, n: u32, deed: Deed) {
        let mut slot = self.slot();
        if slot.tried.replace((n, deed)).is_none() {
            self.cancel.store(true, Ordering::Relaxed);
        }
        slot.is_trying = true;
        self.wake.notify_one();
    }

    pub(crate) fn let_go(&self) {
        self.change(|slot| {
            if slot.tried.take().is_some() {
                slot.owe_all();
            }
        });
    }

    /// Something was decided. Where the picture is the same as before, what was tried is gone.
    pub(crate) fn decided(&self, pile: &Arc<Pile>) {
        let is_same = Arc::ptr_eq(&self.slot().pile, pile);
        if is_same {
            self.let_go();
        }
    }

    /// The picture is another. Whatever was tried is decided, or gone.
    pub(crate) fn update(&self, pile: Arc<Pile>) {
        self.change(|slot| {
            slot.top = pile.take(slot.top.map(|id| id.number()));
            slot.pile = pile;
            slot.tried = None;
            slot.owe_all();
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
            self.cancel.store(false, Ordering::Relaxed);
            if let Some(wanted) = slot.next() {
                return Some(wanted);
            }
            slot = self.wake.wait(slot).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Draws until the window is closed.
    pub(crate) fn work(&self, room: &Room, store: &Store, out: &mpsc::Sender<Out>) {
        let budget = room.means().budget.giving_way();
        let mut easel = Easel { means: room.means(), budget, store, cancel: &self.cancel, trail: None };
        while let Some(wanted) = self.next() {
            if std::mem::take(&mut self.slot().is_blank) {
                easel.trail = None;
            }
            match wanted {
                Wanted::Tried(pile, top, view, tried) => {
                    easel.tried(&pile, &pile.leaf(top), (view, &tried), out);
                }
                Wanted::Glass(pile, top, glass, view, coarse) => {
                    if !easel.glass(&pile, top, (glass, view, coarse), out) {
                        self.slot().owe(glass, coarse);
                    }
                }
                Wanted::Warm(pile, top, view) => {
                    let leaf = pile.leaf(top);
                    let _ = easel.draw(store.tried(), (&leaf.resolved.layout, &leaf, view), TRIED);
                }
            }
        }
    }
}

impl Slot {
    fn owe_all(&mut self) {
        self.glasses.values_mut().for_each(|glass| glass.owes = Some(AT_ONCE));
        self.is_cold = true;
    }

    /// What could not be drawn is owed still, if nothing coarser is.
    fn owe(&mut self, glass: u32, coarse: u32) {
        if let Some(glass) = self.glasses.get_mut(&glass)
            && glass.owes.is_none_or(|owed| owed < coarse)
        {
            glass.owes = Some(coarse);
        }
    }

    fn next(&mut self) -> Option<Wanted> {
        let pile = Arc::clone(&self.pile);
        if let Some(tried) = self.tried.clone().filter(|_| self.is_trying) {
            self.is_trying = false;
            return Some(Wanted::Tried(pile, self.top, self.glasses.get(&LENS).map(|g| g.view), tried));
        }
        // What is tried stays to be seen until it is decided, where the lens shows it.
        let is_busy = self.tried.is_some();
        let waits = |n: u32, g: &Glass| g.is_covered || is_busy && n == LENS && matches!(g.view.of, Of::Top);
        let owing = self.glasses.iter_mut().filter(|(n, g)| !waits(**n, g));
        let mut owing: Vec<_> = owing.filter(|(_, g)| g.owes.is_some()).collect();
        owing.sort_by_key(|(n, g)| (std::cmp::Reverse(g.owes), **n));
        if let Some((number, glass)) = owing.into_iter().next() {
            let coarse = glass.owes.take()?;
            if coarse > 1 {
                glass.owes = Some(1);
            }
            return Some(Wanted::Glass(pile, self.top, *number, glass.view, coarse));
        }
        let view = self.glasses.get(&LENS).map(|g| g.view).filter(|_| self.is_cold && !is_busy)?;
        self.is_cold = false;
        matches!(view.of, Of::Top).then_some(Wanted::Warm(pile, self.top, view))
    }
}

/// What is drawn with.
struct Easel<'a> {
    means: &'a Means,
    /// What it draws in gives way to prints and cuts.
    budget: Budget,
    store: &'a Store,
    cancel: &'a AtomicBool,
    /// What the window shows through the lens, from which only what has changed is drawn; none where that is not known.
    trail: Option<Trail>,
}

impl Easel<'_> {
    /// Draws a glass; false where it was called off.
    fn glass(
        &mut self,
        pile: &Pile,
        top: Option<TakeId>,
        (glass, view, coarse): (u32, View, u32),
        out: &mpsc::Sender<Out>,
    ) -> bool {
        let take = match view.of {
            Of::Leaf { take } => pile.take(take),
            _ => top,
        };
        let leaf = pile.leaf(take);
        let layout = match layout(&leaf, view.of) {
            Ok(Some(layout)) => layout,
            Ok(None) => return true,
            Err(e) => return out.blocking_send(Out::Tell(Tell::Refused { n: 0, why: refusal(&e) })).is_ok(),
        };
        let is_followed = glass == LENS && matches!(view.of, Of::Top);
        // Where the window shows a picture already, what has changed of it is drawn at once.
        let follows = is_followed && coarse > 1 && self.trail.is_some();
        let coarse = if follows { TRIED } else { coarse };
        let drawn = if follows {
            self.follow((&layout, &leaf, view))
        } else {
            if is_followed {
                self.trail = None;
            }
            self.draw(self.store.still(), (&layout, &leaf, view), coarse)
        };
        match drawn {
            Ok(Some((part, codes))) => {
                let (scale, number, size) = (view.scale, leaf.number, sized(part, coarse));
                let screen = Screen { glass, part, coarse, size, scale, number, is_tried: false };
                let is_taken = out.blocking_send(Out::Screen(screen, codes)).is_ok();
                if is_taken && is_followed && coarse == 1 {
                    self.trail = self.trail((&leaf, view), PxRect::EMPTY);
                }
                is_taken
            }
            Ok(None) => true,
            Err(_) if self.cancel.load(Ordering::Relaxed) => false,
            // It is drawn when those are done that work on a large shot.
            Err(_) if self.budget.was_put_off() => {
                std::thread::sleep(WAITED);
                false
            }
            Err(e) => out.blocking_send(Out::Tell(Tell::Refused { n: 0, why: refusal(&e) })).is_ok(),
        }
    }

    fn tried(
        &mut self,
        pile: &Pile,
        leaf: &Leaf,
        (view, (n, deed)): (Option<View>, &(u32, Deed)),
        out: &mpsc::Sender<Out>,
    ) {
        let n = *n;
        let none = || Tell::Tried {
            n,
            is_seen: true,
            cards: Vec::new(),
            projection: None,
            toning: Vec::new(),
            dressings: Vec::new(),
        };
        // Where it cannot be it stays as it was seen last.
        let Some(tried) = leaf.rehearsed(pile, self.means, deed) else {
            let _ = out.blocking_send(Out::Tell(none()));
            return;
        };
        let resolved = resolve(&tried, &leaf.measures.measured);
        let view = view.filter(|v| matches!(v.of, Of::Top));
        // Where the ground is dressed anew the plan has much to show, and sooner than the picture.
        let told = |is_seen| told((n, deed, is_seen), &tried, leaf, &resolved);
        if deed.dresses() && out.blocking_send(Out::Tell(told(false))).is_err() {
            return;
        }
        let drawn = view.map(|view| (view, self.follow((&resolved.layout, leaf, view))));
        // Else the picture first: the window waits for what is told before it asks for the next.
        let answer = match drawn {
            Some((view, Ok(Some((part, codes))))) => {
                let (scale, number, size) = (view.scale, leaf.number, sized(part, TRIED));
                let head = Screen { glass: LENS, part, coarse: TRIED, size, scale, number, is_tried: true };
                if out.blocking_send(Out::Screen(head, codes)).is_err() {
                    return;
                }
                told(true)
            }
            Some((_, Ok(None))) | None => told(true),
            Some((_, Err(_))) if self.cancel.load(Ordering::Relaxed) || self.budget.was_put_off() => none(),
            Some((_, Err(e))) => Tell::Refused { n, why: refusal(&e) },
        };
        let _ = out.blocking_send(Out::Tell(answer));
    }

    /// What of a layout must be drawn over what the window shows, as coarse as for a trial.
    fn follow(
        &mut self,
        (layout, leaf, view): (&Layout, &Leaf, View),
    ) -> Result<Option<Drawn>, setpiece::commands::Error> {
        let Some(layout) = scaled(layout, view, TRIED) else { return Ok(None) };
        let whole = layout.size.rect();
        // Where drawing fails, nothing is known any more of what the window shows.
        let Some(mut trail) = self.trail.take().or_else(|| self.trail((leaf, view), whole)) else {
            return Ok(None);
        };
        let stroke = trail.stroke(layout);
        let part = (&stroke.layout, TRIED, Some(stroke.part));
        let drawn = self.codes(self.store.tried(), (leaf, view), part)?;
        trail.drawn(stroke);
        self.trail = Some(trail);
        Ok(drawn)
    }

    /// The picture at rest as a trial begins from it, seen in the window everywhere but in `stale`.
    fn trail(&self, (leaf, view): (&Leaf, View), stale: PxRect) -> Option<Trail> {
        let layout = scaled(&leaf.resolved.layout, view, TRIED)?;
        let hands = self.hands(self.store.tried());
        let rest = hands.job(&layout, &leaf.measures.parts).held().ok()?;
        Some(Trail::new(rest, stale))
    }

    /// The part of a layout that a view shows, on pixels so many screen pixels wide; `None` where it shows none.
    fn draw(
        &self,
        keep: &dyn rendering::Keep,
        (layout, leaf, view): (&Layout, &Leaf, View),
        coarse: u32,
    ) -> Result<Option<Drawn>, setpiece::commands::Error> {
        let Some(layout) = scaled(layout, view, coarse) else { return Ok(None) };
        self.codes(keep, (leaf, view), (&layout, coarse, None))
    }

    /// The same of a layout at its scale; of a part of it alone where one is named, or of one pixel where nothing of it is seen.
    fn codes(
        &self,
        keep: &dyn rendering::Keep,
        (leaf, view): (&Leaf, View),
        (layout, coarse, part): (&Layout, u32, Option<PxRect>),
    ) -> Result<Option<Drawn>, setpiece::commands::Error> {
        let [x0, y0, x1, y1] = view.part.map(i64::from);
        let k = i64::from(coarse);
        let within =
            PxRect::new(x0.div_euclid(k), y0.div_euclid(k), -(-x1).div_euclid(k), -(-y1).div_euclid(k));
        let within = within.intersect(layout.size.rect());
        if within.is_empty() {
            return Ok(None);
        }
        let want = part.map_or(within, |part| within.intersect(part));
        let pixel = PxRect::new(within.x0(), within.y0(), within.x0() + 1, within.y0() + 1);
        let want = if want.is_empty() { pixel } else { want };
        let colours = if view.is_wide { Primaries::DisplayP3 } else { Primaries::Srgb };
        let codes = write::screen(layout, &leaf.measures.parts, (within, want), colours, &self.hands(keep))?;
        let part = [want.x0() * k, want.y0() * k, want.x1() * k, want.y1() * k].map(|v| v as i32);
        Ok(Some((part, codes)))
    }

    fn hands<'a>(&'a self, keep: &'a dyn rendering::Keep) -> Hands<'a> {
        Hands {
            threads: std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN),
            budget: &self.budget,
            keep,
            cancel: self.cancel,
            progress: &|_| {},
        }
    }
}

/// A layout at the scale of a view, on pixels so many screen pixels wide.
fn scaled(layout: &Layout, view: View, coarse: u32) -> Option<Layout> {
    layout.scaled(view.scale / f64::from(coarse))
}

/// Width and height of a part on pixels so many screen pixels wide.
fn sized([x0, y0, x1, y1]: [i32; 4], coarse: u32) -> [u32; 2] {
    [x1 - x0, y1 - y0].map(|v| v.unsigned_abs() / coarse)
}

/// What a view is of; none where there is no such thing.
fn layout(leaf: &Leaf, of: Of) -> Result<Option<Cow<'_, Layout>>, setpiece::commands::Error> {
    Ok(match of {
        Of::Top | Of::Leaf { .. } => Some(Cow::Borrowed(&leaf.resolved.layout)),
        Of::Strength { treatment, percent } => strengthened(&leaf.scene, treatment, percent)
            .map(|s| Cow::Owned(resolve(&s, &leaf.measures.measured).layout)),
        Of::Wash { treatment } => {
            let layout = &leaf.resolved.layout;
            let washed = looks::washed(layout, TreatmentId::from_number(treatment));
            Some(washed.map_or(Cow::Borrowed(layout), Cow::Owned))
        }
        Of::Backdrop => looks::backdrop(&leaf.scene, &leaf.measures).map(Cow::Owned),
        Of::CutOut { cutout, on } => {
            match leaf.scene.cutouts().keys().copied().find(|id| id.number() == cutout) {
                Some(id) => Some(Cow::Owned(looks::cut_out(&leaf.scene, &leaf.measures, id, laid_on(on))?)),
                None => None,
            }
        }
    })
}

/// The picture with a treatment so strong; none where it is gone.
fn strengthened(scene: &Scene, treatment: u64, percent: u32) -> Option<Scene> {
    let id = names::treatment(scene, &format!("#{treatment}")).ok()?;
    let strength = Some(f64::from(percent) / 100.0);
    let mut strengthened = scene.clone();
    strengthened.apply(toning::change(scene, id, &toning::Told::default(), strength, None).ok()?).ok()?;
    Some(strengthened)
}

/// What a cut-out is looked at on.
pub(crate) const fn laid_on(on: On) -> looks::On {
    match on {
        On::Velvet => looks::On::Ground(Ground::Velvet),
        On::GreyCard => looks::On::Ground(Ground::GreyCard),
        On::WhitePaper => looks::On::Ground(Ground::WhitePaper),
        On::Lith => looks::On::Lith,
        On::Shot => looks::On::Shot,
    }
}

/// What the window is told while something is tried.
fn told((n, deed, is_seen): (u32, &Deed, bool), tried: &Scene, leaf: &Leaf, resolved: &Resolved) -> Tell {
    let ids: Vec<PieceId> = match deed {
        // What lies on the table then is the dressing's card.
        _ if deed.dresses() => Vec::new(),
        Deed::Move { piece, .. } => names::piece(tried, &format!("#{piece}")).into_iter().collect(),
        Deed::Say { .. } => tried.pieces().keys().copied().collect(),
    };
    let views = projection::projection(tried, &leaf.measures, resolved);
    let cards = line_up::drawn_up(tried, &ids, &leaf.measures, resolved).pieces;
    let (toning, dressings) = (toning::list(tried), dressings::list(tried));
    Tell::Tried { n, is_seen, cards, projection: views.map(Box::new), toning, dressings }
}

/// The piece that is seen at a place of the picture.
///
/// # Errors
/// Where that cannot be looked at.
pub(crate) fn picked(
    means: &Means,
    store: &Store,
    leaf: &Leaf,
    [u, v]: [f64; 2],
) -> Result<Option<PieceId>, setpiece::commands::Error> {
    /// Width that the picture is looked at: no finer than a hand points.
    const WIDE: f64 = 1200.0;
    /// Where nothing is seen, it is looked for as many pixels around.
    const NEAR: i64 = 2;
    let layout = &leaf.resolved.layout;
    let factor = (WIDE / f64::from(layout.size.width())).min(1.0);
    let Some(scaled) = layout.scaled(factor) else { return Ok(None) };
    let job = rendering::Job {
        layout: &scaled,
        sources: &leaf.measures.parts,
        keep: store.still(),
        budget: &means.budget,
        threads: NonZeroUsize::MIN,
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    let (x, y) = ((u * factor).floor() as i64, (v * factor).floor() as i64);
    if !scaled.size.rect().contains(x, y) {
        return Ok(None);
    }
    let around = |by: i64| PxRect::new(x - by, y - by, x + 1 + by, y + 1 + by);
    // A blade of grass is thinner than a hand points.
    let seen = match job.seen_in(around(0))? {
        None => job.seen_in(around(NEAR))?,
        seen => seen,
    };
    Ok(seen.map(|seen| seen.piece))
}
