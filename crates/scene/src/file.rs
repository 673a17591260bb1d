//! The picture's written form: JSON with a schema number, its fields in a fixed order, numbers that read back
//! as the very bits that were written. Documented in docs/formats.

mod error;
mod layout;
mod v1;

pub use error::{Error, Kind};

use crate::{Edit, Refused, Scene};
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// The schema number that is written. Older ones are read too.
pub const SCHEMA: u64 = 1;

/// A picture as it was saved.
#[derive(Clone, PartialEq, Debug)]
pub struct Saved {
    /// The picture.
    pub scene: Scene,
    /// Number of the last journal line that is in it; 0 where none is.
    pub applied: u64,
}

/// The picture's file.
#[must_use]
pub fn to_file(scene: &Scene) -> String {
    to_saved(scene, 0)
}

/// The picture's file, with the number of the last journal line that is in it.
#[must_use]
pub fn to_saved(scene: &Scene, applied: u64) -> String {
    let mut text = json(serde_json::to_string_pretty(&v1::form_of(scene, applied)));
    text.push('\n');
    layout::short_lists(&text)
}

/// The picture of a file.
///
/// # Errors
/// [`Error`] for what is not JSON, not a picture, written by a newer Setpiece, or holds what no picture can hold.
pub fn from_file(text: &str) -> Result<Scene, Error> {
    from_saved(text).map(|saved| saved.scene)
}

/// The picture of a file, with the number of the last journal line that is in it.
///
/// # Errors
/// As [`from_file`].
pub fn from_saved(text: &str) -> Result<Saved, Error> {
    let head: Head = read(text).map_err(Error::said_of_head)?;
    match head.setpiece_picture {
        None => Err(Error::not_a_picture()),
        // A list of values would be taken for the fields in their order.
        Some(_) if !text.trim_start().starts_with('{') => Err(Error::not_a_picture()),
        Some(newer) if newer > SCHEMA => Err(Error::newer(newer, SCHEMA)),
        Some(1) => {
            let form: v1::SceneForm = read(text)?;
            let applied = form.applied;
            if applied > crate::LAST_ID {
                return Err(Error::from(Refused::new(
                    format!("there is no journal line {applied}"),
                    "applied",
                    format!("give 0 to {}", crate::LAST_ID),
                )));
            }
            let scene = v1::scene_of(form)?;
            Ok(Saved { scene, applied })
        }
        // A picture of an older version is read by its own module and turned into one of the next, here.
        Some(unknown) => Err(Error::no_such_schema(unknown)),
    }
}

/// As [`from_saved`], of a file's bytes.
///
/// # Errors
/// As [`from_file`]; what is no text is not JSON.
pub fn from_saved_bytes(bytes: &[u8]) -> Result<Saved, Error> {
    let text = std::str::from_utf8(bytes).map_err(|e| Error::not_text(e.valid_up_to()))?;
    from_saved(text)
}

/// An edit as one line of JSON.
#[must_use]
pub fn to_line(edit: &Edit) -> String {
    json(serde_json::to_string(&v1::line_of(edit)))
}

/// The edit of a line of JSON. Whether it fits a picture is asked when it is applied.
///
/// # Errors
/// [`Error`] for what is not JSON or no edit.
pub fn from_line(text: &str) -> Result<Edit, Error> {
    read(text).map(v1::edit_of)
}

/// The JSON Schema (draft 2020-12) of the picture's file; an edit's is its definition `Edit`.
#[must_use]
pub fn schema() -> String {
    let mut text = json(serde_json::to_string_pretty(&schemars::schema_for!(v1::SceneForm)));
    text.push('\n');
    text
}

/// What tells a picture's file, whatever its version.
#[derive(Deserialize)]
struct Head {
    setpiece_picture: Option<u64>,
}

fn read<T: DeserializeOwned>(text: &str) -> Result<T, Error> {
    let mut json = serde_json::Deserializer::from_str(text);
    let value = serde_path_to_error::deserialize(&mut json).map_err(|e| Error::from_json(&e))?;
    json.end().map_err(|e| Error::not_json(&e))?;
    Ok(value)
}

fn json<T>(text: Result<T, serde_json::Error>) -> T {
    text.expect("the forms have string keys and write into memory")
}
