//! One window's line to the program.

use crate::deciding::{Deciding, Decision, UNDECIDED, Works};
use crate::house::{House, Open};
use crate::lens::{Lens, Out, picked};
use crate::room::{PrintWanted, Room, refusal};
use crate::sketching::{self, Sketching};
use crate::store::Store;
use crate::wire::{Ask, Asked, Refusal, Screen, Tell};
use axum::extract::ws::{Message, WebSocket};
use setpiece::commands::pixels::budget::Told;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use tokio::sync::{mpsc, watch};

/// Messages that wait to leave; a window that does not take them is not sent more.
const WAITING: usize = 4;
/// Longest message from a window.
pub(crate) const LONGEST: usize = 1 << 20;

/// One window: what it sees, what is done for it, and the way back to it.
#[derive(Clone)]
struct Window {
    lens: Arc<Lens>,
    house: Arc<House>,
    room: Arc<Room>,
    store: Arc<Store>,
    out: mpsc::Sender<Out>,
    deeds: mpsc::Sender<Decision>,
    sketching: Arc<Sketching>,
    works: Arc<Works>,
    /// Calls off what is being printed.
    called_off: Arc<AtomicBool>,
}

/// Answers a window until it closes.
pub(crate) async fn answer(mut socket: WebSocket, house: Arc<House>) {
    let mut watch = house.watch();
    loop {
        let open = watch.borrow_and_update().clone();
        let goes_on = match open {
            Some(open) => at_picture(&mut socket, &house, &mut watch, &open).await,
            None => at_rack(&mut socket, &house, &mut watch).await,
        };
        if !goes_on {
            return;
        }
    }
}

type Watch = watch::Receiver<Option<Arc<Open>>>;

/// Answers a window while no picture lies open; false when it closes.
async fn at_rack(socket: &mut WebSocket, house: &Arc<House>, watch: &mut Watch) -> bool {
    let racked = Arc::clone(house);
    let pictures = tokio::task::spawn_blocking(move || racked.rack()).await.unwrap_or_default();
    if !send(socket, Out::Tell(Tell::Rack { pictures })).await {
        return false;
    }
    loop {
        tokio::select! {
            changed = watch.changed() => return changed.is_ok(),
            came = socket.recv() => match came {
                Some(Ok(Message::Text(text))) => {
                    let told = match serde_json::from_str::<Asked>(&text) {
                        Ok(asked) => opened(house, asked).await,
                        Err(e) => Some(Out::Tell(not_understood(&e))),
                    };
                    if let Some(out) = told
                        && !send(socket, out).await
                    {
                        return false;
                    }
                }
                Some(Ok(Message::Binary(_) | Message::Ping(_) | Message::Pong(_))) => {}
                Some(Ok(Message::Close(_)) | Err(_)) | None => return false,
            },
        }
    }
}

/// Opens or begins what is asked for. Whatever is asked of a picture is refused, so that no window takes it for done.
async fn opened(house: &Arc<House>, asked: Asked) -> Option<Out> {
    let (n, house) = (asked.n, Arc::clone(house));
    let opening = match asked.of {
        Ask::Open { folder } => {
            tokio::task::spawn_blocking(move || house.open(&folder).map(|()| format!("{folder} is opened")))
        }
        Ask::Begin { folder, extent } => tokio::task::spawn_blocking(move || {
            house.begin(&folder, &extent).map(|()| format!("{folder} is begun"))
        }),
        // Told by windows from which a picture was taken away.
        Ask::Show { .. } | Ask::LetGo | Ask::CallOff { .. } | Ask::Leave | Ask::Leaf { take: None } => {
            return None;
        }
        _ => return Some(Out::Tell(Tell::Refused { n, why: nothing_open() })),
    };
    let tell = match opening.await {
        Ok(Ok(says)) => Tell::Done { n, says, notes: Vec::new() },
        Ok(Err(why)) => Tell::Refused { n, why },
        Err(_) => Tell::Refused { n, why: broken() },
    };
    Some(Out::Tell(tell))
}

/// Answers a window while a picture lies open; false when it closes, true when another picture does, or none.
async fn at_picture(
    socket: &mut WebSocket,
    house: &Arc<House>,
    another: &mut Watch,
    open: &Arc<Open>,
) -> bool {
    let (room, store) = (Arc::clone(&open.room), Arc::clone(&open.store));
    let mut watch = room.watch();
    let first = watch.borrow_and_update().clone();
    let lens = Arc::new(Lens::new(first));
    let (out, mut leaving) = mpsc::channel::<Out>(WAITING);
    let (deeds, waiting) = mpsc::channel(UNDECIDED);
    let house = Arc::clone(house);
    let window = Window {
        lens,
        house,
        room,
        store,
        out,
        deeds,
        sketching: Arc::default(),
        works: Arc::default(),
        called_off: Arc::default(),
    };
    let drawing = {
        let Window { lens, room, store, out, .. } = window.clone();
        // What trips over one picture draws the next ones all the same.
        let work = move || {
            while std::panic::catch_unwind(AssertUnwindSafe(|| lens.work(&room, &store, &out))).is_err() {
                let _ = out.blocking_send(Out::Tell(Tell::Refused { n: 0, why: broken() }));
            }
        };
        std::thread::spawn(work)
    };
    let deciding = {
        let Window { lens, room, out, works, .. } = window.clone();
        tokio::spawn(Deciding { lens, room, out, works }.all(waiting))
    };
    let mut is_open = send(socket, window.sheet().await).await;
    let mut is_left = false;
    while is_open && !is_left {
        tokio::select! {
            leaves = leaving.recv() => {
                let Some(leaves) = leaves else { break };
                is_open = send(socket, leaves).await;
            }
            changed = watch.changed() => {
                if changed.is_err() {
                    break;
                }
                let pile = watch.borrow_and_update().clone();
                window.lens.update(pile);
                is_open = send(socket, window.sheet().await).await;
            }
            changed = another.changed() => is_left = changed.is_ok(),
            came = socket.recv() => match came {
                Some(Ok(Message::Text(text))) => {
                    let told = match serde_json::from_str::<Asked>(&text) {
                        Ok(asked) => window.take(asked).await,
                        Err(e) => Some(Out::Tell(not_understood(&e))),
                    };
                    if let Some(out) = told {
                        is_open = send(socket, out).await;
                    }
                }
                Some(Ok(Message::Binary(_) | Message::Ping(_) | Message::Pong(_))) => {}
                Some(Ok(Message::Close(_)) | Err(_)) | None => is_open = false,
            },
        }
    }
    window.lens.close();
    window.called_off.store(true, Ordering::Relaxed);
    // What was decided is carried out, though nobody is told; what is still drawn goes nowhere, and must not wait for the window.
    drop((leaving, window));
    let _ = tokio::task::spawn_blocking(move || drawing.join()).await;
    let _ = deciding.await;
    is_open && is_left
}

/// Tells a window how far something is, by the hundredth.
pub(crate) fn going(n: u32, out: mpsc::Sender<Out>) -> Told {
    let told = AtomicU64::new(0);
    Arc::new(move |share: f64| {
        let hundredths = (share.clamp(0.0, 1.0) * 100.0) as u64;
        if told.fetch_max(hundredths, Ordering::Relaxed) < hundredths {
            // A window that does not take it now is told later.
            let _ = out.try_send(Out::Tell(Tell::Going { n, share }));
        }
    })
}

impl Window {
    /// The picture as this window sees it.
    async fn sheet(&self) -> Out {
        let (lens, has_rack) = (Arc::clone(&self.lens), self.house.has_rack());
        let sheet = tokio::task::spawn_blocking(move || {
            let (pile, top) = lens.top();
            pile.sheet(&pile.leaf(top), has_rack)
        });
        match sheet.await {
            Ok(sheet) => Out::Tell(Tell::Sheet(Box::new(sheet))),
            Err(_) => Out::Tell(Tell::Refused { n: 0, why: broken() }),
        }
    }

    /// Prints a file, and tells how far it is.
    fn print(&self, n: u32, wanted: PrintWanted) {
        self.called_off.store(false, Ordering::Relaxed);
        let progress = going(n, self.out.clone());
        let (pile, _) = self.lens.top();
        let hands = (&*self.called_off, &*progress as &(dyn Fn(f64) + Sync));
        let tell = match pile.print(wanted, self.room.means(), self.store.still(), hands) {
            Ok(said) => Tell::Done { n, says: said.says, notes: said.notes },
            Err(e) => Tell::Refused { n, why: refusal(&e) },
        };
        let _ = self.out.blocking_send(Out::Tell(tell));
    }

    /// Takes what is asked; what is answered at once is given back.
    async fn take(&self, asked: Asked) -> Option<Out> {
        let n = asked.n;
        match asked.of {
            Ask::Show { glass, view } => self.lens.show(glass, view),
            Ask::Try { deed } => self.lens.try_out(n, deed),
            Ask::LetGo => self.lens.let_go(),
            Ask::Leaf { take } => {
                self.lens.lay(take);
                return Some(self.sheet().await);
            }
            Ask::Pick { at_px } => {
                let Self { lens, room, store, out, .. } = self.clone();
                tokio::spawn(async move {
                    let found = tokio::task::spawn_blocking(move || {
                        let (pile, top) = lens.top();
                        picked(room.means(), &store, &pile.leaf(top), at_px)
                    });
                    let tell = match found.await {
                        Ok(Ok(piece)) => Tell::Picked { n, piece: piece.map(|id| id.number()) },
                        Ok(Err(e)) => Tell::Refused { n, why: refusal(&e) },
                        Err(_) => Tell::Refused { n, why: broken() },
                    };
                    let _ = out.send(Out::Tell(tell)).await;
                });
            }
            Ask::Ground { at_px } => {
                let (pile, top) = self.lens.top();
                return Some(Out::Tell(Tell::Ground { n, at_m: pile.ground(top, at_px) }));
            }
            Ask::Edge { piece } => {
                let Self { lens, room, store, out, .. } = self.clone();
                tokio::task::spawn_blocking(move || {
                    let (pile, top) = lens.top();
                    let tell = match pile.edge(top, piece, room.means(), store.still()) {
                        Ok(stretches) => Tell::Edge { n, stretches },
                        Err(e) => Tell::Refused { n, why: refusal(&e) },
                    };
                    let _ = out.blocking_send(Out::Tell(tell));
                });
            }
            Ask::Doubts { cutout } => {
                let Self { lens, room, out, .. } = self.clone();
                tokio::task::spawn_blocking(move || {
                    let (pile, top) = lens.top();
                    let tell = match pile.doubts(top, cutout, room.means()) {
                        Ok(doubts) => Tell::Doubts { n, doubts },
                        Err(e) => Tell::Refused { n, why: refusal(&e) },
                    };
                    let _ = out.blocking_send(Out::Tell(tell));
                });
            }
            Ask::Sketch { glass, cutout, on, strokes } => {
                let Self { lens, room, store, out, sketching, .. } = self.clone();
                if strokes.is_some() {
                    lens.cover(glass);
                }
                sketching.ask(n);
                let wanted = sketching::Wanted { n, glass, cutout, on, strokes };
                tokio::task::spawn_blocking(move || {
                    if let Some(drawn) = sketching.sketch(&lens, &store, room.means(), &wanted) {
                        let _ = out.blocking_send(drawn);
                    }
                });
            }
            Ask::Wedge => {
                let Self { lens, room, store, out, .. } = self.clone();
                tokio::task::spawn_blocking(move || {
                    let (pile, top) = lens.top();
                    let shares = pile.leaf(top).shares(room.means(), store.still());
                    let _ = out.blocking_send(Out::Tell(Tell::Wedge { n, shares }));
                });
            }
            Ask::Print { to, width, over } => {
                let take = self.lens.top().1;
                let window = self.clone();
                tokio::task::spawn_blocking(move || window.print(n, PrintWanted { take, to, width, over }));
            }
            Ask::Leave => self.house.leave(),
            Ask::Open { .. } | Ask::Begin { .. } => {
                return Some(Out::Tell(Tell::Refused { n, why: not_now() }));
            }
            Ask::CallOff { only } => {
                self.works.call_off(only);
                if only.is_none() {
                    self.called_off.store(true, Ordering::Relaxed);
                }
            }
            Ask::Do { deed } => {
                let decision = Decision { n, top: self.lens.top().1, deed };
                if self.deeds.try_send(decision).is_err() {
                    return Some(Out::Tell(Tell::Refused { n, why: busy() }));
                }
            }
        }
        None
    }
}

/// Whether the window took it.
async fn send(socket: &mut WebSocket, out: Out) -> bool {
    let message = match out {
        Out::Tell(tell) => match serde_json::to_string(&tell) {
            Ok(text) => Message::Text(text.into()),
            Err(_) => return true,
        },
        Out::Screen(screen, codes) => match framed(&screen, &codes) {
            Some(bytes) => Message::Binary(bytes.into()),
            None => return true,
        },
    };
    socket.send(message).await.is_ok()
}

/// A picture as one message: the length of its head, the head, its codes.
fn framed(screen: &Screen, codes: &[u8]) -> Option<Vec<u8>> {
    let head = serde_json::to_vec(screen).ok()?;
    let mut bytes = Vec::with_capacity(4 + head.len() + codes.len());
    bytes.extend(u32::try_from(head.len()).ok()?.to_le_bytes());
    bytes.extend(head);
    bytes.extend(codes);
    Some(bytes)
}

fn not_understood(e: &serde_json::Error) -> Tell {
    let why = Refusal {
        what: format!("the message is not understood: {e}"),
        place: "the studio's page".to_owned(),
        remedy: "load the page anew: it may be from another version".to_owned(),
    };
    Tell::Refused { n: 0, why }
}

fn nothing_open() -> Refusal {
    Refusal {
        what: "no picture lies open".to_owned(),
        place: "the studio".to_owned(),
        remedy: "open one of the rack".to_owned(),
    }
}

fn not_now() -> Refusal {
    Refusal {
        what: "another picture lies open".to_owned(),
        place: "the studio".to_owned(),
        remedy: "lay it back into the rack first".to_owned(),
    }
}

fn busy() -> Refusal {
    Refusal {
        what: "too much waits to be done".to_owned(),
        place: "the studio".to_owned(),
        remedy: "wait until what was asked before is done".to_owned(),
    }
}

pub(crate) fn broken() -> Refusal {
    Refusal {
        what: "the program tripped over this".to_owned(),
        place: "the studio".to_owned(),
        remedy: "nothing that was acknowledged is lost; load the page anew".to_owned(),
    }
}
