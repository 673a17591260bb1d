//! The loci of natural lights: black bodies and daylight, and the temperature a light comes nearest to
//! (docs/model.md, *Colour of light*).

use crate::OutOfRange;
use crate::adaptation::Chromaticity;
use crate::cie1931::{FIRST_NM, MATCHING, STEP_NM};
use crate::range::within;
use std::sync::LazyLock;
use units::math::{exp, hypot};
use units::{Kelvin, Vec3};

/// The second radiation constant, in m K, as ITS-90 has it (CIE 15).
const C2: f64 = 1.4388e-2;

/// The chromaticity of a black body: Planck's law, summed with the CIE 1931 2 degree observer every 5 nm
/// from 360 to 830 nm (within 2e-6 of a sum every 1 nm).
///
/// ```
/// # use optics::locus::planckian;
/// # use units::Kelvin;
/// let lamp = planckian(Kelvin::of(2000.0))?;
/// assert!((lamp.x() - 0.526_680_99).abs() < 1e-5);
/// assert!((lamp.y() - 0.413_296_46).abs() < 1e-5);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a temperature outside 1000 to 100000 K.
pub fn planckian(temperature: Kelvin) -> Result<Chromaticity, OutOfRange> {
    within("temperature of a black body", temperature.get(), 1000.0, 1e5, "1000 to 100000 K")?;
    Ok(black_body(temperature.get()))
}

/// For temperatures already known to be in range.
fn black_body(temperature: f64) -> Chromaticity {
    let mut nm = FIRST_NM;
    let mut sum = Vec3::splat(0.0);
    for row in MATCHING {
        // Micrometres, and without the first radiation constant: only proportions matter.
        let um = nm * 1e-3;
        let um5 = um * um * um * um * um;
        let power = 1.0 / (um5 * (exp(C2 / (nm * 1e-9 * temperature)) - 1.0));
        sum = sum + Vec3(row) * power;
        nm += STEP_NM;
    }
    Chromaticity::of_xyz(sum).expect("the light of a body between 1000 and 100000 K is visible")
}

/// The chromaticity of a phase of daylight (CIE 15: the D illuminants), with the temperature taken as given:
/// the nominal temperatures of D50, D65... are to be multiplied by 1.4388/1.438 first.
///
/// x = 0.244063 + 0.09911·10³/T + 2.9678·10⁶/T² - 4.6070·10⁹/T³ up to 7000 K,
/// x = 0.237040 + 0.24748·10³/T + 1.9018·10⁶/T² - 2.0064·10⁹/T³ above; y = -3x² + 2.87x - 0.275.
///
/// ```
/// # use optics::locus::daylight;
/// # use units::Kelvin;
/// // D65: x 0.31272, y 0.32903 (CIE 15).
/// let d65 = daylight(Kelvin::of(6500.0 * 1.4388 / 1.438))?;
/// assert!((d65.x() - 0.31272).abs() < 2e-5);
/// assert!((d65.y() - 0.32903).abs() < 1e-4);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a temperature outside 4000 to 25000 K, where the CIE defines it.
pub fn daylight(temperature: Kelvin) -> Result<Chromaticity, OutOfRange> {
    within("temperature of daylight", temperature.get(), 4000.0, 25000.0, "4000 to 25000 K")?;
    let k = 1e3 / temperature.get();
    let [a, b, c, d] = if temperature.get() <= 7000.0 {
        [0.244063, 0.09911, 2.9678, -4.6070]
    } else {
        [0.237040, 0.24748, 1.9018, -2.0064]
    };
    let x = a + k * (b + k * (c + k * d));
    Chromaticity::new(x, x * (2.870 - 3.0 * x) - 0.275)
}

/// The direction in CIE 1960 u, v that leads square away from the Planckian locus to green, of length 1.
pub(crate) fn green_of_planckian(temperature: Kelvin) -> (f64, f64) {
    let m = (1e6 / temperature.get()).clamp(11.0, 999.0);
    let uv = |mired: f64| black_body(1e6 / mired).uv_1960();
    let ((u0, v0), (u1, v1)) = (uv(m - 0.5), uv(m + 0.5));
    let (du, dv) = (u1 - u0, v1 - v0);
    let length = hypot(du, dv);
    // The locus runs to larger u as it grows warmer; a quarter turn to the left leads above it, to larger v.
    (-dv / length, du / length)
}

/// Where a light lies by the Planckian locus.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Correlated {
    /// The temperature of the nearest black body.
    pub temperature: Kelvin,
    /// Distance from it in CIE 1960 u, v; positive is above the locus: greenish (Ohno 2013).
    pub duv: f64,
}

/// The correlated colour temperature of a light: that of the black body nearest in CIE 1960 u, v (CIE 15),
/// searched for by golden sections. `None` beyond 0.05 from the locus, where CIE 15 lets the term mean
/// nothing, and for lights whose nearest black body is not between 1000 and 100000 K.
///
/// ```
/// # use optics::{adaptation::Chromaticity, locus::correlated};
/// // Illuminant A is a lamp at 2856 K.
/// let a = correlated(Chromaticity::new(0.44758, 0.40745)?).unwrap();
/// assert!((a.temperature.get() - 2855.5).abs() < 1.0);
/// assert!(a.duv.abs() < 1e-4);
/// # Ok::<(), optics::OutOfRange>(())
/// ```
#[must_use]
pub fn correlated(light: Chromaticity) -> Option<Correlated> {
    const FROM: i32 = 10;
    const TO: i32 = 1000;
    const STEP: i32 = 10;
    /// In CIE 1960 u, v, with the reciprocal temperature in mired.
    static COARSELY: LazyLock<Vec<((f64, f64), i32)>> = LazyLock::new(|| {
        let every = (FROM..=TO).step_by(STEP as usize);
        every.map(|m| (black_body(1e6 / f64::from(m)).uv_1960(), m)).collect()
    });
    let (u, v) = light.uv_1960();
    let distance = |mired: f64| {
        let (pu, pv) = black_body(1e6 / mired).uv_1960();
        hypot(u - pu, v - pv)
    };
    let coarse = COARSELY
        .iter()
        .map(|((pu, pv), m)| (hypot(u - pu, v - pv), *m))
        .min_by(|a, b| a.0.total_cmp(&b.0))?
        .1;
    if coarse == FROM || coarse == TO {
        return None;
    }
    let nearest = least(f64::from(coarse - STEP), f64::from(coarse + STEP), distance);
    let temperature = 1e6 / nearest;
    let (pu, pv) = black_body(temperature).uv_1960();
    let (gu, gv) = green_of_planckian(Kelvin::new(temperature)?);
    let duv = hypot(u - pu, v - pv).copysign((u - pu) * gu + (v - pv) * gv);
    if duv.abs() > 0.05 { None } else { Some(Correlated { temperature: Kelvin::new(temperature)?, duv }) }
}

/// The place of the least value of a function with one valley between `a` and `b` (Kiefer 1953, golden
/// sections).
fn least(mut a: f64, mut b: f64, f: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let (mut c, mut d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    // 50 sections: from 20 mired to less than 1e-9.
    for _ in 0..50 {
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - GOLDEN * (b - a);
            fc = f(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + GOLDEN * (b - a);
            fd = f(d);
        }
    }
    0.5 * (a + b)
}

/// A quick estimate of the correlated colour temperature, for white lights between 2000 and 12500 K:
/// n = (x - 0.3320)/(y - 0.1858), T = -449 n³ + 3525 n² - 6823.3 n + 5520.33 (McCamy 1992). `None` where it
/// gives no temperature above 0.
#[must_use]
pub fn correlated_quick(light: Chromaticity) -> Option<Kelvin> {
    let n = (light.x() - 0.3320) / (light.y() - 0.1858);
    let t = 5520.33 + n * (-6823.3 + n * (3525.0 - 449.0 * n));
    if t > 0.0 { Kelvin::new(t) } else { None }
}
