//! The form of a thing, guessed from its matte: which way its surface looks (docs/model.md, *Form*).
//!
//! The silhouette is blown up like a balloon: a height whose square solves Poisson's equation with nothing at the edge, so that a strip
//! becomes half a cylinder and a disc half a ball. Strands, leaves and hair are no balloons: what is thin counts less, down to nothing.

use crate::{Budget, Coverage, Image, OverBudget, Pixel};
use units::PxRect;

/// Pixels of the longer side of a small matte: shading is smooth.
const LONGEST: usize = 384;
/// How far a balloon's normals lean too much, across and along: least squares against the true normals of path-traced people, posts and
/// folded birds.
const ACROSS: f32 = 0.6;
const ALONG: f32 = 0.3;

/// The matte of a cut-out in small: what forms and soft shadows are made of.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Small {
    /// Where its grid stands.
    place: PxRect,
    /// Pixels of the shot to one of the grid, which is anchored to the shot's origin.
    k: i64,
    /// How much is covered, in 255ths.
    covers: Vec<u8>,
}

impl Small {
    /// Of a part of a cut-out: what `coverage` says of each pixel.
    #[must_use]
    pub fn of<P: Pixel>(cut: &Image<P>, part: PxRect, coverage: impl Fn(&P) -> f32) -> Self {
        let p = cut.place().intersect(part);
        let from = (p.x0() - cut.place().x0()).max(0) as usize;
        let k = p.width().max(p.height()).div_ceil(LONGEST).max(1) as i64;
        let place = p.coarser(k);
        let mut sums = vec![0.0f32; place.area()];
        let share = 1.0 / (k * k) as f32;
        for y in p.y0()..p.y1() {
            let start = (y.div_euclid(k) - place.y0()) as usize * place.width();
            for (x, c) in (p.x0()..p.x1()).zip(&cut.row(y)[from..]) {
                sums[start + (x.div_euclid(k) - place.x0()) as usize] += coverage(c) * share;
            }
        }
        let covers = sums.into_iter().map(|v| (v * 255.0).round().clamp(0.0, 255.0) as u8).collect();
        Self { place, k, covers }
    }

    /// As it is kept: five numbers (where its grid stands, pixels of the shot to one of it), then the coverage, row by row.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let p = self.place;
        let head = [p.x0(), p.y0(), p.x1(), p.y1(), self.k];
        head.iter().flat_map(|v| v.to_le_bytes()).chain(self.covers.iter().copied()).collect()
    }

    /// Back from that; `None` where it is none.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (head, covers) = bytes.split_at_checked(40)?;
        let number = |i: usize| head[8 * i..8 * i + 8].try_into().map(i64::from_le_bytes).ok();
        let [x0, y0, x1, y1, k] = [number(0)?, number(1)?, number(2)?, number(3)?, number(4)?];
        let sides = (x1.checked_sub(x0)?, y1.checked_sub(y0)?);
        let fits = |side: i64| (0..=LONGEST as i64 + 1).contains(&side);
        if !fits(sides.0) || !fits(sides.1) || k < 1 {
            return None;
        }
        let place = PxRect::new(x0, y0, x1, y1);
        (place.area() == covers.len()).then(|| Self { place, k, covers: covers.to_vec() })
    }

    fn values(&self) -> Vec<f32> {
        self.covers.iter().map(|v| f32::from(*v) / 255.0).collect()
    }

    const fn sides(&self) -> (usize, usize) {
        (self.place.width(), self.place.height())
    }

    /// How much of a solid thing it shows, 0 to 1, as its form counts it.
    #[must_use]
    pub fn bulk(&self) -> f32 {
        bulk(&self.values(), self.sides())
    }
}

/// A form on a grid coarser than the shot's.
#[derive(Debug)]
pub struct Form {
    /// Where its grid stands.
    place: PxRect,
    /// For each coarse pixel: how far the surface looks to the shot's right and up (parts of a unit vector, the rest of it looks to the
    /// camera), and how much is known of it (0 to 1); each in 127ths.
    looks: Vec<[i8; 3]>,
    /// Pixels of the shot to one of the grid, which is anchored to the shot's origin.
    pub k: i64,
}

impl Form {
    /// Where its grid stands.
    #[must_use]
    pub const fn place(&self) -> PxRect {
        self.place
    }

    /// Bytes that it takes.
    #[must_use]
    pub const fn bytes(&self) -> usize {
        self.looks.len() * 3
    }

    /// At a pixel of the grid: right, up, and how much is known; the nearest one's beyond its border.
    #[must_use]
    pub fn look(&self, x: i64, y: i64) -> [f32; 3] {
        let p = self.place;
        if p.is_empty() {
            return [0.0; 3];
        }
        let (x, y) = (x.clamp(p.x0(), p.x1() - 1) - p.x0(), y.clamp(p.y0(), p.y1() - 1) - p.y0());
        self.looks[y as usize * p.width() + x as usize].map(|v| f32::from(v) / 127.0)
    }

    /// At a place of the shot, in its pixels: right, up, and how much is known; nothing outside.
    #[must_use]
    pub fn at(&self, u: f64, v: f64) -> [f32; 3] {
        let k = self.k as f64;
        let (x, y) = (u / k - 0.5, v / k - 0.5);
        let (x0, y0) = (x.floor(), y.floor());
        let (tx, ty) = ((x - x0) as f32, (y - y0) as f32);
        let look = |dx: i64, dy: i64| self.look(x0 as i64 + dx, y0 as i64 + dy);
        let (a, b, c, d) = (look(0, 0), look(1, 0), look(0, 1), look(1, 1));
        std::array::from_fn(|i| {
            let (upper, lower) = (a[i] + (b[i] - a[i]) * tx, c[i] + (d[i] - c[i]) * tx);
            upper + (lower - upper) * ty
        })
    }
}

/// The form of what a cut-out covers.
#[must_use]
pub fn form(small: &Small) -> Form {
    let (a, place, k) = (small.values(), small.place, small.k);
    let (w, h) = small.sides();
    let mask: Vec<bool> = a.iter().map(|a| *a > 0.5).collect();
    let known = bulk(&a, (w, h));
    if known == 0.0 {
        return Form { place, looks: vec![[0; 3]; place.area()], k };
    }
    let mut u = poisson(&mask, (w, h));
    blur(&mut u, (w, h), 1.0);
    let local = thickness(&a, &mask, (w, h));
    let at = |x: usize, y: usize| u[y * w + x];
    let look = |i: usize| {
        let (x, y) = (i % w, i / w);
        let right = (at((x + 1).min(w - 1), y) - at(x.saturating_sub(1), y)) / 2.0;
        let down = (at(x, (y + 1).min(h - 1)) - at(x, y.saturating_sub(1))) / 2.0;
        let n = [-right / 2.0, down / 2.0, at(x, y).max(0.05).sqrt()];
        let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
        [ACROSS * n[0] / length, ALONG * n[1] / length, known * local[i]]
            .map(|v| (v * 127.0).round().clamp(-127.0, 127.0) as i8)
    };
    Form { place, looks: (0..place.area()).map(look).collect(), k }
}

/// A matte softened by a Gaussian, on a grid as coarse as that allows.
#[derive(Debug)]
pub struct Soft {
    /// How much is covered.
    pub image: Image<Coverage>,
    /// Pixels of the shot to one of the grid, which is anchored to the shot's origin.
    pub k: i64,
}

impl Soft {
    /// At a place of the shot, in its pixels; nothing outside.
    #[must_use]
    pub fn at(&self, u: f64, v: f64) -> f32 {
        let place = self.image.place();
        let k = self.k as f64;
        let (x, y) = (u / k - 0.5, v / k - 0.5);
        let (x0, y0) = (x.floor(), y.floor());
        let (tx, ty) = ((x - x0) as f32, (y - y0) as f32);
        let look = |dx: i64, dy: i64| {
            let (x, y) = (x0 as i64 + dx, y0 as i64 + dy);
            if place.contains(x, y) { self.image.at(x, y).0 } else { 0.0 }
        };
        let (upper, lower) =
            (look(0, 0) + (look(1, 0) - look(0, 0)) * tx, look(0, 1) + (look(1, 1) - look(0, 1)) * tx);
        upper + (lower - upper) * ty
    }
}

/// The coverage of a cut-out softened by a Gaussian of this standard deviation in its shot's pixels.
///
/// # Errors
/// Where the budget does not hold it.
pub fn softened(small: &Small, sigma: f64, budget: &Budget) -> Result<Soft, OverBudget> {
    // Coarser still, where it is soft.
    let more = ((sigma / small.k as f64 / 2.0) as i64).max(1);
    let k = small.k * more;
    // What means over squares and straight lines between them soften already (variances of a box and of a triangle).
    let sigma = ((sigma / k as f64).powi(2) - 1.0 / 12.0 - 1.0 / 6.0).max(0.0).sqrt();
    let (fine, place) = (small.place, small.place.coarser(more));
    let wide = if place.is_empty() { place } else { place.grow((3.0 * sigma).ceil() as i64) };
    let mut values = vec![0.0f32; wide.area()];
    let share = 1.0 / (255 * more * more) as f32;
    for (y, row) in (fine.y0()..).zip(small.covers.chunks_exact(fine.width().max(1))) {
        let start = (y.div_euclid(more) - wide.y0()) as usize * wide.width();
        for (x, c) in (fine.x0()..).zip(row) {
            values[start + (x.div_euclid(more) - wide.x0()) as usize] += f32::from(*c) * share;
        }
    }
    blur(&mut values, (wide.width(), wide.height()), sigma as f32);
    let mut image = Image::<Coverage>::new(wide, budget)?;
    for (o, v) in image.pixels_mut().iter_mut().zip(values) {
        o.0 = v.clamp(0.0, 1.0);
    }
    Ok(Soft { image, k })
}

/// How much of a solid thing a matte shows, 0 to 1: by the isoperimetric quotient of the softened matte, 4 pi area / perimeter squared, its
/// perimeter being its total variation (the coarea formula). Tufts and reeds lie at 0.02, a broad-leaved plant at 0.1, people, posts and
/// birds from 0.18 on; 0.08 to 0.2 lie between (own choice on path-traced things).
fn bulk(a: &[f32], (w, h): (usize, usize)) -> f32 {
    let mut soft = a.to_vec();
    blur(&mut soft, (w, h), (0.004 * ((w * h) as f32).sqrt()).max(0.7));
    let area: f64 = soft.iter().map(|v| f64::from(*v)).sum();
    let mut around = 0.0f64;
    for y in 0..h {
        for x in 0..w {
            let here = soft[y * w + x];
            let right = if x + 1 < w { soft[y * w + x + 1] - here } else { 0.0 };
            let down = if y + 1 < h { soft[(y + 1) * w + x] - here } else { 0.0 };
            around += f64::from((right * right + down * down).sqrt());
        }
    }
    if around <= 0.0 {
        return 0.0;
    }
    let quotient = 4.0 * std::f64::consts::PI * area / (around * around);
    smooth(((quotient - 0.08) / 0.12) as f32)
}

/// Where a thing is thick, 0 to 1: hair and thin parts of a solid thing are not.
fn thickness(a: &[f32], mask: &[bool], (w, h): (usize, usize)) -> Vec<f32> {
    let side = a.iter().map(|v| f64::from(*v)).sum::<f64>().sqrt() as f32;
    let mut thick: Vec<f32> = mask.iter().map(|m| f32::from(u8::from(*m))).collect();
    blur(&mut thick, (w, h), 0.01 * side);
    thick.iter_mut().for_each(|v| *v = ((*v - 0.5) / 0.3).clamp(0.0, 1.0));
    blur(&mut thick, (w, h), 0.005 * side);
    thick
}

fn smooth(t: f32) -> f32 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A Gaussian, cut at three standard deviations; beyond the border it goes on as at it.
fn blur(values: &mut [f32], (w, h): (usize, usize), sigma: f32) {
    let reach = (3.0 * sigma).ceil() as usize;
    if reach == 0 || w == 0 || h == 0 {
        return;
    }
    let weights: Vec<f32> = (0..=2 * reach)
        .map(|i| {
            let d = (i as f32 - reach as f32) / sigma;
            units::math::exp(f64::from(-0.5 * d * d)) as f32
        })
        .collect();
    let sum: f32 = weights.iter().sum();
    let mut line = Vec::new();
    let mut along = |values: &mut [f32], start: usize, step: usize, n: usize| {
        line.clear();
        line.extend((0..n).map(|i| values[start + i * step]));
        for i in 0..n {
            let total: f32 = weights
                .iter()
                .enumerate()
                .map(|(j, weight)| weight * line[(i + j).saturating_sub(reach).min(n - 1)])
                .sum();
            values[start + i * step] = total / sum;
        }
    };
    (0..h).for_each(|y| along(values, y * w, 1, w));
    (0..w).for_each(|x| along(values, x, w, h));
}

/// Solves lap u = -2 with u = 0 outside the mask, in pixels: from coarse to fine, at each by successive over-relaxation in red and black
/// (both standard; Briggs, Henson, McCormick: A multigrid tutorial, 2000; from memory).
fn poisson(mask: &[bool], (w, h): (usize, usize)) -> Vec<f32> {
    const SWEEPS: usize = 40;
    const OVER: f32 = 1.7;
    let mut u = if w.min(h) > 8 {
        let (cw, ch) = (w.div_ceil(2), h.div_ceil(2));
        // Inside, where all that it stands for is inside.
        let coarse: Vec<bool> = (0..cw * ch)
            .map(|i| {
                let (x, y) = (i % cw * 2, i / cw * 2);
                (y..(y + 2).min(h)).all(|y| (x..(x + 2).min(w)).all(|x| mask[y * w + x]))
            })
            .collect();
        let below = poisson(&coarse, (cw, ch));
        // A coarse pixel is twice as wide: its heights squared count four times.
        (0..w * h).map(|i| if mask[i] { 4.0 * below[i / w / 2 * cw + i % w / 2] } else { 0.0 }).collect()
    } else {
        vec![0.0f32; w * h]
    };
    for sweep in 0..2 * SWEEPS {
        for y in 0..h {
            for x in ((y + sweep) % 2..w).step_by(2) {
                let i = y * w + x;
                if !mask[i] {
                    continue;
                }
                let left = if x > 0 { u[i - 1] } else { 0.0 };
                let right = if x + 1 < w { u[i + 1] } else { 0.0 };
                let up = if y > 0 { u[i - w] } else { 0.0 };
                let down = if y + 1 < h { u[i + w] } else { 0.0 };
                let settled = (left + right + up + down + 2.0) / 4.0;
                u[i] += OVER * (settled - u[i]);
            }
        }
    }
    u
}

#[cfg(test)]
mod tests {
    use super::*;

    fn small(w: i64, h: i64, inside: impl Fn(f64, f64) -> bool) -> Small {
        let budget = Budget::of_bytes(1 << 30);
        let matte = Image::from_fn(PxRect::new(0, 0, w, h), &budget, |x, y| {
            Coverage(f32::from(u8::from(inside(x as f64 + 0.5, y as f64 + 0.5))))
        });
        Small::of(&matte.unwrap(), PxRect::new(0, 0, w, h), |c| c.0)
    }

    #[test]
    fn a_small_matte_comes_back_as_it_was_kept() {
        let matte = small(900, 500, |x, y| x < 2.0 * y);
        let kept = matte.to_bytes();
        assert_eq!(Small::from_bytes(&kept), Some(matte));
        assert!((0..kept.len()).step_by(997).all(|n| Small::from_bytes(&kept[..n]).is_none()));
        assert!(Small::from_bytes(&[255; 41]).is_none());
    }

    #[test]
    fn a_softened_matte_has_the_softness_it_was_asked_for() {
        // The mean of a straight edge's slope is as a Gaussian's: 68 % within one standard deviation.
        let matte = small(1500, 1000, |x, _| x < 750.0);
        for sigma in [4.0, 12.0, 40.0] {
            let soft = softened(&matte, sigma, &Budget::of_bytes(1 << 24)).unwrap();
            let within = soft.at(750.0 - sigma, 500.0) - soft.at(750.0 + sigma, 500.0);
            assert!((within - 0.683).abs() < 0.03, "{sigma}: {within}");
        }
    }

    #[test]
    fn a_strip_becomes_half_a_cylinder() {
        // Between its ends a strip of half width r solves u'' = -2: u = r² - x², the height of a cylinder squared.
        let (w, h) = (64, 400);
        let mask: Vec<bool> = (0..w * h).map(|i| (12..52).contains(&(i % w))).collect();
        let u = poisson(&mask, (w, h));
        for x in 12..52 {
            // The height is nothing half a pixel outside the outermost pixels' middles.
            let d = x as f64 + 0.5 - 32.0;
            let wanted = 20.5 * 20.5 - d * d;
            let got = f64::from(u[200 * w + x]);
            assert!((got - wanted).abs() < 0.04 * 420.0, "{x}: {got} {wanted}");
        }
    }

    #[test]
    fn a_post_looks_to_both_sides_and_a_tuft_nowhere() {
        let post = form(&small(200, 300, |x, y| (70.0..130.0).contains(&x) && (20.0..280.0).contains(&y)));
        let (left, middle, right) = (post.at(75.0, 150.0), post.at(100.0, 150.0), post.at(125.0, 150.0));
        assert!(
            left[0] < -0.35 && right[0] > 0.35 && middle[0].abs() < 0.02,
            "{left:?} {middle:?} {right:?}"
        );
        assert!(middle[2] > 0.9, "{middle:?}");
        assert!(
            post.at(100.0, 25.0)[1] > 0.15 && post.at(100.0, 275.0)[1] < -0.15,
            "up at the top, down at the foot"
        );
        // Forty blades of two pixels.
        let tuft = form(&small(400, 300, |x, y| y > 20.0 && (x / 5.0).floor() % 2.0 == 0.0));
        assert!(tuft.looks.iter().all(|l| l[2] == 0));
    }

    #[test]
    fn a_large_shot_has_the_form_of_a_small_one() {
        let ball = |r: f64| move |x: f64, y: f64| (x - 2.0 * r).powi(2) + (y - 2.0 * r).powi(2) < r * r;
        let (near, far) = (form(&small(300, 300, ball(75.0))), form(&small(1200, 1200, ball(300.0))));
        assert_eq!((near.k, far.k), (1, 4));
        for (u, v) in [(100.0, 150.0), (150.0, 105.0), (190.0, 190.0)] {
            let (a, b) = (near.at(u, v), far.at(4.0 * u, 4.0 * v));
            assert!((0..3).all(|i| (a[i] - b[i]).abs() < 0.03), "{u} {v}: {a:?} {b:?}");
        }
        assert_eq!(Form { place: PxRect::EMPTY, looks: Vec::new(), k: 1 }.at(1.0, 1.0), [0.0; 3]);
    }
}
