//! Cuts out shots before paper by themselves, and measures against their true mattes.
//!
//! A folder of shots has `shots` and, named alike, `mattes` (linear coverage); `colours`, where it is there, holds the thing's own
//! colour in sRGB, black where it is not needed, brighter by the `foreground_stops` that a JSON file beside it tells. Each shot
//! is cut out by itself and once more by a good trimap, made from the truth, which tells what the matte could be. The cut-out is
//! laid on a dark and on a light ground, and compared with the true one laid there, where paper is mixed in.

mod ground;
mod truth;

use crate::error::Error;
use crate::option;
use cutting::matting::{Effort, Trimap, matte};
use cutting::{foreground, sheet};
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth};
use ground::{Laid, laid};
use pixels::{Budget, Coverage, Image};
use std::path::{Path, PathBuf};
use truth::Shot;

const HEAD: &str = "\
| shot | SAD by itself | SAD by a good trimap | ratio | dark: CIEDE2000 mean | p99 | light: mean | p99 |
|---|---|---|---|---|---|---|---|
";

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let out = option(&mut args, "--out")?;
    let only = option(&mut args, "--only")?;
    let folders = if args.is_empty() { truth::folders() } else { args.iter().map(PathBuf::from).collect() };
    if folders.is_empty() {
        return Err(Error::new(
            "no shots: name folders that hold shots and mattes, or set SETPIECE_TRUTH to where the truth is",
        ));
    }
    let budget = Budget::of_bytes(8 << 30);
    let mut rows = Vec::new();
    print!("{HEAD}");
    for folder in &folders {
        for name in truth::names(folder)? {
            if only.as_deref().is_some_and(|only| only.split(',').all(|o| o.trim() != name)) {
                continue;
            }
            let told = |e: Error| Error::new(format!("{}, {name}: {e}", folder.display()));
            let row = measured(folder, &name, out.as_deref().map(Path::new), &budget).map_err(told)?;
            println!("{}", row.words());
            rows.push(row);
        }
    }
    println!("{}", mean(&rows).words());
    Ok(())
}

/// What is told of a shot.
struct Row {
    name: String,
    by_itself: f64,
    by_trimap: f64,
    dark: Laid,
    light: Laid,
}

impl Row {
    fn words(&self) -> String {
        let Self { name, by_itself, by_trimap, dark, light } = self;
        format!(
            "| {name} | {by_itself:.3} | {by_trimap:.3} | {:.2} | {:.2} | {:.1} | {:.2} | {:.1} |",
            by_itself / by_trimap.max(1e-9),
            dark.mean,
            dark.high,
            light.mean,
            light.high
        )
    }
}

fn mean(rows: &[Row]) -> Row {
    let of = |pick: &dyn Fn(&Row) -> f64| rows.iter().map(pick).sum::<f64>() / rows.len().max(1) as f64;
    let laid =
        |pick: &dyn Fn(&Row) -> Laid| Laid { mean: of(&|r| pick(r).mean), high: of(&|r| pick(r).high) };
    Row {
        name: format!("mean of {}", rows.len()),
        by_itself: of(&|r| r.by_itself),
        by_trimap: of(&|r| r.by_trimap),
        dark: laid(&|r| r.dark),
        light: laid(&|r| r.light),
    }
}

fn measured(folder: &Path, name: &str, out: Option<&Path>, budget: &Budget) -> Result<Row, Error> {
    let shot = truth::read(folder, name, budget)?;
    let found = sheet::found(&shot.picture, budget)?
        .map_err(|e| Error::new(format!("no sheet of paper was found: {e:?}")))?;
    let ours = matte(&shot.picture, &found.trimap, Effort::Best, budget)?;
    let own = foreground::foreground(&shot.picture, &ours, budget)?;
    let good = matte(&shot.picture, &good_trimap(&shot, budget)?, Effort::Best, budget)?;
    let on = |light: f32| laid(&shot, &ours, &own, [light; 3]);
    let row = Row {
        name: format!("{} {name}", folder.file_name().unwrap_or_default().to_string_lossy()),
        by_itself: sad(&ours, &shot.matte),
        by_trimap: sad(&good, &shot.matte),
        dark: on(ground::DARK),
        light: on(ground::LIGHT),
    };
    if let Some(out) = out {
        let to = out.join(folder.file_name().unwrap_or_default());
        std::fs::create_dir_all(&to)?;
        write(&to.join(format!("{name}.png")), &ours, shot.size)?;
    }
    Ok(row)
}

/// Sum of the differences, in thousands of pixels.
fn sad(a: &Image<Coverage>, b: &Image<Coverage>) -> f64 {
    a.pixels().iter().zip(b.pixels()).map(|(a, b)| f64::from((a.0 - b.0).abs())).sum::<f64>() / 1000.0
}

/// From the truth: outside farther than this from any part of the thing, inside farther than that from any part not covered;
/// where nothing is so thick, a narrower margin inwards.
const OUTWARDS: usize = 10;
const INWARDS: [usize; 3] = [14, 6, 3];
const THICK: usize = 2000;

fn good_trimap(shot: &Shot, budget: &Budget) -> Result<Trimap, Error> {
    let (w, h) = (shot.matte.width(), shot.matte.height());
    let near = |is: &dyn Fn(f32) -> bool, reach: usize| {
        let cells: Vec<bool> = shot.matte.samples().iter().map(|a| is(*a)).collect();
        truth::widened(&cells, (w, h), reach)
    };
    let some = near(&|a| a > 0.02, OUTWARDS);
    let part = INWARDS.iter().map(|r| near(&|a| a < 0.98, *r));
    let part =
        part.reduce(|kept, next| if kept.iter().filter(|p| !**p).count() > THICK { kept } else { next });
    let part = part.unwrap_or_else(|| vec![true; w * h]);
    let grey = Image::from_fn(shot.matte.place(), budget, |x, y| {
        let i = y as usize * w + x as usize;
        Coverage(match (some[i], part[i]) {
            (false, _) => 0.0,
            (_, false) => 1.0,
            _ => 0.5,
        })
    })?;
    Ok(Trimap::of_grey(&grey))
}

fn write(to: &Path, matte: &Image<Coverage>, size: units::PxSize) -> Result<(), Error> {
    let codes: Vec<u16> = matte.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
    let file = std::io::BufWriter::new(std::fs::File::create(to)?);
    let description = Description { size, channels: Channels::Grey, colour: None, ppi: None };
    encode::whole(file, description, Form::Png { depth: Depth::U16 }, Codes::U16(&codes))?;
    Ok(())
}
