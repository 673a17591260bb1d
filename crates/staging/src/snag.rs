//! What gives the picture away or bars it, with where, how much and a remedy.

use optics::OutOfRange;
use scene::{PieceId, figure};

/// A finding.
#[derive(Clone, PartialEq, Debug)]
pub struct Snag {
    /// What is wrong, and how much.
    pub what: String,
    /// Where.
    pub place: String,
    /// The piece it is about.
    pub piece: Option<PieceId>,
    /// What would mend it.
    pub remedy: String,
}

impl Snag {
    /// A number that a formula does not take.
    pub(crate) fn of_number(e: &OutOfRange, place: impl Into<String>, piece: Option<PieceId>) -> Self {
        let what = format!("the {} is {}", e.place(), figure(e.value()));
        Self { what, place: place.into(), piece, remedy: e.remedy() }
    }
}
