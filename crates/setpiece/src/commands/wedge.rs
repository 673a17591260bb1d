//! The step wedge of a picture: how much of it lies at each tone, before the print.

use super::Error;
use super::write::Hands;
use pixels::Rgb;
use render::Sources;
use serde::Serialize;
use staging::illumination::luminance;
use staging::layout::Layout;
use ts_rs::TS;
use units::math;

/// How much of a picture lies at a step of the wedge.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, TS)]
pub struct Share {
    /// The step, in stops from mid-grey; the outer ones take in all beyond them.
    pub at_stops: i32,
    /// Share of the picture.
    pub share: f64,
}

/// The steps of the wedge.
const STEPS: std::ops::RangeInclusive<i32> = -6..=3;
/// Width that the picture is looked at.
const WIDE: f64 = 240.0;

/// How much of a layout lies at each step, by luminance, before any toning.
///
/// # Errors
/// Where a photograph or memory is missing, or it was called off.
pub fn shares(layout: &Layout, sources: &dyn Sources, hands: &Hands<'_>) -> Result<Vec<Share>, Error> {
    const MID_GREY: f64 = 0.18;
    let untoned = Layout { toning: Vec::new(), fields: Vec::new(), ..layout.clone() };
    let factor = (WIDE / f64::from(layout.size.width())).min(1.0);
    let small = untoned.scaled(factor).unwrap_or(untoned);
    let image = hands.job(&small, sources).picture(small.size.rect())?;
    let luminance = luminance(small.primaries);
    let mut counts = vec![0_usize; STEPS.count()];
    for Rgb(p) in image.pixels() {
        let y: f64 = (0..3).map(|c| f64::from(p[c]) * luminance.0[c]).sum();
        let stops = if y > 0.0 { math::log2(y / MID_GREY).round() } else { f64::NEG_INFINITY };
        let step = (stops.clamp(f64::from(*STEPS.start()), f64::from(*STEPS.end())) as i32) - STEPS.start();
        counts[step as usize] += 1;
    }
    let all = image.pixels().len().max(1) as f64;
    Ok(STEPS.zip(counts).map(|(at_stops, n)| Share { at_stops, share: n as f64 / all }).collect())
}
