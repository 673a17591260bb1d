//! The lights of the picture and what they give to a card, to an upright piece and to the ground
//! (docs/model.md, *Light*). Linear RGB in the picture's working primaries, in picture units: what a perfect
//! white diffuser reads, irradiance/pi.

use crate::range::{light, within};
use crate::{OutOfRange, Point, Practical};
use units::math::{acos, hypot};
use units::{Degrees, Vec3};

const UP: Vec3 = Vec3::new(0.0, 1.0, 0.0);

/// Light from the sky above the horizon, as two cards read it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sky {
    level: Vec3,
    upright: Vec3,
}

impl Sky {
    /// `level`: on a card that lies face up. `upright`: on a standing card.
    ///
    /// # Errors
    /// [`OutOfRange`] for a negative light.
    pub fn new(level: Vec3, upright: Vec3) -> Result<Self, OutOfRange> {
        light("sky on a level card", level)?;
        light("sky on an upright card", upright)?;
        Ok(Self { level, upright })
    }

    /// On a card that lies face up.
    #[must_use]
    pub const fn level(&self) -> Vec3 {
        self.level
    }

    /// On a standing card.
    #[must_use]
    pub const fn upright(&self) -> Vec3 {
        self.upright
    }

    /// On a card whose normal rises by `n_y` (its part along up, -1 to 1): mixed evenly from the standing
    /// card to the one that lies face up, and from the standing card to nothing for one that lies face down
    /// (this model's choice; exact for an even sky, where it is (1 + n_y)/2).
    fn on_card(&self, n_y: f64) -> Vec3 {
        if n_y >= 0.0 { self.upright + (self.level - self.upright) * n_y } else { self.upright * (1.0 + n_y) }
    }
}

/// The sun, or whatever shines like one: far away, all rays parallel but for its width.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sun {
    direction: Vec3,
    irradiance: Vec3,
    diameter: Degrees,
}

impl Sun {
    /// The sun's mean angular diameter: 2 asin(695700 km / 1 au), after the IAU nominal solar radius (2015).
    pub const DIAMETER: Degrees = Degrees::of(0.533);

    /// `direction`: towards it, of any length. `irradiance`: on a card square to it.
    ///
    /// # Errors
    /// [`OutOfRange`] for a direction without length, a negative light, and a diameter outside 0 to 90
    /// degrees.
    pub fn new(direction: Vec3, irradiance: Vec3, diameter: Degrees) -> Result<Self, OutOfRange> {
        light("light of the sun", irradiance)?;
        within("diameter of the sun", diameter.get(), 0.0, 90.0, "0 to 90 degrees")?;
        let direction = direction.unit().ok_or(OutOfRange::new(
            "length of the direction to the sun",
            direction.length(),
            "more than 0, and finite",
        ))?;
        Ok(Self { direction, irradiance, diameter })
    }

    /// Towards it, of length 1.
    #[must_use]
    pub const fn direction(&self) -> Vec3 {
        self.direction
    }

    /// On a card square to it, nothing in between.
    #[must_use]
    pub const fn irradiance(&self) -> Vec3 {
        self.irradiance
    }

    /// How wide it appears.
    #[must_use]
    pub const fn diameter(&self) -> Degrees {
        self.diameter
    }

    /// Its light, if its middle stands above the horizon; under it, it gives none.
    fn risen(&self) -> Vec3 {
        if self.direction.0[1] > 0.0 { self.irradiance } else { Vec3::splat(0.0) }
    }
}

/// All lights of a picture.
#[derive(Clone, PartialEq, Debug)]
pub struct Lights {
    sky: Sky,
    sun: Option<Sun>,
    ground_reflectance: Vec3,
    practicals: Vec<Practical>,
}

impl Lights {
    /// All of them, and the ground's mean reflectance, which returns some of their light from below.
    ///
    /// # Errors
    /// [`OutOfRange`] for a reflectance outside 0 to 1.
    pub fn new(
        sky: Sky,
        sun: Option<Sun>,
        ground_reflectance: Vec3,
        practicals: Vec<Practical>,
    ) -> Result<Self, OutOfRange> {
        for share in ground_reflectance.0 {
            within("reflectance of the ground", share, 0.0, 1.0, "0 to 1 in each of red, green and blue")?;
        }
        Ok(Self { sky, sun, ground_reflectance, practicals })
    }

    /// From above the horizon.
    #[must_use]
    pub const fn sky(&self) -> &Sky {
        &self.sky
    }

    /// If it shines.
    #[must_use]
    pub const fn sun(&self) -> Option<&Sun> {
        self.sun.as_ref()
    }

    /// Mean share of the light that the ground returns.
    #[must_use]
    pub const fn ground_reflectance(&self) -> Vec3 {
        self.ground_reflectance
    }

    /// The same without lamps.
    #[must_use]
    pub fn daylight(&self) -> Self {
        Self { practicals: Vec::new(), ..self.clone() }
    }

    /// The lamps in the picture.
    #[must_use]
    pub fn practicals(&self) -> &[Practical] {
        &self.practicals
    }

    /// What a card at a place reads.
    ///
    /// E(n) = sky(n) + sun · visibility · max(0, n·l) + Σ practical · falloff · max(0, n·l) +
    /// ½(1 - n_y) · ground reflectance · E(up), the last with the sun unhidden: what hides it from the card
    /// does not hide it from the ground all around (docs/model.md, *Light*).
    ///
    /// `normal` may have any length (none counts as up); `sun_visibility` is the share of the sun that the
    /// place sees, 0 to 1.
    #[must_use]
    pub fn on_card(&self, place: Point, normal: Vec3, sun_visibility: f64) -> Vec3 {
        let n = normal.unit().unwrap_or(UP);
        let from_below = self.ground_reflectance.times(self.on_level(place)) * (0.5 * (1.0 - n.0[1]));
        self.direct(place, n.0[1], sun_visibility, |l| n.dot(l).max(0.0)) + from_below
    }

    /// What an upright piece at a place reads on the whole: the mean over what the camera sees of an upright
    /// cylinder, weighted by the width at which it appears.
    ///
    /// E as in [`Lights::on_card`], with [`on_cylinder`] in place of the cosine. For a place straight under
    /// the camera the cylinder is seen from the front of the stage.
    #[must_use]
    pub fn on_cylinder(&self, place: Point, sun_visibility: f64) -> Vec3 {
        let viewer =
            Vec3::new(-place.x.get(), 0.0, -place.z.get()).unit().unwrap_or(Vec3::new(0.0, 0.0, -1.0));
        let from_below = self.ground_reflectance.times(self.on_level(place)) * 0.5;
        self.direct(place, 0.0, sun_visibility, |l| on_cylinder(l, viewer)) + from_below
    }

    /// What the level ground reads at a place, in full sun.
    #[must_use]
    pub fn on_level(&self, place: Point) -> Vec3 {
        self.direct(place, 1.0, 1.0, |l| l.0[1].max(0.0))
    }

    /// The share of the sun in what level ground reads at a place: how dark a full shadow is there. Nothing
    /// where there is no light at all.
    #[must_use]
    pub fn share_of_sun(&self, place: Point) -> Vec3 {
        let Some(sun) = &self.sun else { return Vec3::splat(0.0) };
        share(sun.risen() * sun.direction.0[1].max(0.0), self.on_level(place))
    }

    /// The share of one practical in what level ground reads at a place; nothing for an index beyond the
    /// last.
    #[must_use]
    pub fn share_of_practical(&self, index: usize, place: Point) -> Vec3 {
        let Some(lamp) = self.practicals.get(index) else { return Vec3::splat(0.0) };
        share(lamp.on_card(place, UP), self.on_level(place))
    }

    fn direct(&self, place: Point, n_y: f64, sun_visibility: f64, cosine: impl Fn(Vec3) -> f64) -> Vec3 {
        let visible = if sun_visibility.is_nan() { 0.0 } else { sun_visibility.clamp(0.0, 1.0) };
        let sun = self.sun.as_ref().map(|sun| sun.risen() * (visible * cosine(sun.direction)));
        let lamps = self.practicals.iter().map(|lamp| lamp.with_cosine(place, &cosine));
        sun.into_iter().chain(lamps).fold(self.sky.on_card(n_y), |sum, light| sum + light)
    }
}

/// Mean of max(0, n·l) over the half of an upright cylinder that faces the viewer, weighted by the width at
/// which it appears. `light` and `viewer`: unit vectors towards them, the viewer's level.
///
/// With the light at the azimuth φ from the viewer, and its level part L: ¼ L (sin φ + (π - φ) cos φ), which
/// is ½ ∫ max(0, cos(a-φ)) cos a da over a = -π/2 to π/2.
///
/// ```
/// # use optics::lights::on_cylinder;
/// # use units::Vec3;
/// let viewer = Vec3::new(0.0, 0.0, -1.0);
/// // From the viewer: ½ ∫ cos² a da = π/4.
/// assert!((on_cylinder(viewer, viewer) - std::f64::consts::FRAC_PI_4).abs() < 1e-15);
/// // From the side: ½ ∫ sin a cos a da over 0 to π/2 = ¼. From behind: nothing.
/// assert!((on_cylinder(Vec3::new(1.0, 0.0, 0.0), viewer) - 0.25).abs() < 1e-15);
/// assert!(on_cylinder(Vec3::new(0.0, 0.0, 1.0), viewer) < 1e-15);
/// ```
#[must_use]
pub fn on_cylinder(light: Vec3, viewer: Vec3) -> f64 {
    let [x, _, z] = light.0;
    let level = hypot(x, z);
    if level == 0.0 {
        return 0.0;
    }
    let cos_phi = ((x * viewer.0[0] + z * viewer.0[2]) / level).clamp(-1.0, 1.0);
    let sin_phi = (1.0 - cos_phi * cos_phi).sqrt();
    (0.25 * level * (sin_phi + (std::f64::consts::PI - acos(cos_phi)) * cos_phi)).max(0.0)
}

fn share(part: Vec3, whole: Vec3) -> Vec3 {
    Vec3(std::array::from_fn(|i| if whole.0[i] > 0.0 { part.0[i] / whole.0[i] } else { 0.0 }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Metres;

    const NONE: Vec3 = Vec3::new(0.0, 0.0, 0.0);

    fn at(x: f64, y: f64, z: f64) -> Point {
        Point::new(Metres::of(x), Metres::of(y), Metres::of(z))
    }

    fn sunlit(direction: Vec3) -> Lights {
        let dark = Sky::new(NONE, NONE).unwrap();
        let sun = Sun::new(direction, Vec3::splat(2.0), Sun::DIAMETER).unwrap();
        Lights::new(dark, Some(sun), NONE, Vec::new()).unwrap()
    }

    #[test]
    fn between_an_even_sky_and_a_white_ground_every_card_reads_the_same() {
        // An even sky of radiance 1 gives a level card 1 and an upright one half; white ground returns all
        // of it, so that light comes alike from everywhere (the furnace test of renderers).
        let sky = Sky::new(Vec3::splat(1.0), Vec3::splat(0.5)).unwrap();
        let lights = Lights::new(sky, None, Vec3::splat(1.0), Vec::new()).unwrap();
        for n in
            [UP, UP * -1.0, Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.3, -0.8, 0.2), Vec3::new(-2.0, 3.0, 1.0)]
        {
            let read = lights.on_card(at(1.0, 0.5, 4.0), n, 1.0);
            assert!((read - Vec3::splat(1.0)).length() < 1e-15, "{n:?}: {read:?}");
        }
        assert!((lights.on_cylinder(at(1.0, 0.5, 4.0), 1.0) - Vec3::splat(1.0)).length() < 1e-15);
    }

    #[test]
    fn the_cylinder_is_seen_from_where_the_camera_is() {
        // The sun stands level behind the camera's back as seen from the mark: to the left for a mark on the
        // right.
        let mark = at(5.0, 0.0, 5.0);
        let behind_camera = sunlit(Vec3::new(-1.0, 1e-9, -1.0));
        let full = behind_camera.on_cylinder(mark, 1.0).0[0] / 2.0;
        assert!((full - std::f64::consts::FRAC_PI_4).abs() < 1e-8);
        let behind_piece = sunlit(Vec3::new(1.0, 1e-9, 1.0));
        assert!(behind_piece.on_cylinder(mark, 1.0).0[0] < 1e-8);
        assert!(behind_camera.on_cylinder(at(0.0, 0.0, 0.0), 1.0).is_finite());
        assert_eq!(behind_camera.on_cylinder(mark, 0.0), NONE);
        assert_eq!(behind_camera.on_cylinder(mark, f64::NAN), NONE);
    }

    #[test]
    fn under_the_horizon_the_sun_gives_no_light() {
        let set = sunlit(Vec3::new(0.0, -0.1, -1.0));
        assert_eq!(set.on_card(at(0.0, 1.0, 5.0), Vec3::new(0.0, 0.0, -1.0), 1.0), NONE);
        assert_eq!(set.share_of_sun(at(0.0, 0.0, 5.0)), NONE);
    }

    #[test]
    fn lights_that_cannot_be_are_refused() {
        assert!(Sky::new(Vec3::new(0.1, -0.1, 0.1), NONE).is_err());
        assert!(Sun::new(NONE, Vec3::splat(1.0), Sun::DIAMETER).is_err());
        assert!(Sun::new(UP, Vec3::splat(f64::INFINITY), Sun::DIAMETER).is_err());
        let sky = Sky::new(NONE, NONE).unwrap();
        let error = Lights::new(sky, None, Vec3::splat(1.2), Vec::new()).unwrap_err();
        assert_eq!(error.what(), "the reflectance of the ground is 1.2");
        assert_eq!(error.remedy(), "give it 0 to 1 in each of red, green and blue");
    }
}
