//! `harness ringout`: the readings that prove a bare loom, and what measured ones say of it.

mod measured;

use crate::{
    args::{BoardCode, Ringout},
    exit,
    failure::Failure,
    phrase::{all, did_you_mean, quoted},
    render::{
        kit::paper::{self, Paper},
        papers,
    },
    terminal::Look,
};
use harness_core::bench::{Bench, Code, RingOut};
use measured::Measured;
use std::io::{self, Read, Write};

/// Shows the ring-out of looms, or what readings say of them.
///
/// # Errors
/// If the design or the readings can't be read, if it has no such loom, or if `out` can't be written.
pub fn run(args: &Ringout, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (_, analysis) = super::analyse(&args.file, &[], "ring out the looms of", input)?;
    let report = super::checker()?.check(&analysis);
    let bench = Bench::of(&analysis);
    let looms = bench.looms();
    if let Some(unknown) = args.looms.iter().find(|loom| !looms.contains(loom)) {
        let near = match did_you_mean(unknown, &looms) {
            near if !near.is_empty() => near,
            _ if looms.is_empty() => "; it has none".to_owned(),
            _ => format!("; it has {}", all(&quoted(&looms))),
        };
        return Err(Failure::Told(format!("ring out loom `{unknown}`: the design has no such loom{near}")));
    }
    let wanted = looms.iter().filter(|loom| args.looms.is_empty() || args.looms.contains(loom));
    let (mut papers, mut code): (Vec<Paper>, u8) = (Vec::new(), exit::CLEAN);
    match (&args.measured, args.lamp_board) {
        (Some(path), _) => {
            let mut list = Measured::read(path)?;
            let named: Vec<&String> = if args.looms.is_empty() {
                looms.iter().filter(|loom| list.is_of(loom, &looms)).collect()
            } else {
                wanted.collect()
            };
            if named.is_empty() {
                let why = "no row names a place of a loom of this design; name the loom with `--loom`";
                return Err(Failure::Told(format!("compare `{}`: {why}", path.display())));
            }
            for loom in named {
                let Some(ring_out) = bench.ring_out(loom) else { continue };
                let verdict = ring_out.compare(&list.rows(&ring_out, &looms));
                if !verdict.is_good {
                    code = exit::FINDINGS;
                }
                papers.push(papers::ring_out_verdict(&ring_out, &verdict));
            }
            let strays = list.strays(&looms);
            if !strays.is_empty() {
                code = exit::FINDINGS;
            }
            let first = papers.first_mut().into_iter();
            first.for_each(|paper| paper.lead.extend(strays.iter().chain(&list.notes).cloned()));
        }
        (None, Some(board)) => {
            let (code, name) = match board {
                BoardCode::Complement => (Code::Complement, "each bit and its complement"),
                BoardCode::Modified => (Code::Modified, "modified counting sequence"),
            };
            let of = |ring_out: RingOut| papers::lamp_board(&ring_out, &ring_out.lamp_board(code), name);
            papers.extend(wanted.filter_map(|loom| bench.ring_out(loom)).map(of));
        }
        (None, None) => papers.extend(wanted.filter_map(|loom| bench.ring_out(loom)).map(|ring_out| papers::ring_out(&ring_out))),
    }
    let mistakes = super::mistakes(&report);
    for paper in &mut papers {
        paper.unknown.extend(mistakes.clone());
    }
    paper::write(&papers, &bench.identity(), (args.format, args.table.as_deref()), look, out).map_err(|error| {
        match error.kind() {
            io::ErrorKind::InvalidInput => Failure::Told(format!("ring out the looms of `{}`: {error}", args.file.display())),
            _ => error.into(),
        }
    })?;
    out.flush()?;
    Ok(code)
}
