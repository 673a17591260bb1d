//! Outside of what is said to have changed nothing has, bit for bit: over many random pairs of layouts.

#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]
#![expect(clippy::disallowed_methods, reason = "made-up pictures need no portable digits")]

mod made;

use made::{Made, everything, fast, plain};
use pixels::{Budget, Image, Rgb};
use render::keep::Nothing;
use render::{Job, Keep, Memory, Trail, changed};
use staging::layout::{Keeps, Layout, Mask, Taken, Tone};
use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use units::{Mat3, PxRect, Vec3};

/// Numbers that look random (a linear congruence; constants from memory).
struct Dice(u64);

impl Dice {
    /// One of `0..n`.
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }

    fn pixels(&mut self) -> f64 {
        self.below(600) as f64 / 10.0 - 30.0
    }
}

/// A layout like the one with everything, with some of its toning, and smaller pieces.
fn random(dice: &mut Dice) -> Layout {
    let mut layout = everything();
    for piece in &mut layout.pieces {
        piece.disc *= [0.0, 0.3, 1.0][dice.below(3)];
    }
    for _ in 0..dice.below(6) {
        let gone = dice.below(layout.pieces.len());
        remove(&mut layout, gone);
    }
    layout.toning.retain(|_| dice.below(4) > 0);
    for toned in &mut layout.toning {
        match &mut toned.tone {
            Tone::Veil { held, .. } => *held = (dice.below(3) > 0).then_some(Vec3::new(0.2, 0.3, 0.1)),
            Tone::Halation { sigma, .. } => *sigma = [0.8, 2.0, 11.0][dice.below(3)],
            _ => {}
        }
    }
    layout
}

fn remove(layout: &mut Layout, i: usize) {
    layout.pieces.remove(i);
    layout.fields.iter_mut().for_each(|f| {
        f.pieces.remove(i);
    });
}

/// One thing in it is another.
fn change(layout: &mut Layout, dice: &mut Dice) {
    let i = dice.below(layout.pieces.len());
    let n = layout.pieces.len();
    let piece = &mut layout.pieces[i];
    let (dx, dy) = (dice.pixels(), dice.pixels());
    let moved = |r: PxRect| {
        let (x, y) = (dx.floor() as i64, dy.floor() as i64);
        PxRect::new(r.x0() + x, r.y0() + y, r.x1() + x + 1, r.y1() + y + 1)
    };
    let back = Mat3::translation(-dx, -dy);
    match dice.below(9) {
        0..=2 => {
            piece.to_shot = piece.to_shot * back;
            piece.bounds = moved(piece.bounds);
        }
        3 => piece.disc += dice.below(20) as f64,
        4 => piece.gain = piece.gain * 0.9,
        5 => {
            let to = dice.below(n);
            let piece = layout.pieces.remove(i);
            layout.pieces.insert(to, piece);
            for field in &mut layout.fields {
                let value = field.pieces.remove(i);
                field.pieces.insert(to, value);
            }
        }
        6 => piece.masks.push(Mask {
            polygons: vec![vec![[50.0 + dx, 40.0], [120.0, 60.0 + dy], [70.0, 130.0]]],
            softness: 3.0,
            keeps: [Keeps::Inside, Keeps::Outside, Keeps::Rest][dice.below(3)],
        }),
        7 => layout.fields[dice.below(3)].pieces[i] += 0.1,
        _ => {
            let mut shadow = layout.shadows[0].clone();
            if let Taken::Thrown { to_shot, .. } = &mut shadow.taken {
                to_shot.iter_mut().for_each(|m| *m = *m * back);
            }
            shadow.bounds = PxRect::new(60, 100, 160, 150);
            layout.shadows.insert(dice.below(2), shadow);
        }
    }
}

/// The part `want` as it is drawn of what the whole is made of.
fn part(layout: &Layout, want: PxRect, keep: &dyn Keep) -> Image<Rgb> {
    let budget = Budget::of_bytes(1 << 30);
    let job = job(layout, keep, &budget);
    let out = Mutex::new(Image::new(want, &budget).unwrap());
    job.part_of(layout.size.rect(), want, &|band| {
        let mut out = out.lock().unwrap();
        (band.place().y0()..band.place().y1()).for_each(|y| out.row_mut(y).copy_from_slice(band.row(y)));
        Ok(())
    })
    .unwrap();
    out.into_inner().unwrap()
}

fn job<'a>(layout: &'a Layout, keep: &'a dyn Keep, budget: &'a Budget) -> Job<'a> {
    static GOES_ON: AtomicBool = AtomicBool::new(false);
    let threads = NonZeroUsize::new(2).unwrap();
    Job { layout, sources: &Made, keep, budget, threads, cancel: &GOES_ON, progress: &|_| {} }
}

fn assert_alike_outside(part: PxRect, a: &Image<Rgb>, b: &Image<Rgb>, what: &str) {
    let place = a.place();
    for y in place.y0()..place.y1() {
        for x in place.x0()..place.x1() {
            assert!(part.contains(x, y) || a.at(x, y) == b.at(x, y), "{what}: {x},{y} outside {part:?}");
        }
    }
}

#[test]
fn outside_of_what_changed_both_are_drawn_alike() {
    let mut dice = Dice(1);
    let memory = Memory::of_bytes(1 << 27);
    let budget = Budget::of_bytes(1 << 30);
    let (mut partly, mut all) = (0, 0);
    for round in 0..80 {
        let before = random(&mut dice);
        let mut after = before.clone();
        for _ in 0..1 + dice.below(2) {
            change(&mut after, &mut dice);
        }
        let whole = after.size.rect();
        let differs = changed(&before, &after);
        assert_eq!(differs.intersect(whole), differs);
        if before == after {
            assert!(differs.is_empty());
        }
        all += 1;
        partly += usize::from(differs.area() < whole.area() * 3 / 4);
        let [a, b] = [&before, &after].map(|l| fast(l, whole, 2, &Nothing));
        assert_alike_outside(differs, &a, &b, &format!("round {round}"));
        if !differs.is_empty() {
            let anew = part(&after, differs, &memory);
            assert!(anew.samples() == b.crop(differs, &budget).unwrap().samples(), "round {round}");
        }
    }
    println!("less than three quarters in {partly} of {all}");
    assert!(partly * 3 > all, "{partly} of {all}");
}

#[test]
fn so_are_they_by_the_definitions() {
    let mut dice = Dice(5);
    for round in 0..12 {
        let before = random(&mut dice);
        let mut after = before.clone();
        change(&mut after, &mut dice);
        let differs = changed(&before, &after);
        if differs == after.size.rect() {
            continue;
        }
        let [a, b] = [&before, &after].map(|l| plain(l, l.size.rect()));
        assert_alike_outside(differs, &a, &b, &format!("round {round}"));
    }
}

#[test]
fn what_lies_around_everything_changes_the_whole() {
    let before = everything();
    let whole = before.size.rect();
    assert!(changed(&before, &before).is_empty());
    let other = |change: &dyn Fn(&mut Layout)| {
        let mut after = before.clone();
        change(&mut after);
        changed(&before, &after)
    };
    assert_eq!(other(&|l| l.pools.clear()), whole);
    assert_eq!(other(&|l| l.toning[2].strength = 0.5), whole);
    assert_eq!(other(&|l| l.fields[1].ground = l.fields[0].ground.clone()), whole);
    // The veil is of the picture's own mean.
    assert_eq!(other(&|l| l.pieces[0].gain = Vec3::splat(1.0)), whole);
}

#[test]
fn what_only_stands_before_another_changes_no_more_than_that() {
    let mut before = everything();
    before.toning.clear();
    let mut after = before.clone();
    // A piece far behind comes to the front: the others keep their order among themselves.
    let first = after.pieces.remove(0);
    after.pieces.push(first);
    after.fields.iter_mut().for_each(|f| f.pieces.rotate_left(1));
    let differs = changed(&before, &after);
    assert!(differs.area() < before.size.area() as usize / 4, "{differs:?}");
}

#[test]
fn a_held_mean_is_the_own_mean() {
    let layout = everything();
    let budget = Budget::of_bytes(1 << 30);
    let held = job(&layout, &Nothing, &budget).held().unwrap();
    assert!(matches!(held.toning[0].tone, Tone::Veil { held: Some(_), .. }));
    let whole = layout.size.rect();
    assert!(fast(&layout, whole, 2, &Nothing).samples() == fast(&held, whole, 2, &Nothing).samples());
}

#[test]
fn along_a_trail_the_window_shows_what_is_tried() {
    let mut dice = Dice(9);
    let budget = Budget::of_bytes(1 << 30);
    let mut rest = everything();
    let whole = rest.size.rect();
    for gone in [7, 6, 2] {
        remove(&mut rest, gone);
    }
    let memory = Memory::of_bytes(1 << 27);
    let held = job(&rest, &memory, &budget).held().unwrap();
    let mut window = fast(&held, whole, 2, &memory);
    let mut trail = Trail::new(held, PxRect::EMPTY);
    let mut least = whole.area();
    for _ in 0..40 {
        let mut tried = rest.clone();
        change(&mut tried, &mut dice);
        let stroke = trail.stroke(tried);
        if !stroke.part.is_empty() {
            let drawn = part(&stroke.layout, stroke.part, &memory);
            for y in stroke.part.y0()..stroke.part.y1() {
                for x in stroke.part.x0()..stroke.part.x1() {
                    window.row_mut(y)[x as usize] = drawn.at(x, y);
                }
            }
            least = least.min(stroke.part.area());
        }
        assert!(fast(&stroke.layout, whole, 2, &Nothing).samples() == window.samples());
        trail.drawn(stroke);
    }
    assert!(least < whole.area() / 2, "{least}");
}
