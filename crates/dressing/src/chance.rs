//! Chance that is always the same: what a place is given depends on the way of laying and on the place alone.

use units::math;

/// What chance decides of a place; each has its own numbers.
#[derive(Clone, Copy)]
pub(crate) enum Matter {
    Across,
    Along,
    Rank,
    Option(u32),
    Height(u32),
    Lean(u32),
    Turn(u32),
    Lift(u32),
    Thin,
    Width,
}

impl Matter {
    const fn salt(self) -> u64 {
        match self {
            Self::Across => 1,
            Self::Along => 2,
            Self::Rank => 3,
            Self::Thin => 4,
            Self::Width => 5,
            Self::Height(n) => (1 << 32) | n as u64,
            Self::Lean(n) => (2 << 32) | n as u64,
            Self::Turn(n) => (3 << 32) | n as u64,
            Self::Lift(n) => (4 << 32) | n as u64,
            Self::Option(n) => (5 << 32) | n as u64,
        }
    }
}

/// The chance of one place, laid one way.
#[derive(Clone, Copy)]
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) const fn of(way: u64, place: u64) -> Self {
        Self(mixed(mixed(way) ^ place))
    }

    /// Evenly over all numbers.
    pub(crate) const fn number(self, of: Matter) -> u64 {
        mixed(self.0 ^ mixed(of.salt()))
    }

    /// Evenly from 0 up to, not including, 1.
    pub(crate) fn share(self, of: Matter) -> f64 {
        (self.number(of) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub(crate) fn between(self, of: Matter, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share(of)
    }

    /// A key by which the largest of several is each of them as often as its weight says (Efraimidis, Spirakis: Weighted random
    /// sampling with a reservoir, 2006; from memory).
    pub(crate) fn key(self, of: Matter, weight: f64) -> f64 {
        // Never the logarithm of 0.
        math::ln(self.share(of).max(1e-18)) / weight
    }
}

/// The step of SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014; from memory).
const fn mixed(value: u64) -> u64 {
    let z = value.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_numbers_are_those_published_for_the_generator() {
        // The reference generator seeded with 1234567 begins so (the values are those given with its public test; from memory).
        let mut state = 1_234_567u64;
        let mut next = || {
            let out = mixed(state);
            state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            out
        };
        assert_eq!(
            [next(), next(), next()],
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn the_largest_key_falls_as_often_as_the_weights_say() {
        let weights = [1.0, 2.0, 5.0];
        let mut won = [0usize; 3];
        for place in 0..20_000 {
            let chance = Chance::of(7, place);
            let keys: Vec<f64> = (0..3).map(|i| chance.key(Matter::Option(i), weights[i as usize])).collect();
            let best = (0..3).max_by(|a, b| keys[*a].total_cmp(&keys[*b])).unwrap_or_default();
            won[best] += 1;
        }
        for (won, weight) in won.iter().zip(weights) {
            let share = *won as f64 / 20_000.0;
            // Four standard deviations of a binomial share.
            assert!((share - weight / 8.0).abs() < 4.0 * (0.25f64 / 20_000.0).sqrt(), "{share} {weight}");
        }
    }
}
