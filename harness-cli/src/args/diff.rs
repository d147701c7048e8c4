//! Arguments of `harness diff`.

use super::FailOn;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

const EXIT_CODES: &str = "\
Exit codes:
  0  the same, or changes that brought no finding at or above the fail level; with --three: no certain collision
  1  changes that brought one; with --three: a certain collision
  2  the job could not be done: arguments, an unreadable file, an unknown mode or revision";

const USAGE: &str = "\
harness diff [OPTIONS] <OLD> <NEW>
       harness diff --three [OPTIONS] <BASE> <OURS> <THEIRS>";

/// Arguments of `harness diff`.
#[derive(Debug, Args)]
#[command(after_help = EXIT_CODES, override_usage = USAGE)]
pub struct Diff {
    /// The older revision: a file, `-` for standard input, or a git revision such as `HEAD~1`, which means NEW as it was then.
    /// With --three the base that both branches come from; a revision means THEIRS as it was then.
    #[arg(value_name = "OLD|BASE")]
    pub old: PathBuf,

    /// The newer revision: a file; `-` reads it from standard input. With --three our branch: a file, `-` or a git revision.
    #[arg(value_name = "NEW|OURS")]
    pub new: PathBuf,

    /// With --three their branch: a file, or `-`.
    #[arg(value_name = "THEIRS", requires = "three")]
    pub theirs: Option<PathBuf>,

    /// Show instead where two branches collide in meaning, even if their texts merge: what both change of one thing, what one removes and
    /// the other builds on, what both put in one place.
    #[arg(long, requires = "theirs", conflicts_with_all = ["svg", "force", "modes", "fail_on", "rework"])]
    pub three: bool,

    /// How to show what changed.
    #[arg(long, value_name = "FORMAT", default_value = "full")]
    pub format: DiffFormat,

    /// The level from which a new finding fails the comparison.
    #[arg(long, value_name = "LEVEL", default_value = "error")]
    pub fail_on: FailOn,

    /// Show instead the order of work that turns what is built to OLD into NEW: what to take out, cut open, put in, test.
    #[arg(long, conflicts_with = "svg")]
    pub rework: bool,

    /// Compute in this mode only; may be repeated.
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,

    /// Draw the changed wires, old and new in one picture, into this file (SVG); for Markdown each loom into a file of its own, with its name in that
    /// of the file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,

    /// Replace the file if it exists.
    #[arg(long, requires = "svg")]
    pub force: bool,
}

/// How a difference is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DiffFormat {
    /// Changes by loom and device, then what they do.
    Full,
    /// One line per change, and one per finding that came or went.
    Short,
    /// JSON, as `harness schema --of diff` describes it.
    Json,
    /// A comment on a change request, in Markdown; with `--svg`, a small picture for each loom beside it.
    Markdown,
    /// One line of at most 140 characters: the status of a change request, as a bot sets it.
    Line,
}
