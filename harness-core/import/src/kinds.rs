//! The kinds of parts that a design has: a list can name one of them, and nothing else.

use harness_core::{
    Document,
    diff::{Kind, inventory},
};
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of parts of a design, by the key of `parts` under which they are.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kinds(BTreeMap<&'static str, BTreeSet<String>>);

impl Kinds {
    /// Those of a document.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        let mut kinds: BTreeMap<&'static str, BTreeSet<String>> = BTreeMap::new();
        for key in inventory(document).things.into_keys() {
            let of = match key.kind {
                Kind::HousingKind => "housings",
                Kind::TerminalKind => "terminals",
                Kind::ConductorKind => "conductors",
                Kind::CableKind => "cables",
                Kind::FuseKind => "fuses",
                Kind::PointKind => "points",
                Kind::DeviceKind => "devices",
                _ => continue,
            };
            kinds.entry(of).or_default().insert(key.shown().to_owned());
        }
        Self(kinds)
    }

    /// Whether the design has a kind of a sort.
    #[must_use]
    pub fn has(&self, of: &str, name: &str) -> bool {
        self.0.get(of).is_some_and(|names| names.contains(name))
    }
}
