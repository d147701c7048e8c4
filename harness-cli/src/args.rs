//! The command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use harness_core::finding::Level;
use std::path::PathBuf;

const EXIT_CODES: &str = "\
Exit codes:
  0  nothing found at or above the fail level
  1  something found at or above it
  2  the job could not be done: arguments, an unreadable file, an unknown mode";

/// Checks wiring-harness netlists before a wire is cut.
#[derive(Debug, Parser)]
#[command(name = "harness", version, after_help = EXIT_CODES, max_term_width = 100)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,

    /// Colour the output; `auto` heeds NO_COLOR, CLICOLOR and pipes.
    #[arg(long, alias = "colour", global = true, value_name = "WHEN", default_value = "auto")]
    pub color: Colour,

    /// Columns to stay within [default: the terminal's, at most 100; 80 in a pipe].
    #[arg(long, global = true, value_name = "COLUMNS")]
    pub width: Option<usize>,

    /// Draw with ASCII characters only, as is done by itself where the locale is not UTF-8.
    #[arg(long, global = true)]
    pub ascii: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check designs and say what was found.
    Check(Check),
    /// Show what a rule checks, why, and how to mend what it finds.
    Explain(Explain),
    /// List all rules.
    Rules(Rules),
    /// Print the JSON Schema of the netlist format or of the JSON report.
    Schema(Schema),
    /// Print the format reference in Markdown: every key, what may stand there, what it means.
    Format,
}

/// Arguments of `harness check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Designs to check; `-` reads one from standard input.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,

    /// How to show what was found.
    #[arg(long, value_name = "FORMAT", default_value = "full")]
    pub format: Format,

    /// The level from which a finding fails the check.
    #[arg(long, value_name = "LEVEL", default_value = "error")]
    pub fail_on: FailOn,

    /// Check in this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// Draw at most this many findings of a rule in full; all are counted.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub most: usize,
}

/// Arguments of `harness explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// The rule's name, `group/fault`; the fault alone if only one group has it.
    pub rule: String,
}

/// Arguments of `harness rules`.
#[derive(Debug, Args)]
pub struct Rules {
    /// How to list them.
    #[arg(long, value_name = "FORMAT", default_value = "table")]
    pub format: ListFormat,
}

/// Arguments of `harness schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// What the schema describes.
    #[arg(long, value_name = "WHAT", default_value = "netlist")]
    pub of: SchemaOf,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// Where the stream takes it.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// How findings are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Drawn into the lines concerned, with figures and help.
    Full,
    /// One line a finding.
    Short,
    /// JSON, as `harness schema --of report` describes it.
    Json,
}

/// How rules are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ListFormat {
    /// A table.
    Table,
    /// JSON.
    Json,
}

/// What a schema describes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The netlist format.
    Netlist,
    /// The report of `harness check --format json`.
    Report,
}

/// The level from which a finding fails the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// May hurt someone or start a fire.
    Danger,
    /// Cannot be built as written, will not work, or will be damaged.
    Error,
    /// Outside a limit, or probably a slip.
    Warning,
    /// Not checked, or untidy.
    Note,
}

impl FailOn {
    /// The level meant.
    #[must_use]
    pub fn level(self) -> Level {
        match self {
            Self::Danger => Level::Danger,
            Self::Error => Level::Error,
            Self::Warning => Level::Warning,
            Self::Note => Level::Note,
        }
    }
}
