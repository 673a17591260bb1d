//! Values to pin rows at, in the units of the mark card.

use super::super::rows::{PinnedSize, PinnedWarmth};
use super::{Read, finite, kelvin, per_metre, plain, warmth, with_unit, wrong};
use units::Pixels;

/// A size to pin a piece at: its height in the picture `420`, `420px`, or `420px/m`.
///
/// # Errors
/// For anything else.
pub fn pinned_size(text: &str) -> Read<PinnedSize> {
    const ALLOWED: &str = "the height in the picture in pixels, as 420 or 420px; or 420px/m";
    if text.trim().ends_with("px/m") {
        return per_metre(text).map(PinnedSize::PerMetre);
    }
    let height = finite(Pixels::new(with_unit(text, &[("px", 1.0)], ALLOWED)?), text, ALLOWED)?;
    if height > Pixels::ZERO {
        Ok(PinnedSize::Height(height))
    } else {
        wrong(text, "must be more than 0", ALLOWED)
    }
}

/// A colour of light to pin a piece at: `5000`, `5000K`, with a tint `5000K/-3`; or a shift from the picture's white, `+20mired`.
///
/// # Errors
/// For anything else.
pub fn pinned_warmth(text: &str) -> Read<PinnedWarmth> {
    const ALLOWED: &str = "kelvin from 1000 to 25000, as 5000K, with a tint as 5000K/-3; or a shift from the picture's white, as +20mired";
    let (light, tint) = text.split_once('/').map_or((text, None), |(l, t)| (l, Some(t)));
    if light.trim().ends_with("mired") {
        return warmth(text).map(PinnedWarmth::Shift);
    }
    let kelvin = kelvin(light).or_else(|_| wrong(text, "is no colour of light", ALLOWED))?;
    if !(1000.0..=25_000.0).contains(&kelvin.get()) {
        return wrong(text, "is no colour of light", ALLOWED);
    }
    let tint = tint.map_or(Ok(0.0), |t| plain(t, text, ALLOWED))?;
    Ok(PinnedWarmth::Kelvin(kelvin, tint))
}
