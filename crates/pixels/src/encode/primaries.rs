//! From one set of primaries to another, in linear light.

use crate::kernel::simd;
use crate::{Rgb, Rgba};
use units::primaries::xyz_of_xy;
use units::{Mat3, Primaries, Vec3};

/// The Bradford cone responses (Lam 1985; the matrix as ICC.1 annex E prints it).
const BRADFORD: Mat3 =
    Mat3([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]);

/// Linear RGB in `from` to linear RGB in `to`. Whites go to whites: where they differ, by Bradford adaptation.
#[must_use]
pub fn between(from: Primaries, to: Primaries) -> Mat3 {
    if from == to {
        return Mat3::IDENTITY;
    }
    if from.white() == to.white() {
        return to.from_xyz() * from.to_xyz();
    }
    to.from_xyz() * bradford(xyz_of_xy(from.white()), xyz_of_xy(to.white())) * from.to_xyz()
}

/// Chromatic adaptation of XYZ between two whites, each with Y = 1 (ICC.1:2022, annex E).
#[must_use]
pub fn bradford(from: Vec3, to: Vec3) -> Mat3 {
    let back = BRADFORD.inverse().expect("the Bradford matrix has an inverse");
    back * Mat3::diagonal((BRADFORD * to).over(BRADFORD * from)) * BRADFORD
}

/// A matrix in the precision of pixels.
#[must_use]
pub fn narrow(m: Mat3) -> [[f32; 3]; 3] {
    m.0.map(|row| row.map(|v| v as f32))
}

/// Each pixel through the matrix.
pub fn convert_rgb(m: &[[f32; 3]; 3], pixels: &mut [Rgb]) {
    simd::widest(
        #[inline(always)]
        || pixels.iter_mut().for_each(|p| p.0 = through(m, p.0)),
    );
}

/// Each pixel's colour through the matrix; premultiplied colour may be converted as it stands.
pub fn convert_rgba(m: &[[f32; 3]; 3], pixels: &mut [Rgba]) {
    simd::widest(
        #[inline(always)]
        || {
            for p in pixels {
                let [r, g, b, a] = p.0;
                let [r, g, b] = through(m, [r, g, b]);
                p.0 = [r, g, b, a];
            }
        },
    );
}

#[inline(always)]
fn through(m: &[[f32; 3]; 3], [r, g, b]: [f32; 3]) -> [f32; 3] {
    m.map(|[x, y, z]| x * r + y * g + z * b)
}
