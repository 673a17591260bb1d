//! One window's line to the program.

use crate::lens::{Lens, Out, Store, picked};
use crate::room::Room;
use crate::wire::{Ask, Asked, Refusal, Screen, Tell};
use axum::extract::ws::{Message, WebSocket};
use std::sync::Arc;
use tokio::sync::mpsc;

/// Messages that wait to leave; a window that does not take them is not sent more.
const WAITING: usize = 4;
/// Longest message from a window: strokes of a long evening.
pub(crate) const LONGEST: usize = 8 << 20;

/// Answers a window until it closes.
pub(crate) async fn answer(mut socket: WebSocket, room: Arc<Room>, store: Arc<Store>) {
    let mut watch = room.watch();
    let first = watch.borrow_and_update().clone();
    let lens = Arc::new(Lens::new(Arc::clone(&first)));
    let (out, mut leaving) = mpsc::channel::<Out>(WAITING);
    let drawing = {
        let (lens, room, store, out) =
            (Arc::clone(&lens), Arc::clone(&room), Arc::clone(&store), out.clone());
        std::thread::spawn(move || lens.work(&room, &store, &out))
    };
    let sheet = Tell::Sheet(Box::new(first.sheet.clone()));
    let mut is_open = send(&mut socket, Out::Tell(sheet)).await;
    while is_open {
        tokio::select! {
            leaves = leaving.recv() => {
                let Some(leaves) = leaves else { break };
                is_open = send(&mut socket, leaves).await;
            }
            changed = watch.changed() => {
                if changed.is_err() {
                    break;
                }
                let shown = watch.borrow_and_update().clone();
                lens.update(Arc::clone(&shown));
                is_open = send(&mut socket, Out::Tell(Tell::Sheet(Box::new(shown.sheet.clone())))).await;
            }
            came = socket.recv() => match came {
                Some(Ok(Message::Text(text))) => {
                    let told = match serde_json::from_str::<Asked>(&text) {
                        Ok(asked) => carry_out(asked, (&lens, &room, &store)).await,
                        Err(e) => Some(not_understood(&e)),
                    };
                    if let Some(tell) = told {
                        is_open = send(&mut socket, Out::Tell(tell)).await;
                    }
                }
                Some(Ok(Message::Binary(_) | Message::Ping(_) | Message::Pong(_))) => {}
                Some(Ok(Message::Close(_)) | Err(_)) | None => break,
            },
        }
    }
    lens.close();
    // What the drawing thread still wants to send goes nowhere: it must not wait for it.
    drop(leaving);
    let _ = tokio::task::spawn_blocking(move || drawing.join()).await;
}

async fn carry_out(asked: Asked, (lens, room, store): (&Arc<Lens>, &Arc<Room>, &Arc<Store>)) -> Option<Tell> {
    let n = asked.n;
    match asked.of {
        Ask::Show { view } => lens.show(view),
        Ask::Drag { piece, to } => lens.drag(n, piece, to),
        Ask::LetGo => lens.let_go(),
        Ask::Pick { at_px } => {
            let (room, store) = (Arc::clone(room), Arc::clone(store));
            let shown = room.watch().borrow().clone();
            let found = tokio::task::spawn_blocking(move || picked(&room, &store, &shown, at_px)).await;
            let piece = found.ok().flatten().map(|id| id.number());
            return Some(Tell::Picked { n, piece });
        }
        Ask::Do { deed } => {
            let room = Arc::clone(room);
            let done = tokio::task::spawn_blocking(move || room.carry_out(&deed)).await;
            return Some(match done {
                Ok(Ok(says)) => Tell::Done { n, says },
                Ok(Err(why)) => Tell::Refused { n, why },
                Err(_) => Tell::Refused { n, why: broken() },
            });
        }
    }
    None
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

fn broken() -> Refusal {
    Refusal {
        what: "the program tripped over this".to_owned(),
        place: "the studio".to_owned(),
        remedy: "nothing that was acknowledged is lost; load the page anew".to_owned(),
    }
}
