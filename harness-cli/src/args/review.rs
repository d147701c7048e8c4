//! Arguments of `harness review`.

use clap::Args;
use std::path::PathBuf;

/// Arguments of `harness review`.
#[derive(Debug, Args)]
pub struct Review {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Write into this file instead of standard output; one that is there is left alone.
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Replace the file.
    #[arg(long, requires = "output")]
    pub force: bool,
}
