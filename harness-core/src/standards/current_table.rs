//! The published tables of current: which there are, what their columns are for and how far they reach.

use super::{
    data::{self, Place, Row, capacity as table, gauge},
    heat::{HEAT_BALANCE, Thermal, thermal_factor},
    source::{Source, Sourced},
};
use crate::quantity::{Celsius, Kelvin, SquareMillimetre};

static PROVEN: Source = Source::computed(
    "33 CFR 183.425 table 5",
    "heat balance against the printed columns: on the safe side up to 125 degC, 7 to 18 % high at 200 degC",
);
static LAST_MARINE: Source = Source::seen("33 CFR 183.425 table 5, last column", "text of the regulation");
static LAST_AIRCRAFT: Source = Source::seen("FAA AC 43.13-1B table 11-9, last column", "page of the circular");

/// Which published table decides the capacity of a single conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Table {
    /// Single-core PVC vehicle wire by DIN VDE 0298-4: conductor 70 degC, ambient 30 degC, 1 to 120 mm2.
    #[default]
    RoadPvc70,
    /// Boat wire by 33 CFR 183.425 table 5: seven insulation classes from 60 to 200 degC, ambient 30 degC, AWG 18 to 4/0.
    Marine,
    /// Aircraft wire in bundles by FAA AC 43.13-1B table 11-9: conductor at 105, 150 or 200 degC, ambient 70 degC, AWG 24 to
    /// 4/0, for 60,000 ft: the most cautious of the three.
    AircraftBundle,
}

/// One printed column: the currents of all sizes at one conductor temperature in one ambient.
#[derive(Debug)]
pub(super) struct Column {
    conductor: f64,
    ambient: f64,
    pub(super) rows: &'static [Row],
}

impl Column {
    const fn marine(conductor: f64, rows: &'static [Row]) -> Self {
        Self { conductor, ambient: gauge::MARINE_AMBIENT, rows }
    }

    const fn aircraft(conductor: f64, rows: &'static [Row]) -> Self {
        Self { conductor, ambient: gauge::AIRCRAFT_AMBIENT, rows }
    }

    pub(super) fn thermal(&self) -> Thermal {
        Thermal { conductor: Celsius::new(self.conductor), ambient: Celsius::new(self.ambient) }
    }
}

static ROAD: Column =
    Column { conductor: table::ROAD_PVC70_CONDUCTOR, ambient: table::ROAD_PVC70_AMBIENT, rows: table::ROAD_PVC70 };
static MARINE_FIRST: Column = Column::marine(60.0, gauge::MARINE_60);
static MARINE: [Column; 6] = [
    Column::marine(75.0, gauge::MARINE_75),
    Column::marine(80.0, gauge::MARINE_80),
    Column::marine(90.0, gauge::MARINE_90),
    Column::marine(105.0, gauge::MARINE_105),
    Column::marine(125.0, gauge::MARINE_125),
    Column::marine(200.0, gauge::MARINE_200),
];
static AIRCRAFT_FIRST: Column = Column::aircraft(105.0, gauge::AIRCRAFT_105);
static AIRCRAFT: [Column; 2] = [Column::aircraft(150.0, gauge::AIRCRAFT_150), Column::aircraft(200.0, gauge::AIRCRAFT_200)];

impl Table {
    /// The printed column of the class, else that of the next lower one, else the first.
    pub(super) fn column(self, rated: Celsius) -> &'static Column {
        let (first, further): (&Column, &[Column]) = match self {
            Self::RoadPvc70 => (&ROAD, &[]),
            Self::Marine => (&MARINE_FIRST, &MARINE),
            Self::AircraftBundle => (&AIRCRAFT_FIRST, &AIRCRAFT),
        };
        further.iter().rev().find(|column| column.conductor <= rated.get()).unwrap_or(first)
    }

    /// The largest size of which the table has a current, for conductors rated so.
    #[must_use]
    pub fn largest(self, rated: Celsius) -> Option<SquareMillimetre> {
        self.column(rated).rows.last().map(|row| SquareMillimetre::new(row.at))
    }

    /// Highest conductor temperature that the table, or the heat balance on it, was shown to be right for.
    ///
    /// A conductor that is rated higher is computed as if it were rated so.
    #[must_use]
    pub fn hottest(self) -> Sourced<Celsius> {
        match self {
            Self::RoadPvc70 => Sourced::new(Celsius::new(125.0), &PROVEN),
            Self::Marine => Sourced::new(Celsius::new(200.0), &LAST_MARINE),
            Self::AircraftBundle => Sourced::new(Celsius::new(200.0), &LAST_AIRCRAFT),
        }
    }

    /// Whether the aircraft table assumes the smaller bundle for a conductor of `size`.
    #[must_use]
    pub fn is_large(size: SquareMillimetre) -> bool {
        // The area of a row is rounded, so a gauge may be a hair below its own row.
        size.get() >= gauge::AIRCRAFT_LARGE * (1.0 - 1e-6)
    }

    /// Rise over the air that the first column of the table allows.
    #[must_use]
    pub fn rise(self) -> Kelvin {
        let Thermal { conductor, ambient } = self.column(Celsius::new(0.0)).thermal();
        conductor - ambient
    }

    /// Factor from the column's temperatures to those wanted: printed where it is printed, else by the heat balance.
    pub(super) fn warmth(self, column: &Column, wanted: Thermal) -> Sourced<f64> {
        let engine_space = self == Self::Marine && wanted.ambient.get() == gauge::ENGINE_SPACE_AMBIENT;
        match data::place(gauge::ENGINE_SPACE, wanted.conductor.get()) {
            Some(Place::On(row)) if engine_space => Sourced::new(row.value, row.source),
            _ => Sourced::new(thermal_factor(column.thermal(), wanted), &HEAT_BALANCE),
        }
    }
}
