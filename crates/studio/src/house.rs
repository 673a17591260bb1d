//! The house: one picture, or a folder of pictures of which one lies open at a time.

use crate::inbox::bare;
use crate::room::{Means, Room, refusal};
use crate::store::Store;
use crate::wire::{Racked, Refusal};
use setpiece::commands::new::{self, New};
use setpiece::commands::units::Primaries;
use setpiece::commands::{Error, Kind, quantity};
use setpiece::{Folder, Picture};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::sync::watch;

/// Most pictures that are looked at for the rack (own choice, no source).
const MOST: usize = 500;

/// A picture that lies open.
pub(crate) struct Open {
    pub(crate) room: Arc<Room>,
    pub(crate) store: Arc<Store>,
}

/// Where pictures are.
pub(crate) struct House {
    root: PathBuf,
    /// Whether the root is itself the picture: then there is no other.
    is_single: bool,
    means: Means,
    open: watch::Sender<Option<Arc<Open>>>,
}

impl House {
    /// # Errors
    /// Where the folder is a picture that cannot be opened, or no folder.
    pub(crate) fn at(root: &Path, means: Means) -> Result<Self, Error> {
        let is_single = Folder::holds_picture(root);
        if !is_single && !root.is_dir() {
            let place = root.display().to_string();
            return Err(Error::new(
                Kind::Files,
                "there is no such folder",
                place,
                "name a picture's folder, or one that pictures lie in",
            ));
        }
        let (open, _) = watch::channel(None);
        let house = Self { root: root.to_owned(), is_single, means, open };
        if is_single {
            let opened = house.opened(root)?;
            house.open.send_replace(Some(Arc::new(opened)));
        }
        Ok(house)
    }

    /// The picture that lies open, and whatever will.
    pub(crate) fn watch(&self) -> watch::Receiver<Option<Arc<Open>>> {
        self.open.subscribe()
    }

    /// The picture that lies open.
    pub(crate) fn now(&self) -> Option<Arc<Open>> {
        self.open.borrow().clone()
    }

    /// The pictures that can be opened, by their folders' names.
    pub(crate) fn rack(&self) -> Vec<Racked> {
        let entries = std::fs::read_dir(&self.root).into_iter().flatten().flatten().map(|e| e.path());
        let folders = entries.filter(|p| !p.is_symlink() && Folder::holds_picture(p)).take(MOST);
        let mut all: Vec<Racked> = folders.filter_map(|folder| racked(&folder)).collect();
        all.sort_by(|a, b| a.folder.cmp(&b.folder));
        all
    }

    /// Opens a picture of the rack.
    pub(crate) fn open(&self, name: &str) -> Result<(), Refusal> {
        let folder = self.named(name)?;
        let opened = self.opened(&folder).map_err(|e| refusal(&e))?;
        self.close();
        self.open.send_replace(Some(Arc::new(opened)));
        Ok(())
    }

    /// Begins a picture in a folder of the rack, as large as is said (`60x40cm`, or `6000x4000`), and opens it.
    pub(crate) fn begin(&self, name: &str, extent: &str) -> Result<(), Refusal> {
        let folder = self.named(name)?;
        let unreadable = |e: quantity::Unreadable| {
            let remedy = format!("give {}", e.allowed);
            refusal(&Error::new(Kind::Wording, e.what, "the picture's size", remedy))
        };
        let (size, print) = match quantity::print_size(extent) {
            Ok(print) => (None, Some(print)),
            Err(_) => (Some(quantity::size(extent).map_err(unreadable)?), None),
        };
        let extent = new::extent(size, print, None).map_err(|e| refusal(&e))?;
        let wanted = New { extent, name: None, primaries: Primaries::Rec2020 };
        new::new(&folder, &wanted, (self.means.now)()).map_err(|e| refusal(&e))?;
        self.open(name)
    }

    /// Lays the picture that lies open back into the rack.
    pub(crate) fn leave(&self) {
        if !self.is_single {
            self.close();
            self.open.send_replace(None);
        }
    }

    /// Leaves everything written.
    pub(crate) fn close(&self) {
        if let Some(open) = self.now() {
            open.room.close();
        }
    }

    /// What there is to do while nobody asks.
    pub(crate) fn tend(&self) {
        if let Some(open) = self.now() {
            open.room.tend();
        }
    }

    /// Whether there is a rack to go back to.
    pub(crate) const fn has_rack(&self) -> bool {
        !self.is_single
    }

    /// Where the door's key is kept: in the cache of the picture, or in one of the rack's own. None where that leads elsewhere.
    pub(crate) fn cache(&self) -> Option<PathBuf> {
        let path = self.root.join(".cache");
        if path.is_symlink() {
            return None;
        }
        std::fs::create_dir_all(&path).ok()?;
        Some(path)
    }

    fn opened(&self, folder: &Path) -> Result<Open, Error> {
        let room = Room::open(folder, self.means.clone())?;
        let store = Store::of(&room).ok_or_else(|| {
            let place = folder.display().to_string();
            Error::new(
                Kind::Files,
                "the picture's cache leads elsewhere",
                place,
                "remove .cache from the picture's folder",
            )
        })?;
        Ok(Open { room: Arc::new(room), store })
    }

    /// A folder right in the house, and nowhere else.
    fn named(&self, name: &str) -> Result<PathBuf, Refusal> {
        match bare(name) {
            Some(bare) if !self.is_single && !self.root.join(bare).is_symlink() => Ok(self.root.join(bare)),
            Some(bare) if !self.is_single => Err(refusal(&Error::new(
                Kind::Files,
                "it leads out of the rack",
                bare,
                "move the picture's folder itself there, or open it where it is",
            ))),
            _ => Err(refusal(&Error::new(
                Kind::Wording,
                "this is no folder's name",
                format!("the name \"{name}\""),
                "give a bare name, without / and not beginning with a dot",
            ))),
        }
    }
}

/// What the rack tells of a picture.
fn racked(folder: &Path) -> Option<Racked> {
    let name = folder.file_name()?.to_str()?.to_owned();
    bare(&name)?;
    let found = Picture::look(folder).ok();
    let scene = found.as_ref().map(setpiece::Look::scene);
    Some(Racked {
        title: scene.map(|s| s.name().to_owned()),
        width_px: scene.map_or(0, |s| s.format().size.width()),
        height_px: scene.map_or(0, |s| s.format().size.height()),
        pieces: scene.map_or(0, |s| s.pieces().len()),
        kept: found.as_ref().and_then(|l| l.log().last()).map(|e| e.at.to_string()),
        folder: name,
    })
}
