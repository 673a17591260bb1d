//! Stand-ins: grey figures and solids of known height that hold a place until the shot exists.

use super::Error;
use super::incoming::{Incoming, IncomingCut};
use super::making::made;
use crate::parts::measured;
use files::encode::{self, Codes, Description, Form};
use files::{Channels, Depth};
use pixels::encode::Transfer;
use pixels::{Budget, Coverage, Image};
use scene::{CutOutKind, SourceKind};
use std::io::Cursor;
use units::{Primaries, PxSize};

/// What a stand-in is drawn as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StandIn {
    /// A standing person.
    Figure,
    /// A sitting person, without the seat.
    Seated,
    /// A post, a lamp stand, a reed.
    Post,
    /// A box, as wide as it is high.
    Box,
    /// A ball.
    Ball,
}

/// A rounded part of an outline: from one end to the other, each with its radius, in shares of the height; y counts from the ground up.
struct Limb {
    from: [f64; 2],
    to: [f64; 2],
    radii: [f64; 2],
}

const fn limb(from: [f64; 2], to: [f64; 2], radii: [f64; 2]) -> Limb {
    Limb { from, to, radii }
}

/// A standing person of seven and a half heads (the draughtsman's customary proportion; own drawing, no source).
const FIGURE: [Limb; 12] = [
    limb([0.0, 0.930], [0.0, 0.945], [0.050, 0.055]),
    limb([0.0, 0.850], [0.0, 0.890], [0.030, 0.026]),
    limb([-0.085, 0.795], [0.085, 0.795], [0.042, 0.042]),
    limb([0.0, 0.760], [0.0, 0.620], [0.092, 0.072]),
    limb([0.0, 0.620], [0.0, 0.520], [0.072, 0.090]),
    limb([-0.118, 0.790], [-0.150, 0.600], [0.030, 0.024]),
    limb([-0.150, 0.600], [-0.150, 0.420], [0.024, 0.018]),
    limb([0.118, 0.790], [0.150, 0.600], [0.030, 0.024]),
    limb([0.150, 0.600], [0.150, 0.420], [0.024, 0.018]),
    limb([-0.048, 0.500], [-0.055, 0.270], [0.052, 0.034]),
    limb([-0.055, 0.270], [-0.058, 0.022], [0.034, 0.022]),
    limb([0.048, 0.500], [0.058, 0.022], [0.052, 0.022]),
];

/// A sitting person seen from the front, the ground under the feet (own drawing, no source).
const SEATED: [Limb; 10] = [
    limb([0.0, 0.905], [0.0, 0.925], [0.068, 0.075]),
    limb([0.0, 0.800], [0.0, 0.850], [0.042, 0.036]),
    limb([-0.115, 0.725], [0.115, 0.725], [0.056, 0.056]),
    limb([0.0, 0.680], [0.0, 0.430], [0.125, 0.120]),
    limb([-0.165, 0.715], [-0.200, 0.480], [0.040, 0.032]),
    limb([-0.200, 0.480], [-0.110, 0.400], [0.032, 0.026]),
    limb([0.165, 0.715], [0.200, 0.480], [0.040, 0.032]),
    limb([0.200, 0.480], [0.110, 0.400], [0.032, 0.026]),
    limb([-0.090, 0.390], [-0.100, 0.030], [0.072, 0.030]),
    limb([0.090, 0.390], [0.100, 0.030], [0.072, 0.030]),
];

const POST: [Limb; 1] = [limb([0.0, 0.03], [0.0, 0.97], [0.03, 0.03])];
const BALL: [Limb; 1] = [limb([0.0, 0.5], [0.0, 0.5], [0.5, 0.5])];

/// Height of the drawing in pixels, and the clear border around it.
const HIGH: u32 = 1200;
const BORDER: u32 = 16;

impl StandIn {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Figure => "figure",
            Self::Seated => "seated",
            Self::Post => "post",
            Self::Box => "box",
            Self::Ball => "ball",
        }
    }

    /// Width to height.
    const fn breadth(self) -> f64 {
        match self {
            Self::Figure => 0.37,
            Self::Seated => 0.5,
            Self::Post => 0.06,
            Self::Box | Self::Ball => 1.0,
        }
    }

    /// How far a place lies outside of it, in shares of the height; below 0 within.
    fn outside(self, x: f64, y: f64) -> f64 {
        let nearest = |limbs: &[Limb]| limbs.iter().map(|l| l.outside(x, y)).fold(f64::INFINITY, f64::min);
        match self {
            Self::Figure => nearest(&FIGURE),
            Self::Seated => nearest(&SEATED),
            Self::Post => nearest(&POST),
            Self::Ball => nearest(&BALL),
            Self::Box => (x.abs() - 0.5).max((y - 0.5).abs() - 0.5),
        }
    }

    /// Its coverage.
    fn covers(self, size: PxSize, budget: &Budget) -> Result<Image<Coverage>, Error> {
        let high = f64::from(HIGH);
        let middle = f64::from(size.width()) / 2.0;
        let foot = f64::from(HIGH + BORDER);
        Ok(Image::from_fn(size.rect(), budget, |u, v| {
            let (x, y) = ((u as f64 + 0.5 - middle) / high, (foot - v as f64 - 0.5) / high);
            Coverage((0.5 - self.outside(x, y) * high).clamp(0.0, 1.0) as f32)
        })?)
    }
}

impl Limb {
    fn outside(&self, x: f64, y: f64) -> f64 {
        let [dx, dy] = [self.to[0] - self.from[0], self.to[1] - self.from[1]];
        let [px, py] = [x - self.from[0], y - self.from[1]];
        let length = dx * dx + dy * dy;
        let t = if length > 0.0 { ((px * dx + py * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
        let [qx, qy] = [px - dx * t, py - dy * t];
        (qx * qx + qy * qy).sqrt() - (self.radii[0] + (self.radii[1] - self.radii[0]) * t)
    }
}

/// A stand-in as a cut-out that may come into a picture: an even grey, and what it covers.
///
/// # Errors
/// Where the memory does not suffice.
pub fn cut(which: StandIn, budget: &Budget) -> Result<IncomingCut, Error> {
    let wide = (which.breadth() * f64::from(HIGH)).ceil() as u32 + 2 * BORDER;
    let size = PxSize::new(wide, HIGH + 2 * BORDER).expect("it is some pixels wide and high");
    let covers = which.covers(size, budget)?;
    let stem = format!("stand-in-{}", which.name());
    // Of an 18 % grey card.
    let grey = (Transfer::Srgb.encode(0.18) * 255.0).round() as u8;
    let codes = vec![grey; 3 * size.rect().area()];
    let colour = Some((Primaries::Srgb, Transfer::Srgb));
    let rgb = Description { size, channels: Channels::Rgb, colour, ppi: None };
    let form = Form::Png { depth: Depth::U8 };
    let bytes = encode::whole(Cursor::new(Vec::new()), rgb, form, Codes::U8(&codes))?.into_inner();
    let shot = Incoming { kind: SourceKind::Cutting, ..made(format!("{stem}.png"), size, bytes, Vec::new()) };
    let matte = made(format!("{stem}-matte.png"), size, super::making::file(&covers, size)?, Vec::new());
    Ok(IncomingCut { shot, matte: Some(matte), kind: CutOutKind::Solid, measured: measured(size, &covers) })
}

#[cfg(test)]
mod tests {
    use super::{HIGH, StandIn, cut};
    use pixels::Budget;

    #[test]
    fn each_is_as_high_as_it_says() {
        let budget = Budget::of_bytes(200_000_000);
        for which in [StandIn::Figure, StandIn::Seated, StandIn::Post, StandIn::Box, StandIn::Ball] {
            let covered = cut(which, &budget).unwrap().measured.covered;
            let high = covered.height() as f64 / f64::from(HIGH);
            assert!((high - 1.0).abs() < 0.005, "{which:?} is {high} high");
        }
    }
}
