//! Arguments of `harness lsp`.

use crate::clock;
use clap::Args;
use harness_core::Date;

/// Arguments of `harness lsp`.
#[derive(Debug, Args)]
pub struct Lsp {
    /// Speak over standard input and output. There is no other way; editors that name the way are understood.
    #[arg(long)]
    pub stdio: bool,

    /// The day on which waivers are judged [default: that of SOURCE_DATE_EPOCH, else today's in UTC].
    #[arg(long, value_name = "YEAR-MONTH-DAY", value_parser = clock::read)]
    pub today: Option<Date>,
}
