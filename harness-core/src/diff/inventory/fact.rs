//! Facts: what is said of a thing, item by item.

use super::Key;
use crate::format::{Attribute, Class, Order};
use std::fmt;

/// Which fact of a thing: `size`, `takes.size`, `terminals.3`, `cores.1.colour`.
///
/// Facts are sorted by what a netlist writes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FactKey {
    /// The key in the record of the thing.
    pub attribute: Attribute,
    /// The label after it, where things are named by label: a cavity, a core, a rule.
    pub label: Option<Box<str>>,
    /// The key in the record behind that.
    pub inner: Option<Attribute>,
}

impl From<Attribute> for FactKey {
    fn from(attribute: Attribute) -> Self {
        Self { attribute, label: None, inner: None }
    }
}

impl FactKey {
    /// The fact of one label: the terminal in a cavity.
    #[must_use]
    pub fn labelled(attribute: Attribute, label: &str) -> Self {
        Self { label: Some(label.into()), ..Self::from(attribute) }
    }

    /// Whether it has a key of its own, and which.
    #[must_use]
    pub fn plain(&self) -> Option<Attribute> {
        (self.label.is_none() && self.inner.is_none()).then_some(self.attribute)
    }
}

impl PartialEq<Attribute> for FactKey {
    fn eq(&self, other: &Attribute) -> bool {
        self.plain() == Some(*other)
    }
}

impl fmt::Display for FactKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.attribute.word())?;
        if let Some(label) = &self.label {
            write!(f, ".{label}")?;
        }
        match self.inner {
            Some(inner) => write!(f, ".{inner}"),
            None => Ok(()),
        }
    }
}

/// One item of a fact.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// A figure, a word, a text.
    Word(String),
    /// Another thing, with what follows its name: the cavity in `P1.3`.
    Thing(Key, String),
}

impl Item {
    /// The thing that it names.
    #[must_use]
    pub fn thing(&self) -> Option<&Key> {
        match self {
            Self::Thing(key, _) => Some(key),
            Self::Word(_) => None,
        }
    }
}

/// A fact: one item or several.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fact {
    /// Its items, in their order where the order says something, else sorted.
    pub items: Vec<Item>,
    /// What it means for a comparison and at the bench.
    pub class: &'static Class,
}

impl Fact {
    /// A fact; sorts the items if their order says nothing.
    #[must_use]
    pub fn new(mut items: Vec<Item>, class: &'static Class) -> Self {
        if class.order != Order::Listed {
            items.sort();
        }
        Self { items, class }
    }

    /// Whether the order of its items says something.
    #[must_use]
    pub fn is_ordered(&self) -> bool {
        self.class.order == Order::Listed
    }

    /// The things that it names.
    pub fn things(&self) -> impl Iterator<Item = &Key> {
        self.items.iter().filter_map(Item::thing)
    }

    /// Whether it names a thing.
    #[must_use]
    pub fn names(&self, key: &Key) -> bool {
        self.things().any(|named| named == key)
    }

    /// Its items between commas, or between blanks where their order says something; `none` for an empty list.
    pub(in crate::diff) fn joined(&self, item: impl Fn(&Item) -> String) -> String {
        if self.items.is_empty() {
            return "none".to_owned();
        }
        self.items.iter().map(item).collect::<Vec<_>>().join(if self.is_ordered() { " " } else { ", " })
    }
}
