//! Rows held fixed, at a value or as they are.

use super::super::line_up::Card;
use super::super::quantity::{self, Unreadable};
use super::super::{Error, pieces};
use super::{Quantity, rows_of};
use optics::temperature::mired;
use scene::{Basis, Edit, PieceChange, PieceId, Row, Scene, Warmth};
use std::str::FromStr;
use units::{Kelvin, Pixels, PixelsPerMetre, Stops};

/// A row that is to be pinned: to a value in the card's unit, or as it is now (`None`).
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Pin {
    /// How large it is in the picture.
    Size(Option<PinnedSize>),
    /// Diameter of the blur disc.
    Defocus(Option<Pixels>),
    /// The whole gain.
    Light(Option<Stops>),
    /// The colour temperature as the card shows it, or the whole shift.
    Warmth(Option<PinnedWarmth>),
    /// The share of haze.
    Haze(Option<f64>),
    /// The share of light taken away.
    Shadow(Option<f64>),
}

/// A size to pin a piece at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum PinnedSize {
    /// Its height in the picture, as the card shows it.
    Height(Pixels),
    /// Picture pixels to a metre.
    PerMetre(PixelsPerMetre),
}

/// A colour of light to pin a piece at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum PinnedWarmth {
    /// The colour temperature that the card shows, and tint.
    Kelvin(Kelvin, f64),
    /// By how much it differs from the picture's white.
    Shift(Warmth),
}

impl FromStr for Pin {
    type Err = Unreadable;

    fn from_str(text: &str) -> Result<Self, Unreadable> {
        let (row, value) = text.split_once('=').map_or((text, None), |(r, v)| (r, Some(v)));
        Ok(match row.parse()? {
            Quantity::Size => Self::Size(value.map(quantity::pinned_size).transpose()?),
            Quantity::Defocus => Self::Defocus(value.map(quantity::pixels).transpose()?),
            Quantity::Light => Self::Light(value.map(quantity::stops).transpose()?),
            Quantity::Warmth => Self::Warmth(value.map(quantity::pinned_warmth).transpose()?),
            Quantity::Haze => Self::Haze(value.map(quantity::share).transpose()?),
            Quantity::Shadow => Self::Shadow(value.map(quantity::share).transpose()?),
        })
    }
}

/// A row held at what is said, or as it is now; then its nudge is in the value already.
fn held<N: Default, V>(row: Row<N, V>, said: Option<V>, now: Option<V>) -> Option<Row<N, V>> {
    match said {
        Some(value) => Some(Row { basis: Basis::Pinned(value), ..row }),
        None => now.map(|value| Row { nudge: N::default(), basis: Basis::Pinned(value) }),
    }
}

/// The edit that pins rows of a piece, whose card as it is now is given. A row that is pinned as it is takes its nudge into the
/// pinned value.
///
/// # Errors
/// Where the piece, or its colour of light, has no value to pin.
pub fn pin(scene: &Scene, id: PieceId, pins: &[Pin], card: &Card) -> Result<Edit, Error> {
    let rows = rows_of(scene, id)?;
    let mut changes = Vec::new();
    let unknown = |row: Quantity| {
        let remedy = match (card.hidden, row) {
            (true, _) => "show it first: in the wings it has none",
            (false, Quantity::Size) => "say the size to pin it at, in pixels to the metre",
            (false, _) => "say the value to pin it at",
        };
        Error::refused(
            format!("the {} as it is now cannot be told", row.name()),
            format!("{}, {}", scene.called(id), row.name()),
            remedy,
        )
    };
    for pin in pins {
        changes.push(match pin {
            Pin::Size(said) => {
                let per_metre = |said| match said {
                    PinnedSize::PerMetre(value) => Some(value),
                    PinnedSize::Height(px) => card.height_m.and_then(|m| PixelsPerMetre::new(px.get() / m)),
                };
                let unknown = || unknown(Quantity::Size);
                let said = said.map(|s| per_metre(s).ok_or_else(unknown)).transpose()?;
                let now = card.size.as_ref().and_then(|s| PixelsPerMetre::new(s.result_px_per_m));
                PieceChange::Size(held(rows.size, said, now).ok_or_else(unknown)?)
            }
            Pin::Defocus(said) => {
                let now = card.defocus.as_ref().and_then(|s| Pixels::new(s.result_px));
                let held = held(rows.defocus, *said, now);
                PieceChange::Defocus(held.ok_or_else(|| unknown(Quantity::Defocus))?)
            }
            Pin::Light(said) => {
                let now = card.light.as_ref().and_then(|s| Stops::new(s.result_stops));
                let held = held(rows.light, *said, now);
                PieceChange::Light(held.ok_or_else(|| unknown(Quantity::Light))?)
            }
            Pin::Warmth(said) => {
                let shift = |said| match said {
                    PinnedWarmth::Shift(value) => Ok::<_, Error>(value),
                    PinnedWarmth::Kelvin(to, tint) => {
                        let warmth = mired(to)? - mired(scene.stage().white_balance)?;
                        Ok(Warmth { warmth, tint })
                    }
                };
                let now = card.warmth.as_ref().and_then(|s| s.shift());
                let held = held(rows.warmth, said.map(shift).transpose()?, now);
                PieceChange::Warmth(held.ok_or_else(|| unknown(Quantity::Warmth))?)
            }
            Pin::Haze(said) => {
                let held = held(rows.haze, *said, card.haze.as_ref().map(|s| s.result_share));
                PieceChange::Haze(held.ok_or_else(|| unknown(Quantity::Haze))?)
            }
            Pin::Shadow(said) => {
                let held = held(rows.shadow, *said, card.shadow.as_ref().map(|s| s.result_share));
                PieceChange::Shadow(held.ok_or_else(|| unknown(Quantity::Shadow))?)
            }
        });
    }
    Ok(pieces::each(&[id], &changes))
}
