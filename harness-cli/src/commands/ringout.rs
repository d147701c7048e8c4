//! `harness ringout`: the readings that prove a bare loom, and what measured ones say of it.

mod lamps;
mod list;
mod measured;

use crate::{
    args::{BoardCode, Ringout},
    exit,
    failure::Failure,
    phrase::{all, did_you_mean, quoted},
    render::{
        kit::paper::{self, Paper, PaperFormat},
        papers,
    },
    terminal::Look,
};
use harness_core::bench::{Bench, Code, RingOut};
use lamps::Lamps;
use list::List;
use measured::Measured;
use std::io::{self, Read, Write};

/// Shows the ring-out of looms, or what readings say of them.
///
/// # Errors
/// If the design or the readings can't be read, if it has no such loom, or if `out` can't be written.
pub fn run(args: &Ringout, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (_, analysis) = super::analyse(&args.file, &[], "ring out the looms of", input)?;
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
    let ring_outs = |looms: &[&String]| -> Vec<RingOut> { looms.iter().filter_map(|loom| bench.ring_out(loom)).collect() };
    let wanted: Vec<&String> = wanted.collect();
    if let Some(path) = &args.measured {
        let list = List::read(path)?;
        let seen = match args.lamp_board {
            Some(board) => Lamps::of(&list).map(|lamps| Seen::Lamps(lamps, board.code())),
            None => Measured::of(&list).map(Seen::Readings),
        };
        let seen = seen.map_err(|why| List::failed(path, &why))?;
        let named = if args.looms.is_empty() { looms.iter().filter(|loom| seen.is_of(loom, &looms)).collect() } else { wanted };
        if named.is_empty() {
            let why = "no row names a place of a loom of this design; name the loom with `--loom`";
            return Err(Failure::Told(format!("compare `{}`: {why}", path.display())));
        }
        for ring_out in ring_outs(&named) {
            let (paper, is_good) = seen.verdict(&ring_out, &looms);
            papers.push(paper);
            code = if is_good { code } else { exit::FINDINGS };
        }
        let (strays, notes) = seen.odd(&looms);
        code = if strays.is_empty() { code } else { exit::FINDINGS };
        papers.first_mut().into_iter().for_each(|paper| paper.lead.extend(strays.iter().chain(notes).cloned()));
    } else if let Some(board) = args.lamp_board {
        let is_for_programs = matches!(args.format, PaperFormat::Csv | PaperFormat::Json);
        let lamps = if is_for_programs { papers::Listed::All } else { papers::Listed::Lit };
        let of = |ring_out: RingOut| papers::lamp_board(&ring_out, &ring_out.lamp_board(board.code()), (board.name(), lamps));
        papers.extend(ring_outs(&wanted).into_iter().map(of));
    } else {
        papers.extend(ring_outs(&wanted).iter().map(papers::ring_out));
    }
    let mistakes = super::mistakes(&analysis);
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

/// What was seen of looms.
enum Seen {
    Readings(Measured),
    Lamps(Lamps, Code),
}

impl Seen {
    fn is_of(&self, loom: &str, looms: &[String]) -> bool {
        match self {
            Self::Readings(list) => list.is_of(loom, looms),
            Self::Lamps(list, _) => list.is_of(loom, looms),
        }
    }

    /// What it says of a loom, and whether the loom is good.
    fn verdict(&self, ring_out: &RingOut, looms: &[String]) -> (Paper, bool) {
        match self {
            Self::Readings(list) => {
                let verdict = ring_out.compare(&list.rows(ring_out, looms));
                (papers::ring_out_verdict(ring_out, &verdict, papers::By::Readings), verdict.is_good)
            }
            Self::Lamps(list, code) => {
                let verdict = ring_out.compare_lamps(*code, &list.rows(&ring_out.loom, looms));
                (papers::ring_out_verdict(ring_out, &verdict, papers::By::Lamps(*code)), verdict.is_good)
            }
        }
    }

    /// Rows of no loom of the design, and what is odd and changes nothing.
    fn odd(&self, looms: &[String]) -> (Vec<String>, &[String]) {
        match self {
            Self::Readings(list) => (list.strays(looms), &list.notes),
            Self::Lamps(list, _) => (list.strays(looms), &list.notes),
        }
    }
}

impl BoardCode {
    fn code(self) -> Code {
        match self {
            Self::Complement => Code::Complement,
            Self::Modified => Code::Modified,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Complement => "each bit and its complement",
            Self::Modified => "modified counting sequence",
        }
    }
}
