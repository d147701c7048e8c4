//! Arguments of `harness import`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness import`.
#[derive(Debug, Args)]
pub struct Import {
    /// The lists, or folders of them: CSV files of any delimiter and encoding, XLSX workbooks, what `harness export` wrote; wires, pins of a plug, fuses, housings, screens, retired numbers.
    #[arg(required = true, value_name = "LIST")]
    pub lists: Vec<PathBuf>,

    /// The folder of the design. What people write there (design.yaml, facts.yaml, mapping.yaml) is made once and then left alone; the folder
    /// `imported` in it is replaced each time.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,

    /// How the columns are to be understood [default: mapping.yaml of the folder, else a guess, which is written there].
    #[arg(long, value_name = "FILE")]
    pub mapping: Option<PathBuf>,

    /// The encoding of CSV files, such as windows-1252 or macintosh [default: found out from the bytes].
    #[arg(long, value_name = "NAME")]
    pub encoding: Option<String>,

    /// How to show what was done.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: ImportFormat,
}

/// How an import is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ImportFormat {
    /// Text that stays within the width.
    Text,
    /// JSON, as `harness schema --of import` describes it.
    Json,
}
