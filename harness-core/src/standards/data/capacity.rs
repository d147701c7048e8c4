//! Continuous current by cross-section, and factors by the number of loaded neighbours.

use super::{Row, row};
use crate::standards::source::Source;

static VDE: Source = Source::seen("DIN VDE 0298-4 guide value for DIN ISO 6722-3 wire", "table of an automotive handbook");
static IEC_GROUP: Source =
    Source::seen("BS 7671:2008 table 4C1 row 1 = IEC 60364-5-52 table B.52.17 row 1", "page of the wiring regulations");
static NEC_GROUP: Source = Source::seen("NEC 310.15(B)(3)(a)", "table of an electrical reference page");
static MARINE_GROUP: Source = Source::seen("33 CFR 183.425, circuits of 50 V and more", "page of a marine wiring appendix");

/// Conductor temperature that the road table assumes, in degC.
pub const ROAD_PVC70_CONDUCTOR: f64 = 70.0;
/// Ambient that the road table assumes, in degC.
pub const ROAD_PVC70_AMBIENT: f64 = 30.0;

/// Single-core PVC vehicle wire, conductor at 70 degC in air of 30 degC: mm2 to A.
pub static ROAD_PVC70: &[Row] = &[
    row(1.0, 19.0, &VDE),
    row(1.5, 24.0, &VDE),
    row(2.5, 32.0, &VDE),
    row(4.0, 42.0, &VDE),
    row(6.0, 54.0, &VDE),
    row(10.0, 73.0, &VDE),
    row(16.0, 98.0, &VDE),
    row(25.0, 129.0, &VDE),
    row(35.0, 158.0, &VDE),
    row(50.0, 198.0, &VDE),
    row(70.0, 245.0, &VDE),
    row(95.0, 292.0, &VDE),
    row(120.0, 344.0, &VDE),
];

/// Circuits bunched in air, on a surface or enclosed, equally loaded: count to factor.
pub static BUNCHED: &[Row] = &[
    row(1.0, 1.0, &IEC_GROUP),
    row(2.0, 0.8, &IEC_GROUP),
    row(3.0, 0.7, &IEC_GROUP),
    row(4.0, 0.65, &IEC_GROUP),
    row(5.0, 0.6, &IEC_GROUP),
    row(6.0, 0.57, &IEC_GROUP),
    row(7.0, 0.54, &IEC_GROUP),
    row(8.0, 0.52, &IEC_GROUP),
    row(9.0, 0.5, &IEC_GROUP),
    row(12.0, 0.45, &IEC_GROUP),
    row(16.0, 0.41, &IEC_GROUP),
    row(20.0, 0.38, &IEC_GROUP),
];

/// Current-carrying conductors in one raceway: largest count of a band to factor. The last band has no end and is in
/// [`NEC_BUNDLE_BEYOND`].
pub static NEC_BUNDLE: &[Row] = &[
    row(3.0, 1.0, &NEC_GROUP),
    row(6.0, 0.8, &NEC_GROUP),
    row(9.0, 0.7, &NEC_GROUP),
    row(20.0, 0.5, &NEC_GROUP),
    row(30.0, 0.45, &NEC_GROUP),
    row(40.0, 0.4, &NEC_GROUP),
];
/// 41 and more conductors.
pub static NEC_BUNDLE_BEYOND: Row = row(41.0, 0.35, &NEC_GROUP);

/// Current-carrying conductors of a boat's circuits of 50 V and more: largest count of a band to factor.
pub static MARINE_BUNDLE: &[Row] =
    &[row(2.0, 1.0, &MARINE_GROUP), row(3.0, 0.7, &MARINE_GROUP), row(6.0, 0.6, &MARINE_GROUP), row(24.0, 0.5, &MARINE_GROUP)];
/// 25 and more conductors.
pub static MARINE_BUNDLE_BEYOND: Row = row(25.0, 0.4, &MARINE_GROUP);

/// Trade sizes of road-vehicle wire, in mm2, that a workshop can buy.
pub static TRADE_SIZES: &[f64] =
    &[0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0];
