//! The light on the backdrop's ground, and what pieces take of it.

use super::{Aperture, Cut};
use scene::PieceId;
use units::{Mat3, PxRect, Vec3};

/// The light on the ground of the backdrop, without lamps: sky and sun together come to 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Daylight {
    /// Share of the sky.
    pub sky: Vec3,
    /// Share of the sun.
    pub sun: Vec3,
    /// Factor on the whole backdrop: the daylight as it is told, over that in which it was photographed.
    pub told: Vec3,
}

impl Default for Daylight {
    /// All of it from the sky.
    fn default() -> Self {
        Self { sky: Vec3::splat(1.0), sun: Vec3::default(), told: Vec3::splat(1.0) }
    }
}

/// Light of a lamp on a level of the backdrop, in parts of the daylight there.
///
/// The backdrop is multiplied by what shines now over what shone when it was taken:
/// told (sky V + sun V + Σ lamps V) / (sky + sun + Σ lamps that were lit), each V being what [`Shadow`]s leave of that light.
#[derive(Clone, PartialEq, Debug)]
pub struct Pool {
    /// From picture pixels to metres on the level (right, away).
    pub to_level: Mat3,
    /// The light, around the point below the lamp.
    pub light: Around<Vec3>,
    /// The part of it, in the same measure, that shone when the backdrop was taken: nothing, or what it is of the daylight there was.
    pub taken: Vec3,
}

/// Something that differs with the distance from a place alone.
#[derive(Clone, PartialEq, Debug)]
pub struct Around<T> {
    /// The place: metres right and away.
    pub centre: [f64; 2],
    /// The value at each distance; entry i of n lies at `extent * (i / (n - 1))^2`, closer where it changes faster.
    pub values: Vec<T>,
    /// Distance of the last entry in metres. Beyond it there is nothing.
    pub extent: f64,
}

/// Entries of a table by distance.
const ENTRIES: usize = 96;

impl<T> Around<T> {
    /// From a function of the distance; `None` where that has no answer.
    pub(crate) fn of(centre: [f64; 2], extent: f64, f: impl Fn(f64) -> Option<T>) -> Option<Self> {
        let at = |i: usize| f(extent * (i as f64 / (ENTRIES - 1) as f64).powi(2));
        Some(Self { centre, values: (0..ENTRIES).map(at).collect::<Option<_>>()?, extent })
    }
}

impl Around<f64> {
    /// Each value through a function; it ends where all that follow are nothing.
    pub(crate) fn map(&self, f: impl Fn(f64) -> f64) -> Self {
        let mut values: Vec<f64> = self.values.iter().map(|v| f(*v)).collect();
        let last = self.values.len().saturating_sub(1).max(1) as f64;
        let used = values.iter().rposition(|v| *v > 0.0).map_or(0, |i| i + 2).min(values.len());
        values.truncate(used);
        let extent = self.extent * (used.saturating_sub(1) as f64 / last).powi(2);
        Self { centre: self.centre, values, extent }
    }
}

impl<
    T: Copy + Default + std::ops::Add<Output = T> + std::ops::Sub<Output = T> + std::ops::Mul<f64, Output = T>,
> Around<T>
{
    /// The value at a place: a straight line between entries.
    #[must_use]
    pub fn at(&self, right: f64, away: f64) -> T {
        let distance = ((right - self.centre[0]).powi(2) + (away - self.centre[1]).powi(2)).sqrt();
        if self.values.is_empty() || distance.is_nan() || distance >= self.extent {
            return T::default();
        }
        let at = (distance / self.extent).sqrt() * (self.values.len() - 1) as f64;
        let i = (at as usize).min(self.values.len() - 1);
        let j = (i + 1).min(self.values.len() - 1);
        self.values[i] + (self.values[j] - self.values[i]) * (at - i as f64)
    }
}

/// What a piece takes of one light on a level of the backdrop.
#[derive(Clone, PartialEq, Debug)]
pub struct Shadow {
    /// Which piece of the scene.
    pub piece: PieceId,
    /// Of which light.
    pub of: LightOf,
    /// What takes it.
    pub taken: Taken,
    /// Where it can lie in the picture.
    pub bounds: PxRect,
    /// Diameter of the blur disc there.
    pub disc: f64,
    /// Shape of the blur.
    pub aperture: Aperture,
    /// Factor on what is taken.
    pub strength: f64,
    /// How soft its edges are before that blur: standard deviation in picture pixels, roughly. It changes nothing of what is drawn,
    /// but how coarsely that may be done.
    pub soft: f64,
    /// So wide and faint that it may stay where it was while a hand moves its piece. It changes nothing of what is drawn.
    pub is_faint: bool,
}

/// One of the lights on the ground.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum LightOf {
    /// The sky.
    Sky,
    /// The sun.
    Sun,
    /// One of the layout's pools.
    Lamp(usize),
}

/// How light is taken.
#[derive(Clone, PartialEq, Debug)]
pub enum Taken {
    /// By the matte, thrown on the level.
    Thrown {
        /// What throws it.
        cut: Cut,
        /// From picture pixels, over the level and along the light, to the shot; one for each of the points that stand for the
        /// light's disc, each with the same share of it.
        to_shot: Vec<Mat3>,
    },
    /// By standing there: what it hides of the sky.
    Hidden {
        /// From picture pixels to metres on the level (right, away).
        to_level: Mat3,
        /// Shares, which come together.
        around: Vec<Around<f64>>,
    },
}

impl Taken {
    /// Most that is hidden.
    const MOST: f64 = 0.95;

    /// The share that is hidden at a place of the level.
    #[must_use]
    pub fn hidden(around: &[Around<f64>], right: f64, away: f64) -> f64 {
        around.iter().map(|a| a.at(right, away)).sum::<f64>().clamp(0.0, Self::MOST)
    }
}
