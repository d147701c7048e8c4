//! Arguments of `harness papers`.

use crate::render::kit::paper::PaperFormat;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `harness papers`.
#[derive(Debug, Args)]
pub struct Papers {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Which paper; without one, what there is.
    #[arg(value_name = "PAPER")]
    pub papers: Vec<PaperKind>,

    /// Write every paper as a page to print and each table as comma-separated values into this new folder, with a workbook and JSON of all.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["format", "output", "table"])]
    pub out: Option<PathBuf>,

    /// How to show them.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: PaperFormat,

    /// Of this loom only; may be repeated.
    #[arg(long = "loom", value_name = "NAME")]
    pub looms: Vec<String>,

    /// Of this end only, as `front.P3`; may be repeated. For connector sheets and labels.
    #[arg(long = "end", value_name = "NAME")]
    pub ends: Vec<String>,

    /// Which table of a paper that has several, for comma-separated values.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,

    /// Write into this file instead of standard output, a name that ends with `.xlsx` as a workbook; one that is there is left alone.
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Replace the file, or the folder that an earlier run wrote.
    #[arg(long)]
    pub force: bool,
}

impl PaperKind {
    /// Whether there is one for each loom, or a part for each: else it is of the whole design.
    #[must_use]
    pub const fn is_of_looms(self) -> bool {
        match self {
            Self::CutList | Self::Layout | Self::ConnectorSheets | Self::PartsList | Self::Labels | Self::RingOut => true,
            Self::TorqueList | Self::GoingLive | Self::MakingSafe => false,
        }
    }
}

/// The papers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum PaperKind {
    /// What is cut and crimped, in the order in which spools and dies change least.
    CutList,
    /// How a loom is laid out: branches with what runs through them, splices, what is twisted.
    Layout,
    /// Each end with its face from both sides and what is in every cavity.
    ConnectorSheets,
    /// What must be on the shelf, and what nobody has chosen yet.
    PartsList,
    /// What is written on wires, ends, fuses and devices.
    Labels,
    /// The readings that prove each bare loom, with what each finds and what is asked of the insulation.
    RingOut,
    /// What is bolted, with its rings and its torque.
    TorqueList,
    /// The order in which the vehicle gets power for the first time.
    GoingLive,
    /// The order in which it is made safe for later work, and put back.
    MakingSafe,
}
