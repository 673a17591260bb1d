//! How the light differs over a piece: from the definition at nodes some way apart, in between on straight lines, and on each pixel by
//! its own normal. Done once as a map over the shot, as fine as the piece is drawn.

use super::key;
use super::reduce::Levels;
use crate::keep::Held;
use crate::plain::lit::covers;
use crate::{Error, Keep, keep};
use pixels::kernel::form::{Form, Soft};
use pixels::{Budget, Coverage, Image, Rgb, Rgba};
use staging::layout::{Cut, Lit};
use std::sync::Arc;
use units::{Digester, Mat3, Primaries, PxRect, Vec3};

/// Nodes along the longer side of a shot.
const NODES: i64 = 24;

/// The light over a shot.
pub(super) struct Lights(Arc<keep::Lit>);

/// Names what lights a piece.
pub(super) fn digest(d: &mut Digester, lit: &Lit, primaries: Primaries) {
    d.text("lit");
    key::mapping(d, &lit.to_plane);
    for v in [lit.foot, lit.right, lit.up, lit.towards, lit.viewer, lit.mean] {
        vector(d, v);
    }
    let lights = &lit.lights;
    vector(d, lights.sky().level());
    vector(d, lights.sky().upright());
    vector(d, lights.ground_reflectance());
    if let Some(sun) = lights.sun() {
        d.text("sun");
        vector(d, sun.direction());
        vector(d, sun.irradiance());
    }
    for lamp in lights.practicals() {
        d.text("lamp");
        vector(d, lamp.at().vector());
        vector(d, lamp.intensity());
        d.float(lamp.radius().get()).float(lamp.reach().map_or(0.0, |r| r.get())).float(lamp.floor());
    }
    for b in &lit.blockers {
        d.text("blocker").number(b.light as u64);
        key::cut(d, b.cut, primaries);
        [b.foot, b.normal, b.right, b.up].into_iter().for_each(|v| vector(d, v));
        key::mapping(d, &b.to_shot);
        d.float(b.softness);
    }
    d.number(lit.readings.len() as u64);
    for (height, white) in &lit.readings {
        d.float(*height);
        vector(d, *white);
    }
}

fn vector(d: &mut Digester, v: Vec3) {
    v.0.iter().for_each(|v| {
        d.float(*v);
    });
}

impl Lights {
    /// The light on a cut-out, from the store or made anew; `stretch`: pixels of the shot to one that is drawn.
    pub(super) fn of(
        (lit, cut): (&Lit, Cut),
        levels: &Levels<'_>,
        stretch: f64,
        (keep, budget): (&dyn Keep, &Budget),
    ) -> Result<Self, Error> {
        // In steps of half an octave: what a hand moves nearer is lit by the same map.
        let half_octaves = (2.0 * units::math::log2(stretch.clamp(1.0, 1024.0))).floor();
        let mut d = Digester::new();
        // Raised when the light changes.
        d.text("light").number(2).number(half_octaves as u64);
        key::cut(&mut d, cut, levels.primaries());
        digest(&mut d, lit, levels.primaries());
        let key = d.finish();
        if let Some(Held::Light(kept)) = keep.held(&key) {
            return Ok(Self(kept));
        }
        let form = levels.form(cut)?;
        let step = (units::math::exp2(half_octaves / 2.0) / form.k as f64) as i64;
        let soft = |cut, sigma| levels.softened(cut, sigma);
        let made = Arc::new(map(lit, &form, step.clamp(1, 16), (&soft, budget))?);
        keep.hold(key, Held::Light(Arc::clone(&made)));
        Ok(Self(made))
    }

    /// Multiplies each pixel's colour by the light at its place.
    pub(super) fn light_up(&self, image: &mut Image<Rgba>, to_shot: &Mat3) {
        let keep::Lit { map, k } = &*self.0;
        let place = image.place();
        let p = map.place();
        if p.is_empty() {
            return;
        }
        for y in place.y0()..place.y1() {
            for (x, out) in (place.x0()..).zip(image.row_mut(y)) {
                if out.0[3] == 0.0 && out.0[..3] == [0.0; 3] {
                    continue;
                }
                let Some((u, v)) = to_shot.project(x as f64 + 0.5, y as f64 + 0.5) else { continue };
                let (mx, my) = (u / k - 0.5, v / k - 0.5);
                let (x0, y0) = (mx.floor(), my.floor());
                let (tx, ty) = ((mx - x0) as f32, (my - y0) as f32);
                let look = |dx: i64, dy: i64| {
                    let x = (x0 as i64 + dx).clamp(p.x0(), p.x1() - 1);
                    map.at(x, (y0 as i64 + dy).clamp(p.y0(), p.y1() - 1)).0
                };
                let (a, b, c, d) = (look(0, 0), look(1, 0), look(0, 1), look(1, 1));
                for i in 0..3 {
                    let (upper, lower) = (a[i] + (b[i] - a[i]) * tx, c[i] + (d[i] - c[i]) * tx);
                    out.0[i] *= upper + (lower - upper) * ty;
                }
            }
        }
    }
}

/// `step`: pixels of the form to one of the map.
fn map(
    lit: &Lit,
    form: &Form,
    step: i64,
    (soft, budget): (Softened<'_>, &Budget),
) -> Result<keep::Lit, Error> {
    let k = form.k;
    let place = form.place();
    let coarse = place.coarser(step);
    let pitch = (place.width().max(place.height()) as i64 * k).div_euclid(NODES).max(1) as f64;
    let (u0, v0) = (place.x0() as f64 * k as f64, place.y0() as f64 * k as f64);
    let columns = (place.width() as f64 * k as f64 / pitch).ceil() as usize + 2;
    let rows = (place.height() as f64 * k as f64 / pitch).ceil() as usize + 2;
    let count = lit.lights.practicals().len() + 1;
    // Per node: round, sky level and upright, below, then of each light its direction, its colour, and that on a cylinder.
    let long = 12 + 9 * count;
    let mut nodes = vec![0.0f32; columns * rows * long];
    for (i, node) in nodes.chunks_exact_mut(long).enumerate() {
        let (u, v) = (u0 + (i % columns) as f64 * pitch, v0 + (i / columns) as f64 * pitch);
        let here = lit.here(u, v).unwrap_or_default();
        let vectors = [here.round, here.sky[0], here.sky[1], here.below];
        let lights = here.lights.iter().flat_map(|s| [s.towards, s.light, s.light * s.round]);
        for (slot, v) in node.chunks_exact_mut(3).zip(vectors.into_iter().chain(lights)) {
            slot.copy_from_slice(&v.0.map(|v| v as f32));
        }
    }
    let unit = |v: Vec3| v.unit().unwrap_or_default().0.map(|v| v as f32);
    let axes = [unit(lit.right), unit(lit.up), unit(lit.towards)];
    let shades: Vec<(usize, Shade)> = (0..count)
        .filter(|light| lit.blockers.iter().any(|b| b.light == *light))
        .map(|light| Ok((light, Shade::new(lit, light, (place, k), soft, budget)?)))
        .collect::<Result<_, Error>>()?;
    let mut map = Image::unset(coarse, budget)?;
    let mut at = vec![0.0f32; long];
    let wide = (step * k) as f64;
    for y in coarse.y0()..coarse.y1() {
        for (x, out) in (coarse.x0()..).zip(map.row_mut(y)) {
            let (u, v) = ((x as f64 + 0.5) * wide, (y as f64 + 0.5) * wide);
            let (fx, fy) = (((u - u0) / pitch).max(0.0), ((v - v0) / pitch).max(0.0));
            let (cx, cy) = ((fx as usize).min(columns - 2), (fy as usize).min(rows - 2));
            let (tx, ty) = ((fx - cx as f64) as f32, (fy - cy as f64) as f32);
            let node = |x: usize, y: usize| &nodes[(y * columns + x) * long..(y * columns + x + 1) * long];
            let corners = [node(cx, cy), node(cx + 1, cy), node(cx, cy + 1), node(cx + 1, cy + 1)];
            for (j, value) in at.iter_mut().enumerate() {
                let upper = corners[0][j] + (corners[1][j] - corners[0][j]) * tx;
                let lower = corners[2][j] + (corners[3][j] - corners[2][j]) * tx;
                *value = upper + (lower - upper) * ty;
            }
            for (light, shade) in &shades {
                let visible = shade.at(u, v);
                at[12 + 9 * light + 3..12 + 9 * light + 9].iter_mut().for_each(|v| *v *= visible);
            }
            *out = Rgb(on(&at, mean(form, (x, y), step), &axes));
        }
    }
    Ok(keep::Lit { map, k: wide })
}

/// Where softened mattes come from.
type Softened<'a> = &'a dyn Fn(Cut, f64) -> Result<Arc<Soft>, Error>;

/// How much of one light is seen over a shot, at places some way apart.
struct Shade {
    seen: Soft,
}

impl Shade {
    /// Pixels of a form from place to place.
    const APART: i64 = 5;

    fn new(
        lit: &Lit,
        light: usize,
        (place, k): (PxRect, i64),
        soft: Softened<'_>,
        budget: &Budget,
    ) -> Result<Self, Error> {
        let own = lit.blockers.iter().filter(|b| b.light == light);
        let own = own.map(|b| Ok((b, soft(b.cut, b.softness)?))).collect::<Result<Vec<_>, Error>>()?;
        let k = k * Self::APART;
        let coarse = place.coarser(Self::APART).grow(1);
        let image = Image::from_fn(coarse, budget, |x, y| {
            let (u, v) = ((x as f64 + 0.5) * k as f64, (y as f64 + 0.5) * k as f64);
            Coverage(own.iter().map(|(b, soft)| 1.0 - covers(lit, b, soft, u, v)).product())
        })?;
        Ok(Self { seen: Soft { image, k } })
    }

    fn at(&self, u: f64, v: f64) -> f32 {
        self.seen.at(u, v)
    }
}

/// The mean of a form over a pixel of a coarser map.
fn mean(form: &Form, (x, y): (i64, i64), step: i64) -> [f32; 3] {
    let part = PxRect::new(x * step, y * step, (x + 1) * step, (y + 1) * step).intersect(form.place());
    let mut sum = [0.0f32; 3];
    for y in part.y0()..part.y1() {
        for x in part.x0()..part.x1() {
            let look = form.look(x, y);
            (0..3).for_each(|i| sum[i] += look[i]);
        }
    }
    sum.map(|v| v / part.area().max(1) as f32)
}

/// As [`staging::layout::Here::on`], of a node's numbers.
fn on(node: &[f32], [right, up, known]: [f32; 3], axes: &[[f32; 3]; 3]) -> [f32; 3] {
    let three = |i: usize| [node[3 * i], node[3 * i + 1], node[3 * i + 2]];
    let mut round = three(0);
    for i in (4..node.len() / 3).step_by(3) {
        let e = three(i + 2);
        (0..3).for_each(|c| round[c] += e[c]);
    }
    if known <= 0.0 {
        return round;
    }
    let towards = (1.0 - right * right - up * up).max(0.0).sqrt();
    let normal: [f32; 3] =
        std::array::from_fn(|c| axes[0][c] * right + axes[1][c] * up + axes[2][c] * towards);
    let y = normal[1];
    let (level, upright, below) = (three(1), three(2), three(3));
    let mut sum: [f32; 3] = std::array::from_fn(|c| {
        let sky = if y >= 0.0 { upright[c] + (level[c] - upright[c]) * y } else { upright[c] * (1.0 + y) };
        sky + below[c] * 0.5 * (1.0 - y)
    });
    for i in (4..node.len() / 3).step_by(3) {
        let (l, e) = (three(i), three(i + 1));
        let facing = (l[0] * normal[0] + l[1] * normal[1] + l[2] * normal[2]).max(0.0);
        (0..3).for_each(|c| sum[c] += e[c] * facing);
    }
    std::array::from_fn(|c| round[c] + (sum[c] - round[c]) * known)
}
