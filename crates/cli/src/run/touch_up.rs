//! `setpiece touch-up`.

use super::edits::{edit, finish, looked_at, notices};
use crate::answer::{Answer, Trouble};
use crate::bench::Bench;
use crate::shown;
use crate::shown::plain;
use crate::typed::touch_up::{Edge, TouchUp, What};
use serde_json::json;
use setpiece::commands::cutting::matting::Effort;
use setpiece::commands::render::Existing;
use setpiece::commands::scene::Scene;
use setpiece::commands::touch_up::{self, EdgeSaid, Report, When};
use setpiece::commands::units::Degrees;
use setpiece::commands::{Layer, carry_out_on_edge, doubts, joining, out_and_back};
use std::num::NonZeroUsize;

pub(crate) fn touch_up(typed: TouchUp, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let (folder, layer) = (&typed.at.folder, &typed.layer);
    let (budget, now) = (bench.budget().clone(), bench.now());
    match typed.what {
        What::Edge { cut_out, edge } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let make = |s: &Scene| touch_up::edge(s, &cut_out, &said(&edge));
            Ok(vec![carry_out_on_edge(picture, (layer, &cut_out), (&budget, at), make)?])
        }),
        What::Drop { cut_out, stroke } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let which = (cut_out.as_str(), stroke);
            Ok(vec![touch_up::drop_stroke(picture, layer, which, (&budget, at))?])
        }),
        What::List { cut_out } => {
            let (look, seen) = looked_at(folder, layer)?;
            let report = touch_up::report(&seen, &cut_out)?;
            let mut answer = Answer::new(told(&report), &report);
            answer.asides = notices(look.notices());
            Ok(answer)
        }
        What::Doubts { cut_out } => {
            let (look, seen) = looked_at(folder, layer)?;
            let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
            let all = doubts::doubts(&seen, look.folder(), &cut_out, (threads, &budget))?;
            let mut answer = Answer::new(shown::doubts(&all), &json!({ "doubts": all }));
            answer.asides = notices(look.notices());
            Ok(answer)
        }
        What::Out { cut_out, file, over } => {
            let (look, seen) = looked_at(folder, layer)?;
            let existing = if over { Existing::Replace } else { Existing::Keep };
            let out = out_and_back::out(&seen, look.folder(), (&cut_out, &file), existing, &budget)?;
            let text = format!(
                "{}\n{} x {} px, 16 bits; take it back with: setpiece touch-up {} back {cut_out} {}\n",
                file.display(),
                out.width_px,
                out.height_px,
                shown::typeable(folder),
                shown::typeable(&file)
            );
            Ok(Answer::new(text, &out))
        }
        What::Back { cut_out, file } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            Ok(vec![out_and_back::back(picture, layer, (&cut_out, &file), (&budget, at))?])
        }),
        What::Strokes { cut_out, file, quick, later } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let when = if later { When::Later } else { When::Now(effort(quick)) };
            let work = (when, &budget, at);
            Ok(vec![touch_up::strokes(picture, layer, (&cut_out, &file), work)?])
        }),
        What::Join { cut_out, from, matte, strokes, by_hand, shift, turn, scale } => {
            let (dx, dy) = shift.map_or((0.0, 0.0), |(x, y)| (x.get(), y.get()));
            let nudge = (dx, dy, turn.map_or(0.0, Degrees::get), scale.unwrap_or(1.0));
            let wanted = joining::Wanted { cut_out, from, matte, strokes, aligned: !by_hand, nudge };
            let mut picture = bench.picture(folder)?;
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let report = joining::join(&mut picture, layer, &wanted, (&budget, now))?;
            let mut answer = finish(&mut picture, vec![report.done.clone()])?;
            answer.text += &joined(&report);
            answer.json = serde_json::json!({ "done": [report.done], "joined": report });
            Ok(answer)
        }
        What::Again { cut_out, quick } => edit(bench, folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            Ok(vec![touch_up::again(picture, layer, &cut_out, (effort(quick), &budget, at))?])
        }),
    }
}

const fn effort(quick: bool) -> Effort {
    if quick { Effort::Quick } else { Effort::Best }
}

fn said(e: &Edge) -> EdgeSaid {
    EdgeSaid {
        margin: e.margin,
        clear_at: e.clear_at,
        solid_at: e.solid_at,
        holes: e.holes,
        cast: e.cast,
        calm: e.calm,
        rim: e.rim,
    }
}

fn joined(r: &joining::Report) -> String {
    let laid = match r.alignment_error_px {
        Some(error) => format!("laid over it to {} px", plain(error, 2)),
        None => "laid over it by hand".to_owned(),
    };
    format!(
        "{laid}; seam {} px long, the shots differ there by {} %, at its worst place by {} %\n",
        plain(r.seam_px, 0),
        plain(r.seam_difference * 100.0, 1),
        plain(r.seam_worst * 100.0, 1)
    )
}

fn told(r: &Report) -> String {
    let per_cent = |share: f64| format!("{} %", plain(share * 100.0, 1));
    let mut out = format!("{}\n", r.cutout);
    let mut line = |what: &str, value: String| out += &format!("  {what:16}{value}\n");
    line("margin", format!("{} px", plain(r.margin_px, 2)));
    line("clear at", per_cent(r.clear_at));
    line("solid at", per_cent(r.solid_at));
    line("holes closed", format!("up to {} px", plain(r.holes_px, 0)));
    line("paper's cast", format!("{} taken off", per_cent(r.cast)));
    line("rim", format!("calmed by {}, {} px wide", per_cent(r.calm), plain(r.rim_px, 1)));
    if !r.joined.is_empty() {
        line("taken from", r.joined.join(", "));
    }
    if r.owes_cut {
        line("cut", "not by its strokes yet: touch-up FOLDER again CUT-OUT".to_owned());
    }
    if r.strokes.is_empty() {
        line("strokes", "none".to_owned());
        return out;
    }
    let rows = r.strokes.iter().map(|s| {
        let [left, top, right, bottom] = s.bounds_px;
        let says = match s.radius_px {
            Some(radius) => format!("{} {} px", s.says, plain(radius, 1)),
            None => s.says.to_owned(),
        };
        let form = if s.area { " (area)" } else { "" };
        vec![
            s.number.to_string(),
            format!("{says}{form}"),
            s.points.to_string(),
            format!("{},{}", plain(left, 0), plain(top, 0)),
            format!("{},{}", plain(right, 0), plain(bottom, 0)),
            per_cent(s.soft),
            per_cent(s.strength),
        ]
    });
    out + &shown::table(&["#", "says", "points", "from", "to", "soft", "strength"], &rows.collect::<Vec<_>>())
}
