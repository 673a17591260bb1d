//! Rows held fixed, at a value or as they are.

use super::super::line_up::Card;
use super::super::quantity::{self, Unreadable};
use super::super::{Error, pieces};
use super::{Quantity, rows_of};
use optics::temperature::mired;
use scene::{Basis, Edit, Factor, PieceChange, PieceId, Scene, Warmth};
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

/// The edit that pins rows of a piece, whose card as it is now is given. A row that is pinned as it is takes its nudge into the
/// pinned value.
///
/// # Errors
/// Where the piece, or its colour of light, has no value to pin.
pub fn pin(scene: &Scene, id: PieceId, pins: &[Pin], card: &Card) -> Result<Edit, Error> {
    let mut rows = rows_of(scene, id)?;
    let mut changes = Vec::new();
    let unknown = |row: Quantity| {
        Error::refused(
            format!("the {} as it is now cannot be told", row.name()),
            format!("{}, {}", scene.called(id), row.name()),
            "say the value to pin it at",
        )
    };
    // Drawn is what the card says; a nudge on top would change it.
    for pin in pins {
        changes.push(match pin {
            Pin::Size(value) => {
                let now = card.size.as_ref().and_then(|s| PixelsPerMetre::new(s.result_px_per_m));
                if value.is_none() {
                    rows.size.nudge = Factor::ONE;
                }
                let said = match value {
                    Some(PinnedSize::PerMetre(value)) => Some(*value),
                    Some(PinnedSize::Height(px)) => {
                        card.height_m.and_then(|m| PixelsPerMetre::new(px.get() / m))
                    }
                    None => now,
                };
                rows.size.basis = Basis::Pinned(said.ok_or_else(|| unknown(Quantity::Size))?);
                PieceChange::Size(rows.size)
            }
            Pin::Defocus(value) => {
                let now = card.defocus.as_ref().and_then(|s| Pixels::new(s.result_px));
                if value.is_none() {
                    rows.defocus.nudge = Factor::ONE;
                }
                rows.defocus.basis = Basis::Pinned(value.or(now).ok_or_else(|| unknown(Quantity::Defocus))?);
                PieceChange::Defocus(rows.defocus)
            }
            Pin::Light(value) => {
                let now = card.light.as_ref().and_then(|s| Stops::new(s.result_stops));
                if value.is_none() {
                    rows.light.nudge = Stops::ZERO;
                }
                rows.light.basis = Basis::Pinned(value.or(now).ok_or_else(|| unknown(Quantity::Light))?);
                PieceChange::Light(rows.light)
            }
            Pin::Warmth(value) => {
                let said = match value {
                    Some(PinnedWarmth::Shift(value)) => Some(*value),
                    Some(PinnedWarmth::Kelvin(to, tint)) => {
                        let warmth = mired(*to)? - mired(scene.stage().white_balance)?;
                        Some(Warmth { warmth, tint: *tint })
                    }
                    None => card.warmth.as_ref().and_then(|s| s.shift()),
                };
                if value.is_none() {
                    rows.warmth.nudge = Warmth::default();
                }
                rows.warmth.basis = Basis::Pinned(said.ok_or_else(|| unknown(Quantity::Warmth))?);
                PieceChange::Warmth(rows.warmth)
            }
            Pin::Haze(value) => {
                let now = card.haze.as_ref().map(|s| s.result_share);
                if value.is_none() {
                    rows.haze.nudge = Factor::ONE;
                }
                rows.haze.basis = Basis::Pinned(value.or(now).ok_or_else(|| unknown(Quantity::Haze))?);
                PieceChange::Haze(rows.haze)
            }
            Pin::Shadow(value) => {
                let now = card.shadow.as_ref().map(|s| s.result_share);
                if value.is_none() {
                    rows.shadow.nudge = Factor::ONE;
                }
                rows.shadow.basis = Basis::Pinned(value.or(now).ok_or_else(|| unknown(Quantity::Shadow))?);
                PieceChange::Shadow(rows.shadow)
            }
        });
    }
    Ok(pieces::each(&[id], &changes))
}
