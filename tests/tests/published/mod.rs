//! Library results against numbers printed elsewhere: standards, regulations, datasheets and worked examples.
//!
//! One file a subject. A case holds a printed number, never the formula that is under test, and says where it was printed.
//!
//! `DIFFERENCE` marks a printed number that the library does not reproduce on purpose, with the reason.

mod buses;
mod capacity;
mod charging;
mod conductor;
mod contact;
mod drop;
mod fuse;
mod gauge;
mod interlock;
mod isolation;
mod peak;
mod route;
mod screens;
mod short_circuit;

use harness_core::quantity::{Ampere, Celsius, SquareMillimetre};

/// DIN VDE 0298-4 guide values for vehicle cable of 70 degC at 30 degC, mm2 and A: table of an automotive handbook (seen).
pub const ROAD_AT_30_DEGC: [(f64, f64); 13] = [
    (1.0, 19.0),
    (1.5, 24.0),
    (2.5, 32.0),
    (4.0, 42.0),
    (6.0, 54.0),
    (10.0, 73.0),
    (16.0, 98.0),
    (25.0, 129.0),
    (35.0, 158.0),
    (50.0, 198.0),
    (70.0, 245.0),
    (95.0, 292.0),
    (120.0, 344.0),
];

/// Size in mm2 and current in A: DIN VDE 0298-4 guide values at 50 degC, conductor at 70 degC, table of an automotive handbook
/// (seen). The library takes nothing from this column: it is based on the one at 30 degC.
const ROAD_AT_50_DEGC: [(f64, f64); 13] = [
    (1.0, 13.5),
    (1.5, 17.0),
    (2.5, 22.7),
    (4.0, 29.8),
    (6.0, 38.3),
    (10.0, 51.8),
    (16.0, 69.6),
    (25.0, 91.6),
    (35.0, 112.0),
    (50.0, 140.0),
    (70.0, 174.0),
    (95.0, 207.0),
    (120.0, 244.0),
];

/// A printed number beside the library's.
struct Case {
    /// What is compared, for the report of a failure.
    what: String,
    /// The library's result.
    ours: f64,
    /// The printed number.
    printed: f64,
    /// Where it was printed and how it is known.
    source: &'static str,
}

/// Compares all cases and reports every one that differs by more than `absolute` and by more than `relative` of the print.
fn compare(cases: &[Case], absolute: f64, relative: f64) {
    assert!(!cases.is_empty());
    let far: Vec<String> = cases
        .iter()
        .filter(|case| (case.ours - case.printed).abs() > absolute.max(relative * case.printed.abs()))
        .map(|case| format!("{}: {} here, {} printed in {}", case.what, case.ours, case.printed, case.source))
        .collect();
    assert!(far.is_empty(), "{} of {} differ:\n{}", far.len(), cases.len(), far.join("\n"));
}

fn mm2(value: f64) -> SquareMillimetre {
    SquareMillimetre::new(value)
}

fn amps(value: f64) -> Ampere {
    Ampere::new(value)
}

fn degc(value: f64) -> Celsius {
    Celsius::new(value)
}
