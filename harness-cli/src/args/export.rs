//! Arguments of `harness export`.

use clap::Args;
use std::path::PathBuf;

/// Arguments of `harness export`.
#[derive(Debug, Args)]
pub struct Export {
    /// The design, or its folder; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Where to: a workbook, `lists.xlsx`, or a new folder for one file of comma-separated values each.
    #[arg(long, value_name = "PATH")]
    pub to: PathBuf,

    /// Replace the workbook, or the lists in the folder, if they are there.
    #[arg(long)]
    pub force: bool,
}
