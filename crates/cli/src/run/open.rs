//! `setpiece open`: the studio.

use crate::answer::{Answer, Trouble};
use crate::typed::Open;
use crate::{hands, spoken};
use serde_json::json;
use std::io::Write as _;
use std::sync::atomic::Ordering;
use studio::{Opening, serve};

pub(crate) fn open(typed: &Open) -> Result<Answer, Trouble> {
    hands::listen();
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
