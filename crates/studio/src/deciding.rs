//! A window's decisions: carried out one after another, and what takes long aside of the others.

use crate::lens::{Lens, Out};
use crate::room::Room;
use crate::socket::{broken, going};
use crate::wire::{Deed, Tell, Work};
use setpiece::commands::scene::TakeId;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
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
    /// Calls off what is done aside.
    pub(crate) called_off: Arc<AtomicBool>,
}

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
                if aside.send((work, decision)).await.is_err() {
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

    async fn aside(self, mut works: mpsc::Receiver<(Work, Decision)>, cuts: watch::Sender<usize>) {
        while let Some((work, decision)) = works.recv().await {
            self.called_off.store(false, Ordering::Relaxed);
            self.one(decision, Arc::clone(&self.called_off)).await;
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
