//! Ratings, operating times and cold resistance of road-vehicle fuse-links.

use super::{Row, row};
use crate::standards::source::Source;

static SERIES: Source = Source::seen("ISO 8820-3 rating series", "list of blade fuses on a trade page");
static SERIES_MEMORY: Source = Source::memory("ISO 8820-3 rating series");
static STRIP_SERIES: Source = Source::memory("ISO 8820-5 rating series");
static COLD: Source = Source::second_hand("ISO 8820-3 type C", "public note that quotes a maker's table");
static BLADE_GATE: Source = Source::memory("ISO 8820-3 operating-time rating");
static BLADE_GATE_QUOTED: Source =
    Source::second_hand("ISO 8820-3 operating-time rating", "talk and review note that quote a maker's table");
static STRIP_GATE: Source = Source::memory("ISO 8820-5 operating-time rating");
static SUBMINIATURE_GATE: Source =
    Source::second_hand("sub-miniature two-tab blade, operating-time rating", "forum archive that quotes a maker's table");
static RERATING: Source = Source::memory("rerating curve of a vehicle blade fuse, maker's practice");

/// A standard rating in A (`at` and `value` alike, so that the rating can be looked up and read).
const fn rating(amps: f64, source: &'static Source) -> Row {
    row(amps, amps, source)
}

/// Type F, miniature blade.
pub static TYPE_F: &[Row] = &[
    rating(2.0, &SERIES),
    rating(3.0, &SERIES),
    rating(4.0, &SERIES),
    rating(5.0, &SERIES),
    rating(7.5, &SERIES),
    rating(10.0, &SERIES),
    rating(15.0, &SERIES),
    rating(20.0, &SERIES),
    rating(25.0, &SERIES),
    rating(30.0, &SERIES),
];

/// Type C, medium blade.
pub static TYPE_C: &[Row] = &[
    rating(1.0, &SERIES),
    rating(2.0, &SERIES),
    rating(3.0, &SERIES),
    rating(4.0, &SERIES),
    rating(5.0, &SERIES),
    rating(7.5, &SERIES),
    rating(10.0, &SERIES),
    rating(15.0, &SERIES),
    rating(20.0, &SERIES),
    rating(25.0, &SERIES),
    rating(30.0, &SERIES),
    rating(35.0, &SERIES_MEMORY),
    rating(40.0, &SERIES),
];

/// Type E, high-current blade.
pub static TYPE_E: &[Row] = &[
    rating(20.0, &SERIES),
    rating(25.0, &SERIES_MEMORY),
    rating(30.0, &SERIES),
    rating(35.0, &SERIES_MEMORY),
    rating(40.0, &SERIES),
    rating(50.0, &SERIES),
    rating(60.0, &SERIES),
    rating(70.0, &SERIES),
    rating(80.0, &SERIES),
    rating(100.0, &SERIES_MEMORY),
];

/// Strip fuse SF 30.
pub static STRIP_30: &[Row] = &[
    rating(30.0, &STRIP_SERIES),
    rating(40.0, &STRIP_SERIES),
    rating(50.0, &STRIP_SERIES),
    rating(60.0, &STRIP_SERIES),
    rating(70.0, &STRIP_SERIES),
    rating(80.0, &STRIP_SERIES),
    rating(100.0, &STRIP_SERIES),
    rating(125.0, &STRIP_SERIES),
    rating(150.0, &STRIP_SERIES),
    rating(175.0, &STRIP_SERIES),
    rating(200.0, &STRIP_SERIES),
];

/// Strip fuse SF 51.
pub static STRIP_51: &[Row] = &[
    rating(60.0, &STRIP_SERIES),
    rating(80.0, &STRIP_SERIES),
    rating(100.0, &STRIP_SERIES),
    rating(125.0, &STRIP_SERIES),
    rating(150.0, &STRIP_SERIES),
    rating(175.0, &STRIP_SERIES),
    rating(200.0, &STRIP_SERIES),
    rating(225.0, &STRIP_SERIES),
    rating(250.0, &STRIP_SERIES),
    rating(300.0, &STRIP_SERIES),
    rating(350.0, &STRIP_SERIES),
    rating(400.0, &STRIP_SERIES),
    rating(450.0, &STRIP_SERIES),
    rating(500.0, &STRIP_SERIES),
];

/// A gate of an operating-time rating, in per cent of the rating and in seconds.
#[derive(Debug)]
pub struct GateRow {
    /// Current in per cent of the rating.
    pub percent: f64,
    /// The fuse-link must not open before.
    pub least: Option<f64>,
    /// The fuse-link must have opened by.
    pub most: Option<f64>,
    /// Where the gate was read.
    pub source: &'static Source,
}

pub(super) const fn gate(percent: f64, least: Option<f64>, most: Option<f64>, source: &'static Source) -> GateRow {
    GateRow { percent, least, most, source }
}

/// Types C and F. The 110 and 135 % gates are quoted for type F and for the 25 A type C; the rest is remembered.
pub static BLADE_GATES: &[GateRow] = &[
    gate(110.0, Some(360_000.0), None, &BLADE_GATE_QUOTED),
    gate(135.0, Some(0.75), Some(600.0), &BLADE_GATE_QUOTED),
    gate(160.0, Some(0.25), Some(50.0), &BLADE_GATE),
    gate(200.0, Some(0.15), Some(5.0), &BLADE_GATE),
    gate(350.0, Some(0.04), Some(0.5), &BLADE_GATE),
    gate(600.0, Some(0.02), Some(0.1), &BLADE_GATE),
];

/// Type E.
pub static HIGH_CURRENT_GATES: &[GateRow] = &[
    gate(110.0, Some(360_000.0), None, &BLADE_GATE),
    gate(135.0, Some(60.0), Some(1800.0), &BLADE_GATE),
    gate(160.0, Some(5.0), Some(300.0), &BLADE_GATE),
    gate(200.0, Some(2.0), Some(60.0), &BLADE_GATE),
    gate(350.0, Some(0.2), Some(7.0), &BLADE_GATE),
    gate(600.0, Some(0.04), Some(1.0), &BLADE_GATE),
];

/// Strip fuses SF 30 and SF 51.
pub static STRIP_GATES: &[GateRow] = &[
    gate(100.0, Some(14_400.0), None, &STRIP_GATE),
    gate(135.0, Some(120.0), Some(1800.0), &STRIP_GATE),
    gate(200.0, Some(1.0), Some(15.0), &STRIP_GATE),
    gate(350.0, Some(0.3), Some(5.0), &STRIP_GATE),
    gate(600.0, Some(0.1), Some(1.0), &STRIP_GATE),
];

/// Types N and P, by the one sub-miniature table that was quoted.
pub static SUBMINIATURE_GATES: &[GateRow] = &[
    gate(110.0, Some(360_000.0), None, &SUBMINIATURE_GATE),
    gate(135.0, Some(0.75), Some(120.0), &SUBMINIATURE_GATE),
    gate(160.0, Some(0.3), Some(50.0), &SUBMINIATURE_GATE),
    gate(200.0, Some(0.15), Some(5.0), &SUBMINIATURE_GATE),
];

static GG_CONVENTIONAL: Source = Source::memory("IEC 60269-1, conventional times and currents of gG");
/// The times of IEC 60269-1 for one rating.
pub static GG_TIMES: Source = Source::memory("IEC 60269-1, gates of gG by rating");
pub static GG_BETWEEN: Source = Source::memory("IEC 60269-1, gates of gG of the next rating in its table");
/// The times of a rating below 16 A.
pub static GG_SMALL_TIMES: Source = Source::memory("IEC 60269-2, fuse system A, gates of gG by rating");
static GPV_CONVENTIONAL: Source = Source::memory("IEC 60269-6, conventional currents of gPV");
static AM: Source = Source::memory("IEC 60269-2, gates of aM");

/// Category gG from 16 A: the longest conventional time, that of ratings above 400 A, and the shortest to hold.
pub static GG_GATES: &[GateRow] =
    &[gate(125.0, Some(3600.0), None, &GG_CONVENTIONAL), gate(160.0, None, Some(14_400.0), &GG_CONVENTIONAL)];

/// Category gG above 4 A and below 16 A.
pub static GG_GATES_TO_16: &[GateRow] =
    &[gate(150.0, Some(3600.0), None, &GG_CONVENTIONAL), gate(190.0, None, Some(3600.0), &GG_CONVENTIONAL)];

/// Category gG up to 4 A.
pub static GG_GATES_TO_4: &[GateRow] =
    &[gate(150.0, Some(3600.0), None, &GG_CONVENTIONAL), gate(210.0, None, Some(3600.0), &GG_CONVENTIONAL)];

/// Category gPV.
pub static GPV_GATES: &[GateRow] =
    &[gate(113.0, Some(3600.0), None, &GPV_CONVENTIONAL), gate(145.0, None, Some(14_400.0), &GPV_CONVENTIONAL)];

/// Category aM.
pub static AM_GATES: &[GateRow] = &[
    gate(400.0, Some(60.0), None, &AM),
    gate(630.0, None, Some(60.0), &AM),
    gate(800.0, Some(0.5), None, &AM),
    gate(1000.0, Some(0.2), None, &AM),
    gate(1250.0, None, Some(0.5), &AM),
    gate(1900.0, None, Some(0.1), &AM),
];

/// Currents in A at which a gG fuse of one rating holds or opens.
#[derive(Debug)]
pub struct GgRow {
    /// The rating.
    pub rating: f64,
    /// It holds for 10 s.
    pub holds_10_s: f64,
    /// It opens within 5 s.
    pub opens_5_s: f64,
    /// It holds for 0.1 s.
    pub holds_100_ms: f64,
    /// It opens within 0.1 s.
    pub opens_100_ms: f64,
}

const fn gg(rating: f64, holds_10_s: f64, opens_5_s: f64, holds_100_ms: f64, opens_100_ms: f64) -> GgRow {
    GgRow { rating, holds_10_s, opens_5_s, holds_100_ms, opens_100_ms }
}

/// Category gG by rating.
pub static GG_BY_RATING: &[GgRow] = &[
    gg(2.0, 3.7, 9.2, 6.0, 23.0),
    gg(4.0, 7.8, 18.5, 14.0, 47.0),
    gg(6.0, 11.0, 28.0, 26.0, 72.0),
    gg(10.0, 22.0, 46.5, 58.0, 110.0),
    gg(16.0, 33.0, 65.0, 85.0, 150.0),
    gg(20.0, 42.0, 85.0, 110.0, 200.0),
    gg(25.0, 52.0, 110.0, 150.0, 260.0),
    gg(32.0, 75.0, 150.0, 200.0, 350.0),
    gg(40.0, 95.0, 190.0, 260.0, 450.0),
    gg(50.0, 125.0, 250.0, 350.0, 610.0),
    gg(63.0, 160.0, 320.0, 450.0, 820.0),
    gg(80.0, 215.0, 425.0, 610.0, 1100.0),
    gg(100.0, 290.0, 580.0, 820.0, 1450.0),
    gg(125.0, 355.0, 715.0, 1100.0, 1910.0),
    gg(160.0, 460.0, 950.0, 1450.0, 2590.0),
    gg(200.0, 610.0, 1250.0, 1910.0, 3420.0),
    gg(250.0, 750.0, 1650.0, 2590.0, 4500.0),
    gg(315.0, 1050.0, 2200.0, 3420.0, 6000.0),
    gg(400.0, 1420.0, 2840.0, 4500.0, 8060.0),
    gg(500.0, 1780.0, 3800.0, 6000.0, 10_600.0),
];

static GG_SERIES: Source = Source::memory("IEC 60269-1, preferred ratings");

/// Preferred ratings of category gG.
pub static GG_RATINGS: &[Row] = &[
    rating(2.0, &GG_SERIES),
    rating(4.0, &GG_SERIES),
    rating(6.0, &GG_SERIES),
    rating(8.0, &GG_SERIES),
    rating(10.0, &GG_SERIES),
    rating(12.0, &GG_SERIES),
    rating(16.0, &GG_SERIES),
    rating(20.0, &GG_SERIES),
    rating(25.0, &GG_SERIES),
    rating(32.0, &GG_SERIES),
    rating(40.0, &GG_SERIES),
    rating(50.0, &GG_SERIES),
    rating(63.0, &GG_SERIES),
    rating(80.0, &GG_SERIES),
    rating(100.0, &GG_SERIES),
    rating(125.0, &GG_SERIES),
    rating(160.0, &GG_SERIES),
    rating(200.0, &GG_SERIES),
    rating(250.0, &GG_SERIES),
    rating(315.0, &GG_SERIES),
    rating(400.0, &GG_SERIES),
    rating(500.0, &GG_SERIES),
];

/// Type C: rating in A to cold resistance in mohm.
pub static COLD_RESISTANCE: &[Row] =
    &[row(1.0, 123.0, &COLD), row(2.0, 53.5, &COLD), row(4.0, 22.8, &COLD), row(10.0, 7.7, &COLD)];

/// Blade fuse: ambient in degC to the share of its rating that it still carries. The first row is the rating's own ambient.
pub static AMBIENT: &[Row] = &[row(25.0, 1.0, &RERATING), row(60.0, 0.95, &RERATING), row(85.0, 0.9, &RERATING)];
