//! Where the edge of a piece can be seen in the picture, and how much: where care in cutting it out is well spent.
//!
//! What is nearer, behind, and the piece's own colour are drawn by the renderer itself, from layouts that hold just that; see docs/model.md,
//! Edges.

use crate::plain::masked;
use crate::{Error, Job};
use pixels::{Coverage, Image, Rgb, Rgba};
use staging::layout::{Drawn, Ground, Layout, Mixing};
use std::collections::BTreeMap;
use units::{PxRect, Vec3, math};

/// Change of coverage from pixel to pixel from which on there is an edge.
const EDGE: f32 = 0.02;
/// How wide an error of a matte is, in pixels of the shot.
const ERROR: f64 = 2.0;
/// Stretches along the longer side of what is covered, and the least side of one in pixels of the shot.
const STRETCHES: usize = 40;
const LEAST: i64 = 16;
/// The eye's scale: light to one through this.
const EYE: f64 = 2.4;
/// Bytes kept for each pixel of the edge.
const EACH: u64 = 64;

/// A stretch of a piece's edge: what of it lies in one square of the shot.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stretch {
    /// Its middle in the shot, weighed by attention where there is any, in pixels of the shot.
    pub shot: (f64, f64),
    /// The same in the picture, in its pixels; it may lie outside.
    pub picture: (f64, f64),
    /// How long it is in the picture, in its pixels.
    pub length: f64,
    /// What share of it is not covered by what is nearer, and lies in the picture; 0 to 1.
    pub seen: f64,
    /// Diameter of its blur disc, in pixels of the picture.
    pub disc: f64,
    /// Pixels of the picture to one of the shot.
    pub size: f64,
    /// What defocus leaves of an error's steepness, 0 to 1.
    pub sharp: f64,
    /// How far it differs from what is behind it, on the eye's scale, 0 to 1.
    pub contrast: f64,
    /// How much of it can be seen: pixels of the picture's length of edge, times what is seen, sharp, and contrast.
    pub attention: f64,
}

/// The edge of a piece.
#[derive(Debug)]
pub struct Edges {
    /// Its stretches, those to be seen most first.
    pub stretches: Vec<Stretch>,
    /// For each pixel of the shot that is covered how much of its edge can be seen, the most being 1; where the cut-out stands.
    pub map: Image<Coverage>,
}

/// A pixel of the edge.
struct Spot {
    at: (i64, i64),
    cell: (i64, i64),
    picture: (f64, f64),
    /// Pixels of the picture to one of the shot.
    size: f64,
    /// Of the edge, in pixels of the picture.
    length: f64,
    coverage: f32,
    seen: f64,
    /// What is seen, sharp and contrast.
    share: f64,
    contrast: f64,
}

/// The edge of what these entries of the layout's pieces draw: one piece, once or more often. `None` where they draw nothing that covers.
///
/// # Errors
/// Where a photograph or the memory is missing, or it was called off.
pub fn edges(job: &Job<'_>, drawings: &[usize]) -> Result<Option<Edges>, Error> {
    let covers = |i: &&usize| job.layout.pieces.get(**i).is_some_and(|d| d.cut.mixing == Mixing::Over);
    let drawings: Vec<usize> = drawings.iter().filter(covers).copied().collect();
    let Some(first) = drawings.first().map(|i| &job.layout.pieces[*i]) else { return Ok(None) };
    let cut = job.sources.cut_out(first.cut, job.budget)?;
    let side = (cut.width().max(cut.height()) / STRETCHES).max(LEAST as usize) as i64;
    let count = spots(&cut).count();
    let _room = job.budget.take(count as u64 * EACH)?;
    let mut all: Vec<Spot> = spots(&cut).filter_map(|s| placed(s, first, side)).collect();
    for i in drawings {
        look(job, i, side, &mut all)?;
    }
    let most = all.iter().map(|s| s.share).fold(0.0, f64::max);
    let mut map = Image::<Coverage>::new(cut.place(), job.budget)?;
    if most > 0.0 {
        let x0 = map.place().x0();
        for s in &all {
            map.row_mut(s.at.1)[(s.at.0 - x0) as usize].0 = (s.share / most) as f32;
        }
    }
    let mut cells = BTreeMap::<(i64, i64), Vec<&Spot>>::new();
    all.iter().for_each(|s| cells.entry(s.cell).or_default().push(s));
    let disc = job.layout.resampling.drawn(first.disc);
    let mut stretches: Vec<Stretch> = cells.values().map(|spots| stretch(spots, disc)).collect();
    stretches.sort_by(|a, b| b.attention.total_cmp(&a.attention));
    Ok(Some(Edges { stretches, map }))
}

/// Place, steepness and coverage of each pixel where coverage changes.
fn spots(cut: &Image<Rgba>) -> impl Iterator<Item = ((i64, i64), f32, f32)> {
    let place = cut.place();
    let all = (place.y0()..place.y1()).flat_map(move |y| (place.x0()..place.x1()).map(move |x| (x, y)));
    all.filter_map(|(x, y)| {
        let a = |x: i64, y: i64| cut.at(x, y).0[3];
        let (gx, gy) = (a(x + 1, y) - a(x - 1, y), a(x, y + 1) - a(x, y - 1));
        let steep = 0.5 * (gx * gx + gy * gy).sqrt();
        (steep >= EDGE).then(|| ((x, y), steep, a(x, y)))
    })
}

/// Where the pixel shows in the picture, and how large. `None` behind the camera.
fn placed(((x, y), steep, coverage): ((i64, i64), f32, f32), drawn: &Drawn, side: i64) -> Option<Spot> {
    let back = drawn.to_shot.inverse()?;
    let (u, v) = (x as f64 + 0.5, y as f64 + 0.5);
    let (p, q, r) = (back.project(u, v)?, back.project(u + 1.0, v)?, back.project(u, v + 1.0)?);
    let size = ((q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0)).abs().sqrt();
    Some(Spot {
        at: (x, y),
        cell: (x.div_euclid(side), y.div_euclid(side)),
        picture: p,
        size,
        length: f64::from(steep) * size,
        coverage,
        seen: 0.0,
        share: 0.0,
        contrast: 0.0,
    })
}

/// What defocus and the pixel leave of the steepness of an error: it grows wide, and as much weaker.
fn sharp(size: f64, disc: f64) -> f64 {
    let wide = ERROR * size;
    wide * wide / (wide * wide + disc * disc + 1.0)
}

/// Adds to each pixel of the edge what can be seen of it where entry `i` draws it.
fn look(job: &Job<'_>, i: usize, side: i64, all: &mut [Spot]) -> Result<(), Error> {
    let layout = job.layout;
    let drawn = &layout.pieces[i];
    let within = |s: &&Spot| layout.size.rect().contains(pixel(s).0, pixel(s).1);
    let want = all.iter().filter(within).fold(PxRect::EMPTY, |all, s| {
        let (x, y) = pixel(s);
        all.union(PxRect::new(x, y, x + 1, y + 1))
    });
    if want.is_empty() {
        return Ok(());
    }
    let picture = |layout: &Layout| Job { layout, progress: &|_| (), ..*job }.picture(want);
    let free = picture(&dark(layout, &layout.pieces[i + 1..]))?;
    let own_free = picture(&dark(layout, std::slice::from_ref(drawn)))?;
    let own = picture(&alone(layout, drawn))?;
    let behind = picture(&until(layout, i))?;
    let mut colours = Colours { side, sums: BTreeMap::new() };
    for s in all.iter().filter(within) {
        let (x, y) = pixel(s);
        let sum = colours.sums.entry(s.cell).or_default();
        (0..3).for_each(|c| sum[c] += f64::from(own.at(x, y).0[c]));
        sum[3] += f64::from(1.0 - own_free.at(x, y).0[0]);
    }
    let disc = layout.resampling.drawn(drawn.disc);
    for s in all.iter_mut().filter(|s| within(&&**s)) {
        let (x, y) = pixel(s);
        let kept = drawn.masks.iter().fold(Rgba([1.0, 1.0, 1.0, s.coverage]), |p, m| masked(p, m, x, y));
        let seen = f64::from(kept.0[0] * free.at(x, y).0[0]).clamp(0.0, 1.0);
        let contrast = colours.around(s.at).map_or(0.0, |own| apart(own, behind.at(x, y)));
        s.seen = (s.seen + seen).min(1.0);
        s.contrast = s.contrast.max(contrast);
        s.share = (s.share + seen * sharp(s.size, disc) * contrast).min(1.0);
    }
    Ok(())
}

/// The piece's own colour along its edge: sums of colour and coverage, cell by cell.
struct Colours {
    side: i64,
    sums: BTreeMap<(i64, i64), [f64; 4]>,
}

impl Colours {
    /// Around a pixel of the shot: of the four cells nearest to it, the nearer the more.
    fn around(&self, at: (i64, i64)) -> Option<[f64; 3]> {
        let axis = |v: i64| {
            let t = (v as f64 + 0.5) / self.side as f64 - 0.5;
            (t.floor() as i64, t - t.floor())
        };
        let ((i, fx), (j, fy)) = (axis(at.0), axis(at.1));
        let mut sum = [0.0; 4];
        for (cell, w) in [
            ((i, j), (1.0 - fx) * (1.0 - fy)),
            ((i + 1, j), fx * (1.0 - fy)),
            ((i, j + 1), (1.0 - fx) * fy),
            ((i + 1, j + 1), fx * fy),
        ] {
            let Some(own) = self.sums.get(&cell) else { continue };
            (0..4).for_each(|c| sum[c] += w * own[c]);
        }
        let [r, g, b, covered] = sum;
        (covered > 0.0).then(|| [r, g, b].map(|v| v / covered))
    }
}

fn pixel(s: &Spot) -> (i64, i64) {
    (s.picture.0.floor() as i64, s.picture.1.floor() as i64)
}

/// The mean distance of two colours on the eye's scale.
fn apart(own: [f64; 3], behind: Rgb) -> f64 {
    let eye = |v: f64| math::pow(v.clamp(0.0, 1.0), 1.0 / EYE);
    let squares: f64 = (0..3).map(|c| (eye(own[c]) - eye(f64::from(behind.0[c]))).powi(2)).sum();
    (squares / 3.0).sqrt()
}

/// These pieces black before white: what is left white of it can be seen through them.
fn dark(layout: &Layout, pieces: &[Drawn]) -> Layout {
    let covering = pieces.iter().filter(|d| d.cut.mixing == Mixing::Over);
    let black = |d: &Drawn| Drawn { gain: Vec3::default(), veil: Vec3::default(), ..d.clone() };
    Layout { pieces: covering.map(black).collect(), ..bare(layout, Ground::Plain(Vec3::splat(1.0))) }
}

/// A piece alone, before black.
fn alone(layout: &Layout, drawn: &Drawn) -> Layout {
    Layout { pieces: vec![drawn.clone()], ..bare(layout, Ground::Plain(Vec3::default())) }
}

/// What is behind entry `i`.
fn until(layout: &Layout, i: usize) -> Layout {
    Layout {
        daylight: layout.daylight,
        pools: layout.pools.clone(),
        shadows: layout.shadows.clone(),
        pieces: layout.pieces[..i].to_vec(),
        ..bare(layout, layout.ground.clone())
    }
}

fn bare(layout: &Layout, ground: Ground) -> Layout {
    Layout {
        size: layout.size,
        primaries: layout.primaries,
        resampling: layout.resampling,
        ground,
        daylight: layout.daylight,
        pools: Vec::new(),
        shadows: Vec::new(),
        pieces: Vec::new(),
        fields: Vec::new(),
        toning: Vec::new(),
    }
}

fn stretch(spots: &[&Spot], disc: f64) -> Stretch {
    let sum = |f: &dyn Fn(&Spot) -> f64| spots.iter().map(|s| f(s)).sum::<f64>();
    let length = sum(&|s| s.length);
    let attention = sum(&|s| s.length * s.share);
    let mean = |f: &dyn Fn(&Spot) -> f64| sum(&|s| s.length * f(s)) / length.max(f64::MIN_POSITIVE);
    let middle = |f: &dyn Fn(&Spot) -> f64| {
        if attention > 0.0 { sum(&|s| s.length * s.share * f(s)) / attention } else { mean(f) }
    };
    let size = mean(&|s| s.size);
    Stretch {
        shot: (middle(&|s| s.at.0 as f64 + 0.5), middle(&|s| s.at.1 as f64 + 0.5)),
        picture: (middle(&|s| s.picture.0), middle(&|s| s.picture.1)),
        length,
        seen: mean(&|s| s.seen),
        disc,
        size,
        sharp: sharp(size, disc),
        contrast: mean(&|s| s.contrast),
        attention,
    }
}
