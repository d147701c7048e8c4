//! Loads as comma-separated values.

use super::rows::{ConductorRow, FuseRow};
use crate::{
    args::LoadsBy,
    render::{Checked, kit::cell},
};
use harness_core::inspect::Loads;
use std::io::{self, Write};

/// Writes one table as comma-separated values with a heading, every figure in the unit that its heading names.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, loads: &Loads, by: LoadsBy, out: &mut dyn Write) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    let written = match by {
        LoadsBy::Fuse => loads.fuses.iter().try_for_each(|row| writer.serialize(FuseRow::new(checked, row, cell))),
        LoadsBy::Conductor => loads.conductors.iter().try_for_each(|row| writer.serialize(ConductorRow::new(checked, row, cell))),
    };
    written.map_err(|error| match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    })?;
    writer.flush()
}
