//! Arguments of the commands that set things up: a design, a shell, the manual.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness new`.
#[derive(Debug, Args)]
pub struct New {
    /// Name of the design, such as `"Orchard lift"`; its folder is called `orchard-lift`.
    #[arg(value_name = "NAME")]
    pub name: String,

    /// What it begins with.
    #[arg(long, value_name = "KIND", default_value = "loom-12v")]
    pub kind: Starter,

    /// Its folder, which must not be there yet [default: the name, in lower case with hyphens].
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
}

/// What a new design begins with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Starter {
    /// A 12 V loom: battery, fuse box, switch, lamp, pump and horn.
    #[value(name = "loom-12v")]
    Loom12v,
    /// A cart with a 48 V drive: pack, contactor with precharge, controller, charger, a little 12 V.
    #[value(name = "cart-48v")]
    Cart48v,
    /// A conversion with voltage class B: pack, interlock, contactors, inverter, 12 V converter.
    ClassB,
    /// A trailer socket of seven contacts (ISO 1724) and the loom to it.
    TrailerSocket,
}

/// Arguments of `harness tidy`.
#[derive(Debug, Args)]
pub struct Tidy {
    /// The designs, or their folders: each with all files that it includes.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,

    /// Write nothing; exit with 1 if a file is not tidy. For CI.
    #[arg(long)]
    pub check: bool,
}

/// Arguments of `harness completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell.
    #[arg(value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

/// Arguments of `harness manual`.
#[derive(Debug, Args)]
pub struct Manual {
    /// The command [default: the program].
    #[arg(value_name = "COMMAND", conflicts_with = "out")]
    pub command: Option<String>,

    /// Write all pages into this folder, one file each: `harness.1`, `harness-check.1` …
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,

    /// Replace pages that are there.
    #[arg(long, requires = "out")]
    pub force: bool,
}
