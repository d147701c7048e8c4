//! Arguments of `harness golive`.

use crate::render::kit::paper::PaperFormat;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `harness golive`.
#[derive(Debug, Args)]
pub struct Golive {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: PaperFormat,

    /// Of comma-separated values, the table to write: `steps`, `voltages`, `currents` or `resistances`.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,

    /// For later work on this device: make it safe, prove it dead, work, put it back; may be repeated.
    #[arg(long = "work-on", value_name = "DEVICE")]
    pub work_on: Vec<String>,

    /// The same for work anywhere on the vehicle.
    #[arg(long, conflicts_with = "work_on")]
    pub make_safe: bool,
}
