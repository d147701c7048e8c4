//! Arguments of `harness ringout`.

use crate::render::kit::paper::PaperFormat;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness ringout`.
#[derive(Debug, Args)]
pub struct Ringout {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Of this loom only; may be repeated.
    #[arg(long = "loom", value_name = "NAME")]
    pub looms: Vec<String>,

    /// Patterns for a board with a switch and a lamp for each place, instead of one reading after the other; with `--measured` what its lamps
    /// say of the loom.
    #[arg(long, value_name = "CODE", num_args = 0..=1, default_missing_value = "complement")]
    pub lamp_board: Option<BoardCode>,

    /// Say what is wrong by these readings: comma-separated values with the columns `from`, `to` and `measured` (`step` instead of the
    /// first two will do), as `--format csv` gives them. With `--lamp-board` the columns `pattern`, `point` and `measured` (`lit` or `dark`), or a
    /// row for each pattern with its number in `pattern` and all lamps that were lit in `lit`.
    #[arg(long, value_name = "FILE")]
    pub measured: Option<PathBuf>,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: PaperFormat,

    /// Which table of several, for comma-separated values.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
}

/// How the nets of a lamp board are numbered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BoardCode {
    /// Each bit and its complement: in the usual cases it also shows which nets are joined.
    Complement,
    /// Without the numbers of no bits and of all: the fewest patterns that find every short and every open.
    Modified,
}
