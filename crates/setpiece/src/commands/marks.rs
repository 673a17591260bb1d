//! Marks as they are said: where a piece stands, and what it faces.

use super::{Error, names, pieces};
use crate::commands::quantity;
use optics::Point;
use scene::{Mark, PieceId, Scene, Target};
use staging::standing::feet;
use units::{Metres, PxSize};

/// A mark as it is said. What is `None` stays as it is, or is 0 for a new piece.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct MarkSaid {
    /// To the right and away.
    pub at: Option<(Metres, Metres)>,
    /// Lifted above the level.
    pub lift: Option<Metres>,
    /// The level, by name; `ground` is the ground under the camera.
    pub level: Option<String>,
    /// By how much it moves: right, up, away.
    pub by: Option<(Metres, Metres, Metres)>,
}

impl MarkSaid {
    /// The mark with what is said laid over it.
    ///
    /// # Errors
    /// Where there is no such level.
    pub fn over(&self, mark: &Mark, scene: &Scene) -> Result<Mark, Error> {
        let (x, z) = self.at.unwrap_or((mark.x, mark.z));
        let y = self.lift.unwrap_or(mark.y);
        let (dx, dy, dz) = self.by.unwrap_or_default();
        let level = match self.level.as_deref() {
            None => mark.level,
            Some("ground") => None,
            Some(name) => Some(names::level(scene, name)?),
        };
        Ok(Mark { x: x + dx, y: y + dy, z: z + dz, level })
    }
}

/// The mark of a piece whose foot is seen at a place of the picture, as high above its level as it is: column and row, in the picture's
/// pixels.
///
/// # Errors
/// Where nothing so high is seen there: at and above the horizon, above all.
pub fn under(scene: &Scene, id: PieceId, (u, v): (f64, f64)) -> Result<MarkSaid, Error> {
    let nothing = || {
        Error::refused(
            "there is no ground to stand on",
            format!("column {}, row {}", scene::figure(u.round()), scene::figure(v.round())),
            "choose a place below the horizon",
        )
    };
    let feet = feet(scene);
    let (foot, _) = feet.get(&id).ok_or_else(nothing)?;
    let frame = staging::frame::frame(scene, pieces::backdrop_size(scene)).map_err(|_| nothing())?;
    let at = frame.camera.on_level(u, v, foot.y).ok_or_else(nothing)?;
    let carrier = scene.pieces().get(&id).and_then(|p| p.attached_to).and_then(|on| feet.get(&on));
    let (x, z) = carrier.map_or((at.x, at.z), |(on, _)| (at.x - on.x, at.z - on.z));
    Ok(MarkSaid { at: Some((x, z)), ..MarkSaid::default() })
}

/// The place on the ground under the camera that is seen at a place of the picture; none at and above the horizon.
#[must_use]
pub fn ground_under(scene: &Scene, (u, v): (f64, f64)) -> Option<(Metres, Metres)> {
    let frame = staging::frame::frame(scene, pieces::backdrop_size(scene)).ok()?;
    frame.camera.on_level(u, v, Metres::ZERO).map(|at| (at.x, at.z))
}

/// A piece or a lamp, by name.
///
/// # Errors
/// Where there is none: what comes nearest, as the end of a sentence.
pub(crate) fn thing(scene: &Scene, text: &str) -> Result<Target, String> {
    match (names::piece(scene, text), names::lamp(scene, text)) {
        (Ok(piece), _) => Ok(Target::Piece(piece)),
        (_, Ok(lamp)) => Ok(Target::Practical(lamp)),
        (Err(e), Err(_)) => {
            let lamps: Vec<&str> = scene.practicals().values().map(|p| p.name.as_str()).collect();
            Err(match names::nearest(text, &lamps) {
                Some(lamp) => format!("; did you mean {lamp}?"),
                None => format!("; {}", e.remedy()),
            })
        }
    }
}

/// What a piece should face, as it is said: `lens`, `away`, `x,z` on the ground, `x,y,z`, a piece or a lamp; `none`.
///
/// # Errors
/// Where nothing is called so.
pub fn facing(scene: &Scene, text: &str) -> Result<Option<Target>, Error> {
    Ok(Some(match text {
        "none" => return Ok(None),
        "lens" => Target::Lens,
        "away" => Target::Away,
        _ => {
            if let Ok((x, z)) = quantity::ground(text) {
                Target::Point(Point::new(x, Metres::ZERO, z))
            } else if let Ok(place) = quantity::place(text) {
                Target::Point(place)
            } else {
                thing(scene, text).map_err(|nearest| {
                    Error::refused(
                        format!("there is nothing called {text} to face"),
                        "facing",
                        format!("give lens, away, x,z, a piece or a lamp{nearest}"),
                    )
                })?
            }
        }
    }))
}

/// Whether pieces stand before the camera: nothing can be seen that does not.
///
/// # Errors
/// Where one stands behind the camera.
pub fn before_the_camera(scene: &Scene, backdrop: Option<PxSize>, pieces: &[PieceId]) -> Result<(), Error> {
    let Ok(frame) = staging::frame::frame(scene, backdrop) else { return Ok(()) };
    let feet = feet(scene);
    for id in pieces {
        let Some((foot, _)) = feet.get(id) else { continue };
        if frame.camera.depth(*foot).is_none() {
            return Err(Error::refused(
                format!("{} would stand behind the camera", scene.called(*id)),
                format!("mark {},{}", scene::figure(foot.x.get()), scene::figure(foot.z.get())),
                "give it a place before the camera: the second number is metres away, and more than 0",
            ));
        }
    }
    Ok(())
}
