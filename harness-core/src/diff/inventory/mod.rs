//! What a design is made of: things with names, each with its facts. The same inventory comes of any way to write the design.
//!
//! Owns which things there are and how they nest (`raw`), and which of them a fact names (`references`); what a key is, and what it
//! means, is declared in the records of the format.

mod fact;
mod raw;
mod references;

pub use self::fact::{Fact, FactKey, Item};
pub use crate::format::Kind;

use crate::format::{Attribute, Document};
use std::{collections::BTreeMap, fmt};

/// What is put before the name of a kind of device: it may bear the name of a device, and what is inside it must not be taken for
/// what is inside that.
const OF_KIND: &str = "kind ";

/// A thing by what it is and its whole name: `wire front.104`, `pin coolant-pump.J1.2`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// What it is.
    pub kind: Kind,
    /// Its name from the top, the parts joined by dots.
    pub path: String,
}

impl Key {
    /// A key.
    #[must_use]
    pub fn new(kind: Kind, path: impl Into<String>) -> Self {
        Self { kind, path: path.into() }
    }

    /// The key of a thing by the whole name that a design writes.
    #[must_use]
    pub fn named(kind: Kind, name: &str) -> Self {
        if kind == Kind::DeviceKind { Self::new(kind, format!("{OF_KIND}{name}")) } else { Self::new(kind, name) }
    }

    /// Its name as a person writes it: without the mark that keeps kinds of devices apart from devices.
    #[must_use]
    pub fn shown(&self) -> &str {
        self.path.strip_prefix(OF_KIND).unwrap_or(&self.path)
    }

    /// The loom or device that it is in; `None` for what is in none.
    #[must_use]
    pub fn owner(&self) -> Option<&str> {
        self.path.split_once('.').map(|(owner, _)| owner)
    }

    /// Its name within its loom or device.
    #[must_use]
    pub fn local(&self) -> &str {
        self.path.split_once('.').map_or(self.path.as_str(), |(_, rest)| rest)
    }

    /// Whether it is a kind of device, or a part of one.
    #[must_use]
    pub fn is_of_kind(&self) -> bool {
        self.path.starts_with(OF_KIND)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.path.is_empty() { f.write_str(self.kind.noun()) } else { write!(f, "{} `{}`", self.kind.noun(), self.path) }
    }
}

/// One thing of a design.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Thing {
    /// The thing that it is a part of.
    pub parent: Option<Key>,
    /// Its own name, without that of its parent.
    pub name: String,
    /// Its facts.
    pub facts: Facts,
}

/// Facts of a thing by what they say of it.
pub type Facts = BTreeMap<FactKey, Fact>;

impl Thing {
    /// A fact with a key of its own.
    #[must_use]
    pub fn fact(&self, attribute: Attribute) -> Option<&Fact> {
        self.facts.get(&FactKey::from(attribute))
    }

    /// The thing that a fact names first.
    #[must_use]
    pub fn named(&self, attribute: Attribute) -> Option<&Key> {
        self.fact(attribute)?.things().next()
    }

    /// The first item of a fact where it names nothing.
    #[must_use]
    pub fn word(&self, attribute: Attribute) -> Option<&str> {
        match self.fact(attribute)?.items.first()? {
            Item::Word(word) => Some(word),
            Item::Thing(..) => None,
        }
    }
}

/// All things of a design.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Inventory {
    /// The things by key.
    pub things: BTreeMap<Key, Thing>,
}

/// What a design is made of, by its document. Mistakes in it are the business of a check; what can't be read is not in the inventory.
#[must_use]
pub fn inventory(document: &Document) -> Inventory {
    references::resolve(raw::things(&document.design, &document.names))
}
