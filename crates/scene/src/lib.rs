//! The picture's model: everything the artist has decided, as typed values that are valid after every edit.
//!
//! [`Scene`] holds the picture, [`Edit`] is one decision about it, [`Scene::apply`] carries it out and returns its exact
//! inverse. [`mod@file`] is its written form, apart from the model.
//!
//! Calls no formula, opens no file, knows no thread and no clock. Maps are ordered, all seeds are in it: the same
//! edits give the same picture.
#![forbid(unsafe_code)]

mod apply;
mod check;
mod cutout;
mod dressing;
mod edit;
mod figure;
pub mod file;
mod format;
mod handwork;
mod id;
mod light;
mod piece;
mod reference;
mod refused;
mod row;
mod scene;
mod sentence;
mod source;
mod stage;
mod stated;
mod take;
mod toning;
mod whole;
mod words;

pub use cutout::{CutOut, CutOutKind, Facts, Scale, SetUp, WhiteReading};
pub use dressing::{Area, Arrangement, Chosen, Dressing, KeepClear, Laid, Ranges, Thinning};
pub use edit::{Edit, PieceChange, Put, TreatmentChange};
pub use figure::figure;
pub use format::{Format, Print};
pub use handwork::{Finish, Joining, Says, Stroke, StrokeForm, Taken};
pub use id::{
    CutOutId, DressingId, Fresh, InFrontId, LAST_ID, LevelId, PieceId, PracticalId, SetUpId, TakeId,
    TreatmentId,
};
pub use light::{Dusk, Glow, LightColour, Lights, Practical, SkyLight, SunLight};
pub use piece::{InFront, InFrontOf, Mark, Piece, Polygon, Stance, Target};
pub use refused::Refused;
pub use row::{Basis, Factor, Row, Rows, Warmth};
pub use scene::Scene;
pub use source::{Backdrop, Source, SourceKind, Window};
pub use stage::{Level, Origin, Stage, Surface};
pub use stated::Stated;
pub use take::Take;
pub use toning::{Clause, Kind, Place, PulledStep, Step, Treatment, Where};
pub use words::{fields_in_words, with_names};

/// Reads arbitrary bytes as a picture's file and, line by line, as edits, and carries them out. For fuzzing: must come back, whatever the
/// bytes, and what it accepted must read back.
///
/// # Panics
/// Where an accepted picture or edit does not read back as it was, or an inverse does not restore the picture.
#[doc(hidden)]
pub fn fuzz_one(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    if let Ok(saved) = file::from_saved(&text) {
        let again = file::from_saved(&file::to_saved(&saved.scene, saved.applied));
        assert_eq!(again.as_ref(), Ok(&saved), "an accepted picture reads back");
        saved.scene.takes().keys().for_each(|take| drop(saved.scene.seen_as(*take)));
    }
    let size = units::PxSize::new(600, 400).expect("a small size");
    let mut scene = Scene::new("fuzz", Format::of_size(size)).expect("a plain name");
    for line in text.lines() {
        let Ok(edit) = file::from_line(line) else { continue };
        let sentence = edit.sentence(&scene);
        let before = scene.clone();
        match scene.apply(edit.clone()) {
            Ok(back) => {
                assert_eq!(file::from_line(&file::to_line(&edit)).as_ref(), Ok(&edit), "{sentence}");
                let after = scene.clone();
                let forth = scene.apply(back).expect("an inverse fits");
                assert_eq!(Scene { next_id: after.next_id, ..before }, scene, "undone: {sentence}");
                scene.apply(forth).expect("an edit fits again");
                assert_eq!(after, scene, "done again: {sentence}");
            }
            Err(_) => assert_eq!(before, scene, "refused: {sentence}"),
        }
    }
}
