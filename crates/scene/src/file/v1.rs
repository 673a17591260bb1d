//! Version 1 of the written form.

mod dressing;
mod edit;
mod handwork;
mod keyed;
mod look;
mod object;
mod optic;
mod quantity;
mod stand;
mod world;
mod written;

use self::keyed::Keyed;
use self::look::TreatmentForm;
use self::written::{LeftOut, Written};
use crate::{Edit, Lights, Refused, Scene};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A picture made with Setpiece.
///
/// Lengths on the stage are in metres, angles in degrees, brightness in stops, places in pictures in pixels from
/// the top left corner, colours linear RGB in the format's working primaries.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Setpiece picture")]
pub(super) struct SceneForm {
    /// The version of this form: 1.
    #[schemars(range(min = 1, max = 1))]
    setpiece_picture: u64,
    /// Number of the last journal line that is in this file.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    pub(super) applied: u64,
    /// What the artist calls it.
    name: String,
    /// The next id to give to anything: greater than all ids ever used.
    next_id: u64,
    format: world::FormatForm,
    /// The original files, by the digest of their bytes.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    sources: Keyed<quantity::DigestForm, world::SourceForm>,
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    backdrop: Option<world::BackdropForm>,
    stage: world::StageForm,
    /// What of the stage somebody has stated, though it may be what is assumed anyway.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    stated: Vec<world::StatedForm>,
    /// Horizontal planes beside the ground, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    levels: Keyed<u64, world::LevelForm>,
    lens: optic::LensForm,
    /// What every blur disc of the lens is multiplied by; 1 where left out.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    depth_scale: quantity::FactorForm,
    lights: world::LightsForm,
    /// Lamps in the picture, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    practicals: Keyed<u64, world::PracticalForm>,
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    haze: Option<optic::HazeForm>,
    /// Studio set-ups, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    set_ups: Keyed<u64, stand::SetUpForm>,
    /// Cut-outs, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    cutouts: Keyed<u64, stand::CutOutForm>,
    /// Pieces, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    pieces: Keyed<u64, stand::PieceForm>,
    /// Regions in which something stands before a piece, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    in_front: Keyed<u64, stand::InFrontForm>,
    /// Rules that fill areas of ground with pieces, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    dressings: Keyed<u64, dressing::DressingForm>,
    /// The piece the picture is about.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    subject: Option<u64>,
    /// The treatments: those at the lens, then those on the film, then those in the print.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    toning: Vec<TreatmentForm>,
    /// Variants of the picture, by id.
    #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
    takes: Keyed<u64, edit::TakeForm>,
}

/// The picture in its written form.
pub(super) fn form_of(scene: &Scene, applied: u64) -> SceneForm {
    SceneForm {
        setpiece_picture: super::SCHEMA,
        applied,
        name: scene.name.clone(),
        next_id: scene.next_id,
        format: scene.format.write(),
        sources: scene.sources.write(),
        backdrop: scene.backdrop.write(),
        stage: scene.stage.write(),
        stated: scene.stated.write(),
        levels: scene.levels.write(),
        lens: scene.lens.write(),
        depth_scale: scene.depth_scale.write(),
        lights: scene.lights.write(),
        practicals: scene.practicals.write(),
        haze: scene.haze.write(),
        set_ups: scene.set_ups.write(),
        cutouts: scene.cutouts.write(),
        pieces: scene.pieces.write(),
        in_front: scene.in_front.write(),
        dressings: scene.dressings.write(),
        subject: scene.subject.write(),
        toning: scene.toning.write(),
        takes: scene.takes.write(),
    }
}

/// The picture of a written form.
pub(super) fn scene_of(form: SceneForm) -> Result<Scene, Refused> {
    let mut scene = Scene {
        name: form.name,
        format: Written::read(form.format),
        sources: Written::read(form.sources),
        backdrop: Written::read(form.backdrop),
        stage: Written::read(form.stage),
        stated: Written::read(form.stated),
        levels: Written::read(form.levels),
        lens: Written::read(form.lens),
        depth_scale: Written::read(form.depth_scale),
        lights: Lights::read(form.lights),
        practicals: Written::read(form.practicals),
        haze: Written::read(form.haze),
        set_ups: Written::read(form.set_ups),
        cutouts: Written::read(form.cutouts),
        pieces: Written::read(form.pieces),
        in_front: Written::read(form.in_front),
        dressings: Written::read(form.dressings),
        subject: Written::read(form.subject),
        toning: Written::read(form.toning),
        takes: Written::read(form.takes),
        next_id: form.next_id,
    };
    scene.holds()?;
    // By hand one may list them in any order; those of a step keep theirs.
    scene.toning.sort_by_key(|t| t.kind.step());
    Ok(scene)
}

/// An edit in its written form.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct LineForm(edit::EditForm);

/// The written form of an edit.
pub(super) fn line_of(edit: &Edit) -> LineForm {
    LineForm(edit.write())
}

/// The edit of a written form. Whether it fits a picture is asked when it is applied.
pub(super) fn edit_of(form: LineForm) -> Edit {
    Edit::read(form.0)
}
