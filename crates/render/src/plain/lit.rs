//! How the light differs over a piece, pixel by pixel from the definition.

use crate::{Error, Sources};
use pixels::kernel::form::{self, Form, Soft};
use pixels::{Budget, Image, Rgba};
use staging::layout::{Blocker, Lit};
use units::Mat3;

/// Multiplies each pixel's colour by the light at its place.
pub(super) fn light_up(
    image: &mut Image<Rgba>,
    (lit, form): (&Lit, &Form),
    to_shot: &Mat3,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<(), Error> {
    let mut blockers = Vec::new();
    for blocker in &lit.blockers {
        let small = sources.small(blocker.cut, budget)?;
        blockers.push((blocker, form::softened(&small, blocker.softness, budget)?));
    }
    let place = image.place();
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(image.row_mut(y)) {
            let Some((u, v)) = to_shot.project(x as f64 + 0.5, y as f64 + 0.5) else { continue };
            let gain = gain(lit, form, &blockers, u, v);
            for c in 0..3 {
                p.0[c] *= gain[c];
            }
        }
    }
    Ok(())
}

/// The light at a place of the shot, in parts of what the piece has on the whole.
fn gain(lit: &Lit, form: &Form, blockers: &[(&Blocker, Soft)], u: f64, v: f64) -> [f32; 3] {
    let [right, up, known] = form.at(u, v).map(f64::from);
    let here = lit.here(u, v).unwrap_or_default();
    let visible = |light: usize| {
        let own = blockers.iter().filter(|(b, _)| b.light == light);
        own.map(|(b, soft)| 1.0 - f64::from(covers(lit, b, soft, u, v))).product()
    };
    here.on(lit.normal(right, up), known, visible).0.map(|v| v as f32)
}

/// How much of its light a blocker takes at a place of the shot.
pub(crate) fn covers(lit: &Lit, blocker: &Blocker, soft: &Soft, u: f64, v: f64) -> f32 {
    let Some(place) = lit.place(u, v) else { return 0.0 };
    let (towards, far) = lit.towards(blocker.light, place);
    blocker.meets(place, towards, far).map_or(0.0, |(u, v)| soft.at(u, v))
}
