//! The command line.

mod diagnose;
mod diff;
mod draw;
mod export;
mod golive;
mod import;
mod isolation;
mod live;
mod loads;
mod lsp;
mod papers;
mod review;
mod ringout;
mod setup;
mod swaps;
mod whatif;

pub use diagnose::Diagnose;
pub use diff::{Diff, DiffFormat};
pub use draw::{Draw, PictureKind};
pub use export::Export;
pub use golive::Golive;
pub use import::{Import, ImportFormat};
pub use isolation::{Isolation, NamedReading};
pub use live::{Live, LiveFormat};
pub use loads::{Loads, LoadsBy, LoadsFormat};
pub use lsp::Lsp;
pub use papers::{PaperKind, Papers};
pub use review::Review;
pub use ringout::{BoardCode, Ringout};
pub use setup::{Completions, Manual, New, Starter, Tidy};
pub use swaps::{Swaps, SwapsFormat};
pub use whatif::{Whatif, WhatifFormat};

use crate::clock;
use clap::{Args, Parser, Subcommand, ValueEnum};
use harness_core::{Date, finding::Level};
use std::{num::NonZero, path::PathBuf};

const EXIT_CODES: &str = "\
Exit codes:
  0  nothing found at or above the fail level
  1  something found at or above it, shown or not
  2  the job could not be done: arguments, an unreadable file, an unknown mode or name

Caution:
  A clean result is no safety certificate: it covers what the design says and the rules can see, nothing else. \
Work on voltage class B (above 60 V DC or 30 V AC) is for trained people: isolate, lock against reconnection, \
prove the absence of voltage before touching anything. Local codes and licensed practice decide.";

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

    /// Draw with ASCII characters only, the default in a terminal whose locale is not UTF-8.
    #[arg(long, global = true)]
    pub ascii: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check designs and report what was found.
    Check(Check),
    /// Record what is found now, so that `check --baseline` fails on new findings only.
    Baseline(Baseline),
    /// Show all that is known of one wire, pin, connector, cable, splice, fuse or load: currents, limits, what protects it.
    Trace(Trace),
    /// List every fuse and conductor with its load and its margins, the least margin first.
    Loads(Loads),
    /// List the plugs that fit each other's place, what a swap of each two would do, and the keys that rule the worst out.
    Swaps(Swaps),
    /// Try single faults: a conductor open, a fuse blown, neighbouring contacts bridged, a contact corroded, a relay welded or stuck; what
    /// stops, what stays on, what becomes live, what no fuse clears.
    Whatif(Whatif),
    /// Show what is live in each mode: contacts that can be touched above 60 V DC or 30 V AC, what stays charged and how long, and what
    /// opening a connector, cover, contact or wire does.
    Live(Live),
    /// Print the order in which a vehicle is brought to life for the first time, with what a meter shows at each step and when to stop; or how it
    /// is made safe for later work, proven dead and put back.
    Golive(Golive),
    /// Work out the isolation of voltage class B from three readings of a voltmeter: the weaker pole, ohm per volt, whether it is enough, and how
    /// far errors reach.
    Isolation(Isolation),
    /// Draw a picture: power tree, a circuit, a loom, the vehicle, time-current curves, precharge and discharge; as SVG or PNG.
    Draw(Draw),
    /// Make the papers of the bench: cut list, connector sheets, parts, labels, torques.
    Papers(Papers),
    /// Write the whole design as one page for those who accept it: verdict, margins, every connector and wire, what is live when, what one fault
    /// does; it opens in any browser without a network, and prints the sections that are ticked on it.
    Review(Review),
    /// Prove a bare loom on the bench: which readings, what each must be and finds; a lamp board; or what is wrong by what was measured.
    Ringout(Ringout),
    /// Say which fault explains what was measured or seen, and which reading distinguishes most of what is left.
    Diagnose(Diagnose),
    /// Compare two revisions of a design: what changed, and what that does to currents, fuses, loads and findings; the
    /// order of rework; or where two branches collide.
    Diff(Diff),
    /// Show what a rule checks, why, and how to fix what it finds.
    Explain(Explain),
    /// List all rules.
    Rules(Rules),
    /// Print the JSON Schema of the netlist format or of what the program writes.
    Schema(Schema),
    /// Print the format reference in Markdown: every key, what may be written there, what it means.
    Format,
    /// Serve an editor over standard input and output: findings as you type, what is known of a wire, names, cavities still free, remedies.
    Lsp(Lsp),
    /// Write the lists of a design for people who work with spreadsheets: wires by loom, contacts by plug, fuses with what they protect.
    Export(Export),
    /// Bring the files of designs into the one form that suits reviews best: same meaning, every comment kept.
    Tidy(Tidy),
    /// Make a netlist of wire lists that were kept in spreadsheets: CSV or XLSX, any columns; run again, it shows what changed in them.
    Import(Import),
    /// Begin a design: a starter of several files for a kind of job, clean and commented.
    New(New),
    /// Print the script with which a shell completes commands, options and their values.
    Completions(Completions),
    /// Print the man page of the program or of a command, or write all of them into a folder.
    Manual(Manual),
}

/// Arguments of `harness check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Designs to check, or their folders; `-` reads one from standard input.
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

    /// Check only designs with a file that differs from this git revision: a branch, a tag, a hash, `HEAD`.
    #[arg(long, value_name = "REV")]
    pub changed_since: Option<String>,

    /// Check at most this many designs at a time [default: one per core].
    #[arg(long, value_name = "N", value_parser = jobs)]
    pub jobs: Option<NonZero<usize>>,

    /// Draw at most this many entries of a rule in full; all are counted.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub most: usize,

    /// Show every finding by itself: those of one cause are not folded into one entry, and those that may only follow from a reading
    /// mistake are not held back.
    #[arg(long)]
    pub all: bool,

    /// Show findings of this level and above only. Hidden findings are counted, and still fail the check.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<FailOn>,

    /// Show findings of this rule only: `group/fault`, the fault alone, or a group; may be repeated. Hidden findings are counted, and
    /// still fail the check.
    #[arg(long = "rule", value_name = "RULE")]
    pub rules: Vec<String>,

    /// Fail on new findings only: those of this file, which `harness baseline` writes, are listed briefly as known; a known
    /// danger is always drawn in full.
    #[arg(long, value_name = "FILE")]
    pub baseline: Option<PathBuf>,

    /// Write the safe remedies into the files first (spelling, colours, unambiguous swaps; each was tried and leaves no finding
    /// behind), say what was written, then check what remains.
    #[arg(long, conflicts_with_all = ["modes", "changed_since"])]
    pub apply: bool,

    /// Check again whenever a file of the designs is saved, and show what came and went on top; ends with Ctrl-C.
    #[arg(long, conflicts_with_all = ["apply", "changed_since"])]
    pub watch: bool,

    /// The day on which waivers are judged [default: that of SOURCE_DATE_EPOCH, else today's in UTC].
    #[arg(long, value_name = "YEAR-MONTH-DAY", value_parser = clock::read)]
    pub today: Option<Date>,
}

pub(super) fn jobs(text: &str) -> Result<NonZero<usize>, String> {
    text.parse().map_err(|_| "write a whole number from 1 up".to_owned())
}

/// Arguments of `harness baseline`.
#[derive(Debug, Args)]
pub struct Baseline {
    /// The designs, each with its own name; `-` reads one from standard input.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,

    /// Where to write what is known: one finding per line, sorted, by design. Reading mistakes and waived findings are left
    /// out; a known danger is still shown in full.
    #[arg(long, value_name = "FILE")]
    pub output: PathBuf,

    /// Replace the file if it exists.
    #[arg(long)]
    pub force: bool,

    /// The day on which waivers are judged [default: that of SOURCE_DATE_EPOCH, else today's in UTC].
    #[arg(long, value_name = "YEAR-MONTH-DAY", value_parser = clock::read)]
    pub today: Option<Date>,
}

/// Arguments of `harness trace`.
#[derive(Debug, Args)]
pub struct Trace {
    /// The design; `-` reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// The thing as findings name it, `front.107`; the end of its name is enough if it is unique, `107`.
    #[arg(value_name = "NAME")]
    pub name: String,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: TraceFormat,

    /// Compute this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// Draw the time-current picture of a fuse into this file (SVG).
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,

    /// Replace the file if it exists.
    #[arg(long, requires = "svg")]
    pub force: bool,
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

    /// List instead the values from memory or common practice that a verdict of danger or error may rest on: status, source, and the key
    /// with which a design gives the value of its own part.
    #[arg(long)]
    pub values: bool,
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
    /// If the output is a terminal that shows colour.
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
    /// One line per cause, with the other members named in it.
    Short,
    /// JSON, as `harness schema --of report` describes it.
    Json,
    /// SARIF 2.1.0 (OASIS), for code review and the archive.
    Sarif,
    /// JUnit XML, as CI servers read the results of tests: one suite per design, one case per rule.
    Junit,
    /// Workflow commands (`::error file=…::`), which hosted runners show beside the changed lines.
    Annotations,
}

/// How rules are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ListFormat {
    /// A table.
    Table,
    /// JSON.
    Json,
}

/// How a trace is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TraceFormat {
    /// One screen of text.
    Text,
    /// JSON, as `harness schema --of trace` describes it.
    Json,
}

/// What a schema describes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The netlist format.
    Netlist,
    /// The report of `harness check --format json`.
    Report,
    /// What `harness trace --format json` writes.
    Trace,
    /// What `harness loads --format json` writes.
    Loads,
    /// What `harness swaps --format json` writes.
    Swaps,
    /// What `harness whatif --format json` writes.
    Whatif,
    /// What `harness papers --format json` writes.
    Papers,
    /// What `harness live --format json` writes.
    Live,
    /// What `harness diff --format json` writes.
    Diff,
    /// What `harness diff --rework --format json` writes.
    Rework,
    /// What `harness diff --three --format json` writes.
    Collisions,
    /// What `harness import --format json` writes.
    Import,
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
