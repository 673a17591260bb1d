//! Coverage from pairs of sure colours: for each unknown pixel the colours of the thing and of what is behind it that are seen
//! first along a few rays, the best pair of them, then the best of the neighbours' pairs (Gastal and Oliveira, "Shared sampling
//! for real-time alpha matting", 2010, sections 4.2 and 4.3).

use super::band::Band;
use super::trimap::{Sure, Trimap};
use pixels::{Image, Rgb};
use units::math;

/// What the colours around a pixel say of it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Found {
    /// Coverage.
    pub(super) coverage: f64,
    /// How well its colour is mixed from the pair, and how far apart the pair is: 0 to 1.
    pub(super) trust: f64,
}

/// A sure colour, and how even its neighbourhood is: the mean squared distance of the colours there from it.
#[derive(Clone, Copy)]
struct Sample {
    colour: [f32; 3],
    spread: f32,
}

#[derive(Clone, Copy)]
struct Pair {
    thing: Sample,
    behind: Sample,
}

const RAYS: usize = 4;
/// How far away neighbours' pairs are looked at.
const SHARING: i64 = 5;
/// Neighbours' pairs that are averaged.
const SHARED: usize = 3;

/// For every pixel of the band.
pub(super) fn found(colours: &Image<Rgb>, trimap: &Trimap, band: &Band) -> Vec<Found> {
    let pairs: Vec<Option<Pair>> = band.spread(|(x, y)| gathered(colours, trimap, x, y));
    band.spread(|(x, y)| refined(colours, band, &pairs, x, y))
}

/// The best pair along the rays.
fn gathered(colours: &Image<Rgb>, trimap: &Trimap, x: i64, y: i64) -> Option<Pair> {
    // Neighbours look in other directions, so that together they look in many.
    let turn = (x.rem_euclid(3) + 3 * y.rem_euclid(3)) as f64 / 9.0;
    let mut things = Vec::with_capacity(RAYS);
    let mut behinds = Vec::with_capacity(RAYS);
    for k in 0..RAYS {
        let angle = std::f64::consts::TAU * (k as f64 + turn) / RAYS as f64;
        look(colours, trimap, (x, y), (math::cos(angle), math::sin(angle)), &mut things, &mut behinds);
    }
    let least = |v: &[Seen], f: fn(&Seen) -> f64| v.iter().map(f).fold(f64::INFINITY, f64::min);
    let (path_thing, path_behind) = (least(&things, |s| s.path), least(&behinds, |s| s.path));
    // Whether the way to the thing is the smoother one.
    let likely = path_behind / (path_thing + path_behind).max(1e-12);
    let near_thing = least(&things, |s| s.distance).max(1e-9);
    let near_behind = least(&behinds, |s| s.distance).max(1e-9);
    let mut best = (f64::INFINITY, None);
    for thing in &things {
        for behind in &behinds {
            let (f, b) = (thing.sample.colour, behind.sample.colour);
            let a = coverage(colours.at(x, y).0, f, b);
            let mut miss = 0.0;
            for dy in -1..=1 {
                for dx in -1..=1 {
                    miss += squared_miss(colours.at_clamped(x + dx, y + dy).0, f, b);
                }
            }
            let agrees = likely + (1.0 - 2.0 * likely) * a;
            let cost = miss.powi(3)
                * agrees.powi(2)
                * (thing.distance / near_thing)
                * (behind.distance / near_behind).powi(4);
            if cost < best.0 {
                best = (cost, Some(Pair { thing: thing.sample, behind: behind.sample }));
            }
        }
    }
    best.1
}

/// A sample that was seen from a pixel.
struct Seen {
    sample: Sample,
    distance: f64,
    /// Squared change of colour along the way.
    path: f64,
}

/// Rays step from pixel to pixel up to so many pixels away, then farther each time, in proportion to the distance.
const FINE: f64 = 32.0;

/// Along a ray: the first sure colour of the thing, and the first of what is behind.
fn look(
    colours: &Image<Rgb>,
    trimap: &Trimap,
    (x, y): (i64, i64),
    (dx, dy): (f64, f64),
    things: &mut Vec<Seen>,
    behinds: &mut Vec<Seen>,
) {
    let place = colours.place();
    let (mut thing, mut behind) = (None, None);
    let mut path = 0.0;
    let mut last = colours.at(x, y).0;
    let mut distance = 0.0;
    loop {
        distance += (distance / FINE).max(1.0);
        let at = ((x as f64 + dx * distance).round() as i64, (y as f64 + dy * distance).round() as i64);
        if !place.contains(at.0, at.1) || (thing.is_some() && behind.is_some()) {
            break;
        }
        let here = colours.at(at.0, at.1).0;
        path += squared(here, last);
        last = here;
        let sure = trimap.at(at.0, at.1);
        let slot = match sure {
            Sure::Inside => &mut thing,
            Sure::Outside => &mut behind,
            Sure::Between => continue,
        };
        if slot.is_none() {
            let sample = Sample { colour: here, spread: spread(colours, trimap, at, sure) };
            *slot = Some(Seen { sample, distance, path });
        }
    }
    things.extend(thing);
    behinds.extend(behind);
}

/// Mean squared distance of the colours within two pixels that are as sure.
fn spread(colours: &Image<Rgb>, trimap: &Trimap, (x, y): (i64, i64), sure: Sure) -> f32 {
    let centre = colours.at(x, y).0;
    let (mut sum, mut count) = (0.0, 0.0);
    for v in y - 2..=y + 2 {
        for u in x - 2..=x + 2 {
            if colours.place().contains(u, v) && trimap.at(u, v) == sure {
                sum += squared(colours.at(u, v).0, centre);
                count += 1.0;
            }
        }
    }
    (sum / count) as f32
}

/// The best of the neighbours' pairs, averaged.
fn refined(colours: &Image<Rgb>, band: &Band, pairs: &[Option<Pair>], x: i64, y: i64) -> Found {
    let own = colours.at(x, y).0;
    let mut best: Vec<(f64, Pair)> = Vec::with_capacity(SHARED + 1);
    for v in y - SHARING..=y + SHARING {
        for u in x - SHARING..=x + SHARING {
            let Some(pair) = band.number(u, v).and_then(|n| pairs[n]) else { continue };
            let miss = squared_miss(own, pair.thing.colour, pair.behind.colour);
            let at = best.partition_point(|(m, _)| *m <= miss);
            if at < SHARED {
                best.insert(at, (miss, pair));
                best.truncate(SHARED);
            }
        }
    }
    if best.is_empty() {
        return Found::default();
    }
    let n = best.len() as f32;
    let mean = |pick: fn(&Pair) -> Sample| {
        let mut sum = Sample { colour: [0.0; 3], spread: 0.0 };
        for (_, pair) in &best {
            let s = pick(pair);
            (0..3).for_each(|c| sum.colour[c] += s.colour[c] / n);
            sum.spread += s.spread / n;
        }
        sum
    };
    let (thing, behind) = (mean(|p| p.thing), mean(|p| p.behind));
    let miss = squared_miss(own, thing.colour, behind.colour);
    let apart = squared(thing.colour, behind.colour);
    Found {
        coverage: coverage(own, thing.colour, behind.colour),
        trust: math::exp(-miss / (2.0 * MISS * MISS)) * (apart / APART).min(1.0),
    }
}

/// Standard deviation of what a good pair misses a colour by, and the squared distance of a pair that is far enough apart; both of
/// encoded colours, whose white is 1.
const MISS: f64 = 0.02;
const APART: f64 = 0.1;

/// Share of `thing` in the mixture with `behind` that comes nearest to a colour.
fn coverage(own: [f32; 3], thing: [f32; 3], behind: [f32; 3]) -> f64 {
    let dot = |a: [f32; 3], b: [f32; 3]| (0..3).map(|c| f64::from(a[c]) * f64::from(b[c])).sum::<f64>();
    let less = |a: [f32; 3], b: [f32; 3]| [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    let way = less(thing, behind);
    let length = dot(way, way);
    if length < 1e-12 { 0.5 } else { (dot(less(own, behind), way) / length).clamp(0.0, 1.0) }
}

/// Squared distance of a colour from that mixture.
fn squared_miss(own: [f32; 3], thing: [f32; 3], behind: [f32; 3]) -> f64 {
    let a = coverage(own, thing, behind) as f32;
    squared(own, [0, 1, 2].map(|c| behind[c] + a * (thing[c] - behind[c])))
}

fn squared(a: [f32; 3], b: [f32; 3]) -> f64 {
    (0..3).map(|c| f64::from(a[c] - b[c]).powi(2)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use pixels::{Budget, Coverage};
    use units::PxRect;

    #[test]
    fn a_mixture_of_two_sure_colours_is_taken_apart() {
        let budget = Budget::of_bytes(1 << 22);
        let place = PxRect::new(0, 0, 31, 9);
        let level = |x: i64| match x {
            ..8 => 0.0,
            23.. => 1.0,
            x => (x - 7) as f32 / 16.0,
        };
        let colours = Image::from_fn(place, &budget, |x, _| {
            let a = level(x);
            Rgb([a * 0.9, 0.4, (1.0 - a) * 0.8])
        });
        let grey = Image::from_fn(place, &budget, |x, _| {
            Coverage(if level(x) % 1.0 == 0.0 { level(x) } else { 0.5 })
        });
        let (colours, trimap) = (colours.unwrap(), Trimap::of_grey(&grey.unwrap()));
        let band = Band::of(&trimap);
        for ((x, _), found) in band.pixels().zip(found(&colours, &trimap, &band)) {
            assert!(
                (found.coverage - f64::from(level(x))).abs() < 1e-5 && found.trust > 0.9,
                "{x} {found:?}"
            );
        }
    }
}
