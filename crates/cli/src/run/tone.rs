//! `setpiece tone`.

use super::edits::{edit, looked_at, one};
use crate::answer::{Answer, Trouble};
use crate::bench::Bench;
use crate::shown;
use crate::typed::tone::{Told as TypedTold, Tone, What, Where as TypedWhere};
use serde_json::json;
use setpiece::commands::Layer;
use setpiece::commands::names;
use setpiece::commands::scene::Where;
use setpiece::commands::toning::wheres::{Side, WhereSaid, meant};
use setpiece::commands::toning::{self, Told, card};

pub(crate) fn tone(typed: Tone, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let (folder, layer) = (&typed.at.folder, &typed.layer);
    let budget = bench.budget().clone();
    match typed.what {
        What::Add { treatment, told } => {
            let (told, strength, places) = split(*told);
            one(bench, folder, layer, |s| {
                let places = meant(s, &places)?.unwrap_or(Where::EVERYWHERE);
                toning::add(s, &treatment, &told, strength.unwrap_or(1.0), places)
            })
        }
        What::Change { treatment, told, everywhere } => {
            let (told, strength, places) = split(*told);
            one(bench, folder, layer, |s| {
                let places = meant(s, &places)?.or(everywhere.then_some(Where::EVERYWHERE));
                toning::change(s, names::treatment(s, &treatment)?, &told, strength, places)
            })
        }
        What::Paint { treatment, file, on, clear: _ } => match file {
            Some(file) => edit(bench, folder, |picture, at| {
                let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
                let wanted = card::Wanted { treatment: &treatment, file: &file, on: on.as_deref() };
                Ok(vec![card::paint(picture, layer, wanted, (&budget, at))?])
            }),
            None => one(bench, folder, layer, |s| card::clear(s, names::treatment(s, &treatment)?)),
        },
        What::Move { treatment, place } => {
            one(bench, folder, layer, |s| toning::moved(s, names::treatment(s, &treatment)?, place))
        }
        What::Remove { treatment } => {
            one(bench, folder, layer, |s| names::treatment(s, &treatment).map(toning::remove))
        }
        What::List => {
            let (_, seen) = looked_at(folder, layer)?;
            let list = toning::list(&seen);
            Ok(Answer::new(shown::toning(&list), &json!({ "treatments": list })))
        }
    }
}

fn split(t: TypedTold) -> (Told, Option<f64>, WhereSaid) {
    let told = Told {
        stops: t.stops,
        amount: t.amount,
        radius: t.radius,
        colour: t.colour,
        tint: t.tint,
        start: t.start,
        end: t.end,
        warmth: t.warmth,
        size: t.size,
        seed: t.seed,
        toe: t.toe,
        slope: t.slope,
        shoulder: t.shoulder,
        pulled: (!t.pull.is_empty()).then_some(t.pull),
        factor: t.factor,
        shadow: t.shadow,
        highlight: t.highlight,
    };
    (told, t.strength, places(t.places))
}

fn places(w: TypedWhere) -> WhereSaid {
    let subject = match (w.on_subject, w.not_on_subject) {
        (true, _) => Some(Side::On),
        (false, true) => Some(Side::NotOn),
        (false, false) => None,
    };
    WhereSaid {
        on: w.on,
        not_on: w.not_on,
        subject,
        within: w.within,
        beyond: w.beyond,
        behind: w.behind,
        before: w.before,
        tones: w.tones,
        hues: w.hues,
        gradient: w.gradient,
    }
}
