//! Ratings and operating times of circuit breakers for buildings and cabinets.
//!
//! The thermal times of IEC 60898-1 hold for breakers of IEC 60947-2 too, whose own are within them.

use super::{
    Row,
    fuse::{GateRow, gate},
    row,
};
use crate::standards::source::Source;

static SERIES: Source = Source::memory("IEC 60898-1, preferred ratings");
static TIMES: Source = Source::memory("IEC 60898-1, time-current operating characteristics");

const fn rating(amps: f64) -> Row {
    row(amps, amps, &SERIES)
}

/// Ratings that are made.
pub static RATINGS: &[Row] = &[
    rating(1.0),
    rating(2.0),
    rating(3.0),
    rating(4.0),
    rating(6.0),
    rating(8.0),
    rating(10.0),
    rating(13.0),
    rating(16.0),
    rating(20.0),
    rating(25.0),
    rating(32.0),
    rating(40.0),
    rating(50.0),
    rating(63.0),
    rating(80.0),
    rating(100.0),
    rating(125.0),
];

const HOLDS: GateRow = gate(113.0, Some(3600.0), None, &TIMES);
const OPENS: GateRow = gate(145.0, None, Some(3600.0), &TIMES);
const WARM: GateRow = gate(255.0, Some(1.0), Some(60.0), &TIMES);

/// Up to this share of its rating in per cent the thermal release alone works.
pub const THERMAL_UP_TO: f64 = 255.0;

/// Characteristic B: at once between 3 and 5 times its rating.
pub static GATES_B: &[GateRow] =
    &[HOLDS, OPENS, WARM, gate(300.0, Some(0.1), None, &TIMES), gate(500.0, None, Some(0.1), &TIMES)];

/// Characteristic C: at once between 5 and 10 times its rating.
pub static GATES_C: &[GateRow] =
    &[HOLDS, OPENS, WARM, gate(500.0, Some(0.1), None, &TIMES), gate(1000.0, None, Some(0.1), &TIMES)];

/// Characteristic D: at once between 10 and 20 times its rating.
pub static GATES_D: &[GateRow] =
    &[HOLDS, OPENS, WARM, gate(1000.0, Some(0.1), None, &TIMES), gate(2000.0, None, Some(0.1), &TIMES)];

static TO_32: &[GateRow] = &[HOLDS, OPENS, WARM];
static TO_63: &[GateRow] = &[HOLDS, OPENS, gate(255.0, Some(1.0), Some(120.0), &TIMES)];
static ABOVE_63: &[GateRow] = &[
    gate(113.0, Some(7200.0), None, &TIMES),
    gate(145.0, None, Some(7200.0), &TIMES),
    gate(255.0, Some(1.0), Some(120.0), &TIMES),
];

/// The gates of the thermal release by the rating in A.
#[must_use]
pub fn thermal_of(rating: f64) -> &'static [GateRow] {
    match rating {
        rating if rating <= 32.0 => TO_32,
        rating if rating <= 63.0 => TO_63,
        _ => ABOVE_63,
    }
}
