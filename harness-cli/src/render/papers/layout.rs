//! How a loom is laid out, on paper: branches, splices, what is twisted.

use super::Wanted;
use crate::render::kit::paper::{Cell, Column, Paper, Section, Table};
use harness_core::{
    bench::{Bench, Branch, Layout, SpliceJoin},
    quantity::Unit,
};

const BRANCHES: [Column; 17] = [
    Column::words("branch", "branch", 0),
    Column::words("from", "from", 2).as_data(),
    Column::words("to", "to", 2).as_data(),
    Column::words("between", "between", 2).on_paper(),
    Column::figures("length_mm", "", "mm", 0),
    Column::words("covering", "covering", 1),
    Column::words("zone", "zone", 4).as_data(),
    Column::words("moves", "moves", 5).as_data(),
    Column::words("barrier", "barrier", 5).as_data(),
    Column::figures("bend_mm", "bend", "mm", 5).as_data(),
    Column::figures("passage_mm", "passage", "mm", 5).as_data(),
    Column::words("notes", "mind", 3).on_paper(),
    Column::words("ends", "what hangs on it", 0),
    Column::words("splices", "splices", 2),
    Column::words("wires", "wires", 0),
    Column::words("cables", "cables", 1),
    Column::words("done", "", 0).on_paper(),
];

const SPLICES: [Column; 6] = [
    Column::words("splice", "splice", 0),
    Column::words("branch", "branch", 1),
    Column::figures("size_mm2", "together", "mm²", 1),
    Column::words("wires", "wires", 0),
    Column::words("far", "to", 0),
    Column::words("done", "", 0).on_paper(),
];

const TWISTS: [Column; 2] = [Column::words("twist", "twist", 0), Column::words("wires", "wires", 0)];

/// The layouts that are wanted.
pub(super) fn papers(bench: &Bench<'_>, wanted: &Wanted) -> Vec<Paper> {
    bench.layouts().into_iter().filter(|layout| wanted.has_loom(&layout.loom)).map(|layout| paper(&layout)).collect()
}

fn paper(layout: &Layout) -> Paper {
    let mut sections = Vec::new();
    if !layout.branches.is_empty() {
        let rows = layout.branches.iter().map(|branch| row(layout, branch)).collect();
        let table = Table::of("branches", "one row a branch, in the order written", &BRANCHES, rows);
        sections.push(Section { heading: "branches".to_owned(), table: Some(table), ..Section::default() });
    }
    if !layout.splices.is_empty() {
        let rows = layout.splices.iter().map(|splice| joined(layout, splice)).collect();
        let table = Table::of("splices", "one row a splice, with all that meet in it", &SPLICES, rows);
        sections.push(Section { heading: "splices".to_owned(), table: Some(table), ..Section::default() });
    }
    if !layout.twists.is_empty() {
        let rows = layout.twists.iter().map(|(twist, wires)| vec![Cell::text(twist), Cell::text(wires.join(", "))]).collect();
        let table = Table::of("twists", "wires that are twisted together", &TWISTS, rows);
        sections.push(Section { heading: "twisted".to_owned(), table: Some(table), ..Section::default() });
    }
    let mut unknown = Vec::new();
    let mut say = |names: &[String], what: &str| {
        if !names.is_empty() {
            unknown.push(format!("{what}: {}", short(names)));
        }
    };
    say(&layout.unrouted, "the branches of these wires (`via`)");
    say(&layout.unplaced, "where these ends hang (`at`)");
    let lengthless: Vec<String> =
        layout.branches.iter().filter(|branch| branch.length.is_none()).map(|branch| branch.name.clone()).collect();
    say(&lengthless, "the length of these branches");
    let uncovered: Vec<String> =
        layout.branches.iter().filter(|branch| branch.covering.is_none()).map(|branch| branch.name.clone()).collect();
    say(&uncovered, "what covers these branches");
    Paper {
        name: "layout".to_owned(),
        title: "layout".to_owned(),
        subject: format!("loom `{}`", layout.loom),
        about: layout.loom.clone(),
        has_class_b: layout.has_class_b,
        lead: vec![
            "Lay the branches out in their lengths, longest first; ties before coverings, and the free length of each end kept."
                .to_owned(),
        ],
        unknown,
        sections,
        ..Paper::default()
    }
}

/// Names in one line; of many the first, and how many more there are.
fn short(names: &[String]) -> String {
    const MOST: usize = 12;
    let first: Vec<&str> = names.iter().take(MOST).map(String::as_str).collect();
    match names.len().saturating_sub(MOST) {
        0 => first.join(", "),
        more => format!("{} and {more} more", first.join(", ")),
    }
}

fn row(layout: &Layout, branch: &Branch) -> Vec<Cell> {
    let millimetres = |length: harness_core::quantity::Metre| length.get() * 1000.0;
    let local = |name: &str| name.strip_prefix(&format!("{}.", layout.loom)).unwrap_or(name).to_owned();
    let ends = branch.ends.iter().map(|(end, reach)| match reach {
        Some(reach) => format!("{}, free {:.0} mm", local(end), millimetres(*reach)),
        None => local(end),
    });
    let [from, to] = &branch.nodes;
    let between = if from.is_empty() && to.is_empty() { String::new() } else { format!("{from} – {to}") };
    let mut mind: Vec<String> = Vec::new();
    if branch.moves {
        mind.push("moves".to_owned());
    }
    if branch.has_barrier {
        mind.push("barrier between class A and B".to_owned());
    }
    mind.extend(branch.bend.map(|bend| format!("bend {} mm", bend.get())));
    mind.extend(branch.passage.map(|passage| format!("through {} mm", passage.get())));
    let flag = |flag: bool| Cell::text(if flag { "yes" } else { "" });
    vec![
        Cell::text(&branch.name),
        Cell::text(from),
        Cell::text(to),
        Cell::text(between),
        branch.length.map_or(Cell::None("not given"), |length| {
            let length = millimetres(length);
            Cell::Figure(length, format!("{length:.0}"))
        }),
        branch.covering.map_or(Cell::None("not given"), |covering| Cell::text(covering.word())),
        Cell::text(&branch.zone),
        flag(branch.moves),
        flag(branch.has_barrier),
        Cell::figure_or(branch.bend.map(Unit::get), ""),
        Cell::figure_or(branch.passage.map(Unit::get), ""),
        Cell::text(mind.join("\n")),
        Cell::text(ends.collect::<Vec<_>>().join("\n")),
        Cell::text(branch.splices.iter().map(|splice| local(splice)).collect::<Vec<_>>().join(", ")),
        Cell::text(branch.wires.join(", ")),
        Cell::text(branch.cables.iter().map(|cable| local(cable)).collect::<Vec<_>>().join(", ")),
        Cell::Tick,
    ]
}

fn joined(layout: &Layout, splice: &SpliceJoin) -> Vec<Cell> {
    let local = |name: &str| name.strip_prefix(&format!("{}.", layout.loom)).unwrap_or(name).to_owned();
    vec![
        Cell::text(local(&splice.name)),
        Cell::text(&splice.at),
        Cell::figure_or(splice.size.map(Unit::get), "not given"),
        Cell::text(splice.wires.iter().map(|(wire, _)| wire.clone()).collect::<Vec<_>>().join("\n")),
        Cell::text(splice.wires.iter().map(|(_, far)| local(far)).collect::<Vec<_>>().join("\n")),
        Cell::Tick,
    ]
}
