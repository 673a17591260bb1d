//! A cut-out laid on an even ground, beside the true one.

use super::truth::{Shot, widened};
use pixels::difference::{ciede2000, lab};
use pixels::{Coverage, Image, Rgb};
use units::primaries::xyz_of_xy;
use units::{Primaries, Vec3};

/// Light of the grounds.
pub(super) const DARK: f32 = 0.03;
pub(super) const LIGHT: f32 = 0.75;

/// CIEDE2000 where the paper is mixed in: mean, and what one pixel in a hundred exceeds.
#[derive(Clone, Copy)]
pub(super) struct Laid {
    pub(super) mean: f64,
    pub(super) high: f64,
}

/// A matte and the thing's own colour, laid on a ground and compared with the truth: wherever the true matte is neither empty nor full,
/// and beside that.
pub(super) fn laid(shot: &Shot, matte: &Image<Coverage>, own: &Image<Rgb>, ground: [f32; 3]) -> Laid {
    let mixed: Vec<bool> = shot.matte.samples().iter().map(|a| (0.01..0.99).contains(a)).collect();
    let mixed = widened(&mixed, (shot.matte.width(), shot.matte.height()), 1);
    let (to_xyz, white) = (Primaries::Srgb.to_xyz(), xyz_of_xy(Primaries::Srgb.white()));
    let seen = |light: [f32; 3]| lab(to_xyz * Vec3(light.map(|v| f64::from(v).clamp(0.0, 1.0))), white);
    let mut all = Vec::new();
    for i in (0..mixed.len()).filter(|i| mixed[*i]) {
        let on = |colour: [f32; 3], rest: f32| [0, 1, 2].map(|c| colour[c] + rest * ground[c]);
        let (a, f) = (matte.pixels()[i].0, own.pixels()[i].0);
        let ours = on(f.map(|v| a * v), 1.0 - a);
        let truth = on(shot.own[i], 1.0 - shot.matte.pixels()[i].0);
        all.push(ciede2000(seen(ours), seen(truth)));
    }
    all.sort_by(f64::total_cmp);
    Laid {
        mean: all.iter().sum::<f64>() / all.len().max(1) as f64,
        high: all.get(all.len() * 99 / 100).copied().unwrap_or(0.0),
    }
}
