//! Data buses: how they are terminated, and how long they may be.

use super::source::{Source, Sourced};
use crate::quantity::{BitRate, Metre, Ohm};

static TERMINATOR: Source =
    Source::seen("ISO 11898-2: 120 ohm at each of the two ends, 108 to 132 ohm", "page of a controls maker");
static TOGETHER: Source = Source::computed("two terminators of 108 to 132 ohm side by side", "");
static LOAD_485: Source = Source::memory("TIA-485-A: a driver makes its level into a load of 54 ohm");
static TRUNK: Source =
    Source::seen("CiA 102, length of a bus by its bit rate", "table of a design guide and of three makers' manuals");
static STUBS: Source =
    Source::seen("length of a stub and of all together by the bit rate", "tables of two makers' manuals that differ");
static SHORT_STUB: Source = Source::practice("stub of a CAN of 500 kbit/s and more: 0.3 m, as ISO 11898-2 has it for 1 Mbit/s");
static TRUNK_J1939: Source = Source::seen("SAE J1939-11 and -15, 40 m", "page on J1939-15 networks");
static STUB_J1939: Source =
    Source::seen("stub of SAE J1939: 1 m; 3 m in other editions and in a truck maker's guide", "pages that differ");
static LIN_NODES: Source = Source::seen("ISO 17987: one commander and up to 15 responders", "overview page of a component maker");
static LIN_LENGTH: Source = Source::seen("LIN, 40 m of wire", "chapter of a handbook");

/// A bus by the tables that hold for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Protocol {
    /// CAN, CAN FD too: its arbitration decides.
    Can,
    /// CAN of heavy vehicles.
    J1939,
    /// One wire.
    Lin,
    /// One pair that is not CAN: RS-485 and its like. Short ones go without a terminator; no table says how long it may be.
    Pair,
}

/// Two lengths: beyond the first a bus is outside what some of the pages allow, beyond the second outside all of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// The shortest printed.
    pub good: Metre,
    /// The longest printed.
    pub most: Metre,
}

/// Lengths are sums of figures that no binary fraction holds: equal ones may differ by this share.
const SAME: f64 = 1e-9;

impl Reach {
    /// Whether a length is beyond the shortest printed.
    #[must_use]
    pub fn is_warned_of(self, length: Metre) -> bool {
        length > self.good * (1.0 + SAME)
    }

    /// Whether a length is beyond the longest printed.
    #[must_use]
    pub fn is_exceeded(self, length: Metre) -> bool {
        length > self.most * (1.0 + SAME)
    }
}

/// One bit rate of the tables: kbit/s; trunk, single stub, all stubs together, each shortest and longest printed, in metres.
struct Row(f64, [f64; 2], [f64; 2], f64);

/// The printed rows, the fastest first.
const ROWS: &[Row] = &[
    Row(1000.0, [25.0, 40.0], [1.5, 1.5], 7.5),
    Row(800.0, [50.0, 50.0], [2.5, 2.5], 12.5),
    Row(500.0, [80.0, 100.0], [5.5, 6.0], 39.0),
    Row(250.0, [200.0, 250.0], [6.0, 11.0], 78.0),
    Row(125.0, [500.0, 500.0], [6.0, 22.0], 156.0),
    Row(50.0, [800.0, 1000.0], [55.0, 55.0], 275.0),
];

/// The row for a bit rate: that of the next faster one printed; `None` above the fastest.
fn row(rate: BitRate) -> Option<&'static Row> {
    ROWS.iter().rev().find(|row| rate.get() <= row.0 * 1e3)
}

/// From this bit rate on a stub should be as short as at 1 Mbit/s.
const FAST: f64 = 500e3;

/// What a terminator is: least, nominal, most.
#[must_use]
pub fn terminator() -> Sourced<[Ohm; 3]> {
    Sourced::new([108.0, 120.0, 132.0].map(Ohm::new), &TERMINATOR)
}

/// The resistance between the two lines of a terminated bus: least, nominal, most.
#[must_use]
pub fn between_lines() -> Sourced<[Ohm; 3]> {
    Sourced::new([54.0, 60.0, 66.0].map(Ohm::new), &TOGETHER)
}

/// The least resistance between the two lines of an RS-485 bus into which a driver makes its level.
#[must_use]
pub fn least_of_pair() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(54.0), &LOAD_485)
}

/// How long a bus may be between its terminators; `None` where no table has its bit rate, and for one wire alone.
#[must_use]
pub fn trunk(bus: Protocol, rate: BitRate) -> Option<Sourced<Reach>> {
    let reach = |[good, most]: [f64; 2]| Reach { good: Metre::new(good), most: Metre::new(most) };
    match bus {
        Protocol::J1939 => Some(Sourced::new(reach([40.0, 40.0]), &TRUNK_J1939)),
        Protocol::Can => Some(Sourced::new(reach(row(rate)?.1), &TRUNK)),
        Protocol::Lin | Protocol::Pair => None,
    }
}

/// How long a stub may be; `None` where no table has its bit rate, and for one wire alone, whose shape is free.
#[must_use]
pub fn stub(bus: Protocol, rate: BitRate) -> Option<Sourced<Reach>> {
    let reach = |good: f64, most: f64| Reach { good: Metre::new(good), most: Metre::new(most) };
    match bus {
        Protocol::J1939 => Some(Sourced::new(reach(1.0, 3.0), &STUB_J1939)),
        Protocol::Can => {
            let [good, most] = row(rate)?.2;
            Some(if rate.get() >= FAST {
                Sourced::new(reach(0.3, most), &SHORT_STUB)
            } else {
                Sourced::new(reach(good, most), &STUBS)
            })
        }
        Protocol::Lin | Protocol::Pair => None,
    }
}

/// How long all stubs of a bus may be together; `None` where no table has its bit rate.
#[must_use]
pub fn stubs_together(bus: Protocol, rate: BitRate) -> Option<Sourced<Metre>> {
    match bus {
        Protocol::Can => Some(Sourced::new(Metre::new(row(rate)?.3), &STUBS)),
        Protocol::J1939 | Protocol::Lin | Protocol::Pair => None,
    }
}

/// Most nodes of a LIN bus.
#[must_use]
pub fn lin_nodes() -> Sourced<usize> {
    Sourced::new(16, &LIN_NODES)
}

/// Most wire of a LIN bus.
#[must_use]
pub fn lin_length() -> Sourced<Metre> {
    Sourced::new(Metre::new(40.0), &LIN_LENGTH)
}
