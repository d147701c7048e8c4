//! Conductor resistance and insulation diameter by nominal cross-section.

use super::{Row, row};
use crate::standards::source::Source;

static THIN: Source = Source::seen("ISO 6722-1 thin wall", "table of a maker's datasheet");
static THICK: Source = Source::seen("DIN ISO 6722-3 thick wall", "table of an automotive handbook");
static THICK_SECOND: Source = Source::seen("ISO 6722-1 thick wall", "table of a maker's datasheet");
static REMEMBERED: Source = Source::memory("ISO 6722-1 thin wall");
static CLASS_5_PLAIN: Source = Source::seen("IEC 60228 class 5, plain copper", "table of an engineering reference page");
static CLASS_5_COATED: Source = Source::seen("IEC 60228 class 5, metal-coated copper", "table of an engineering reference page");

/// Road-vehicle wire: mm2 to largest resistance at 20 degC in mohm/m.
///
/// The wall does not change the conductor: both road series print the same figure wherever both exist. The 2 mm2 row is
/// 9.40 on one datasheet and 9.42 on two; the larger is kept.
#[expect(clippy::approx_constant, reason = "6 mm2 has 3.14 mohm/m; the circle has no part in it")]
pub static ROAD: &[Row] = &[
    row(0.13, 136.0, &REMEMBERED),
    row(0.22, 84.4, &THIN),
    row(0.35, 54.4, &THIN),
    row(0.5, 37.1, &THIN),
    row(0.75, 24.7, &THIN),
    row(1.0, 18.5, &THIN),
    row(1.25, 14.9, &REMEMBERED),
    row(1.5, 12.7, &THIN),
    row(2.0, 9.42, &THIN),
    row(2.5, 7.6, &THIN),
    row(3.0, 6.15, &THIN),
    row(4.0, 4.71, &THIN),
    row(5.0, 3.94, &REMEMBERED),
    row(6.0, 3.14, &THIN),
    row(8.0, 2.38, &REMEMBERED),
    row(10.0, 1.82, &THIN),
    row(12.0, 1.52, &REMEMBERED),
    row(16.0, 1.16, &THIN),
    row(20.0, 0.955, &REMEMBERED),
    row(25.0, 0.743, &THICK),
    row(35.0, 0.527, &THICK),
    row(50.0, 0.368, &THICK),
    row(70.0, 0.259, &THICK),
    row(95.0, 0.196, &THICK),
    row(120.0, 0.153, &THICK),
];

/// Flexible industrial wire, plain copper: mm2 to largest resistance at 20 degC in mohm/m.
pub static CLASS_5: &[Row] = &[
    row(0.5, 39.0, &CLASS_5_PLAIN),
    row(0.75, 26.0, &CLASS_5_PLAIN),
    row(1.0, 19.5, &CLASS_5_PLAIN),
    row(1.5, 13.3, &CLASS_5_PLAIN),
    row(2.5, 7.98, &CLASS_5_PLAIN),
    row(4.0, 4.95, &CLASS_5_PLAIN),
    row(6.0, 3.3, &CLASS_5_PLAIN),
    row(10.0, 1.91, &CLASS_5_PLAIN),
    row(16.0, 1.21, &CLASS_5_PLAIN),
    row(25.0, 0.78, &CLASS_5_PLAIN),
    row(35.0, 0.554, &CLASS_5_PLAIN),
    row(50.0, 0.386, &CLASS_5_PLAIN),
    row(70.0, 0.272, &CLASS_5_PLAIN),
    row(95.0, 0.206, &CLASS_5_PLAIN),
    row(120.0, 0.161, &CLASS_5_PLAIN),
    row(150.0, 0.129, &CLASS_5_PLAIN),
    row(185.0, 0.106, &CLASS_5_PLAIN),
    row(240.0, 0.0801, &CLASS_5_PLAIN),
];

/// Flexible industrial wire, metal-coated copper: mm2 to largest resistance at 20 degC in mohm/m.
pub static CLASS_5_TINNED: &[Row] = &[
    row(0.5, 40.1, &CLASS_5_COATED),
    row(0.75, 26.7, &CLASS_5_COATED),
    row(1.0, 20.0, &CLASS_5_COATED),
    row(1.5, 13.7, &CLASS_5_COATED),
    row(2.5, 8.21, &CLASS_5_COATED),
    row(4.0, 5.09, &CLASS_5_COATED),
    row(6.0, 3.39, &CLASS_5_COATED),
    row(10.0, 1.95, &CLASS_5_COATED),
    row(16.0, 1.24, &CLASS_5_COATED),
    row(25.0, 0.795, &CLASS_5_COATED),
    row(35.0, 0.565, &CLASS_5_COATED),
    row(50.0, 0.393, &CLASS_5_COATED),
    row(70.0, 0.277, &CLASS_5_COATED),
    row(95.0, 0.21, &CLASS_5_COATED),
    row(120.0, 0.164, &CLASS_5_COATED),
    row(150.0, 0.132, &CLASS_5_COATED),
    row(185.0, 0.108, &CLASS_5_COATED),
    row(240.0, 0.0817, &CLASS_5_COATED),
];

/// Thin wall: mm2 to largest diameter over the insulation in mm.
///
/// One sister datasheet prints 3.40 mm for 2.5 mm2, with every figure of its own 3 mm2 row: taken as a slip of that page.
/// A supplier prints 1.7 mm for 0.5 mm2.
pub static THIN_DIAMETER: &[Row] = &[
    row(0.13, 1.05, &REMEMBERED),
    row(0.22, 1.2, &THIN),
    row(0.35, 1.4, &THIN),
    row(0.5, 1.6, &THIN),
    row(0.75, 1.9, &THIN),
    row(1.0, 2.1, &THIN),
    row(1.25, 2.3, &REMEMBERED),
    row(1.5, 2.4, &THIN),
    row(2.0, 2.8, &THIN),
    row(2.5, 3.0, &THIN),
    row(3.0, 3.4, &THIN),
    row(4.0, 3.7, &THIN),
    row(5.0, 4.2, &REMEMBERED),
    row(6.0, 4.3, &THIN),
    row(8.0, 5.0, &REMEMBERED),
    row(10.0, 6.0, &THIN),
    row(12.0, 6.5, &REMEMBERED),
    row(16.0, 7.2, &THIN),
    row(20.0, 7.8, &REMEMBERED),
    row(25.0, 8.7, &REMEMBERED),
];

/// Thick wall: mm2 to largest diameter over the insulation in mm.
pub static THICK_DIAMETER: &[Row] = &[
    row(0.5, 2.3, &THICK_SECOND),
    row(0.75, 2.5, &THICK_SECOND),
    row(1.0, 2.7, &THICK),
    row(1.5, 3.0, &THICK),
    row(2.0, 3.3, &THICK_SECOND),
    row(2.5, 3.6, &THICK),
    row(3.0, 4.1, &THICK_SECOND),
    row(4.0, 4.4, &THICK),
    row(6.0, 5.0, &THICK),
    row(10.0, 6.5, &THICK),
    row(16.0, 8.3, &THICK),
    row(25.0, 10.4, &THICK),
    row(35.0, 11.6, &THICK),
    row(50.0, 13.5, &THICK),
    row(70.0, 15.5, &THICK),
    row(95.0, 18.0, &THICK),
    row(120.0, 19.7, &THICK),
];
