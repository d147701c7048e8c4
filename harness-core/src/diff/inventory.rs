//! What a design is made of: things with names, each with its facts. The same inventory comes of any way to write the design.
//!
//! Owns which things there are and how they nest; which facts name other things is the business of `refer`.

use super::references;
use crate::{design::Design, format::Content};
use std::{collections::BTreeMap, fmt};

/// What a thing is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The design itself: its name, revision, retired numbers.
    Design,
    /// The workshop's own limits.
    Policy,
    /// A voltage domain.
    Domain,
    /// A place on the vehicle.
    Zone,
    /// An operating state.
    Mode,
    /// A kind of housing.
    HousingKind,
    /// A kind of terminal.
    TerminalKind,
    /// A kind of wire.
    ConductorKind,
    /// A kind of cable.
    CableKind,
    /// A kind of fuse.
    FuseKind,
    /// A kind of device.
    DeviceKind,
    /// A device.
    Device,
    /// A connector or stud of a device.
    Port,
    /// A pin of a port.
    Pin,
    /// What joins points inside a device or in a loom.
    Element,
    /// A loom.
    Loom,
    /// A connector or ring of a loom.
    End,
    /// A splice.
    Splice,
    /// A wire.
    Wire,
    /// A cable of a loom.
    Cable,
    /// A segment of a loom's route.
    Segment,
    /// A finding that was accepted.
    Waiver,
}

impl Kind {
    /// Whether it says what to buy. Such a thing is what its facts say, whoever uses it.
    pub(super) fn is_part(self) -> bool {
        matches!(
            self,
            Self::HousingKind | Self::TerminalKind | Self::ConductorKind | Self::CableKind | Self::FuseKind | Self::DeviceKind
        )
    }

    /// Whether it is a setting in which other things stand.
    pub(super) fn is_setting(self) -> bool {
        matches!(self, Self::Domain | Self::Zone | Self::Mode)
    }

    /// What the trade calls it.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Design => "design",
            Self::Policy => "policy",
            Self::Domain => "domain",
            Self::Zone => "zone",
            Self::Mode => "mode",
            Self::HousingKind => "housing kind",
            Self::TerminalKind => "terminal kind",
            Self::ConductorKind => "conductor kind",
            Self::CableKind => "cable kind",
            Self::FuseKind => "fuse kind",
            Self::DeviceKind => "device kind",
            Self::Device => "device",
            Self::Port => "port",
            Self::Pin => "pin",
            Self::Element => "element",
            Self::Loom => "loom",
            Self::End => "end",
            Self::Splice => "splice",
            Self::Wire => "wire",
            Self::Cable => "cable",
            Self::Segment => "segment",
            Self::Waiver => "waiver",
        }
    }
}

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
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.path.is_empty() { f.write_str(self.kind.noun()) } else { write!(f, "{} `{}`", self.kind.noun(), self.path) }
    }
}

/// One item of a fact.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// A figure, a word, a text.
    Word(String),
    /// Another thing, with what stands behind its name: the cavity in `P1.3`.
    Thing(Key, String),
}

/// A fact: one item or several.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fact {
    /// Its items, in their order where the order says something, else sorted.
    pub items: Vec<Item>,
    /// Whether the order of its items says something.
    pub ordered: bool,
}

impl Fact {
    /// A fact; sorts the items if their order says nothing.
    #[must_use]
    pub fn new(mut items: Vec<Item>, ordered: bool) -> Self {
        if !ordered {
            items.sort();
        }
        Self { items, ordered }
    }
}

/// One thing of a design.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Thing {
    /// The thing that it is a part of.
    pub parent: Option<Key>,
    /// Its own name, without that of its parent.
    pub name: String,
    /// Its facts by key; those of a record within it by both keys, `takes.size`.
    pub facts: BTreeMap<String, Fact>,
}

/// All things of a design.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Inventory {
    /// The things by key.
    pub things: BTreeMap<Key, Thing>,
}

/// What a design is made of. Mistakes in it are the business of a check; what can't be read is not in the inventory.
#[must_use]
pub fn inventory(design: &Design) -> Inventory {
    let Content::Map(top) = Content::of(design.document(), &design.model().names) else { return Inventory::default() };
    let mut raw = Raw::default();
    raw.design(top);
    references::resolve(raw.things)
}

/// Things whose facts are texts as yet.
#[derive(Debug, Default)]
struct Raw {
    things: BTreeMap<Key, RawThing>,
}

/// A thing whose facts are texts as yet.
#[derive(Debug, Default)]
pub(super) struct RawThing {
    pub(super) parent: Option<Key>,
    pub(super) name: String,
    pub(super) facts: BTreeMap<String, Vec<String>>,
}

/// The keys of a record behind which further things stand, with what these are.
fn parts_of(kind: Kind) -> &'static [(&'static str, Kind)] {
    match kind {
        Kind::Design => &[
            ("domains", Kind::Domain),
            ("zones", Kind::Zone),
            ("modes", Kind::Mode),
            ("devices", Kind::Device),
            ("looms", Kind::Loom),
        ],
        Kind::Device | Kind::DeviceKind => &[("ports", Kind::Port), ("inside", Kind::Element)],
        Kind::Port => &[("pins", Kind::Pin)],
        Kind::Loom => &[
            ("ends", Kind::End),
            ("splices", Kind::Splice),
            ("wires", Kind::Wire),
            ("cables", Kind::Cable),
            ("route", Kind::Segment),
            ("inside", Kind::Element),
        ],
        _ => &[],
    }
}

/// The kinds of parts, by their key.
const PARTS: [(&str, Kind); 6] = [
    ("housings", Kind::HousingKind),
    ("terminals", Kind::TerminalKind),
    ("conductors", Kind::ConductorKind),
    ("cables", Kind::CableKind),
    ("fuses", Kind::FuseKind),
    ("devices", Kind::DeviceKind),
];

impl Raw {
    fn design(&mut self, mut top: BTreeMap<String, Content>) {
        // How the design lies in files is no fact of it.
        top.remove("include");
        if let Some(Content::Map(mut parts)) = top.remove("parts") {
            for (key, kind) in PARTS {
                // A kind of device may bear the name of a device; what is inside it must not be taken for that.
                let before = if kind == Kind::DeviceKind { "kind " } else { "" };
                self.all(parts.remove(key), kind, None, before);
            }
        }
        // Where the workshop sets no limit, all have their defaults: there is always a policy.
        let policy = top.remove("policy").unwrap_or(Content::Map(BTreeMap::new()));
        self.thing(Key::new(Kind::Policy, ""), String::new(), None, policy);
        if let Some(Content::List(waivers)) = top.remove("waivers") {
            for waiver in waivers {
                self.waiver(waiver);
            }
        }
        self.thing(Key::new(Kind::Design, ""), String::new(), None, Content::Map(top));
    }

    fn waiver(&mut self, waiver: Content) {
        let Content::Map(facts) = &waiver else { return };
        let text = |key: &str| match facts.get(key) {
            Some(Content::Text(text)) => text.as_str(),
            _ => "?",
        };
        let name = format!("{} at {}", text("finding"), text("at"));
        self.thing(Key::new(Kind::Waiver, name.clone()), name, None, waiver);
    }

    fn all(&mut self, map: Option<Content>, kind: Kind, parent: Option<&Key>, before: &str) {
        let Some(Content::Map(map)) = map else { return };
        for (name, content) in map {
            let path = match parent {
                Some(parent) if !parent.path.is_empty() => format!("{}.{name}", parent.path),
                _ => format!("{before}{name}"),
            };
            self.thing(Key::new(kind, path), name, parent.filter(|parent| parent.kind != Kind::Design).cloned(), content);
        }
    }

    fn thing(&mut self, mut key: Key, mut name: String, parent: Option<Key>, content: Content) {
        // A dot in a name, or a loom that is called like a device: a second thing of the same whole name must not hide the first.
        let (path, own) = (key.path.clone(), name.clone());
        let mut number = 2;
        while self.things.contains_key(&key) {
            (key.path, name) = (format!("{path} ({number})"), format!("{own} ({number})"));
            number += 1;
        }
        let mut facts = BTreeMap::new();
        // Held before its parts come, which may bear its name.
        self.things.insert(key.clone(), RawThing::default());
        match content {
            Content::Map(mut map) => {
                for (part, kind) in parts_of(key.kind) {
                    self.all(map.remove(*part), *kind, Some(&key), "");
                }
                flatten("", Content::Map(map), &mut facts);
            }
            other => flatten("", other, &mut facts),
        }
        self.things.insert(key, RawThing { parent, name, facts });
    }
}

/// Brings what stands below a thing into one list of facts.
fn flatten(key: &str, content: Content, facts: &mut BTreeMap<String, Vec<String>>) {
    match content {
        Content::Text(text) => {
            facts.insert(key.to_owned(), vec![text]);
        }
        Content::List(list) => {
            facts.insert(key.to_owned(), list.into_iter().map(line).collect());
        }
        Content::Map(map) => {
            for (inner, content) in map {
                let key = if key.is_empty() { inner } else { format!("{key}.{inner}") };
                flatten(&key, content, facts);
            }
        }
    }
}

/// A content as one text: a row of a face, a gate of a fuse.
fn line(content: Content) -> String {
    match content {
        Content::Text(text) => text,
        Content::List(list) => list.into_iter().map(line).collect::<Vec<_>>().join(" "),
        Content::Map(map) => {
            map.into_iter().map(|(key, content)| format!("{key} {}", line(content))).collect::<Vec<_>>().join(", ")
        }
    }
}
