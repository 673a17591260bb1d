//! Mattes for a hand that draws, to be seen at once: solved where what is sure has changed, elsewhere as they were; and where much has,
//! at half the size.

use super::{Effort, Sure, Trimap, matte, scales};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb};
use units::PxRect;

/// Pixels around what changed that are solved anew, and, at their border, over which the new matte goes over into the old one (own
/// choice, no source).
const AROUND: i64 = 96;
const JOINED: i64 = 32;
/// Coverage that is as good as none.
const ALL_BUT: f32 = 0.03;
/// Share of the picture from which on all of it is solved.
const MOST: f64 = 0.5;

/// The matte of a picture at half its size, brought to its own: in a quarter of the time.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn in_small(
    picture: &Image<Rgb>,
    trimap: &Trimap,
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let small = matte(&scales::halved(picture, budget)?, &trimap.halved(), Effort::Quick, budget)?;
    Image::from_fn(picture.place(), budget, |x, y| match trimap.at(x, y) {
        Sure::Inside => Coverage(1.0),
        Sure::Outside => Coverage(0.0),
        Sure::Between => {
            // An odd pixel's middle lies nearer to the next small one, an even one's to the one before.
            let near =
                |i: i64| (i.div_euclid(2), i.div_euclid(2) + if i.rem_euclid(2) == 0 { -1 } else { 1 });
            let ((u, beside), (v, over)) = (near(x), near(y));
            let at = |u: i64, v: i64| small.at_clamped(u, v).0;
            let row = |v: i64| 0.75 * at(u, v) + 0.25 * at(beside, v);
            Coverage(0.75 * row(v) + 0.25 * row(over))
        }
    })
}

/// The matte of a picture of which one was found before, between what was sure then. What changes farther off than some hair is long
/// is left as it was; where much changes it is found [in small](in_small).
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn again(
    picture: &Image<Rgb>,
    trimap: &Trimap,
    (was_sure, was): (&Trimap, &Image<Coverage>),
    budget: &Budget,
) -> Result<Image<Coverage>, OverBudget> {
    let place = picture.place();
    let Some(changed) = changed(trimap, was_sure) else { return was.crop(place, budget) };
    let part = changed.grow(AROUND).intersect(place);
    if part.area() as f64 > MOST * place.area() as f64 || was.place() != place {
        return in_small(picture, trimap, budget);
    }
    // Farther off, what was all but found to be one or the other is sure: what is solved has something to hold on to.
    let near = changed.grow(AROUND / 2);
    let sure = Trimap::from_fn(part, |x, y| match (trimap.at(x, y), was.at(x, y).0) {
        (Sure::Between, covers) if !near.contains(x, y) && covers >= 1.0 - ALL_BUT => Sure::Inside,
        (Sure::Between, covers) if !near.contains(x, y) && covers <= ALL_BUT => Sure::Outside,
        (sure, _) => sure,
    });
    let found = matte(&picture.crop(part, budget)?, &sure, Effort::Quick, budget)?;
    // How far it is to a border that is not the picture's.
    let inwards = |at: i64, [from, to]: [i64; 2], [first, last]: [i64; 2]| {
        let near = if from > first { at - from + 1 } else { JOINED };
        let far = if to < last { to - at } else { JOINED };
        near.min(far)
    };
    Image::from_fn(place, budget, |x, y| {
        let old = was.at(x, y).0;
        if !part.contains(x, y) {
            return Coverage(old);
        }
        let across = inwards(x, [part.x0(), part.x1()], [place.x0(), place.x1()]);
        let down = inwards(y, [part.y0(), part.y1()], [place.y0(), place.y1()]);
        let share = (across.min(down) as f32 / JOINED as f32).min(1.0);
        Coverage(old + (found.at(x, y).0 - old) * share)
    })
}

/// The smallest rectangle that holds all pixels of which something else is sure now; none where none is.
fn changed(now: &Trimap, was: &Trimap) -> Option<PxRect> {
    let place = now.place();
    if was.place() != place {
        return Some(place);
    }
    let width = place.width().max(1);
    let mut found: Option<[i64; 4]> = None;
    for (y, (a, b)) in (place.y0()..).zip(now.cells().chunks(width).zip(was.cells().chunks(width))) {
        if a == b {
            continue;
        }
        let differs = |i: &usize| a[*i] != b[*i];
        let (Some(first), Some(last)) = ((0..a.len()).find(differs), (0..a.len()).rfind(differs)) else {
            continue;
        };
        let (first, last) = (place.x0() + first as i64, place.x0() + last as i64 + 1);
        let [x0, y0, x1, _] = found.unwrap_or([first, y, last, y]);
        found = Some([x0.min(first), y0, x1.max(last), y + 1]);
    }
    found.map(|[x0, y0, x1, y1]| PxRect::new(x0, y0, x1, y1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dark strands on light paper, thinner to the right.
    fn strands(place: PxRect, budget: &Budget) -> (Image<Rgb>, Trimap) {
        let covered = |x: i64, y: i64| if y.rem_euclid(24) < 8 - x / 80 && y > 40 { 1.0f32 } else { 0.0 };
        let picture = Image::from_fn(place, budget, |x, y| {
            let a = covered(x, y);
            let paper = 0.7 + 0.01 * ((x * 7 + y * 3) % 5) as f32;
            Rgb([0.1 * a + paper * (1.0 - a), 0.08 * a + paper * (1.0 - a), 0.05 * a + paper * (1.0 - a)])
        })
        .unwrap();
        let trimap = Trimap::from_fn(place, |x, y| match (x, y) {
            (_, ..=30) => Sure::Outside,
            (..=4, _) if covered(4, y) > 0.5 => Sure::Inside,
            _ => Sure::Between,
        });
        (picture, trimap)
    }

    #[test]
    fn near_a_stroke_it_is_what_solving_all_gives_and_elsewhere_what_it_was() {
        let budget = Budget::of_bytes(1 << 29);
        let place = PxRect::new(0, 0, 560, 420);
        let (picture, before) = strands(place, &budget);
        let was = matte(&picture, &before, Effort::Quick, &budget).unwrap();
        let stroke = PxRect::new(250, 188, 290, 206);
        let after =
            Trimap::from_fn(
                place,
                |x, y| {
                    if stroke.contains(x, y) { Sure::Outside } else { before.at(x, y) }
                },
            );
        assert_eq!(changed(&after, &before), Some(stroke));
        let whole = matte(&picture, &after, Effort::Quick, &budget).unwrap();
        let again = again(&picture, &after, (&before, &was), &budget).unwrap();
        let mean = |part: PxRect, of: &dyn Fn(i64, i64) -> f32| {
            let all: Vec<f32> = (part.y0()..part.y1())
                .flat_map(|y| (part.x0()..part.x1()).map(move |x| (x, y)))
                .map(|(x, y)| of(x, y))
                .collect();
            all.iter().sum::<f32>() / all.len() as f32
        };
        let near = stroke.grow(40);
        let error = mean(near, &|x, y| (again.at(x, y).0 - whole.at(x, y).0).abs());
        let done = mean(near, &|x, y| (again.at(x, y).0 - was.at(x, y).0).abs());
        // Beyond the stroke a strand hangs on to what it was; solved as a whole it hangs on nothing there.
        assert!(error < 0.5 * done, "{error} of {done}");
        assert!(mean(stroke, &|x, y| again.at(x, y).0) == 0.0);
        let far = stroke.grow(AROUND);
        for y in place.y0()..place.y1() {
            for x in place.x0()..place.x1() {
                if !far.contains(x, y) {
                    assert_eq!(again.at(x, y), was.at(x, y), "{x}, {y}");
                }
            }
        }
        // No seam: nowhere a step that neither has.
        for y in far.y0()..far.y1() {
            for x in far.x0() - 2..far.x1() + 2 {
                let step = |m: &Image<Coverage>| (m.at(x + 1, y).0 - m.at(x, y).0).abs();
                assert!(step(&again) < step(&was).max(step(&whole)) + 0.15, "{x}, {y}");
            }
        }
    }

    #[test]
    fn where_nothing_changed_it_is_what_it_was_and_where_much_did_all_is_solved() {
        let budget = Budget::of_bytes(1 << 29);
        let place = PxRect::new(0, 0, 200, 160);
        let (picture, before) = strands(place, &budget);
        let was = Image::from_fn(place, &budget, |_, _| Coverage(0.5)).unwrap();
        let same = again(&picture, &before, (&before, &was), &budget).unwrap();
        assert!(same.samples() == was.samples());
        let after = Trimap::from_fn(place, |x, y| if y < 60 { Sure::Outside } else { before.at(x, y) });
        let all = again(&picture, &after, (&before, &was), &budget).unwrap();
        assert!(all.samples() == in_small(&picture, &after, &budget).unwrap().samples());
    }

    #[test]
    fn in_small_it_is_about_what_it_is_at_full_size() {
        let budget = Budget::of_bytes(1 << 29);
        let place = PxRect::new(0, 0, 301, 223);
        let (picture, trimap) = strands(place, &budget);
        let whole = matte(&picture, &trimap, Effort::Quick, &budget).unwrap();
        let small = in_small(&picture, &trimap, &budget).unwrap();
        let apart = whole.samples().iter().zip(small.samples()).map(|(a, b)| (a - b).abs());
        let mean = apart.sum::<f32>() / whole.samples().len() as f32;
        assert!(mean < 0.05, "{mean}");
    }
}
