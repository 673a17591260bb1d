//! Mirror images of pieces in water (docs/model.md, *Water*).

use crate::bounds;
use crate::layout::{Drawn, Keeps, Mask};
use crate::standing::{Stage, Standing};
use scene::{Level, LevelId, Stance, Surface};
use units::{Metres, Vec3, math};

/// Index of refraction of water against air.
const WATER: f64 = 1.333;
/// Share of the light on it that comes back out of water itself, of what is mirrored nothing (common for tidal and lake water, from memory).
const BODY: f64 = 0.04;
/// At which share of its height a piece's mirror image is as soft as it is on the whole (own choice: where it meets the water it is sharp,
/// and that is looked at).
const SOFT_AT: f64 = 0.3;

/// Share of unpolarised light that a level surface mirrors, by the sine of the elevation under which it comes (Fresnel's equations).
pub(crate) fn fresnel(sine: f64) -> f64 {
    let cos = sine.clamp(0.0, 1.0);
    let within = (1.0 - (1.0 - cos * cos) / (WATER * WATER)).sqrt();
    let square = (cos - WATER * within) / (cos + WATER * within);
    let along = (WATER * cos - within) / (WATER * cos + within);
    f64::midpoint(square * square, along * along)
}

/// The mirror images of a piece that is drawn so, in all water of the stage.
pub(crate) fn images<'a>(
    stage: &'a Stage<'a>,
    stands: &'a Standing,
    drawn: &'a Drawn,
    on: Option<LevelId>,
) -> impl Iterator<Item = Drawn> + 'a {
    let water = stage.scene.levels().iter().filter(|(_, level)| level.surface == Surface::Water);
    // Water that nobody has drawn is wherever its level is: what stands on others may stand before the bank.
    let mirrors = move |(id, level): &(&LevelId, &Level)| on == Some(**id) || !level.region.is_empty();
    water.filter(mirrors).filter_map(move |(_, level)| image(stage, stands, drawn, level))
}

fn image(stage: &Stage<'_>, stands: &Standing, drawn: &Drawn, level: &Level) -> Option<Drawn> {
    let piece = stage.scene.pieces().get(&stands.id)?;
    let camera = &stage.frame.camera;
    let eye = Vec3::new(0.0, camera.viewpoint().height.get(), 0.0);
    let water = level.height.get();
    if eye.0[1] <= water || matches!(piece.stance, Stance::Lying) {
        return None;
    }
    let height = stands.height.get() * stands.size.result / stands.size.computed;
    let foot = stands.foot.vector();
    let top = foot.0[1] + if piece.stance == Stance::Hanging { 0.0 } else { height };
    if top <= water {
        return None;
    }
    let mirrored = |v: Vec3, of: f64| Vec3::new(v.0[0], 2.0 * of - v.0[1], v.0[2]);
    // From metres in its plane, as they are drawn, to the mirror image of that plane.
    let to_picture = stage.mirrored_plane(piece, stands, level.height)?;
    let to_shot = stands.to_shot * to_picture.inverse()?;
    // By the way from the lens to where it is as soft as on the whole.
    let bottom = top - height;
    let middle = Vec3::new(foot.0[0], bottom.max(water) + height * SOFT_AT, foot.0[2]);
    let way = mirrored(middle, water) - eye;
    let sine = (-way.0[1] / way.length()).clamp(0.0, 1.0);
    let mirrors = fresnel(sine);
    let share = mirrors / (mirrors + (1.0 - mirrors) * BODY);
    // Slopes turn a mirrored ray by twice themselves, on its way from the water to the thing; a disc spreads by a quarter of its width.
    let after = (middle.0[1] - water) / sine.max(1e-3);
    let spread = 2.0 * math::radians(level.ripple.get()) * after * stands.size.result;
    let disc = math::hypot(drawn.disc, 4.0 * spread * sine.sqrt());
    let size = stage.scene.format().size;
    let covered = stage.measured.cuts.get(&stands.cutout)?.covered;
    let mut image = Drawn {
        to_shot,
        bounds: bounds::of_shot(&to_shot, covered, size),
        disc,
        gain: drawn.gain * (mirrors / share),
        veil: drawn.veil * (mirrors / share),
        masks: Vec::new(),
        in_water: Some(share),
        ..drawn.clone()
    };
    if !level.region.is_empty() {
        let place = |p: &[f64; 2]| [p[0] * f64::from(size.width()), p[1] * f64::from(size.height())];
        let polygons = level.region.iter().map(|p| p.iter().map(place).collect()).collect();
        image.masks.push(Mask { polygons, softness: EDGE * f64::from(size.height()), keeps: Keeps::Inside });
    }
    if bottom < water - 1e-6 {
        image.masks.push(Mask {
            polygons: vec![under(stage, stands, level.height)?],
            softness: 1.0,
            keeps: Keeps::Inside,
        });
    }
    Some(image)
}

/// Softness of a region of water, as a share of the picture's height: a shore is no cut.
const EDGE: f64 = 0.004;

/// What of the picture lies under the line in which an upright piece meets the water.
pub(crate) fn under(stage: &Stage<'_>, stands: &Standing, level: Metres) -> Option<Vec<[f64; 2]>> {
    let size = stage.scene.format().size;
    let foot = stands.foot;
    let away = math::hypot(foot.x.get(), foot.z.get());
    let right = Vec3::new(foot.z.get() / away, 0.0, -foot.x.get() / away);
    let at = |metres: f64| {
        let place = Vec3::new(foot.x.get(), level.get(), foot.z.get()) + right * metres;
        let seen = stage.frame.camera.project(optics::Point::from_vector(place)?)?;
        Some([seen.u, seen.v])
    };
    // A metre to each side, and on in both directions.
    let ([ax, ay], [bx, by]) = (at(-1.0)?, at(1.0)?);
    let far = 4.0 * f64::from(size.width().max(size.height()));
    let long = math::hypot(bx - ax, by - ay);
    let (dx, dy) = ((bx - ax) / long * far, (by - ay) / long * far);
    Some(vec![[ax - dx, ay - dy], [bx + dx, by + dy], [bx + dx, by + dy + far], [ax - dx, ay - dy + far]])
}

/// Turns a plane on the stage over at a level.
pub(crate) fn turned_over(level: Metres) -> impl Fn(Vec3, f64) -> Vec3 {
    move |v, is_place| Vec3::new(v.0[0], 2.0 * level.get() * is_place - v.0[1], v.0[2])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_mirrors_as_tables_say() {
        // Straight down ((n - 1)/(n + 1))², grazing all; at 60 degrees of incidence 5.9 % (n 1.333; computed by the equations as printed in
        // Hecht, Optics, from memory).
        assert!((fresnel(1.0) - (0.333f64 / 2.333).powi(2)).abs() < 1e-12);
        assert!((fresnel(0.0) - 1.0).abs() < 1e-12);
        assert!((fresnel(0.5) - 0.059).abs() < 0.001);
        let rising = (0..100).map(|i| fresnel(f64::from(i) / 100.0));
        assert!(rising.collect::<Vec<_>>().windows(2).all(|w| w[0] > w[1]));
    }

    #[test]
    fn a_place_and_its_mirror_image_are_as_far_from_the_level() {
        let over = turned_over(Metres::of(-0.2));
        let (a, b) = (Vec3::new(1.0, 0.7, 5.0), Vec3::new(1.0, -1.1, 5.0));
        assert!((over(a, 1.0) - b).length() < 1e-12 && (over(b, 1.0) - a).length() < 1e-12);
        assert_eq!(over(Vec3::new(0.1, 1.0, 0.2), 0.0), Vec3::new(0.1, -1.0, 0.2));
    }
}
