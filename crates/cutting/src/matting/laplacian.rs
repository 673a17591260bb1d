//! The closed form's quadratic form: in every window of 3 x 3 pixels coverage is nearly a linear function of colour
//! (Levin, Lischinski and Weiss, "A closed-form solution to natural image matting", 2008, eq. 12).
//!
//! Each window adds to the form, for its pixels i and j, δij - (1 + (ci - m)ᵀ (Σ + ε/9 1)⁻¹ (cj - m)) / 9, m and Σ being
//! the window's mean colour and covariance. A pixel meets others up to two columns and rows away.

use super::band::Band;
use super::sparse::Sparse;
use pixels::{Coverage, Image, Rgb};
use rayon::prelude::*;
use std::ops::Range;

/// Numbers of a row: the neighbours within two columns and rows.
const SIDE: usize = 5;

/// What is asked of a band's coverage by its neighbourhood, pixel by pixel.
pub(super) struct Form {
    rows: Vec<Row>,
    /// What numbers that are given bring to the right side.
    right: Vec<f64>,
}

/// That coverage goes with colour in every window. Windows reach no farther than the picture.
pub(super) fn form(colours: &Image<Rgb>, band: &Band, epsilon: f64) -> Form {
    let place = colours.place();
    let strips: Vec<i64> = (place.y0()..place.y1()).step_by(STRIP as usize).collect();
    let rows: Vec<_> = strips
        .into_par_iter()
        .flat_map_iter(|y| strip(colours, band, y..place.y1().min(y + STRIP), epsilon))
        .collect();
    Form { right: vec![0.0; rows.len()], rows }
}

impl Form {
    /// Asks, with some weight, that the mean of every four pixels be that of the picture at half the size.
    pub(super) fn keep_means(&mut self, band: &Band, half: &Image<Coverage>, weight: f64) {
        let each = band.pixels().zip(self.rows.iter_mut().zip(&mut self.right));
        for ((x, y), (row, right)) in each {
            let (u, v) = (x.div_euclid(2), y.div_euclid(2));
            for sy in 2 * v..2 * v + 2 {
                for sx in 2 * u..2 * u + 2 {
                    row[slot(sx - x, sy - y)] += (weight / 16.0) as f32;
                }
            }
            *right += weight / 4.0 * f64::from(half.at_clamped(u, v).0);
        }
    }

    /// The matrix among the pixels of the band, and the right side with what `sure` coverage beside them brings.
    pub(super) fn with_sure(
        mut self,
        band: &Band,
        sure: impl Fn(i64, i64) -> f64 + Sync,
    ) -> (Sparse, Vec<f64>) {
        let runs = self.rows.par_chunks(RUN).zip(self.right.par_chunks_mut(RUN)).enumerate();
        let parts: Vec<Sparse> = runs
            .map(|(run, (rows, right))| {
                let mut matrix = Sparse::new();
                let pixels = band.pixels().skip(run * RUN);
                for (((x, y), row), right) in pixels.zip(rows).zip(right) {
                    let steps = (-2..=2).flat_map(|dy| (-2..=2).map(move |dx| (dx, dy)));
                    let weighed = steps.zip(row).filter(|(_, w)| **w != 0.0);
                    let beside = weighed.filter_map(|((dx, dy), w)| {
                        let number = band.number(x + dx, y + dy);
                        if number.is_none() {
                            *right -= f64::from(*w) * sure(x + dx, y + dy);
                        }
                        Some((number?, *w))
                    });
                    matrix.push(beside);
                }
                matrix
            })
            .collect();
        drop(self.rows);
        (Sparse::of_parts(parts), self.right)
    }
}

/// Rows that a thread makes at a time.
const RUN: usize = 4096;

/// Where a row keeps the number of the pixel so many columns and rows away.
const fn slot(dx: i64, dy: i64) -> usize {
    (dy + 2) as usize * SIDE + (dx + 2) as usize
}

/// Rows of the picture that are worked on together.
const STRIP: i64 = 16;

/// A row of the form: for each step of up to two columns and rows.
type Row = [f32; SIDE * SIDE];

/// The form's rows of the band's pixels in some rows of the picture.
fn strip(colours: &Image<Rgb>, band: &Band, own: Range<i64>, epsilon: f64) -> Vec<Row> {
    let place = colours.place();
    let numbers = band.in_rows(own.clone());
    let mut rows = vec![[0.0; SIDE * SIDE]; numbers.len()];
    let inside =
        |x: i64, y: i64| band.number(x, y).filter(|n| numbers.contains(n)).map(|n| n - numbers.start);
    for y in (own.start - 1).max(place.y0() + 1)..(own.end + 1).min(place.y1() - 1) {
        for x in place.x0() + 1..place.x1() - 1 {
            let touched = STEPS.map(|(dx, dy)| inside(x + dx, y + dy));
            if touched.iter().any(Option::is_some) {
                window(colours, (x, y), epsilon, &touched, &mut rows);
            }
        }
    }
    rows
}

/// Columns and rows from a window's middle.
const STEPS: [(i64, i64); 9] = [(-1, -1), (0, -1), (1, -1), (-1, 0), (0, 0), (1, 0), (-1, 1), (0, 1), (1, 1)];

/// Adds the part of the window around (x, y) to the rows of the pixels that it touches.
fn window(
    colours: &Image<Rgb>,
    (x, y): (i64, i64),
    epsilon: f64,
    touched: &[Option<usize>; 9],
    rows: &mut [Row],
) {
    const N: f64 = 9.0;
    let c = STEPS.map(|(dx, dy)| colours.at(x + dx, y + dy).0.map(f64::from));
    let mean: [f64; 3] = std::array::from_fn(|k| c.iter().map(|c| c[k]).sum::<f64>() / N);
    let d = c.map(|c| [c[0] - mean[0], c[1] - mean[1], c[2] - mean[2]]);
    let moment = |a: usize, b: usize| d.iter().map(|d| d[a] * d[b]).sum::<f64>() / N;
    let e = epsilon / N;
    let inverse = invert([
        moment(0, 0) + e,
        moment(0, 1),
        moment(0, 2),
        moment(1, 1) + e,
        moment(1, 2),
        moment(2, 2) + e,
    ]);
    let turned = d.map(|d| times(&inverse, d));
    for (i, (ix, iy)) in STEPS.iter().enumerate() {
        let Some(at) = touched[i] else { continue };
        for (j, (jx, jy)) in STEPS.iter().enumerate() {
            let dot = turned[i][0] * d[j][0] + turned[i][1] * d[j][1] + turned[i][2] * d[j][2];
            let own = if i == j { 1.0 } else { 0.0 };
            rows[at][slot(jx - ix, jy - iy)] += (own - (1.0 + dot) / N) as f32;
        }
    }
}

/// Inverse of a symmetric matrix given by its upper half, row by row.
fn invert([a, b, c, d, e, f]: [f64; 6]) -> [f64; 6] {
    let (p, q, r) = (d * f - e * e, c * e - b * f, b * e - c * d);
    let k = 1.0 / (a * p + b * q + c * r);
    [p * k, q * k, r * k, (a * f - c * c) * k, (b * c - a * e) * k, (a * d - b * b) * k]
}

fn times([a, b, c, d, e, f]: &[f64; 6], [x, y, z]: [f64; 3]) -> [f64; 3] {
    [a * x + b * y + c * z, b * x + d * y + e * z, c * x + e * y + f * z]
}

#[cfg(test)]
mod tests {
    use super::super::trimap::Trimap;
    use super::*;
    use pixels::Budget;
    use units::PxRect;

    #[test]
    fn what_goes_with_colour_costs_nothing() {
        let budget = Budget::of_bytes(1 << 24);
        let place = PxRect::new(0, 0, 9, 8);
        let colours = Image::from_fn(place, &budget, |x, y| {
            Rgb([(x * y % 5) as f32 / 5.0, (x * 3 % 7) as f32 / 7.0, (y * y % 11) as f32 / 11.0])
        });
        let colours = colours.unwrap();
        let all = Image::from_fn(place, &budget, |_, _| Coverage(0.5)).unwrap();
        let band = Band::of(&Trimap::of_grey(&all));
        let (matrix, right) = form(&colours, &band, 1e-9).with_sure(&band, |_, _| 0.0);
        // Levin, Lischinski and Weiss 2008, theorem 1: linear functions of colour are in the null space, constants among them.
        let linear = |(x, y): (i64, i64)| {
            let [r, g, b] = colours.at(x, y).0.map(f64::from);
            0.3 + 0.5 * r - 0.2 * g + 0.1 * b
        };
        let x: Vec<f64> = band.pixels().map(linear).collect();
        let mut out = vec![0.0; x.len()];
        matrix.times(&x, &mut out);
        assert!(out.iter().all(|v| v.abs() < 1e-4), "{out:?}");
        assert!(right.iter().all(|v| *v == 0.0));
        let own: Vec<f64> =
            (0..matrix.rows()).map(|i| matrix.row(i).find(|(j, _)| *j == i).unwrap().1).collect();
        assert!(own.iter().all(|v| *v > 0.0));
    }
}
