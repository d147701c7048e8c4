//! Numbers that look chosen and are the same on every run.

/// The 64-bit linear congruential generator of Knuth's MMIX (constants from memory), of which the upper half is used.
#[derive(Debug, Clone)]
pub struct Numbers(u64);

impl Numbers {
    /// Numbers of their own for each seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(2).wrapping_add(1))
    }

    /// A number below `limit`; 0 where the limit is 0.
    pub fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }

    /// One of a list, if there is any.
    pub fn one<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        if of.is_empty() { None } else { of.get(self.below(of.len())) }
    }

    /// One of a list.
    ///
    /// # Panics
    /// If the list is empty.
    #[expect(clippy::indexing_slicing, reason = "a test fails by panicking")]
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    /// Whether something happens that does so `percent` times in a hundred.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}
