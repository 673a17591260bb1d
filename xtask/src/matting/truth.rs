//! The pictures whose alpha is known.
//!
//! A set is a folder with `image`, `alpha` and one or more folders of trimaps, each with a NAME.png for every picture. Of the
//! trimaps, which are palette or colour pictures in part, the first channel is read; of an alpha, its alpha channel where it has
//! one, else its first.

use super::figures::Grey;
use crate::error::Error;
use cutting::matting::{Sure, Trimap};
use files::{Limits, Photograph, Samples};
use pixels::{Budget, Coverage, Image, Rgb};
use std::path::Path;
use units::{Primaries, PxSize};

/// The sets, each with its trimaps.
pub(super) const SETS: [(&str, &str); 3] =
    [("alphamatting", "trimap1"), ("alphamatting", "trimap2"), ("composed", "trimap")];

/// A picture to be cut out, and what should come of it.
pub(super) struct Case {
    pub(super) size: PxSize,
    /// Linear light, sRGB primaries.
    pub(super) picture: Image<Rgb>,
    pub(super) trimap: Trimap,
    pub(super) truth: Grey,
}

impl Case {
    /// The pixels that the trimap leaves open.
    pub(super) fn between(&self) -> Vec<bool> {
        self.trimap.cells().iter().map(|sure| *sure == Sure::Between).collect()
    }
}

/// The names of a set's pictures, in order.
pub(super) fn names(set: &Path) -> Result<Vec<String>, Error> {
    let alphas = set.join("alpha");
    let told = |e: std::io::Error| Error::new(format!("{}: {e}", alphas.display()));
    let mut names = Vec::new();
    for file in std::fs::read_dir(&alphas).map_err(told)? {
        let name = file.map_err(told)?.file_name().to_string_lossy().into_owned();
        names.extend(name.strip_suffix(".png").map(str::to_owned));
    }
    names.sort();
    Ok(names)
}

/// A picture of a set, with one of its trimaps.
pub(super) fn read(set: &Path, trimap: &str, name: &str, budget: &Budget) -> Result<Case, Error> {
    let of = |folder: &str| {
        let path = set.join(folder).join(format!("{name}.png"));
        files::read(&path, &Limits::default(), budget).map(|photograph| (path, photograph))
    };
    let (_, image) = of("image")?;
    let size = image.size();
    let sized = |folder: &str| match of(folder)? {
        (_, photograph) if photograph.size() == size => Ok(photograph),
        (path, _) => Err(Error::new(format!("{}: has not the size of its picture", path.display()))),
    };
    let truth = alpha(&sized("alpha")?);
    let grey = first_channel(&sized(trimap)?);
    let at = |x: i64, y: i64| Coverage(grey.values[y as usize * grey.width + x as usize] as f32);
    let trimap = Trimap::of_grey(&Image::from_fn(size.rect(), budget, at)?);
    Ok(Case { size, picture: image.to_rgb(Primaries::Srgb, budget)?, trimap, truth })
}

fn alpha(photograph: &Photograph) -> Grey {
    let channels = photograph.channels();
    channel(photograph, if channels.has_alpha() { channels.colours() } else { 0 })
}

fn first_channel(photograph: &Photograph) -> Grey {
    channel(photograph, 0)
}

fn channel(photograph: &Photograph, number: usize) -> Grey {
    let every = photograph.channels().count();
    let values = match photograph.samples() {
        Samples::U8(v) => v.iter().skip(number).step_by(every).map(|c| f64::from(*c) / 255.0).collect(),
        Samples::U16(v) => v.iter().skip(number).step_by(every).map(|c| f64::from(*c) / 65535.0).collect(),
        Samples::F32(v) => v.iter().skip(number).step_by(every).map(|v| f64::from(*v)).collect(),
    };
    Grey { width: photograph.size().width() as usize, values }
}
