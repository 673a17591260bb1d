//! The room that a picture lies in while the studio is open: one desk, and what is known of the picture as it is now.

use crate::inbox::{self, Inbox};
use crate::wire::{Deed, Refusal, Sheet, Whereto, Word};
use setpiece::commands::measure::{Measures, measure};
use setpiece::commands::pixels::Budget;
use setpiece::commands::pixels::budget::Told;
use setpiece::commands::scene::{Edit, PieceId, Scene, TakeId};
use setpiece::commands::staging::{Resolved, resolve};
use setpiece::commands::units::Metres;
use setpiece::commands::write::Hands;
use setpiece::commands::{
    Kind, Layer, carry_out, cutouts, doubts, dressings, edges, history, lamps, line_up, marks, names, papers,
    pieces, projection, reading, render, rendering, seen, takes, toning, touch_up, wedge,
};
use setpiece::desk::Desk;
use setpiece::{Ahead, Folder, Picture, Timestamp};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::watch;

/// Without an edit for so long, the desk comes to rest.
const REST: Duration = Duration::from_millis(700);

/// Words of the command line, without the program's name and the folder, that are said on an open picture.
pub struct Saying<'a> {
    /// The words.
    pub words: &'a [String],
    /// The take that what they decide is laid into; none is the picture itself.
    pub take: Option<&'a str>,
    /// The files that they may name.
    pub files: &'a [PathBuf],
    /// Memory for pixels.
    pub budget: &'a Budget,
    /// This moment.
    pub now: Timestamp,
}

/// What was done.
pub struct Said {
    /// In a sentence.
    pub says: String,
    /// What is odd about it.
    pub notes: Vec<String>,
}

/// Whoever understands the words of the command line.
pub type CarryOut = fn(&mut Picture, &Saying<'_>) -> Result<Said, setpiece::commands::Error>;

/// What the room is given from outside.
#[derive(Clone)]
pub(crate) struct Means {
    pub(crate) budget: Budget,
    pub(crate) now: fn() -> Timestamp,
    pub(crate) carry_out: CarryOut,
}

/// A picture as it was at one line of its journal, with its leaves: itself, and a take each.
pub(crate) struct Pile {
    /// That line.
    pub(crate) number: u64,
    scene: Scene,
    folder: Folder,
    budget: Budget,
    log: Vec<history::LogLine>,
    turns: (bool, bool),
    leaves: Mutex<BTreeMap<Option<TakeId>, Arc<Leaf>>>,
}

/// A file that is wanted of the picture.
pub(crate) struct PrintWanted {
    pub(crate) take: Option<TakeId>,
    /// Its bare name.
    pub(crate) to: String,
    pub(crate) width: Option<u32>,
    pub(crate) over: bool,
}

/// A leaf of the pile: the picture as it is, or as a take shows it.
pub(crate) struct Leaf {
    /// The line of the journal that it shows.
    pub(crate) number: u64,
    pub(crate) take: Option<TakeId>,
    pub(crate) scene: Scene,
    pub(crate) measures: Arc<Measures>,
    pub(crate) resolved: Resolved,
}

impl Pile {
    fn of(desk: &Desk, budget: &Budget) -> Self {
        Self {
            number: desk.log().last().map_or(0, |e| e.number),
            scene: desk.scene().clone(),
            folder: desk.folder().clone(),
            budget: budget.clone(),
            log: last(history::log(desk.log())),
            turns: history::turns(desk.log()),
            leaves: Mutex::default(),
        }
    }

    /// The take of this number, if there is one.
    pub(crate) fn take(&self, number: Option<u64>) -> Option<TakeId> {
        self.scene.takes().keys().copied().find(|id| Some(id.number()) == number)
    }

    /// One of its leaves; the picture itself, where there is no such take.
    pub(crate) fn leaf(&self, take: Option<TakeId>) -> Arc<Leaf> {
        let take = take.filter(|id| self.scene.takes().contains_key(id));
        let mut leaves = self.leaves.lock().unwrap_or_else(PoisonError::into_inner);
        let leaf = leaves.entry(take).or_insert_with(|| {
            let scene = seen(&self.scene, layer(take));
            let measures = measure(&scene, &self.folder, &self.budget);
            let resolved = resolve(&scene, &measures.measured);
            Arc::new(Leaf { number: self.number, take, scene, measures: Arc::new(measures), resolved })
        });
        Arc::clone(leaf)
    }

    /// Writes one of its leaves to a file in the folder for deliveries, and says what was written.
    pub(crate) fn print(
        &self,
        wanted: PrintWanted,
        means: &Means,
        keep: &dyn rendering::Keep,
        (cancel, progress): (&AtomicBool, &(dyn Fn(f64) + Sync)),
    ) -> Result<Said, setpiece::commands::Error> {
        let to = inbox::bare(&wanted.to).ok_or_else(|| {
            let remedy = "give a bare name that ends in .tif, .png, .jpg or .exr";
            let place = format!("the name \"{}\"", wanted.to);
            setpiece::commands::Error::new(Kind::Wording, "this is no file's name", place, remedy)
        })?;
        let out = self.folder.out();
        if out.is_symlink() {
            let (place, remedy) =
                (out.display().to_string(), "make it a folder of its own, or use the command line");
            let what = "the folder for what leaves the house leads elsewhere";
            return Err(setpiece::commands::Error::new(Kind::Files, what, place, remedy));
        }
        if !wanted.over && out.join(to).exists() {
            let (what, remedy) = (
                "there is a file of this name already",
                "give another name, or tick that a file of this name is replaced",
            );
            return Err(setpiece::commands::Error::new(Kind::Refused, what, to, remedy));
        }
        let take = wanted.take.and_then(|id| self.scene.takes().get(&id)).map(|t| t.name.clone());
        let asked = render::Wanted {
            to: Some(out.join(to)),
            scale: wanted.width.map_or(render::Scale::Whole, render::Scale::Width),
            take,
            existing: if wanted.over { render::Existing::Replace } else { render::Existing::Keep },
            ..render::Wanted::default()
        };
        let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
        let hands = Hands { threads, budget: &means.budget, keep, cancel, progress };
        let done = render::render(&self.scene, &self.folder, &asked, &hands)?;
        let megabytes = done.bytes as f64 / 1e6;
        Ok(Said {
            says: format!("{to} printed: {} x {} px, {megabytes:.1} MB", done.width_px, done.height_px),
            notes: done.snags.iter().map(|s| format!("{}: {}", s.place, s.what)).collect(),
        })
    }

    /// What is doubtful of a cut-out that was found by its paper.
    pub(crate) fn doubts(
        &self,
        take: Option<TakeId>,
        cutout: u64,
        means: &Means,
    ) -> Result<Vec<doubts::DoubtReport>, setpiece::commands::Error> {
        let by = (NonZeroUsize::MIN, &means.budget);
        doubts::doubts(&self.leaf(take).scene, &self.folder, &format!("#{cutout}"), by)
    }

    /// The stretches of a piece's edge that can be seen, most first; no more than one walks.
    pub(crate) fn edge(
        &self,
        take: Option<TakeId>,
        piece: u64,
        means: &Means,
        keep: &dyn rendering::Keep,
    ) -> Result<Vec<edges::StretchReport>, setpiece::commands::Error> {
        /// Own choice, no source.
        const WALKED: usize = 40;
        let take = take.and_then(|id| self.scene.takes().get(&id)).map(|t| t.name.clone());
        let wanted = edges::Wanted { piece: format!("#{piece}"), take, ..edges::Wanted::default() };
        let hands = Hands {
            threads: NonZeroUsize::MIN,
            budget: &means.budget,
            keep,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        let mut found = edges::look(&self.scene, &self.folder, &wanted, &hands)?.stretches;
        found.retain(|s| s.attention > 0.0);
        found.truncate(WALKED);
        Ok(found)
    }

    /// The place on the ground that is seen at a place of the picture.
    pub(crate) fn ground(&self, take: Option<TakeId>, [u, v]: [f64; 2]) -> Option<[f64; 2]> {
        let (x, z) = marks::ground_under(&self.leaf(take).scene, (u, v))?;
        Some([x.get(), z.get()])
    }

    /// What the page is told of it while this leaf lies on top.
    pub(crate) fn sheet(&self, leaf: &Leaf, has_rack: bool) -> Sheet {
        let scene = &leaf.scene;
        let all: Vec<PieceId> = scene.pieces().keys().copied().collect();
        Sheet {
            number: self.number,
            name: scene.name().to_owned(),
            take: leaf.take.map(|id| id.number()),
            takes: takes::list(&self.scene),
            pieces: line_up::drawn_up(scene, &all, &leaf.measures, &leaf.resolved).pieces,
            projection: projection::projection(scene, &leaf.measures, &leaf.resolved),
            cutouts: cutouts::list(scene, &leaf.measures.measured),
            handwork: scene
                .cutouts()
                .keys()
                .filter_map(|id| touch_up::report(scene, &format!("#{}", id.number())).ok())
                .collect(),
            lamps: lamps::list(scene),
            toning: toning::list(scene),
            dressings: dressings::list(scene),
            papers: papers::list(scene),
            reading: reading::report(scene, &self.folder).ok(),
            log: self.log.clone(),
            can_undo: self.turns.0,
            can_redo: self.turns.1,
            has_rack,
        }
    }
}

impl Leaf {
    /// How much of it lies at each step of the wedge; nothing where it cannot be drawn.
    pub(crate) fn shares(&self, means: &Means, keep: &dyn rendering::Keep) -> Vec<wedge::Share> {
        let hands = Hands {
            threads: NonZeroUsize::MIN,
            budget: &means.budget,
            keep,
            cancel: &AtomicBool::new(false),
            progress: &|_| {},
        };
        wedge::shares(&self.resolved.layout, &self.measures.parts, &hands).unwrap_or_default()
    }

    /// The picture as it would be after a decision; none where it cannot be.
    pub(crate) fn rehearsed(&self, pile: &Pile, means: &Means, deed: &Deed) -> Option<Scene> {
        match deed {
            Deed::Move { piece, to } => {
                let mut tried = self.scene.clone();
                tried.apply(moved(&self.scene, *piece, to).ok()?).ok()?;
                Some(tried)
            }
            Deed::Say { words } => {
                let words = texts(words)?;
                let mut picture = Picture::rehearsal(&self.scene, &pile.folder);
                let (budget, now) = (&means.budget, (means.now)());
                let saying = Saying { words: &words, take: None, files: &[], budget, now };
                (means.carry_out)(&mut picture, &saying).ok()?;
                Some(picture.scene().clone())
            }
        }
    }
}

/// The lines that the page is told of: as many as a prompt book is leafed through. What was done before them can be taken back as well.
fn last(mut log: Vec<history::LogLine>) -> Vec<history::LogLine> {
    /// Own choice, no source.
    const TOLD: usize = 500;
    log.drain(..log.len().saturating_sub(TOLD));
    log
}

/// The words, where none of them is a file.
fn texts(words: &[Word]) -> Option<Vec<String>> {
    let text = |word: &Word| match word {
        Word::Text(text) => Some(text.clone()),
        Word::File(_) => None,
    };
    words.iter().map(text).collect()
}

const fn layer(take: Option<TakeId>) -> Layer {
    match take {
        Some(take) => Layer::Take(take),
        None => Layer::Picture,
    }
}

/// A picture on its desk.
pub(crate) struct Room {
    desk: Mutex<(Desk, Option<Instant>)>,
    pile: watch::Sender<Arc<Pile>>,
    inbox: Inbox,
    means: Means,
}

impl Room {
    pub(crate) fn open(folder: &Path, means: Means) -> Result<Self, setpiece::Error> {
        let desk = Desk::open(folder)?;
        let inbox = Inbox::of(desk.folder());
        let (pile, _) = watch::channel(Arc::new(Pile::of(&desk, &means.budget)));
        Ok(Self { desk: Mutex::new((desk, None)), pile, inbox, means })
    }

    /// The picture as it is now, and whatever it becomes.
    pub(crate) fn watch(&self) -> watch::Receiver<Arc<Pile>> {
        self.pile.subscribe()
    }

    /// The picture as it is now.
    pub(crate) fn pile(&self) -> Arc<Pile> {
        self.pile.borrow().clone()
    }

    pub(crate) const fn means(&self) -> &Means {
        &self.means
    }

    /// Where files wait that are to come into the picture.
    pub(crate) const fn inbox(&self) -> &Inbox {
        &self.inbox
    }

    /// Where what is worth keeping may be kept.
    pub(crate) fn cache(&self) -> Option<PathBuf> {
        self.pile.borrow().folder.cache()
    }

    /// Carries out a decision on a leaf, telling how far it is, and says what was done. Called off, it ends at its next step, and nothing is decided.
    pub(crate) fn carry_out(
        &self,
        take: Option<TakeId>,
        deed: &Deed,
        (called_off, told): (&Arc<AtomicBool>, Told),
    ) -> Result<Said, Refusal> {
        let budget = self.means.budget.until(Arc::clone(called_off)).telling(told);
        let ahead = deed.work().map(|_| self.made_ahead(take, deed, &budget));
        if called_off.load(Ordering::Relaxed) {
            return Err(called());
        }
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        let (desk, used) = &mut *desk;
        let picture = desk.picture().map_err(|e| refusal(&e.into()))?;
        // Done or refused, the lock is given back when nobody asks any more.
        *used = Some(Instant::now());
        picture.go_by(ahead.unwrap_or_default());
        let said = self
            .said(picture, take, deed, &budget)
            .map_err(|e| if called_off.load(Ordering::Relaxed) { called() } else { refusal(&e) })?;
        *used = Some(Instant::now());
        if let Deed::Say { words } = deed {
            // What it named is in the picture now.
            self.inbox.clear(&self.inbox.files(words).unwrap_or_default());
        }
        self.pile.send_replace(Arc::new(Pile::of(desk, &self.means.budget)));
        Ok(said)
    }

    /// What a decision takes that may be made before it: the desk is free meanwhile. Whatever is odd about it is told by the decision.
    fn made_ahead(&self, take: Option<TakeId>, deed: &Deed, budget: &Budget) -> Ahead {
        let pile = self.pile();
        let mut rehearsal = Picture::rehearsal(&pile.scene, &pile.folder);
        let _ = self.said(&mut rehearsal, take, deed, budget);
        rehearsal.into_ahead()
    }

    fn said(
        &self,
        picture: &mut Picture,
        take: Option<TakeId>,
        deed: &Deed,
        budget: &Budget,
    ) -> Result<Said, setpiece::commands::Error> {
        let now = (self.means.now)();
        match deed {
            Deed::Move { piece, to } => {
                let done = carry_out(picture, layer(take), now, |scene| moved(scene, *piece, to))?;
                Ok(Said { says: done.says, notes: done.notes })
            }
            Deed::Say { words } => {
                let files = self.inbox.files(words)?;
                let take = take.and_then(|id| picture.scene().takes().get(&id)).map(|t| t.name.clone());
                let words: Vec<String> = self.inbox.texts(words)?;
                let saying = Saying { words: &words, take: take.as_deref(), files: &files, budget, now };
                (self.means.carry_out)(picture, &saying)
            }
        }
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
            self.pile.send_replace(Arc::new(Pile::of(&desk.0, &self.means.budget)));
        }
    }

    /// Leaves everything written.
    pub(crate) fn close(&self) {
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        let _ = desk.0.rest();
    }
}

fn id(scene: &Scene, number: u64) -> Result<PieceId, setpiece::commands::Error> {
    names::piece(scene, &format!("#{number}"))
}

/// The edit that moves a piece.
fn moved(scene: &Scene, piece: u64, to: &Whereto) -> Result<Edit, setpiece::commands::Error> {
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

fn called() -> Refusal {
    Refusal {
        what: "called off".to_owned(),
        place: "the studio".to_owned(),
        remedy: "the picture is as it was".to_owned(),
    }
}

pub(crate) fn refusal(e: &setpiece::commands::Error) -> Refusal {
    Refusal { what: e.what().to_owned(), place: e.place().to_owned(), remedy: e.remedy().to_owned() }
}
