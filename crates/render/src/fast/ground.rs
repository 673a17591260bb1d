//! The light on the backdrop's ground, band by band: [`crate::plain`]'s formula in single precision.

use super::enlarge::Room;
use super::shadow::Taking;
use pixels::{Coverage, Image, Rgb};
use staging::layout::{Layout, LightOf, Pool};
use units::{Mat3, Vec3};

/// The lights of a picture, made ready.
pub(super) struct Ground {
    sky: [f32; 3],
    sun: [f32; 3],
    told: [f32; 3],
    lamps: Vec<Lamp>,
}

struct Lamp {
    to_level: Mat3,
    centre: [f64; 2],
    /// The light, at the places that its table has, and once more at its end.
    light: Vec<[f32; 3]>,
    extent: f32,
    /// What of it shone when the backdrop was taken.
    taken: [f32; 3],
}

/// What a band needs while it is lit.
#[derive(Default)]
pub(super) struct Work {
    room: Room<Coverage>,
    /// What is left of each light along a row: sky, sun, lamps.
    left: Vec<Vec<f32>>,
    now: Vec<[f32; 3]>,
    then: Vec<[f32; 3]>,
    at: Vec<f32>,
}

impl Ground {
    pub(super) fn new(layout: &Layout) -> Self {
        let single = |v: Vec3| v.0.map(|v| v as f32);
        let (sky, sun) = (single(layout.daylight.sky), single(layout.daylight.sun));
        let told = single(layout.daylight.told);
        Self { sky, sun, told, lamps: layout.pools.iter().map(Lamp::new).collect() }
    }

    fn index(of: LightOf) -> usize {
        match of {
            LightOf::Sky => 0,
            LightOf::Sun => 1,
            LightOf::Lamp(i) => 2 + i,
        }
    }

    /// Lights a band of whole rows.
    pub(super) fn light_up(&self, band: &mut Image<Rgb>, taking: &[Taking], work: &mut Work) {
        if self.lamps.is_empty() && taking.is_empty() && self.told == [1.0; 3] {
            return;
        }
        let place = band.place();
        let (width, height) = (place.width(), place.height());
        let area = place.area();
        // All rows of what is left of each light, where anything is taken of it.
        let mut left: Vec<Option<Vec<f32>>> = vec![None; 2 + self.lamps.len()];
        for shadow in taking {
            let Some(slot) = left.get_mut(Self::index(shadow.of())) else { continue };
            let seen = place.intersect(shadow.covers());
            if seen.is_empty() {
                continue;
            }
            let of = slot.get_or_insert_with(|| {
                let mut rows = work.left.pop().unwrap_or_default();
                rows.clear();
                rows.resize(area, 1.0);
                rows
            });
            shadow.take(of, place, &mut work.room);
        }
        for row in 0..height {
            let y = place.y0() + row as i64;
            let of = |i: usize| left[i].as_ref().map(|rows| &rows[row * width..(row + 1) * width]);
            work.now.clear();
            work.now.resize(width, std::array::from_fn(|c| self.sky[c] + self.sun[c]));
            work.then.clear();
            work.then.resize(width, std::array::from_fn(|c| self.sky[c] + self.sun[c]));
            for (light, i) in [(&self.sky, 0), (&self.sun, 1)] {
                if let Some(left) = of(i) {
                    for (now, v) in work.now.iter_mut().zip(left) {
                        (0..3).for_each(|c| now[c] -= light[c] * (1.0 - v));
                    }
                }
            }
            for (i, lamp) in self.lamps.iter().enumerate() {
                lamp.shine(place.x0(), y, of(2 + i), work);
            }
            for ((p, now), then) in band.row_mut(y).iter_mut().zip(&work.now).zip(&work.then) {
                for c in 0..3 {
                    let lit = if then[c] > 0.0 { now[c] / then[c] } else { 1.0 };
                    p.0[c] *= self.told[c] * lit;
                }
            }
        }
        work.left.extend(left.into_iter().flatten());
    }
}

impl Lamp {
    fn new(pool: &Pool) -> Self {
        let mut light: Vec<[f32; 3]> = pool.light.values.iter().map(|g| g.0.map(|v| v as f32)).collect();
        light.extend(light.last().copied());
        let (to_level, centre) = (pool.to_level, pool.light.centre);
        let taken = pool.taken.0.map(|v| v as f32);
        Self { to_level, centre, light, extent: pool.light.extent as f32, taken }
    }

    /// Adds its light along a row to what shines now, as far as it is left, and to what shone then.
    fn shine(&self, x0: i64, y: i64, left: Option<&[f32]>, work: &mut Work) {
        if self.light.len() < 2 {
            return;
        }
        let last = (self.light.len() - 2) as f32;
        let [across, away, depth] = self.to_level.0;
        let along =
            |row: [f64; 3]| (row[0] as f32, (row[0] * 0.5 + row[1] * (y as f64 + 0.5) + row[2]) as f32);
        // From the pool's centre on.
        let from = |row: [f64; 3], c: f64| along([0, 1, 2].map(|i| row[i] - c * depth[i]));
        let (right, away, depth) = (from(across, self.centre[0]), from(away, self.centre[1]), along(depth));
        work.at.clear();
        work.at.extend((x0..x0 + work.now.len() as i64).map(|x| {
            let x = x as f32;
            let w = depth.0 * x + depth.1;
            let (r, a) = ((right.0 * x + right.1) / w, (away.0 * x + away.1) / w);
            let share = (r * r + a * a).sqrt() / self.extent;
            if w > 0.0 && share < 1.0 { share.sqrt() * last } else { f32::INFINITY }
        }));
        for (n, at) in work.at.iter().enumerate() {
            if at.is_infinite() {
                continue;
            }
            let i = *at as usize;
            let (a, b, t) = (self.light[i], self.light[i + 1], at - i as f32);
            let left = left.map_or(1.0, |left| left[n]);
            for c in 0..3 {
                let light = a[c] + (b[c] - a[c]) * t;
                work.now[n][c] += light * left;
                work.then[n][c] += light * self.taken[c];
            }
        }
    }
}
