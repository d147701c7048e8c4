//! What a document says, without how it is written: order of maps, files, spelling of units and quotes are gone.

use super::shape::{FieldShape, RecordShape};
use crate::quantity::{self, Unit};
use std::collections::BTreeMap;

/// What is at one place, so that two spellings of one fact are equal.
#[derive(Debug, Clone)]
pub enum Content {
    /// One fact: a quantity with its unit, a word, a name.
    Text(String),
    /// Several facts, in the order written.
    List(Vec<Content>),
    /// Facts by key, in the order of the record; those that are there.
    Record(Vec<(&'static FieldShape, Content)>),
    /// Things or facts by name.
    Map(BTreeMap<String, Content>),
}

impl Content {
    /// The facts that are there.
    pub(super) fn record<const N: usize>(shape: &'static RecordShape, facts: [Option<Self>; N]) -> Self {
        Self::Record(shape.fields.iter().zip(facts).filter_map(|(field, fact)| Some((field, fact?))).collect())
    }

    /// A quantity as the trade prints it, or with all its digits where that would lose some.
    pub(super) fn quantity<U: Unit>(value: U) -> Self {
        let shown = value.to_string();
        let exact = rounded(value.get());
        if quantity::parse::<U>(&shown).is_ok_and(|read| rounded(read.get()) == exact) {
            return Self::Text(shown);
        }
        Self::Text(format!("{exact} {}", U::SPELLINGS.first().map_or("", |(unit, _)| unit)))
    }
}

/// Twelve digits: `1450 mm` and `1.45 m` are the same length.
fn rounded(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}
