//! Shots before paper whose matte is known.

use crate::error::Error;
use files::Limits;
use pixels::{Budget, Coverage, Image, Rgb};
use std::path::{Path, PathBuf};
use units::{Primaries, PxSize};

/// A shot and what should come of it.
pub(super) struct Shot {
    pub(super) size: PxSize,
    /// Linear light, sRGB primaries.
    pub(super) picture: Image<Rgb>,
    pub(super) matte: Image<Coverage>,
    /// The thing's own light, times its coverage.
    pub(super) own: Vec<[f32; 3]>,
}

/// The folders of shots there are: those of the scenes of the truth, and the project's own.
pub(super) fn folders() -> Vec<PathBuf> {
    let scenes = std::env::var_os("SETPIECE_TRUTH").map(|t| PathBuf::from(t).join("reassembly/scenes"));
    let within = |folder: PathBuf| {
        let read = std::fs::read_dir(folder).into_iter().flatten();
        read.filter_map(|entry| Some(entry.ok()?.path())).collect::<Vec<_>>()
    };
    let own = PathBuf::from("tests/sheets");
    let mut all: Vec<PathBuf> = scenes.map(within).unwrap_or_default();
    all.extend(within(own.clone()));
    all.push(own);
    all.retain(|folder| folder.join("shots").is_dir() && folder.join("mattes").is_dir());
    all.sort();
    all
}

/// Names of a folder's shots that have a matte, in order.
pub(super) fn names(folder: &Path) -> Result<Vec<String>, Error> {
    let shots = folder.join("shots");
    let told = |e: std::io::Error| Error::new(format!("{}: {e}", shots.display()));
    let mut names = Vec::new();
    for file in std::fs::read_dir(&shots).map_err(told)? {
        let path = file.map_err(told)?.path();
        names.extend(path.file_stem().map(|stem| stem.to_string_lossy().into_owned()));
    }
    names.retain(|name| folder.join("mattes").join(format!("{name}.png")).exists());
    names.sort();
    Ok(names)
}

/// A shot of a folder.
pub(super) fn read(folder: &Path, name: &str, budget: &Budget) -> Result<Shot, Error> {
    let kinds = ["png", "jpg", "tif"].map(|kind| folder.join("shots").join(format!("{name}.{kind}")));
    let path = kinds.iter().find(|p| p.exists()).ok_or_else(|| Error::new("no shot as PNG, JPEG or TIFF"))?;
    let read = |path: &Path| files::read(path, &Limits::default(), budget);
    let shot = read(path)?;
    let (size, picture) = (shot.size(), shot.to_rgb(Primaries::Srgb, budget)?);
    let matte = read(&folder.join("mattes").join(format!("{name}.png")))?.to_coverage(budget)?;
    if matte.place() != picture.place() {
        return Err(Error::new("the matte has not the size of its shot"));
    }
    let colours = folder.join("colours").join(format!("{name}.png"));
    let own = if colours.exists() {
        let brighter = stops(folder, name)?;
        let colours = read(&colours)?.to_rgb(Primaries::Srgb, budget)?;
        let scale = units::math::pow(2.0, -brighter) as f32;
        let own = |((c, a), seen): ((&Rgb, &Coverage), &Rgb)| {
            // Black says that the shot itself shows it.
            let is_told = c.0.iter().any(|v| *v > 0.0);
            let light = if is_told { c.0.map(|v| v * scale) } else { seen.0 };
            light.map(|v| v * a.0)
        };
        colours.pixels().iter().zip(matte.pixels()).zip(picture.pixels()).map(own).collect()
    } else {
        // Where none is kept: what is found by the true matte.
        let found = cutting::foreground::foreground(&picture, &matte, budget)?;
        found.pixels().iter().zip(matte.pixels()).map(|(c, a)| c.0.map(|v| v * a.0)).collect()
    };
    Ok(Shot { size, picture, matte, own })
}

/// By how many stops a shot's colours are kept brighter than they are.
fn stops(folder: &Path, name: &str) -> Result<f64, Error> {
    let mut found = 0.0;
    for file in std::fs::read_dir(folder)?.filter_map(Result::ok) {
        if file.path().extension().is_some_and(|e| e == "json") {
            let all: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(file.path())?)
                .map_err(|e| Error::new(format!("{}: {e}", file.path().display())))?;
            look(&all, &format!("colours/{name}.png"), &mut found);
        }
    }
    Ok(found)
}

fn look(value: &serde_json::Value, colours: &str, found: &mut f64) {
    if value["foreground"].as_str() == Some(colours) {
        *found = value["foreground_stops"].as_f64().unwrap_or(0.0);
    }
    match value {
        serde_json::Value::Array(all) => all.iter().for_each(|v| look(v, colours, found)),
        serde_json::Value::Object(all) => all.values().for_each(|v| look(v, colours, found)),
        _ => (),
    }
}

/// Whatever is within so many columns and rows of what `is`.
pub(super) fn widened(is: &[bool], (w, h): (usize, usize), reach: usize) -> Vec<bool> {
    let along = |is: &[bool], count: usize, length: usize, at: &dyn Fn(usize, usize) -> usize| {
        let mut out = vec![false; is.len()];
        for line in 0..count {
            let mut until = 0;
            for k in 0..length + reach {
                if k < length && is[at(line, k)] {
                    until = k + 2 * reach + 1;
                }
                if k >= reach && k < until {
                    out[at(line, k - reach)] = true;
                }
            }
        }
        out
    };
    let rows = along(is, h, w, &|line, k| line * w + k);
    along(&rows, w, h, &|line, k| k * w + line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_within_reach_is_taken_in() {
        let (w, h) = (11, 7);
        let is: Vec<bool> = (0..w * h).map(|i| [25, 40].contains(&i)).collect();
        for reach in [0, 1, 3] {
            let found = widened(&is, (w, h), reach);
            for i in 0..w * h {
                let near = |j: &usize| (i % w).abs_diff(j % w) <= reach && (i / w).abs_diff(j / w) <= reach;
                assert_eq!(found[i], [25, 40].iter().any(near), "{reach} {i}");
            }
        }
    }
}
