//! What may be written at a place: keys, words, units, names, cavities that are still free.

mod fits;
mod names;
mod siblings;

use super::{
    cursor::{Place, Side},
    expected::{Expected, chosen, expected, map_of},
    index::Index,
    proposal::{Proposal, ProposalKind, needs_quotes, quoted},
    values, words,
};
use crate::{
    design::Design,
    format::{
        Attribute, Kind, LIKE,
        shape::{RecordShape, Shape},
    },
    rules,
};
use names::Names;

/// What may be written at a place, and what it takes the place of.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Proposals {
    /// First byte of what is typed.
    pub start: usize,
    /// One past its last byte.
    pub end: usize,
    /// What may be written, the most likely first.
    pub items: Vec<Proposal>,
}

/// What may be written at a place of `text`, a file of the design.
///
/// # Cost
/// A pass over the names of the design.
#[must_use]
pub fn proposals(index: &Index, design: &Design, text: &str, (place, offset): (&Place, usize)) -> Proposals {
    let Some(asked) = expected(place) else { return Proposals::default() };
    let typed = text.get(place.start..offset.max(place.start)).unwrap_or("");
    let names = Names { index, design, asked: &asked, place, typed };
    let mut items = Vec::new();
    if place.side == Side::Key {
        keys(&asked, place, &names, text, &mut items);
    }
    if let Some(form) = words::form(asked.shape).filter(|_| place.side == Side::Value) {
        if place.beside.is_empty() {
            names.signals(&mut items);
        } else {
            words::of_piece(form, place, typed, &mut items);
        }
    }
    // What is not a key yet may become a value.
    if place.side == Side::Value || map_of(asked.shape).is_none() {
        values::of_shape(asked.shape, typed, &mut items);
        if is_text(asked.shape) {
            names.values(&mut items);
        }
        items.iter_mut().filter(|item| !place.is_quoted && needs_quotes(&item.text)).for_each(quote);
    }
    items.sort_by_key(|item| item.rank);
    items.dedup_by(|one, other| one.label == other.label && one.kind == other.kind);
    Proposals { start: place.start, end: place.end, items }
}

fn keys(asked: &Expected, place: &Place, names: &Names<'_>, text: &str, items: &mut Vec<Proposal>) {
    let colon = if text.get(place.end..).is_some_and(|rest| rest.trim_start_matches(' ').starts_with(':')) { "" } else { ": " };
    if asked.is_named && !place.beside.iter().any(|key| key == LIKE.key.word()) {
        let word = LIKE.key.word();
        let proposal = Proposal::new(ProposalKind::Key, word).doc(LIKE.doc);
        items.push(Proposal { text: format!("{word}{colon}"), ..proposal });
    }
    match map_of(asked.shape) {
        Some(Shape::Record(record)) => of_record(record, place, colon, items),
        Some(Shape::Variants(shape)) => match chosen(shape, &place.beside) {
            Some(record) => of_record(record, place, colon, items),
            None => items.extend(shape.variants.iter().map(|(word, record)| {
                let doc = record.doc.trim();
                Proposal { text: format!("{word}{colon}"), ..Proposal::new(ProposalKind::Key, *word).doc(doc) }
            })),
        },
        Some(Shape::Map(_)) => {
            let first = items.len();
            if asked.field.is_some_and(|field| field.key == Attribute::Levels) {
                rule_names(items);
            } else {
                names.labels(items);
            }
            for item in items.iter_mut().skip(first) {
                item.text = format!("{}{colon}", if needs_quotes(&item.text) { quoted(&item.text) } else { item.text.clone() });
            }
        }
        _ => {}
    }
}

fn of_record(record: &'static RecordShape, place: &Place, colon: &str, items: &mut Vec<Proposal>) {
    let free = record.fields.iter().filter(|field| !place.beside.iter().any(|key| key == field.key.word()));
    items.extend(free.map(|field| {
        let values = values::words((field.shape)());
        let detail = match (field.required, values.is_empty()) {
            (true, true) => "required".to_owned(),
            (true, false) => format!("required; {values}"),
            (false, _) => values,
        };
        let word = field.key.word();
        let proposal = Proposal::new(ProposalKind::Key, word).doc(field.doc.trim()).detail(detail);
        Proposal { text: format!("{word}{colon}"), ..proposal }.rank(if field.required { 0 } else { 1 })
    }));
}

/// Every rule with what it finds.
fn rule_names(items: &mut Vec<Proposal>) {
    items.extend(
        rules::pages().iter().map(|page| Proposal::new(ProposalKind::Rule, page.name).detail(page.level.name()).doc(page.finds)),
    );
}

fn is_text(shape: Shape) -> bool {
    match shape {
        Shape::Text => true,
        Shape::Either(shapes) => shapes.iter().any(|shape| is_text(shape())),
        _ => false,
    }
}

fn quote(item: &mut Proposal) {
    item.text = quoted(&item.text);
}

/// The kinds of things that a key names, where it names things by their whole name.
pub(super) fn kinds_of(asked: &Expected) -> &'static [Kind] {
    match asked.field.map(|field| field.class.naming) {
        Some(crate::format::Naming::Anywhere(kinds)) => kinds,
        _ => &[],
    }
}
