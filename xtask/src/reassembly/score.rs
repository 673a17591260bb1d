//! What a rendered scene is worth: measured against its truth. Here alone a scene's answers are read.

use super::card::{self, Card, Plane};
use super::metrics::{Encoded, Figures, Maps, gaussian};
use crate::error::Error;
use crate::share;
use files::{Channels, Limits, Photograph, Samples};
use pixels::Budget;
use pixels::encode::Transfer;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::path::Path;
use units::math;

/// A scene's figures.
pub(super) enum Score {
    /// Of a picture as photographers make them: over the whole, over what its pieces cover, and over the ground that they darken or tint.
    Natural { whole: Figures, pieces: Option<Figures>, ground: Option<Figures> },
    /// Of test cards.
    Cards { whole: Figures, cards: Vec<Found> },
}

/// A card, as it was found and as it should be.
pub(super) struct Found {
    pub(super) name: String,
    /// Pixels from its place.
    pub(super) place_error: f64,
    /// Pixels.
    pub(super) size_error: f64,
    /// Degrees.
    pub(super) turn_error: f64,
    /// Diameter of the blur disc in pixels.
    pub(super) disc: f64,
    pub(super) expected_disc: f64,
    /// Root mean square of what the fit leaves, in 8-bit steps.
    pub(super) rms: f64,
}

impl Found {
    /// Within half a pixel of its place, and a pixel of its size.
    pub(super) fn in_place(&self) -> bool {
        self.place_error <= 0.5 && self.size_error.abs() <= 1.0
    }

    /// Within 3 % of its blur disc, or 0.3 pixels.
    pub(super) fn blur_fits(&self) -> bool {
        (self.disc - self.expected_disc).abs() <= (0.03 * self.expected_disc).max(0.3)
    }
}

#[derive(Deserialize)]
struct Facts {
    kind: Kind,
}

#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "lowercase")]
enum Kind {
    Natural,
    Card,
}

#[derive(Deserialize)]
struct Answers<P> {
    pieces: Vec<P>,
}

#[derive(Deserialize)]
struct Masked {
    mask: String,
}

#[derive(Deserialize)]
struct Placed {
    name: String,
    /// Lower left, lower right, and on round.
    corners_px: Vec<[f64; 2]>,
    centre_px: [f64; 2],
    blur_disc_px: f64,
}

/// The ground that the pieces change: more than this, after a Gaussian of three pixels.
const CHANGED: f64 = 2.5 / 255.0;

/// Scores a picture; `None` where the scene's folder holds no truth.
pub(super) fn score(folder: &Path, rendered: &Path) -> Result<Option<Score>, Error> {
    if !folder.join("truth.png").is_file() || !folder.join("answers").join("pieces.json").is_file() {
        return Ok(None);
    }
    let facts: Facts = json(&folder.join("scene.json"))?;
    let truth = encoded(&folder.join("truth.png"))?;
    let (backdrop, ours) = (encoded(&folder.join("backdrop.png"))?, encoded(rendered)?);
    for (picture, path) in [(&backdrop, folder.join("backdrop.png")), (&ours, rendered.to_path_buf())] {
        if (picture.width, picture.pixels.len()) != (truth.width, truth.pixels.len()) {
            return Err(Error::new(format!("{}: has not the size of the truth", path.display())));
        }
    }
    let maps = Maps::new(&truth, &ours);
    let whole = maps.figures(|_| true).ok_or_else(|| Error::new("the truth is empty"))?;
    Ok(Some(match facts.kind {
        Kind::Natural => {
            let pieces = covered(folder, truth.pixels.len())?;
            let changed = changed(&truth, &backdrop);
            let ground = maps.figures(|i| changed[i] && !pieces[i]);
            Score::Natural { whole, pieces: maps.figures(|i| pieces[i]), ground }
        }
        Kind::Card => Score::Cards { whole, cards: cards(folder, &ours, &backdrop)? },
    }))
}

fn json<T: DeserializeOwned>(path: &Path) -> Result<T, Error> {
    let told = |e: &dyn std::fmt::Display| Error::new(format!("{}: {e}", path.display()));
    serde_json::from_str(&std::fs::read_to_string(path).map_err(|e| told(&e))?).map_err(|e| told(&e))
}

fn photograph(path: &Path) -> Result<Photograph, Error> {
    let budget = Budget::of_bytes(4 << 30);
    files::read(path, &Limits::default(), &budget).map_err(|e| Error::new(format!("{}: {e}", path.display())))
}

fn encoded(path: &Path) -> Result<Encoded, Error> {
    let photograph = photograph(path)?;
    let width = photograph.size().width() as usize;
    let pixels = match (photograph.channels(), photograph.samples()) {
        (Channels::Rgb, Samples::U8(v)) => triples(v, 255.0),
        (Channels::Rgb, Samples::U16(v)) => triples(v, 65535.0),
        _ => return Err(Error::new(format!("{}: is not RGB of 8 or 16 bits", path.display()))),
    };
    Ok(Encoded { width, pixels })
}

fn triples<S: Copy + Into<f64>>(codes: &[S], white: f64) -> Vec<[f64; 3]> {
    codes.as_chunks::<3>().0.iter().map(|p| p.map(|c| c.into() / white)).collect()
}

/// Where any piece is seen.
fn covered(folder: &Path, area: usize) -> Result<Vec<bool>, Error> {
    let folder = folder.join("answers");
    let answers: Answers<Masked> = json(&folder.join("pieces.json"))?;
    let mut covered = vec![false; area];
    for piece in answers.pieces {
        let path = folder.join(&piece.mask);
        let mask = photograph(&path)?.to_coverage(&Budget::of_bytes(1 << 30))?;
        if mask.pixels().len() != area {
            return Err(Error::new(format!("{}: has not the size of the truth", path.display())));
        }
        for (c, m) in covered.iter_mut().zip(mask.pixels()) {
            *c |= m.0 > 0.5;
        }
    }
    Ok(covered)
}

/// Where truth and backdrop differ, in any channel.
fn changed(truth: &Encoded, backdrop: &Encoded) -> Vec<bool> {
    let mut changed = vec![false; truth.pixels.len()];
    for c in 0..3 {
        let apart: Vec<f64> = truth.pixels.iter().zip(&backdrop.pixels).map(|(t, b)| t[c] - b[c]).collect();
        for (is, d) in changed.iter_mut().zip(gaussian(&apart, truth.width, 3.0, 12)) {
            *is |= d.abs() > CHANGED;
        }
    }
    changed
}

fn cards(folder: &Path, ours: &Encoded, backdrop: &Encoded) -> Result<Vec<Found>, Error> {
    let path = folder.join("answers").join("pieces.json");
    let answers: Answers<Placed> = json(&path)?;
    let [ours, backdrop] = [ours, backdrop].map(|p| Plane {
        width: p.width,
        values: p.pixels.iter().map(|v| Transfer::Srgb.decode(v[1])).collect(),
    });
    share(std::thread::available_parallelism()?, answers.pieces.len(), &|i| {
        let placed = &answers.pieces[i];
        let [left, right, ..] = placed.corners_px[..] else {
            return Err(Error::new(format!("{}: {} has no corners", path.display(), placed.name)));
        };
        let edge = [right[0] - left[0], right[1] - left[1]];
        let expected = Card {
            place: placed.centre_px,
            size: math::hypot(edge[0], edge[1]),
            turn: math::atan2(edge[1], edge[0]),
            disc: placed.blur_disc_px,
        };
        let (card, rms) = card::measure(&ours, &backdrop, &expected);
        let off = [0, 1].map(|c| card.place[c] - expected.place[c]);
        Ok(Found {
            name: placed.name.clone(),
            place_error: math::hypot(off[0], off[1]),
            size_error: card.size - expected.size,
            turn_error: math::degrees(card.turn - expected.turn),
            disc: card.disc,
            expected_disc: expected.disc,
            rms,
        })
    })
}
