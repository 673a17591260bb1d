//! Strokes that contradict what was found from the paper: where they do, regions are asked, and all else stays as it was found.

use super::{Said, Unsaid, laid};
use crate::matting::{Sure, Trimap};
use crate::pen::Stroke;
use pixels::{Budget, OverBudget};

/// How far beside a part that was wrong the uncertain band goes along with it, as a share of the frame's longest side (own choice,
/// no source).
const BESIDE: f64 = 1.0 / 50.0;
/// Share of the frame from which on what turns out not to be the thing, nor like the paper, was no paper's doing (own choice, no
/// source).
const NO_PAPER: f64 = 0.1;

/// What strokes and paper say together.
#[derive(Clone, PartialEq, Debug)]
pub enum Together {
    /// The paper, with strokes laid over it, and put right where they contradict it.
    Paper(Trimap),
    /// So much of what was found is not the thing that it was found from no paper: strokes alone say what is.
    Strokes(Trimap),
}

/// What strokes and the paper say of a shot's every pixel. `by_regions` is what they say by themselves ([`super::trimap`]): asked
/// where a stroke contradicts the paper, and there are strokes of both kinds.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn over_paper(
    paper: &Trimap,
    strokes: &[(Said, Stroke)],
    by_regions: impl FnOnce() -> Result<Result<Trimap, Unsaid>, OverBudget>,
    budget: &Budget,
) -> Result<Together, OverBudget> {
    let over = laid(paper.clone(), strokes, budget)?;
    let sure = |a: Sure, b: Sure| a != b && a != Sure::Between && b != Sure::Between;
    let contradict = paper.cells().iter().zip(over.cells()).enumerate();
    let mut part: Vec<usize> = contradict.filter(|(_, (a, b))| sure(**a, **b)).map(|(i, _)| i).collect();
    let says = |said| strokes.iter().any(|s| s.0 == said);
    if part.is_empty() || !says(Said::Inside) || !says(Said::Outside) {
        return Ok(Together::Paper(over));
    }
    let Ok(regions) = by_regions()? else { return Ok(Together::Paper(over)) };
    let (found, other) = (paper.cells(), regions.cells());
    let place = paper.place();
    let _room = budget.take(5 * found.len() as u64)?;
    let (width, height) = (place.width(), place.height());
    let near = |i: usize| {
        let (x, y) = (i % width, i / width);
        let sides = [
            (x > 0).then(|| i - 1),
            (x + 1 < width).then(|| i + 1),
            (y > 0).then(|| i - width),
            (y + 1 < height).then(|| i + width),
        ];
        sides.into_iter().flatten()
    };
    // The parts that strokes lie in.
    let mut is_wrong = vec![false; found.len()];
    part.retain(|i| sure(found[*i], other[*i]));
    part.iter().for_each(|i| is_wrong[*i] = true);
    let mut next = 0;
    while let Some(&i) = part.get(next) {
        next += 1;
        for j in near(i) {
            if !is_wrong[j] && sure(found[j], other[j]) {
                is_wrong[j] = true;
                part.push(j);
            }
        }
    }
    let taken_out = part.iter().filter(|i| other[**i] == Sure::Outside).count();
    if taken_out as f64 > NO_PAPER * found.len() as f64 {
        return Ok(Together::Strokes(regions));
    }
    // And the band beside them.
    for _ in 0..(BESIDE * width.max(height) as f64) as usize {
        let beside: Vec<usize> = part
            .iter()
            .flat_map(|i| near(*i))
            .filter(|j| !is_wrong[*j] && (found[*j] == Sure::Between || other[*j] == Sure::Between))
            .collect();
        if beside.is_empty() {
            break;
        }
        part = Vec::with_capacity(beside.len());
        for j in beside {
            if !is_wrong[j] {
                is_wrong[j] = true;
                part.push(j);
            }
        }
    }
    let mut right = paper.clone();
    let cells = right.cells_mut().iter_mut().zip(other).zip(&is_wrong);
    cells.filter(|(_, is_wrong)| **is_wrong).for_each(|((cell, other), _)| *cell = *other);
    Ok(Together::Paper(laid(right, strokes, budget)?))
}
