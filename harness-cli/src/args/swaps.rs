//! The command line of `harness swaps`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness swaps`.
#[derive(Debug, Args)]
pub struct Swaps {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// List dangerous pairs alone, and give the keys that rule out these alone.
    #[arg(long, conflicts_with = "pair")]
    pub dangerous: bool,

    /// Say what these two connectors in each other's place would do: `loom.end` or `device.port` of each.
    #[arg(long, value_names = ["A", "B"], num_args = 2)]
    pub pair: Option<Vec<String>>,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: SwapsFormat,

    /// Compute this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// Draw which plug fits whose place into this file (SVG).
    #[arg(long, value_name = "FILE", conflicts_with = "pair")]
    pub output: Option<PathBuf>,

    /// Replace the file if it exists.
    #[arg(long, requires = "output")]
    pub force: bool,
}

/// How swaps are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SwapsFormat {
    /// Text that stays within the width.
    Text,
    /// JSON, as `harness schema --of swaps` describes it.
    Json,
    /// Comma-separated values, one row per pair.
    Csv,
}
