//! Exit codes: few, and each means one thing to do.

use setpiece::commands::Kind;

pub(crate) const FINE: u8 = 0;
pub(crate) const SNAGS: u8 = 1;
pub(crate) const WORDING: u8 = 2;
pub(crate) const FILES: u8 = 3;
pub(crate) const BUSY: u8 = 4;
pub(crate) const CALLED_OFF: u8 = 130;

/// What `setpiece help exit-codes` prints; the README has the same table.
pub(crate) const TABLE: &str = "\
  0  done
  1  snags were found, or the picture does not allow what was asked
  2  the command is worded wrongly
  3  a file or the disk: missing, damaged, unfit, full, not to be written
  4  the picture is open elsewhere
130  called off (Ctrl-C)

Whatever the code but 0, the picture is as it was: nothing is done by halves. So an edit that was accepted is 0, also where the
card it prints tells of a snag; what looks at a picture (check, place list, render) is 1 where it finds one. A rendering with
snags is written, and the snags are told.
";

pub(crate) const fn of(kind: Kind) -> u8 {
    match kind {
        Kind::Refused => SNAGS,
        Kind::Wording => WORDING,
        Kind::Files => FILES,
        Kind::Busy => BUSY,
        Kind::CalledOff => CALLED_OFF,
    }
}
