//! The toning, step by step over the whole picture, each as it is defined.

use super::{Untoned, untoned};
use crate::{Error, Sources};
use pixels::kernel::grain::Grain;
use pixels::{Budget, Coverage, Image, Rgb};
use staging::layout::{Curve, Layout, Tone, Toned, Weight};
use units::{Mat3, PxRect, PxSize, Vec3, math};

pub(super) fn render(
    layout: &Layout,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    let margin: i64 = layout.toning.iter().map(|t| reach(&t.tone)).sum();
    let wide = want.grow(margin);
    let Untoned { mut picture, fields } = untoned(layout, wide, sources, budget)?;
    for (i, toned) in layout.toning.iter().enumerate() {
        let mean = match toned.tone {
            Tone::Veil { held: Some(mean), .. } => mean,
            Tone::Veil { held: None, .. } => mean(layout, i, sources, budget)?,
            _ => Vec3::default(),
        };
        picture = step(layout, toned, mean, picture, &fields, budget)?;
    }
    Ok(picture.crop(want, budget)?)
}

/// How many pixels around its own a step looks at.
pub(crate) fn reach(tone: &Tone) -> i64 {
    match tone {
        Tone::Halation { sigma, .. } | Tone::Sharpness { sigma, .. } => gauss_reach(*sigma),
        _ => 0,
    }
}

/// Beyond four standard deviations a Gaussian is 0.
pub(crate) fn gauss_reach(sigma: f64) -> i64 {
    (4.0 * sigma).ceil() as i64
}

/// Mean light of the picture before step `i`, defined on the picture made so small that its longer side has 256 pixels.
pub(crate) fn mean(layout: &Layout, i: usize, sources: &dyn Sources, budget: &Budget) -> Result<Vec3, Error> {
    let mut small = small(layout);
    small.toning.truncate(i);
    let picture = super::render(&small, small.size.rect(), sources, budget)?;
    Ok(mean_of(&picture))
}

pub(crate) fn small(layout: &Layout) -> Layout {
    let longer = layout.size.width().max(layout.size.height());
    layout.scaled((256.0 / f64::from(longer)).min(1.0)).unwrap_or_else(|| layout.clone())
}

pub(crate) fn mean_of(picture: &Image<Rgb>) -> Vec3 {
    let sum = picture.pixels().iter().fold(Vec3::default(), |sum, p| sum + Vec3(p.0.map(f64::from)));
    sum * (1.0 / picture.pixels().len().max(1) as f64)
}

fn step(
    layout: &Layout,
    toned: &Toned,
    mean: Vec3,
    picture: Image<Rgb>,
    fields: &[Image<Coverage>],
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    let blurred = match toned.tone {
        Tone::Halation { sigma, .. } | Tone::Sharpness { sigma, .. } => Some(gauss(&picture, sigma, budget)?),
        _ => None,
    };
    let mut out = Image::new(picture.place(), budget)?;
    let place = picture.place();
    let grain = match toned.tone {
        Tone::Grain { size, seed, .. } => Some(Grain::new(size, seed, place.x0(), place.width())),
        _ => None,
    };
    let (mut grains, mut lattice) = (vec![0.0f32; place.width()], Vec::new());
    for y in place.y0()..place.y1() {
        if let Some(grain) = &grain {
            grain.row(y, &mut lattice, &mut grains);
        }
        for ((x, o), g) in (place.x0()..).zip(out.row_mut(y)).zip(&grains) {
            let before = Vec3(picture.at(x, y).0.map(f64::from));
            let around = blurred.as_ref().map_or(before, |b| Vec3(b.at(x, y).0.map(f64::from)));
            let after = tone(&toned.tone, layout.size, mean, f64::from(*g), around, before, (x, y));
            let weight: f64 = toned.strength
                * toned
                    .weights
                    .iter()
                    .map(|w| {
                        let field = match w {
                            Weight::Field(i) => f64::from(fields[*i].at(x, y).0),
                            _ => 0.0,
                        };
                        weigh(w, layout.primaries.to_xyz(), field, before, (x, y))
                    })
                    .product::<f64>();
            *o = Rgb((before + (after - before) * weight).0.map(|v| v as f32));
        }
    }
    Ok(out)
}

/// One pixel through one step at full weight.
fn tone(
    tone: &Tone,
    size: PxSize,
    mean: Vec3,
    grain: f64,
    around: Vec3,
    p: Vec3,
    (x, y): (i64, i64),
) -> Vec3 {
    match tone {
        Tone::Gain(gain) => p.times(*gain),
        Tone::Curve(curve) => Vec3(std::array::from_fn(|c| along(curve, c, p.0[c]))),
        Tone::Saturation { factor, luminance } => {
            let grey = Vec3::splat(p.dot(*luminance));
            grey + (p - grey) * *factor
        }
        Tone::Split { shadow, highlight, ramp, luminance } => {
            let light = ramp.at(stops(p.dot(*luminance)));
            p.times(*shadow * (1.0 - light) + *highlight * light)
        }
        Tone::Edge { factor, ramp } => {
            let share = ramp.at(from_middle(size, x, y));
            p.times(Vec3::splat(1.0 - share) + *factor * share)
        }
        Tone::Veil { amount, colour, .. } => p * (1.0 - amount) + mean.times(*colour) * *amount,
        Tone::Halation { amount, .. } => p * (1.0 - amount) + around * *amount,
        Tone::Grain { amount, luminance, .. } => {
            // Strongest in the middle tones, as in a print: the share falls as the square root of the light.
            let light = p.dot(*luminance).max(0.0);
            p * (1.0 + amount * grain * (0.18 / (0.18 + light)).sqrt() * std::f64::consts::SQRT_2)
        }
        Tone::Sharpness { amount, .. } => (p + (p - around) * *amount).map(|v| v.max(0.0)),
    }
}

/// A curve's value: straight lines between its entries, from black to the first, and level beyond the last.
pub(crate) fn along(curve: &Curve, c: usize, x: f64) -> f64 {
    let values = &curve.values[c];
    let lowest = math::exp2(f64::from(Curve::LOWEST));
    if x < lowest {
        let black = f64::from(curve.black[c]);
        return black + (f64::from(values[0]) - black) * x / lowest;
    }
    let at = (math::log2(x) - f64::from(Curve::LOWEST)) * f64::from(Curve::STEPS);
    let i = (at as usize).min(values.len() - 2);
    let (a, b) = (f64::from(values[i]), f64::from(values[i + 1]));
    a + (b - a) * (at - i as f64).min(1.0)
}

/// Distance of a pixel's centre from the picture's, in half diagonals.
fn from_middle(size: PxSize, x: i64, y: i64) -> f64 {
    let (w, h) = (f64::from(size.width()), f64::from(size.height()));
    let (dx, dy) = (x as f64 + 0.5 - w / 2.0, y as f64 + 0.5 - h / 2.0);
    (dx * dx + dy * dy).sqrt() * 2.0 / (w * w + h * h).sqrt()
}

/// Stops from mid-grey; very far down for what is black.
fn stops(luminance: f64) -> f64 {
    math::log2(luminance.max(1e-9) / 0.18)
}

/// How much of a step a pixel gets from one weight; `field` is the pixel's value in the weight's field, if it is one.
pub(crate) fn weigh(weight: &Weight, to_xyz: Mat3, field: f64, p: Vec3, (x, y): (i64, i64)) -> f64 {
    match weight {
        Weight::Field(_) => field,
        Weight::Tones(from, to) => {
            let luminance = Vec3(to_xyz.0[1]).dot(p);
            from.at(stops(luminance)) * to.at(stops(luminance))
        }
        Weight::Hues { centre, half, soft } => {
            let Some(hue) = hue(to_xyz, p) else { return 0.0 };
            let off = ((hue - centre + 540.0).rem_euclid(360.0) - 180.0).abs();
            if *soft > 0.0 {
                ((half - off) / soft + 0.5).clamp(0.0, 1.0)
            } else {
                f64::from(u8::from(off <= *half))
            }
        }
        Weight::Card(card) => card.at(x, y),
        Weight::Gradient { from, to } => {
            let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
            let length = dx * dx + dy * dy;
            let (ex, ey) = (x as f64 + 0.5 - from[0], y as f64 + 0.5 - from[1]);
            if length > 0.0 { ((ex * dx + ey * dy) / length).clamp(0.0, 1.0) } else { 1.0 }
        }
    }
}

/// CIE LCh(ab) hue angle in degrees (CIE 15), relative to the primaries' own white; `None` for a grey.
fn hue(to_xyz: Mat3, p: Vec3) -> Option<f64> {
    let white = to_xyz * Vec3::splat(1.0);
    let f = |t: f64| if t > 216.0 / 24389.0 { math::cbrt(t) } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    let [fx, fy, fz] = (to_xyz * p).over(white).map(f).0;
    let (a, b) = (500.0 * (fx - fy), 200.0 * (fy - fz));
    (a * a + b * b > 1e-6).then(|| math::degrees(math::atan2(b, a)).rem_euclid(360.0))
}

/// Gaussian blur, truncated at four standard deviations, the border repeated.
fn gauss(picture: &Image<Rgb>, sigma: f64, budget: &Budget) -> Result<Image<Rgb>, Error> {
    let n = gauss_reach(sigma);
    let weights = gauss_weights(sigma);
    let pass = |from: &Image<Rgb>, dx: i64, dy: i64| {
        Image::from_fn(from.place(), budget, |x, y| {
            let mut sum = [0.0f64; 3];
            for (i, w) in (-n..=n).zip(&weights) {
                let p = from.at_clamped(x + i * dx, y + i * dy);
                for c in 0..3 {
                    sum[c] += w * f64::from(p.0[c]);
                }
            }
            Rgb(sum.map(|v| v as f32))
        })
    };
    let across = pass(picture, 1, 0)?;
    Ok(pass(&across, 0, 1)?)
}

/// Weights from -4 to 4 standard deviations, sum 1.
pub(crate) fn gauss_weights(sigma: f64) -> Vec<f64> {
    let n = gauss_reach(sigma);
    let raw: Vec<f64> = (-n..=n)
        .map(|i| if sigma > 0.0 { math::exp(-0.5 * (i as f64 / sigma).powi(2)) } else { 1.0 })
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter().map(|w| w / sum).collect()
}
