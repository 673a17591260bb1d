//! A window's decisions: carried out one after another, and what takes long aside of the others.

use crate::lens::{Lens, Out};
use crate::room::Room;
use crate::socket::{broken, going};
use crate::wire::{Deed, Tell, Work};
use setpiece::commands::scene::TakeId;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::{mpsc, watch};

/// Decisions that wait to be carried out; a window that sends more waits.
pub(crate) const UNDECIDED: usize = 64;

/// What is to be done.
pub(crate) struct Decision {
    /// The number of its message.
    pub(crate) n: u32,
    /// The leaf that lay on top.
    pub(crate) top: Option<TakeId>,
    pub(crate) deed: Deed,
}

/// Who carries out what is decided.
#[derive(Clone)]
pub(crate) struct Deciding {
    pub(crate) lens: Arc<Lens>,
    pub(crate) room: Arc<Room>,
    pub(crate) out: mpsc::Sender<Out>,
    pub(crate) works: Arc<Works>,
}

/// What is done aside, or waits for it: the numbers of the messages, each with what calls it off.
#[derive(Default)]
pub(crate) struct Works(Mutex<Vec<(u32, Arc<AtomicBool>)>>);

impl Works {
    /// Calls one of them off, or all.
    pub(crate) fn call_off(&self, only: Option<u32>) {
        let works = self.works();
        let meant = works.iter().filter(|(n, _)| only.is_none_or(|only| *n == only));
        meant.for_each(|(_, called_off)| called_off.store(true, Ordering::Relaxed));
    }

    fn begin(&self, n: u32) -> Arc<AtomicBool> {
        let called_off = Arc::<AtomicBool>::default();
        self.works().push((n, Arc::clone(&called_off)));
        called_off
    }

    fn end(&self, n: u32) {
        self.works().retain(|work| work.0 != n);
    }

    fn works(&self) -> MutexGuard<'_, Vec<(u32, Arc<AtomicBool>)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A decision that takes long, what calls it off, and whether it is that something is cut anew.
type Aside = (Decision, Arc<AtomicBool>, Work);

impl Deciding {
    /// Carries out all that is decided, to the end. Taking back waits for what is cut anew, which is what the hand did last; for a shot that
    /// comes in it does not.
    pub(crate) async fn all(self, mut waiting: mpsc::Receiver<Decision>) {
        let (cuts, _) = watch::channel(0_usize);
        let (aside, works) = mpsc::channel(UNDECIDED);
        let working = tokio::spawn(self.clone().aside(works, cuts.clone()));
        while let Some(decision) = waiting.recv().await {
            if let Some(work) = decision.deed.work() {
                cuts.send_modify(|n| *n += usize::from(work == Work::Cut));
                let called_off = self.works.begin(decision.n);
                if aside.send((decision, called_off, work)).await.is_err() {
                    break;
                }
                continue;
            }
            if decision.deed.is_turn() {
                let _ = cuts.subscribe().wait_for(|n| *n == 0).await;
            }
            self.one(decision, Arc::default()).await;
        }
        drop(aside);
        let _ = working.await;
    }

    async fn aside(self, mut works: mpsc::Receiver<Aside>, cuts: watch::Sender<usize>) {
        while let Some((decision, called_off, work)) = works.recv().await {
            let n = decision.n;
            self.one(decision, called_off).await;
            self.works.end(n);
            cuts.send_modify(|n| *n -= usize::from(work == Work::Cut));
        }
    }

    async fn one(&self, Decision { n, top, deed }: Decision, called_off: Arc<AtomicBool>) {
        let room = Arc::clone(&self.room);
        let told = going(n, self.out.clone());
        let done = tokio::task::spawn_blocking(move || room.carry_out(top, &deed, (&called_off, told))).await;
        let tell = match done {
            Ok(Ok(said)) => Tell::Done { n, says: said.says, notes: said.notes },
            Ok(Err(why)) => Tell::Refused { n, why },
            Err(_) => Tell::Refused { n, why: broken() },
        };
        self.lens.decided(&self.room.pile());
        let _ = self.out.send(Out::Tell(tell)).await;
    }
}
