//! What is said of a picture's file, in the words of whoever sees the picture: names for ids, words for fields.

use crate::{CutOutId, LevelId, PieceId, PracticalId, Scene, SetUpId, TakeId, TreatmentId};

/// Kinds of things as messages write them before an id, and as people call them.
const KINDS: [(&str, &str); 8] = [
    ("in-front region", "what stands in front"),
    ("piece", "piece"),
    ("cut-out", "cut-out"),
    ("level", "level"),
    ("set-up", "set-up"),
    ("practical", "lamp"),
    ("treatment", "treatment"),
    ("take", "take"),
];

/// The text with ids (`piece 4`, `practical 11`) as names, where the picture has such a thing.
///
/// ```
/// # use scene::{Format, Scene, with_names};
/// # let scene = Scene::new("Marsh", Format::of_size(units::PxSize::new(6, 4).unwrap())).unwrap();
/// assert_eq!(with_names("piece 4, mark.z", &scene), "the piece, mark.z");
/// assert_eq!(with_names("the piece that moved", &scene), "the piece that moved");
/// ```
#[must_use]
pub fn with_names(text: &str, scene: &Scene) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let begins = out.chars().next_back().is_none_or(|c| !c.is_alphanumeric() && c != '-');
        let found = begins.then(|| thing(rest, scene)).flatten();
        if let Some((name, length)) = found {
            out += &name;
            rest = &rest[length..];
        } else {
            out.push(first);
            rest = &rest[first.len_utf8()..];
        }
    }
    out
}

/// The name of the thing that a text begins with, and how much of the text that is.
fn thing(text: &str, scene: &Scene) -> Option<(String, usize)> {
    let (kind, said) = KINDS.into_iter().find(|(kind, _)| text.starts_with(kind))?;
    let digits = text[kind.len()..].strip_prefix(' ')?;
    let length = digits.bytes().take_while(u8::is_ascii_digit).count();
    let number: u64 = digits[..length].parse().ok()?;
    let mut end = kind.len() + 1 + length;
    let name = match kind {
        "piece" => scene.pieces.get(&PieceId::from_number(number)).map(|p| p.name.as_str()),
        "cut-out" => scene.cutouts.get(&CutOutId::from_number(number)).map(|c| c.name.as_str()),
        "level" => scene.levels.get(&LevelId::from_number(number)).map(|l| l.name.as_str()),
        "set-up" => scene.set_ups.get(&SetUpId::from_number(number)).map(|s| s.name.as_str()),
        "practical" => scene.practicals.get(&PracticalId::from_number(number)).map(|p| p.name.as_str()),
        "treatment" => scene.treatment(TreatmentId::from_number(number)).map(|t| t.kind.name()),
        "take" => scene.takes.get(&TakeId::from_number(number)).map(|t| t.name.as_str()),
        _ => None,
    };
    // Some are told with their name behind the id already.
    if let Some(behind) = name.map(|n| format!(" ({n})")).filter(|b| text[end..].starts_with(b.as_str())) {
        end += behind.len();
    }
    let name = match name {
        Some(name) if !name.is_empty() && matches!(kind, "piece" | "treatment") => name.to_owned(),
        Some(name) if !name.is_empty() => format!("{said} {name}"),
        // It has no name, or is only about to come in.
        _ if kind == "in-front region" => said.to_owned(),
        Some(_) => format!("{said} #{number}"),
        None => format!("the {said}"),
    };
    Some((name, end))
}

/// The place of a refusal with fields (`rows.size.nudge`) as words.
///
/// ```
/// assert_eq!(scene::fields_in_words("Heron, rows.size.nudge"), "Heron, size nudge");
/// assert_eq!(scene::fields_in_words("Heron, mark.z"), "Heron, mark, away");
/// assert_eq!(scene::fields_in_words("stage.white_balance"), "white balance");
/// assert_eq!(scene::fields_in_words("set-up studio, white_readings[1].height"), "set-up studio, white readings 2 height");
/// ```
#[must_use]
pub fn fields_in_words(place: &str) -> String {
    place.split(' ').map(field).collect::<Vec<_>>().join(" ")
}

fn field(word: &str) -> String {
    let (path, end) = word.strip_suffix(',').map_or((word, ""), |w| (w, ","));
    let is_path = path.contains(['.', '_', '['])
        && path.starts_with(|c: char| c.is_ascii_lowercase())
        && path.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b"._[]".contains(&b));
    // A file's name ends in its kind.
    let is_file = path.rsplit_once('.').is_some_and(|(_, kind)| FILES.contains(&kind));
    if !is_path || is_file {
        return word.to_owned();
    }
    let mut parts: Vec<String> = Vec::new();
    for part in path.split('.') {
        let (name, at) = part.split_once('[').unwrap_or((part, ""));
        match name {
            "rows" | "basis" | "kind" | "facts" | "stage" | "lights" => {}
            "x" if parts.last().is_some_and(|p| p == "mark") => parts.push(", to the right".to_owned()),
            "y" if parts.last().is_some_and(|p| p == "mark") => parts.push(", lift".to_owned()),
            "z" if parts.last().is_some_and(|p| p == "mark") => parts.push(", away".to_owned()),
            _ => parts.push(name.replace('_', " ")),
        }
        // Lists count from 0 in the file, from 1 among people.
        if let Ok(n) = at.trim_end_matches(']').parse::<usize>() {
            parts.push((n + 1).to_string());
        }
    }
    format!("{}{end}", parts.join(" ").replace(" ,", ","))
}

/// What the names of a picture's files end in.
const FILES: [&str; 9] = ["json", "ndjson", "tif", "tiff", "png", "jpg", "jpeg", "webp", "exr"];
