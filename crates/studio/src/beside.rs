//! What is served beside the line: files that are laid on the sheet, and silhouettes of cut-outs.

use crate::inbox::{Inbox, LARGEST};
use crate::room::Room;
use crate::store::Store;
use crate::wire::HandedIn;
use axum::body::{Body, HttpBody as _};
use setpiece::commands::files::encode::{self, Codes, Description, Form};
use setpiece::commands::files::{Channels, Depth};
use setpiece::commands::looks;
use setpiece::commands::units::{Primaries, PxRect, PxSize};
use setpiece::commands::write::{self, Hands};
use std::future::poll_fn;
use std::io::{self, Cursor, Write as _};
use std::num::NonZeroUsize;
use std::pin::Pin;
use std::sync::atomic::AtomicBool;

/// Height of a silhouette in pixels: twice what the line-up shows.
const HIGH: f64 = 120.0;

/// Takes a file in, as it comes.
///
/// # Errors
/// Where it is too long, its name is none of a file, the line breaks, or the disk refuses; nothing of it stays.
pub(crate) async fn take_in(inbox: &Inbox, name: &str, mut body: Body) -> io::Result<HandedIn> {
    let (handed, path, mut file) = inbox.begin(name)?;
    let taken = async {
        let mut length = 0;
        while let Some(frame) = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await {
            let frame = frame.map_err(io::Error::other)?;
            let Ok(data) = frame.into_data() else { continue };
            length += data.len() as u64;
            if length > LARGEST {
                return Err(io::ErrorKind::FileTooLarge.into());
            }
            file.write_all(&data)?;
        }
        Ok(handed)
    };
    let taken = taken.await;
    if taken.is_err() {
        inbox.clear(&[path]);
    }
    taken
}

/// What a cut-out covers, white on black, as PNG; none where there is none.
pub(crate) fn silhouette(room: &Room, store: &Store, cutout: u64) -> Option<Vec<u8>> {
    let _outlining = store.outlining();
    let leaf = room.pile().leaf(None);
    let id = leaf.scene.cutouts().keys().copied().find(|id| id.number() == cutout)?;
    let lith = looks::cut_out(&leaf.scene, &leaf.measures, id, looks::On::Lith).ok()?;
    let covered = leaf.measures.measured.cuts.get(&id)?.covered;
    let factor = (HIGH / covered.height() as f64).min(1.0);
    let small = lith.scaled(factor)?;
    let [x0, y0, x1, y1] =
        [covered.x0(), covered.y0(), covered.x1(), covered.y1()].map(|v| v as f64 * factor);
    let want = PxRect::new(x0.floor() as i64, y0.floor() as i64, x1.ceil() as i64, y1.ceil() as i64);
    let want = want.intersect(small.size.rect());
    let hands = Hands {
        threads: NonZeroUsize::MIN,
        budget: &room.means().budget,
        keep: store.still(),
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    let codes = write::screen(&small, &leaf.measures.parts, (want, want), Primaries::Srgb, &hands).ok()?;
    let grey: Vec<u8> = codes.chunks_exact(4).map(|p| p[0]).collect();
    let size = PxSize::new(u32::try_from(want.width()).ok()?, u32::try_from(want.height()).ok()?)?;
    let description = Description { size, channels: Channels::Grey, colour: None, ppi: None };
    let out = Cursor::new(Vec::new());
    let out = encode::whole(out, description, Form::Png { depth: Depth::U8 }, Codes::U8(&grey));
    out.ok().map(Cursor::into_inner)
}
