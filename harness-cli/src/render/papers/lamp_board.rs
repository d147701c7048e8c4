//! The patterns of a lamp board on paper: which switches are on, and which lamps must be lit beside them.

use super::ring_out::head;
use crate::render::kit::paper::{Cell, Column, Group, Paper, Section, Table};
use harness_core::bench::{LampBoard, LampPattern, RingOut};

const PATTERNS: [Column; 7] = [
    Column::figures("pattern", "pattern", "", 0),
    Column::words("loom", "loom", 9).as_data(),
    Column::words("point", "switch or lamp at", 0),
    Column::words("switch", "switch", 0),
    Column::words("lamp", "lamp", 0),
    Column::words("measured", "measured", 9).as_data(),
    Column::words("done", "✓", 0).on_paper(),
];

/// Which lamps of a pattern have a row of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listed {
    /// Those that are lit or do not count: a sheet for people.
    Lit,
    /// All of them: a list to be filled in.
    All,
}

/// The patterns of a lamp board.
#[must_use]
pub fn paper(ring_out: &RingOut, board: &LampBoard, (code, listed): (&str, Listed)) -> Paper {
    let groups = board.patterns.iter().map(|pattern| Group {
        heading: format!(
            "pattern {}: {} fed, {} more lit, all others dark",
            pattern.number,
            pattern.fed.len(),
            pattern.lit.len()
        ),
        rows: pattern_rows(ring_out, pattern, listed),
    });
    let mut lines = vec![
        format!(
            "{} nets by {} patterns ({code}); {} are the fewest in which every net differs from every other.",
            board.nets,
            board.patterns.len(),
            board.fewest
        ),
        format!(
            "{} slips of the hand were made in the computed loom: {} light a wrong lamp or leave one dark.",
            board.tried, board.found
        ),
    ];
    if board.missed.1 > 0 {
        let first = board.missed.0.join("; ");
        lines.push(format!(
            "{} slips that the readings of a meter find are not seen by lamps, such as: {first}. Take those readings too.",
            board.missed.1
        ));
    }
    let caption = match listed {
        Listed::Lit => "one row for each lamp that is lit or does not count; a lamp that is not listed must stay dark",
        Listed::All => "one row for each lamp; `measured` is for what was seen",
    };
    let table = Table { key: "patterns", caption: caption.to_owned(), columns: PATTERNS.to_vec(), groups: groups.collect() };
    Paper {
        lead: vec![
            "A board with a switch and a lamp for each place, through a few milliamperes. Set the switches of a pattern, then look at every lamp: \
             one that is lit and not listed, or listed and dark, is a fault."
                .to_owned(),
            "Write for each pattern which lamps are lit, the number in the column `pattern` and the places in the column `lit`, or `lit` and \
             `dark` into the column `measured` of the comma-separated table: `harness ringout FILE --lamp-board --measured TABLE` says what is \
             wrong."
                .to_owned(),
        ],
        unknown: ring_out.unknown.clone(),
        sections: vec![Section { lines, table: Some(table), ..Section::default() }],
        sources: vec![
            "numbers of nets: W. H. Kautz, IEEE Transactions on Computers C-23, 1974; P. Goel and M. T. McMahon, 1982; P. T. Wagner, 1987 \
             (from memory, not seen)"
                .to_owned(),
        ],
        ..head("lamp-board", "lamp board", ring_out)
    }
}

fn pattern_rows(ring_out: &RingOut, pattern: &LampPattern, listed: Listed) -> Vec<Vec<Cell>> {
    let row = |point: &String, switch: &str, lamp: &str| {
        vec![
            Cell::count(pattern.number),
            Cell::text(&ring_out.loom),
            Cell::text(point),
            Cell::text(switch),
            Cell::text(lamp),
            Cell::None(""),
            Cell::Tick,
        ]
    };
    let fed = pattern.fed.iter().map(|point| row(point, "on", "lit"));
    let lit = pattern.lit.iter().map(|point| row(point, "", "lit"));
    let unsure = pattern.unsure.iter().map(|point| row(point, "", "does not count"));
    let dark = pattern.dark.iter().filter(|_| listed == Listed::All).map(|point| row(point, "", "dark"));
    fed.chain(lit).chain(unsure).chain(dark).collect()
}
