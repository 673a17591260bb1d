//! Lists: pieces, lamps, treatments, takes, the log, snags.

use super::{plain, table};
use crate::answer::{Has, remedy};
use setpiece::commands::Done;
use setpiece::commands::check::Checked;
use setpiece::commands::doubts::DoubtReport;
use setpiece::commands::dressings::DressingReport;
use setpiece::commands::history::LogLine;
use setpiece::commands::lamps::LampReport;
use setpiece::commands::line_up::{Card, SnagReport};
use setpiece::commands::papers::PaperReport;
use setpiece::commands::render::Rendered;
use setpiece::commands::takes::TakeReport;
use setpiece::commands::toning::TreatmentReport;
use setpiece::commands::views::WantedView;

/// Sentences of what was done.
pub(crate) fn done(all: &[Done]) -> String {
    all.iter()
        .flat_map(|d| {
            std::iter::once(format!("{}\n", d.says)).chain(d.notes.iter().map(|n| format!("Note: {n}\n")))
        })
        .collect()
}

/// Snags, numbered.
pub(crate) fn snags(all: &[SnagReport], command: Has) -> Vec<String> {
    all.iter()
        .enumerate()
        .map(|(i, s)| format!("Snag {}: {}: {}; {}", i + 1, s.place, s.what, remedy(&s.remedy, command)))
        .collect()
}

/// The result of a row, with what the artist added behind it.
fn row(result: String, nudge: Option<String>, basis: &str) -> String {
    let held = match basis {
        "pinned" => " pinned",
        "as photographed" => " as shot",
        _ => "",
    };
    match nudge {
        // What is pinned is drawn as it is pinned; the nudge waits.
        Some(nudge) if basis == "pinned" => format!("{result}{held} ({nudge} once released)"),
        Some(nudge) => format!("{result}{held} ({nudge})"),
        None => format!("{result}{held}"),
    }
}

fn factor(nudge: f64) -> Option<String> {
    (nudge != 1.0).then(|| format!("{}%", signed((nudge - 1.0) * 100.0, 1)))
}

fn signed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    if value > 0.0 && text != "0" { format!("+{text}") } else { text }
}

/// The dressings as a table.
pub(crate) fn dressings(all: &[DressingReport]) -> String {
    if all.is_empty() {
        return "The picture has no dressing yet. Begin: setpiece dress FOLDER lay\n".to_owned();
    }
    let head = ["#", "dressing", "pieces", "arranged", "apart", "ground", "of"];
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|d| {
            let of = d.of.iter().map(|c| match c.share {
                1.0 => c.name.clone(),
                share => format!("{}={}", c.name, plain(share, 2)),
            });
            vec![
                format!("#{}", d.dressing),
                d.name.clone(),
                d.at_most
                    .map_or_else(|| d.pieces.len().to_string(), |n| format!("{} of {n}", d.pieces.len())),
                d.arrangement.word().to_owned(),
                format!("{} m", plain(d.arrangement.least_m(), 2)),
                d.ground_m2.map_or_else(|| "none".to_owned(), |m| format!("{} m²", plain(m, 1))),
                of.collect::<Vec<_>>().join(" "),
            ]
        })
        .collect();
    table(&head, &rows)
}

/// Views that would be worth photographing.
pub(crate) fn views(all: &[WantedView]) -> String {
    if all.is_empty() {
        return "No view is wanting: what faces something does so within 12°.\n".to_owned();
    }
    let head = ["prop", "bearing", "height of view", "from", "tall", "now off", "for"];
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|v| {
            let more =
                if v.pieces.len() > 3 { format!(" and {} more", v.pieces.len() - 3) } else { String::new() };
            let pieces = v.pieces.iter().take(3).cloned().collect::<Vec<_>>().join(", ");
            vec![
                v.of.clone(),
                format!("{}°", plain(v.bearing_deg, 0)),
                v.height_of_view_deg.map_or_else(|| "any".to_owned(), |h| format!("{}°", plain(h, 0))),
                format!("{} m", plain(v.distance_m, 1)),
                format!("{} px", plain(v.height_px, 0)),
                format!("{}°", plain(v.off_deg, 0)),
                pieces + &more,
            ]
        })
        .collect();
    table(&head, &rows)
}

/// The pieces' cards as a table, nearest first.
pub(crate) fn line_up(cards: &[Card]) -> String {
    if cards.is_empty() {
        return "No piece stands in the picture yet.\n".to_owned();
    }
    let head = [
        "#",
        "piece",
        "shows",
        "d distance",
        "h height",
        "s size",
        "f defocus",
        "e light",
        "w warmth",
        "a haze",
        "k shadow",
        "v view",
    ];
    let rows: Vec<Vec<String>> = cards.iter().map(cells).collect();
    let mut out = table(&head, &rows);
    if let Some(subject) = cards.iter().find(|c| c.is_subject).filter(|_| cards.len() > 1) {
        out += &format!("Light of shots without a reading is counted from {}, the subject.\n", subject.name);
    }
    for card in cards {
        for s in card.snags.iter().chain(&card.remarks) {
            out += &format!("{}: {}; {}\n", card.name, s.what, remedy(&s.remedy, Has::NoMemory));
        }
    }
    out
}

fn cells(card: &Card) -> Vec<String> {
    let mut name = card.name.clone();
    if card.is_subject {
        name += " (subject)";
    }
    if card.hidden {
        name += " (wings)";
    }
    if let Some(carrier) = &card.attached_to {
        name += &format!(" (on {carrier})");
    }
    let shows = if card.mirrored { format!("{} mirrored", card.shows) } else { card.shows.clone() };
    let or_none = |text: Option<String>| text.unwrap_or_default();
    let view = match (&card.facing, card.facing_missed_by_deg) {
        (Some(target), Some(miss)) => format!("{target}, off {}°", plain(miss, 0)),
        (Some(target), None) => target.clone(),
        (None, _) => String::new(),
    };
    let too_high = card.height_of_view_missed_by_deg.filter(|miss| miss.abs() >= 0.5);
    let from = too_high.map(|miss| {
        format!("seen {}° too {}", plain(miss.abs(), 0), if miss > 0.0 { "high" } else { "low" })
    });
    let view =
        [Some(view).filter(|v| !v.is_empty()), from].into_iter().flatten().collect::<Vec<_>>().join(", ");
    vec![
        card.piece.to_string(),
        name,
        shows,
        or_none(card.depth_m.map(|d| format!("{} m", plain(d, 2)))),
        or_none(card.height_m.map(|h| {
            let assumed = if card.is_height_assumed { " (assumed)" } else { "" };
            format!("{} m{assumed}", plain(h, 2))
        })),
        or_none(card.size.as_ref().map(|s| {
            let px = card.height_px.map_or_else(String::new, |h| format!("{} px", plain(h, 0)));
            row(px, factor(s.nudge_factor), s.basis)
        })),
        or_none(
            card.defocus
                .as_ref()
                .map(|s| row(format!("{} px", plain(s.result_px, 1)), factor(s.nudge_factor), s.basis)),
        ),
        or_none(card.light.as_ref().map(|s| {
            let nudge = (s.nudge_stops != 0.0).then(|| signed(s.nudge_stops, 2));
            row(format!("{} EV", signed(s.result_stops, 2)), nudge, s.basis)
        })),
        or_none(card.warmth.as_ref().map(|s| {
            let nudge = (s.nudge_mired != 0.0 || s.nudge_tint != 0.0).then(|| signed(s.nudge_mired, 0));
            // To the nearest ten: finer differences cannot be seen.
            let kelvin = s
                .result_k
                .map_or_else(|| "off the scale".to_owned(), |k| format!("{} K", (k / 10.0).round() * 10.0));
            row(kelvin, nudge, s.basis)
        })),
        or_none(
            card.haze.as_ref().map(|s| {
                row(format!("{}%", plain(s.result_share * 100.0, 1)), factor(s.nudge_factor), s.basis)
            }),
        ),
        or_none(card.shadow.as_ref().map(|s| {
            // Without a light that throws one there is nothing to tell a share of.
            let none = !card.casts_shadow && s.result_share > 0.0;
            let share = if none { "-".to_owned() } else { format!("{}%", plain(s.result_share * 100.0, 0)) };
            row(share, factor(s.nudge_factor), s.basis)
        })),
        view,
    ]
}

/// What is doubtful of a cut-out.
pub(crate) fn doubts(all: &[DoubtReport]) -> String {
    if all.is_empty() {
        return "Nothing is doubtful, as far as its paper tells.\n".to_owned();
    }
    let told = |(i, d): (usize, &DoubtReport)| {
        let place = d.place_px.map_or_else(String::new, |[x, y, w, h]| {
            format!(", {} x {} px from {},{}", plain(w, 0), plain(h, 0), plain(x, 0), plain(y, 0))
        });
        format!("{}  {}{place}\n", i + 1, d.what)
    };
    all.iter().enumerate().map(told).collect()
}

/// The papers kept with a picture.
pub(crate) fn papers(all: &[PaperReport]) -> String {
    if all.is_empty() {
        return "No papers are kept with the picture. Next: setpiece rights FOLDER keep FILE\n".to_owned();
    }
    let row = |p: &PaperReport| {
        let size =
            if p.bytes < 10_000 { format!("{} bytes", p.bytes) } else { format!("{} kB", p.bytes / 1000) };
        vec![p.name.clone(), size, format!("rights/{}", p.file), p.note.clone()]
    };
    let rows: Vec<Vec<String>> = all.iter().map(row).collect();
    let told = table(&["paper", "size", "file", "note"], &rows);
    format!("{told}A record, no legal advice: what they allow is for you to read.\n")
}

/// The lamps.
pub(crate) fn lamps(all: &[LampReport]) -> String {
    if all.is_empty() {
        return "There is no lamp in the picture.\n".to_owned();
    }
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|l| {
            let colour = match (l.cct_k, l.rgb) {
                (Some(k), _) => format!("{} K", plain(k, 0)),
                (None, Some([r, g, b])) => format!("{},{},{}", plain(r, 3), plain(g, 3), plain(b, 3)),
                (None, None) => String::new(),
            };
            let at = l.at_m.map(|v| plain(v, 2)).join(",");
            vec![
                l.lamp.to_string(),
                l.name.clone(),
                at,
                match (&l.on, l.is_dark) {
                    (None, _) => "the stage".to_owned(),
                    (Some(piece), false) => piece.clone(),
                    (Some(piece), true) => format!("{piece} (wings: dark)"),
                },
                plain(l.strength, 3),
                colour,
                format!("{} m", plain(l.radius_m, 3)),
                l.reach_m.map_or_else(|| "pure".to_owned(), |r| format!("{} m", plain(r, 2))),
                format!("{}%", plain(l.floor_share * 100.0, 1)),
            ]
        })
        .collect();
    table(&["#", "lamp", "at x,y,z m", "on", "at 1 m", "colour", "radius", "reach", "floor"], &rows)
}

/// The toning card, as sentences.
pub(crate) fn toning(all: &[TreatmentReport]) -> String {
    if all.is_empty() {
        return "There is no treatment over the picture.\n".to_owned();
    }
    let mut out = String::new();
    let mut step = "";
    for t in all {
        if t.step != step {
            step = t.step;
            out += match step {
                "lens" => "At the lens\n",
                "film" => "On the film\n",
                _ => "In the print\n",
            };
        }
        let places = if t.where_.is_empty() { String::new() } else { format!(", {}", t.where_.join(", ")) };
        let strength = if t.strength_share == 1.0 {
            String::new()
        } else {
            format!(", at {}%", plain(t.strength_share * 100.0, 1))
        };
        out += &format!("  #{} {} {}{strength}{places}\n", t.treatment, t.does, t.told);
    }
    out
}

/// The takes with their changes.
pub(crate) fn takes(all: &[TakeReport]) -> String {
    if all.is_empty() {
        return "There is no take yet.\n".to_owned();
    }
    let mut out = String::new();
    for take in all {
        let depth = if take.depth_factor == 1.0 {
            String::new()
        } else {
            format!(", defocus x{}", plain(take.depth_factor, 3))
        };
        out += &format!("{}{depth}\n", take.name);
        for (i, change) in take.changes.iter().enumerate() {
            out += &format!("  {} {change}\n", i + 1);
        }
        for passed in &take.passed_over {
            out += &format!("  passed over: {passed}\n");
        }
    }
    out
}

/// The log.
pub(crate) fn log(lines: &[LogLine]) -> String {
    if lines.is_empty() {
        return "Nothing was done to the picture yet.\n".to_owned();
    }
    lines
        .iter()
        .map(|l| {
            let at = l.at.get(..16).unwrap_or(&l.at).replace('T', " ");
            let taken_back = if l.turn == "do" && !l.stands { " (taken back)" } else { "" };
            format!("{:>4}  {at}  {}{taken_back}\n", l.number, l.says)
        })
        .collect()
}

/// So many of something.
fn counted(n: impl TryInto<u64>, what: &str) -> String {
    match n.try_into().unwrap_or(u64::MAX) {
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}

/// What checking found.
pub(crate) fn checked(c: &Checked) -> String {
    let mut out = format!(
        "{}: {}, {}, {}\n",
        c.picture,
        counted(c.pieces, "piece"),
        counted(c.sources, "original file"),
        counted(c.edits, "edit")
    );
    for remark in &c.remarks {
        out += &format!("Note: {remark}\n");
    }
    for line in snags(&c.snags, Has::NoMemory) {
        out += &format!("{line}\n");
    }
    if c.snags.is_empty() {
        out += "No snags.\n";
    }
    out
}

/// What was rendered.
pub(crate) fn rendered(r: &Rendered) -> String {
    let take = r.take.as_ref().map_or_else(String::new, |t| format!(", take {t}"));
    let mut out = format!(
        "{}\n{} x {} px, {}, {}, {} MB, {}{take}\n",
        r.file.display(),
        r.width_px,
        r.height_px,
        r.format,
        r.colours,
        plain(r.bytes as f64 / 1e6, 1),
        counted(r.pieces, "piece")
    );
    let per_cent = |share: f64| plain(share * 100.0, if share < 0.001 { 3 } else { 1 });
    let c = r.clipped;
    if c.over_white_share > 0.0 || c.out_of_gamut_share > 0.0 {
        out += &format!(
            "Clipped: {} % brighter than white, {} % outside {}\n",
            per_cent(c.over_white_share),
            per_cent(c.out_of_gamut_share),
            r.colours
        );
    }
    out
}
