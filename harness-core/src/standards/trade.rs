//! The sizes of wire that a workshop can buy, in mm2 and in AWG.

use super::data::{capacity, gauge};
use crate::quantity::SquareMillimetre;

/// How the size of a wire is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Trade {
    /// In mm2.
    #[default]
    Metric,
    /// By American wire gauge.
    Gauge,
}

impl Trade {
    /// How `size` is written.
    #[must_use]
    pub fn of(size: SquareMillimetre) -> Self {
        if size.gauge().is_some() { Self::Gauge } else { Self::Metric }
    }
}

/// The sizes that a workshop can buy, the smallest first. Which sizes these are is common practice, no source.
pub fn trade_sizes(trade: Trade) -> impl Iterator<Item = SquareMillimetre> {
    let (metric, gauges): (&[f64], &[i32]) = match trade {
        Trade::Metric => (capacity::TRADE_SIZES, &[]),
        Trade::Gauge => (&[], gauge::TRADE_GAUGES),
    };
    metric.iter().map(|size| SquareMillimetre::new(*size)).chain(gauges.iter().map(|number| SquareMillimetre::of_gauge(*number)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gauge_is_answered_with_a_gauge() {
        let size = SquareMillimetre::of_gauge(14);
        assert_eq!((Trade::of(size), Trade::of(SquareMillimetre::new(2.08))), (Trade::Gauge, Trade::Metric));
        let next = trade_sizes(Trade::Gauge).find(|other| *other > size).unwrap();
        assert_eq!(next.to_string(), "12 AWG");
        for trade in [Trade::Metric, Trade::Gauge] {
            let sizes: Vec<SquareMillimetre> = trade_sizes(trade).collect();
            assert!(sizes.len() > 15 && sizes.windows(2).all(|pair| pair[0] < pair[1]), "{sizes:?}");
        }
    }
}
