//! The nearest of many points (Friedman, Bentley and Finkel, "An algorithm for finding best matches in logarithmic expected
//! time", 1977), or points nearly as near (Arya, Mount, Netanyahu, Silverman and Wu, "An optimal algorithm for approximate nearest
//! neighbor searching in fixed dimensions", 1998).

/// Colour and place.
pub(super) type Point = [f32; 5];

/// Points, ordered so that each half of a run lies on its own side of the run's middle point along one axis.
pub(super) struct Nearest {
    points: Vec<(Point, u32)>,
    /// The axis of each middle point.
    axes: Vec<u8>,
    /// How many times farther than the nearest points those that are found may be.
    slack: f32,
}

/// Runs up to this length are looked through one by one.
const LEAF: usize = 16;

impl Nearest {
    pub(super) fn new(points: impl Iterator<Item = Point>, slack: f32) -> Self {
        let mut points: Vec<(Point, u32)> = points.zip(0..).collect();
        let mut axes = vec![0; points.len()];
        order(&mut points, &mut axes);
        Self { points, axes, slack }
    }

    /// The numbers of `count` points, the nearest first, each at most `slack` times as far from `at` as that of its rank.
    pub(super) fn find(&self, at: &Point, count: usize) -> Vec<u32> {
        let mut found = Vec::with_capacity(count + 1);
        self.run(0, self.points.len(), at, count, &mut found);
        found.into_iter().map(|(_, number)| number).collect()
    }

    fn run(&self, from: usize, to: usize, at: &Point, count: usize, found: &mut Vec<(f32, u32)>) {
        if to - from <= LEAF {
            for (point, number) in &self.points[from..to] {
                put(squared(point, at), *number, count, found);
            }
            return;
        }
        let middle = from.midpoint(to);
        let axis = usize::from(self.axes[middle]);
        let (point, number) = &self.points[middle];
        let beyond = at[axis] - point[axis];
        let (near, far) = if beyond < 0.0 {
            ((from, middle), (middle + 1, to))
        } else {
            ((middle + 1, to), (from, middle))
        };
        self.run(near.0, near.1, at, count, found);
        put(squared(point, at), *number, count, found);
        let nearest = beyond * beyond * self.slack * self.slack;
        if found.len() < count || found.last().is_some_and(|(worst, _)| nearest < *worst) {
            self.run(far.0, far.1, at, count, found);
        }
    }
}

fn order(points: &mut [(Point, u32)], axes: &mut [u8]) {
    if points.len() <= LEAF {
        return;
    }
    let width = |axis: usize| {
        let values = points.iter().map(|(p, _)| p[axis]);
        values.clone().fold(f32::MIN, f32::max) - values.fold(f32::MAX, f32::min)
    };
    let axis = (0..5).max_by(|a, b| width(*a).total_cmp(&width(*b))).unwrap_or(0);
    let middle = points.len() / 2;
    points.select_nth_unstable_by(middle, |a, b| a.0[axis].total_cmp(&b.0[axis]).then(a.1.cmp(&b.1)));
    axes[middle] = axis as u8;
    let (low, high) = points.split_at_mut(middle);
    let (low_axes, high_axes) = axes.split_at_mut(middle);
    rayon::join(|| order(low, low_axes), || order(&mut high[1..], &mut high_axes[1..]));
}

fn put(distance: f32, number: u32, count: usize, found: &mut Vec<(f32, u32)>) {
    if found.len() == count && found.last().is_none_or(|worst| (distance, number) >= *worst) {
        return;
    }
    let at = found.partition_point(|f| *f < (distance, number));
    found.insert(at, (distance, number));
    found.truncate(count);
}

fn squared(a: &Point, b: &Point) -> f32 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_are_those_that_looking_through_all_finds() {
        let point = |i: u32| -> Point {
            std::array::from_fn(|k| {
                (i.wrapping_mul(2_654_435_761).rotate_left(7 * k as u32) >> 24) as f32 / 64.0
            })
        };
        let points: Vec<Point> = (0..700).map(point).collect();
        let exact = Nearest::new(points.iter().copied(), 1.0);
        let about = Nearest::new(points.iter().copied(), 3.0);
        for i in 1000..1100 {
            let at = point(i);
            let mut all: Vec<(f32, u32)> = points.iter().map(|p| squared(p, &at)).zip(0..).collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let nearest: Vec<u32> = all.iter().map(|(_, n)| *n).take(9).collect();
            assert_eq!(exact.find(&at, 9), nearest);
            let found = about.find(&at, 9);
            assert_eq!(found.len(), 9);
            for (n, (true_distance, _)) in found.into_iter().zip(&all) {
                assert!(squared(&points[n as usize], &at) <= true_distance * 9.0 + 1e-6);
            }
        }
        assert_eq!(exact.find(&point(3), 1).len(), 1);
        assert!(Nearest::new(std::iter::empty(), 1.0).find(&point(1), 4).is_empty());
    }
}
