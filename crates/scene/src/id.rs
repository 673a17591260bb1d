//! Names of the things in a picture: plain numbers that are never given twice and cannot be mixed up.

use std::fmt;

/// The largest number an id can have: the largest whole number that every JSON reader keeps exactly
/// (RFC 8259, section 6).
pub const LAST_ID: u64 = (1 << 53) - 1;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident, $fresh:ident, $word:literal;)+) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
            pub struct $name(u64);

            impl $name {
                /// The id with this number, as a file or a command line gives it. New ones come from
                /// [`Scene::fresh`](crate::Scene::fresh) alone.
                #[must_use]
                pub const fn from_number(number: u64) -> Self {
                    Self(number)
                }

                /// Its number.
                #[must_use]
                pub const fn number(self) -> u64 {
                    self.0
                }
            }

            impl fmt::Display for $name {
                fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                    write!(f, concat!($word, " {}"), self.0)
                }
            }
        )+

        impl Fresh {
            $(
                /// The next id that no thing in the picture has or had.
                pub const fn $fresh(&mut self) -> $name {
                    $name(self.take_next())
                }
            )+
        }
    };
}

ids! {
    /// A piece.
    PieceId, piece, "piece";
    /// A cut-out.
    CutOutId, cutout, "cut-out";
    /// A level of the ground.
    LevelId, level, "level";
    /// A studio set-up that cut-outs share.
    SetUpId, set_up, "set-up";
    /// A lamp in the picture.
    PracticalId, practical, "practical";
    /// A region that puts something in front of a piece.
    InFrontId, in_front, "in-front region";
    /// A set dressing.
    DressingId, dressing, "set dressing";
    /// A treatment of the toning.
    TreatmentId, treatment, "treatment";
    /// A take.
    TakeId, take, "take";
}

/// Hands out ids for new things. Takes none from the picture: an id is used up when the edit that adds its
/// thing is accepted.
#[derive(Clone, Debug)]
pub struct Fresh(u64);

impl Fresh {
    pub(crate) const fn from(next: u64) -> Self {
        Self(next)
    }

    const fn take_next(&mut self) -> u64 {
        let number = self.0;
        // Past the last id the edit is refused; the number itself must not wrap to an old one.
        self.0 = self.0.saturating_add(1);
        number
    }
}
