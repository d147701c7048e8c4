//! Loads as comma-separated values.

use super::rows::{ConductorRow, FuseRow};
use crate::{
    args::LoadsBy,
    render::{
        Checked,
        kit::sheet::{cell, sheet},
    },
};
use harness_core::inspect::Loads;
use std::io::{self, Write};

/// Writes one table as comma-separated values with a heading, every figure in the unit that its heading names.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, loads: &Loads, by: LoadsBy, out: &mut dyn Write) -> io::Result<()> {
    match by {
        LoadsBy::Fuse => sheet(loads.fuses.iter().map(|row| FuseRow::new(checked, row, cell)), out),
        LoadsBy::Conductor => sheet(loads.conductors.iter().map(|row| ConductorRow::new(checked, row, cell)), out),
    }
}
