//! `harness completions`: the script that lets a shell complete commands, options and their values.

use crate::{
    args::{Cli, Completions},
    exit,
    failure::Failure,
};
use clap::CommandFactory;
use std::io::Write;

/// Prints the script for a shell.
///
/// # Errors
/// If `out` can't be written.
pub fn run(args: &Completions, out: &mut dyn Write) -> Result<u8, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "harness", &mut script);
    out.write_all(&script)?;
    out.flush()?;
    Ok(exit::CLEAN)
}
