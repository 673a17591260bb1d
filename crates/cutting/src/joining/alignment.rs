//! Where a point of one shot is seen in another of the same sitting.

use units::{Mat3, PxRect, math};

/// What the artist moves a shot by, over the first one: to the right and down in pixels, turned clockwise in degrees, and times as large.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Nudge {
    /// Pixels to the right.
    pub dx: f64,
    /// Pixels down.
    pub dy: f64,
    /// Degrees clockwise.
    pub turn: f64,
    /// Times as large, more than 0.
    pub scale: f64,
}

impl Nudge {
    /// Leaves everything where it is.
    pub const NONE: Self = Self { dx: 0.0, dy: 0.0, turn: 0.0, scale: 1.0 };

    /// As a mapping of the plane, turning and growing about a point.
    fn about(self, (x, y): (f64, f64)) -> Mat3 {
        let a = math::radians(self.turn);
        let (c, s) = (self.scale * math::cos(a), self.scale * math::sin(a));
        let turned = Mat3([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]);
        Mat3::translation(x + self.dx, y + self.dy) * turned * Mat3::translation(-x, -y)
    }
}

/// From pixels of the first shot to those of another: what was found, and what the artist added to it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Alignment {
    found: Mat3,
    nudge: Nudge,
    about: (f64, f64),
}

impl Alignment {
    /// Of two shots whose pixels show the same.
    pub const SAME: Self = Self { found: Mat3::IDENTITY, nudge: Nudge::NONE, about: (0.0, 0.0) };

    /// One that maps the plane so, from the first shot to the other.
    ///
    /// `None` where the mapping has no inverse.
    #[must_use]
    pub fn found(to_shot: Mat3) -> Option<Self> {
        to_shot.inverse().map(|_| Self { found: to_shot, ..Self::SAME })
    }

    /// The same with this nudge in place of the one before; it turns and grows about the middle of `place`, in pixels of the first shot.
    ///
    /// `None` where a number is not finite, or the scale not more than 0.
    #[must_use]
    pub fn nudged(self, nudge: Nudge, place: PxRect) -> Option<Self> {
        let fine = [nudge.dx, nudge.dy, nudge.turn, nudge.scale].iter().all(|v| v.is_finite());
        let about = ((place.x0() + place.x1()) as f64 / 2.0, (place.y0() + place.y1()) as f64 / 2.0);
        (fine && nudge.scale > 0.0).then_some(Self { nudge, about, ..self })
    }

    /// What the artist added.
    #[must_use]
    pub const fn nudge(self) -> Nudge {
        self.nudge
    }

    /// From pixels of the first shot to the other's, nudge and all.
    #[must_use]
    pub fn to_shot(self) -> Mat3 {
        // What shows at a place was there before it was nudged: away from where the nudge takes it.
        match self.nudge.about(self.about).inverse() {
            Some(back) => self.found * back,
            None => self.found,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nudge_moves_the_shot_as_it_says() {
        let place = PxRect::new(0, 0, 200, 100);
        let found = Alignment::found(Mat3::translation(3.0, -1.0)).unwrap();
        let nudge = Nudge { dx: 5.0, dy: 2.0, turn: 0.0, scale: 1.0 };
        let at = found.nudged(nudge, place).unwrap().to_shot().project(50.0, 50.0).unwrap();
        assert_eq!(at, (48.0, 47.0));
        // A quarter turn clockwise about the middle: what was above it comes to lie to its right.
        let turned = Alignment::SAME.nudged(Nudge { turn: 90.0, ..Nudge::NONE }, place).unwrap();
        let (x, y) = turned.to_shot().project(110.0, 50.0).unwrap();
        assert!((x - 100.0).abs() < 1e-9 && (y - 40.0).abs() < 1e-9, "{x} {y}");
        let grown = Alignment::SAME.nudged(Nudge { scale: 2.0, ..Nudge::NONE }, place).unwrap();
        assert_eq!(grown.to_shot().project(120.0, 50.0).unwrap(), (110.0, 50.0));
        assert!(found.nudged(Nudge { scale: 0.0, ..Nudge::NONE }, place).is_none());
        assert!(found.nudged(Nudge { dx: f64::NAN, ..Nudge::NONE }, place).is_none());
        assert_eq!(
            found.nudged(nudge, place).unwrap().nudged(Nudge::NONE, place).unwrap().nudge(),
            Nudge::NONE
        );
    }
}
