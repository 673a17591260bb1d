//! How firmly each pixel of a matte hangs together with the thing.

use super::figures::Grey;

/// Levels at which the region is looked at; their number is the step's inverse (Rhemann et al. 2009: steps of 0.1).
const LEVELS: u32 = 10;
/// Distances below it do not count (Rhemann et al. 2009).
const THETA: f64 = 0.15;

/// Connectivity of two mattes of one size at each pixel: 1 - d where d, its distance above the level to which the pixel is
/// connected, is 0.15 or more; otherwise 1.
pub(super) fn connectivity(a: &Grey, b: &Grey) -> [Vec<f64>; 2] {
    let levels = connected_levels(a, b);
    [a, b].map(|matte| {
        let firm = |(v, level): (&f64, &f64)| if v - level >= THETA { 1.0 - (v - level) } else { 1.0 };
        matte.values.iter().zip(&levels).map(firm).collect()
    })
}

/// The highest level up to which each pixel belongs to the largest region where both mattes reach that level.
fn connected_levels(a: &Grey, b: &Grey) -> Vec<f64> {
    let mut levels = vec![0.0; a.values.len()];
    let mut connected = vec![true; a.values.len()];
    for step in 1..=LEVELS {
        let level = f64::from(step) / f64::from(LEVELS);
        let reaches = |v: f64| v >= level - 1e-9;
        let both = a.values.iter().zip(&b.values).map(|(a, b)| reaches(*a) && reaches(*b)).collect();
        for ((is, here), at) in connected.iter_mut().zip(largest_region(both, a.width)).zip(&mut levels) {
            *is &= here;
            if *is {
                *at = level;
            }
        }
    }
    levels
}

/// Of the regions of pixels that touch by their sides, the largest; of two as large, the one whose first pixel comes first.
fn largest_region(mut left: Vec<bool>, width: usize) -> Vec<bool> {
    let mut largest = Vec::new();
    for first in 0..left.len() {
        if !left[first] {
            continue;
        }
        let region = taken_from(&mut left, width, first);
        if region.len() > largest.len() {
            largest = region;
        }
    }
    // Now all of it is taken.
    largest.into_iter().for_each(|i| left[i] = true);
    left
}

/// The region of a pixel, taken out of what is left.
fn taken_from(left: &mut [bool], width: usize, first: usize) -> Vec<usize> {
    let mut region = Vec::new();
    let mut waiting = vec![first];
    while let Some(i) = waiting.pop() {
        if !std::mem::take(&mut left[i]) {
            continue;
        }
        region.push(i);
        let x = i % width;
        let row = (x > 0).then(|| i - 1).into_iter().chain((x + 1 < width).then_some(i + 1));
        let column = i.checked_sub(width).into_iter().chain(Some(i + width).filter(|i| *i < left.len()));
        waiting.extend(row.chain(column));
    }
    region
}

#[cfg(test)]
mod tests {
    use super::*;

    fn levels(width: usize, values: &[f64]) -> Vec<f64> {
        let grey = || Grey { width, values: values.to_vec() };
        connected_levels(&grey(), &grey())
    }

    #[test]
    fn pixels_touch_by_their_sides() {
        assert_eq!(levels(2, &[1.0, 0.0, 0.0, 1.0]), [1.0, 0.0, 0.0, 0.0]);
        assert_eq!(levels(2, &[0.0, 1.0, 1.0, 1.0]), [0.0, 1.0, 1.0, 1.0]);
        // The end of a row and the beginning of the next are apart.
        assert_eq!(levels(3, &[0.0, 0.0, 1.0, 1.0, 0.0, 0.0]), [0.0, 0.0, 1.0, 0.0, 0.0, 0.0]);
        // Round three corners: one region.
        let ring = [1.0, 1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 0.0, 1.0];
        assert_eq!(levels(3, &ring), ring);
    }

    #[test]
    fn the_first_of_equal_regions_counts() {
        assert_eq!(levels(5, &[1.0, 1.0, 0.0, 1.0, 1.0]), [1.0, 1.0, 0.0, 0.0, 0.0]);
        assert_eq!(levels(5, &[1.0, 0.0, 1.0, 1.0, 0.0]), [0.0, 0.0, 1.0, 1.0, 0.0]);
    }

    #[test]
    fn who_has_left_the_region_does_not_come_back() {
        // Up to 0.3 the left three are the largest; above, the right two, which were outside before.
        assert_eq!(levels(6, &[0.3, 0.3, 0.3, 0.0, 0.9, 0.9]), [0.3, 0.3, 0.3, 0.0, 0.0, 0.0]);
    }

    #[test]
    fn both_mattes_must_reach_a_level() {
        let [a, b] = [[1.0, 0.65, 0.2], [0.45, 1.0, 0.3]].map(|v| Grey { width: 3, values: v.to_vec() });
        // Together they reach 0.45, 0.65 and 0.2.
        assert_eq!(connected_levels(&a, &b), [0.4, 0.6, 0.2]);
        let [a, b] = connectivity(&a, &b);
        for (found, expected) in [(a, [0.4, 1.0, 1.0]), (b, [1.0, 0.6, 1.0])] {
            assert!(found.iter().zip(expected).all(|(f, e)| (f - e).abs() < 1e-12), "{found:?}");
        }
    }
}
