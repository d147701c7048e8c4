//! A set of small numbers that are taken out in rising order, while larger ones come in.

/// A bit for each number.
#[derive(Debug)]
pub(super) struct Rising {
    words: Vec<u64>,
    /// No word before this one has a bit.
    first: usize,
}

impl Rising {
    /// An empty set of numbers below `most`; one beyond takes no place.
    pub(super) fn below(most: u32) -> Self {
        Self { words: vec![0; most.div_ceil(u64::BITS) as usize], first: usize::MAX }
    }

    #[inline]
    pub(super) fn insert(&mut self, number: u32) {
        let at = (number / u64::BITS) as usize;
        if let Some(word) = self.words.get_mut(at) {
            *word |= 1 << (number % u64::BITS);
            self.first = self.first.min(at);
        }
    }

    /// Takes out the least.
    #[inline]
    pub(super) fn pop(&mut self) -> Option<u32> {
        let ahead = self.words.get(self.first..)?;
        let Some(skipped) = ahead.iter().position(|word| *word != 0) else {
            self.first = usize::MAX;
            return None;
        };
        self.first += skipped;
        let word = self.words.get_mut(self.first)?;
        let bit = word.trailing_zeros();
        *word &= *word - 1;
        Some(self.first as u32 * u64::BITS + bit)
    }
}

#[cfg(test)]
mod tests {
    use super::Rising;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    proptest! {
        /// As the ordered set of the standard library does it.
        #[test]
        fn numbers_come_out_in_rising_order(steps in prop::collection::vec(prop::option::of(0_u32..200), 0..300)) {
            let (mut own, mut other) = (Rising::below(200), BTreeSet::new());
            for step in steps {
                match step {
                    Some(number) => {
                        own.insert(number);
                        other.insert(number);
                    }
                    None => prop_assert_eq!(own.pop(), other.pop_first()),
                }
            }
        }
    }

    #[test]
    fn what_is_beyond_takes_no_place() {
        let mut own = Rising::below(3);
        own.insert(64);
        assert_eq!(own.pop(), None);
        assert_eq!(Rising::below(0).pop(), None);
    }
}
