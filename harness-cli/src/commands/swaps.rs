//! `harness swaps`: plugs that fit each other's place, and what a swap would do.

use crate::{
    args::{Swaps, SwapsFormat},
    exit,
    failure::Failure,
    output,
    phrase::did_you_mean,
    render::{Checked, kit::printable, swaps},
    terminal::Look,
};
use harness_core::{
    Analysis,
    inspect::{self, Asked, Grade},
};
use std::io::{Read, Write};

/// Rows of one grade in JSON and CSV.
const MOST_ROWS: usize = 100_000;

/// Compares the plugs of a design.
///
/// # Errors
/// If the design can't be read, if it has no such mode or connector, if the picture can't be written, or if `out` can't be written.
pub fn run(args: &Swaps, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (files, analysis) = super::analyse(&args.file, &args.modes, "compare the plugs of", input)?;
    let report = super::checker()?.check(&analysis);
    let unknown = super::mistakes(&analysis);
    if let Some([one, other]) = args.pair.as_deref() {
        let found = pair(&analysis, [one, other])?;
        let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
        match args.format {
            SwapsFormat::Text => swaps::pair(&checked, [one, other], found.as_ref(), look, out)?,
            SwapsFormat::Csv => swaps::csv(found.as_slice(), out)?,
            SwapsFormat::Json => swaps::json(&checked, &of_pair(found), unknown.as_deref(), out)?,
        }
        out.flush()?;
        return Ok(exit::CLEAN);
    }
    // JSON and CSV hold every pair; what is read on a screen leaves out those after which nothing changes.
    let asked = match (args.dangerous, args.format) {
        (true, _) => Asked { least: Grade::Danger, cured: Grade::Danger, most: MOST_ROWS },
        (false, SwapsFormat::Text) => Asked { least: Grade::Mixed, cured: Grade::Damage, most: swaps::MOST },
        (false, SwapsFormat::Json | SwapsFormat::Csv) => Asked { least: Grade::Harmless, cured: Grade::Damage, most: MOST_ROWS },
    };
    let found = inspect::Swaps::of(&analysis, asked);
    let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
    // The picture first: an answer on the screen would hide that there is no file.
    if let Some(path) = &args.output {
        let matrix = inspect::FitRow::of(&analysis, swaps::MOST_DRAWN);
        output::write(
            path,
            swaps::picture(&checked, &found, &matrix).svg(&harness_draw::Links::none()).as_bytes(),
            args.force,
            &files.read_so_far(),
        )?;
    }
    match args.format {
        SwapsFormat::Text => {
            swaps::text(&checked, &found, (args.dangerous, unknown.as_deref()), look, out)?;
            if let Some(path) = &args.output {
                writeln!(out, "matrix: {}", printable(&path.display().to_string()))?;
            }
        }
        SwapsFormat::Csv => swaps::csv(&found.rows, out)?,
        SwapsFormat::Json => swaps::json(&checked, &found, unknown.as_deref(), out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

fn pair(analysis: &Analysis, names: [&str; 2]) -> Result<Option<inspect::Swap>, Failure> {
    inspect::Swaps::pair(analysis, names).map_err(|name| {
        let known = inspect::Swaps::names(analysis);
        let near = did_you_mean(&name, &known.iter().map(String::as_str).collect::<Vec<_>>());
        Failure::Told(format!("compare `{name}`: the design has no such connector, or does not say what it is{near}"))
    })
}

/// One pair as a whole list.
fn of_pair(found: Option<inspect::Swap>) -> inspect::Swaps {
    inspect::Swaps { rows: found.into_iter().collect(), ..inspect::Swaps::default() }
}
