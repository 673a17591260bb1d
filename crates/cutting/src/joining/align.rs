//! Finding how another shot of the same sitting lies over the first, by what stayed where it was.
//!
//! Corners of grey are matched both ways, a likeness is found that most of the shot agrees on, and from small to full size windows around
//! those corners say where exactly they are; what moved is outvoted, plain paper has no say.

use super::alignment::Alignment;
use super::fit::{self, Fit, Frame};
use super::grey::{self, Grey};
use super::{consensus, corners, matches, windows};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use units::{Mat3, PxRect};

/// Longest side of the level that corners are matched on.
const SIDE: usize = 1600;
/// How far apart the same may lie in two shots, as a share of the longer side.
const REACH: f64 = 0.12;
/// Fewest corners and windows that are believed, and the largest spread of their misses in pixels.
const FEWEST: usize = 10;
const SPREAD: f64 = 1.5;
/// Rounds of looking at the windows on each level.
const ROUNDS: usize = 3;
/// How far windows are trusted that are not near what is asked for.
const FAR: f64 = 0.1;
/// Where this is of it is left out of what is asked.
const LEFT_OUT: f32 = 0.5;

/// What of the first shot has a say.
#[derive(Clone, Copy, Default)]
pub struct Asked<'a> {
    /// What is near here, and only where too little is, the whole shot.
    pub near: Option<PxRect>,
    /// Not what is here: what is known to have moved. Where it lies outside the image there is nothing.
    pub moved: Option<&'a Image<Coverage>>,
    /// What this covers, and only where that is too little, paper as well.
    pub thing: Option<&'a Image<Coverage>>,
}

/// How another shot lies over the first, and how sure that is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Aligned {
    /// From pixels of the first shot to the other's.
    pub alignment: Alignment,
    /// Corners that are in both shots.
    pub matched: usize,
    /// Of those, how many have a say: what stayed.
    pub kept: usize,
    /// By how much they miss along an axis, in pixels.
    pub spread_px: f64,
    /// Standard error of the mapping where it matters (the place asked for, or the whole shot), at its worst corner, in pixels.
    pub error_px: f64,
}

/// Too little was found that stayed where it was.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Astray {
    /// Corners that are in both shots.
    pub matched: usize,
    /// Of those, how many agree.
    pub agree: usize,
}

/// Finds how `other` lies over `first`, both in linear light.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn align(
    first: &Image<Rgb>,
    other: &Image<Rgb>,
    asked: Asked<'_>,
    budget: &Budget,
) -> Result<Result<Aligned, Astray>, OverBudget> {
    let levels = [grey::levels(first, SIDE, budget)?, grey::levels(other, SIDE, budget)?];
    let top = levels[0].len().min(levels[1].len()) - 1;
    let own = first.place();
    // A point of a level in the first shot's pixels.
    let here = |x: f64, y: f64| {
        let size = f64::from(1u32 << top);
        ((x * size) as i64 + own.x0(), (y * size) as i64 + own.y0())
    };
    let stayed = |x: i64, y: i64| asked.moved.is_none_or(|m| m.at(x, y).0 < LEFT_OUT);
    let of_thing = |x: i64, y: i64| asked.thing.is_none_or(|t| t.at(x, y).0 >= LEFT_OUT);
    let near = |x: i64, y: i64| asked.near.is_none_or(|n| n.contains(x, y));
    let [a, b] = [&levels[0][top], &levels[1][top]];
    let all = matched(a, b, |x, y| {
        let (x, y) = here(x as f64 + 0.5, y as f64 + 0.5);
        stayed(x, y)
    });
    let mut astray = Astray { matched: all.len(), agree: 0 };
    // From what says most of what is asked to what says most of all.
    let is_near = |p: &matches::Pair| {
        let (x, y) = here(p.0[0], p.0[1]);
        near(x, y)
    };
    let is_thing = |p: &matches::Pair| {
        let (x, y) = here(p.0[0], p.0[1]);
        of_thing(x, y)
    };
    for (near_alone, thing_alone) in [(true, true), (false, true), (true, false), (false, false)] {
        let asked_all: Vec<_> = all.iter().filter(|p| !thing_alone || is_thing(p)).copied().collect();
        let leading: Vec<_> = asked_all.iter().filter(|p| !near_alone || is_near(p)).copied().collect();
        if leading.len() < FEWEST {
            continue;
        }
        let Some(rough) = consensus::found(&leading, a.width.max(a.height) as f64) else { continue };
        let agree = leading.iter().filter(|p| consensus::agrees(&rough, p)).count();
        astray.agree = astray.agree.max(agree);
        if agree < FEWEST {
            continue;
        }
        // What agrees from farther off steadies the mapping.
        let trust = |p: &matches::Pair| if is_near(p) { 1.0 } else { FAR };
        let points: Vec<windows::Asked> = asked_all
            .iter()
            .filter(|p| consensus::agrees(&rough, p))
            .map(|p| windows::Asked { at: p.0, trust: trust(p) })
            .collect();
        let Some(fit) = refined(&levels, top, rough, &points) else { continue };
        if fit.kept() < FEWEST || fit.spread > SPREAD {
            continue;
        }
        let place = asked.near.map_or(own, |n| n.intersect(own)).shift(-own.x0(), -own.y0());
        let to_corner = Mat3::translation(-(own.x0() as f64), -(own.y0() as f64));
        let from_corner = Mat3::translation(other.place().x0() as f64, other.place().y0() as f64);
        let Some(alignment) = Alignment::found(from_corner * fit.mapping * to_corner) else { continue };
        return Ok(Ok(Aligned {
            alignment,
            matched: asked_all.len(),
            kept: fit.kept(),
            spread_px: fit.spread,
            error_px: fit.error(place),
        }));
    }
    Ok(Err(astray))
}

fn matched(a: &Grey, b: &Grey, counts: impl Fn(usize, usize) -> bool + Sync) -> Vec<matches::Pair> {
    let in_first = corners::corners(a, matches::HALF, counts);
    let in_other = corners::corners(b, matches::HALF, |_, _| true);
    let reach = (REACH * a.width.max(a.height) as f64) as usize;
    matches::matched((a, &in_first), (b, &in_other), reach)
}

/// Level by level: windows where the corners are, a fit to where they are found.
fn refined(levels: &[Vec<Grey>; 2], top: usize, rough: Mat3, points: &[windows::Asked]) -> Option<Fit> {
    let mut mapping = rough;
    let mut points = points.to_vec();
    let mut fit = None;
    for level in (0..=top).rev() {
        let (a, b) = (&levels[0][level], &levels[1][level]);
        let frame = Frame::of(a.width, a.height);
        // The small change is sought before one and the same mapping, so that what is held back does not add up.
        let size = f64::from(1u32 << (top - level));
        let base = Mat3::scaling(size, size) * rough * Mat3::scaling(1.0 / size, 1.0 / size);
        for _ in 0..ROUNDS {
            let found = windows::found(a, b, &mapping, &points);
            let next = fit::fitted(&found, &base, frame)?;
            mapping = next.mapping;
            fit = Some(next);
        }
        if level > 0 {
            mapping = Mat3::scaling(2.0, 2.0) * mapping * Mat3::scaling(0.5, 0.5);
            points.iter_mut().for_each(|p| p.at = p.at.map(|v| v * 2.0));
        }
    }
    fit
}
