//! Arguments of `harness draw`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness draw`.
#[derive(Debug, Args)]
pub struct Draw {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Which kind of picture.
    #[arg(value_name = "KIND")]
    pub kind: PictureKind,

    /// Of what, as findings name it; the end of its name is enough if it is unique. Without a name, of everything of that kind.
    #[arg(value_name = "NAME")]
    pub names: Vec<String>,

    /// As it is in this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// For a loom: true lengths at 1 to this, on as many sheets as it needs; without it on one sheet, as large as fits.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub scale: Option<u32>,

    /// The file to draw into, SVG or PNG by the end of its name. Several pictures get files of their own, each with its name in that of the file.
    #[arg(long, value_name = "FILE")]
    pub output: PathBuf,

    /// Replace files that exist.
    #[arg(long)]
    pub force: bool,
}

/// The kinds of pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum PictureKind {
    /// The power tree: sources, fuses and loads of a voltage domain in a mode, with currents and margins.
    Power,
    /// The chain of class B: everything of it between what gives current and what takes it, and what opens its contacts.
    Chain,
    /// A circuit: all that a net, or the current through a thing, runs through from source to return.
    Circuit,
    /// A net: all that is one piece of metal with a pin, wire or splice, with sizes, lengths and what is at its ends.
    Net,
    /// The layout of a loom: branches with lengths, ends and splices in place, to scale.
    Loom,
    /// The plan of the vehicle: zones with their devices, and the looms between them.
    Vehicle,
    /// When a fuse opens and what its conductors bear; of several fuses, which opens first.
    Curves,
    /// Precharge over time: contacts, volts, watts in the resistor, and the same with a short behind it.
    Precharge,
    /// Discharge over time, after everything was switched off.
    Discharge,
}
