//! A small random generator: the same seed makes the same change.

/// xorshift64* (Vigna 2016).
pub struct Chance(u64);

impl Chance {
    /// From any seed.
    #[must_use]
    pub fn new(seed: u32) -> Self {
        Self((u64::from(seed) << 1 | 1).wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    /// A number below `end`; 0 where that is 0.
    pub fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) as usize % end.max(1)
    }

    /// One of several.
    ///
    /// # Panics
    /// Where there is none.
    pub fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}
