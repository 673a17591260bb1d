//! Where a treatment works, as it is said and as it is told.

use super::super::quantity::{self, Unreadable};
use super::super::{Error, Kind as Trouble, marks, names};
use optics::Point;
use scene::{Clause, Place, Scene, Target, Where};
use units::{Degrees, Metres, Stops};

/// Where a treatment works, as it is said: each text as its option takes it. With nothing said it works everywhere.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct WhereSaid {
    /// On these pieces.
    pub on: Vec<String>,
    /// Not on these pieces.
    pub not_on: Vec<String>,
    /// On, or not on, the subject.
    pub subject: Option<Side>,
    /// `4m:lantern`, with a soft width as `4m:lantern:2m`.
    pub within: Vec<String>,
    /// As `within`.
    pub beyond: Vec<String>,
    /// `12m`, with a soft width as `12m:4m`.
    pub behind: Option<String>,
    /// As `behind`.
    pub before: Option<String>,
    /// `-6..-2` in stops from mid-grey; either end may be left out; with a soft width as `..-2:1`.
    pub tones: Option<String>,
    /// `120:60`: middle and width in degrees; with a soft width as `120:60:20`.
    pub hues: Option<String>,
    /// `0.5,1:0.5,0`: from none at the first place to full at the second.
    pub gradient: Option<String>,
}

/// On something, or on all but it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// On it.
    On,
    /// Not on it.
    NotOn,
}

/// The where that is said; `None` where nothing is.
///
/// # Errors
/// Where a text cannot be read or names nothing.
pub fn meant(scene: &Scene, said: &WhereSaid) -> Result<Option<Where>, Error> {
    let mut clauses = Vec::new();
    let ids = |texts: &[String]| -> Result<_, Error> {
        let mut all = std::collections::BTreeSet::new();
        for text in texts {
            all.extend(names::pieces(scene, text)?);
        }
        Ok(all)
    };
    if !said.on.is_empty() {
        clauses.push(Clause::OnPieces(ids(&said.on)?));
    }
    if !said.not_on.is_empty() {
        clauses.push(Clause::NotOnPieces(ids(&said.not_on)?));
    }
    clauses.extend(said.subject.map(|side| match side {
        Side::On => Clause::OnSubject,
        Side::NotOn => Clause::NotOnSubject,
    }));
    for text in &said.within {
        let (distance, of, soft) = around(scene, text, "within")?;
        clauses.push(Clause::Within { of, distance, soft });
    }
    for text in &said.beyond {
        let (distance, of, soft) = around(scene, text, "beyond")?;
        clauses.push(Clause::Beyond { of, distance, soft });
    }
    if let Some(text) = &said.behind {
        let (depth, soft) = depth(text, "behind")?;
        clauses.push(Clause::BehindDepth { depth, soft });
    }
    if let Some(text) = &said.before {
        let (depth, soft) = depth(text, "before")?;
        clauses.push(Clause::BeforeDepth { depth, soft });
    }
    if let Some(text) = &said.tones {
        clauses.push(tones(text).map_err(|e| unreadable(&e, "tones"))?);
    }
    if let Some(text) = &said.hues {
        clauses.push(hues(text).map_err(|e| unreadable(&e, "hues"))?);
    }
    if let Some(text) = &said.gradient {
        clauses.push(gradient(text).map_err(|e| unreadable(&e, "gradient"))?);
    }
    Ok((!clauses.is_empty()).then_some(Where(clauses)))
}

fn unreadable(e: &Unreadable, option: &str) -> Error {
    Error::new(Trouble::Wording, e.what.clone(), format!("--{option}"), format!("give {}", e.allowed))
}

/// A distance from something, fading over half of it where nothing is said.
fn around(scene: &Scene, text: &str, option: &str) -> Result<(Metres, Place, Metres), Error> {
    const ALLOWED: &str =
        "a distance and what it counts from, as 4m:lantern, with a soft width as 4m:lantern:2m";
    let wrong = || {
        unreadable(&Unreadable { what: format!("\"{text}\" is not understood"), allowed: ALLOWED }, option)
    };
    let mut parts = text.split(':');
    let (Some(distance), Some(of), soft, None) = (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(wrong());
    };
    let distance = quantity::distance(distance).map_err(|e| unreadable(&e, option))?;
    let soft = soft.map(quantity::metres).transpose().map_err(|e| unreadable(&e, option))?;
    let nothing = |nearest| {
        let remedy = format!("give a piece, a lamp, or a place as x,z or x,y,z{nearest}");
        Error::refused(format!("there is nothing called {of} in the picture"), format!("--{option}"), remedy)
    };
    let of = match (quantity::ground(of), quantity::place(of)) {
        (Ok((x, z)), _) => Place::Point(Point::new(x, Metres::ZERO, z)),
        (_, Ok(point)) => Place::Point(point),
        _ => match marks::thing(scene, of).map_err(nothing)? {
            Target::Piece(id) => Place::Piece(id),
            Target::Practical(id) => Place::Practical(id),
            Target::Point(_) | Target::Lens | Target::Away => return Err(wrong()),
        },
    };
    Ok((distance, of, soft.unwrap_or(distance * 0.5)))
}

/// A depth, fading over a quarter of it where nothing is said.
fn depth(text: &str, option: &str) -> Result<(Metres, Metres), Error> {
    let (depth, soft) = text.split_once(':').map_or((text, None), |(d, s)| (d, Some(s)));
    let depth = quantity::distance(depth).map_err(|e| unreadable(&e, option))?;
    let soft = soft.map(quantity::metres).transpose().map_err(|e| unreadable(&e, option))?;
    Ok((depth, soft.unwrap_or(depth * 0.25)))
}

fn tones(text: &str) -> Result<Clause, Unreadable> {
    const ALLOWED: &str = "stops from mid-grey, as -6..-2, ..-2 or 1.., with a soft width as ..-2:1";
    let (range, soft) = text.split_once(':').map_or((text, None), |(r, s)| (r, Some(s)));
    let Some((from, to)) = range.split_once("..") else {
        return Err(Unreadable { what: format!("\"{text}\" is no range of tones"), allowed: ALLOWED });
    };
    let end = |t: &str| if t.is_empty() { Ok(None) } else { quantity::stops(t).map(Some) };
    let soft = soft.map(quantity::stops).transpose()?.unwrap_or(Stops::of(1.0));
    Ok(Clause::Tones { from: end(from)?, to: end(to)?, soft })
}

fn hues(text: &str) -> Result<Clause, Unreadable> {
    const ALLOWED: &str =
        "middle and width of the hues in degrees (CIE LCh), as 120:60, with a soft width as 120:60:20";
    let parts: Vec<Degrees> = text.split(':').map(quantity::degrees).collect::<Result<_, _>>()?;
    match parts.as_slice() {
        [centre, width] => Ok(Clause::Hues { centre: *centre, width: *width, soft: Degrees::of(20.0) }),
        [centre, width, soft] => Ok(Clause::Hues { centre: *centre, width: *width, soft: *soft }),
        _ => Err(Unreadable { what: format!("\"{text}\" is no range of hues"), allowed: ALLOWED }),
    }
}

fn gradient(text: &str) -> Result<Clause, Unreadable> {
    const ALLOWED: &str =
        "two places as shares of width and height, none at the first, full at the second, as 0.5,1:0.5,0";
    match text.split_once(':') {
        Some((from, to)) => {
            Ok(Clause::Gradient { from: quantity::fraction(from)?, to: quantity::fraction(to)? })
        }
        None => Err(Unreadable { what: format!("\"{text}\" is no gradient"), allowed: ALLOWED }),
    }
}

/// A clause as the options that say it, so that [`meant`] reads the same from them; none for a dodging card, which is painted.
#[must_use]
pub fn in_options(clause: &Clause) -> Vec<String> {
    let of = |option: &str, value: String| vec![format!("--{option}"), value];
    let place = |place: &Place| match place {
        Place::Piece(id) => format!("#{}", id.number()),
        Place::Practical(id) => format!("#{}", id.number()),
        Place::Point(p) => p.vector().0.map(|v| v.to_string()).join(","),
    };
    let pieces = |option: &str, ids: &std::collections::BTreeSet<scene::PieceId>| {
        let numbers = ids.iter().map(|id| format!("#{}", id.number()));
        std::iter::once(format!("--{option}")).chain(numbers).collect()
    };
    let around = |option: &str, of_: &Place, distance: &Metres, soft: &Metres| {
        of(option, format!("{}m:{}:{}m", distance.get(), place(of_), soft.get()))
    };
    let end = |v: &Option<Stops>| v.map_or_else(String::new, |v| v.get().to_string());
    match clause {
        Clause::OnPieces(ids) => pieces("on", ids),
        Clause::NotOnPieces(ids) => pieces("not-on", ids),
        Clause::OnSubject => vec!["--on-subject".to_owned()],
        Clause::NotOnSubject => vec!["--not-on-subject".to_owned()],
        Clause::Within { of, distance, soft } => around("within", of, distance, soft),
        Clause::Beyond { of, distance, soft } => around("beyond", of, distance, soft),
        Clause::BehindDepth { depth, soft } => of("behind", format!("{}m:{}m", depth.get(), soft.get())),
        Clause::BeforeDepth { depth, soft } => of("before", format!("{}m:{}m", depth.get(), soft.get())),
        Clause::Tones { from, to, soft } => of("tones", format!("{}..{}:{}", end(from), end(to), soft.get())),
        Clause::Hues { centre, width, soft } => {
            of("hues", format!("{}:{}:{}", centre.get(), width.get(), soft.get()))
        }
        Clause::Gradient { from, to } => {
            let pair = |p: &[f64; 2]| p.map(|v| v.to_string()).join(",");
            of("gradient", format!("{}:{}", pair(from), pair(to)))
        }
        Clause::Card { .. } => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::{WhereSaid, in_options, meant};
    use scene::{Clause, Format, Place, Scene};
    use units::{Degrees, Metres, Primaries, PxSize, Stops};

    /// A clause said by its options, and by nothing else.
    fn said(options: &[String]) -> WhereSaid {
        let mut said = WhereSaid::default();
        let value = options.get(1).cloned().unwrap_or_default();
        match options[0].as_str() {
            "--within" => said.within.push(value),
            "--beyond" => said.beyond.push(value),
            "--behind" => said.behind = Some(value),
            "--before" => said.before = Some(value),
            "--tones" => said.tones = Some(value),
            "--hues" => said.hues = Some(value),
            "--gradient" => said.gradient = Some(value),
            other => panic!("{other}"),
        }
        said
    }

    #[test]
    fn what_a_clause_is_said_by_says_it_again() {
        let format =
            Format { size: PxSize::new(300, 200).unwrap(), print: None, primaries: Primaries::Rec2020 };
        let scene = Scene::new("marsh", format).unwrap();
        let at = optics::Point::new(Metres::of(-0.4), Metres::of(1.25), Metres::of(7.0));
        let (near, soft) = (Metres::of(1.0 / 3.0), Metres::of(0.1));
        for clause in [
            Clause::Within { of: Place::Point(at), distance: near, soft },
            Clause::Beyond { of: Place::Point(at), distance: near, soft: Metres::ZERO },
            Clause::BehindDepth { depth: Metres::of(12.3456789), soft },
            Clause::BeforeDepth { depth: near, soft },
            Clause::Tones { from: None, to: Some(Stops::of(-2.0)), soft: Stops::of(0.5) },
            Clause::Tones { from: Some(Stops::of(1.0 / 3.0)), to: None, soft: Stops::ZERO },
            Clause::Hues { centre: Degrees::of(136.0), width: Degrees::of(80.5), soft: Degrees::of(20.0) },
            Clause::Gradient { from: [0.5, 1.0], to: [1.0 / 3.0, 0.0] },
        ] {
            let again = meant(&scene, &said(&in_options(&clause))).unwrap().unwrap();
            assert_eq!(again.0, [clause]);
        }
    }
}
