//! Lamps in the picture (docs/model.md, *Light*).

use crate::range::{light, within};
use crate::{OutOfRange, Point};
use units::math::hypot;
use units::{Metres, Vec3};

/// A lamp in the picture, round and shining alike in every direction.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Practical {
    at: Point,
    intensity: Vec3,
    radius: Metres,
    reach: Option<Metres>,
    floor: f64,
}

impl Practical {
    /// A lamp that falls off by the pure inverse square.
    ///
    /// `intensity`: linear RGB in picture units on a card at 1 m, square to the light. `radius`: of the lamp.
    ///
    /// # Errors
    /// [`OutOfRange`] for a negative light or a radius outside 1 mm to 100 m.
    pub fn new(at: Point, intensity: Vec3, radius: Metres) -> Result<Self, OutOfRange> {
        light("light of a practical", intensity)?;
        within("radius of a practical", radius.get(), 1e-3, 100.0, "0.001 to 100 m")?;
        Ok(Self { at, intensity, radius, reach: None, floor: 0.0 })
    }

    /// The same lamp made to carry further than the inverse square lets it: at `reach` it is one stop
    /// brighter, and well beyond it loses one stop for each doubling of the distance in place of two. `None`
    /// is pure inverse square.
    ///
    /// # Errors
    /// [`OutOfRange`] for a reach outside 1 cm to 100 km.
    pub fn with_reach(self, reach: Option<Metres>) -> Result<Self, OutOfRange> {
        if let Some(r) = reach {
            within("reach of a practical", r.get(), 0.01, 1e5, "0.01 to 100000 m")?;
        }
        Ok(Self { reach, ..self })
    }

    /// The same lamp with a level below which it does not fall, however far: a share (0 to 1) of its reading
    /// at 1 m.
    ///
    /// # Errors
    /// [`OutOfRange`] for another share.
    pub fn with_floor(self, floor: f64) -> Result<Self, OutOfRange> {
        within("floor of a practical", floor, 0.0, 1.0, "0 to 1 (a share of its light at 1 m)")?;
        Ok(Self { floor, ..self })
    }

    /// Its middle.
    #[must_use]
    pub const fn at(&self) -> Point {
        self.at
    }

    /// Linear RGB, in picture units, on a card at 1 m and square to it.
    #[must_use]
    pub const fn intensity(&self) -> Vec3 {
        self.intensity
    }

    /// Of the lamp.
    #[must_use]
    pub const fn radius(&self) -> Metres {
        self.radius
    }

    /// Where it is one stop brighter than the inverse square; `None` is pure inverse square.
    #[must_use]
    pub const fn reach(&self) -> Option<Metres> {
        self.reach
    }

    /// The share of its reading at 1 m below which it does not fall.
    #[must_use]
    pub const fn floor(&self) -> f64 {
        self.floor
    }

    /// The share of its reading at 1 m that a card square to the light reads at this distance from its
    /// middle.
    ///
    /// 1/max(r, r0)² with r0 twice the lamp's radius: nearer, a round lamp is no point any more, and the
    /// inverse square would grow without end (inverse square law; r0 is this model's choice). Bent where the
    /// artist wants it: times (1 + r/reach), then √(that² + floor²), which joins the floor without an edge
    /// on the ground.
    ///
    /// ```
    /// # use optics::{Point, Practical};
    /// # use units::{Metres, Vec3};
    /// let lamp = Practical::new(Point::default(), Vec3::splat(1.0), Metres::of(0.1))?;
    /// assert_eq!(lamp.falloff(Metres::of(2.0)), 0.25);
    /// // At its reach it is one stop brighter.
    /// let carrying = lamp.with_reach(Some(Metres::of(2.0)))?;
    /// assert_eq!(carrying.falloff(Metres::of(2.0)), 0.5);
    /// # Ok::<(), optics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn falloff(&self, distance: Metres) -> f64 {
        let r = distance.get().abs().max(2.0 * self.radius.get());
        let carried = self.reach.map_or(1.0, |reach| 1.0 + r / reach.get());
        // Two divisions: the square of a very great distance would overflow.
        hypot(carried / r / r, self.floor)
    }

    /// What it gives to a card at a place: linear RGB, picture units. `normal` is the card's, of length 1.
    ///
    /// intensity · falloff · max(0, n·l). At the lamp's very middle, where the light has no direction, the
    /// mean over all directions: a quarter.
    #[must_use]
    pub fn on_card(&self, place: Point, normal: Vec3) -> Vec3 {
        self.with_cosine(place, |towards| towards.dot(normal).max(0.0))
    }

    /// The same with another weight in place of the cosine: a function of the direction to the lamp.
    pub(crate) fn with_cosine(&self, place: Point, cosine: impl Fn(Vec3) -> f64) -> Vec3 {
        let offset = self.at.vector() - place.vector();
        let distance = Metres::of(1.0) * offset.length();
        self.intensity * (self.falloff(distance) * offset.unit().map_or(0.25, cosine))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lamp() -> Practical {
        let at = Point::new(Metres::ZERO, Metres::of(1.0), Metres::of(5.0));
        Practical::new(at, Vec3::new(2.0, 1.0, 0.5), Metres::of(0.1)).unwrap()
    }

    #[test]
    fn nearer_than_twice_the_radius_it_grows_no_more() {
        assert_eq!(lamp().falloff(Metres::of(0.2)), lamp().falloff(Metres::ZERO));
        assert!((lamp().falloff(Metres::of(0.2)) - 25.0).abs() < 1e-12);
    }

    #[test]
    fn well_beyond_its_reach_it_loses_one_stop_a_doubling() {
        let far = lamp().with_reach(Some(Metres::of(1.0))).unwrap();
        let ratio = far.falloff(Metres::of(1000.0)) / far.falloff(Metres::of(2000.0));
        assert!((ratio - 2.0).abs() < 1e-2);
        let pure = lamp().falloff(Metres::of(1000.0)) / lamp().falloff(Metres::of(2000.0));
        assert!((pure - 4.0).abs() < 1e-12);
    }

    #[test]
    fn it_never_falls_below_its_floor() {
        let floored = lamp().with_floor(0.02).unwrap();
        assert!((floored.falloff(Metres::of(1e6)) - 0.02).abs() < 1e-12);
        assert!((floored.falloff(Metres::of(1.0)) - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_card_turned_away_gets_nothing() {
        let place = Point::new(Metres::ZERO, Metres::of(1.0), Metres::of(3.0));
        assert_eq!(lamp().on_card(place, Vec3::new(0.0, 0.0, 1.0)), Vec3::new(0.5, 0.25, 0.125));
        assert_eq!(lamp().on_card(place, Vec3::new(0.0, 0.0, -1.0)), Vec3::splat(0.0));
        assert!(lamp().on_card(lamp().at(), Vec3::new(0.0, 0.0, 1.0)).is_finite());
    }

    #[test]
    fn lamps_that_cannot_be_are_refused() {
        assert!(Practical::new(Point::default(), Vec3::new(1.0, -0.1, 0.0), Metres::of(0.1)).is_err());
        assert!(Practical::new(Point::default(), Vec3::splat(f64::NAN), Metres::of(0.1)).is_err());
        assert!(Practical::new(Point::default(), Vec3::splat(1.0), Metres::ZERO).is_err());
        assert!(lamp().with_reach(Some(Metres::ZERO)).is_err());
        assert!(lamp().with_floor(1.5).is_err());
    }
}
