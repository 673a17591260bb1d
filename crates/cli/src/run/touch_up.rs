//! `setpiece touch-up`.

use super::edits::{edit, looked_at, notices, one};
use crate::answer::{Answer, Trouble};
use crate::shown::plain;
use crate::typed::touch_up::{Edge, TouchUp, What};
use crate::{hands, shown};
use setpiece::commands::cutting::matting::Effort;
use setpiece::commands::render::Existing;
use setpiece::commands::touch_up::{self, EdgeSaid, Report};
use setpiece::commands::{Layer, out_and_back};

pub(crate) fn touch_up(typed: TouchUp) -> Result<Answer, Trouble> {
    let (folder, layer) = (&typed.at.folder, &typed.layer);
    match typed.what {
        What::Edge { cut_out, edge } => one(folder, layer, |s| touch_up::edge(s, &cut_out, &said(&edge))),
        What::Drop { cut_out, stroke } => one(folder, layer, |s| touch_up::drop_stroke(s, &cut_out, stroke)),
        What::List { cut_out } => {
            let (look, seen) = looked_at(folder, layer)?;
            let report = touch_up::report(&seen, &cut_out)?;
            let mut answer = Answer::new(told(&report), &report);
            answer.asides = notices(look.notices());
            Ok(answer)
        }
        What::Out { cut_out, file, over } => {
            let (look, seen) = looked_at(folder, layer)?;
            let existing = if over { Existing::Replace } else { Existing::Keep };
            let budget = hands::budget();
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
        What::Back { cut_out, file } => edit(folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            Ok(vec![out_and_back::back(picture, layer, (&cut_out, &file), (&hands::budget(), at))?])
        }),
        What::Strokes { cut_out, file, quick } => edit(folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            let work = (effort(quick), &hands::budget(), at);
            Ok(vec![touch_up::strokes(picture, layer, (&cut_out, &file), work)?])
        }),
        What::Again { cut_out, quick } => edit(folder, |picture, at| {
            let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
            Ok(vec![touch_up::again(picture, layer, &cut_out, (effort(quick), &hands::budget(), at))?])
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
