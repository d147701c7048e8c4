//! What conductors and their insulation withstand for a short time.

use crate::standards::source::Source;

/// Constants of a metal in the adiabatic formula of IEC 60949.
#[derive(Debug)]
pub struct MetalRow {
    /// The factor before the root, in A·sqrt(s)/mm2.
    pub factor: f64,
    /// Inverse temperature coefficient of resistance at 0 degC, in kelvin.
    pub beta: f64,
    /// Where the row was read.
    pub source: &'static Source,
}

static COPPER_ROW: Source = Source::second_hand("IEC 60949, copper", "page that summarises the standard");
static ALUMINIUM_ROW: Source = Source::memory("IEC 60949, aluminium: factor seen, beta remembered");

pub static COPPER: MetalRow = MetalRow { factor: 226.0, beta: 234.5, source: &COPPER_ROW };
pub static ALUMINIUM: MetalRow = MetalRow { factor: 148.0, beta: 228.0, source: &ALUMINIUM_ROW };

/// A final temperature of insulation after a short circuit of at most [`SHORT`].
#[derive(Debug)]
pub struct FinalRow {
    /// The row holds for conductors up to this cross-section, in mm2.
    pub up_to: f64,
    /// The row holds for insulation of at least this rated temperature, in degC.
    pub rated_from: f64,
    /// Final temperature, in degC.
    pub limit: f64,
    /// Where the row was read.
    pub source: &'static Source,
}

const fn last(up_to: f64, rated_from: f64, limit: f64, source: &'static Source) -> FinalRow {
    FinalRow { up_to, rated_from, limit, source }
}

const PAGE: &str = "k table of a cable engineering page";

static PVC_FINAL: Source = Source::seen("BS 7671 and IEC 60364-5-54, final temperature of PVC", PAGE);
static XLPE_FINAL: Source = Source::seen("BS 7671 and IEC 60364-5-54, final temperature of XLPE and EPR", PAGE);
static RUBBER_FINAL: Source = Source::seen("BS 7671 and IEC 60364-5-54, final temperature of rubber", PAGE);
static SILICONE_FINAL: Source = Source::seen("BS 7671 and IEC 60364-5-54, final temperature of silicone rubber", PAGE);

/// The first row that holds decides.
pub static PVC: &[FinalRow] = &[last(300.0, 0.0, 160.0, &PVC_FINAL), last(f64::INFINITY, 0.0, 140.0, &PVC_FINAL)];
pub static XLPE: &[FinalRow] = &[last(f64::INFINITY, 0.0, 250.0, &XLPE_FINAL)];
pub static RUBBER: &[FinalRow] =
    &[last(f64::INFINITY, 85.0, 220.0, &RUBBER_FINAL), last(f64::INFINITY, 0.0, 200.0, &RUBBER_FINAL)];
pub static SILICONE: &[FinalRow] = &[last(f64::INFINITY, 0.0, 350.0, &SILICONE_FINAL)];

/// Longest short circuit, in s, for which the final temperatures hold.
pub const SHORT: f64 = 5.0;

/// An overload that insulation withstands for longer than a short circuit.
#[derive(Debug)]
pub struct OverloadRow {
    /// For at most this time, in s.
    pub time: f64,
    /// Kelvin above the rated temperature.
    pub above: f64,
    /// Where the row was read.
    pub source: &'static Source,
}

static THERMAL_OVERLOAD: Source = Source::memory("ISO 6722-1, thermal overload test: 6 h at rated + 50 K");
static SHORT_TERM_AGEING: Source = Source::memory("ISO 6722-1, short-term ageing test: 240 h at rated + 25 K");

/// By time, rising; beyond the last row the rated temperature itself is the limit.
pub static OVERLOAD: &[OverloadRow] = &[
    OverloadRow { time: 21_600.0, above: 50.0, source: &THERMAL_OVERLOAD },
    OverloadRow { time: 864_000.0, above: 25.0, source: &SHORT_TERM_AGEING },
];

/// Onderdonk's divisor, the inverse temperature of copper and its melting point, in degC, as he takes them.
pub const ONDERDONK: (f64, f64, f64) = (33.0, 234.0, 1083.0);
/// Preece's factor for copper, in A per inch to the power of 1.5.
pub const PREECE: f64 = 10_244.0;

/// Circular mils in a square millimetre: a circle of 1 mil is one, an inch is 25.4 mm.
pub const CIRCULAR_MIL: f64 = 4.0 / (std::f64::consts::PI * 0.0254 * 0.0254);
