//! Finding the things of a picture by what they are called.
//!
//! Every list is searched alike: by the whole name, or by number as `#7`. A name that no thing has is answered with the
//! nearest one.

use super::Error;
use scene::{CutOutId, DressingId, LevelId, PieceId, PracticalId, Scene, SetUpId, TakeId, TreatmentId};

/// One piece: `crane`, `#7`.
///
/// # Errors
/// Where none or several are called so.
pub fn piece(scene: &Scene, text: &str) -> Result<PieceId, Error> {
    one("piece", text, scene.pieces().iter().map(|(id, p)| (*id, id.number(), p.name.as_str())))
}

/// Several pieces: `crane`, `#7`, `reed*` (any that match), `all`, and these with commas between. In the order of their numbers.
///
/// # Errors
/// Where none is called so; and where several have a name that was given in full.
pub fn pieces(scene: &Scene, text: &str) -> Result<Vec<PieceId>, Error> {
    let matching = |wanted: &dyn Fn(&str) -> bool| -> Vec<PieceId> {
        scene.pieces().iter().filter(|(_, p)| wanted(&p.name)).map(|(id, _)| *id).collect()
    };
    let found = match text {
        "all" if matching(&|name| name == "all").is_empty() => matching(&|_| true),
        _ if text.contains(',') && matching(&|name| name == text).is_empty() => {
            let mut all = Vec::new();
            for part in text.split(',') {
                all.extend(pieces(scene, part.trim())?);
            }
            all.sort_unstable();
            all.dedup();
            all
        }
        _ if text.contains('*') => matching(&|name| matches(text, name)),
        _ => return piece(scene, text).map(|id| vec![id]),
    };
    if found.is_empty() {
        let all = scene.pieces().values().map(|p| p.name.as_str());
        return Err(missing("piece", text, all));
    }
    Ok(found)
}

/// A cut-out.
///
/// # Errors
/// Where none or several are called so.
pub fn cutout(scene: &Scene, text: &str) -> Result<CutOutId, Error> {
    one("cut-out", text, scene.cutouts().iter().map(|(id, c)| (*id, id.number(), c.name.as_str())))
}

/// Several cut-outs: `crane*` (any that match), a cut-out's name, or that of a piece that shows it.
///
/// # Errors
/// Where none is called so.
pub fn cutouts(scene: &Scene, text: &str) -> Result<Vec<CutOutId>, Error> {
    if !text.contains('*') {
        return super::cutouts::named(scene, text).map(|id| vec![id]);
    }
    let all = scene.cutouts();
    let found: Vec<CutOutId> =
        all.iter().filter(|(_, c)| matches(text, &c.name)).map(|(id, _)| *id).collect();
    if found.is_empty() {
        return Err(missing("cut-out", text, all.values().map(|c| c.name.as_str())));
    }
    Ok(found)
}

/// A level.
///
/// # Errors
/// Where none or several are called so.
pub fn level(scene: &Scene, text: &str) -> Result<LevelId, Error> {
    one("level", text, scene.levels().iter().map(|(id, l)| (*id, id.number(), l.name.as_str())))
}

/// A lamp.
///
/// # Errors
/// Where none or several are called so.
pub fn lamp(scene: &Scene, text: &str) -> Result<PracticalId, Error> {
    one("lamp", text, scene.practicals().iter().map(|(id, l)| (*id, id.number(), l.name.as_str())))
}

/// A studio set-up.
///
/// # Errors
/// Where none or several are called so.
pub fn set_up(scene: &Scene, text: &str) -> Result<SetUpId, Error> {
    one("set-up", text, scene.set_ups().iter().map(|(id, s)| (*id, id.number(), s.name.as_str())))
}

/// A take.
///
/// # Errors
/// Where none or several are called so.
pub fn take(scene: &Scene, text: &str) -> Result<TakeId, Error> {
    one("take", text, scene.takes().iter().map(|(id, t)| (*id, id.number(), t.name.as_str())))
}

/// A set dressing.
///
/// # Errors
/// Where none or several are called so.
pub fn dressing(scene: &Scene, text: &str) -> Result<DressingId, Error> {
    one("dressing", text, scene.dressings().iter().map(|(id, d)| (*id, id.number(), d.name.as_str())))
}

/// A treatment: by what it does (`edge burn` or `edge-burn`), or by number.
///
/// # Errors
/// Where none or several are called so.
pub fn treatment(scene: &Scene, text: &str) -> Result<TreatmentId, Error> {
    let text = text.replace(' ', "-");
    let names: Vec<String> = scene.toning().iter().map(|t| t.kind.name().replace(' ', "-")).collect();
    let list = scene.toning().iter().zip(&names);
    one("treatment", &text, list.map(|(t, name)| (t.id, t.id.number(), name.as_str())))
}

fn one<'a, Id: Copy>(
    kind: &str,
    text: &str,
    list: impl Iterator<Item = (Id, u64, &'a str)> + Clone,
) -> Result<Id, Error> {
    let named: Vec<(Id, u64)> =
        list.clone().filter(|(.., name)| *name == text).map(|(id, n, _)| (id, n)).collect();
    match named.as_slice() {
        [(id, _)] => return Ok(*id),
        [] => {}
        several => {
            let numbers: Vec<String> = several.iter().map(|(_, n)| format!("#{n}")).collect();
            return Err(Error::refused(
                format!("{} are called {text}", several.len()),
                format!("{kind} {text}"),
                format!("say which by its number: {}", numbers.join(", ")),
            ));
        }
    }
    let number: Option<u64> = text.strip_prefix('#').and_then(|n| n.parse().ok());
    if let Some((id, ..)) = list.clone().find(|(_, n, _)| Some(*n) == number) {
        return Ok(id);
    }
    // However they were written: case is not worth a refusal where it decides nothing.
    let mut alike = list.clone().filter(|(.., name)| name.to_lowercase() == text.to_lowercase());
    if let (Some((id, ..)), None) = (alike.next(), alike.next()) {
        return Ok(id);
    }
    Err(missing(kind, text, list.map(|(.., name)| name)))
}

/// That nothing is called so, with what comes nearest.
fn missing<'a>(kind: &str, text: &str, names: impl Iterator<Item = &'a str>) -> Error {
    let mut names: Vec<&str> = names.collect();
    names.sort_unstable();
    names.dedup();
    let remedy = match nearest(text, &names) {
        Some(name) => format!("did you mean {name}?"),
        None if names.is_empty() => format!("the picture has no {kind} yet: add one first"),
        None if names.len() <= 8 => format!("there are: {}", names.join(", ")),
        None => format!("there are {} others; list them", names.len()),
    };
    Error::refused(format!("there is no {kind} called {text}"), format!("{kind} {text}"), remedy)
}

/// The name that is nearest to a text, if one is near.
#[must_use]
pub fn nearest<'a>(text: &str, names: &[&'a str]) -> Option<&'a str> {
    let text = text.to_lowercase();
    let bearable = (text.chars().count() / 3).max(1);
    names
        .iter()
        .map(|name| (changes(&text, &name.to_lowercase()), *name))
        .filter(|(n, _)| *n <= bearable)
        .min_by_key(|(n, _)| *n)
        .map(|(_, name)| name)
}

/// How many letters must be put in, left out, replaced or exchanged with their neighbour (Damerau 1964, each stretch
/// changed once) to turn one text into the other.
fn changes(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let replaced = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = replaced.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

/// Whether a name fits a pattern in which `*` stands for anything.
fn matches(pattern: &str, name: &str) -> bool {
    let mut parts = pattern.split('*');
    let first = parts.next().unwrap_or_default();
    let Some(mut rest) = name.strip_prefix(first) else { return false };
    let mut parts: Vec<&str> = parts.collect();
    let Some(last) = parts.pop() else { return rest.is_empty() };
    for part in parts {
        match rest.find(part) {
            Some(at) => rest = &rest[at + part.len()..],
            None => return false,
        }
    }
    rest.len() >= last.len() && rest.ends_with(last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_match_whole_names() {
        for (pattern, name, fits) in [
            ("reed*", "reed-left", true),
            ("*left", "reed-left", true),
            ("re*le*t", "reed-left", true),
            ("reed*", "the reed", false),
            ("a*a", "a", false),
            ("*", "", true),
        ] {
            assert_eq!(matches(pattern, name), fits, "{pattern} {name}");
        }
    }

    #[test]
    fn the_nearest_name_is_near() {
        assert_eq!(nearest("carne", &["crane", "lantern"]), Some("crane"));
        assert_eq!(nearest("Lantrn", &["crane", "lantern"]), Some("lantern"));
        assert_eq!(nearest("sitter", &["crane", "lantern"]), None);
    }
}
