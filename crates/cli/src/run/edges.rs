//! `setpiece edges`.

use super::edits::notices;
use super::output::with_hands;
use crate::answer::{Answer, Trouble};
use crate::shown::{plain, table};
use crate::typed::edges::Edges;
use setpiece::Picture;
use setpiece::commands::edges::{self, Report, Wanted};
use setpiece::commands::render::Existing;

pub(crate) fn edges(typed: Edges) -> Result<Answer, Trouble> {
    let wanted = Wanted {
        piece: typed.piece,
        take: typed.take,
        map: typed.map,
        existing: if typed.over { Existing::Replace } else { Existing::Keep },
    };
    let look = Picture::look(&typed.at.folder)?;
    let done = with_hands("Looking", look.folder(), &typed.hands, &|hands| {
        Ok(edges::look(look.scene(), look.folder(), &wanted, hands)?)
    })?;
    let mut answer = Answer::new(told(&done, typed.first as usize), &done);
    answer.asides = notices(look.notices());
    Ok(answer)
}

fn told(r: &Report, first: usize) -> String {
    let mut out = format!(
        "{}: {} px of edge in the picture, {} % of it to be seen\n",
        r.piece,
        plain(r.length_px, 0),
        plain(r.seen_share * 100.0, 0)
    );
    if let Some(map) = &r.map {
        out += &format!("{}\n", map.display());
    }
    let seen = r.stretches.iter().filter(|s| s.attention > 0.0);
    let point = |p: [f64; 2]| format!("{},{}", plain(p[0], 0), plain(p[1], 0));
    let rows: Vec<Vec<String>> = seen
        .clone()
        .take(first)
        .map(|s| {
            vec![
                plain(s.attention, 1),
                point(s.shot_px),
                point(s.picture_px),
                plain(s.length_px, 0),
                format!("{} %", plain(s.seen_share * 100.0, 0)),
                plain(s.blur_px, 1),
                format!("x{}", plain(s.size_factor, 2)),
                format!("{} %", plain(s.contrast_share * 100.0, 0)),
            ]
        })
        .collect();
    if !rows.is_empty() {
        let head =
            ["attention", "in the shot", "in the picture", "px", "seen", "blur px", "size", "contrast"];
        out += &table(&head, &rows);
    }
    let more = seen.count().saturating_sub(rows.len());
    if more > 0 {
        out += &format!("and {more} stretches that are seen less (--first N, or --json)\n");
    }
    out
}
