//! Gaps of the thing that paper shows through.

use super::cells::{Cells, Patch};
use super::field::field;
use super::seen::Seen;
use super::small::{Difference, apart, brightness};
use pixels::{Budget, OverBudget};
use rayon::prelude::*;

/// How near to the paper's colour a gap is, in shares of evened light and in times of the noise.
const NEAR: f32 = 0.03;
const NEAR_NOISE: f32 = 5.0;
/// Where something solid is all around it: how near; and how much darker and brighter it may be.
const EXACT: f32 = 0.006;
const DARKER: f32 = 0.06;
const BRIGHTER: f32 = 0.02;
/// How much more uneven than the paper, but for a slope.
const UNEVEN: (f32, f32) = (1.7, 0.004);
/// Where what is around is of another tint than the paper by so much, a gap may be darker, brighter, and tinted itself, by shadow and stray
/// light.
const DISTINCT: f32 = 0.06;
const SHADED: f32 = 0.55;
const LIT: f32 = 0.08;
const SHADED_TINT: f32 = 0.04;
const HALF_SHADED: f32 = 0.25;
/// A shadow that the thing stands in grows out of the paper over more cells than an edge is wide: what share of its change over the
/// wider of two stretches the narrower one has at most, and how many cells they reach to each side. It is darker than the paper beside it,
/// and no rougher than its noise times this: hair is.
const SOFT: f32 = 0.45;
const STRETCHES: (isize, isize) = (2, 6);
const CAST: f32 = -0.05;
const ROUGH: f32 = 1.25;
/// Times that shadows are opened: the next part is found from the paper that the last one became.
const SHADES: usize = 6;
/// Share of its border, at most, that is paper.
const CLOSED: f32 = 0.02;
/// By how much colours change there, in shares of evened light, from a cell to those beyond.
const EVEN: f32 = 0.025;
/// What lies within the thing, has the paper's tint and differs from its brightness by less is told of.
const ALIKE: f32 = 0.1;
/// What is farther from paper is solid, and what share of a gap's border it makes up where the gap counts as within it.
const SOLID: u32 = 10;
const WITHIN: f32 = 0.6;
/// Cells beyond a gap's border where nothing of it is mixed in.
const BEYOND: isize = 3;
const WELL_BEYOND: isize = 9;
/// Below such a share of the paper's brightness tint is all noise.
const DIMMEST: f32 = 0.05;
/// How near to the paper's colour, in shares of evened light and in times of the noise, single cells of a narrow gap are; how many around one are as near; and how
/// many make a gap.
const ALONE_NEAR: f32 = 0.045;
const ALONE_NOISE: f32 = 4.0;
const COMPANY: usize = 2;
const NARROWEST: f32 = 5.0;
/// Times that the paper's colour is carried into gaps.
const TURNS: usize = 2;

/// Whether a cell may be paper, by its colour.
pub(super) fn is_like(seen: &Seen, i: usize) -> bool {
    !seen.near_away(i).exceeds(seen.noise[i], NEAR_NOISE / 3.0, NEAR)
        && !seen.away(i).exceeds(seen.noise[i], NEAR_NOISE, NEAR)
}

/// The same of a single cell, whose neighbours may be the thing's.
fn is_like_alone(seen: &Seen, i: usize) -> bool {
    !seen.away(i).exceeds(seen.noise[i], ALONE_NOISE, ALONE_NEAR)
}

/// Whether a cell may be paper that lies in another light than the paper around the thing: deep shadow only where it is even.
fn is_shaded(seen: &Seen, i: usize) -> bool {
    let (own, paper) = (seen.near[i], seen.colour[i]);
    let share = brightness(own) / brightness(paper).max(1e-6);
    let tint = apart(own.map(|v| v / share.max(DIMMEST)), paper);
    let noise = NEAR_NOISE / 3.0 * seen.noise[i].tint / share.max(DIMMEST);
    (1.0 - SHADED..1.0 + LIT).contains(&share)
        && tint < (SHADED_TINT * seen.times()).max(noise)
        && (share > 1.0 - HALF_SHADED || is_even(seen, i))
}

/// Whether colours hardly change within a few cells, as on paper in a soft shadow.
fn is_even(seen: &Seen, i: usize) -> bool {
    beyond(seen.grid, i, BEYOND)
        .all(|j| !Difference::of(seen.near[j], seen.near[i]).exceeds(seen.noise[i], NEAR_NOISE / 3.0, EVEN))
}

/// A kind of gap: which cells may be its, how they hang together, and which patches of them, of so many cells, are.
#[derive(Clone, Copy)]
struct Kind {
    like: fn(&Seen, usize) -> bool,
    hang: Hang,
    opens: fn(&Sum, f32) -> bool,
}

#[derive(Clone, Copy)]
enum Hang {
    /// Three by three at least.
    Widely,
    /// As single cells, each with others beside it.
    Narrowly,
}

const ALIKES: Kind = Kind { like: is_like, hang: Hang::Widely, opens: Sum::is_paper };
const SHADOWS: Kind = Kind { like: is_shaded, hang: Hang::Widely, opens: Sum::is_shadow };
/// Too narrow for means of three by three, as between stalks.
const SLITS: Kind = Kind { like: is_like_alone, hang: Hang::Narrowly, opens: Sum::is_slit };

/// Opens gaps: they become paper, and the paper's colour is carried into them. Back comes what was taken for the thing's own.
///
/// # Errors
/// Where the budget does not hold the paper's colour.
pub(super) fn open(seen: &mut Seen, paper: &mut [bool], budget: &Budget) -> Result<Vec<Patch>, OverBudget> {
    let reached = paper.to_vec();
    let mut kept = open_alike(seen, paper, &reached, budget)?;
    for _ in 0..SHADES {
        let (opened, shaded) = turn(seen, (paper, &reached), SHADOWS, budget)?;
        if !opened {
            kept.extend(shaded);
            break;
        }
        kept = open_alike(seen, paper, &reached, budget)?;
    }
    turn(seen, (paper, &reached), SLITS, budget)?;
    let is_told = |(s, p): &(Sum, Patch)| s.is_within() && s.light(p.count as f32).abs() < ALIKE;
    Ok(kept.into_iter().filter(is_told).map(|(_, patch)| patch).collect())
}

/// Opens gaps that are like the paper around them; its colour, carried into them, may find more. Back comes what stays closed.
fn open_alike(
    seen: &mut Seen,
    paper: &mut [bool],
    reached: &[bool],
    budget: &Budget,
) -> Result<Vec<(Sum, Patch)>, OverBudget> {
    let mut kept = Vec::new();
    for _ in 0..TURNS {
        let (opened, others) = turn(seen, (paper, reached), ALIKES, budget)?;
        kept = others;
        if !opened {
            break;
        }
    }
    Ok(kept)
}

/// Opens gaps of a kind. Whether there were any, and all others.
fn turn(
    seen: &mut Seen,
    (paper, reached): (&mut [bool], &[bool]),
    Kind { like, hang, opens }: Kind,
    budget: &Budget,
) -> Result<(bool, Vec<(Sum, Patch)>), OverBudget> {
    let grid = seen.grid;
    let cells = || (0..grid.count()).into_par_iter();
    let like: Vec<bool> = cells().map(|i| !paper[i] && like(seen, i)).collect();
    let is_gap: Vec<bool> = match hang {
        Hang::Widely => {
            let whole: Vec<bool> =
                cells().map(|i| like[i] && grid.around(i).all(|j| like[j] || paper[j])).collect();
            cells().map(|i| like[i] && (whole[i] || grid.around(i).any(|j| whole[j]))).collect()
        }
        Hang::Narrowly => {
            let company = |i: usize| grid.around(i).filter(|j| like[*j]).count();
            cells().map(|i| like[i] && company(i) >= COMPANY).collect()
        }
    };
    let (numbers, patches) = grid.patches(|i| is_gap[i]);
    let sums = sums(seen, (paper, reached), &numbers, patches.len());
    let opened: Vec<bool> = sums.iter().zip(&patches).map(|(s, p)| opens(s, p.count as f32)).collect();
    let others =
        sums.into_iter().zip(patches).zip(&opened).filter(|(_, o)| !**o).map(|(both, _)| both).collect();
    let any = opened.contains(&true);
    if any {
        for (is, number) in paper.iter_mut().zip(&numbers) {
            *is |= *number > 0 && opened[*number as usize - 1];
        }
        let from_thing = grid.distances(|i| !paper[i]);
        seen.colour =
            field(grid, &seen.raw, |i| from_thing[i] > 2 || from_thing[i] > 0 && numbers[i] > 0, budget)?;
    }
    Ok((any, others))
}

/// What is gathered of a patch.
#[derive(Clone, Copy, Default)]
struct Sum {
    away: [f64; 3],
    slope: Slope,
    noise: Difference,
    /// Cells along its border, how many of them the paper reaches from the frame, are solid, are no paper, and the tint of the last.
    border: f32,
    open: f32,
    solid: f32,
    beside: f32,
    tints: f32,
    /// How much brightness changes across the border with paper, over the narrower stretch and the wider one.
    change: (f32, f32),
    /// How much single cells differ from the means around them.
    rough: f32,
    /// How many times tint counts.
    times: f32,
}

/// Of so many patches, by their cells' numbers.
fn sums(seen: &Seen, (paper, reached): (&[bool], &[bool]), numbers: &[u32], patches: usize) -> Vec<Sum> {
    let grid = seen.grid;
    let from_paper = grid.distances(|i| paper[i] || numbers[i] > 0);
    let to_solid = grid.distances(|i| from_paper[i] > SOLID);
    let mut sums = vec![Sum { times: seen.times(), ..Sum::default() }; patches];
    for i in 0..numbers.len() {
        let Some(n) = (numbers[i] as usize).checked_sub(1) else { continue };
        let sum = &mut sums[n];
        let away: [f32; 3] = std::array::from_fn(|c| seen.raw[i][c] - seen.colour[i][c]);
        (0..3).for_each(|c| sum.away[c] += f64::from(away[c]));
        let (x, y) = grid.at(i);
        sum.slope.add(x as f64, y as f64, f64::from(brightness(away)));
        sum.rough += Difference::of(seen.raw[i], seen.near[i]).light;
        sum.noise.light += seen.noise[i].light;
        sum.noise.tint += seen.noise[i].tint;
        for j in grid.beside(i).filter(|j| numbers[*j] == 0) {
            sum.border += 1.0;
            sum.open += f32::from(u8::from(reached[j]));
            if reached[j] {
                sum.change.0 += change(seen, (i, j), STRETCHES.0);
                sum.change.1 += change(seen, (i, j), STRETCHES.1);
            }
            if !paper[j] {
                sum.beside += 1.0;
                sum.tints += tint_beyond(grid, seen, j);
            }
            let is_solid = !paper[j] && (to_solid[j] <= SOLID + 2 || is_faint(grid, seen, j));
            sum.solid += f32::from(u8::from(is_solid));
        }
    }
    sums
}

impl Sum {
    fn mean(&self, count: f32) -> [f32; 3] {
        self.away.map(|v| v as f32 / count)
    }

    /// How much brighter than the paper around it.
    fn light(&self, count: f32) -> f32 {
        brightness(self.mean(count))
    }

    fn tint(&self, count: f32) -> f32 {
        apart(self.mean(count), [self.light(count); 3])
    }

    /// Whether something solid is all around it.
    fn is_within(&self) -> bool {
        self.solid >= WITHIN * self.border
    }

    /// Whether it is apart from paper: what reaches that, and is darker, is hair as well.
    fn is_closed(&self) -> bool {
        self.open <= CLOSED * self.border
    }

    /// Whether what is around it is of another tint than paper.
    fn is_apart(&self) -> bool {
        self.tints > DISTINCT * self.times * self.beside
    }

    /// Whether it is paper in a shadow: one that ends within the thing, or that the thing stands in.
    fn is_shadow(&self, count: f32) -> bool {
        let is_cast = self.light(count) < CAST && self.rough < ROUGH * self.noise.light && self.is_soft();
        self.is_shade(count) && self.is_apart() && (is_cast || self.is_closed())
    }

    /// Whether it grows out of the paper slowly, as a shadow does.
    fn is_soft(&self) -> bool {
        self.change.0 < SOFT * self.change.1
    }

    /// Whether it may be paper in another light.
    fn is_shade(&self, count: f32) -> bool {
        let light = self.light(count);
        self.tint(count) < SHADED_TINT * self.times * (1.0 + light).max(DIMMEST)
            && (-SHADED..LIT).contains(&light)
    }

    /// Whether it is a narrow gap: only where what is around it is not to be taken for paper.
    fn is_slit(&self, count: f32) -> bool {
        count >= NARROWEST && self.is_apart() && self.is_paper(count)
    }

    /// Whether it is paper, of a patch of cells that are like it.
    fn is_paper(&self, count: f32) -> bool {
        if !self.is_within() {
            return true;
        }
        if self.is_apart() {
            return self.is_shade(count);
        }
        let light = self.light(count);
        let spread = self.slope.misses() as f32;
        let noise = Difference { light: self.noise.light / count, tint: self.noise.tint / count };
        let exact = |noise: f32| EXACT + 2.0 * noise / count.sqrt();
        self.tint(count) < exact(noise.tint)
            && (-DARKER..BRIGHTER + exact(noise.light)).contains(&light)
            && spread < UNEVEN.0 * noise.light + UNEVEN.1
    }
}

/// Moments of a brightness over columns and rows.
#[derive(Clone, Copy, Default)]
struct Slope {
    count: f64,
    x: f64,
    y: f64,
    z: f64,
    xx: f64,
    xy: f64,
    yy: f64,
    xz: f64,
    yz: f64,
    zz: f64,
}

impl Slope {
    fn add(&mut self, x: f64, y: f64, z: f64) {
        self.count += 1.0;
        (self.x, self.y, self.z) = (self.x + x, self.y + y, self.z + z);
        (self.xx, self.xy, self.yy) = (self.xx + x * x, self.xy + x * y, self.yy + y * y);
        (self.xz, self.yz, self.zz) = (self.xz + x * z, self.yz + y * z, self.zz + z * z);
    }

    /// Standard deviation from the plane that fits best: how unevenly it is shaded, but for a slope.
    fn misses(&self) -> f64 {
        let n = self.count.max(1.0);
        let about = |ab: f64, a: f64, b: f64| ab / n - a / n * (b / n);
        let (xx, xy, yy) =
            (about(self.xx, self.x, self.x), about(self.xy, self.x, self.y), about(self.yy, self.y, self.y));
        let (xz, yz, zz) =
            (about(self.xz, self.x, self.z), about(self.yz, self.y, self.z), about(self.zz, self.z, self.z));
        let size = xx * yy - xy * xy;
        let told = if size > 1e-6 { (xz * xz * yy - 2.0 * xz * yz * xy + yz * yz * xx) / size } else { 0.0 };
        (zz - told).max(0.0).sqrt()
    }
}

/// How much the share of the paper's brightness changes across a patch's border, from so many cells within it to as many beyond.
fn change(seen: &Seen, (within, without): (usize, usize), away: isize) -> f32 {
    let grid = seen.grid;
    let ((x, y), (u, v)) = (grid.at(within), grid.at(without));
    let (dx, dy) = (u as isize - x as isize, v as isize - y as isize);
    let share = |(x, y): (usize, usize), away: isize| {
        let to = |v: usize, by: isize, count: usize| v.saturating_add_signed(by * away).min(count - 1);
        let i = to(y, dy, grid.height) * grid.width + to(x, dx, grid.width);
        brightness(seen.near[i]) / brightness(seen.colour[i]).max(1e-6)
    };
    (share((u, v), away) - share((x, y), -away)).abs()
}

/// Cells beyond a cell, to all sides.
fn beyond(grid: Cells, i: usize, far: isize) -> impl Iterator<Item = usize> {
    let (x, y) = grid.at(i);
    let steps = [(-far, 0), (far, 0), (0, -far), (0, far)];
    let there = steps.map(|(dx, dy)| (x.checked_add_signed(dx), y.checked_add_signed(dy)));
    there.into_iter().filter_map(move |at| match at {
        (Some(u), Some(v)) if u < grid.width && v < grid.height => Some(v * grid.width + u),
        _ => None,
    })
}

/// Whether nothing beyond a cell differs much from paper: a light thing's own unevenness.
fn is_faint(grid: Cells, seen: &Seen, i: usize) -> bool {
    beyond(grid, i, BEYOND).all(|j| !seen.near_away(j).exceeds(seen.noise[j], NEAR_NOISE / 3.0, ALIKE))
}

/// How much the tint beyond a cell differs from the paper's at most.
fn tint_beyond(grid: Cells, seen: &Seen, i: usize) -> f32 {
    let paper = seen.colour[i];
    let of = |j: usize| {
        let own = seen.near[j];
        let share = brightness(own) / brightness(paper).max(1e-6);
        let tint = apart(own.map(|v| v / share), paper);
        if share > DIMMEST { tint - NEAR_NOISE / 3.0 * seen.noise[i].tint / share } else { 0.0 }
    };
    beyond(grid, i, WELL_BEYOND).map(of).fold(0.0, f32::max)
}
