//! What is sure of a shot before it is matted: from its paper, from strokes, from a trimap.

use super::{Error, Kind};
use cutting::matting::{Sure, Trimap};
use cutting::pen::Stroke;
use cutting::regions::{self, Prepared, Said, Together, Unsaid};
use cutting::sheet::{self, Doubt};
use pixels::{Budget, Image, Rgb};
use std::fmt;
use std::path::Path;
use units::PxRect;

/// What is sure of a shot.
pub(crate) struct Found {
    /// Of its every pixel.
    pub(crate) trimap: Trimap,
    /// What it was found from: `paper`, `trimap` or `strokes`, or the first or second `and strokes`.
    pub(crate) by: &'static str,
    /// What is worth looking at.
    pub(crate) doubts: Vec<String>,
}

/// What is known of a shot before it is looked at.
pub(crate) enum Known<'a> {
    /// Nothing.
    Nothing,
    /// What a trimap says.
    Trimap(Trimap),
    /// What was found from its paper before, where there is any, and its regions.
    Ready(Option<&'a Trimap>, &'a Prepared),
}

/// What strokes say is laid over the trimap, or over what is found from the paper, which is put right where they contradict it; where there
/// is no paper the thing is found from strokes alone. `shot` and `drawn` are where the picture and the strokes are from.
///
/// # Errors
/// Where nothing is found, strokes say too little, or the memory does not suffice.
pub(crate) fn found(
    picture: &Image<Rgb>,
    known: Known<'_>,
    strokes: &[(Said, Stroke)],
    (shot, drawn): (&Path, &str),
    budget: &Budget,
) -> Result<Found, Error> {
    let by_regions = || match known {
        Known::Ready(_, regions) => regions.trimap(strokes, budget),
        _ => regions::trimap(picture, strokes, budget),
    };
    let (mut found, is_paper) = match &known {
        Known::Trimap(trimap) => {
            let doubts = inside_out(trimap).map(str::to_owned).into_iter().collect();
            (Found { trimap: trimap.clone(), by: "trimap", doubts }, false)
        }
        Known::Ready(Some(paper), _) => {
            (Found { trimap: (*paper).clone(), by: "paper", doubts: Vec::new() }, true)
        }
        Known::Nothing | Known::Ready(None, _) => match sheet::found(picture, budget)? {
            Ok(found) => {
                let doubts = doubtful(&found).iter().map(Doubtful::to_string).collect();
                (Found { trimap: found.trimap, by: "paper", doubts }, true)
            }
            Err(_) if strokes.iter().any(|s| s.0 == Said::Inside) => {
                let trimap = by_regions()?.map_err(|e| too_little(e, drawn))?;
                return Ok(Found { trimap, by: "strokes", doubts: Vec::new() });
            }
            Err(e) => return Err(not_found(e, shot)),
        },
    };
    if strokes.is_empty() {
        return Ok(found);
    }
    (found.trimap, found.by) = if is_paper {
        match regions::over_paper(&found.trimap, strokes, by_regions, budget)? {
            Together::Paper(trimap) => (trimap, "paper and strokes"),
            Together::Strokes(trimap) => (trimap, "strokes"),
        }
    } else {
        (regions::laid(found.trimap, strokes, budget)?, "trimap and strokes")
    };
    for (sure, unsaid) in [(Sure::Inside, Unsaid::Inside), (Sure::Outside, Unsaid::Outside)] {
        if !found.trimap.cells().contains(&sure) {
            return Err(too_little(unsaid, drawn));
        }
    }
    Ok(found)
}

/// That hardly anything was found: a thing as light as its paper, it may be.
fn next_to_nothing(trimap: &Trimap) -> Option<&'static str> {
    /// Share of the frame (own choice, no source).
    const LEAST: f64 = 0.01;
    let found = trimap.cells().iter().filter(|s| **s != Sure::Outside).count() as f64;
    (found < LEAST * trimap.cells().len().max(1) as f64).then_some(
        "next to nothing was found before the paper: the thing may be as light as it, then draw strokes inside and outside",
    )
}

/// That a trimap says of most of the frame's border that the thing is there.
fn inside_out(trimap: &Trimap) -> Option<&'static str> {
    let place = trimap.place();
    let at = |x: i64, y: i64| trimap.at(x, y) == Sure::Inside;
    let across = (place.x0()..place.x1()).flat_map(|x| [at(x, place.y0()), at(x, place.y1() - 1)]);
    let down = (place.y0()..place.y1()).flat_map(|y| [at(place.x0(), y), at(place.x1() - 1, y)]);
    let border: Vec<bool> = across.chain(down).collect();
    let inside = border.iter().filter(|is| **is).count();
    (2 * inside > border.len()).then_some(
        "by the trimap most of the frame's border is the thing: white is what is inside, is it the other way round?",
    )
}

/// Something that is worth looking at.
pub(crate) struct Doubtful {
    /// In words.
    pub(crate) what: String,
    /// Where in the shot, if it is somewhere.
    pub(crate) place: Option<PxRect>,
}

impl fmt::Display for Doubtful {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)?;
        let Some(p) = self.place else { return Ok(()) };
        write!(f, ", columns {} to {}, rows {} to {}", p.x0(), p.x1() - 1, p.y0(), p.y1() - 1)
    }
}

/// What is doubtful of a thing that was found by its paper.
pub(crate) fn doubtful(found: &sheet::Found) -> Vec<Doubtful> {
    let nowhere = |what: String| Doubtful { what, place: None };
    let little = next_to_nothing(&found.trimap).map(|what| nowhere(what.to_owned()));
    let cut_off = cut_off(&found.trimap).into_iter().map(nowhere);
    little.into_iter().chain(cut_off).chain(found.doubts.iter().map(doubt)).collect()
}

/// What reaches the frame where paper should: a thing stands on the lower edge, if anywhere.
fn cut_off(trimap: &Trimap) -> Vec<String> {
    let place = trimap.place();
    let open = |x: i64, y: i64| trimap.at(x, y) != Sure::Outside;
    let (mut rows, mut columns) = (place.y0()..place.y1(), place.x0()..place.x1());
    let sides = [
        ("left", rows.clone().any(|y| open(place.x0(), y))),
        ("upper", columns.any(|x| open(x, place.y0()))),
        ("right", rows.any(|y| open(place.x1() - 1, y))),
    ];
    let said = |side| {
        format!("it touches the {side} edge of the frame: paper may end there, or the thing is cut off")
    };
    sides.into_iter().filter(|s| s.1).map(|s| said(s.0)).collect()
}

fn doubt(doubt: &Doubt) -> Doubtful {
    let (what, place) = match doubt {
        Doubt::DarkPaper(light) => {
            let light = scene::figure((light * 1000.0).round() / 10.0);
            (format!("the paper is dark ({light} % of white): noise may hide the edge"), None)
        }
        Doubt::FaintEdge(share) => (
            format!(
                "{} % of the edge is hard to tell from paper: parts of the thing may be lost; lay it on velvet, and draw strokes where it is wrong",
                (share * 100.0).round()
            ),
            None,
        ),
        Doubt::Filled(p) => {
            ("like paper, but taken for a part of the thing (is it a gap?)".to_owned(), Some(*p))
        }
        Doubt::LikePaper(p) => ("the edge is hard to tell from paper".to_owned(), Some(*p)),
        Doubt::Room(p) => ("beyond the paper, it seems, and left out".to_owned(), Some(*p)),
        Doubt::Clipped(p) => ("without detail in the lights along the edge".to_owned(), Some(*p)),
    };
    Doubtful { what, place }
}

/// What strokes do not say.
fn too_little(unsaid: Unsaid, place: &str) -> Error {
    let (what, remedy) = match unsaid {
        Unsaid::Inside => ("inside", "draw a stroke that says inside over the thing"),
        Unsaid::Outside => ("outside", "draw a stroke that says outside over what is behind the thing"),
    };
    let what =
        format!("with these strokes no part of the shot is surely {what}: nothing can be told from them");
    Error::refused(what, place, remedy)
}

fn not_found(e: sheet::NotFound, shot: &Path) -> Error {
    let what = match e {
        sheet::NotFound::NoPaper(share) => format!(
            "no paper is found behind the thing: the likeliest takes up {} % of the frame, or of its border",
            scene::figure((share * 1000.0).round() / 10.0)
        ),
        sheet::NotFound::NothingOnIt => "nothing is found before the paper".to_owned(),
    };
    Error::new(
        Kind::Refused,
        what,
        shot.display().to_string(),
        "draw a few strokes inside and outside (--strokes), or give a trimap: black outside, white inside, grey between (--trimap)",
    )
}
