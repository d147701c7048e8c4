//! The program `harness`: joins the library to the terminal.

use harness_cli::{Io, Terminal, run};
use std::{io::BufWriter, process::ExitCode};

fn main() -> ExitCode {
    // Escape codes are written only where wanted; on an old Windows console `anstream` turns them into calls.
    let mut out = BufWriter::with_capacity(1 << 16, anstream::AutoStream::always(std::io::stdout().lock()));
    let mut err = anstream::AutoStream::always(std::io::stderr().lock());
    let mut input = std::io::stdin().lock();
    let io = Io { input: &mut input, out: &mut out, err: &mut err, terminal: Terminal::detect() };
    ExitCode::from(run(std::env::args_os(), io))
}
