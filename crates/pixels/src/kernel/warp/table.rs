//! Filter weights as a table over the place between two samples and the stretch, for looking up many.
//!
//! Rows of weights lie at equal steps of the place; each is there for two stretches, as the weights at the lesser and the way to
//! those at the greater. What is asked for lies between four rows, and is joined by straight lines. The steps of
//! the stretch are steps of its square, in which all filters are smooth, and are made when they are first asked for.

use super::super::filter::Filter;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The most samples along one axis that a result looks at.
pub(super) const MOST: usize = 32;

/// The largest stretch that [`super::run`] takes; beyond it the source is reduced first.
#[must_use]
pub fn most_stretch(filter: Filter) -> f64 {
    match filter {
        Filter::Lanczos3 | Filter::Spline => (MOST - 2) as f64 / (2.0 * filter.support(1.0)),
        Filter::Sensor { .. } => (MOST - 6) as f64,
    }
}

/// Rows from one sample to the next: the straight line between two is within 1e-5 of the filter.
const PLACES: usize = 256;
/// Steps from a squared stretch to its double.
const STEPS: u32 = 128;
const SHIFT: u32 = 23 - STEPS.ilog2();

/// Tables that are at hand, and the steps that one may have come to: 70 kB each at most.
const AT_HAND: usize = 6;
const SMALL: usize = 256;

/// A filter's weights.
#[derive(Clone, Debug)]
pub struct Table {
    filter: Filter,
    most: f32,
    steps: Arc<[OnceLock<Step>]>,
}

/// The weights between two stretches.
#[derive(Debug)]
struct Step {
    /// Samples that a result looks at, half of them on either side; in the rows they are filled up to whole blocks of [`TAPS`].
    samples: usize,
    /// At [`PLACES`] + 1 places: the weights at the lesser stretch, then what is to be added to them for the greater.
    rows: Box<[[f32; TAPS]]>,
}

/// Weights that are worked with side by side.
pub(super) const TAPS: usize = 8;

impl Table {
    /// Of a filter. What was worked out for the last few filters is at hand.
    #[must_use]
    pub fn new(filter: Filter) -> Self {
        static LAST: Mutex<VecDeque<Table>> = Mutex::new(VecDeque::new());
        let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
        let known = last.iter().position(|t| t.filter == filter).and_then(|i| last.remove(i));
        let table = known.filter(Self::is_small).unwrap_or_else(|| Self::anew(filter));
        last.truncate(AT_HAND - 1);
        last.push_front(table.clone());
        table
    }

    fn is_small(&self) -> bool {
        self.steps.iter().filter(|step| step.get().is_some()).count() <= SMALL
    }

    fn anew(filter: Filter) -> Self {
        let most = (most_stretch(filter) * most_stretch(filter)) as f32;
        let steps = (0..=index(most)).map(|_| OnceLock::new()).collect();
        Self { filter, most, steps }
    }

    /// Which filter it is.
    #[must_use]
    pub const fn filter(&self) -> Filter {
        self.filter
    }

    /// The same filter for a source whose pixels are means over `own` pixels of the photograph.
    #[must_use]
    pub fn over(&self, own: f64) -> Self {
        match self.filter {
            Filter::Sensor { own: same } if same == own => self.clone(),
            Filter::Sensor { .. } => Self::new(Filter::Sensor { own }),
            _ => self.clone(),
        }
    }

    /// How far away a sample may be that a result looks at.
    pub(super) fn reach(&self) -> f64 {
        self.filter.support(most_stretch(self.filter)) + 1.0
    }

    /// Weights of the samples around the source coordinate `at` into `out`, which sum to 1; answers the first sample's index and
    /// how many there are. From there to the next multiple of [`TAPS`] `out` is zero.
    #[inline(always)]
    pub(super) fn weights(&self, at: f64, squared_stretch: f32, out: &mut [f32; MOST]) -> (i64, usize) {
        let squared = squared_stretch.max(1.0).min(self.most);
        let step = index(squared);
        let Step { samples, rows } = self.steps[step].get_or_init(|| self.step(step));
        let between_stretches = (squared.to_bits() & ((1 << SHIFT) - 1)) as f32 * (1.0 / (1 << SHIFT) as f32);
        let before = (at - 0.5).floor();
        let place = (at - 0.5 - before) as f32 * PLACES as f32;
        let row = (place as usize).min(PLACES - 1);
        let between_places = place - row as f32;
        let blocks = samples.div_ceil(TAPS);
        let rows = &rows[row * 2 * blocks..][..4 * blocks];
        for (k, out) in out.as_chunks_mut::<TAPS>().0.iter_mut().take(blocks).enumerate() {
            for i in 0..TAPS {
                let a = rows[blocks + k][i].mul_add(between_stretches, rows[k][i]);
                let b = rows[3 * blocks + k][i].mul_add(between_stretches, rows[2 * blocks + k][i]);
                out[i] = (b - a).mul_add(between_places, a);
            }
        }
        (before as i64 + 1 - (*samples / 2) as i64, *samples)
    }

    #[cold]
    fn step(&self, step: usize) -> Step {
        let ends = [step, step + 1].map(|i| f64::from(f32::from_bits((base() + i as u32) << SHIFT)).sqrt());
        let half = self.filter.support(ends[1]).ceil() as i64;
        let samples = (2 * half) as usize;
        let blocks = samples.div_ceil(TAPS);
        let mut rows = vec![[0.0; TAPS]; (PLACES + 1) * 2 * blocks].into_boxed_slice();
        for (i, rows) in rows.chunks_exact_mut(2 * blocks).enumerate() {
            let place = i as f64 / PLACES as f64;
            let [low, high] = ends.map(|stretch| {
                let raw: Vec<f64> =
                    (1 - half..=half).map(|j| self.filter.weight(j as f64 - place, stretch)).collect();
                let sum: f64 = raw.iter().sum();
                raw.into_iter().map(move |w| w / sum)
            });
            let (lows, ways) = rows.as_flattened_mut().split_at_mut(blocks * TAPS);
            for (((low, high), a), d) in low.zip(high).zip(lows).zip(ways) {
                (*a, *d) = (low as f32, (high - low) as f32);
            }
        }
        Step { samples, rows }
    }
}

const fn base() -> u32 {
    1.0f32.to_bits() >> SHIFT
}

#[inline(always)]
const fn index(squared: f32) -> usize {
    ((squared.to_bits() >> SHIFT) - base()) as usize
}
