//! How the light differs over a piece, pixel by pixel from the definition.

use pixels::kernel::form::Form;
use pixels::{Image, Rgba};
use staging::layout::Lit;
use units::Mat3;

/// Multiplies each pixel's colour by the light at its place.
pub(crate) fn light_up(image: &mut Image<Rgba>, lit: &Lit, form: &Form, to_shot: &Mat3) {
    let place = image.place();
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(image.row_mut(y)) {
            let Some((u, v)) = to_shot.project(x as f64 + 0.5, y as f64 + 0.5) else { continue };
            let gain = gain(lit, form, u, v);
            for c in 0..3 {
                p.0[c] *= gain[c];
            }
        }
    }
}

/// The light at a place of the shot, in parts of what the piece has on the whole.
pub(crate) fn gain(lit: &Lit, form: &Form, u: f64, v: f64) -> [f32; 3] {
    let [right, up, known] = form.at(u, v).map(f64::from);
    let here = lit.here(u, v).unwrap_or_default();
    here.on(lit.normal(right, up), known).0.map(|v| v as f32)
}
