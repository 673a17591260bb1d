//! What gives the picture away or bars it, with where, how much and a remedy.

use scene::PieceId;

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
