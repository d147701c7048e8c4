//! Arguments of `harness whatif`.

use super::{FailOn, jobs};
use clap::{Args, ValueEnum};
use harness_core::quantity::{self, Ohm};
use std::{num::NonZero, path::PathBuf};

/// Arguments of `harness whatif`.
#[derive(Debug, Args)]
pub struct Whatif {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Break this conductor, named as findings name it; may be repeated. Where no fault is named, all are tried.
    #[arg(long, value_name = "CONDUCTOR")]
    pub open: Vec<String>,

    /// Blow this fuse; may be repeated.
    #[arg(long, value_name = "FUSE")]
    pub blow: Vec<String>,

    /// Bridge these two contacts; may be repeated.
    #[arg(long, value_name = "CONTACT", num_args = 2)]
    pub bridge: Vec<String>,

    /// Raise the resistance of this contact, ring or bolted joint; may be repeated.
    #[arg(long, value_name = "CONTACT")]
    pub raise: Vec<String>,

    /// Weld the contact of this relay or contactor; may be repeated.
    #[arg(long, value_name = "RELAY")]
    pub weld: Vec<String>,

    /// Keep the contact of this relay or contactor from closing; may be repeated.
    #[arg(long, value_name = "RELAY")]
    pub stick: Vec<String>,

    /// By how much the resistance of a contact is raised [default: 500 mohm, common practice].
    #[arg(long, value_name = "RESISTANCE", value_parser = resistance)]
    pub by: Option<Ohm>,

    /// Try faults in this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// List faults of this severity and above only [default: warning; note where faults are named]. All are counted.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<FailOn>,

    /// How to show them.
    #[arg(long, value_name = "FORMAT", default_value = "table")]
    pub format: WhatifFormat,

    /// Use at most this many threads [default: one per core, at most four].
    #[arg(long, value_name = "N", value_parser = jobs)]
    pub jobs: Option<NonZero<usize>>,

    /// The rest of a name that begins with its kind: `--open wire front.112`.
    #[arg(hide = true)]
    pub rest: Vec<String>,
}

/// How faults are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WhatifFormat {
    /// A list that stays within the width, the most severe first, with counts at the end.
    Table,
    /// Comma-separated values: one row for each fault and mode.
    Csv,
    /// JSON, as `harness schema --of whatif` describes it.
    Json,
}

fn resistance(text: &str) -> Result<Ohm, String> {
    quantity::parse::<Ohm>(text)
        .ok()
        .filter(|ohms| ohms.get().is_finite() && ohms.get() > 0.0)
        .ok_or_else(|| "write a resistance above 0 with its unit, such as `500 mohm`".to_owned())
}
