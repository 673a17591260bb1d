//! From a lamp's colour temperature and tint to the RGB of its light in the picture (docs/model.md, *Colour
//! of light*).

use crate::OutOfRange;
use crate::adaptation::{Chromaticity, bradford};
use crate::locus::{daylight, green_of_planckian, planckian};
use crate::range::within;
use units::{Kelvin, Primaries, Vec3};

/// The chromaticity of a light: on the CIE 15 daylight locus from 4000 K, on the Planckian below, moved by
/// the tint square to the Planckian locus.
///
/// `tint` is in thousandths of CIE 1960 u, v: positive is green, negative magenta, as Duv counts it (Ohno
/// 2013). One is about the least difference an eye sees side by side (a step of MacAdam's ellipses, from
/// memory). At 4000 K the two loci lie 2.7 thousandths apart, so a light taken across it turns a trace
/// greener: the loci are the CIE's, and nothing is smoothed.
///
/// # Errors
/// [`OutOfRange`] for a temperature outside 1000 to 25000 K or a tint beyond 50.
pub fn chromaticity(temperature: Kelvin, tint: f64) -> Result<Chromaticity, OutOfRange> {
    within("colour temperature", temperature.get(), 1000.0, 25000.0, "1000 to 25000 K")?;
    within("tint", tint, -50.0, 50.0, "-50 (magenta) to 50 (green)")?;
    let white = if temperature.get() < 4000.0 { planckian(temperature)? } else { daylight(temperature)? };
    if tint == 0.0 {
        return Ok(white);
    }
    let ((u, v), (gu, gv)) = (white.uv_1960(), green_of_planckian(temperature));
    Chromaticity::from_uv_1960(u + gu * tint * 1e-3, v + gv * tint * 1e-3)
}

/// Linear RGB of a light whose luminance Y is 1, in a picture balanced for a white.
///
/// The light's chromaticity is carried by Bradford from the white balance (on the loci, without tint) to the
/// white of the primaries; XYZ to RGB; then all three are scaled to Y = 1. A light outside the triangle of
/// the primaries is brought to its edge: what would be negative is 0, the rest scaled so that Y is 1 again,
/// for no lamp takes light away.
///
/// # Errors
/// [`OutOfRange`] as [`chromaticity`], for the light or the white balance.
pub fn light_rgb(
    temperature: Kelvin,
    tint: f64,
    white_balance: Kelvin,
    primaries: Primaries,
) -> Result<Vec3, OutOfRange> {
    let light = chromaticity(temperature, tint)?;
    let adapt = bradford(chromaticity(white_balance, 0.0)?, Chromaticity::white_of(primaries))?;
    let rgb = (primaries.from_xyz() * (adapt * light.xyz())).map(|v| v.max(0.0));
    let luminance = Vec3(primaries.to_xyz().0[1]).dot(rgb);
    // Never 0: a light has a positive Y, so at least one of its components is positive.
    within("luminance of a light", luminance, 1e-9, f64::MAX, "a light that the primaries can show")?;
    Ok(rgb * (1.0 / luminance))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_white_that_the_picture_is_balanced_for_is_white() {
        for primaries in Primaries::ALL {
            for k in [1500.0, 3200.0, 5600.0, 10000.0] {
                let rgb = light_rgb(Kelvin::of(k), 0.0, Kelvin::of(k), primaries).unwrap();
                assert!(rgb.0.iter().all(|v| (v - 1.0).abs() < 1e-9), "{primaries:?} {k}: {rgb:?}");
            }
        }
    }

    #[test]
    fn a_lantern_at_dusk() {
        // 2300 K in a picture balanced for 5600 K, linear sRGB, with a published cubic fit of the Planckian
        // locus (Kim and others 2002) in place of the sum: the fit is good to about 1e-3 in chromaticity.
        let rgb = light_rgb(Kelvin::of(2300.0), 0.0, Kelvin::of(5600.0), Primaries::Srgb).unwrap();
        for (got, fit) in rgb.0.into_iter().zip([2.136233, 0.750273, 0.126391]) {
            assert!((got - fit).abs() < 0.01, "{rgb:?}");
        }
    }

    #[test]
    fn tint_leads_to_green_and_leaves_the_temperature() {
        let plus = crate::locus::correlated(chromaticity(Kelvin::of(3200.0), 10.0).unwrap()).unwrap();
        assert!((plus.duv - 0.010).abs() < 1e-6, "{plus:?}");
        assert!((plus.temperature.get() - 3200.0).abs() < 0.5, "{plus:?}");
        let [r, g, b] = light_rgb(Kelvin::of(5600.0), 10.0, Kelvin::of(5600.0), Primaries::Srgb).unwrap().0;
        assert!(g > r && g > b);
    }

    #[test]
    fn no_lamp_takes_light_away() {
        for k in [1000.0, 1500.0, 25000.0] {
            for primaries in Primaries::ALL {
                for tint in [-50.0, 0.0, 50.0] {
                    let rgb = light_rgb(Kelvin::of(k), tint, Kelvin::of(6500.0), primaries).unwrap();
                    assert!(rgb.0.iter().all(|&v| v >= 0.0), "{k} {primaries:?} {rgb:?}");
                    assert!((Vec3(primaries.to_xyz().0[1]).dot(rgb) - 1.0).abs() < 1e-12);
                }
            }
        }
    }

    #[test]
    fn temperatures_without_a_locus_are_refused() {
        for k in [0.0, 999.0, 25001.0, -5.0] {
            assert!(chromaticity(Kelvin::of(k), 0.0).is_err());
        }
        assert!(chromaticity(Kelvin::of(5000.0), f64::NAN).is_err());
    }
}
