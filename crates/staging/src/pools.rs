//! Light that the lamps throw on the ground of the backdrop (docs/model.md, *Light*).

use crate::layout::{Around, Daylight, Pool};
use crate::standing::Stage;
use optics::{Lights, Plane, Point};
use units::{Metres, Vec3};

/// A pool ends where it adds less than this share of the light that is there: a tenth of an 8-bit step in the
/// middle tones.
const LEAST: f64 = 1e-3;

/// The daylight on the level ground, in shares; all sky, where there is none at all.
pub(crate) fn daylight(lights: &Lights, told: Vec3) -> Daylight {
    let all = unlit(lights);
    let share = |part: Vec3, none: f64| {
        Vec3(std::array::from_fn(|c| if all.0[c] > 0.0 { part.0[c] / all.0[c] } else { none }))
    };
    Daylight { sky: share(lights.sky().level(), 1.0), sun: share(of_sun(lights), 0.0), told }
}

/// The light of all lamps on the ground under the camera, and which lamp of the lights each is.
pub(crate) fn resolve(stage: &Stage<'_>) -> Vec<(usize, Pool)> {
    let lights = &stage.light.lights;
    let ground = Plane::level(Metres::ZERO).to_picture(&stage.frame.camera);
    let Some(to_level) = ground.inverse() else { return Vec::new() };
    let lamps = stage.light.lamps.iter().zip(lights.practicals()).enumerate();
    lamps
        .filter_map(|(n, (id, lamp))| {
            let spill = stage.scene.practicals().get(id)?.spill;
            if lamp.at().y <= Metres::ZERO {
                return None;
            }
            // What does not spill was lit when the backdrop was taken.
            let lit = spill <= 0.0;
            let share = if lit { 1.0 } else { spill };
            let gain = |distance: f64| {
                let x = Metres::new(lamp.at().x.get() + distance)?;
                let place = Point::new(x, Metres::ZERO, lamp.at().z);
                let added = lamp.on_card(place, Vec3::new(0.0, 1.0, 0.0));
                let there = unlit(lights);
                // Where there is no light at all, nothing of the ground is in the backdrop to be lit.
                let part = |c: usize| if there.0[c] > 0.0 { share * added.0[c] / there.0[c] } else { 0.0 };
                Some(Vec3(std::array::from_fn(part)))
            };
            let most = |v: Vec3| v.0.into_iter().fold(0.0, f64::max);
            let mut extent = 1.0;
            while extent < 1000.0 && most(gain(extent)?) > LEAST {
                extent *= 1.25;
            }
            let centre = [lamp.at().x.get(), lamp.at().z.get()];
            let taken = if lit { stage.light.dusk } else { Vec3::default() };
            Some((n, Pool { to_level, light: Around::of(centre, extent, gain)?, taken }))
        })
        .collect()
}

/// What the level ground reads without any lamp.
fn unlit(lights: &Lights) -> Vec3 {
    lights.sky().level() + of_sun(lights)
}

fn of_sun(lights: &Lights) -> Vec3 {
    lights.sun().map_or(Vec3::default(), |s| s.irradiance() * s.direction().0[1].max(0.0))
}
