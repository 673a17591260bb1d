//! What was done by hand to a cut-out, carried out on its pixels.

use scene::{CutOut, Finish, Stroke};

/// What was done by hand to a cut-out.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Handwork {
    touches: Vec<Stroke>,
    finish: Finish,
}

impl Handwork {
    pub(crate) fn of(cutout: &CutOut) -> Self {
        Self { touches: cutout.touches().cloned().collect(), finish: cutout.finish }
    }
}
