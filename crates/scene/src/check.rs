//! Which values a picture may hold: finite numbers in a sane range, names a line can show, lists of a
//! bearable length. Whether what they refer to exists is asked in `reference`.

mod dressing;
mod edit;
mod look;
mod stand;
mod world;

pub(crate) use edit::in_take;
pub(crate) use stand::{depth_scale, outlines};
pub(crate) use world::ground_reflectance;

use crate::{Refused, figure};
use units::{Degrees, Metres, Vec3};

/// Nothing on a stage is farther than this from its origin, in metres (100 km).
pub(crate) const FAR: f64 = 1e5;
/// The brightest light there may be, in picture units.
const BRIGHTEST: f64 = 1e9;
/// The warmest and the coolest light, in kelvin: the range of the loci that `optics` knows.
const KELVIN: (f64, f64) = (1000.0, 25_000.0);
/// Of a name, in characters.
const LONGEST_NAME: usize = 200;
/// Of a remark or a file's old name, in characters.
const LONGEST_NOTE: usize = 10_000;

/// A value that may lie outside what a picture can hold.
pub(crate) trait Check {
    /// Says which field is wrong, by its name in the picture's file.
    fn check(&self) -> Result<(), Refused>;
}

impl<T: Check> Check for Option<T> {
    fn check(&self) -> Result<(), Refused> {
        self.as_ref().map_or(Ok(()), Check::check)
    }
}

impl<T: Check + ?Sized> Check for Box<T> {
    fn check(&self) -> Result<(), Refused> {
        (**self).check()
    }
}

/// A number of the field `place`. NaN lies nowhere.
fn number(place: &str, value: f64, (low, high): (f64, f64), unit: &str) -> Result<(), Refused> {
    if value >= low && value <= high {
        return Ok(());
    }
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    Err(Refused::new(
        format!("{}{unit} is out of range", figure(value)),
        place,
        format!("give {low} to {high}{unit}"),
    ))
}

/// A number that may be left out.
fn maybe(place: &str, value: Option<f64>, range: (f64, f64), unit: &str) -> Result<(), Refused> {
    value.map_or(Ok(()), |v| number(place, v, range, unit))
}

/// What a field holds.
fn field(place: &str, value: &impl Check) -> Result<(), Refused> {
    value.check().map_err(|r| r.inside(place))
}

/// A coordinate or length of either sign.
fn far(place: &str, value: Metres) -> Result<(), Refused> {
    number(place, value.get(), (-FAR, FAR), "m")
}

/// A distance.
fn distance(place: &str, value: Metres) -> Result<(), Refused> {
    number(place, value.get(), (0.0, FAR), "m")
}

/// Any angle up to a full turn.
fn turn(place: &str, value: Degrees) -> Result<(), Refused> {
    number(place, value.get(), (-360.0, 360.0), "degrees")
}

/// A tint.
fn tint(place: &str, value: f64) -> Result<(), Refused> {
    number(place, value, (-50.0, 50.0), "thousandths of CIE 1960 u, v")
}

/// A share.
fn share(place: &str, value: f64) -> Result<(), Refused> {
    number(place, value, (0.0, 1.0), "")
}

/// Three numbers alike.
fn rgb(place: &str, value: Vec3, range: (f64, f64)) -> Result<(), Refused> {
    value.0.iter().enumerate().try_for_each(|(i, &v)| number(&format!("{place}[{i}]"), v, range, ""))
}

/// A line of text.
fn text(place: &str, value: &str, longest: usize) -> Result<(), Refused> {
    if value.chars().take(longest + 1).count() > longest {
        return Err(Refused::new("the text is too long", place, format!("keep it to {longest} characters")));
    }
    if value.chars().any(|c| c.is_control() && c != '\n' && c != '\t') {
        return Err(Refused::new("the text holds a control character", place, "leave it out"));
    }
    Ok(())
}

/// A name.
pub(crate) fn name(place: &str, value: &str) -> Result<(), Refused> {
    text(place, value, LONGEST_NAME)?;
    if value.contains(['\n', '\t']) {
        return Err(Refused::new("the name holds a line break or tab", place, "keep it to one line"));
    }
    Ok(())
}

/// A remark.
fn note(place: &str, value: &str) -> Result<(), Refused> {
    text(place, value, LONGEST_NOTE)
}

/// How many things a list holds.
fn count(place: &str, n: usize, most: usize) -> Result<(), Refused> {
    if n <= most {
        return Ok(());
    }
    Err(Refused::new(format!("{n} are too many"), place, format!("keep to {most}")))
}

/// A place in the picture, as fractions of its width and height; strokes may run past its edges.
fn in_picture(place: &str, [x, y]: [f64; 2]) -> Result<(), Refused> {
    number(&format!("{place}[0]"), x, (-1.0, 2.0), "")?;
    number(&format!("{place}[1]"), y, (-1.0, 2.0), "")
}
