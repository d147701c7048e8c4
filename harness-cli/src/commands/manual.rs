//! `harness manual`: the man pages, one for the program and one for each command, from the definition of the arguments.

use crate::{
    args::{Cli, Manual},
    exit,
    failure::Failure,
    output,
    phrase::{any, counted, quoted},
};
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use std::io::Write;

/// Prints one page, or writes all of them into a folder.
///
/// # Errors
/// If there is no such command, a file can't be written or is there already, or `out` can't be written.
pub fn run(args: &Manual, out: &mut dyn Write) -> Result<u8, Failure> {
    let pages = pages()?;
    let Some(folder) = &args.out else {
        let name = args.command.as_ref().map_or_else(|| "harness".to_owned(), |command| format!("harness-{command}"));
        let Some((_, page)) = pages.iter().find(|(known, _)| *known == name) else {
            let known = pages.iter().filter_map(|(known, _)| known.strip_prefix("harness-"));
            let known = any(&quoted(known));
            let command = args.command.as_deref().unwrap_or_default();
            return Err(Failure::Told(format!("print the page of `{command}`: there is no such command; write one of {known}")));
        };
        out.write_all(page)?;
        out.flush()?;
        return Ok(exit::CLEAN);
    };
    for (name, page) in &pages {
        output::write(&folder.join(format!("{name}.1")), page, args.force, &[])?;
    }
    writeln!(out, "{} written to {}", counted(pages.len(), "page"), folder.display())?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// Every page with its name, that of the program first.
fn pages() -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut command = Cli::command();
    command.build();
    let mut pages = vec![("harness".to_owned(), page(command.clone())?)];
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help" && !sub.is_hide_set()) {
        let name = format!("harness-{}", sub.get_name());
        pages.push((name.clone(), page(sub.clone().name(name).version(env!("CARGO_PKG_VERSION")))?));
    }
    Ok(pages)
}

fn page(command: Command) -> Result<Vec<u8>, Failure> {
    let mut page = Vec::new();
    Man::new(command).manual("harness").render(&mut page)?;
    Ok(page)
}
