//! The ends of each loom: plugs with their housings, rings, bare ends.

use crate::{
    format::{Document, looms::End},
    text::{Span, Text},
};

/// An end of a loom as its files write it.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ListedEnd {
    /// The loom.
    pub loom: String,
    /// Its name.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// A housing kind, `ring M8` or `bare end`; empty for a plug without a housing.
    pub housing: String,
    /// The port or end that it mates, is bolted to or lands on; empty for nothing.
    pub mates: String,
    /// The terminal kind of its cavities; empty where none is given.
    pub terminal: String,
    /// What must still be measured or found out.
    pub doubts: Vec<String>,
    /// What its note says.
    pub note: String,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

/// All ends in the order written.
pub(super) fn of(document: &Document) -> Vec<ListedEnd> {
    let text = |text: &Text| document.names.text(text.value).to_owned();
    let optional = |value: &Option<Text>| value.as_ref().map_or_else(String::new, text);
    let end = |loom: &str, name: &Text, end: &End| ListedEnd {
        loom: loom.to_owned(),
        name: text(name),
        span: name.span,
        housing: match (&end.ring, &end.lands_on) {
            (Some(thread), _) => format!("ring {}", text(thread)),
            (None, Some(_)) => "bare end".to_owned(),
            (None, None) => optional(&end.housing),
        },
        mates: [&end.mates, &end.bolts_to, &end.lands_on].into_iter().flatten().next().map_or_else(String::new, text),
        terminal: optional(&end.terminal),
        doubts: end.unsure.iter().map(text).collect(),
        note: optional(&end.note),
        findings: Vec::new(),
    };
    let mut ends = Vec::new();
    for loom in &document.design.looms {
        let name = text(&loom.name);
        ends.extend(loom.value.ends.iter().map(|own| end(&name, &own.name, &own.value)));
    }
    ends.sort_by_key(|end| end.span);
    ends
}
