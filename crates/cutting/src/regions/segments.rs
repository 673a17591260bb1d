//! Which cells are the thing: the cheapest cut between what strokes say (Boykov and Jolly, "Interactive graph cuts for optimal
//! boundary and region segmentation of objects in N-D images", 2001), with colour models that are learnt from the strokes and
//! then from the cut itself (Rother, Kolmogorov and Blake 2004), and with the way from a cell to the strokes along which
//! colours change least (Price, Morse and Cohen, "Geodesic graph cut for interactive image segmentation", 2010).

use super::colours::Mixtures;
use super::flow::Flow;
use super::grid::{AFTER, Grid};
use super::ways;
use pixels::{Budget, OverBudget};

/// What strokes say of a cell.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Word {
    #[default]
    Nothing,
    Inside,
    Outside,
    Between,
}

/// Times that the coarse grid is cut, colours learnt anew before each but the first; and what a cell under a stroke then weighs
/// beside any other. These and the weights below by measurement.
const ROUNDS: usize = 3;
const SAID: f64 = 4.0;
/// What colours weigh, up to which logarithm, and what the way to the strokes does, beside [`BOND`](super::grid::BOND).
const COLOUR: f64 = 8.0;
const MOST: f64 = 4.0;
const WAY: f64 = 20.0;
/// On the finer grid: how far from the border cells are open, and how far those are whose colour speaks against where they are.
const OPEN: u32 = 4;
const ODD: u32 = 20;
/// From which logarithm on a colour speaks.
const SPEAKS: f32 = 1.5;

/// More than any sum of costs.
const SURE: i32 = 1 << 28;

/// Which cells are the thing, from nothing but the words: on the coarse grid. And the colours that were learnt.
pub(super) fn coarse(
    grid: &Grid,
    words: &[Word],
    budget: &Budget,
) -> Result<(Vec<bool>, Mixtures), OverBudget> {
    let is = |w: Word| move |i: usize| f64::from(u8::from(words[i] == w));
    let weights = (grid.palette.weights(is(Word::Inside)), grid.palette.weights(is(Word::Outside)));
    let mut mixtures = Mixtures::fit(&grid.palette, &weights.0, &weights.1);
    let mut leans = spread(grid, &mixtures);
    let near = ways::nearer(grid, words, &leans);
    let mut is_thing = Vec::new();
    for round in 0..ROUNDS {
        is_thing = cut(grid, words, |_| None, &leans, &near, budget)?;
        connect(grid, words, &mut is_thing, &leans);
        if round + 1 < ROUNDS {
            let weight = |thing: bool| {
                let word = if thing { Word::Inside } else { Word::Outside };
                let is_thing = &is_thing;
                move |i: usize| match words[i] {
                    w if w == word => SAID,
                    Word::Nothing if is_thing[i] == thing => 1.0,
                    _ => 0.0,
                }
            };
            let weights = (grid.palette.weights(weight(true)), grid.palette.weights(weight(false)));
            mixtures = Mixtures::fit(&grid.palette, &weights.0, &weights.1);
            leans = spread(grid, &mixtures);
        }
    }
    Ok((is_thing, mixtures))
}

/// For every cell what its colour says.
fn spread(grid: &Grid, mixtures: &Mixtures) -> Vec<f32> {
    let leans = mixtures.leans(&grid.palette);
    grid.palette.of.iter().map(|n| leans[*n as usize] as f32).collect()
}

/// The same from what was found on a grid half as fine: only cells near its border, and those whose colour speaks against it, are open.
pub(super) fn finer(
    grid: &Grid,
    (coarse, found): (&Grid, &[bool]),
    words: &[Word],
    mixtures: &Mixtures,
    budget: &Budget,
) -> Result<Vec<bool>, OverBudget> {
    let below = |i: usize| {
        let (x, y) = (i % grid.width, i / grid.width);
        (y / 2).min(coarse.height - 1) * coarse.width + (x / 2).min(coarse.width - 1)
    };
    let border = ways::from_border(coarse, found);
    let leans = spread(grid, mixtures);
    let fixed = |i: usize| {
        let b = below(i);
        let against = if found[b] { leans[i] < -SPEAKS } else { leans[i] > SPEAKS };
        let open = border[b] <= OPEN || (against && border[b] <= ODD);
        (!open).then_some(found[b])
    };
    let none = vec![0.0; grid.len()];
    let mut is_thing = cut(grid, words, fixed, &leans, &none, budget)?;
    connect(grid, words, &mut is_thing, &leans);
    Ok(is_thing)
}

/// The cheapest cut. Cells that are `fixed` are not asked.
fn cut(
    grid: &Grid,
    words: &[Word],
    fixed: impl Fn(usize) -> Option<bool>,
    leans: &[f32],
    near: &[f32],
    budget: &Budget,
) -> Result<Vec<bool>, OverBudget> {
    let _room = budget.take(grid.len() as u64 * Flow::EACH)?;
    let mut flow = Flow::new(grid.width, grid.height);
    let fixed: Vec<Option<bool>> = (0..grid.len()).map(fixed).collect();
    for i in 0..grid.len() {
        let (x, y) = (i % grid.width, i / grid.width);
        if fixed[i].is_none() {
            let lean = COLOUR * f64::from(leans[i]).clamp(-MOST, MOST) + WAY * f64::from(near[i]);
            flow.lean(
                x,
                y,
                match words[i] {
                    Word::Inside => SURE,
                    Word::Outside => -SURE,
                    _ => lean.round() as i32,
                },
            );
        }
        for way in AFTER {
            let Some(j) = grid.near(i, way) else { continue };
            let cost = grid.bonds[i][way - AFTER.start].round() as i32;
            match (fixed[i], fixed[j]) {
                (None, None) => flow.bind(x, y, way, cost),
                (None, Some(thing)) => flow.lean(x, y, if thing { cost } else { -cost }),
                (Some(thing), None) => {
                    flow.lean(j % grid.width, j / grid.width, if thing { cost } else { -cost })
                }
                _ => {}
            }
        }
    }
    let cut = flow.cut();
    Ok(cut.into_iter().zip(fixed).map(|(is, fixed)| fixed.unwrap_or(is)).collect())
}

/// Cells of a hole that is filled whatever its colour, as a share of the frame; and the logarithm up to which others stay holes.
const SPECK: f64 = 2e-4;
const HOLE: f64 = -2.5;

/// What does not hang together with a stroke inside is not the thing; a hole in it is one where its colour says so.
fn connect(grid: &Grid, words: &[Word], is_thing: &mut [bool], leans: &[f32]) {
    for (parts, thing) in
        [(ways::parts(grid, is_thing, true), true), (ways::parts(grid, is_thing, false), false)]
    {
        for part in parts {
            let has = |w: Word| part.iter().any(|i| words[*i as usize] == w);
            let turn = if thing {
                !has(Word::Inside)
            } else {
                let at_rim = part.iter().any(|i| {
                    let (x, y) = (*i as usize % grid.width, *i as usize / grid.width);
                    x == 0 || y == 0 || x + 1 == grid.width || y + 1 == grid.height
                });
                let lean = part.iter().map(|i| f64::from(leans[*i as usize]).clamp(-MOST, MOST)).sum::<f64>();
                let small = (part.len() as f64) < SPECK * grid.len() as f64;
                !has(Word::Outside) && !at_rim && (small || lean / part.len() as f64 > HOLE)
            };
            if turn {
                part.iter().for_each(|i| is_thing[*i as usize] = !thing);
            }
        }
    }
}
