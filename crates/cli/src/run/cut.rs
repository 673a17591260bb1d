//! `setpiece cut`.

use crate::answer::{Answer, Trouble};
use crate::exit;
use crate::hands::{self, CALLED_OFF, Progress};
use crate::shown::plain;
use crate::typed::cut::{Cut, On};
use setpiece::commands::batch::{self, Batch, Outcome};
use setpiece::commands::cut::{self, Report, Wanted};
use setpiece::commands::cutting::matting::Effort;
use setpiece::commands::laid::{self, Ground};
use setpiece::commands::pixels::Budget;
use setpiece::commands::render::Existing;
use setpiece::commands::{Kind, write};
use std::path::PathBuf;
use std::sync::atomic::Ordering;

pub(crate) fn cut(typed: Cut) -> Result<Answer, Trouble> {
    let effort = if typed.quick { Effort::Quick } else { Effort::Best };
    let existing = if typed.over { Existing::Replace } else { Existing::Keep };
    let threads = typed.hands.threads.unwrap_or_else(hands::threads);
    let budget = Budget::of_bytes(typed.hands.memory);
    if let Some(mattes) = typed.mattes {
        let wanted = batch::Wanted {
            shots: typed.shots,
            strokes: typed.strokes,
            mattes,
            sheet: typed.sheet,
            effort,
            existing,
        };
        hands::listen();
        let progress = Progress::new("Cutting");
        let done = batch::cut_all(&wanted, (&budget, threads), &|share| {
            progress.tell(share);
            !CALLED_OFF.load(Ordering::Relaxed)
        })?;
        drop(progress);
        let mut answer = Answer::new(all_told(&done), &done);
        if done.refused() > 0 {
            answer.exit = exit::SNAGS;
        }
        return Ok(answer);
    }
    if typed.sheet.is_some() {
        return Err(Trouble::new(
            Kind::Wording,
            "a contact sheet shows what several shots became",
            "--sheet",
            "name a folder for their mattes: --mattes FOLDER",
        ));
    }
    let (shot, matte) = match (<[PathBuf; 1]>::try_from(typed.shots), typed.matte) {
        (Ok([shot]), Some(matte)) => (shot, matte),
        (shots, _) => {
            let shots = shots.err().unwrap_or_default();
            return Err(Trouble::new(
                Kind::Wording,
                "several shots cannot have one matte",
                shots.iter().map(|s| s.display().to_string()).collect::<Vec<_>>().join(", "),
                "name a folder for their mattes: --mattes FOLDER",
            ));
        }
    };
    let wanted = Wanted {
        shot,
        trimap: typed.trimap,
        strokes: typed.strokes,
        matte,
        foreground: typed.foreground,
        effort,
        existing,
    };
    if let Some(to) = &typed.laid {
        laid::form(to)?;
        write::may_be(to, (&wanted.made_from(), &wanted.results()), existing)?;
    }
    let done = cut::cut(&wanted, (&hands::telling("Cutting", &budget), threads))?;
    if let Some(to) = &typed.laid {
        let strokes = wanted.strokes.as_deref();
        laid::write((&wanted.shot, &wanted.matte), strokes, ground(typed.on), to, &budget)?;
    }
    Ok(Answer::new(told(&done), &done))
}

const fn ground(on: On) -> Ground {
    match on {
        On::Velvet => Ground::Velvet,
        On::GreyCard => Ground::GreyCard,
        On::WhitePaper => Ground::WhitePaper,
    }
}

/// What became of one of many, on a line.
fn line(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Cut { report, .. } if report.doubts.is_empty() => format!("{}", report.matte.display()),
        Outcome::Cut { report, .. } => format!("{}: {}", report.matte.display(), report.doubts.join("; ")),
        Outcome::Refused { shot, error, remedy } => {
            format!("{} not cut out: {error}; {remedy}", shot.display())
        }
    }
}

fn all_told(batch: &Batch) -> String {
    let mut out = String::new();
    batch.shots.iter().for_each(|outcome| out += &format!("{}\n", line(outcome)));
    if let Some(sheet) = &batch.sheet {
        out += &format!("{}\n", sheet.display());
    }
    let (all, refused) = (batch.shots.len(), batch.refused());
    out += &format!("{} of {all} shots cut out\n", all - refused);
    out
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
