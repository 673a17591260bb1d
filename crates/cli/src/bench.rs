//! What a command works with: the picture, opened for it or open already; memory; the time.

use crate::answer::Trouble;
use crate::hands;
use setpiece::commands::pixels::Budget;
use setpiece::{Picture, Timestamp};
use std::ops::{Deref, DerefMut};
use std::path::Path;

/// What a command works with.
pub(crate) struct Bench<'a> {
    open: Option<&'a mut Picture>,
    budget: Budget,
    now: Timestamp,
}

impl<'a> Bench<'a> {
    /// For a command line: each command opens its picture, and leaves it saved.
    pub(crate) fn for_a_line() -> Self {
        Self { open: None, budget: hands::telling("Cutting", &hands::budget()), now: hands::now() }
    }

    /// For a picture that is open: it is left unsaved.
    pub(crate) fn with(picture: &'a mut Picture, budget: &Budget, now: Timestamp) -> Self {
        Self { open: Some(picture), budget: budget.clone(), now }
    }

    pub(crate) fn budget(&self) -> &Budget {
        &self.budget
    }

    pub(crate) const fn now(&self) -> Timestamp {
        self.now
    }

    /// The picture of a folder, for edits.
    ///
    /// # Errors
    /// As [`Picture::open`].
    pub(crate) fn picture(&mut self, folder: &Path) -> Result<Held<'_>, Trouble> {
        Ok(match &mut self.open {
            Some(picture) => Held::Lent(picture),
            None => Held::Own(Box::new(Picture::open(folder)?)),
        })
    }
}

/// A picture for edits.
pub(crate) enum Held<'a> {
    Own(Box<Picture>),
    Lent(&'a mut Picture),
}

impl Held<'_> {
    /// Leaves it saved, where whoever opened it does not see to that.
    pub(crate) fn save(&mut self) -> Result<(), setpiece::Error> {
        match self {
            Self::Own(picture) => picture.save(),
            Self::Lent(_) => Ok(()),
        }
    }
}

impl Deref for Held<'_> {
    type Target = Picture;

    fn deref(&self) -> &Picture {
        match self {
            Self::Own(picture) => picture,
            Self::Lent(picture) => picture,
        }
    }
}

impl DerefMut for Held<'_> {
    fn deref_mut(&mut self) -> &mut Picture {
        match self {
            Self::Own(picture) => picture,
            Self::Lent(picture) => picture,
        }
    }
}
