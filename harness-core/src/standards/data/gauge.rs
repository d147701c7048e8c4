//! Continuous current of copper wire by gauge: the boat table and the aircraft table.
//!
//! A row stands at the nominal area of ASTM B258, which is what `AWG` means everywhere in the format. The least areas of
//! SAE J1127 and J1128 are 6 to 11 percent smaller; a metric wire looked up at the larger area gets the smaller current.

use super::{Row, row};
use crate::standards::source::Source;

static CFR: Source = Source::seen("33 CFR 183.425 table 5, circuits under 50 V, outside engine spaces", "text of the regulation");
static ENGINE: Source = Source::seen("33 CFR 183.425 table 5, inside engine spaces", "page of a marine wiring appendix");
static FAA: Source = Source::seen("FAA AC 43.13-1B table 11-9, wires in bundles", "page of the circular");

/// Ambient that the boat table assumes, in degC.
pub const MARINE_AMBIENT: f64 = 30.0;
/// Ambient of the engine spaces of the boat table, in degC.
pub const ENGINE_SPACE_AMBIENT: f64 = 50.0;
/// Ambient that the aircraft table assumes, in degC.
pub const AIRCRAFT_AMBIENT: f64 = 70.0;
/// Area from which on the aircraft table assumes bundles of 9 wires instead of 33, in mm2: AWG 8.
pub const AIRCRAFT_LARGE: f64 = 8.365564;
/// Loaded conductors that a current of the aircraft table allows for below AWG 8: a fifth of 33 wires.
pub const AIRCRAFT_LOADED: u32 = 6;
/// Loaded conductors that it allows for from AWG 8 on: a fifth of 9 wires.
pub const AIRCRAFT_LARGE_LOADED: u32 = 1;

/// Inside engine spaces: rated temperature to factor on the current of the table. Other classes are remembered alone.
pub static ENGINE_SPACE: &[Row] = &[row(105.0, 0.85, &ENGINE)];

/// Boats, insulation of 60 degC: mm2 to A.
pub static MARINE_60: &[Row] = &[
    row(0.823047, 10.0, &CFR),
    row(1.308696, 15.0, &CFR),
    row(2.080908, 20.0, &CFR),
    row(3.308773, 25.0, &CFR),
    row(5.261155, 40.0, &CFR),
    row(8.365564, 55.0, &CFR),
    row(13.301768, 80.0, &CFR),
    row(21.150639, 105.0, &CFR),
    row(26.670464, 120.0, &CFR),
    row(33.630834, 140.0, &CFR),
    row(42.407699, 165.0, &CFR),
    row(53.475121, 195.0, &CFR),
    row(67.430882, 225.0, &CFR),
    row(85.028773, 260.0, &CFR),
    row(107.219303, 300.0, &CFR),
];

/// Boats, insulation of 75 degC: mm2 to A.
pub static MARINE_75: &[Row] = &[
    row(0.823047, 10.0, &CFR),
    row(1.308696, 15.0, &CFR),
    row(2.080908, 20.0, &CFR),
    row(3.308773, 25.0, &CFR),
    row(5.261155, 40.0, &CFR),
    row(8.365564, 65.0, &CFR),
    row(13.301768, 95.0, &CFR),
    row(21.150639, 125.0, &CFR),
    row(26.670464, 145.0, &CFR),
    row(33.630834, 170.0, &CFR),
    row(42.407699, 195.0, &CFR),
    row(53.475121, 230.0, &CFR),
    row(67.430882, 265.0, &CFR),
    row(85.028773, 310.0, &CFR),
    row(107.219303, 360.0, &CFR),
];

/// Boats, insulation of 80 degC: mm2 to A.
pub static MARINE_80: &[Row] = &[
    row(0.823047, 15.0, &CFR),
    row(1.308696, 20.0, &CFR),
    row(2.080908, 25.0, &CFR),
    row(3.308773, 35.0, &CFR),
    row(5.261155, 50.0, &CFR),
    row(8.365564, 70.0, &CFR),
    row(13.301768, 100.0, &CFR),
    row(21.150639, 130.0, &CFR),
    row(26.670464, 150.0, &CFR),
    row(33.630834, 175.0, &CFR),
    row(42.407699, 210.0, &CFR),
    row(53.475121, 245.0, &CFR),
    row(67.430882, 285.0, &CFR),
    row(85.028773, 330.0, &CFR),
    row(107.219303, 385.0, &CFR),
];

/// Boats, insulation of 90 degC: mm2 to A.
pub static MARINE_90: &[Row] = &[
    row(0.823047, 20.0, &CFR),
    row(1.308696, 25.0, &CFR),
    row(2.080908, 30.0, &CFR),
    row(3.308773, 40.0, &CFR),
    row(5.261155, 55.0, &CFR),
    row(8.365564, 70.0, &CFR),
    row(13.301768, 100.0, &CFR),
    row(21.150639, 135.0, &CFR),
    row(26.670464, 155.0, &CFR),
    row(33.630834, 180.0, &CFR),
    row(42.407699, 210.0, &CFR),
    row(53.475121, 245.0, &CFR),
    row(67.430882, 285.0, &CFR),
    row(85.028773, 330.0, &CFR),
    row(107.219303, 385.0, &CFR),
];

/// Boats, insulation of 105 degC: mm2 to A.
pub static MARINE_105: &[Row] = &[
    row(0.823047, 20.0, &CFR),
    row(1.308696, 25.0, &CFR),
    row(2.080908, 35.0, &CFR),
    row(3.308773, 45.0, &CFR),
    row(5.261155, 60.0, &CFR),
    row(8.365564, 80.0, &CFR),
    row(13.301768, 120.0, &CFR),
    row(21.150639, 160.0, &CFR),
    row(26.670464, 180.0, &CFR),
    row(33.630834, 210.0, &CFR),
    row(42.407699, 245.0, &CFR),
    row(53.475121, 285.0, &CFR),
    row(67.430882, 330.0, &CFR),
    row(85.028773, 385.0, &CFR),
    row(107.219303, 445.0, &CFR),
];

/// Boats, insulation of 125 degC: mm2 to A.
pub static MARINE_125: &[Row] = &[
    row(0.823047, 25.0, &CFR),
    row(1.308696, 30.0, &CFR),
    row(2.080908, 40.0, &CFR),
    row(3.308773, 50.0, &CFR),
    row(5.261155, 70.0, &CFR),
    row(8.365564, 90.0, &CFR),
    row(13.301768, 125.0, &CFR),
    row(21.150639, 170.0, &CFR),
    row(26.670464, 195.0, &CFR),
    row(33.630834, 225.0, &CFR),
    row(42.407699, 265.0, &CFR),
    row(53.475121, 305.0, &CFR),
    row(67.430882, 355.0, &CFR),
    row(85.028773, 410.0, &CFR),
    row(107.219303, 475.0, &CFR),
];

/// Boats, insulation of 200 degC: mm2 to A.
pub static MARINE_200: &[Row] = &[
    row(0.823047, 25.0, &CFR),
    row(1.308696, 35.0, &CFR),
    row(2.080908, 45.0, &CFR),
    row(3.308773, 55.0, &CFR),
    row(5.261155, 70.0, &CFR),
    row(8.365564, 100.0, &CFR),
    row(13.301768, 135.0, &CFR),
    row(21.150639, 180.0, &CFR),
    row(26.670464, 210.0, &CFR),
    row(33.630834, 240.0, &CFR),
    row(42.407699, 280.0, &CFR),
    row(53.475121, 325.0, &CFR),
    row(67.430882, 370.0, &CFR),
    row(85.028773, 430.0, &CFR),
    row(107.219303, 510.0, &CFR),
];

/// Aircraft, conductor at 105 degC: mm2 to A.
pub static AIRCRAFT_105: &[Row] = &[
    row(0.204730, 2.5, &FAA),
    row(0.325534, 3.0, &FAA),
    row(0.517619, 4.0, &FAA),
    row(0.823047, 6.0, &FAA),
    row(1.308696, 7.0, &FAA),
    row(2.080908, 10.0, &FAA),
    row(3.308773, 13.0, &FAA),
    row(5.261155, 17.0, &FAA),
    row(8.365564, 38.0, &FAA),
    row(13.301768, 50.0, &FAA),
    row(21.150639, 68.0, &FAA),
    row(33.630834, 95.0, &FAA),
    row(42.407699, 113.0, &FAA),
    row(53.475121, 128.0, &FAA),
    row(67.430882, 147.0, &FAA),
    row(85.028773, 172.0, &FAA),
    row(107.219303, 204.0, &FAA),
];

/// Aircraft, conductor at 150 degC: mm2 to A.
pub static AIRCRAFT_150: &[Row] = &[
    row(0.204730, 4.0, &FAA),
    row(0.325534, 5.0, &FAA),
    row(0.517619, 7.0, &FAA),
    row(0.823047, 9.0, &FAA),
    row(1.308696, 11.0, &FAA),
    row(2.080908, 14.0, &FAA),
    row(3.308773, 19.0, &FAA),
    row(5.261155, 26.0, &FAA),
    row(8.365564, 57.0, &FAA),
    row(13.301768, 76.0, &FAA),
    row(21.150639, 103.0, &FAA),
    row(33.630834, 141.0, &FAA),
    row(42.407699, 166.0, &FAA),
    row(53.475121, 192.0, &FAA),
    row(67.430882, 222.0, &FAA),
    row(85.028773, 262.0, &FAA),
    row(107.219303, 310.0, &FAA),
];

/// Aircraft, conductor at 200 degC: mm2 to A.
pub static AIRCRAFT_200: &[Row] = &[
    row(0.204730, 5.0, &FAA),
    row(0.325534, 6.0, &FAA),
    row(0.517619, 9.0, &FAA),
    row(0.823047, 12.0, &FAA),
    row(1.308696, 14.0, &FAA),
    row(2.080908, 18.0, &FAA),
    row(3.308773, 25.0, &FAA),
    row(5.261155, 32.0, &FAA),
    row(8.365564, 71.0, &FAA),
    row(13.301768, 97.0, &FAA),
    row(21.150639, 133.0, &FAA),
    row(33.630834, 179.0, &FAA),
    row(42.407699, 210.0, &FAA),
    row(53.475121, 243.0, &FAA),
    row(67.430882, 285.0, &FAA),
    row(85.028773, 335.0, &FAA),
    row(107.219303, 395.0, &FAA),
];
