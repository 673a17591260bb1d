//! `setpiece open`: the studio.

use crate::answer::{Answer, Trouble};
use crate::typed::Open;
use crate::{hands, spoken};
use serde_json::json;
use std::io::Write as _;
use std::sync::atomic::Ordering;
use studio::{Opening, serve};

/// Has freed memory given back to the system at once. The studio runs for hours, and what it wants at hand it keeps at hand itself.
fn give_memory_back() {
    /// The allocator's `mi_option_purge_delay`, in milliseconds; the bindings do not name it.
    const PURGE_DELAY: libmimalloc_sys::mi_option_t = 15;
    #[expect(unsafe_code, reason = "the allocator's options are set through its C interface")]
    // SAFETY: it sets a number of the allocator that is this program's own, which may be set at any time.
    unsafe {
        libmimalloc_sys::mi_option_set(PURGE_DELAY, 0);
    }
}

pub(crate) fn open(typed: &Open) -> Result<Answer, Trouble> {
    hands::listen();
    give_memory_back();
    let folder = typed.folder.clone();
    let opening = Opening { folder, port: typed.port, now: hands::now, carry_out: spoken::carry_out };
    let ready = |address: &str| {
        let mut out = std::io::stdout().lock();
        // A reader that has gone away is no trouble of the studio's.
        let _ = writeln!(
            out,
            "{address}\nThe address lets whoever has it into the picture: keep it. Ctrl-C closes the studio."
        );
        let _ = out.flush();
        if !typed.no_open && open::that_detached(address).is_err() {
            let _ = writeln!(out, "No browser could be opened: open the address in one.");
        }
    };
    serve(&opening, &ready, || hands::CALLED_OFF.load(Ordering::Relaxed))?;
    Ok(Answer::new("The studio is closed; everything is kept.\n", &json!({ "closed": true })))
}
