//! Light that the lamps throw on the ground of the backdrop (docs/model.md, *Light*).

use crate::layout::Pool;
use crate::standing::Stage;
use optics::{Lights, Plane, Point};
use units::{Metres, Vec3};

/// Entries of a pool's table; they lie closer together towards its middle.
const ENTRIES: usize = 256;
/// A pool ends where it adds less than this share of the light that is there: a tenth of an 8-bit step in the
/// middle tones.
const LEAST: f64 = 1e-3;

/// The pools of all lamps that spill, on the ground under the camera.
pub(crate) fn resolve(stage: &Stage<'_>) -> Vec<Pool> {
    let lights = &stage.light.lights;
    let ground = Plane::level(Metres::ZERO).to_picture(&stage.frame.camera);
    let Some(to_level) = ground.inverse() else { return Vec::new() };
    stage
        .light
        .lamps
        .iter()
        .zip(lights.practicals())
        .filter_map(|(id, lamp)| {
            let spill = stage.scene.practicals().get(id)?.spill;
            if spill <= 0.0 || lamp.at().y <= Metres::ZERO {
                return None;
            }
            let gain = |distance: f64| {
                let x = Metres::new(lamp.at().x.get() + distance)?;
                let place = Point::new(x, Metres::ZERO, lamp.at().z);
                let added = lamp.on_card(place, Vec3::new(0.0, 1.0, 0.0));
                Some(Vec3(std::array::from_fn(|c| {
                    let there = unlit(lights).0[c];
                    // Where there is no light at all, nothing of the ground is in the backdrop to be lit.
                    if there > 0.0 { spill * added.0[c] / there } else { 0.0 }
                })))
            };
            let most = |v: Vec3| v.0.into_iter().fold(0.0, f64::max);
            let mut extent = 1.0;
            while extent < 1000.0 && most(gain(extent)?) > LEAST {
                extent *= 1.25;
            }
            let gain = (0..ENTRIES)
                .map(|i| gain(extent * (i as f64 / (ENTRIES - 1) as f64).powi(2)))
                .collect::<Option<Vec<_>>>()?;
            Some(Pool { to_level, centre: [lamp.at().x.get(), lamp.at().z.get()], gain, extent })
        })
        .collect()
}

/// What the level ground reads without any lamp: the light that the backdrop was photographed in.
fn unlit(lights: &Lights) -> Vec3 {
    let sun = lights.sun().map_or(Vec3::default(), |s| s.irradiance() * s.direction().0[1].max(0.0));
    lights.sky().level() + sun
}
