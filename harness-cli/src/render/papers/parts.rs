//! The parts list on paper: by loom, in total, and what nobody has chosen yet.

use super::{Wanted, area};
use crate::render::kit::paper::{Cell, Column, Group, Paper, Section, Table, three_digits};
use harness_core::{
    bench::{Bench, StockRow, Unchosen},
    quantity::Unit,
};

const COLUMNS: [Column; 9] = [
    Column::words("done", "", 0).on_paper(),
    Column::words("loom", "loom", 5).as_data(),
    Column::words("sort", "sort", 0),
    Column::words("name", "kind", 0),
    Column::words("detail", "detail", 1),
    Column::figures("count", "pieces", "", 0),
    Column::figures("length_m", "length", "m", 0),
    Column::figures("spares", "spares", "", 1),
    Column::figures("without_length", "without a length", "", 2),
];

const UNCHOSEN: [Column; 6] = [
    Column::words("end", "end", 0),
    Column::words("loom", "loom", 5).as_data(),
    Column::words("what", "not chosen", 0),
    Column::words("size", "for", 1),
    Column::words("cavities", "cavities", 0),
    Column::words("fits", "would fit", 0),
];

/// The parts that are wanted.
pub(super) fn paper(bench: &Bench<'_>, wanted: &Wanted) -> Paper {
    let stock = bench.stock();
    let all = wanted.looms.is_empty() && wanted.ends.is_empty();
    let own: Vec<&StockRow> =
        stock.by_loom.iter().filter(|row| if row.loom.is_empty() { all } else { wanted.has_loom(&row.loom) }).collect();
    let mut groups: Vec<Group> = Vec::new();
    for row in own {
        let heading = if row.loom.is_empty() { "devices".to_owned() } else { format!("loom `{}`", row.loom) };
        match groups.last_mut().filter(|group| group.heading == heading) {
            Some(group) => group.rows.push(cells(row)),
            None => groups.push(Group { heading, rows: vec![cells(row)] }),
        }
    }
    let unchosen: Vec<&Unchosen> = stock.unchosen.iter().filter(|row| wanted.has_end(&row.loom, &row.end)).collect();
    let by_loom = Table { key: "by-loom", caption: "loom by loom".to_owned(), columns: COLUMNS.to_vec(), groups };
    let mut sections = Vec::new();
    if all {
        let rows = stock.totals.iter().map(cells).collect();
        sections.push(Section {
            heading: "in total".to_owned(),
            table: Some(Table::of("totals", "everything, sorted by sort and kind", &COLUMNS, rows)),
            ..Section::default()
        });
    }
    if !unchosen.is_empty() {
        let rows = unchosen.iter().map(|row| open(row)).collect();
        let caption = "what nobody has chosen, with the kinds of this design that would fit";
        sections.push(Section {
            heading: "not chosen yet".to_owned(),
            table: Some(Table::of("not-chosen", caption, &UNCHOSEN, rows)),
            ..Section::default()
        });
    }
    sections.push(Section { heading: "by loom".to_owned(), table: Some(by_loom), own_sheet: true, ..Section::default() });
    let spares = match stock.spares {
        Some(share) => format!(
            "Spares are {} % of terminals, seals, plugs, rings, splices and fuses, rounded up.",
            three_digits(share * 100.0)
        ),
        None => "No spares are added: the design gives no share of them (`bench: { spares: … }`).".to_owned(),
    };
    let without: usize = stock.totals.iter().map(|row| row.without_length).sum();
    let mut unknown = Vec::new();
    if without > 0 {
        unknown.push(format!("the length of {without} pieces that come by the metre: their metres are missing here"));
    }
    Paper {
        name: "parts-list".to_owned(),
        title: "parts list".to_owned(),
        lead: vec![
            spares,
            "Boxes, sensors and motors with what is in them are not listed, except their fuses and relays.".to_owned(),
        ],
        unknown,
        sections,
        ..Paper::default()
    }
}

fn cells(row: &StockRow) -> Vec<Cell> {
    vec![
        Cell::Tick,
        Cell::text(&row.loom),
        Cell::text(row.sort.word()),
        if row.name.is_empty() { Cell::None("no kind given") } else { Cell::text(&row.name) },
        Cell::text(area(&row.detail)),
        Cell::count(row.count),
        Cell::figure_or(row.length.map(Unit::get), ""),
        if row.sort.has_spares() { Cell::count(row.spares) } else { Cell::None("") },
        if row.without_length > 0 { Cell::count(row.without_length) } else { Cell::None("") },
    ]
}

fn open(row: &Unchosen) -> Vec<Cell> {
    vec![
        Cell::text(&row.end),
        Cell::text(&row.loom),
        Cell::text(row.what),
        Cell::text(area(&row.size)),
        Cell::text(row.cavities.join(", ")),
        if row.fits.is_empty() { Cell::None("none of this design") } else { Cell::text(row.fits.join(", ")) },
    ]
}
