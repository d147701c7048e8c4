//! Labels on paper, and as a table for a printer of labels.

use super::Wanted;
use crate::render::kit::paper::{Cell, Column, Group, Paper, Section, Table};
use harness_core::bench::{Bench, Label, LabelOf};

/// Lines of a label that have a column of their own.
const LINES: usize = 4;

const COLUMNS: [Column; 11] = [
    Column::words("done", "", 0).on_paper(),
    Column::words("of", "of", 3),
    Column::words("loom", "loom", 4).as_data(),
    Column::words("name", "thing", 0),
    Column::words("at", "at", 1),
    Column::words("text", "label", 0).on_paper(),
    Column::words("line1", "line 1", 5).as_data(),
    Column::words("line2", "line 2", 5).as_data(),
    Column::words("line3", "line 3", 5).as_data(),
    Column::words("line4", "line 4", 5).as_data(),
    Column::words("class", "class", 5),
];

/// The labels that are wanted.
pub(super) fn paper(bench: &Bench<'_>, wanted: &Wanted) -> Paper {
    let labels: Vec<Label> = bench.labels().into_iter().filter(|label| is_wanted(label, wanted)).collect();
    let cut = labels.iter().filter(|label| label.lines.len() > LINES).count();
    let mut groups: Vec<Group> = Vec::new();
    for label in &labels {
        let heading = match label.of {
            LabelOf::Wire => format!("wires of loom `{}`", label.loom),
            LabelOf::End => format!("ends of loom `{}`", label.loom),
            LabelOf::Fuse => "fuses".to_owned(),
            LabelOf::Device => "devices".to_owned(),
        };
        match groups.last_mut().filter(|group| group.heading == heading) {
            Some(group) => group.rows.push(row(label)),
            None => groups.push(Group { heading, rows: vec![row(label)] }),
        }
    }
    let table = Table { key: "labels", caption: "one row a label, loom by loom".to_owned(), columns: COLUMNS.to_vec(), groups };
    Paper {
        name: "labels".to_owned(),
        title: "labels".to_owned(),
        has_class_b: labels.iter().any(|label| label.is_class_b),
        lead: vec![
            "Put the label on before the terminal is crimped. A printer of labels takes the comma-separated values: line1 to line4 are \
             the lines, one row a label."
                .to_owned(),
        ],
        unknown: if cut > 0 { vec![format!("more than {LINES} lines of {cut} labels: the table holds {LINES}")] } else { Vec::new() },
        sections: vec![
            Section { heading: "which label goes where".to_owned(), table: Some(table), ..Section::default() },
            Section {
                heading: "to cut out".to_owned(),
                own_sheet: true,
                slips: labels.iter().map(|label| label.lines.clone()).collect(),
                ..Section::default()
            },
        ],
        ..Paper::default()
    }
}

fn is_wanted(label: &Label, wanted: &Wanted) -> bool {
    match label.of {
        LabelOf::Wire => {
            let end = label.at.rsplit_once('.').map_or(label.at.as_str(), |(end, _)| end);
            wanted.has_end(&label.loom, end) || wanted.has_end(&label.loom, &label.at)
        }
        LabelOf::End => wanted.has_end(&label.loom, &label.name),
        LabelOf::Fuse | LabelOf::Device => wanted.looms.is_empty() && wanted.ends.is_empty(),
    }
}

fn row(label: &Label) -> Vec<Cell> {
    let mut cells = vec![
        Cell::Tick,
        Cell::text(label.of.word()),
        Cell::text(&label.loom),
        Cell::text(&label.name),
        Cell::text(&label.at),
        Cell::text(label.lines.join("\n")),
    ];
    cells.extend((0..LINES).map(|at| Cell::text(label.lines.get(at).map_or("", String::as_str))));
    cells.push(Cell::text(if label.is_class_b { "B" } else { "A" }));
    cells
}
