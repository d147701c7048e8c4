//! Arguments of `harness review`.

use clap::Args;
use std::path::PathBuf;

/// Arguments of `harness review`.
#[derive(Debug, Args)]
pub struct Review {
    /// The design; `-` reads it from standard input. With a newer one behind it the older: a file, or a git revision of the newer.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// The newer revision: the page is of it, and says first what changed, what that does and the order of rework.
    #[arg(value_name = "NEW")]
    pub new: Option<PathBuf>,

    /// Write into this file instead of standard output; one that is there is left alone.
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Replace the file.
    #[arg(long, requires = "output")]
    pub force: bool,
}
