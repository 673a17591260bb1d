//! Times the preview of a picture folder, as the studio would ask for it: first in this process, again, after one mark has
//! changed, and while pieces are dragged, when only what that changes is drawn. Nothing is written but the picture's cache.

use crate::error::Error;
use crate::option;
use pixels::Budget;
use render::{Job, Memory, Trail};
use scene::{Edit, PieceChange, PieceId, Scene};
use setpiece::Picture;
use setpiece::commands::measure::{Measures, measure};
use setpiece::commands::write::{self, Hands};
use setpiece::rasters::{Kept, Worth};
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use units::{Metres, Primaries, PxRect};

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let width: f64 = match option(&mut args, "--width")? {
        Some(w) => w.parse().map_err(|_| Error::new("--width takes a number of pixels"))?,
        None => 1800.0,
    };
    let only = option(&mut args, "--only")?;
    let [folder] = args.as_slice() else { return Err(Error::new("a picture folder is needed")) };
    let started = Instant::now();
    let look = Picture::look(Path::new(folder))?;
    let budget = Budget::of_bytes(4 << 30);
    let cache = look.folder().cache().ok_or_else(|| Error::new("the picture has no cache of its own"))?;
    let keep = Memory::before(1 << 30, Kept::at(&cache, Worth::Pieces, &budget));
    let mut scene = look.scene().clone();
    let measures = measure(&scene, look.folder(), &budget);
    let shown = |scene: &Scene, since: Instant| -> Result<f64, Error> {
        let resolved = staging::resolve(scene, &measures.measured);
        let factor = width / f64::from(resolved.layout.size.width());
        let layout = resolved.layout.scaled(factor).ok_or_else(|| Error::new("the width is out of range"))?;
        let job = Job {
            layout: &layout,
            sources: &measures.parts,
            keep: &keep,
            budget: &budget,
            threads: std::thread::available_parallelism()?,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        job.picture(layout.size.rect())?;
        Ok(since.elapsed().as_secs_f64())
    };
    let first = shown(&scene, started)?;
    let again = shown(&scene, Instant::now())?;
    let (mut moved, mut on) = (Vec::new(), Vec::new());
    let hand: Vec<PieceId> = scene
        .pieces()
        .iter()
        .filter(|(_, p)| only.as_ref().is_none_or(|only| *only == p.name))
        .map(|(id, _)| *id)
        .take(9)
        .collect();
    for id in hand.clone() {
        let Some(piece) = scene.pieces().get(&id) else { continue };
        let mut mark = piece.mark;
        for step in 0..STEPS {
            mark.x = mark.x + Metres::of(0.05);
            scene.apply(Edit::Change { piece: id, change: PieceChange::Mark(mark) })?;
            let took = shown(&scene, Instant::now())?;
            if step == 0 { moved.push(took) } else { on.push(took) }
        }
    }
    let since = Instant::now();
    let _ = staging::resolve(look.scene(), &measures.measured);
    let resolved = since.elapsed().as_secs_f64();
    let (drags, shares) = dragged((look.scene(), &hand), &measures, width, &budget)?;
    println!(
        "{{\"resolved_s\": {resolved:.4}, \"first_s\": {first:.3}, \"again_s\": {again:.3}, \"one_mark_changed_s\": {}, \"and_on_s\": {}, \"dragged_s\": {}, \"dragged_share\": {}}}",
        spread(moved),
        spread(on),
        spread(drags),
        spread(shares)
    );
    Ok(())
}

/// For each place of each drag: how long it takes from the mark to a screen's codes, and the share of the picture that was drawn.
fn dragged(
    (rest, hand): (&Scene, &[PieceId]),
    measures: &Measures,
    width: f64,
    budget: &Budget,
) -> Result<(Vec<f64>, Vec<f64>), Error> {
    let laid = |scene: &Scene| {
        let layout = staging::resolve(scene, &measures.measured).layout;
        let factor = width / f64::from(layout.size.width());
        layout.scaled(factor).ok_or_else(|| Error::new("the width is out of range"))
    };
    let hands = Hands {
        threads: std::thread::available_parallelism()?,
        budget,
        keep: &Memory::of_bytes(300 << 20),
        cancel: &AtomicBool::new(false),
        progress: &|_| {},
    };
    let parts = &measures.parts;
    let at_rest = laid(rest)?;
    let held = hands.job(&at_rest, parts).held()?;
    let whole = held.size.rect();
    write::screen(&held, parts, (whole, whole), Primaries::Srgb, &hands)?;
    let (mut took, mut shares) = (Vec::new(), Vec::new());
    for id in hand {
        let Some(piece) = rest.pieces().get(id) else { continue };
        let (mut scene, mut mark) = (rest.clone(), piece.mark);
        let mut trail = Trail::new(held.clone(), PxRect::EMPTY);
        for _ in 0..STEPS {
            mark.x = mark.x + Metres::of(0.05);
            scene.apply(Edit::Change { piece: *id, change: PieceChange::Mark(mark) })?;
            let since = Instant::now();
            let stroke = trail.stroke(laid(&scene)?);
            write::screen(&stroke.layout, parts, (whole, stroke.part), Primaries::Srgb, &hands)?;
            took.push(since.elapsed().as_secs_f64());
            shares.push(stroke.part.area() as f64 / whole.area() as f64);
            trail.drawn(stroke);
        }
    }
    Ok((took, shares))
}

/// How often each mark is changed.
const STEPS: usize = 8;

fn spread(mut all: Vec<f64>) -> String {
    all.sort_by(f64::total_cmp);
    let at = |share: f64| all[((all.len() - 1) as f64 * share) as usize];
    format!(
        "{{\"least\": {:.3}, \"median\": {:.3}, \"p95\": {:.3}, \"most\": {:.3}}}",
        at(0.0),
        at(0.5),
        at(0.95),
        at(1.0)
    )
}
