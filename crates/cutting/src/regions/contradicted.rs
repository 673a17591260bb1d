//! Strokes that contradict what was found from the paper: where they do, regions are asked, and all else stays as it was found.

use super::{Said, Unsaid, laid, over};
use crate::matting::{Sure, Trimap};
use crate::pen::Stroke;
use pixels::{Budget, OverBudget};

/// How far beside a part that was wrong the uncertain band goes along with it, as a share of the frame's longest side (own choice,
/// no source).
const BESIDE: f64 = 1.0 / 50.0;
/// How far from a stroke what it says goes, in lengths of the stroke: a dab puts a patch right, a long stroke a part (own choice, no
/// source).
const REACH: f64 = 2.0;
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

/// What strokes and the paper say of a shot's every pixel. `by_regions` is what strokes say by themselves ([`super::trimap`]): asked
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
    let all = laid(paper.clone(), strokes, budget)?;
    let (found, said) = (paper.cells(), all.cells());
    let is_contradicted = found.iter().zip(said).any(|(a, b)| opposed(*a, *b));
    let says = |said| strokes.iter().any(|s| s.0 == said);
    if !is_contradicted || !says(Said::Inside) || !says(Said::Outside) {
        return Ok(Together::Paper(all));
    }
    let Ok(regions) = by_regions()? else { return Ok(Together::Paper(all)) };
    let _room = budget.take(10 * found.len() as u64)?;
    let mut right = paper.clone();
    let mut taken_out = 0;
    for (says, stroke) in strokes {
        let mut from = Vec::new();
        // What a later stroke says otherwise counts no more.
        let stands = |i: usize| said[i] == says.sure() && opposed(found[i], said[i]);
        over(stroke, |d| *d, paper.place(), budget, |i| from.extend(stands(i).then_some(i)))?;
        if !from.is_empty() {
            taken_out += put_right(&mut right, (paper, &regions), from, reach(stroke));
        }
    }
    if taken_out as f64 > NO_PAPER * found.len() as f64 {
        return Ok(Together::Strokes(regions));
    }
    Ok(Together::Paper(laid(right, strokes, budget)?))
}

/// Whether both are sure, of opposites.
fn opposed(a: Sure, b: Sure) -> bool {
    a != b && a != Sure::Between && b != Sure::Between
}

/// How far from a stroke what it says may go.
fn reach(stroke: &Stroke) -> usize {
    let bounds = stroke.bounds();
    (REACH * bounds.width().max(bounds.height()) as f64) as usize
}

/// The part in which the paper and regions are opposed, as far as it hangs together with where a stroke lies, becomes what regions say; with the
/// band beside it, and uncertain where it ends for the reach alone. Tells how many cells are taken out.
fn put_right(
    right: &mut Trimap,
    (paper, regions): (&Trimap, &Trimap),
    from: Vec<usize>,
    reach: usize,
) -> usize {
    let place = paper.place();
    let (width, height) = (place.width(), place.height());
    let (found, other) = (paper.cells(), regions.cells());
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
    let mut is_in = vec![false; found.len()];
    // Cells that are reached by the same number of steps, all that may follow, and what becomes of them.
    let mut spread = |mut front: Vec<usize>,
                      steps: usize,
                      may: &dyn Fn(usize) -> bool,
                      put: &mut dyn FnMut(usize, usize)| {
        let mut all = front.clone();
        front.iter().for_each(|i| is_in[*i] = true);
        for step in 0..=steps {
            front.iter().for_each(|i| put(*i, step));
            let mut next = Vec::new();
            for j in front.iter().flat_map(|i| near(*i)) {
                if !is_in[j] && may(j) {
                    is_in[j] = true;
                    next.push(j);
                }
            }
            if next.is_empty() {
                break;
            }
            all.extend(&next);
            front = next;
        }
        all
    };
    let from: Vec<usize> = from.into_iter().filter(|i| opposed(found[*i], other[*i])).collect();
    let (mut taken_out, cells) = (0, right.cells_mut());
    let ends = reach - reach / 8;
    let part = spread(from, reach, &|j| opposed(found[j], other[j]), &mut |i, step| {
        taken_out += usize::from(other[i] == Sure::Outside);
        cells[i] = if step > ends { Sure::Between } else { other[i] };
    });
    let beside = (BESIDE * width.max(height) as f64) as usize;
    let is_band = |j: usize| found[j] == Sure::Between || other[j] == Sure::Between;
    spread(part, beside, &is_band, &mut |i, step| {
        if step > 0 {
            cells[i] = other[i];
        }
    });
    taken_out
}
