//! What the artist does by hand on a cut-out: strokes of the pen over its shot, and how its edge is finished.

use crate::CutOut;
use units::{Digest, Digester, Mat3, Pixels};

/// A stroke of the pen over a shot, in the shot's pixels.
#[derive(Clone, PartialEq, Debug)]
pub struct Stroke {
    /// What it says of what lies under it.
    pub says: Says,
    /// Whether it is a line or goes round an area.
    pub form: StrokeForm,
    /// Where the pen was: column, row, and half the stroke's width there.
    pub dots: Vec<(Pixels, Pixels, Pixels)>,
    /// Share of its radius over which it fades out.
    pub soft: f64,
    /// How much of it is done, 0 to 1.
    pub strength: f64,
}

/// What a stroke says.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Says {
    /// Surely the thing; for when the shot is cut anew.
    Inside,
    /// Surely not.
    Outside,
    /// Neither: to be solved.
    Between,
    /// The matte covers more.
    Add,
    /// It covers less.
    Remove,
    /// The matte is blurred, by a disc of this radius.
    Soften(Pixels),
    /// The matte follows the edge that the shot shows.
    Follow,
    /// Holes that the matte encloses are closed.
    Close,
    /// The shot is filled from its surroundings: clamps, dust, stray hairs.
    Mend,
    /// Taken from the other shot, where one is joined to it.
    Take,
    /// Not taken from there.
    Stay,
}

impl Says {
    /// Whether it is for the cutting, whose outcome the matte is, and changes nothing by itself.
    #[must_use]
    pub const fn is_for_cutting(self) -> bool {
        matches!(self, Self::Inside | Self::Outside | Self::Between)
    }

    /// Whether it is for joining another shot to it.
    #[must_use]
    pub const fn is_for_joining(self) -> bool {
        matches!(self, Self::Take | Self::Stay)
    }
}

/// What the points of a stroke are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StrokeForm {
    /// The way the pen went.
    Line,
    /// What it went round.
    Area,
}

/// What a cut-out takes from other shots of the same sitting. Its matte and colour are then what came of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Joining {
    /// The coverage of its own shot alone; `None`: the shot's own alpha.
    pub matte: Option<Digest>,
    /// What is taken, one after the other.
    pub taken: Vec<Taken>,
}

/// What is taken from another shot.
#[derive(Clone, PartialEq, Debug)]
pub struct Taken {
    /// The other shot: a source.
    pub shot: Digest,
    /// Its coverage; `None`: its own alpha.
    pub matte: Option<Digest>,
    /// From pixels of the cut-out's own shot to those of the other one, homogeneous.
    pub to_shot: Mat3,
    /// What is taken, and what is not, in pixels of the cut-out's own shot.
    pub strokes: Vec<Stroke>,
}

/// How the edge of a cut-out is finished, all over. By default it is as the matte has it.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Finish {
    /// How far the edge is moved, in the shot's pixels: outwards, or inwards below 0.
    pub margin: Pixels,
    /// Coverage that becomes clear, and coverage that becomes solid.
    pub levels: Option<(f64, f64)>,
    /// Largest hole that is closed, in the shot's pixels.
    pub holes: f64,
    /// How much of the paper's cast is taken off the edge, 0 to 1.
    pub cast: f64,
    /// How much an over-bright rim is calmed, 0 to 1.
    pub calm: f64,
    /// Width of the band along the edge that both work on, in the shot's pixels. Default: [`Finish::RIM`].
    pub rim: Option<Pixels>,
}

impl Finish {
    /// Width of a rim that nobody has stated (own choice, no source).
    pub const RIM: Pixels = Pixels::of(6.0);
}

impl CutOut {
    /// The strokes that change it by themselves, in their order.
    pub fn touches(&self) -> impl Iterator<Item = &Stroke> {
        self.strokes.iter().filter(|s| !s.says.is_for_cutting() && !s.says.is_for_joining())
    }

    /// Stands for the strokes that a cut is made by; `None` where there are none.
    #[must_use]
    pub fn cutting(&self) -> Option<Digest> {
        let mut strokes = self.strokes.iter().filter(|s| s.says.is_for_cutting()).peekable();
        strokes.peek()?;
        let mut d = Digester::new();
        d.text("cutting 1");
        strokes.for_each(|stroke| named(stroke, &mut d));
        Some(d.finish())
    }

    /// Whether its strokes say what its matte was not cut by.
    #[must_use]
    pub fn owes_cut(&self) -> bool {
        self.cut_by != self.cutting()
    }

    /// Stands for all that was done to it by hand; `None` where nothing was.
    #[must_use]
    pub fn handwork(&self) -> Option<Digest> {
        if self.finish == Finish::default() && self.touches().next().is_none() {
            return None;
        }
        let mut d = Digester::new();
        d.text("handwork 1");
        let Finish { margin, levels, holes, cast, calm, rim } = self.finish;
        let (clear, solid) = levels.unwrap_or((0.0, 1.0));
        let rim = rim.unwrap_or(Finish::RIM);
        for number in [margin.get(), clear, solid, holes, cast, calm, rim.get()] {
            d.float(number);
        }
        self.touches().for_each(|stroke| named(stroke, &mut d));
        Some(d.finish())
    }
}

/// Names a stroke by all that it does.
fn named(stroke: &Stroke, d: &mut Digester) {
    d.text(&format!("{:?} {:?}", stroke.says, stroke.form)).float(stroke.soft).float(stroke.strength);
    d.number(stroke.dots.len() as u64);
    for (u, v, radius) in &stroke.dots {
        d.float(u.get()).float(v.get()).float(radius.get());
    }
}
