//! The plain renderer: slow, and each step as it is defined. What it draws is right by reading; the fast renderer is
//! measured against it.

pub(crate) mod lit;
pub(crate) mod toning;

use crate::{Error, Sources, beyond};
use pixels::kernel::aperture::{self, Shape};
use pixels::kernel::filter::Filter;
use pixels::kernel::resample::{Edge, settle};
use pixels::kernel::{convolve, form, region, warp};
use pixels::{Budget, Coverage, Image, Rgb, Rgba};
use staging::layout::{
    Aperture, Around, Drawn, Ground, GroundField, Layout, LightOf, Mask, Mixing, Resampling, Shadow, Taken,
};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use units::{Mat3, PxRect, Vec3};

/// The part `want` of the picture, in linear light.
///
/// # Errors
/// Where a photograph or the memory is missing.
pub fn render(
    layout: &Layout,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    toning::render(layout, want, sources, budget)
}

/// The picture before toning, and its fields.
pub(crate) struct Untoned {
    pub(crate) picture: Image<Rgb>,
    pub(crate) fields: Vec<Image<Coverage>>,
}

pub(crate) fn untoned(
    layout: &Layout,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Untoned, Error> {
    let filter = filter(layout.resampling);
    let mut picture = backdrop(&layout.ground, filter, want, sources, budget)?;
    light_ground(layout, &mut picture, sources, budget)?;
    let mut fields = Vec::new();
    for field in &layout.fields {
        fields.push(Image::from_fn(want, budget, |x, y| Coverage(ground_field(&field.ground, x, y) as f32))?);
    }
    for (i, piece) in layout.pieces.iter().enumerate() {
        let layer = layer(piece, layout.resampling, want, sources, budget)?;
        lay(&layer, piece.cut.mixing, i, &mut picture, (layout, &mut fields));
    }
    Ok(Untoned { picture, fields })
}

fn backdrop(
    ground: &Ground,
    filter: Filter,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    match ground {
        Ground::Plain(tone) => {
            let tone = Rgb(tone.0.map(|v| v as f32));
            Ok(Image::from_fn(want, budget, |_, _| tone)?)
        }
        Ground::Photograph { source, to_source } => {
            let photograph = sources.photograph(*source, budget)?;
            let seen = beyond::seen(photograph.size(), to_source, filter, want);
            let part = beyond::part(&*photograph, seen, budget)?;
            Ok(warp::plain(&part, to_source, filter, Edge::Repeat, want, budget)?)
        }
    }
}

/// Multiplies the backdrop by the light that falls on it now, over what fell on it when it was taken.
fn light_ground(
    layout: &Layout,
    picture: &mut Image<Rgb>,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<(), Error> {
    // What is left of each light.
    let mut left = BTreeMap::<LightOf, Image<Coverage>>::new();
    for shadow in &layout.shadows {
        let taken = taken(shadow, layout.resampling, picture.place(), sources, budget)?;
        let of = match left.entry(shadow.of) {
            Entry::Occupied(there) => there.into_mut(),
            Entry::Vacant(none) => {
                none.insert(Image::from_fn(picture.place(), budget, |_, _| Coverage(1.0))?)
            }
        };
        let place = taken.place();
        for y in place.y0()..place.y1() {
            let from = (place.x0() - picture.place().x0()) as usize;
            for (v, t) in of.row_mut(y)[from..].iter_mut().zip(taken.row(y)) {
                v.0 *= 1.0 - t.0.clamp(0.0, 1.0) * shadow.strength as f32;
            }
        }
    }
    let place = picture.place();
    let of = |which: LightOf, x: i64, y: i64| left.get(&which).map_or(1.0, |v| f64::from(v.at(x, y).0));
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(picture.row_mut(y)) {
            let daylight = &layout.daylight;
            let mut now = daylight.sky * of(LightOf::Sky, x, y) + daylight.sun * of(LightOf::Sun, x, y);
            let mut then = daylight.sky + daylight.sun;
            for (i, pool) in layout.pools.iter().enumerate() {
                let at = pool.to_level.project(x as f64 + 0.5, y as f64 + 0.5);
                let light = at.map_or(Vec3::default(), |(right, away)| pool.light.at(right, away));
                now = now + light * of(LightOf::Lamp(i), x, y);
                then = then + light.times(pool.taken);
            }
            for c in 0..3 {
                let lit = if then.0[c] > 0.0 { now.0[c] / then.0[c] } else { 1.0 };
                p.0[c] *= (daylight.told.0[c] * lit) as f32;
            }
        }
    }
    Ok(())
}

/// How much of its light a piece keeps from the level.
fn taken(
    shadow: &Shadow,
    resampling: Resampling,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Image<Coverage>, Error> {
    let spread = spread(resampling.drawn(shadow.disc), shadow.aperture);
    let place = want.intersect(shadow.bounds.grow(spread.reach() as i64));
    if place.is_empty() {
        return Ok(Image::new(PxRect::EMPTY, budget)?);
    }
    let sharp = convolve::needs(&spread, place).intersect(shadow.bounds);
    let sum = match &shadow.taken {
        Taken::Thrown { cut, to_shot } => {
            let mut sum = Image::<Coverage>::new(sharp, budget)?;
            let cut = sources.cut_out(*cut, budget)?;
            let matte = Image::from_fn(cut.place(), budget, |x, y| Coverage(cut.at(x, y).0[3]))?;
            let part = 1.0 / to_shot.len().max(1) as f32;
            for to_shot in to_shot {
                let seen = warp::plain(&matte, to_shot, Filter::Spline, Edge::Clear, sharp, budget)?;
                for (s, v) in sum.pixels_mut().iter_mut().zip(seen.pixels()) {
                    s.0 += part * v.0;
                }
            }
            sum
        }
        Taken::Hidden { to_level, around } => {
            Image::from_fn(sharp, budget, |x, y| Coverage(hidden(to_level, around, x as f64, y as f64)))?
        }
    };
    Ok(convolve::plain(&sum, &spread, place, budget)?)
}

/// The share of the sky that is hidden at the middle of a pixel; nothing above the horizon.
pub(crate) fn hidden(to_level: &Mat3, around: &[Around<f64>], x: f64, y: f64) -> f32 {
    let at = to_level.project(x + 0.5, y + 0.5);
    at.map_or(0.0, |(right, away)| Taken::hidden(around, right, away) as f32)
}

/// A piece as it is laid over the picture: defocused, lit, hazed, masked. It stands where it can be seen in `want`.
fn layer(
    piece: &Drawn,
    resampling: Resampling,
    want: PxRect,
    sources: &dyn Sources,
    budget: &Budget,
) -> Result<Image<Rgba>, Error> {
    let spread = spread(resampling.drawn(piece.disc), piece.aperture);
    let place = want.intersect(piece.bounds.grow(spread.reach() as i64));
    if place.is_empty() {
        return Ok(Image::new(PxRect::EMPTY, budget)?);
    }
    let cut = sources.cut_out(piece.cut, budget)?;
    let sharp_place = convolve::needs(&spread, place).intersect(piece.bounds);
    let filter = filter_of(piece.cut.mixing, resampling);
    let mut sharp = warp::plain(&cut, &piece.to_shot, filter, Edge::Clear, sharp_place, budget)?;
    settle(sharp.pixels_mut());
    if let Some(lit) = &piece.lit {
        let form = form::form(&sources.small(piece.cut, budget)?);
        lit::light_up(&mut sharp, (lit, &form), &piece.to_shot, sources, budget)?;
    }
    let mut layer = convolve::plain(&sharp, &spread, place, budget)?;
    for y in place.y0()..place.y1() {
        for (x, p) in (place.x0()..).zip(layer.row_mut(y)) {
            let coverage = p.0[3];
            for c in 0..3 {
                p.0[c] = p.0[c] * piece.gain.0[c] as f32 + coverage * piece.veil.0[c] as f32;
            }
            for mask in &piece.masks {
                *p = masked(*p, mask, x, y);
            }
            if let Some(share) = piece.in_water {
                *p = Rgba(p.0.map(|v| v * share as f32));
            }
        }
    }
    Ok(layer)
}

fn lay(
    layer: &Image<Rgba>,
    mixing: Mixing,
    index: usize,
    picture: &mut Image<Rgb>,
    (layout, fields): (&Layout, &mut [Image<Coverage>]),
) {
    let wanted = &layout.fields;
    let luminance = layout.primaries.to_xyz().0[1];
    let light = |p: [f32; 3]| (0..3).map(|c| luminance[c] * f64::from(p[c])).sum::<f64>();
    let place = layer.place();
    let from = (place.x0() - picture.place().x0()) as usize;
    for y in place.y0()..place.y1() {
        // What is seen at a pixel is the piece's as far as the piece covers it, or as far as its light is the piece's.
        for (field, map) in wanted.iter().zip(fields.iter_mut()) {
            let seen = picture.row(y)[from..].iter().zip(layer.row(y));
            for (f, (p, s)) in map.row_mut(y)[from..].iter_mut().zip(seen) {
                let share = match mixing {
                    Mixing::Over => f64::from(s.0[3]),
                    Mixing::Add => {
                        let (before, added) = (light(p.0), light([s.0[0], s.0[1], s.0[2]]));
                        if added > 0.0 { added / (before.max(0.0) + added) } else { 0.0 }
                    }
                };
                f.0 += (share * (field.pieces[index] - f64::from(f.0))) as f32;
            }
        }
        for (p, s) in picture.row_mut(y)[from..].iter_mut().zip(layer.row(y)) {
            let keep = match mixing {
                Mixing::Over => 1.0 - s.0[3],
                Mixing::Add => 1.0,
            };
            for c in 0..3 {
                p.0[c] = s.0[c] + keep * p.0[c];
            }
        }
    }
}

/// What a mask leaves of a piece's pixel.
pub(crate) fn masked(p: Rgba, mask: &Mask, x: i64, y: i64) -> Rgba {
    let inside = region::coverage(&mask.polygons, mask.softness, x as f64 + 0.5, y as f64 + 0.5);
    let kept = mask.keeps.factor(inside, p.0[3]);
    Rgba(p.0.map(|v| v * kept))
}

/// The weight of the backdrop at a pixel. Above the horizon everything is infinitely far.
pub(crate) fn ground_field(field: &GroundField, x: i64, y: i64) -> f64 {
    let on_level = |to_level: &Mat3| to_level.project(x as f64 + 0.5, y as f64 + 0.5);
    match field {
        GroundField::Even(value) => *value,
        GroundField::Around { to_level, centre, lift_squared, ramp } => {
            let distance = on_level(to_level).map_or(f64::INFINITY, |(right, away)| {
                ((right - centre[0]).powi(2) + (away - centre[1]).powi(2) + lift_squared).sqrt()
            });
            ramp.at(distance)
        }
        GroundField::Depth { to_level, depth, ramp } => {
            let distance = on_level(to_level)
                .map_or(f64::INFINITY, |(right, away)| Vec3(*depth).dot(Vec3::new(right, away, 1.0)));
            ramp.at(distance)
        }
    }
}

/// Of a piece. Points of light are many times brighter than what is beside them, so that a filter's lobes would show as ghosts around
/// them: what shone on black goes by one that has none.
pub(crate) const fn filter_of(mixing: Mixing, resampling: Resampling) -> Filter {
    match mixing {
        Mixing::Over => filter(resampling),
        Mixing::Add => Filter::Spline,
    }
}

pub(crate) const fn filter(resampling: Resampling) -> Filter {
    match resampling {
        Resampling::Sensor => Filter::Sensor { own: 1.0 },
        Resampling::Lanczos3 => Filter::Lanczos3,
    }
}

pub(crate) fn spread(disc: f64, aperture: Aperture) -> aperture::Spread {
    aperture::spread(disc, shape(aperture))
}

pub(crate) fn shape(aperture: Aperture) -> Shape {
    match aperture {
        Aperture::Disc => Shape::Disc,
        Aperture::Blades(blades) => Shape::Blades {
            count: u32::from(blades.count()),
            turn: blades.turn().get().to_radians(),
            roundness: blades.roundness(),
        },
    }
}
