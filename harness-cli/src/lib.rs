//! The program `harness` as a library, so that tests can drive it.
//!
//! Owns files, the terminal, output formats and exit codes; what is checked, and how, is the business of
//! `harness_core`.

pub mod args;
pub mod clock;
pub mod commands;
pub mod exit;
pub mod failure;
pub mod lsp;
pub mod output;
mod phrase;
pub mod render;
pub mod source;
pub mod terminal;

pub use terminal::{Look, Terminal};

use args::{Cli, Command};
use clap::Parser;
use std::{
    ffi::OsString,
    io::{Read, Write},
};

/// The streams of one run.
pub struct Io<'a> {
    /// Standard input, read only if a design is called `-`.
    pub input: &'a mut dyn Read,
    /// Standard output: findings and what else was asked for.
    pub out: &'a mut dyn Write,
    /// Standard error: why the job could not be done.
    pub err: &'a mut dyn Write,
    /// What the terminal can do.
    pub terminal: Terminal,
}

/// Runs the program with `args`, the first of which is its name, and returns its exit code (see [`exit`]).
pub fn run(args: impl IntoIterator<Item = impl Into<OsString> + Clone>, io: Io<'_>) -> u8 {
    let Io { input, out, err, terminal } = io;
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(message) => return answer(&message, out, err, terminal),
    };
    let look = Look::new(terminal, cli.color, cli.width, cli.ascii);
    let done = match cli.command {
        Command::Check(check) if check.watch => commands::watch::run(&check, look, terminal, out),
        Command::Check(check) => commands::check::run(&check, look, input, out, err),
        Command::Baseline(baseline) => commands::baseline::run(&baseline, look, input, out),
        Command::Trace(trace) => commands::trace::run(&trace, look, input, out),
        Command::Loads(loads) => commands::loads::run(&loads, look, input, out),
        Command::Swaps(swaps) => commands::swaps::run(&swaps, look, input, out),
        Command::Whatif(whatif) => commands::whatif::run(&whatif, (look, terminal), input, out, err),
        Command::Golive(golive) => commands::golive::run(&golive, look, input, out),
        Command::Isolation(isolation) => commands::isolation::run(&isolation, look, input, out),
        Command::Live(live) => commands::live::run(&live, look, input, out),
        Command::Ringout(ringout) => commands::ringout::run(&ringout, look, input, out),
        Command::Draw(draw) => commands::draw::run(&draw, input, out),
        Command::Papers(papers) => commands::papers::run(&papers, look, input, out),
        Command::Review(review) => commands::review::run(&review, input, out),
        Command::Diagnose(diagnose) => commands::diagnose::run(&diagnose, look, input, out),
        Command::Diff(diff) if diff.three => commands::merge::run(&diff, look, input, out),
        Command::Diff(diff) => commands::diff::run(&diff, look, input, out),
        Command::Explain(explain) => commands::explain::run(&explain, &harness_core::rule_pages(), look, out),
        Command::Rules(rules) => commands::rules::run(&rules, &harness_core::rule_pages(), look, out),
        Command::Schema(schema) => commands::schema::run(&schema, out),
        Command::Format => commands::format::run(out),
        Command::Lsp(lsp) => commands::lsp::run(&lsp),
        Command::Export(export) => commands::export::run(&export, input, out),
        Command::Tidy(tidy) => commands::tidy::run(&tidy, out),
        Command::Import(import) => commands::import::run(&import, look, input, out),
        Command::New(new) => commands::new::run(&new, out),
        Command::Completions(completions) => commands::completions::run(&completions, out),
        Command::Manual(manual) => commands::manual::run(&manual, out),
    };
    match done {
        Ok(code) => code,
        // The reader of our output has left and takes no interest in the rest.
        Err(failure) if failure.is_closed_pipe() => exit::CLEAN,
        Err(failure) => {
            commands::complain(err, &failure);
            exit::FAILED
        }
    }
}

/// Writes what argument parsing has to say: help and version to `out`, mistakes to `err`.
fn answer(message: &clap::Error, out: &mut dyn Write, err: &mut dyn Write, terminal: Terminal) -> u8 {
    let text = message.render();
    let text = |colour: bool| if colour { text.ansi().to_string() } else { text.to_string() };
    // Nothing is left to say if even this can't be written.
    if message.use_stderr() {
        let _ = err.write_all(text(terminal.err_colour).as_bytes()).and_then(|()| err.flush());
        exit::FAILED
    } else {
        let _ = out.write_all(text(terminal.out_colour).as_bytes()).and_then(|()| out.flush());
        exit::CLEAN
    }
}
