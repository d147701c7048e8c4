//! Continuous current of copper wire by gauge: the boat table and the aircraft table.
//!
//! A row is at the nominal area of ASTM B258, which is what `AWG` means everywhere in the format. The least areas of
//! SAE J1127 and J1128 are 3 to 11 percent smaller; a metric wire looked up at the larger area gets the smaller current.

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
pub const AIRCRAFT_LARGE: f64 = 8.36556406;
/// Loaded conductors that a current of the aircraft table allows for below AWG 8: a fifth of 33 wires.
pub const AIRCRAFT_LOADED: u32 = 6;
/// Loaded conductors that it allows for from AWG 8 on: a fifth of 9 wires.
pub const AIRCRAFT_LARGE_LOADED: u32 = 1;

/// Gauges that a workshop can buy; 0, -1, -2 and -3 are 1/0 to 4/0.
pub static TRADE_GAUGES: &[i32] = &[22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3];

/// Inside engine spaces: rated temperature to factor on the current of the table. Other classes are remembered alone.
pub static ENGINE_SPACE: &[Row] = &[row(105.0, 0.85, &ENGINE)];

/// Boats, insulation of 60 degC: mm2 to A.
pub static MARINE_60: &[Row] = &[
    row(0.82304683, 10.0, &CFR),
    row(1.30869573, 15.0, &CFR),
    row(2.08090772, 20.0, &CFR),
    row(3.30877288, 25.0, &CFR),
    row(5.26115495, 40.0, &CFR),
    row(8.36556406, 55.0, &CFR),
    row(13.30176789, 80.0, &CFR),
    row(21.15063943, 105.0, &CFR),
    row(26.67046389, 120.0, &CFR),
    row(33.63083402, 140.0, &CFR),
    row(42.40769871, 165.0, &CFR),
    row(53.47512073, 195.0, &CFR),
    row(67.43088224, 225.0, &CFR),
    row(85.02877257, 260.0, &CFR),
    row(107.21930258, 300.0, &CFR),
];

/// Boats, insulation of 75 degC: mm2 to A.
pub static MARINE_75: &[Row] = &[
    row(0.82304683, 10.0, &CFR),
    row(1.30869573, 15.0, &CFR),
    row(2.08090772, 20.0, &CFR),
    row(3.30877288, 25.0, &CFR),
    row(5.26115495, 40.0, &CFR),
    row(8.36556406, 65.0, &CFR),
    row(13.30176789, 95.0, &CFR),
    row(21.15063943, 125.0, &CFR),
    row(26.67046389, 145.0, &CFR),
    row(33.63083402, 170.0, &CFR),
    row(42.40769871, 195.0, &CFR),
    row(53.47512073, 230.0, &CFR),
    row(67.43088224, 265.0, &CFR),
    row(85.02877257, 310.0, &CFR),
    row(107.21930258, 360.0, &CFR),
];

/// Boats, insulation of 80 degC: mm2 to A.
pub static MARINE_80: &[Row] = &[
    row(0.82304683, 15.0, &CFR),
    row(1.30869573, 20.0, &CFR),
    row(2.08090772, 25.0, &CFR),
    row(3.30877288, 35.0, &CFR),
    row(5.26115495, 50.0, &CFR),
    row(8.36556406, 70.0, &CFR),
    row(13.30176789, 100.0, &CFR),
    row(21.15063943, 130.0, &CFR),
    row(26.67046389, 150.0, &CFR),
    row(33.63083402, 175.0, &CFR),
    row(42.40769871, 210.0, &CFR),
    row(53.47512073, 245.0, &CFR),
    row(67.43088224, 285.0, &CFR),
    row(85.02877257, 330.0, &CFR),
    row(107.21930258, 385.0, &CFR),
];

/// Boats, insulation of 90 degC: mm2 to A.
pub static MARINE_90: &[Row] = &[
    row(0.82304683, 20.0, &CFR),
    row(1.30869573, 25.0, &CFR),
    row(2.08090772, 30.0, &CFR),
    row(3.30877288, 40.0, &CFR),
    row(5.26115495, 55.0, &CFR),
    row(8.36556406, 70.0, &CFR),
    row(13.30176789, 100.0, &CFR),
    row(21.15063943, 135.0, &CFR),
    row(26.67046389, 155.0, &CFR),
    row(33.63083402, 180.0, &CFR),
    row(42.40769871, 210.0, &CFR),
    row(53.47512073, 245.0, &CFR),
    row(67.43088224, 285.0, &CFR),
    row(85.02877257, 330.0, &CFR),
    row(107.21930258, 385.0, &CFR),
];

/// Boats, insulation of 105 degC: mm2 to A.
pub static MARINE_105: &[Row] = &[
    row(0.82304683, 20.0, &CFR),
    row(1.30869573, 25.0, &CFR),
    row(2.08090772, 35.0, &CFR),
    row(3.30877288, 45.0, &CFR),
    row(5.26115495, 60.0, &CFR),
    row(8.36556406, 80.0, &CFR),
    row(13.30176789, 120.0, &CFR),
    row(21.15063943, 160.0, &CFR),
    row(26.67046389, 180.0, &CFR),
    row(33.63083402, 210.0, &CFR),
    row(42.40769871, 245.0, &CFR),
    row(53.47512073, 285.0, &CFR),
    row(67.43088224, 330.0, &CFR),
    row(85.02877257, 385.0, &CFR),
    row(107.21930258, 445.0, &CFR),
];

/// Boats, insulation of 125 degC: mm2 to A.
pub static MARINE_125: &[Row] = &[
    row(0.82304683, 25.0, &CFR),
    row(1.30869573, 30.0, &CFR),
    row(2.08090772, 40.0, &CFR),
    row(3.30877288, 50.0, &CFR),
    row(5.26115495, 70.0, &CFR),
    row(8.36556406, 90.0, &CFR),
    row(13.30176789, 125.0, &CFR),
    row(21.15063943, 170.0, &CFR),
    row(26.67046389, 195.0, &CFR),
    row(33.63083402, 225.0, &CFR),
    row(42.40769871, 265.0, &CFR),
    row(53.47512073, 305.0, &CFR),
    row(67.43088224, 355.0, &CFR),
    row(85.02877257, 410.0, &CFR),
    row(107.21930258, 475.0, &CFR),
];

/// Boats, insulation of 200 degC: mm2 to A.
pub static MARINE_200: &[Row] = &[
    row(0.82304683, 25.0, &CFR),
    row(1.30869573, 35.0, &CFR),
    row(2.08090772, 45.0, &CFR),
    row(3.30877288, 55.0, &CFR),
    row(5.26115495, 70.0, &CFR),
    row(8.36556406, 100.0, &CFR),
    row(13.30176789, 135.0, &CFR),
    row(21.15063943, 180.0, &CFR),
    row(26.67046389, 210.0, &CFR),
    row(33.63083402, 240.0, &CFR),
    row(42.40769871, 280.0, &CFR),
    row(53.47512073, 325.0, &CFR),
    row(67.43088224, 370.0, &CFR),
    row(85.02877257, 430.0, &CFR),
    row(107.21930258, 510.0, &CFR),
];

/// Aircraft, conductor at 105 degC: mm2 to A.
pub static AIRCRAFT_105: &[Row] = &[
    row(0.20473031, 2.5, &FAA),
    row(0.32553394, 3.0, &FAA),
    row(0.51761924, 4.0, &FAA),
    row(0.82304683, 6.0, &FAA),
    row(1.30869573, 7.0, &FAA),
    row(2.08090772, 10.0, &FAA),
    row(3.30877288, 13.0, &FAA),
    row(5.26115495, 17.0, &FAA),
    row(8.36556406, 38.0, &FAA),
    row(13.30176789, 50.0, &FAA),
    row(21.15063943, 68.0, &FAA),
    row(33.63083402, 95.0, &FAA),
    row(42.40769871, 113.0, &FAA),
    row(53.47512073, 128.0, &FAA),
    row(67.43088224, 147.0, &FAA),
    row(85.02877257, 172.0, &FAA),
    row(107.21930258, 204.0, &FAA),
];

/// Aircraft, conductor at 150 degC: mm2 to A.
pub static AIRCRAFT_150: &[Row] = &[
    row(0.20473031, 4.0, &FAA),
    row(0.32553394, 5.0, &FAA),
    row(0.51761924, 7.0, &FAA),
    row(0.82304683, 9.0, &FAA),
    row(1.30869573, 11.0, &FAA),
    row(2.08090772, 14.0, &FAA),
    row(3.30877288, 19.0, &FAA),
    row(5.26115495, 26.0, &FAA),
    row(8.36556406, 57.0, &FAA),
    row(13.30176789, 76.0, &FAA),
    row(21.15063943, 103.0, &FAA),
    row(33.63083402, 141.0, &FAA),
    row(42.40769871, 166.0, &FAA),
    row(53.47512073, 192.0, &FAA),
    row(67.43088224, 222.0, &FAA),
    row(85.02877257, 262.0, &FAA),
    row(107.21930258, 310.0, &FAA),
];

/// Aircraft, conductor at 200 degC: mm2 to A.
pub static AIRCRAFT_200: &[Row] = &[
    row(0.20473031, 5.0, &FAA),
    row(0.32553394, 6.0, &FAA),
    row(0.51761924, 9.0, &FAA),
    row(0.82304683, 12.0, &FAA),
    row(1.30869573, 14.0, &FAA),
    row(2.08090772, 18.0, &FAA),
    row(3.30877288, 25.0, &FAA),
    row(5.26115495, 32.0, &FAA),
    row(8.36556406, 71.0, &FAA),
    row(13.30176789, 97.0, &FAA),
    row(21.15063943, 133.0, &FAA),
    row(33.63083402, 179.0, &FAA),
    row(42.40769871, 210.0, &FAA),
    row(53.47512073, 243.0, &FAA),
    row(67.43088224, 285.0, &FAA),
    row(85.02877257, 335.0, &FAA),
    row(107.21930258, 395.0, &FAA),
];
