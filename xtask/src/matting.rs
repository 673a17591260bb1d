//! Cuts out pictures whose true alpha is known, and measures the mattes against the truth.
//!
//! The folder holds the sets `alphamatting` and `composed`, and what other methods reached in peer-results.csv; see `truth`. A
//! matte goes to OUT/SET-TRIMAP/NAME.png, grey of 16 bits, and is measured as written; OUT/table.md has all figures. A set
//! whose alpha is itself an estimate, as `lemur`'s is, would rank methods by their likeness to one of them, and is left out.

mod connectivity;
mod figures;
mod gradient;
mod rows;
mod table;
#[cfg(test)]
mod tests;
mod truth;

use crate::error::Error;
use crate::option;
use cutting::matting::{Effort, Sure, matte};
use figures::{Grey, figures};
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth};
use pixels::Budget;
use rows::Row;
use std::path::Path;
use std::time::Instant;
use truth::Case;

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let out = option(&mut args, "--out")?.ok_or_else(|| Error::new("--out DIR is needed"))?;
    let effort = effort(option(&mut args, "--effort")?.as_deref())?;
    let only = option(&mut args, "--only")?;
    let [folder] = args.as_slice() else {
        return Err(Error::new("one folder of truth is needed, and nothing else is understood"));
    };
    let (folder, out) = (Path::new(folder), Path::new(&out));
    let peers = rows::read(&std::fs::read_to_string(folder.join("peer-results.csv")).unwrap_or_default())?;
    let mut ours = Vec::new();
    for (set, trimap, name) in chosen(folder, only.as_deref())? {
        let to = out.join(format!("{set}-{trimap}"));
        std::fs::create_dir_all(&to)?;
        let budget = Budget::of_bytes(8 << 30);
        let case = truth::read(&folder.join(set), trimap, &name, &budget)?;
        let cut =
            cut(&case, effort, &budget).map_err(|e| Error::new(format!("{set}, {trimap}, {name}: {e}")))?;
        write(&to.join(format!("{name}.png")), &case, &cut.alpha)?;
        let row = row((set, trimap, &name), &case, &cut);
        println!("{set} {trimap} {name} SAD {:.3}, {:.2} s", row.figures.sad, cut.seconds);
        ours.push(row);
    }
    let table = table::table(&ours, &peers);
    std::fs::write(out.join("table.md"), &table)?;
    print!("\n{table}");
    Ok(())
}

/// Set, trimap and name of every picture of the folder, or of those named alone.
fn chosen(folder: &Path, only: Option<&str>) -> Result<Vec<(&'static str, &'static str, String)>, Error> {
    let mut all = Vec::new();
    for (set, trimap) in truth::SETS.into_iter().filter(|(set, _)| folder.join(set).is_dir()) {
        all.extend(truth::names(&folder.join(set))?.into_iter().map(|name| (set, trimap, name)));
    }
    if all.is_empty() {
        return Err(Error::new(format!("{}: no set with pictures in alpha", folder.display())));
    }
    let Some(only) = only else { return Ok(all) };
    let only: Vec<&str> = only.split(',').map(str::trim).collect();
    if let Some(unknown) = only.iter().find(|name| !all.iter().any(|(.., there)| there == *name)) {
        return Err(Error::new(format!("--only {unknown}: {} has no such picture", folder.display())));
    }
    all.retain(|(.., name)| only.contains(&name.as_str()));
    Ok(all)
}

fn effort(named: Option<&str>) -> Result<Effort, Error> {
    match named {
        None | Some("best") => Ok(Effort::Best),
        Some("quick") => Ok(Effort::Quick),
        Some(other) => Err(Error::new(format!("--effort {other}: say best or quick"))),
    }
}

/// What the engine made of a picture.
struct Cut {
    /// Coverage in 16-bit codes.
    alpha: Vec<u16>,
    /// Of the engine's own work.
    seconds: f64,
}

/// The matte; where the trimap is sure, it is right.
fn cut(case: &Case, effort: Effort, budget: &Budget) -> Result<Cut, Error> {
    let started = Instant::now();
    let matte = matte(&case.picture, &case.trimap, effort, budget)?;
    let seconds = started.elapsed().as_secs_f64();
    if matte.place() != case.picture.place() {
        return Err(Error::new("the matte does not stand where the picture does"));
    }
    if let Some(at) = matte.samples().iter().position(|v| !v.is_finite()) {
        let (x, y) = (at % matte.width(), at / matte.width());
        return Err(Error::new(format!("the matte is not a number at column {x}, row {y}")));
    }
    let code = |(sure, v): (&Sure, &f32)| match sure {
        Sure::Outside => 0,
        Sure::Between => (f64::from(*v).clamp(0.0, 1.0) * 65535.0).round() as u16,
        Sure::Inside => u16::MAX,
    };
    let alpha = case.trimap.cells().iter().zip(matte.samples()).map(code).collect();
    Ok(Cut { alpha, seconds })
}

fn row((set, trimap, name): (&str, &str, &str), case: &Case, cut: &Cut) -> Row {
    let ours =
        Grey { width: case.truth.width, values: cut.alpha.iter().map(|c| f64::from(*c) / 65535.0).collect() };
    Row {
        set: set.to_owned(),
        trimap: trimap.to_owned(),
        name: name.to_owned(),
        method: rows::OURS.to_owned(),
        figures: figures(&ours, &case.truth, &case.between()),
        seconds: Some(cut.seconds),
    }
}

fn write(to: &Path, case: &Case, codes: &[u16]) -> Result<(), Error> {
    let file = std::io::BufWriter::new(std::fs::File::create(to)?);
    let description = Description { size: case.size, channels: Channels::Grey, colour: None, ppi: None };
    encode::whole(file, description, Form::Png { depth: Depth::U16 }, Codes::U16(codes))?;
    Ok(())
}
