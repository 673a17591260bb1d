//! Layouts to look at parts of a picture by: a photograph whole, a cut-out on an even ground, a matte alone. They are drawn like any other.

use super::Error;
use super::cutouts::gone;
use super::laid::Ground as LaidOn;
use super::measure::Measures;
use scene::{CutOutId, Scene, TreatmentId};
use staging::layout::{Aperture, Cut, Daylight, Drawn, Ground, Layout, Resampling, Tone, Toned};
use units::{Digest, Mat3, PxSize, Vec3};

/// What a cut-out is looked at on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum On {
    /// Laid on an even ground.
    Ground(LaidOn),
    /// Its matte alone, white where it covers, on black.
    Lith,
    /// Nothing: the shot as it was photographed.
    Shot,
}

/// The whole photograph that everything stands in, in its own pixels, turned over where the picture shows it so, and as far beyond its
/// border as the picture shows it; none where there is none, or it cannot be read.
#[must_use]
pub fn backdrop(scene: &Scene, measures: &Measures) -> Option<Layout> {
    let shown = scene.backdrop()?;
    let photograph = measures.measured.backdrop?;
    let (across, down) = (f64::from(photograph.width()), f64::from(photograph.height()));
    let (window, format) = (shown.window, scene.format().size);
    let (left, top, width) = (window.left.get(), window.top.get(), window.width.get());
    let height = width * f64::from(format.height()) / f64::from(format.width());
    let (x0, y0) = (left.floor().min(0.0), top.floor().min(0.0));
    let (x1, y1) = ((left + width).ceil().max(across), (top + height).ceil().max(down));
    let size = PxSize::new((x1 - x0) as u32, (y1 - y0) as u32)?;
    let over = Mat3::translation(across, 0.0) * Mat3::scaling(-1.0, 1.0);
    let to_source = if shown.mirrored { over } else { Mat3::IDENTITY } * Mat3::translation(x0, y0);
    Some(empty(scene, size, Ground::Photograph { source: shown.source, to_source }))
}

/// A cut-out, in the pixels of its shot.
///
/// # Errors
/// Where there is no such cut-out, or it cannot be read.
pub fn cut_out(scene: &Scene, measures: &Measures, id: CutOutId, on: On) -> Result<Layout, Error> {
    let cutout = scene.cutouts().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    let Some(measured) = measures.measured.cuts.get(&id) else {
        return Err(measures.unread.get(&id).cloned().unwrap_or_else(|| gone(&id.to_string())));
    };
    let (tone, gain, veil) = match on {
        On::Shot => return Ok(photograph(scene, cutout.shot, measured.size)),
        On::Ground(ground) => (f64::from(ground.reflectance()), 1.0, 0.0),
        On::Lith => (0.0, 0.0, 1.0),
    };
    let piece = Drawn {
        piece: scene.fresh().piece(),
        cut: Cut::out(cutout),
        to_shot: Mat3::IDENTITY,
        bounds: measured.covered,
        disc: 0.0,
        aperture: Aperture::Disc,
        gain: Vec3::splat(gain),
        lit: None,
        veil: Vec3::splat(veil),
        masks: Vec::new(),
        in_water: None,
    };
    Ok(Layout { pieces: vec![piece], ..empty(scene, measured.size, Ground::Plain(Vec3::splat(tone))) })
}

/// The picture with a wash of green laid where a treatment works, in place of what it does there: as much of it as it works there at full
/// strength. None where the treatment does nothing.
#[must_use]
pub fn washed(layout: &Layout, treatment: TreatmentId) -> Option<Layout> {
    /// How much of it covers what it lies on.
    const WASH: f64 = 0.5;
    /// Its colour as light, seen on the dark and on the bright.
    const GREEN: Vec3 = Vec3::new(0.06, 0.42, 0.24);
    let mut washed = layout.clone();
    let toned = washed.toning.iter_mut().find(|t| t.treatment == treatment)?;
    let tone = match toned.tone {
        // Of itself it works at the edge alone.
        Tone::Edge { ramp, .. } => Tone::Edge { factor: GREEN * 4.0, ramp },
        _ => Tone::Veil { amount: WASH, colour: GREEN, held: Some(Vec3::splat(1.0)) },
    };
    *toned = Toned { tone, strength: 1.0, ..toned.clone() };
    Some(washed)
}

fn photograph(scene: &Scene, source: Digest, size: PxSize) -> Layout {
    empty(scene, size, Ground::Photograph { source, to_source: Mat3::IDENTITY })
}

fn empty(scene: &Scene, size: PxSize, ground: Ground) -> Layout {
    Layout {
        size,
        primaries: scene.format().primaries,
        resampling: Resampling::Sensor,
        ground,
        daylight: Daylight::default(),
        pools: Vec::new(),
        shadows: Vec::new(),
        pieces: Vec::new(),
        fields: Vec::new(),
        toning: Vec::new(),
    }
}
