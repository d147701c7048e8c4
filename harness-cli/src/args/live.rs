//! Arguments of `harness live`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness live`.
#[derive(Debug, Args)]
pub struct Live {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: LiveFormat,

    /// Show this mode only; may be repeated. All modes are computed, for a capacitor keeps the voltage of the one before.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// Show what opening this does: a connector unmated, a cover off, a contact, fuse or interlock bridge open, a wire cut; what is named
    /// several times is open at once.
    #[arg(long, value_name = "NAME")]
    pub open: Vec<String>,

    /// With this contact welded closed; may be repeated.
    #[arg(long, value_name = "NAME")]
    pub welded: Vec<String>,

    /// With this service disconnect still in, such as one pole of two; may be repeated.
    #[arg(long, value_name = "NAME")]
    pub half_out: Vec<String>,
}

/// How live parts are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LiveFormat {
    /// Text that stays within the width.
    Text,
    /// Comma-separated values, one row for each live contact and charged capacitor.
    Csv,
    /// JSON, as `harness schema --of live` describes it.
    Json,
}
