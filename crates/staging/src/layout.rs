//! What is drawn. In a layout nothing is optional that matters to a pixel, nothing is looked up by name, no
//! unit is left to convert: pieces lie far to near, mappings are plain matrices, light is plain factors.
//!
//! All lengths are picture pixels; all colours linear light in the picture's primaries.

mod ground;

pub use self::ground::{Around, Daylight, LightOf, Pool, Shadow, Taken};
pub use crate::lit::{Here, Shine};
pub use optics::Aperture;
use scene::{CutOut, CutOutKind, PieceId, TreatmentId};
use units::{Digest, Mat3, Primaries, PxRect, PxSize, Vec3};

/// A picture with nothing left to decide.
#[derive(Clone, PartialEq, Debug)]
pub struct Layout {
    /// Of the whole picture.
    pub size: PxSize,
    /// Which all colours are in.
    pub primaries: Primaries,
    /// How photographs are brought to the picture's pixels.
    pub resampling: Resampling,
    /// What everything stands in.
    pub ground: Ground,
    /// The light on the backdrop's ground that is no lamp's.
    pub daylight: Daylight,
    /// Light of the lamps on it.
    pub pools: Vec<Pool>,
    /// Shadows on it.
    pub shadows: Vec<Shadow>,
    /// Far to near.
    pub pieces: Vec<Drawn>,
    /// Weights over the picture that the toning asks for.
    pub fields: Vec<Field>,
    /// In the order of the light's way.
    pub toning: Vec<Toned>,
}

/// How photographs are brought to the picture's pixels.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Resampling {
    /// As softly as a sensor would have photographed them at that size: for pictures.
    Sensor,
    /// By Lanczos-3, sharper, with overshoot: for comparing with others that do.
    Lanczos3,
}

/// The widest blur disc that is drawn, in picture pixels: thirty times as wide as a large picture.
pub const MOST_DISC: f64 = 1e6;

impl Resampling {
    /// The diameter of the weights that draw a blur disc. They have an edge one pixel wide, which makes them wider than
    /// the disc they stand for: with the radius spread evenly over R ± 1/2 the variance along an axis grows from R²/4 to
    /// (R² + 5/12)/4 (for R well above 1), as a disc's does whose diameter squared is larger by 5/3. The pixel's own
    /// square is in the sharp picture already, so for pictures this is taken off; for comparisons the weights count as
    /// they are. A disc wider than [`MOST_DISC`] is drawn as that: of what it shows nothing is left to be seen.
    #[must_use]
    pub fn drawn(self, disc: f64) -> f64 {
        let disc = disc.min(MOST_DISC);
        match self {
            Self::Sensor => (disc * disc - 5.0 / 3.0).max(0.0).sqrt(),
            Self::Lanczos3 => disc,
        }
    }
}

/// What everything stands in.
#[derive(Clone, PartialEq, Debug)]
pub enum Ground {
    /// An even tone, where there is no backdrop.
    Plain(Vec3),
    /// A photograph, repeated outwards at its border.
    Photograph {
        /// Which.
        source: Digest,
        /// From picture pixels to the photograph's.
        to_source: Mat3,
    },
}

/// The pixels of a cut-out: shot, and the coverage it is cut out with.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Cut {
    /// The photograph.
    pub shot: Digest,
    /// Its coverage, where it has one of its own beside the shot.
    pub matte: Option<Digest>,
    /// Its own colour, where it has that beside the shot.
    pub colour: Option<Digest>,
    /// What was done to it by hand.
    pub handwork: Option<Digest>,
    /// Whether it covers or only adds light.
    pub mixing: Mixing,
}

impl Cut {
    /// A shot cut out by a matte, or by its own alpha, that nobody worked on.
    #[must_use]
    pub const fn of(shot: Digest, matte: Option<Digest>, mixing: Mixing) -> Self {
        Self { shot, matte, colour: None, handwork: None, mixing }
    }

    /// The pixels of a cut-out of the scene.
    #[must_use]
    pub fn out(cutout: &CutOut) -> Self {
        let mixing = match cutout.kind {
            CutOutKind::Solid => Mixing::Over,
            CutOutKind::Additive => Mixing::Add,
        };
        let (colour, handwork) = (cutout.colour, cutout.handwork());
        Self { colour, handwork, ..Self::of(cutout.shot, cutout.matte, mixing) }
    }
}

/// How a piece meets what is behind it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Mixing {
    /// Covers it.
    Over,
    /// Adds its light to it.
    Add,
}

/// One piece, or a second drawing of a part of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Drawn {
    /// Which piece of the scene.
    pub piece: PieceId,
    /// Its pixels.
    pub cut: Cut,
    /// From picture pixels to the shot's.
    pub to_shot: Mat3,
    /// Where it can be seen before defocus (it may reach beyond the picture).
    pub bounds: PxRect,
    /// Diameter of its blur disc, of the aperture's shape; [`Resampling::drawn`] tells of the weights.
    pub disc: f64,
    /// Shape of the blur.
    pub aperture: Aperture,
    /// Factor on its colour: light, and what the haze leaves of it.
    pub gain: Vec3,
    /// How its light differs from place to place; `None`: not at all.
    pub lit: Option<Box<Lit>>,
    /// Light that the haze adds, as far as the piece covers.
    pub veil: Vec3,
    /// Regions that keep or take away parts of it.
    pub masks: Vec<Mask>,
    /// Where this is its mirror image in water: the share of what is seen there that is mirrored, 0 to 1. `None`: it itself.
    pub in_water: Option<f64>,
}

/// How the light differs over a piece: [`Lit::here`] gives it in parts of what the piece has on the whole, which is in its gain.
#[derive(Clone, PartialEq, Debug)]
pub struct Lit {
    /// From the shot's pixels to metres right and up in the piece's plane.
    pub to_plane: Mat3,
    /// Its foot on the stage, in metres.
    pub foot: Vec3,
    /// A metre to the right in the shot, on the stage; and one up.
    pub right: Vec3,
    /// See `right`.
    pub up: Vec3,
    /// From the plane to the camera, of length 1.
    pub towards: Vec3,
    /// The level direction to the camera, of length 1.
    pub viewer: Vec3,
    /// All lights of the picture.
    pub lights: optics::Lights,
    /// What a white card read in the studio, by height, lowest first; at least one.
    pub readings: Vec<(f64, Vec3)>,
    /// Light on the whole piece over the studio's.
    pub mean: Vec3,
    /// What stands between it and its lights.
    pub blockers: Vec<Blocker>,
}

/// A piece that stands in a light of another: an upright plane with a softened matte.
#[derive(Clone, PartialEq, Debug)]
pub struct Blocker {
    /// In which light: its place among those of [`Here`].
    pub light: usize,
    /// Its pixels.
    pub cut: Cut,
    /// A place of its plane, on the stage.
    pub foot: Vec3,
    /// Of the plane, of length 1.
    pub normal: Vec3,
    /// What gives, with a way on the stage from its foot, metres of the thing to the right; and up.
    pub right: Vec3,
    /// See `right`.
    pub up: Vec3,
    /// From these metres to the shot's pixels.
    pub to_shot: Mat3,
    /// Standard deviation of its softness in pixels of the shot.
    pub softness: f64,
}

impl Blocker {
    /// Where the way from a place to a light passes through it, in its shot's pixels. `far` is how far off what shines begins.
    #[must_use]
    pub fn meets(&self, place: Vec3, towards: Vec3, far: f64) -> Option<(f64, f64)> {
        /// So near to its own plane nothing is behind it, in metres.
        const BEHIND: f64 = 1e-3;
        let slope = towards.dot(self.normal);
        let way = (self.foot - place).dot(self.normal) / slope;
        if !(way > BEHIND && way < far) {
            return None;
        }
        let at = place + towards * way - self.foot;
        self.to_shot.project(at.dot(self.right), at.dot(self.up))
    }
}

/// A region with a soft edge.
#[derive(Clone, PartialEq, Debug)]
pub struct Mask {
    /// Closed polygons in picture pixels; inside is what an odd number of them surrounds.
    pub polygons: Vec<Vec<[f64; 2]>>,
    /// Width of the edge.
    pub softness: f64,
    /// What stays.
    pub keeps: Keeps,
}

/// Which side of a mask stays.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Keeps {
    /// The inside.
    Inside,
    /// The outside.
    Outside,
    /// What is left to draw where a later drawing shows the inside: the two laid over each other come to the whole, also where
    /// the piece is see-through or the edge soft.
    Rest,
}

impl Keeps {
    /// The factor on a premultiplied pixel of some coverage, where the mask's inside counts `inside`, 0 to 1. With f the
    /// factor, m the inside and a the coverage, m + (1 - a m) f = 1 for the rest.
    #[must_use]
    pub fn factor(self, inside: f32, coverage: f32) -> f32 {
        match self {
            Self::Inside => inside,
            Self::Outside => 1.0 - inside,
            Self::Rest => {
                let through = 1.0 - inside * coverage.clamp(0.0, 1.0);
                // Behind a drawing that covers all of it, it does not matter.
                if through > 1e-6 { (1.0 - inside) / through } else { 1.0 }
            }
        }
    }
}

/// A weight over the picture: one value for the backdrop at each place, one for each piece, mixed as the pieces
/// cover each other.
#[derive(Clone, PartialEq, Debug)]
pub struct Field {
    /// Of the backdrop.
    pub ground: GroundField,
    /// Of each entry of the layout's pieces.
    pub pieces: Vec<f64>,
}

/// A weight over the backdrop.
#[derive(Clone, PartialEq, Debug)]
pub enum GroundField {
    /// The same everywhere.
    Even(f64),
    /// By the distance from a place on a level.
    Around {
        /// From picture pixels to metres on the level (right, away).
        to_level: Mat3,
        /// The place.
        centre: [f64; 2],
        /// Square of the place's distance from the level.
        lift_squared: f64,
        /// Weight by distance.
        ramp: Ramp,
    },
    /// By depth before the lens.
    Depth {
        /// From picture pixels to metres on the level (right, away).
        to_level: Mat3,
        /// Depth = these times (right, away, 1).
        depth: [f64; 3],
        /// Weight by depth.
        ramp: Ramp,
    },
}

/// A weight that goes smoothly from one value to another between two distances.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ramp {
    /// Up to this distance ...
    pub from: f64,
    /// ... and beyond this one,
    pub to: f64,
    /// the weight is this ...
    pub before: f64,
    /// ... and this.
    pub after: f64,
}

impl Ramp {
    /// The weight at a distance: cubic between the two.
    #[must_use]
    pub fn at(&self, distance: f64) -> f64 {
        let t = if self.to > self.from {
            ((distance - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
        } else {
            f64::from(u8::from(distance >= self.to))
        };
        self.before + (self.after - self.before) * t * t * (3.0 - 2.0 * t)
    }
}

/// One step of the toning: `out = in + weight * (tone(in) - in)`.
#[derive(Clone, PartialEq, Debug)]
pub struct Toned {
    /// Of which treatment.
    pub treatment: TreatmentId,
    /// What it does.
    pub tone: Tone,
    /// Factor on all weights: the strength, 0 to 1.
    pub strength: f64,
    /// Where it works: the product of these.
    pub weights: Vec<Weight>,
}

/// Where a step of the toning works.
#[derive(Clone, PartialEq, Debug)]
pub enum Weight {
    /// By one of the layout's fields.
    Field(usize),
    /// By luminance in stops from mid-grey (0.18): the product of both ramps.
    Tones(Ramp, Ramp),
    /// By CIE LCh(ab) hue angle in degrees: full within `half` of the centre, fading over `soft`.
    Hues {
        /// Middle of the range.
        centre: f64,
        /// Half its width.
        half: f64,
        /// Over which it fades.
        soft: f64,
    },
    /// Rising from 0 at one point of the picture to 1 at another.
    Gradient {
        /// Where it is 0.
        from: [f64; 2],
        /// Where it is 1.
        to: [f64; 2],
    },
    /// Where a card is painted.
    Card(Card),
}

/// A painted card.
#[derive(Clone, PartialEq, Debug)]
pub struct Card {
    /// From picture pixels to the card's.
    pub to_card: Mat3,
    /// What was painted on it, one over the other.
    pub strokes: Vec<Painted>,
}

/// A stroke on a card.
#[derive(Clone, PartialEq, Debug)]
pub struct Painted {
    /// Column, row, and half the stroke's width there, in the card's pixels; at least one.
    pub dots: Vec<[f64; 3]>,
    /// Share of the radius over which it fades out.
    pub soft: f64,
    /// How much is painted, or rubbed off.
    pub strength: f64,
    /// Whether it is rubbed off.
    pub rubs: bool,
}

impl Card {
    /// How much is painted at the middle of a pixel of the picture.
    #[must_use]
    pub fn at(&self, x: i64, y: i64) -> f64 {
        let Some((u, v)) = self.to_card.project(x as f64 + 0.5, y as f64 + 0.5) else { return 0.0 };
        self.strokes.iter().fold(0.0, |under, stroke| {
            let most = (0..stroke.pieces()).map(|i| stroke.over(i, u, v)).fold(0.0, f64::max);
            stroke.laid(most, under)
        })
    }
}

impl Painted {
    /// In how many pieces it can be looked at: from each dot to the next.
    #[must_use]
    pub fn pieces(&self) -> usize {
        self.dots.len().saturating_sub(1).max(1)
    }

    /// The two dots that a piece lies between.
    #[must_use]
    pub fn ends(&self, piece: usize) -> [[f64; 3]; 2] {
        let last = self.dots.len() - 1;
        [self.dots[piece.min(last)], self.dots[(piece + 1).min(last)]]
    }

    /// How much of a piece lies over a place of the card: all in its middle, nothing from its radius on.
    #[must_use]
    pub fn over(&self, piece: usize, u: f64, v: f64) -> f64 {
        let [[ax, ay, ar], [bx, by, br]] = self.ends(piece);
        let (dx, dy) = (bx - ax, by - ay);
        let length = dx * dx + dy * dy;
        let t = if length > 0.0 { (((u - ax) * dx + (v - ay) * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
        let radius = ar + (br - ar) * t;
        let (ex, ey) = (u - ax - dx * t, v - ay - dy * t);
        let away = (ex * ex + ey * ey).sqrt();
        // No edge is harder than a pixel of the card.
        let share = ((radius + 0.5 - away) / (self.soft * radius + 1.0)).clamp(0.0, 1.0);
        share * share * (3.0 - 2.0 * share)
    }

    /// What is painted once the stroke lies over it, where it lies so much over what was painted.
    #[must_use]
    pub fn laid(&self, over: f64, under: f64) -> f64 {
        let over = over * self.strength;
        if self.rubs { under * (1.0 - over) } else { under + (1.0 - under) * over }
    }
}

/// What a step of the toning does to linear light.
#[derive(Clone, PartialEq, Debug)]
pub enum Tone {
    /// A factor on each channel.
    Gain(Vec3),
    /// A function of each channel by itself.
    Curve(Curve),
    /// Away from (or towards) the grey of the same luminance.
    Saturation {
        /// 0 grey, 1 as it was.
        factor: f64,
        /// Luminance of red, green and blue.
        luminance: Vec3,
    },
    /// One factor on the shadows, another on the lights, by luminance in stops from mid-grey.
    Split {
        /// On the shadows.
        shadow: Vec3,
        /// On the lights.
        highlight: Vec3,
        /// From all shadow to all light.
        ramp: Ramp,
        /// Luminance of red, green and blue.
        luminance: Vec3,
    },
    /// A factor that grows towards the picture's edge; distances are shares of half the diagonal.
    Edge {
        /// The factor where it is full.
        factor: Vec3,
        /// How it grows: 0 none, 1 full.
        ramp: Ramp,
    },
    /// The picture's mean light, tinted, mixed in.
    Veil {
        /// Share of it.
        amount: f64,
        /// Its tint.
        colour: Vec3,
        /// The mean light, where it is held as it was in another picture; otherwise it is this picture's own.
        held: Option<Vec3>,
    },
    /// A share of the light spread around its place.
    Halation {
        /// Share of it.
        amount: f64,
        /// Standard deviation of the glow.
        sigma: f64,
    },
    /// Grain: each pixel times `1 + amount * noise`, the noise of unit variance and of grains this wide.
    Grain {
        /// Standard deviation at mid-grey.
        amount: f64,
        /// Diameter of a grain.
        size: f64,
        /// Which grain.
        seed: u64,
        /// Luminance of red, green and blue.
        luminance: Vec3,
    },
    /// The difference from a blurred copy, added.
    Sharpness {
        /// How much of it.
        amount: f64,
        /// Standard deviation of the blur.
        sigma: f64,
    },
}

/// A function of linear light, by its values at equal steps of the logarithm.
#[derive(Clone, PartialEq, Debug)]
pub struct Curve {
    /// Per channel: the value at `2^(LOWEST + i / STEPS)`.
    pub values: [Vec<f32>; 3],
    /// Per channel: the value at 0, from which a straight line leads to the first.
    pub black: [f32; 3],
}

impl Curve {
    /// Stops (from linear 1) of the first value.
    pub const LOWEST: i32 = -16;
    /// Stops of the last.
    pub const HIGHEST: i32 = 8;
    /// Values a stop.
    pub const STEPS: u32 = 64;

    /// From a function of each channel's linear value.
    #[must_use]
    pub fn from_fn(f: impl Fn(usize, f64) -> f64) -> Self {
        let channel = |c: usize| Self::channel(|v| f(c, v));
        Self {
            values: [channel(0), channel(1), channel(2)],
            black: [f(0, 0.0) as f32, f(1, 0.0) as f32, f(2, 0.0) as f32],
        }
    }

    /// From one function for all channels.
    #[must_use]
    pub fn of_all(f: impl Fn(f64) -> f64) -> Self {
        let values = Self::channel(&f);
        Self { values: [values.clone(), values.clone(), values], black: [f(0.0) as f32; 3] }
    }

    /// Whether it does the same to all channels.
    #[must_use]
    pub fn is_one(&self) -> bool {
        let same = |c: usize| self.values[c] == self.values[0] && self.black[c] == self.black[0];
        same(1) && same(2)
    }

    fn channel(f: impl Fn(f64) -> f64) -> Vec<f32> {
        let n = (Self::HIGHEST - Self::LOWEST) as u32 * Self::STEPS + 1;
        (0..n)
            .map(|i| {
                let stops = f64::from(Self::LOWEST) + f64::from(i) / f64::from(Self::STEPS);
                f(units::math::exp2(stops)) as f32
            })
            .collect()
    }
}

impl Layout {
    /// The same picture at another scale: for previews, by the same code as the print.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Option<Self> {
        let size = self.size.scaled(factor)?;
        // Each axis by what the rounded size makes of it, so that the borders stay the borders.
        let sx = f64::from(size.width()) / f64::from(self.size.width());
        let sy = f64::from(size.height()) / f64::from(self.size.height());
        let mean = (sx * sy).sqrt();
        let back = Mat3::scaling(1.0 / sx, 1.0 / sy);
        let bounds = |r: PxRect| {
            let lo = |v: i64, s: f64| (v as f64 * s).floor() as i64;
            let hi = |v: i64, s: f64| (v as f64 * s).ceil() as i64;
            PxRect::new(lo(r.x0(), sx), lo(r.y0(), sy), hi(r.x1(), sx), hi(r.y1(), sy))
        };
        let point = |p: [f64; 2]| [p[0] * sx, p[1] * sy];
        let mut out = self.clone();
        out.size = size;
        if let Ground::Photograph { to_source, .. } = &mut out.ground {
            *to_source = *to_source * back;
        }
        for pool in &mut out.pools {
            pool.to_level = pool.to_level * back;
        }
        for shadow in &mut out.shadows {
            match &mut shadow.taken {
                Taken::Thrown { to_shot, .. } => to_shot.iter_mut().for_each(|m| *m = *m * back),
                Taken::Hidden { to_level, .. } => *to_level = *to_level * back,
            }
            shadow.bounds = bounds(shadow.bounds);
            shadow.disc *= mean;
            shadow.soft *= mean;
        }
        for piece in &mut out.pieces {
            piece.to_shot = piece.to_shot * back;
            piece.bounds = bounds(piece.bounds);
            piece.disc *= mean;
            for mask in &mut piece.masks {
                mask.softness *= mean;
                mask.polygons.iter_mut().flatten().for_each(|p| *p = point(*p));
            }
        }
        for field in &mut out.fields {
            match &mut field.ground {
                GroundField::Even(_) => {}
                GroundField::Around { to_level, .. } | GroundField::Depth { to_level, .. } => {
                    *to_level = *to_level * back;
                }
            }
        }
        for toned in &mut out.toning {
            match &mut toned.tone {
                Tone::Halation { sigma, .. } | Tone::Sharpness { sigma, .. } => *sigma *= mean,
                Tone::Grain { size, .. } => *size *= mean,
                _ => {}
            }
            for weight in &mut toned.weights {
                match weight {
                    Weight::Gradient { from, to } => (*from, *to) = (point(*from), point(*to)),
                    Weight::Card(card) => card.to_card = card.to_card * back,
                    Weight::Field(_) | Weight::Tones(..) | Weight::Hues { .. } => {}
                }
            }
        }
        Some(out)
    }
}
