//! The strokes file: what a photographer drew over a shot, to be drawn again over any copy of it (docs/formats/strokes.md).

use super::{Error, Kind};
use cutting::pen::{Dot, Form, Stroke};
use cutting::regions::Said;
use scene::{Says, StrokeForm};
use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;
use std::fmt;
use std::io::Read as _;
use std::path::Path;
use units::{Pixels, PxSize};

/// The number of the form that is read here.
const FORM: u64 = 1;
/// Most bytes, strokes, and points of all strokes together.
const MOST_BYTES: u64 = 64 << 20;
const MOST_STROKES: usize = 10_000;
const MOST_POINTS: usize = 500_000;
/// Widest line, in pixels of the picture it is drawn on.
const WIDEST: f64 = 2e5;
/// Most pixels that are gone over while strokes are drawn, those that lie under several counted again.
const MOST_WORK: f64 = 4e9;

/// Strokes, on the picture that they were drawn on.
#[derive(Clone, PartialEq, Debug)]
pub struct Strokes {
    place: String,
    size: PxSize,
    strokes: Vec<Told>,
}

/// A stroke with what it says.
#[derive(Clone, PartialEq, Debug)]
pub struct Told {
    /// What it says of what lies under it.
    pub says: Says,
    /// Where it lies.
    pub stroke: Stroke,
    /// How much of it is done.
    pub strength: f64,
}

#[derive(Deserialize)]
struct Head {
    setpiece_strokes: u64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Doc {
    #[serde(rename = "setpiece_strokes")]
    _form: u64,
    size: [u32; 2],
    strokes: Vec<Box<RawValue>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Drawn {
    says: String,
    path: Vec<Point>,
    #[serde(default)]
    width: f64,
    #[serde(default)]
    area: bool,
    #[serde(default)]
    soft: f64,
    #[serde(default = "all")]
    strength: f64,
    radius: Option<f64>,
}

const fn all() -> f64 {
    1.0
}

/// Column, row, pressure.
#[derive(Clone, Copy)]
struct Point([f64; 3]);

impl<'de> Deserialize<'de> for Point {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Numbers;
        impl<'de> Visitor<'de> for Numbers {
            type Value = Point;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a point: [x, y] or [x, y, pressure]")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Point, A::Error> {
                let mut found = [0.0, 0.0, 1.0];
                for (i, v) in found.iter_mut().enumerate() {
                    match seq.next_element()? {
                        Some(number) => *v = number,
                        None if i < 2 => return Err(serde::de::Error::invalid_length(i, &self)),
                        None => return Ok(Point(found)),
                    }
                }
                match seq.next_element::<serde::de::IgnoredAny>()? {
                    Some(_) => Err(serde::de::Error::invalid_length(4, &self)),
                    None => Ok(Point(found)),
                }
            }
        }
        from.deserialize_seq(Numbers)
    }
}

/// What is wrong with one stroke.
struct Wrong {
    what: String,
    remedy: &'static str,
}

impl Wrong {
    fn new(what: impl Into<String>, remedy: &'static str) -> Self {
        Self { what: what.into(), remedy }
    }
}

const FORMAT: &str = "correct it; docs/formats/strokes.md says what a strokes file holds";

impl Strokes {
    /// Reads a file.
    ///
    /// # Errors
    /// Where it cannot be read, is no strokes file, or one of its strokes cannot be drawn: which, and why.
    pub fn read(path: &Path) -> Result<Self, Error> {
        let place = path.display().to_string();
        let (file, bytes) = files::open(path)?;
        let mut text = String::new();
        if bytes <= MOST_BYTES {
            let read = file.take(MOST_BYTES + 1).read_to_string(&mut text);
            read.map_err(|e| wrong(format!("it cannot be read as text: {e}"), &place, FORMAT))?;
        }
        if bytes > MOST_BYTES || text.len() as u64 > MOST_BYTES {
            let what = format!("it has {bytes} bytes, and {MOST_BYTES} are read at most");
            return Err(wrong(what, &place, "draw with fewer strokes or points"));
        }
        Self::of_text(&text, &place)
    }

    /// From a file's text; `place` is named where something is wrong.
    ///
    /// # Errors
    /// As [`Strokes::read`].
    pub fn of_text(text: &str, place: &str) -> Result<Self, Error> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head: Head = serde_json::from_str(text).map_err(|e| not_strokes(&e, place))?;
        if head.setpiece_strokes > FORM {
            let what = format!("it has form {}, written by a newer Setpiece", head.setpiece_strokes);
            return Err(wrong(what, place, "read it with that version or a later one"));
        }
        if head.setpiece_strokes == 0 {
            return Err(wrong("there is no form 0 of strokes files", place, FORMAT));
        }
        let doc: Doc = serde_json::from_str(text).map_err(|e| not_strokes(&e, place))?;
        let [w, h] = doc.size;
        let size = PxSize::new(w, h).ok_or_else(|| {
            wrong(
                format!("no picture is {w} x {h} pixels"),
                &format!("{place}, size"),
                "give the shot's size",
            )
        })?;
        if doc.strokes.len() > MOST_STROKES {
            let what =
                format!("there are {} strokes, and {MOST_STROKES} are read at most", doc.strokes.len());
            return Err(wrong(what, place, "leave some out"));
        }
        let mut left = MOST_POINTS;
        let each = doc.strokes.iter().enumerate();
        let strokes = each.map(|(i, raw)| {
            stroke(raw, &mut left).map_err(|e| wrong(e.what, &format!("{place}, stroke {}", i + 1), e.remedy))
        });
        Ok(Self { place: place.to_owned(), size, strokes: strokes.collect::<Result<_, _>>()? })
    }

    /// Over a copy of the shot that has this size.
    ///
    /// # Errors
    /// Where it has another shape, or drawing would take too long.
    pub fn over(&self, shot: PxSize) -> Result<Vec<Told>, Error> {
        let [w, h, u, v] =
            [self.size.width(), self.size.height(), shot.width(), shot.height()].map(f64::from);
        let by = u / w;
        // Either size may have been cut off to whole pixels.
        let same_shape = (h * by - v).abs() <= 1.0 + by;
        if !same_shape {
            let what = format!(
                "the strokes were drawn on {} x {} pixels, and the shot is {} x {}: its shape is another",
                w, h, u, v
            );
            return Err(wrong(
                what,
                &self.place,
                "give the strokes of this shot, not cropped and not turned",
            ));
        }
        let scaled = |(i, told): (usize, &Told)| {
            let stroke = told.stroke.scaled(by).ok_or_else(|| {
                let place = format!("{}, stroke {}", self.place, i + 1);
                wrong("scaled to the shot it lies too far away to be drawn", &place, FORMAT)
            })?;
            let says = match told.says {
                Says::Soften(radius) => Says::Soften(radius * by),
                says => says,
            };
            Ok(Told { says, stroke, strength: told.strength })
        };
        let strokes = self.strokes.iter().enumerate().map(scaled).collect::<Result<Vec<_>, Error>>()?;
        let work: f64 = strokes.iter().map(|told| told.stroke.work(shot.rect())).sum();
        if work > MOST_WORK {
            return Err(wrong(
                "the strokes go over the shot so often that drawing them would take minutes",
                &self.place,
                "draw with fewer or narrower strokes",
            ));
        }
        Ok(strokes)
    }
}

fn wrong(what: impl Into<String>, place: &str, remedy: &str) -> Error {
    Error::new(Kind::Files, what, place, remedy)
}

fn not_strokes(e: &serde_json::Error, place: &str) -> Error {
    let what = if e.is_data() { "it is no strokes file" } else { "it is not JSON" };
    wrong(format!("{what}: {e}"), place, FORMAT)
}

fn stroke(raw: &RawValue, left: &mut usize) -> Result<Told, Wrong> {
    let drawn: Drawn = serde_json::from_str(raw.get()).map_err(|e| {
        // Counted from the stroke's own beginning: the number of the stroke says more.
        let text = e.to_string();
        Wrong::new(text.rsplit_once(" at line ").map_or(text.as_str(), |(what, _)| what), FORMAT)
    })?;
    let says = match drawn.says.as_str() {
        "inside" => Says::Inside,
        "outside" => Says::Outside,
        "between" => Says::Between,
        "add" => Says::Add,
        "remove" => Says::Remove,
        "soften" => Says::Soften(radius(&drawn)?),
        "follow" => Says::Follow,
        "close" => Says::Close,
        "mend" => Says::Mend,
        "take" => Says::Take,
        "stay" => Says::Stay,
        other => {
            let other: String = other.chars().take(40).collect();
            let remedy =
                "say inside, outside or between; add, remove, soften, follow or close; mend; take or stay";
            return Err(Wrong::new(format!("it says \"{other}\", which is not known"), remedy));
        }
    };
    if !(0.0..=1.0).contains(&drawn.strength) {
        return Err(Wrong::new("its strength is not from 0 to 1", FORMAT));
    }
    if drawn.path.is_empty() {
        return Err(Wrong::new("its path has no point", "give at least one point, or leave the stroke out"));
    }
    *left = left.checked_sub(drawn.path.len()).ok_or_else(|| {
        Wrong::new(format!("there are more than {MOST_POINTS} points up to here"), "draw with fewer points")
    })?;
    if let Some(i) = drawn.path.iter().position(|p| !(0.0..=1.0).contains(&p.0[2])) {
        return Err(Wrong::new(format!("the pressure at point {} is not from 0 to 1", i + 1), FORMAT));
    }
    if drawn.width > WIDEST {
        return Err(Wrong::new(
            format!("it is wider than {WIDEST} pixels"),
            "draw a narrower one, or an area",
        ));
    }
    let dots = drawn.path.iter().map(|p| Dot { x: p.0[0], y: p.0[1], radius: drawn.width / 2.0 * p.0[2] });
    let form = if drawn.area { Form::Area } else { Form::Line };
    let stroke = Stroke::new(dots.collect(), form, drawn.soft).ok_or_else(|| {
        let what = if !(0.0..=1.0).contains(&drawn.soft) {
            "its softness is not from 0 to 1"
        } else if drawn.width < 0.0 {
            "its width is below 0"
        } else {
            "it lies too far from the picture, or is too wide, to be drawn"
        };
        Wrong::new(what, FORMAT)
    })?;
    Ok(Told { says, stroke, strength: drawn.strength })
}

/// What a stroke softens by; half of what it is wide, where nothing is said.
fn radius(drawn: &Drawn) -> Result<Pixels, Wrong> {
    let radius = drawn.radius.unwrap_or(drawn.width / 4.0);
    Pixels::new(radius)
        .filter(|r| (0.0..=200.0).contains(&r.get()))
        .ok_or_else(|| Wrong::new("the radius it softens by is not from 0 to 200 pixels", FORMAT))
}

impl Told {
    /// As the picture keeps it.
    #[must_use]
    pub fn kept(&self) -> scene::Stroke {
        let dot = |d: &Dot| (Pixels::of(d.x), Pixels::of(d.y), Pixels::of(d.radius));
        scene::Stroke {
            says: self.says,
            form: match self.stroke.form() {
                Form::Line => StrokeForm::Line,
                Form::Area => StrokeForm::Area,
            },
            dots: self.stroke.dots().iter().map(dot).collect(),
            soft: self.stroke.soft(),
            strength: self.strength,
        }
    }

    /// As the picture has kept it. `None` for what cannot be drawn.
    #[must_use]
    pub fn of(kept: &scene::Stroke) -> Option<Self> {
        let dot =
            |(x, y, radius): &(Pixels, Pixels, Pixels)| Dot { x: x.get(), y: y.get(), radius: radius.get() };
        let form = match kept.form {
            StrokeForm::Line => Form::Line,
            StrokeForm::Area => Form::Area,
        };
        let stroke = Stroke::new(kept.dots.iter().map(dot).collect(), form, kept.soft)?;
        Some(Self { says: kept.says, stroke, strength: kept.strength })
    }
}

/// Those that say what is sure, for cutting.
#[must_use]
pub fn for_cutting(told: &[Told]) -> Vec<(Said, Stroke)> {
    let said = |told: &Told| {
        let said = match told.says {
            Says::Inside => Said::Inside,
            Says::Outside => Said::Outside,
            Says::Between => Said::Between,
            _ => return None,
        };
        Some((said, told.stroke.clone()))
    };
    told.iter().filter_map(said).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Strokes, Error> {
        Strokes::of_text(text, "s.json")
    }

    fn with(strokes: &str) -> String {
        format!("{{\"setpiece_strokes\": 1, \"size\": [600, 400], \"strokes\": [{strokes}]}}")
    }

    #[test]
    fn strokes_are_read_and_drawn_over_copies_of_the_same_shape() {
        let text = with(
            r#"{"says": "inside", "path": [[30, 40], [60, 40, 0.5]], "width": 20},
               {"says": "outside", "path": [[0, 0], [9, 0], [0, 9]], "area": true, "soft": 0.5},
               {"says": "between", "path": [[300, 200]], "width": 3}"#,
        );
        let found = read(&text).unwrap().over(PxSize::new(1200, 800).unwrap()).unwrap();
        assert_eq!(
            found.iter().map(|f| f.says).collect::<Vec<_>>(),
            [Says::Inside, Says::Outside, Says::Between]
        );
        assert_eq!(
            found[0].stroke.dots(),
            [Dot { x: 60.0, y: 80.0, radius: 20.0 }, Dot { x: 120.0, y: 80.0, radius: 10.0 }]
        );
        assert_eq!((found[1].stroke.form(), found[1].stroke.soft()), (Form::Area, 0.5));
        let strokes = read(&text).unwrap();
        for (w, h, fits) in [
            (300, 200, true),
            (1000, 667, true),
            (100, 66, true),
            (7, 5, true),
            (400, 600, false),
            (600, 390, false),
            (6000, 4100, false),
        ] {
            assert_eq!(strokes.over(PxSize::new(w, h).unwrap()).is_ok(), fits, "{w} x {h}");
        }
    }

    #[test]
    fn what_cannot_be_meant_is_refused_with_its_stroke() {
        let good = r#"{"says": "inside", "path": [[1, 2]]}"#;
        let many = format!("{}[1, 2]", "[1, 2],".repeat(MOST_POINTS));
        let nested = format!("{good}, {}", "[".repeat(5000));
        for (stroke, what, place) in [
            (r#"{"says": "insde", "path": [[1, 2]]}"#, "\"insde\"", "stroke 2"),
            (r#"{"says": "inside", "path": []}"#, "no point", "stroke 2"),
            (r#"{"says": "inside", "path": [[1]]}"#, "a point", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2, 0.5, 4]]}"#, "a point", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2, 1.5]]}"#, "pressure at point 1", "stroke 2"),
            (r#"{"says": "inside", "path": [[1e300, 2]]}"#, "too far", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2]], "width": -1}"#, "width", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2]], "width": 1e40}"#, "wider than 200000", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2]], "soft": 2}"#, "softness", "stroke 2"),
            (r#"{"says": "inside", "path": [[1, 2]], "colour": 2}"#, "colour", "stroke 2"),
            (r#"{"says": "inside", "path": [["a", 2]]}"#, "invalid type", "stroke 2"),
            (r#"{"path": [[1, 2]]}"#, "says", "stroke 2"),
            (r#"{"says": "inside", "path": [[1e999, 2]]}"#, "number out of range", "s.json"),
            (r#"{"says": "inside", "path": [[NaN, 2]]}"#, "not JSON", "s.json"),
            (&format!(r#"{{"says": "inside", "path": [{many}]}}"#), "points", "stroke 2"),
            (&nested, "not JSON", "s.json"),
        ] {
            let e = read(&with(&format!("{good}, {stroke}"))).unwrap_err();
            let short: String = stroke.chars().take(80).collect();
            assert!(e.what().contains(what) && e.place().contains(place), "{short}: {e}");
        }
        let crowd = format!("{good}{}", format!(", {good}").repeat(MOST_STROKES));
        for (text, what) in [
            ("", "not JSON"),
            ("[]", "no strokes file"),
            ("{}", "setpiece_strokes"),
            (r#"{"setpiece_strokes": 2, "anything": 1}"#, "newer"),
            (r#"{"setpiece_strokes": 0}"#, "form 0"),
            (r#"{"setpiece_strokes": 1, "size": [0, 4], "strokes": []}"#, "0 x 4"),
            (r#"{"setpiece_strokes": 1, "size": [-1, 4], "strokes": []}"#, "no strokes file"),
            (r#"{"setpiece_strokes": 1, "size": [4, 4], "strokes": [], "x": 1}"#, "x"),
            (&with(&crowd), "10001 strokes"),
        ] {
            let e = read(text).unwrap_err();
            assert!(e.what().contains(what), "{e}");
        }
    }

    #[test]
    fn strokes_that_would_take_for_ever_are_refused() {
        let zigzag = "[0, 0], [600, 400], ".repeat(20_000);
        let text = with(&format!(r#"{{"says": "inside", "path": [{zigzag} [0, 0]], "width": 500}}"#));
        let e = read(&text).unwrap().over(PxSize::new(6000, 4000).unwrap()).unwrap_err();
        assert!(e.what().contains("minutes"), "{e}");
    }
}
