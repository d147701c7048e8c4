//! The kinds of parts that a design has: a list can name one of them, and nothing else.

use harness_core::{
    Document,
    diff::{Kind, inventory},
};
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of parts of a design, by the key of `parts` under which they are.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kinds {
    named: BTreeMap<&'static str, BTreeSet<String>>,
    /// Devices that say which kind they are of.
    devices: BTreeSet<String>,
}

impl Kinds {
    /// Those of a document.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        let mut kinds: BTreeMap<&'static str, BTreeSet<String>> = BTreeMap::new();
        let mut devices = BTreeSet::new();
        for (key, thing) in inventory(document).things {
            if key.kind == Kind::Device && thing.facts.keys().any(|fact| fact.to_string() == "device") {
                devices.insert(key.path.clone());
            }
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
        Self { named: kinds, devices }
    }

    /// Whether a device says already which kind it is of.
    #[must_use]
    pub fn has_kind(&self, device: &str) -> bool {
        self.devices.contains(device)
    }

    /// Whether the design has a kind of a sort.
    #[must_use]
    pub fn has(&self, of: &str, name: &str) -> bool {
        self.named.get(of).is_some_and(|names| names.contains(name))
    }
}
