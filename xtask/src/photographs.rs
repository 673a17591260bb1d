//! Cuts real photographs out by strokes, and lays them side by side: the photograph with its strokes, its matte, and the cut-out on
//! a dark and a light ground.
//!
//! The strokes are those of tests/photographs; the photographs lie in a folder, each named as its strokes are (see
//! tests/photographs/README.md, and fetch.sh beside it). A matte goes to OUT/NAME.png, the sheet to OUT/sheet.png and, reduced,
//! to OUT/sheet.jpg.

use crate::error::Error;
use crate::option;
use cutting::foreground::foreground;
use cutting::matting::{Effort, Sure, matte};
use cutting::pen::Stroke;
use cutting::regions::{Prepared, Said};
use files::encode::{self, Codes, Description, Form, Sampling};
use files::{Channels, Depth, Limits};
use pixels::encode::{Encoder, Transfer};
use pixels::{Budget, Coverage, Image, Rgb};
use setpiece::commands::strokes::{Strokes, for_cutting};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::time::Instant;
use units::{Primaries, PxRect, PxSize};

/// Columns and rows of a panel; panels stand four in a row.
const PANEL: (i64, i64) = (320, 240);
const GROUNDS: [[f32; 3]; 2] = [[0.02, 0.025, 0.04], [0.75, 0.74, 0.70]];

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let out = option(&mut args, "--out")?.ok_or_else(|| Error::new("--out DIR is needed"))?;
    let only = option(&mut args, "--only")?;
    let [folder] = args.as_slice() else {
        return Err(Error::new("one folder of photographs is needed, and nothing else is understood"));
    };
    std::fs::create_dir_all(&out)?;
    let wanted: Option<Vec<&str>> = only.as_deref().map(|o| o.split(',').map(str::trim).collect());
    let mut sheet = Vec::new();
    for (name, strokes) in drawn()? {
        if wanted.as_ref().is_some_and(|w| !w.contains(&name.as_str())) {
            continue;
        }
        let Some(shot) = shot(Path::new(folder), &name) else {
            println!("{name}: no such photograph in {folder}");
            continue;
        };
        sheet.push(cut(&name, &shot, &strokes, Path::new(&out))?);
    }
    if sheet.is_empty() {
        return Err(Error::new(format!("{folder}: none of the photographs is there")));
    }
    write_sheet(&sheet, Path::new(&out))
}

/// The strokes files, by name.
fn drawn() -> Result<Vec<(String, PathBuf)>, Error> {
    let mut found = Vec::new();
    for file in std::fs::read_dir(xtask::root().join("tests/photographs"))? {
        let path = file?.path();
        if let (Some("json"), Some(name)) = (path.extension().and_then(|e| e.to_str()), path.file_stem()) {
            found.push((name.to_string_lossy().into_owned(), path));
        }
    }
    found.sort();
    Ok(found)
}

fn shot(folder: &Path, name: &str) -> Option<PathBuf> {
    ["jpg", "png", "tif", "webp"]
        .map(|e| folder.join(format!("{name}.{e}")))
        .into_iter()
        .find(|p| p.is_file())
}

/// The four panels of a photograph.
fn cut(name: &str, shot: &Path, strokes: &Path, out: &Path) -> Result<[Image<Rgb>; 4], Error> {
    let budget = Budget::of_bytes(12 << 30);
    let told = |e: setpiece::commands::Error| Error::new(e.to_string());
    let read = files::read(shot, &Limits::default(), &budget)?;
    let size = read.size();
    let picture = read.to_rgb(Primaries::Srgb, &budget)?;
    drop(read);
    let strokes = for_cutting(&Strokes::read(strokes).map_err(told)?.over(size).map_err(told)?);
    let begun = Instant::now();
    let prepared = Prepared::of(&picture, &budget)?;
    let ready = begun.elapsed().as_secs_f64();
    let trimap = prepared.trimap(&strokes, &budget)?;
    let found = begun.elapsed().as_secs_f64() - ready;
    let trimap = trimap.map_err(|e| Error::new(format!("{name}: nothing is said of what is {e}")))?;
    let between = trimap.cells().iter().filter(|s| **s == Sure::Between).count() as f64 / size.area() as f64;
    let matte = matte(&picture, &trimap, Effort::Quick, &budget)?;
    let own = foreground(&picture, &matte, &budget)?;
    println!(
        "{name}: {} x {}, ready in {ready:.2} s, found in {found:.2} s, matte and colour in {:.1} s, {:.1} % between",
        size.width(),
        size.height(),
        begun.elapsed().as_secs_f64() - ready - found,
        between * 100.0
    );
    let codes: Vec<u16> = matte.samples().iter().map(|v| (v * 65535.0).round() as u16).collect();
    let grey = Description { size, channels: Channels::Grey, colour: None, ppi: None };
    let file = BufWriter::new(std::fs::File::create(out.join(format!("{name}.png")))?);
    encode::whole(file, grey, Form::Png { depth: Depth::U16 }, Codes::U16(&codes))?;
    let reduce = |at: &dyn Fn(i64, i64) -> [f32; 3]| reduced(size, at, &budget);
    let laid = |ground: [f32; 3]| {
        reduce(&|x, y| {
            let (a, own) = (matte.at(x, y).0, own.at(x, y).0);
            std::array::from_fn(|c| a * own[c] + (1.0 - a) * ground[c])
        })
    };
    Ok([
        with_strokes(reduce(&|x, y| picture.at(x, y).0)?, size, &strokes, &budget)?,
        reduce(&|x, y| [(matte.at(x, y).0 as f64).powi(2) as f32; 3])?,
        laid(GROUNDS[0])?,
        laid(GROUNDS[1])?,
    ])
}

/// As large as a panel holds.
fn reduced(size: PxSize, at: &dyn Fn(i64, i64) -> [f32; 3], budget: &Budget) -> Result<Image<Rgb>, Error> {
    let (w, h) = (i64::from(size.width()), i64::from(size.height()));
    let (u, v) = if w * PANEL.1 > h * PANEL.0 {
        (PANEL.0, (h * PANEL.0 / w).max(1))
    } else {
        ((w * PANEL.1 / h).max(1), PANEL.1)
    };
    let bounds = |i: i64, of: i64, n: i64| i * n / of..((i + 1) * n / of).max(i * n / of + 1).min(n);
    Ok(Image::from_fn(PxRect::new(0, 0, u, v), budget, |x, y| {
        let (mut sum, mut count) = ([0.0; 3], 0.0);
        for (x, y) in bounds(y, v, h).flat_map(|y| bounds(x, u, w).map(move |x| (x, y))) {
            let p = at(x, y);
            (0..3).for_each(|c| sum[c] += p[c]);
            count += 1.0;
        }
        Rgb(sum.map(|s| s / count))
    })?)
}

fn with_strokes(
    mut small: Image<Rgb>,
    size: PxSize,
    strokes: &[(Said, Stroke)],
    budget: &Budget,
) -> Result<Image<Rgb>, Error> {
    let by = small.width() as f64 / f64::from(size.width());
    for (said, stroke) in strokes {
        let colour = match said {
            Said::Inside => [0.05, 0.8, 0.1],
            Said::Outside => [0.9, 0.03, 0.03],
            Said::Between => [0.1, 0.3, 1.0],
        };
        let Some(stroke) = stroke.scaled(by) else { continue };
        let drawn: Image<Coverage> = stroke.drawn(small.place(), budget)?;
        let reach = drawn.place();
        for (x, y) in (reach.y0()..reach.y1()).flat_map(|y| (reach.x0()..reach.x1()).map(move |x| (x, y))) {
            let a = drawn.at(x, y).0;
            let p = &mut small.row_mut(y)[x as usize];
            p.0 = std::array::from_fn(|c| a * colour[c] + (1.0 - a) * p.0[c]);
        }
    }
    Ok(small)
}

/// Two photographs in a row.
fn write_sheet(panels: &[[Image<Rgb>; 4]], out: &Path) -> Result<(), Error> {
    let budget = Budget::of_bytes(4 << 30);
    let gap = 4;
    let rows = panels.len().div_ceil(2) as i64;
    let place = PxRect::new(0, 0, 8 * (PANEL.0 + gap) - gap, rows * (PANEL.1 + gap) - gap);
    let mut sheet = Image::from_fn(place, &budget, |_, _| Rgb([0.9; 3]))?;
    for (i, four) in panels.iter().enumerate() {
        for (k, panel) in four.iter().enumerate() {
            let x0 = ((i % 2) as i64 * 4 + k as i64) * (PANEL.0 + gap);
            let y0 = (i / 2) as i64 * (PANEL.1 + gap);
            for y in 0..panel.height() as i64 {
                let row = &mut sheet.row_mut(y0 + y)[x0 as usize..][..panel.width()];
                row.copy_from_slice(panel.row(y));
            }
        }
    }
    let mut codes = vec![0u8; sheet.samples().len()];
    Encoder::of(Transfer::Srgb).u8s(sheet.samples(), &mut codes);
    let size = PxSize::new(place.width() as u32, place.height() as u32)
        .ok_or_else(|| Error::new("the sheet would be too large: name fewer photographs with --only"))?;
    let rgb = Description {
        size,
        channels: Channels::Rgb,
        colour: Some((Primaries::Srgb, Transfer::Srgb)),
        ppi: None,
    };
    for (name, form) in [
        ("sheet.png", Form::Png { depth: Depth::U8 }),
        ("sheet.jpg", Form::Jpeg { quality: 82, sampling: Sampling::Full }),
    ] {
        let file = BufWriter::new(std::fs::File::create(out.join(name))?);
        encode::whole(file, rgb, form, Codes::U8(&codes))?;
    }
    println!("{}", out.join("sheet.png").display());
    Ok(())
}
