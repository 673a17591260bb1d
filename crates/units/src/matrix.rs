//! Vectors of three and 3x3 matrices: colour transforms, turns in space, plane-to-plane mappings.

use std::ops::{Add, Mul, Sub};

/// Three numbers: a direction or place in space, or a colour.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Vec3(pub [f64; 3]);

impl Vec3 {
    /// From its components.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self([x, y, z])
    }

    /// Three times the same number.
    #[must_use]
    pub const fn splat(v: f64) -> Self {
        Self([v; 3])
    }

    /// Sum of products.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.0[0] * other.0[0] + self.0[1] * other.0[1] + self.0[2] * other.0[2]
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length 1; `None` for a zero or overflowing vector.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let n = self.length();
        if n > 0.0 && n.is_finite() { Some(self * (1.0 / n)) } else { None }
    }

    /// Component by component.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] * other.0[i]))
    }

    /// Component by component.
    #[must_use]
    pub fn over(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] / other.0[i]))
    }

    /// Each component through a function.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self(self.0.map(f))
    }

    /// Whether all are finite.
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.0.iter().all(|v| v.is_finite())
    }
}

impl Add for Vec3 {
    type Output = Self;
    fn add(self, rhs: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] + rhs.0[i]))
    }
}

impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, rhs: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] - rhs.0[i]))
    }
}

impl Mul<f64> for Vec3 {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        self.map(|v| v * k)
    }
}

/// A 3x3 matrix, row by row.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Mat3(pub [[f64; 3]; 3]);

impl Mat3 {
    /// Changes nothing.
    pub const IDENTITY: Self = Self([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);

    /// With these numbers on the diagonal.
    #[must_use]
    pub const fn diagonal(d: Vec3) -> Self {
        Self([[d.0[0], 0.0, 0.0], [0.0, d.0[1], 0.0], [0.0, 0.0, d.0[2]]])
    }

    /// With these columns.
    #[must_use]
    pub const fn columns(a: Vec3, b: Vec3, c: Vec3) -> Self {
        Self([[a.0[0], b.0[0], c.0[0]], [a.0[1], b.0[1], c.0[1]], [a.0[2], b.0[2], c.0[2]]])
    }

    /// Rows and columns exchanged.
    #[must_use]
    pub fn transpose(self) -> Self {
        Self(std::array::from_fn(|i| std::array::from_fn(|j| self.0[j][i])))
    }

    /// The determinant.
    #[must_use]
    pub fn determinant(self) -> f64 {
        let m = self.0;
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    }

    /// The inverse; `None` where there is none.
    #[must_use]
    pub fn inverse(self) -> Option<Self> {
        let m = self.0;
        let det = self.determinant();
        if !det.is_normal() {
            return None;
        }
        let k = 1.0 / det;
        let minor = |a: usize, b: usize, c: usize, d: usize| m[a][b] * m[c][d] - m[a][d] * m[c][b];
        Some(Self([
            [minor(1, 1, 2, 2) * k, -minor(0, 1, 2, 2) * k, minor(0, 1, 1, 2) * k],
            [-minor(1, 0, 2, 2) * k, minor(0, 0, 2, 2) * k, -minor(0, 0, 1, 2) * k],
            [minor(1, 0, 2, 1) * k, -minor(0, 0, 2, 1) * k, minor(0, 0, 1, 1) * k],
        ]))
    }

    /// As a mapping from plane to plane: where the point (x, y) goes; `None` on or behind the vanishing line
    /// (third coordinate not positive).
    #[must_use]
    pub fn project(self, x: f64, y: f64) -> Option<(f64, f64)> {
        let v = self * Vec3::new(x, y, 1.0);
        if v.0[2] > 0.0 { Some((v.0[0] / v.0[2], v.0[1] / v.0[2])) } else { None }
    }

    /// Moves a point of the plane by (dx, dy).
    #[must_use]
    pub const fn translation(dx: f64, dy: f64) -> Self {
        Self([[1.0, 0.0, dx], [0.0, 1.0, dy], [0.0, 0.0, 1.0]])
    }

    /// Stretches the plane from the origin.
    #[must_use]
    pub const fn scaling(sx: f64, sy: f64) -> Self {
        Self([[sx, 0.0, 0.0], [0.0, sy, 0.0], [0.0, 0.0, 1.0]])
    }
}

impl Mul for Mat3 {
    type Output = Self;
    fn mul(self, rhs: Self) -> Self {
        Self(std::array::from_fn(|i| {
            std::array::from_fn(|j| (0..3).map(|k| self.0[i][k] * rhs.0[k][j]).sum())
        }))
    }
}

impl Mul<Vec3> for Mat3 {
    type Output = Vec3;
    fn mul(self, v: Vec3) -> Vec3 {
        Vec3(self.0.map(|row| Vec3(row).dot(v)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_times_its_inverse_changes_nothing() {
        let m = Mat3([[2.0, 1.0, 0.5], [-1.0, 3.0, 0.25], [0.0, 0.5, 1.0]]);
        let p = m * m.inverse().unwrap();
        for i in 0..3 {
            for j in 0..3 {
                assert!((p.0[i][j] - f64::from(u8::from(i == j))).abs() < 1e-15);
            }
        }
        assert!(Mat3([[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 0.0, 1.0]]).inverse().is_none());
    }

    #[test]
    fn points_behind_the_vanishing_line_have_no_image() {
        let m = Mat3([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 1.0]]);
        assert_eq!(m.project(1.0, 0.5), Some((2.0, 1.0)));
        assert_eq!(m.project(1.0, 1.0), None);
    }
}
