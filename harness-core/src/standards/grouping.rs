//! What loaded conductors side by side do to each other: the factors for alike ones, and the heat of unlike ones.
//!
//! The published factors hold for conductors that are alike and equally loaded. A factor `F` for `n` of them says that each is
//! as warm as `1/F²` times its own heat would make it alone, so its `n - 1` neighbours add `1/F² - 1` times that. Unlike heats are
//! taken in layers: where the least heat is common to all, the table holds for all; what the others give off beyond it is common to
//! one conductor less, and so on. So equal heats give the table, a neighbour without heat changes nothing, and a neighbour
//! with little heat changes little. Heats of layers add up, as in equation 3 of BS 7671 appendix 4.

use super::{
    current_table::Table,
    data::{self, Place, capacity as table, gauge},
    source::{Source, Sourced},
};
use crate::quantity::{Kelvin, SquareMillimetre};

static BEYOND_GROUP: Source = Source::computed(
    "BS 7671:2008 appendix 4, 1/sqrt(n) for a group",
    "continued from the last row of table 4C1, which ends at 20 circuits",
);
static UNLIKE: Source = Source::computed(
    "BS 7671:2008 appendix 4, equation 3 (heats of unlike loads add up), with the factors of table 4C1 row 1 = IEC 60364-5-52 table B.52.17",
    "in layers of equal heat; the equation as restored from a garbled scan",
);
static IN_THE_TABLE: Source =
    Source::seen("FAA AC 43.13-1B table 11-9, bundles with a fifth of their conductors loaded", "page of the circular");
static BEYOND_THE_TABLE: Source = Source::computed(
    "BS 7671:2008 table 4C1 row 1",
    "its factor over that of the loaded conductors that FAA AC 43.13-1B table 11-9 allows for",
);

/// Which published table decides the factor for loaded neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Grouping {
    /// IEC 60364-5-52 table B.52.17 row 1. The standard counts circuits, each with two or three loaded conductors; counting
    /// every loaded conductor as a circuit errs on the safe side.
    #[default]
    Bunched,
    /// NEC 310.15(B)(3)(a), by current-carrying conductors in one raceway.
    Nec,
    /// 33 CFR 183.425 for boats, circuits of 50 V and more.
    Marine,
}

/// Factor for `loaded` conductors that carry current side by side.
///
/// A count between two rows takes the next worse row. Beyond the 20 circuits of the IEC table its last row is continued as
/// 1/sqrt(n); the other tables end in an open band.
#[must_use]
pub fn grouping(grouping: Grouping, loaded: u32) -> Sourced<f64> {
    let count = f64::from(loaded.max(1));
    let (rows, beyond) = match grouping {
        Grouping::Bunched => (table::BUNCHED, None),
        Grouping::Nec => (table::NEC_BUNDLE, Some(&table::NEC_BUNDLE_BEYOND)),
        Grouping::Marine => (table::MARINE_BUNDLE, Some(&table::MARINE_BUNDLE_BEYOND)),
    };
    match (data::place(rows, count), beyond) {
        (Some(Place::On(row) | Place::Between(_, row) | Place::Below(row)), _) | (Some(Place::Above(_)), Some(row)) => {
            Sourced::new(row.value, row.source)
        }
        (Some(Place::Above(last)), None) => Sourced::new(last.value * (last.at / count).sqrt(), &BEYOND_GROUP),
        // No count is infinite and no table empty; zero would only ever report too much.
        (None, _) => Sourced::new(0.0, &BEYOND_GROUP),
    }
}

impl Table {
    /// Factor for `loaded` conductors of about `size` that carry current side by side.
    ///
    /// The boat table has bands of its own, for circuits of 50 V and more; the smaller of its factor and that of the bunched
    /// circuits holds, because its lower voltages have none. The aircraft table holds a bundle already: only what goes
    /// beyond that takes a factor.
    #[must_use]
    pub fn beside(self, size: SquareMillimetre, loaded: u32) -> Sourced<f64> {
        let bunched = grouping(Grouping::Bunched, loaded);
        match self {
            Self::RoadPvc70 => bunched,
            Self::Marine => {
                let bands = grouping(Grouping::Marine, loaded);
                if bands.value < bunched.value { bands } else { bunched }
            }
            Self::AircraftBundle => {
                let within = if Self::is_large(size) { gauge::AIRCRAFT_LARGE_LOADED } else { gauge::AIRCRAFT_LOADED };
                if loaded <= within {
                    return Sourced::new(1.0, &IN_THE_TABLE);
                }
                Sourced::new(bunched.value / grouping(Grouping::Bunched, within).value, &BEYOND_THE_TABLE)
            }
        }
    }
}

/// What is beside a conductor: how many others carry current, and by how much their heat warms it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside {
    /// Rise over the air from the others alone, in K.
    pub rise: Kelvin,
    /// How many of them carry current.
    pub conductors: u32,
}

impl Beside {
    /// Where the rise comes from.
    #[must_use]
    pub fn source(self) -> &'static Source {
        &UNLIKE
    }
}

/// What each further neighbour adds, the one with the most heat first.
///
/// A heat is given as the rise in K that it would cause in its own conductor alone.
#[derive(Debug, Clone, Default)]
pub struct Layers {
    /// By place: the share of its heat that a neighbour adds.
    shares: Vec<f64>,
}

impl Layers {
    /// The shares of up to `most` neighbours of a conductor of `size`, by the grouping factors of `table`.
    #[must_use]
    pub fn new(table: Table, size: SquareMillimetre, most: usize) -> Self {
        let spread = |loaded: u32| table.beside(size, loaded).value.powi(-2);
        let most = u32::try_from(most).unwrap_or(u32::MAX);
        // A count between two rows takes the next worse row, so a share may be none; it is never negative.
        Self { shares: (1..=most).map(|place| (spread(place + 1) - spread(place)).max(0.0)).collect() }
    }

    /// The share of the neighbour at this place; none beyond those that were asked for.
    #[must_use]
    pub fn share(&self, place: usize) -> f64 {
        self.shares.get(place).copied().unwrap_or(0.0)
    }

    /// The rise in K that neighbours with these heats cause, the largest heat first.
    #[must_use]
    pub fn rise(&self, heats: impl IntoIterator<Item = f64>) -> f64 {
        heats.into_iter().zip(&self.shares).map(|(heat, share)| heat * share).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rise(table: Table, heats: &[f64]) -> f64 {
        let mut heats = heats.to_vec();
        heats.sort_by(|a, b| b.total_cmp(a));
        Layers::new(table, SquareMillimetre::new(1.0), heats.len()).rise(heats)
    }

    const TABLES: [Table; 3] = [Table::RoadPvc70, Table::Marine, Table::AircraftBundle];

    #[test]
    fn groups_never_gain_from_a_further_conductor() {
        for table in [Grouping::Bunched, Grouping::Nec, Grouping::Marine] {
            let factors: Vec<f64> = (0..200).map(|loaded| grouping(table, loaded).value).collect();
            assert_eq!(factors[0], 1.0);
            assert!(factors.windows(2).all(|pair| pair[1] <= pair[0] && pair[1] > 0.0));
        }
    }

    /// BS 7671:2008 table 4C1 row 1 (seen): 3 alike take 0.70 of what one alone takes, 6 take 0.57, 20 take 0.38.
    #[test]
    fn equal_heats_give_the_printed_factor() {
        for (together, factor) in [(2, 0.8), (3, 0.7), (6, 0.57), (9, 0.5), (20, 0.38)] {
            let others = vec![30.0; together - 1];
            let factor_found = (1.0 / (1.0 + rise(Table::RoadPvc70, &others) / 30.0)).sqrt();
            assert!((factor_found - factor).abs() < 1e-12, "{together}: {factor_found}");
        }
    }

    proptest! {
        #[test]
        fn a_neighbour_of_little_heat_changes_little_and_never_cools(
            heats in prop::collection::vec(0.0..80.0_f64, 0..30),
            more in 0.0..80.0_f64,
        ) {
            for table in TABLES {
                let before = rise(table, &heats);
                let mut with: Vec<f64> = heats.clone();
                with.push(more);
                let after = rise(table, &with);
                // The tables' largest step: from 24 to 25 conductors of the boat table.
                prop_assert!(after >= before - 1e-9 && after <= before + 2.3 * more + 1e-9, "{before} to {after} by {more}");
            }
        }

        #[test]
        fn more_heat_in_a_neighbour_is_never_less_in_another(
            heats in prop::collection::vec(0.0..80.0_f64, 1..30),
            more in 0.0..40.0_f64,
        ) {
            for table in TABLES {
                let mut hotter = heats.clone();
                hotter[0] += more;
                prop_assert!(rise(table, &hotter) >= rise(table, &heats) - 1e-9);
            }
        }
    }
}
