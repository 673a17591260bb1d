//! Layouts to look at parts of a picture by: a photograph whole, a cut-out on an even ground, a matte alone. They are drawn like any other.

use super::Error;
use super::cutouts::gone;
use super::laid::Ground as LaidOn;
use super::measure::Measures;
use scene::{CutOutId, Scene};
use staging::layout::{Aperture, Cut, Drawn, Ground, Layout, Resampling};
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

/// The whole photograph that everything stands in, in its own pixels; none where there is none, or it cannot be read.
#[must_use]
pub fn backdrop(scene: &Scene, measures: &Measures) -> Option<Layout> {
    let shown = scene.backdrop()?;
    Some(photograph(scene, shown.source, measures.measured.backdrop?))
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
        veil: Vec3::splat(veil),
        masks: Vec::new(),
    };
    Ok(Layout { pieces: vec![piece], ..empty(scene, measured.size, Ground::Plain(Vec3::splat(tone))) })
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
        pools: Vec::new(),
        shadows: Vec::new(),
        pieces: Vec::new(),
        fields: Vec::new(),
        toning: Vec::new(),
    }
}
