//! Where a change goes: into the picture itself, or laid over it in a take.

use super::{Error, names};
use crate::{Picture, Timestamp};
use scene::{Edit, Scene, TakeId};

/// Where a change goes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Layer {
    /// Into the picture, and so under every take.
    #[default]
    Picture,
    /// Over the picture, in one take alone.
    Take(TakeId),
}

impl Layer {
    /// The picture, or the take of this name.
    ///
    /// # Errors
    /// Where there is no such take.
    pub fn named(scene: &Scene, take: Option<&str>) -> Result<Self, Error> {
        take.map_or(Ok(Self::Picture), |name| names::take(scene, name).map(Self::Take))
    }
}

/// What was done: the journal's line, and its sentence.
#[derive(Clone, PartialEq, Eq, Debug, serde::Serialize)]
pub struct Done {
    /// Number of the line in the journal; none where nothing changed, and nothing was written.
    pub number: Option<u64>,
    /// What it did, in words.
    pub says: String,
    /// What is odd about the files that came in with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// The picture as a layer shows it.
#[must_use]
pub fn seen(scene: &Scene, layer: Layer) -> Scene {
    match layer {
        Layer::Picture => scene.clone(),
        Layer::Take(take) => scene.seen_as(take).0,
    }
}

/// Carries out the edit that `make` proposes for the picture as the layer shows it; one that changes nothing is not written.
///
/// # Errors
/// Where `make` refuses, or the edit does not fit, or the disk refuses; the picture is as it was.
pub fn carry_out(
    picture: &mut Picture,
    layer: Layer,
    at: Timestamp,
    make: impl FnOnce(&Scene) -> Result<Edit, Error>,
) -> Result<Done, Error> {
    let mut seen = seen(picture.scene(), layer);
    let edit = make(&seen).map_err(|e| e.named(&seen))?;
    let edit = match layer {
        Layer::Picture => edit,
        Layer::Take(take) => {
            // A take keeps what does not fit and passes it over: it must be asked before.
            seen.apply(edit.clone()).map_err(|e| Error::from(e).named(&seen))?;
            picture.scene().laid_in_take(take, edit)?
        }
    };
    let accepted = picture.edit(edit, at);
    Ok(match accepted.map_err(|e| Error::from(e).named(picture.scene()))? {
        Some(accepted) => done(picture, accepted.number),
        None => {
            Done { number: None, says: "Nothing changed: it was so already".to_owned(), notes: Vec::new() }
        }
    })
}

/// What the journal says of a line that was just accepted.
pub(crate) fn done(picture: &Picture, number: u64) -> Done {
    let entry = picture.log().iter().rev().find(|entry| entry.number == number);
    Done { number: Some(number), says: entry.map(|e| e.says.clone()).unwrap_or_default(), notes: Vec::new() }
}
