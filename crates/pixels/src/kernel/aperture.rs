//! The shape that an out-of-focus point takes: the lens's aperture, as weights on the pixel grid.

use units::math;

/// The aperture's outline.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Shape {
    /// A full disc.
    Disc,
    /// Straight or rounded blades.
    Blades {
        /// How many, at least 3.
        count: u32,
        /// Turn of the first corner from straight up, clockwise in the picture, in radians.
        turn: f64,
        /// 0: straight edges; 1: a full disc.
        roundness: f64,
    },
}

/// The weights of a blurred point: an odd square of `2 * reach + 1` pixels a side, sum 1, row by row.
#[derive(Clone, PartialEq, Debug)]
pub struct Spread {
    reach: usize,
    weights: Vec<f32>,
}

impl Spread {
    /// How many pixels it reaches from its centre, in each direction.
    #[must_use]
    pub const fn reach(&self) -> usize {
        self.reach
    }

    /// The weights of the row `dy` pixels below the centre.
    #[must_use]
    pub fn row(&self, dy: i64) -> &[f32] {
        let n = 2 * self.reach + 1;
        let i = (dy + self.reach as i64) as usize;
        &self.weights[i * n..(i + 1) * n]
    }

    /// The one-pixel spread that changes nothing.
    #[must_use]
    pub fn none() -> Self {
        Self { reach: 0, weights: vec![1.0] }
    }

    fn normalised(reach: usize, raw: &[f64]) -> Self {
        let sum: f64 = raw.iter().sum();
        Self { reach, weights: raw.iter().map(|w| (w / sum) as f32).collect() }
    }
}

/// How far the blur disc of a diameter (pixels) reaches on the pixel grid.
#[must_use]
pub fn reach(diameter: f64) -> usize {
    ((diameter / 2.0 + 0.5).ceil() - 1.0).max(0.0) as usize
}

/// The spread of a point whose blur disc has `diameter` pixels: weight `clip(1/2 - s, 0, 1)` where s is the
/// signed distance from the aperture's edge in pixels (negative inside), so an edge one pixel wide, divided by
/// the sum. For a disc s = distance from the centre - diameter/2. A bladed aperture lies within that disc and
/// touches it with its corners.
#[must_use]
pub fn spread(diameter: f64, shape: Shape) -> Spread {
    let n = reach(diameter) as i64;
    if n == 0 {
        return Spread::none();
    }
    let mut raw = Vec::with_capacity(((2 * n + 1) * (2 * n + 1)) as usize);
    for y in -n..=n {
        for x in -n..=n {
            raw.push((0.5 - from_edge(x as f64, y as f64, diameter / 2.0, shape)).clamp(0.0, 1.0));
        }
    }
    Spread::normalised(n as usize, &raw)
}

/// Fine pixels to a coarse one that [`spread_coarse`] looks at, at most.
const FINEST: usize = 16;

/// The same spread on a grid `k` times coarser: the fine weights through the low-pass filter that belongs to
/// that grid, taken at its pixels. A picture reduced `k` times, spread with this and enlarged again is the
/// picture spread with [`spread`], as far as the coarse grid can hold it.
#[must_use]
pub fn spread_coarse(diameter: f64, shape: Shape, k: usize) -> Spread {
    if k == 1 {
        return spread(diameter, shape);
    }
    if k > FINEST {
        // Sixteen fine pixels to a coarse one tell all that it can hold, so the work does not grow with the disc's area.
        return spread_coarse(diameter * FINEST as f64 / k as f64, shape, FINEST);
    }
    let fine = spread(diameter, shape);
    let m = fine.reach() as i64;
    let k = k as i64;
    // The filter that turns fine weights into coarse ones: Lanczos-3 over the coarse pixel, 3k to each side.
    let support = 3 * k;
    let reach = (m + support) / k;
    let taps: Vec<f64> = (-support..=support).map(|i| super::filter::lanczos3(i as f64 / k as f64)).collect();
    let side = (2 * m + 1) as usize;
    let coarse = (2 * reach + 1) as usize;
    // Separable: columns first, then rows.
    let mut half = vec![0.0; side * coarse];
    for y in 0..side {
        for cx in -reach..=reach {
            half[y * coarse + (cx + reach) as usize] = (-m..=m)
                .filter(|x| (x - cx * k).abs() <= support)
                .map(|x| {
                    f64::from(fine.weights[y * side + (x + m) as usize])
                        * taps[(x - cx * k + support) as usize]
                })
                .sum();
        }
    }
    let mut raw = vec![0.0; coarse * coarse];
    for cy in -reach..=reach {
        for cx in 0..coarse {
            raw[(cy + reach) as usize * coarse + cx] = (-m..=m)
                .filter(|y| (y - cy * k).abs() <= support)
                .map(|y| half[(y + m) as usize * coarse + cx] * taps[(y - cy * k + support) as usize])
                .sum();
        }
    }
    Spread::normalised(reach as usize, &raw)
}

/// Signed distance (pixels) from the aperture's edge; negative inside.
fn from_edge(x: f64, y: f64, radius: f64, shape: Shape) -> f64 {
    let distance = (x * x + y * y).sqrt();
    match shape {
        Shape::Disc => distance - radius,
        Shape::Blades { count, turn, roundness } => {
            // Distance from the nearest blade's straight edge; the corners lie on the disc.
            let sector = std::f64::consts::TAU / f64::from(count.max(3));
            // Rows run downwards: what is turned clockwise from straight up is the angle from there.
            let angle = math::atan2(x, -y) - turn;
            let within = angle - sector * (angle / sector).floor() - sector / 2.0;
            let straight = distance * math::cos(within) - radius * math::cos(sector / 2.0);
            let rounded = roundness.clamp(0.0, 1.0);
            straight + (distance - radius - straight) * rounded
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_turn_a_corner_points_up_and_a_quarter_turn_brings_it_to_the_right() {
        // docs/model.md: blades with a turn, clockwise from one corner up.
        for (count, turn) in [(3, 0.0), (5, 0.0), (6, 0.0), (7, 0.0), (3, 0.5), (5, 0.5)] {
            let turn = turn * std::f64::consts::PI;
            let s = spread(31.0, Shape::Blades { count, turn, roundness: 0.0 });
            let n = s.reach() as i64;
            // The sum along the line from the centre to the corner's place, and to the opposite side.
            let along = |sign: i64| -> f32 {
                (1..=n)
                    .map(|i| {
                        let (x, y) = if turn == 0.0 { (0, -sign * i) } else { (sign * i, 0) };
                        s.row(y)[(x + n) as usize]
                    })
                    .sum()
            };
            assert!(along(1) >= along(-1), "{count} blades: {} {}", along(1), along(-1));
            let tip = if turn == 0.0 { s.row(-14)[n as usize] } else { s.row(0)[(14 + n) as usize] };
            assert!(tip > 0.0, "{count} blades have no corner there");
        }
    }

    #[test]
    fn the_weights_sum_to_one_and_a_tiny_disc_changes_nothing() {
        for d in [0.0, 0.9, 1.0, 1.1, 3.0, 20.0, 61.7] {
            let s = spread(d, Shape::Disc);
            let sum: f64 = s.weights.iter().map(|&w| f64::from(w)).sum();
            assert!((sum - 1.0).abs() < 1e-5, "{d}: {sum}");
        }
        assert_eq!(spread(1.0, Shape::Disc), Spread::none());
    }

    #[test]
    fn blades_lie_within_the_disc_and_round_ones_are_the_disc() {
        let blades = |roundness| spread(41.0, Shape::Blades { count: 6, turn: 0.3, roundness });
        let disc = spread(41.0, Shape::Disc);
        assert_eq!(blades(1.0), disc);
        let spots = |s: &Spread| s.weights.iter().filter(|&&w| w > 0.0).count() as f64;
        // A regular hexagon has 3 sqrt(3) / 2 pi = 0.827 of its circumscribed circle's area.
        let ratio = spots(&blades(0.0)) / spots(&disc);
        assert!((ratio - 0.827).abs() < 0.03, "{ratio}");
    }

    #[test]
    fn a_huge_disc_costs_no_more_than_its_coarse_grid_and_has_its_variance() {
        for (d, k) in [(900.0, 34), (16_540.0, 306), (1e6, 6687)] {
            let s = spread_coarse(d, Shape::Disc, k);
            let n = s.reach() as i64;
            assert!(n < 100, "{n}");
            let var: f64 = (-n..=n)
                .flat_map(|y| s.row(y).iter().zip(-n..).map(|(&w, x)| f64::from(w) * (x * x) as f64))
                .sum();
            let disc = d / k as f64;
            assert!((var / (disc * disc / 16.0) - 1.0).abs() < 0.02, "{d}: {var}");
        }
    }

    #[test]
    fn the_variance_of_a_disc_is_a_sixteenth_of_its_diameter_squared() {
        // Uniform disc of diameter d: variance along one axis d^2 / 16 (textbook integral), plus the edge's softness.
        for d in [12.0, 40.0, 100.0] {
            let s = spread(d, Shape::Disc);
            let n = s.reach() as i64;
            let var: f64 = (-n..=n)
                .flat_map(|y| s.row(y).iter().zip(-n..).map(|(&w, x)| f64::from(w) * (x * x) as f64))
                .sum();
            assert!((var / (d * d / 16.0) - 1.0).abs() < 0.02, "{d}: {var}");
        }
    }
}
