//! The program `harness`: joins the library to the terminal.

use harness_cli::{Io, Terminal, exit, run};
use std::{
    io::{BufWriter, Write},
    panic::{AssertUnwindSafe, catch_unwind},
    process::ExitCode,
};

fn main() -> ExitCode {
    #[cfg(unix)]
    leave_with_a_code();
    // Escape codes are written only where wanted; on an old Windows console `anstream` turns them into calls.
    let mut out = BufWriter::with_capacity(1 << 16, anstream::AutoStream::always(std::io::stdout()));
    // Not held: what breaks off in another thread says so there, and would wait for this one for ever.
    let mut err = anstream::AutoStream::always(std::io::stderr());
    // Neither are the others: the threads of `lsp` use them.
    let mut input = std::io::stdin();
    let io = Io { input: &mut input, out: &mut out, err: &mut err, terminal: Terminal::detect() };
    // A fault of the program itself has its own words on standard error already.
    match catch_unwind(AssertUnwindSafe(|| run(std::env::args_os(), io))) {
        Ok(code) => ExitCode::from(code),
        Err(_) => {
            let _ = writeln!(std::io::stderr(), "error: failed to finish: a fault of the program itself, not of the design");
            ExitCode::from(exit::FAILED)
        }
    }
}

/// Makes the program end with [`exit::FAILED`] where the standard library would abort: it says itself that memory was not available,
/// or that the stack is used up, and then nobody can do anything but choose the code.
#[cfg(unix)]
fn leave_with_a_code() {
    use std::sync::{Arc, atomic::AtomicBool};
    let always = Arc::new(AtomicBool::new(true));
    // Without it the code is that of an abort, which fails a build too.
    let _ = signal_hook::flag::register_conditional_shutdown(signal_hook::consts::SIGABRT, i32::from(exit::FAILED), always);
}
