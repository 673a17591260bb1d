//! The colour of a thing where other colours are mixed into it: what a cut-out carries into another picture.
//!
//! A pixel of coverage a shows a F + (1 - a) B. Of all F and B that say so, those are taken that change least from pixel to
//! pixel, the less the coverage changes there; found from coarse to fine (Germer, Uelwer, Conrad and Harmeling, "Fast multi-level
//! foreground estimation", 2020).

mod beyond;

use crate::even;
use pixels::{Budget, Coverage, Image, OverBudget, Pixel, Rgb, Rgba};
use rayon::prelude::*;
use std::cell::RefCell;
use std::ops::Range;
use units::PxRect;

/// Of the light that colours are found in: about the eye's scale, as what remains wrong is for the eye to see.
const POWER: f64 = 2.4;
/// What a change from pixel to pixel weighs where coverage does not change, and for each unit by which it does.
const SMOOTH: f32 = 1e-5;
const EDGE: f32 = 1.0;
/// Pictures up to this side are gone over more often.
const SMALL: usize = 32;
const OFTEN: usize = 10;
const SELDOM: usize = 2;
/// Rows that are worked on together at full size, an even number; and how many beside them change them: in each going over a row changes by its
/// neighbours, and those by theirs.
const STRIP: usize = 256;
const REACH: usize = 2 * SELDOM;
/// Pixels around a cut-out that are looked at as well.
const AROUND: i64 = 16;

/// The thing's own colour in every pixel, in linear light; where nothing of the thing is, that of the thing nearby. What it covers
/// whole is as it was photographed.
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn foreground(
    picture: &Image<Rgb>,
    matte: &Image<Coverage>,
    budget: &Budget,
) -> Result<Image<Rgb>, OverBudget> {
    let seen = |y: i64, row: &mut [Rgb]| row.copy_from_slice(picture.row(y));
    own(even::image(picture, POWER, budget)?, &seen, matte, budget)
}

/// The same of an evened picture, in its memory; `seen` hands out its rows as they were: (row of its place, pixels to fill). At full size both
/// colours of but some rows are at hand at a time, with as many beside them as change them: what comes out is the same.
fn own(
    mut even: Image<Rgb>,
    seen: &dyn Fn(i64, &mut [Rgb]),
    matte: &Image<Coverage>,
    budget: &Budget,
) -> Result<Image<Rgb>, OverBudget> {
    let (place, width, height) = (even.place(), even.width(), even.height());
    let top = place.y0();
    let back = even::Back::new(POWER);
    // Lays some rows down in their own colour: all that was found of them, from row `first` on.
    let lay = |out: &mut Image<Rgb>, rows: Range<usize>, found: &Layers, first: usize| {
        rows.clone().map(|y| top + y as i64).for_each(|y| seen(y, out.row_mut(y)));
        let part = &mut out.pixels_mut()[rows.start * width..rows.end * width];
        part.par_chunks_mut(width.max(1)).zip(rows).for_each(|(row, y)| {
            let found = found.row(y - first);
            for ((o, covers), [r, g, b, ..]) in row.iter_mut().zip(matte.row(top + y as i64)).zip(found) {
                if covers.0 < 1.0 {
                    *o = Rgb([*r, *g, *b].map(|v| back.of(v)));
                }
            }
        });
    };
    if width.max(height) <= SMALL {
        let found = layers(&even, matte, budget)?;
        lay(&mut even, 0..height, &found, 0);
        return Ok(even);
    }
    let small = layers(&halved(&even, budget)?, &halved(matte, budget)?, budget)?;
    let _room = budget.take((width * (STRIP + 2 * REACH) * size_of::<Pair>()) as u64)?;
    // Rows that were written over already, as they were.
    let mut before: Option<Image<Rgb>> = None;
    for from in (0..height).step_by(STRIP) {
        let to = height.min(from + STRIP);
        let (first, last) = (from.saturating_sub(REACH), height.min(to + REACH));
        let rows = PxRect::new(place.x0(), top + first as i64, place.x1(), top + last as i64);
        let mut strip = even.crop(rows, budget)?;
        if let Some(before) = &before {
            (rows.y0()..top + from as i64).for_each(|y| strip.row_mut(y).copy_from_slice(before.row(y)));
        }
        let mut found = Layers::from_fn(width, last - first, |x, y| small.row((first + y) / 2)[x / 2]);
        (0..SELDOM).for_each(|_| found.improve(&strip, matte));
        lay(&mut even, from..to, &found, first);
        before = Some(strip);
    }
    Ok(even)
}

/// A cut-out in its own colour, premultiplied, within `place` of the shot. The colour is found by the first matte; where the second, which
/// says what is covered, covers more, it is carried on. `shot` hands out the shot's rows in linear light: (row, pixels to fill).
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn freed(
    shot: &dyn Fn(usize, &mut [Rgb]),
    mattes: (&Image<Coverage>, &Image<Coverage>),
    place: PxRect,
    budget: &Budget,
) -> Result<Image<Rgba>, OverBudget> {
    let (matte, _) = mattes;
    let (all, place) = (matte.place(), place.intersect(matte.place()));
    if place.is_empty() {
        return Image::new(PxRect::EMPTY, budget);
    }
    // What is behind is to be seen around the thing.
    let wide =
        PxRect::new(place.x0() - AROUND, place.y0() - AROUND, place.x1() + AROUND, place.y1() + AROUND);
    let wide = wide.intersect(all);
    let (mut picture, mut covers) = (Image::<Rgb>::new(wide, budget)?, Image::<Coverage>::new(wide, budget)?);
    let columns = (wide.x0() - all.x0()) as usize..(wide.x1() - all.x0()) as usize;
    let line = RefCell::new(vec![Rgb::default(); all.width()]);
    let seen = |y: i64, row: &mut [Rgb]| {
        let mut line = line.borrow_mut();
        shot((y - all.y0()) as usize, &mut line);
        row.copy_from_slice(&line[columns.clone()]);
    };
    for y in wide.y0()..wide.y1() {
        seen(y, picture.row_mut(y));
        covers.row_mut(y).copy_from_slice(&matte.row(y)[columns.clone()]);
    }
    let own = own(even::in_place(picture, POWER), &seen, &covers, budget)?;
    drop(covers);
    let rows =
        |y: usize, line: &mut [Rgb]| line[columns.clone()].copy_from_slice(own.row(all.y0() + y as i64));
    laid(&rows, mattes, place, budget)
}

/// A cut-out whose own colour is known wherever the first matte covers anything, premultiplied, within `place` of the shot. Where the second,
/// which says what is covered, covers more, the colour is carried on from what is covered well: of little coverage little is known,
/// and what is wrong with it would show. `own` hands out rows of the colour in linear light: (row, pixels to fill).
///
/// # Errors
/// Where the budget does not hold what it needs.
pub fn laid(
    own: &dyn Fn(usize, &mut [Rgb]),
    (matte, covered): (&Image<Coverage>, &Image<Coverage>),
    place: PxRect,
    budget: &Budget,
) -> Result<Image<Rgba>, OverBudget> {
    let (all, place) = (matte.place(), place.intersect(matte.place()));
    let mut line = vec![Rgb::default(); all.width()];
    let from = (place.x0() - all.x0()) as usize;
    let grows = |y: i64| matte.row(y).iter().zip(covered.row(y)).any(|(a, b)| b.0 > a.0);
    let carried = if (place.y0()..place.y1()).any(grows) {
        let mut known = Image::<Rgb>::new(place, budget)?;
        for y in place.y0()..place.y1() {
            own((y - all.y0()) as usize, &mut line);
            known.row_mut(y).copy_from_slice(&line[from..from + place.width()]);
        }
        Some(beyond::carried(known, (matte, covered), budget)?)
    } else {
        None
    };
    let mut out = Image::<Rgba>::new(place, budget)?;
    for y in place.y0()..place.y1() {
        own((y - all.y0()) as usize, &mut line);
        let mattes = matte.row(y)[from..].iter().zip(&covered.row(y)[from..]);
        for (i, ((o, Rgb(colour)), (was, is))) in
            out.row_mut(y).iter_mut().zip(&line[from..]).zip(mattes).enumerate()
        {
            let nearby = carried.as_ref().filter(|_| is.0 > was.0).map(|c| c.row(y)[i].0);
            let [r, g, b] = nearby.unwrap_or(*colour);
            *o = Rgba([r * is.0, g * is.0, b * is.0, is.0]);
        }
    }
    Ok(out)
}

/// Red, green and blue of the thing, then of what is behind.
type Pair = [f32; 6];

/// Both colours of every pixel, even rows apart from odd ones, so that those of one kind are worked on at once.
struct Layers {
    rows: [Vec<Vec<Pair>>; 2],
}

impl Layers {
    fn row(&self, y: usize) -> &[Pair] {
        &self.rows[y % 2][y / 2]
    }

    fn from_fn(width: usize, height: usize, f: impl Fn(usize, usize) -> Pair + Sync) -> Self {
        let rows = [0, 1].map(|odd| {
            let numbers: Vec<usize> = (odd..height).step_by(2).collect();
            numbers.into_par_iter().map(|y| (0..width).map(|x| f(x, y)).collect()).collect()
        });
        Self { rows }
    }

    /// Goes over all rows once, first the even ones.
    fn improve(&mut self, picture: &Image<Rgb>, matte: &Image<Coverage>) {
        let [even, odd] = &mut self.rows;
        even.par_iter_mut().enumerate().for_each(|(i, row)| {
            let above = i.checked_sub(1).and_then(|j| odd.get(j));
            improve(row, above, odd.get(i), picture, matte, 2 * i);
        });
        odd.par_iter_mut().enumerate().for_each(|(i, row)| {
            improve(row, even.get(i), even.get(i + 1), picture, matte, 2 * i + 1);
        });
    }
}

/// The pairs of a row that fit its pixels and their neighbours best, from left to right.
fn improve(
    row: &mut [Pair],
    above: Option<&Vec<Pair>>,
    below: Option<&Vec<Pair>>,
    picture: &Image<Rgb>,
    matte: &Image<Coverage>,
    y: usize,
) {
    let place = picture.place();
    let v = place.y0() + y as i64;
    let seen = picture.row(v);
    let covers = matte.row(v);
    let beside = |dy: i64, there: bool| if there { matte.row(v + dy) } else { covers };
    let (cover_above, cover_below) = (beside(-1, above.is_some()), beside(1, below.is_some()));
    for x in 0..row.len() {
        let a = covers[x].0;
        let mut weight = 0.0;
        let mut sum = [0.0f32; 6];
        let mut add = |neighbour: &Pair, coverage: f32| {
            let w = SMOOTH + EDGE * (a - coverage).abs();
            weight += w;
            (0..6).for_each(|c| sum[c] += w * neighbour[c]);
        };
        if x > 0 {
            add(&row[x - 1], covers[x - 1].0);
        }
        if x + 1 < row.len() {
            add(&row[x + 1], covers[x + 1].0);
        }
        if let Some(above) = above {
            add(&above[x], cover_above[x].0);
        }
        if let Some(below) = below {
            add(&below[x], cover_below[x].0);
        }
        let b = 1.0 - a;
        // (a² + w, a b; a b, b² + w) (F; B) = (a I + Σ w F; b I + Σ w B).
        let scale = 1.0 / (weight * (a * a + b * b) + weight * weight).max(f32::MIN_POSITIVE);
        for c in 0..3 {
            let (f, g) = (a * seen[x].0[c] + sum[c], b * seen[x].0[c] + sum[c + 3]);
            row[x][c] = (((b * b + weight) * f - a * b * g) * scale).clamp(0.0, 1.0);
            row[x][c + 3] = (((a * a + weight) * g - a * b * f) * scale).clamp(0.0, 1.0);
        }
    }
}

fn layers(picture: &Image<Rgb>, matte: &Image<Coverage>, budget: &Budget) -> Result<Layers, OverBudget> {
    let (w, h) = (picture.width(), picture.height());
    let _room = budget.take((w * h * size_of::<Pair>()) as u64)?;
    let mut found = if w.max(h) <= 1 {
        Layers::from_fn(w, h, |x, y| {
            let Rgb([r, g, b]) = picture.at(picture.place().x0() + x as i64, picture.place().y0() + y as i64);
            [r, g, b, r, g, b]
        })
    } else {
        let small = layers(&halved(picture, budget)?, &halved(matte, budget)?, budget)?;
        Layers::from_fn(w, h, |x, y| small.row(y / 2)[x / 2])
    };
    for _ in 0..if w.max(h) <= SMALL { OFTEN } else { SELDOM } {
        found.improve(picture, matte);
    }
    Ok(found)
}

/// At half the size, counted from the picture's own corner: of four pixels the first, so that what is pure stays pure.
fn halved<P: Pixel>(fine: &Image<P>, budget: &Budget) -> Result<Image<P>, OverBudget> {
    let place = fine.place();
    let half = PxRect::new(0, 0, (place.width() as i64 + 1) / 2, (place.height() as i64 + 1) / 2);
    Image::from_fn(half, budget, |u, v| fine.at(place.x0() + 2 * u, place.y0() + 2 * v))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Strands of one colour over paper of another, both uneven; the true coverage is known.
    #[test]
    fn the_things_own_colour_is_found_where_paper_is_mixed_in() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(-4, 9, 60, 58);
        let covers = |x: i64, y: i64| match x {
            ..10 => 1.0,
            _ if x % 6 == 0 => 0.35 + 0.3 * ((y % 5) as f32 / 4.0),
            _ => 0.0,
        };
        let thing = |y: i64| [0.25 + 0.002 * y as f32, 0.12, 0.04];
        let behind = |x: i64| [0.8 - 0.002 * x as f32, 0.75, 0.7];
        let matte = Image::from_fn(place, &budget, |x, y| Coverage(covers(x, y))).unwrap();
        let picture = Image::from_fn(place, &budget, |x, y| {
            let a = covers(x, y);
            Rgb([0, 1, 2].map(|c| a * thing(y)[c] + (1.0 - a) * behind(x)[c]))
        });
        let found = foreground(&picture.unwrap(), &matte, &budget).unwrap();
        let (mut worst, mut count) = (0.0f32, 0);
        for (x, y) in
            (10..60).flat_map(|x| (9..58).map(move |y| (x, y))).filter(|(x, y)| covers(*x, *y) > 0.0)
        {
            for c in 0..3 {
                worst = worst.max((found.at(x, y).0[c] - thing(y)[c]).abs());
            }
            count += 1;
        }
        // The shot itself is off by up to 0.4 there.
        assert!(count > 300 && worst < 0.15, "{count}: {worst}");
        assert_eq!(found.at(0, 20).0, thing(20));
    }

    /// A disc of one colour with a soft edge, on paper that falls off from left to right.
    #[test]
    fn what_is_left_of_a_cut_out_is_the_thing_times_its_coverage() {
        let budget = Budget::of_bytes(1 << 28);
        let place = PxRect::new(0, 0, 200, 150);
        let colour = [0.3f32, 0.1, 0.05];
        let paper = |x: usize| [0.9 - 0.001 * x as f32, 0.85 - 0.001 * x as f32, 0.8 - 0.0012 * x as f32];
        let matte = Image::from_fn(place, &budget, |x, y| {
            let r = (((x - 100) as f32).powi(2) + ((y - 75) as f32).powi(2)).sqrt();
            Coverage(((40.0 - r) / 10.0 + 0.5).clamp(0.0, 1.0))
        })
        .unwrap();
        let shot = |y: usize, line: &mut [Rgb]| {
            for (x, p) in line.iter_mut().enumerate() {
                let (a, paper) = (matte.at(x as i64, y as i64).0, paper(x));
                *p = Rgb([0, 1, 2].map(|c| a * colour[c] + (1.0 - a) * paper[c]));
            }
        };
        let around = PxRect::new(50, 25, 150, 125);
        let cut = freed(&shot, (&matte, &matte), around, &budget).unwrap();
        assert_eq!(cut.place(), around);
        for y in 25..125 {
            for x in 50..150 {
                let (p, a) = (cut.at(x, y).0, matte.at(x, y).0);
                assert_eq!(p[3], a);
                // Of the paper's own light, up to 0.9, a twentieth is left at most.
                (0..3).for_each(|c| assert!((p[c] - a * colour[c]).abs() < 0.045, "{x} {y}: {p:?} {a}"));
            }
        }
        assert!(freed(&shot, (&matte, &matte), PxRect::EMPTY, &budget).unwrap().place().is_empty());
    }

    /// An edge that is moved outwards is the thing's, not the paper's, also where the shot is softer than its matte.
    #[test]
    fn beyond_the_edge_the_things_colour_goes_on() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(0, 0, 120, 100);
        let far = |x: i64, y: i64| (((x - 60) as f32).powi(2) + ((y - 50) as f32).powi(2)).sqrt();
        let disc = |x: i64, y: i64, r: f32| (r - far(x, y) + 0.5).clamp(0.0, 1.0);
        let matte = |r: f32| Image::from_fn(place, &budget, |x, y| Coverage(disc(x, y, r))).unwrap();
        let (found, wider) = (matte(30.0), matte(35.0));
        let shot = |y: usize, line: &mut [Rgb]| {
            for (x, p) in line.iter_mut().enumerate() {
                let a = ((30.0 - far(x as i64, y as i64)) / 3.0 + 0.5).clamp(0.0, 1.0);
                *p = Rgb([0.3, 0.1, 0.05].map(|v| a * v + (1.0 - a) * 0.85));
            }
        };
        let cut = freed(&shot, (&found, &wider), place, &budget).unwrap();
        for (x, y) in [(93, 50), (60, 17), (37, 73)] {
            let p = cut.at(x, y).0;
            assert_eq!(p[3], 1.0);
            (0..3).for_each(|c| assert!((p[c] - [0.3, 0.1, 0.05][c]).abs() < 0.01, "{x} {y}: {p:?}"));
        }
    }

    #[test]
    fn beyond_a_known_colour_it_goes_on_as_well() {
        let budget = Budget::of_bytes(1 << 24);
        let place = PxRect::new(0, 0, 90, 70);
        let covers = |most: i64| move |x: i64, _: i64| Coverage(((most - x) as f32 / 4.0).clamp(0.0, 1.0));
        let (found, wider) = (
            Image::from_fn(place, &budget, covers(40)).unwrap(),
            Image::from_fn(place, &budget, covers(48)).unwrap(),
        );
        // Its own colour as far as it was found, and what was behind beyond.
        let own = |_: usize, line: &mut [Rgb]| {
            for (x, p) in line.iter_mut().enumerate() {
                *p = Rgb(if x < 40 { [0.3, 0.1, 0.05] } else { [0.9; 3] });
            }
        };
        let within = PxRect::new(10, 5, 80, 66);
        let cut = laid(&own, (&found, &wider), within, &budget).unwrap();
        assert_eq!(cut.place(), within);
        for (x, y) in (0..48).flat_map(|x| [(x.max(10), 5), (x.max(10), 40), (x.max(10), 65)]) {
            let (p, a) = (cut.at(x, y).0, wider.at(x, y).0);
            assert_eq!(p[3], a);
            (0..3).for_each(|c| {
                assert!((p[c] - a * [0.3, 0.1, 0.05][c]).abs() < 1e-4, "{x} {y}: {p:?}");
            });
        }
    }

    #[test]
    fn all_or_nothing_covered_and_single_pixels_are_no_trouble() {
        let budget = Budget::of_bytes(1 << 22);
        for (w, h) in [(1, 1), (1, 7), (9, 2)] {
            let place = PxRect::new(0, 0, w, h);
            for covers in [0.0, 0.5, 1.0] {
                let matte = Image::from_fn(place, &budget, |_, _| Coverage(covers)).unwrap();
                let picture = Image::from_fn(place, &budget, |x, y| Rgb([x as f32, 0.1, y as f32])).unwrap();
                let found = foreground(&picture, &matte, &budget).unwrap();
                assert!(found.samples().iter().all(|v| v.is_finite() && *v >= 0.0));
                assert!(covers < 1.0 || found.pixels() == picture.pixels());
            }
        }
    }

    /// Row by row the same to the last bit as where all rows are at hand.
    #[test]
    fn some_rows_at_a_time_make_no_difference() {
        let budget = Budget::of_bytes(1 << 26);
        let place = PxRect::new(3, 5, 40, 5 + 2 * STRIP as i64 + 37);
        let wave = |x: i64, y: i64, k: i64| ((x * 7 + y * 3 + k * 11) % 29) as f32 / 29.0;
        let picture =
            Image::from_fn(place, &budget, |x, y| Rgb([wave(x, y, 0), wave(x, y, 1), wave(x, y, 2)]))
                .unwrap();
        let matte =
            Image::from_fn(place, &budget, |x, y| Coverage((wave(y, x, 3) * 1.6 - 0.3).clamp(0.0, 1.0)))
                .unwrap();
        let found = foreground(&picture, &matte, &budget).unwrap();
        let whole = layers(&even::image(&picture, POWER, &budget).unwrap(), &matte, &budget).unwrap();
        let back = even::Back::new(POWER);
        for y in place.y0()..place.y1() {
            let rows = picture.row(y).iter().zip(matte.row(y)).zip(whole.row((y - place.y0()) as usize));
            for (is, ((seen, covers), [r, g, b, ..])) in found.row(y).iter().zip(rows) {
                let own = if covers.0 < 1.0 { Rgb([*r, *g, *b].map(|v| back.of(v))) } else { *seen };
                assert_eq!(*is, own, "row {y}");
            }
        }
    }
}
