//! Papers as a workbook: a tab each table, and one that says which design they are of.

use super::{Paper, csv, text::identity_line};
use crate::render::kit::{
    book::{self, Sheet},
    caution::CAUTION,
};
use harness_core::bench::Identity;

pub(super) fn bytes(papers: &[Paper], identity: &Identity) -> Result<Vec<u8>, String> {
    let mut about = Sheet::new("about", &["what", "says"]);
    about.rows.push(vec!["design".to_owned(), identity_line(identity)]);
    about.rows.extend(CAUTION.map(|line| vec!["caution".to_owned(), line.to_owned()]));
    for paper in papers {
        let said = paper.lead.iter().map(|line| (format!("{}: read first", paper.heading()), line));
        let unknown = paper.unknown.iter().map(|line| (format!("{}: not known", paper.heading()), line));
        about.rows.extend(said.chain(unknown).map(|(what, line)| vec![what, line.clone()]));
    }
    let mut sheets = vec![about];
    for paper in papers {
        let tables = paper.merged();
        for table in &tables {
            let kept = table.for_programs();
            let columns: Vec<_> = kept.iter().filter_map(|at| table.columns.get(*at)).collect();
            let name = if tables.len() > 1 { format!("{} {}", paper.file(), table.key) } else { paper.file() };
            sheets.push(Sheet {
                name,
                head: columns.iter().map(|column| column.key.to_owned()).collect(),
                figures: columns.iter().map(|column| column.figures).collect(),
                rows: table.rows().map(|row| kept.iter().filter_map(|at| row.get(*at)).map(csv::value).collect()).collect(),
            });
        }
    }
    book::workbook(&identity.design, &sheets)
}
