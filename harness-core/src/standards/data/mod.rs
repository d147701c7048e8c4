//! The tables, as rows; every row names its own source because one series is often pieced together from several pages.

pub(super) mod breaker;
pub(super) mod capacity;
pub(super) mod conductor;
pub(super) mod drop;
pub(super) mod fuse;
pub(super) mod gauge;
pub(super) mod short_circuit;

use super::source::Source;

/// One printed row: what it is looked up by, and the printed figure. Units are given at the table.
#[derive(Debug)]
pub(super) struct Row {
    /// The figure the row is looked up by.
    pub at: f64,
    /// The printed figure.
    pub value: f64,
    /// Where the row was read.
    pub source: &'static Source,
}

/// A row of a table.
const fn row(at: f64, value: f64, source: &'static Source) -> Row {
    Row { at, value, source }
}

/// Where a looked-up figure falls in a table sorted by `at`.
#[derive(Debug, Clone, Copy)]
pub(super) enum Place {
    /// The table prints the figure itself.
    On(&'static Row),
    /// Between two printed rows.
    Between(&'static Row, &'static Row),
    /// Below the first row.
    Below(&'static Row),
    /// Above the last row.
    Above(&'static Row),
}

/// Sizes are typed by people and converted from millimetres, so equality allows for rounding of the last digits.
const SAME: f64 = 1e-6;

/// Finds `at` in `table`, which is sorted by `at` and not empty; `None` for an empty table or a figure that is not finite.
pub(super) fn place(table: &'static [Row], at: f64) -> Option<Place> {
    if !at.is_finite() {
        return None;
    }
    let mut below: Option<&'static Row> = None;
    for row in table {
        if (row.at - at).abs() <= SAME * row.at.abs() {
            return Some(Place::On(row));
        }
        if row.at > at {
            return Some(below.map_or(Place::Below(row), |below| Place::Between(below, row)));
        }
        below = Some(row);
    }
    below.map(Place::Above)
}

/// The value at `at` between two rows on the straight line of logarithms; all figures positive.
pub(super) fn log_log(lower: &Row, upper: &Row, at: f64) -> f64 {
    let share = (at / lower.at).ln() / (upper.at / lower.at).ln();
    lower.value * (upper.value / lower.value).powf(share)
}

/// The value at `at` on the straight line through two rows.
pub(super) fn linear(lower: &Row, upper: &Row, at: f64) -> f64 {
    lower.value + (upper.value - lower.value) * (at - lower.at) / (upper.at - lower.at)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every look-up relies on this order.
    #[test]
    fn tables_rise_by_what_they_are_looked_up_by() {
        let tables: [&[Row]; 21] = [
            conductor::ROAD,
            conductor::CLASS_5,
            conductor::CLASS_5_TINNED,
            conductor::THIN_DIAMETER,
            conductor::THICK_DIAMETER,
            capacity::ROAD_PVC70,
            capacity::BUNCHED,
            capacity::NEC_BUNDLE,
            capacity::MARINE_BUNDLE,
            fuse::COLD_RESISTANCE,
            gauge::ENGINE_SPACE,
            gauge::MARINE_60,
            gauge::MARINE_75,
            gauge::MARINE_80,
            gauge::MARINE_90,
            gauge::MARINE_105,
            gauge::MARINE_125,
            gauge::MARINE_200,
            gauge::AIRCRAFT_105,
            gauge::AIRCRAFT_150,
            gauge::AIRCRAFT_200,
        ];
        for table in tables {
            assert!(!table.is_empty());
            assert!(table.windows(2).all(|pair| pair[0].at < pair[1].at));
            assert!(table.iter().all(|row| row.at > 0.0 && row.value > 0.0));
        }
    }
}
