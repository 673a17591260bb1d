//! The rows of a mark card, as they are typed: `size=+6%`, or by the card's letter, `s +6%`.
//!
//! `d` distance, `h` height, `s` size, `f` defocus, `e` light, `w` warmth, `a` haze, `v` view, `k` shadow. A nudge is the whole
//! nudge: said twice it is the same, and `+0%` is none.

mod pins;

pub use pins::{Pin, PinnedSize, PinnedWarmth, pin};

use super::cutouts::gone;
use super::marks::MarkSaid;
use super::quantity::{self, Unreadable};
use super::{Error, marks, pieces};
use scene::{Basis, Edit, Factor, PieceChange, PieceId, Rows, Scene, Warmth};
use std::str::FromStr;
use units::{Metres, Stops};

/// A computed quantity of a piece.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Quantity {
    /// Picture pixels to a metre.
    Size,
    /// Diameter of the blur disc.
    Defocus,
    /// Brightness.
    Light,
    /// Colour of light.
    Warmth,
    /// Share of haze.
    Haze,
    /// Darkness of the shadow.
    Shadow,
}

impl Quantity {
    /// All of them, in the card's order.
    pub const ALL: [Self; 6] =
        [Self::Size, Self::Defocus, Self::Light, Self::Warmth, Self::Haze, Self::Shadow];

    /// What the card calls it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Size => "size",
            Self::Defocus => "defocus",
            Self::Light => "light",
            Self::Warmth => "warmth",
            Self::Haze => "haze",
            Self::Shadow => "shadow",
        }
    }

    /// The card's letter for it.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::Size => "s",
            Self::Defocus => "f",
            Self::Light => "e",
            Self::Warmth => "w",
            Self::Haze => "a",
            Self::Shadow => "k",
        }
    }
}

const ROWS: &str = "size (s), defocus (f), light (e), warmth (w), haze (a) or shadow (k)";
const CARD: &str = "distance (d), height (h), size (s), defocus (f), light (e), warmth (w), haze (a), view (v) or shadow (k), as size=+6%";

impl FromStr for Quantity {
    type Err = Unreadable;

    fn from_str(text: &str) -> Result<Self, Unreadable> {
        let found = Self::ALL.into_iter().find(|q| q.name() == text || q.letter() == text);
        found.ok_or_else(|| Unreadable { what: format!("there is no row called {text}"), allowed: ROWS })
    }
}

/// One thing said on a mark card.
#[derive(Clone, PartialEq, Debug)]
pub enum Said {
    /// Metres away: to a distance ...
    Distance(Metres),
    /// ... or by so much farther (nearer, below 0).
    Farther(Metres),
    /// Real height of what it shows.
    Height(Metres),
    /// What it should face.
    View(String),
    /// Its size.
    Size(Factor),
    /// Its defocus.
    Defocus(Factor),
    /// Its brightness.
    Light(Stops),
    /// Its colour of light.
    Warmth(Warmth),
    /// Its haze.
    Haze(Factor),
    /// Its shadow.
    Shadow(Factor),
}

impl FromStr for Said {
    type Err = Unreadable;

    fn from_str(text: &str) -> Result<Self, Unreadable> {
        let Some((row, value)) = text.split_once(['=', ' ']) else {
            let what = format!("\"{text}\" does not say of which row how much");
            return Err(Unreadable { what, allowed: CARD });
        };
        let value = value.trim();
        Ok(match row {
            "d" | "distance" if value.starts_with(['+', '-']) => Self::Farther(quantity::metres(value)?),
            "d" | "distance" => Self::Distance(quantity::distance(value)?),
            "h" | "height" => Self::Height(quantity::distance(value)?),
            "v" | "view" => Self::View(value.to_owned()),
            _ => match row.parse() {
                Ok(Quantity::Size) => Self::Size(quantity::factor(value)?),
                Ok(Quantity::Defocus) => Self::Defocus(quantity::factor(value)?),
                Ok(Quantity::Light) => Self::Light(quantity::stops(value)?),
                Ok(Quantity::Warmth) => Self::Warmth(quantity::warmth(value)?),
                Ok(Quantity::Haze) => Self::Haze(quantity::factor(value)?),
                Ok(Quantity::Shadow) => Self::Shadow(quantity::factor(value)?),
                Err(e) => return Err(Unreadable { what: e.what, allowed: CARD }),
            },
        })
    }
}

/// The edit that writes all that is said on the cards of pieces.
///
/// # Errors
/// Where a piece would stand behind the camera, or what it should face is not known.
pub fn nudge(scene: &Scene, ids: &[PieceId], said: &[Said]) -> Result<Edit, Error> {
    let mut seen = scene.clone();
    let mut edits = Vec::new();
    for id in ids {
        for said in said {
            let edit = one(&seen, *id, said)?;
            // The next one may be about the same row.
            seen.apply(edit.clone())?;
            edits.push(edit);
        }
    }
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

fn one(scene: &Scene, id: PieceId, said: &Said) -> Result<Edit, Error> {
    let mut rows = rows_of(scene, id)?;
    let change = match said {
        Said::Distance(z) => {
            let piece = &scene.pieces()[&id];
            let to = MarkSaid { at: Some((piece.mark.x, *z)), ..MarkSaid::default() };
            return pieces::moved(scene, id, &to);
        }
        Said::Farther(by) => {
            let by = MarkSaid { by: Some((Metres::ZERO, Metres::ZERO, *by)), ..MarkSaid::default() };
            return pieces::moved(scene, id, &by);
        }
        Said::Height(height) => return pieces::height_fact(scene, id, *height),
        Said::View(text) => PieceChange::Facing(marks::facing(scene, text)?),
        Said::Size(v) => {
            rows.size.nudge = *v;
            PieceChange::Size(rows.size)
        }
        Said::Defocus(v) => {
            rows.defocus.nudge = *v;
            PieceChange::Defocus(rows.defocus)
        }
        Said::Light(v) => {
            rows.light.nudge = *v;
            PieceChange::Light(rows.light)
        }
        Said::Warmth(v) => {
            rows.warmth.nudge = *v;
            PieceChange::Warmth(rows.warmth)
        }
        Said::Haze(v) => {
            rows.haze.nudge = *v;
            PieceChange::Haze(rows.haze)
        }
        Said::Shadow(v) => {
            rows.shadow.nudge = *v;
            PieceChange::Shadow(rows.shadow)
        }
    };
    Ok(Edit::Change { piece: id, change })
}

fn rows_of(scene: &Scene, id: PieceId) -> Result<Rows, Error> {
    scene.pieces().get(&id).map(|p| p.rows).ok_or_else(|| gone(&id.to_string()))
}

/// Where rows return to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Return {
    /// To the mark: a pin is let go. Nudges stay.
    Mark,
    /// To the shot as it is.
    Shot,
}

/// The edit that lets pinned rows go, or leaves rows as photographed. No rows are all rows.
///
/// # Errors
/// Where a piece is not there.
pub fn based(scene: &Scene, ids: &[PieceId], quantities: &[Quantity], to: Return) -> Result<Edit, Error> {
    fn basis<V>(to: Return) -> Basis<V> {
        match to {
            Return::Mark => Basis::Computed,
            Return::Shot => Basis::AsPhotographed,
        }
    }
    let quantities = if quantities.is_empty() { &Quantity::ALL[..] } else { quantities };
    let mut edits = Vec::new();
    for id in ids {
        let mut rows = rows_of(scene, *id)?;
        for quantity in quantities {
            let change = match quantity {
                Quantity::Size => {
                    rows.size.basis = basis(to);
                    PieceChange::Size(rows.size)
                }
                Quantity::Defocus => {
                    rows.defocus.basis = basis(to);
                    PieceChange::Defocus(rows.defocus)
                }
                Quantity::Light => {
                    rows.light.basis = basis(to);
                    PieceChange::Light(rows.light)
                }
                Quantity::Warmth => {
                    rows.warmth.basis = basis(to);
                    PieceChange::Warmth(rows.warmth)
                }
                Quantity::Haze => {
                    rows.haze.basis = basis(to);
                    PieceChange::Haze(rows.haze)
                }
                Quantity::Shadow => {
                    rows.shadow.basis = basis(to);
                    PieceChange::Shadow(rows.shadow)
                }
            };
            edits.push(Edit::Change { piece: *id, change });
        }
    }
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Group(edits) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{Kelvin, Mired, Pixels, PixelsPerMetre};

    #[test]
    fn a_card_is_read_by_name_and_by_letter() {
        assert_eq!("size=+6%".parse(), Ok(Said::Size(Factor::new(1.06).unwrap())));
        assert_eq!("s +6%".parse(), Ok(Said::Size(Factor::new(1.06).unwrap())));
        assert_eq!("d 4.5".parse(), Ok(Said::Distance(Metres::of(4.5))));
        assert_eq!("d=-1.2".parse(), Ok(Said::Farther(Metres::of(-1.2))));
        assert_eq!("h 1.7".parse(), Ok(Said::Height(Metres::of(1.7))));
        assert_eq!("e=+1/3".parse(), Ok(Said::Light(Stops::of(1.0 / 3.0))));
        assert_eq!("light".parse(), Ok(Pin::Light(None)));
        let per_metre = PinnedSize::PerMetre(PixelsPerMetre::of(420.0));
        assert_eq!("size=420px/m".parse(), Ok(Pin::Size(Some(per_metre))));
        for text in ["size=420", "s=420px"] {
            assert_eq!(text.parse(), Ok(Pin::Size(Some(PinnedSize::Height(Pixels::of(420.0))))));
        }
        let kelvin = PinnedWarmth::Kelvin(Kelvin::of(5000.0), -3.0);
        assert_eq!("warmth=5000K/-3".parse(), Ok(Pin::Warmth(Some(kelvin))));
        let shift = PinnedWarmth::Shift(Warmth { warmth: Mired::of(20.0), tint: 0.0 });
        assert_eq!("w=+20mired".parse(), Ok(Pin::Warmth(Some(shift))));
        for wrong in ["warmth=0", "warmth=99", "warmth=30000", "size=0", "size=-5px"] {
            assert!(wrong.parse::<Pin>().is_err(), "{wrong}");
        }
        for wrong in ["size", "sise=+6%", "size=6", "d=0", "h=-1", "light=bright"] {
            assert!(wrong.parse::<Said>().is_err(), "{wrong}");
        }
    }
}
