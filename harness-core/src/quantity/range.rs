//! A range of a quantity, and how far a value misses it.

use super::Unit;

/// Share of a limit by which a value may miss it and still count as equal: sizes are converted between units.
const EQUAL: f64 = 1e-9;

/// Two quantities, the smaller first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between<U> {
    /// The smaller.
    pub least: U,
    /// The larger.
    pub most: U,
}

/// On which side of a range a value is, and how far out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outside<U> {
    /// Below the least by this.
    Below(U),
    /// Above the most by this.
    Above(U),
}

impl<U: Unit> Between<U> {
    /// How far `value` is outside; `None` inside, where both limits and a billionth beyond them belong.
    #[must_use]
    pub fn outside(self, value: U) -> Option<Outside<U>> {
        let (value, least, most) = (value.get(), self.least.get(), self.most.get());
        if value < least * (1.0 - EQUAL) {
            return U::from_stored(least - value).map(Outside::Below);
        }
        if value > most * (1.0 + EQUAL) {
            return U::from_stored(value - most).map(Outside::Above);
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::{Between, Outside};
    use crate::quantity::SquareMillimetre;

    #[test]
    fn limits_belong_to_the_range() {
        let range = Between { least: SquareMillimetre::new(0.35), most: SquareMillimetre::new(1.0) };
        let at = |size| range.outside(SquareMillimetre::new(size));
        assert_eq!(at(0.35), None);
        assert_eq!(at(1.0), None);
        assert!(matches!(at(0.34), Some(Outside::Below(by)) if (by.get() - 0.01).abs() < 1e-9));
        assert!(matches!(at(1.5), Some(Outside::Above(by)) if (by.get() - 0.5).abs() < 1e-9));
    }
}
