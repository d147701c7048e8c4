//! `harness lsp`: serves one editor over standard input and output.

use crate::{
    args::Lsp,
    clock, exit,
    failure::Failure,
    lsp::{Ended, connect, serve},
};
use std::io;

/// Serves until the editor ends the session. The streams are those of the process: they are read and written by threads of their own.
///
/// # Errors
/// If a message of the editor can't be read, or the editor went away without `exit`.
pub fn run(args: &Lsp) -> Result<u8, Failure> {
    let today = clock::today(args.today)?;
    let failed = |why: String| Failure::Told(format!("serve the editor: {why}"));
    let (connection, threads) = connect(io::stdin(), io::stdout()).map_err(|error| failed(error.to_string()))?;
    let ended = serve(&connection, Some(today));
    drop(connection);
    threads.finish().map_err(failed)?;
    match ended {
        Ended::Exit => Ok(exit::CLEAN),
        // As the protocol has it.
        Ended::Abrupt => Ok(exit::FINDINGS),
        Ended::Gone => Err(failed("it closed its end without `exit`".to_owned())),
    }
}
