//! Papers as JSON: the cells of each table by the keys of its columns.

use super::{Cell, Paper};
use crate::render::kit::figures::rounded;
use harness_core::bench::Identity;
use serde::Serialize;
use std::{
    collections::BTreeMap,
    io::{self, Write},
};

/// Papers of one design.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PapersJson<'a> {
    /// Version of this form.
    pub version: u32,
    /// The name of the design.
    pub design: &'a str,
    /// Its revision; empty if it has none.
    pub revision: &'a str,
    /// A fingerprint of the text of its files.
    pub content: String,
    /// That a clean result is no safety certificate, and who may work on voltage class B.
    pub caution: String,
    /// The papers.
    pub papers: Vec<PaperJson<'a>>,
}

/// A paper.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PaperJson<'a> {
    /// What it is called in file names.
    pub name: &'a str,
    /// What it is called.
    pub title: &'a str,
    /// What it is about, such as a loom; empty for the whole design.
    pub about: &'a str,
    /// Whether anything on it is of voltage class B.
    pub class_b: bool,
    /// What a reader must know first.
    pub lead: &'a [String],
    /// What the design does not say.
    pub unknown: &'a [String],
    /// Its sections.
    pub sections: Vec<SectionJson<'a>>,
    /// Where its figures come from.
    pub sources: &'a [String],
}

/// A section of a paper.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SectionJson<'a> {
    /// Its heading; empty for the only one.
    pub heading: &'a str,
    /// What it says besides its table.
    pub lines: Vec<&'a str>,
    /// Its picture in words; empty for none.
    pub picture: &'a [String],
    /// Its table; absent for none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<TableJson<'a>>,
}

/// A table.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TableJson<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it holds and in which order.
    pub caption: &'a str,
    /// Its columns in order.
    pub columns: Vec<ColumnJson<'a>>,
    /// Its rows: texts and figures by the keys of the columns; `null` where nothing is known.
    pub rows: Vec<BTreeMap<&'a str, ValueJson>>,
}

/// A column of a table.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ColumnJson<'a> {
    /// The key of its cells.
    pub key: &'a str,
    /// Its heading on paper.
    pub heading: &'a str,
    /// The unit of its figures; empty for none.
    pub unit: &'a str,
}

/// What a cell holds.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum ValueJson {
    /// Words.
    Text(String),
    /// A figure.
    Figure(f64),
    /// Nothing.
    None,
}

pub(super) fn write(papers: &[Paper], identity: &Identity, out: &mut dyn Write) -> io::Result<()> {
    let json = PapersJson {
        version: 1,
        design: &identity.design,
        revision: &identity.revision,
        content: identity.fingerprint.to_string(),
        caution: crate::render::kit::caution::CAUTION.join(" "),
        papers: papers.iter().map(paper).collect(),
    };
    serde_json::to_writer_pretty(&mut *out, &json)?;
    writeln!(out)
}

fn paper(paper: &Paper) -> PaperJson<'_> {
    let sections = paper.sections.iter().map(|section| SectionJson {
        heading: &section.heading,
        lines: section.lines.iter().chain(&section.after).map(String::as_str).collect(),
        picture: section.picture.as_ref().map_or(&[], |picture| &picture.words),
        table: section.table.as_ref().map(|table| {
            let kept = table.for_programs();
            let of = |row: &Vec<Cell>| {
                kept.iter().filter_map(|at| Some((table.columns.get(*at)?.key, value(row.get(*at)?)))).collect::<BTreeMap<_, _>>()
            };
            let columns = kept.iter().filter_map(|at| table.columns.get(*at));
            TableJson {
                name: table.key,
                caption: &table.caption,
                columns: columns.map(|column| ColumnJson { key: column.key, heading: column.head, unit: column.unit }).collect(),
                rows: table.rows().map(of).collect(),
            }
        }),
    });
    PaperJson {
        name: &paper.name,
        title: &paper.title,
        about: &paper.about,
        class_b: paper.has_class_b,
        lead: &paper.lead,
        unknown: &paper.unknown,
        sections: sections.collect(),
        sources: &paper.sources,
    }
}

fn value(cell: &Cell) -> ValueJson {
    match cell {
        Cell::Text(text) => ValueJson::Text(text.replace('\n', " / ")),
        Cell::Figure(value, _) if value.is_finite() => ValueJson::Figure(rounded(*value)),
        Cell::Colour(colour) => ValueJson::Text(colour.to_string()),
        Cell::Figure(..) | Cell::None(_) | Cell::Tick | Cell::Write(_) => ValueJson::None,
    }
}
