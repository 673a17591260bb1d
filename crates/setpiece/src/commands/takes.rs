//! Takes: named variants, as changes laid over the picture.

use super::Error;
use super::cutouts::gone;
use scene::{Edit, Factor, Put, Scene, Take, TakeId};
use serde::Serialize;
use ts_rs::TS;

/// The edit that begins a take.
///
/// # Errors
/// Where one is called so already.
pub fn add(scene: &Scene, name: &str, depth: Option<Factor>) -> Result<Edit, Error> {
    if scene.takes().values().any(|t| t.name == name) {
        return Err(Error::refused(
            format!("there is a take called {name} already"),
            format!("take {name}"),
            "give another name, or lay changes into that one",
        ));
    }
    let take = Take { depth: depth.unwrap_or_default(), ..Take::named(name) };
    Ok(Edit::Take { id: scene.fresh().take(), put: Put::Add(Box::new(take)) })
}

/// The edit that keeps what was taken back as a take of its own.
///
/// # Errors
/// Where nothing was taken back, one is called so already, or something of it cannot be laid into a take.
pub fn aside(scene: &Scene, name: &str, taken_back: Vec<Edit>) -> Result<Edit, Error> {
    let place = format!("take {name}");
    if taken_back.is_empty() {
        return Err(Error::refused(
            "nothing was taken back",
            place,
            "take back first what is to be kept aside",
        ));
    }
    match add(scene, name, None)? {
        Edit::Take { id, put: Put::Add(take) } => {
            Ok(Edit::Take { id, put: Put::Add(Box::new(Take { changes: taken_back, ..*take })) })
        }
        other => Ok(other),
    }
}

/// The edit that scales the defocus of a take.
///
/// # Errors
/// Where there is no such take.
pub fn depth(scene: &Scene, id: TakeId, depth: Factor) -> Result<Edit, Error> {
    let take = scene.takes().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    Ok(Edit::Take { id, put: Put::Replace(Box::new(Take { depth, ..take.clone() })) })
}

/// The edit that drops a take.
#[must_use]
pub const fn remove(id: TakeId) -> Edit {
    Edit::Take { id, put: Put::Remove }
}

/// The edit that takes one change of a take back, counted from 1.
///
/// # Errors
/// Where there is no such change.
pub fn lift(scene: &Scene, id: TakeId, change: usize) -> Result<Edit, Error> {
    let take = scene.takes().get(&id).ok_or_else(|| gone(&id.to_string()))?;
    if change == 0 || change > take.changes.len() {
        return Err(Error::refused(
            format!("the take has no change {change}"),
            format!("take {}", take.name),
            format!("give 1 to {}", take.changes.len()),
        ));
    }
    Ok(Edit::TakeChange { take: id, at: change - 1, put: Put::Remove })
}

/// A take.
#[derive(Clone, PartialEq, Debug, Serialize, TS)]
pub struct TakeReport {
    /// Its number.
    pub take: u64,
    /// What it is called.
    pub name: String,
    /// What its blur discs are multiplied by.
    pub depth_factor: f64,
    /// Its changes, as sentences, in order.
    pub changes: Vec<String>,
    /// Those that no longer fit the picture, and why.
    pub passed_over: Vec<String>,
}

/// The takes of a picture.
#[must_use]
pub fn list(scene: &Scene) -> Vec<TakeReport> {
    scene
        .takes()
        .iter()
        .map(|(id, take)| {
            let mut seen = scene.clone();
            let changes = take.changes.iter().map(|change| {
                let sentence = change.sentence(&seen);
                // What does not fit is passed over, and said below.
                let _ = seen.apply(change.clone());
                sentence
            });
            TakeReport {
                take: id.number(),
                name: take.name.clone(),
                depth_factor: take.depth.get(),
                changes: changes.collect(),
                passed_over: scene
                    .seen_as(*id)
                    .1
                    .iter()
                    .map(|r| scene::with_names(&r.to_string(), scene))
                    .collect(),
            }
        })
        .collect()
}
