//! Arguments of `harness loads`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness loads`.
#[derive(Debug, Args)]
pub struct Loads {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Which table [default: both; CSV holds one, that of the conductors by default].
    #[arg(long, value_name = "WHAT")]
    pub by: Option<LoadsBy>,

    /// How to show them.
    #[arg(long, value_name = "FORMAT", default_value = "table")]
    pub format: LoadsFormat,

    /// Compute this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// List only rows whose least margin (limit over figure) is below this, such as 1.2; rows without any margin are left out.
    #[arg(long, value_name = "MARGIN", value_parser = margin)]
    pub below: Option<f64>,

    /// List only the conductors of this loom and the fuses before them; may be repeated.
    #[arg(long = "loom", value_name = "NAME")]
    pub looms: Vec<String>,
}

fn margin(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|margin: &f64| margin.is_finite() && *margin > 0.0)
        .ok_or_else(|| "write a number above 0, such as 1.2".to_owned())
}

/// How loads are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LoadsFormat {
    /// A table that stays within the width.
    Table,
    /// Comma-separated values, every column.
    Csv,
    /// JSON, as `harness schema --of loads` describes it.
    Json,
}

/// Which loads are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LoadsBy {
    /// One row per fuse.
    Fuse,
    /// One row per conductor.
    Conductor,
}
