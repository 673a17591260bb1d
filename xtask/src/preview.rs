//! Times the preview of a picture folder, as the studio would ask for it: first in this process, again, and after one mark has
//! changed. Nothing is written but the picture's cache.

use crate::error::Error;
use crate::option;
use pixels::Budget;
use render::{Job, Memory};
use scene::{Edit, PieceChange};
use setpiece::Picture;
use setpiece::commands::measure::measure;
use setpiece::rasters::Kept;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use units::Metres;

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let width: f64 = match option(&mut args, "--width")? {
        Some(w) => w.parse().map_err(|_| Error::new("--width takes a number of pixels"))?,
        None => 1800.0,
    };
    let [folder] = args.as_slice() else { return Err(Error::new("a picture folder is needed")) };
    let started = Instant::now();
    let look = Picture::look(Path::new(folder))?;
    let budget = Budget::of_bytes(4 << 30);
    let cache = look.folder().cache().ok_or_else(|| Error::new("the picture has no cache of its own"))?;
    let keep = Memory::before(1 << 30, Kept::at(&cache, &budget));
    let mut scene = look.scene().clone();
    let measures = measure(&scene, look.folder(), &budget);
    let shown = |scene: &scene::Scene, since: Instant| -> Result<f64, Error> {
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
    for (id, piece) in scene.pieces().clone().into_iter().take(9) {
        let mut mark = piece.mark;
        for step in 0..STEPS {
            mark.x = mark.x + Metres::of(0.05);
            scene.apply(Edit::Change { piece: id, change: PieceChange::Mark(mark) })?;
            let took = shown(&scene, Instant::now())?;
            if step == 0 { moved.push(took) } else { on.push(took) }
        }
    }
    println!(
        "{{\"first_s\": {first:.3}, \"again_s\": {again:.3}, \"one_mark_changed_s\": {}, \"and_on_s\": {}}}",
        spread(moved),
        spread(on)
    );
    Ok(())
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
