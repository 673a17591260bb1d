//! The room that a picture lies in while the studio is open: one desk, and what is known of the picture as it is now.

use crate::wire::{Deed, Refusal, Sheet, Whereto};
use setpiece::commands::measure::{Measures, measure};
use setpiece::commands::pixels::Budget;
use setpiece::commands::scene::{Edit, PieceId, Scene};
use setpiece::commands::staging::{Resolved, resolve};
use setpiece::commands::units::Metres;
use setpiece::commands::{
    Done, Kind, Layer, carry_out, history, line_up, marks, names, pieces, projection, quantity, rows,
};
use setpiece::desk::Desk;
use setpiece::{Picture, Timestamp};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::watch;

/// Without an edit for so long, the desk comes to rest.
const REST: Duration = Duration::from_millis(700);

/// A picture as it was at one line of its journal.
pub(crate) struct Shown {
    /// That line.
    pub(crate) number: u64,
    pub(crate) scene: Scene,
    pub(crate) measures: Arc<Measures>,
    pub(crate) resolved: Resolved,
    pub(crate) sheet: Sheet,
}

/// A picture on its desk.
pub(crate) struct Room {
    desk: Mutex<(Desk, Option<Instant>)>,
    shown: watch::Sender<Arc<Shown>>,
    budget: Budget,
    now: fn() -> Timestamp,
}

impl Room {
    pub(crate) fn open(
        folder: &Path,
        budget: Budget,
        now: fn() -> Timestamp,
    ) -> Result<Self, setpiece::Error> {
        let desk = Desk::open(folder)?;
        let (shown, _) = watch::channel(Arc::new(shown(&desk, &budget)));
        Ok(Self { desk: Mutex::new((desk, None)), shown, budget, now })
    }

    /// The picture as it is now, and whatever it becomes.
    pub(crate) fn watch(&self) -> watch::Receiver<Arc<Shown>> {
        self.shown.subscribe()
    }

    pub(crate) const fn budget(&self) -> &Budget {
        &self.budget
    }

    /// Where what is worth keeping may be kept.
    pub(crate) fn cache(&self) -> Option<PathBuf> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner).0.folder().cache()
    }

    /// Carries out a decision, and says what was done.
    pub(crate) fn carry_out(&self, deed: &Deed) -> Result<String, Refusal> {
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        let picture = desk.0.picture().map_err(|e| refusal(&e.into()))?;
        let done = carried_out(picture, deed, (self.now)()).map_err(|e| refusal(&e))?;
        desk.1 = Some(Instant::now());
        self.shown.send_replace(Arc::new(shown(&desk.0, &self.budget)));
        Ok(done.into_iter().map(|d| d.says).collect::<Vec<_>>().join("; "))
    }

    /// What there is to do while nobody asks: the lock is given back, and what others did to the picture is noticed.
    pub(crate) fn tend(&self) {
        let Ok(mut desk) = self.desk.try_lock() else { return };
        if desk.1.is_some_and(|last| last.elapsed() > REST) {
            desk.1 = None;
            // What cannot be read now is told with the next edit.
            let _ = desk.0.rest();
        }
        if desk.0.is_behind() && desk.0.look_again().is_ok() {
            self.shown.send_replace(Arc::new(shown(&desk.0, &self.budget)));
        }
    }

    /// Leaves everything written.
    pub(crate) fn close(&self) {
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        let _ = desk.0.rest();
    }
}

fn shown(desk: &Desk, budget: &Budget) -> Shown {
    let scene = desk.scene().clone();
    let measures = measure(&scene, desk.folder(), budget);
    let resolved = resolve(&scene, &measures.measured);
    let all: Vec<PieceId> = scene.pieces().keys().copied().collect();
    let number = desk.log().last().map_or(0, |e| e.number);
    let sheet = Sheet {
        number,
        name: scene.name().to_owned(),
        pieces: line_up::drawn_up(&scene, &all, &measures, &resolved).pieces,
        projection: projection::projection(&scene, &measures, &resolved),
        log: history::log(desk.log()),
    };
    Shown { number, scene, measures: Arc::new(measures), resolved, sheet }
}

fn carried_out(
    picture: &mut Picture,
    deed: &Deed,
    at: Timestamp,
) -> Result<Vec<Done>, setpiece::commands::Error> {
    let layer = Layer::Picture;
    Ok(match deed {
        Deed::Move { piece, to } => {
            vec![carry_out(picture, layer, at, |scene| moved(scene, *piece, to))?]
        }
        Deed::Card { pieces, says } => {
            let said: rows::Said = says.parse().map_err(|e| unreadable(&e))?;
            vec![carry_out(picture, layer, at, |scene| {
                let ids = pieces.iter().map(|n| id(scene, *n)).collect::<Result<Vec<_>, _>>()?;
                rows::nudge(scene, &ids, std::slice::from_ref(&said))
            })?]
        }
        Deed::Undo { times } => history::undo(picture, *times as usize, at)?,
        Deed::Redo { times } => history::redo(picture, *times as usize, at)?,
    })
}

fn id(scene: &Scene, number: u64) -> Result<PieceId, setpiece::commands::Error> {
    names::piece(scene, &format!("#{number}"))
}

/// The edit that moves a piece.
pub(crate) fn moved(scene: &Scene, piece: u64, to: &Whereto) -> Result<Edit, setpiece::commands::Error> {
    let id = id(scene, piece)?;
    let said = match *to {
        Whereto::Picture { foot_px: [u, v] } => marks::under(scene, id, (u, v))?,
        Whereto::Ground { x_m, z_m, lift_m } => {
            let mark = scene.pieces()[&id].mark;
            let metres = |m: Option<f64>, was: Metres| m.and_then(Metres::new).unwrap_or(was);
            marks::MarkSaid {
                at: Some((metres(x_m, mark.x), metres(z_m, mark.z))),
                lift: Some(metres(lift_m, mark.y)),
                ..marks::MarkSaid::default()
            }
        }
    };
    pieces::moved(scene, id, &said)
}

fn unreadable(e: &quantity::Unreadable) -> setpiece::commands::Error {
    setpiece::commands::Error::new(Kind::Wording, e.what.clone(), "the card", format!("give {}", e.allowed))
}

pub(crate) fn refusal(e: &setpiece::commands::Error) -> Refusal {
    Refusal { what: e.what().to_owned(), place: e.place().to_owned(), remedy: e.remedy().to_owned() }
}
