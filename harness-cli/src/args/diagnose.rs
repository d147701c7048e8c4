//! Arguments of `harness diagnose`.

use crate::render::kit::paper::PaperFormat;
use clap::Args;
use harness_core::quantity::{self, Ratio};
use std::path::PathBuf;

/// Arguments of `harness diagnose`.
#[derive(Debug, Args)]
pub struct Diagnose {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// The mode in which something does not work; may be left out where the design has one alone.
    #[arg(long, value_name = "NAME")]
    pub mode: Option<String>,

    /// What was measured or seen, named as findings name it; may be repeated: `front.P3.4=11.8 V` (the black lead at the ground of that
    /// circuit), `front.P3.4-front.S1=0.2 ohm` (power off; `open` for no limit), `front.112=2.3 A`, `lamp-left=off` (or `weak`, `on`).
    #[arg(long = "reading", value_name = "PLACE=VALUE")]
    pub readings: Vec<String>,

    /// Readings from a table: CSV with a column `place` and a column `value`, and `against` for the black lead where it is elsewhere; or
    /// these columns in this order without a heading.
    #[arg(long = "readings", value_name = "FILE")]
    pub table_of_readings: Option<PathBuf>,

    /// Where the black lead is for voltages that name one point [default: the ground of each circuit].
    #[arg(long, value_name = "POINT")]
    pub against: Option<String>,

    /// The error of a reading, as a share of it (standard deviation) [default: 2 %, common practice].
    #[arg(long, value_name = "SHARE", value_parser = share)]
    pub noise: Option<Ratio>,

    /// Causes to list; all are counted.
    #[arg(long, value_name = "N", default_value_t = 10)]
    pub most: usize,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: PaperFormat,

    /// The table that comma-separated values hold: `causes`, `next`, `readings`.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
}

fn share(text: &str) -> Result<Ratio, String> {
    quantity::parse::<Ratio>(text)
        .ok()
        .filter(|share| share.get() > 0.0 && share.get() <= 0.5)
        .ok_or_else(|| "write a share from above 0 to 50 %, such as `3 %`".to_owned())
}
