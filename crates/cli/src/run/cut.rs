//! `setpiece cut`.

use crate::answer::{Answer, Trouble};
use crate::hands;
use crate::shown::plain;
use crate::typed::cut::Cut;
use setpiece::commands::cut::{self, Report, Wanted};
use setpiece::commands::cutting::matting::Effort;
use setpiece::commands::pixels::Budget;
use setpiece::commands::render::Existing;

pub(crate) fn cut(typed: Cut) -> Result<Answer, Trouble> {
    let wanted = Wanted {
        shot: typed.shot,
        trimap: typed.trimap,
        strokes: typed.strokes,
        matte: typed.matte,
        foreground: typed.foreground,
        effort: if typed.quick { Effort::Quick } else { Effort::Best },
        existing: if typed.over { Existing::Replace } else { Existing::Keep },
    };
    let threads = typed.hands.threads.unwrap_or_else(hands::threads);
    let done = cut::cut(&wanted, (&Budget::of_bytes(typed.hands.memory), threads))?;
    Ok(Answer::new(told(&done), &done))
}

fn told(r: &Report) -> String {
    let per_cent = |share: f64| plain(share * 100.0, 1);
    let mut out = format!("{}\n", r.matte.display());
    if let Some(own) = &r.foreground {
        out += &format!("{}\n", own.display());
    }
    out += &format!(
        "{} x {} px; sure from the {}: {} % the thing, {} % not; {} % solved\n",
        r.width_px,
        r.height_px,
        r.by,
        per_cent(r.inside_share),
        per_cent(r.outside_share),
        per_cent(r.between_share)
    );
    for doubt in &r.doubts {
        out += &format!("Look at: {doubt}\n");
    }
    out
}
