//! Drafted things: what the lists say there is, each with the place where they say it.

mod build;
mod ends;
mod exported;
mod names;
mod pins;
mod row;
mod rows;
mod signals;
mod sums;
mod tables;

pub(crate) use build::build;
pub(crate) use ends::Names;
pub(crate) use exported::{exported, parted};
pub(crate) use names::slug;
pub(crate) use pins::{apply, taken};
pub(crate) use row::RowWire;
pub(crate) use rows::{Reading, wires};
pub(crate) use signals::spread;
pub(crate) use tables::{cross_checks, housings, ratings, retired, screens};

use crate::Kinds;
use std::collections::{BTreeMap, BTreeSet};

/// A place in a list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The list, `wires.csv` or `book.xlsx, tab Front`.
    pub list: String,
    /// The row as its owner sees it.
    pub row: u32,
    /// The heading of the column, if it is about one.
    pub column: Option<String>,
}

impl Place {
    /// The place of a row.
    #[must_use]
    pub fn of_row(list: &str, row: u32) -> Self {
        Self { list: list.to_owned(), row, column: None }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.list.split_once(", tab ") {
            Some((file, tab)) => write!(f, "{file}, tab {tab}:{}", self.row)?,
            None => write!(f, "{}:{}", self.list, self.row)?,
        }
        self.column.as_ref().map_or(Ok(()), |column| write!(f, " column '{column}'"))
    }
}

/// All that the lists give.
#[derive(Debug, Default)]
pub(crate) struct Draft {
    pub(crate) looms: BTreeMap<String, Loom>,
    /// Ports by device and port.
    pub(crate) ports: BTreeMap<(String, String), Port>,
    pub(crate) fuses: BTreeMap<String, FuseKind>,
    /// Fuses that are ends of wires: devices with two pins.
    pub(crate) fuse_devices: BTreeMap<String, (String, Place)>,
    pub(crate) cables: BTreeMap<String, CableKind>,
    pub(crate) retired: BTreeMap<String, Place>,
    /// Devices of a kind that the design has.
    pub(crate) of_kind: BTreeMap<String, (String, Place)>,
    /// The kinds of parts of the design that it is for.
    pub(crate) kinds: Kinds,
    /// Ratings of kinds of fuses that the design does not have.
    pub(crate) ratings: BTreeMap<String, (Option<String>, Place)>,
    /// Kinds of cables that the design does not have: their cores by label, each with size and colour.
    pub(crate) cores: BTreeMap<String, (BTreeMap<String, Core>, Place)>,
    /// Columns that nothing reads: list, wire, row, heading, text.
    pub(crate) unread: Vec<Unread>,
}

/// A cell that nothing reads.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Unread {
    pub(crate) list: String,
    pub(crate) row: u32,
    pub(crate) thing: String,
    pub(crate) column: String,
    pub(crate) text: String,
}

/// Size and colour of a core.
pub(crate) type Core = (Option<String>, Option<String>);

#[derive(Debug, Default)]
pub(crate) struct Loom {
    /// It comes from an export, which says everything.
    pub(crate) is_given: bool,
    /// It is not in this build.
    pub(crate) is_left_out: bool,
    /// The kind of its wires that have none of their own.
    pub(crate) kind: Option<String>,
    /// The same as the list has it, known or not.
    pub(crate) kind_said: Option<String>,
    pub(crate) unsure: Vec<String>,
    pub(crate) notes_of_all: Vec<String>,
    /// Where a list says something of the whole of it.
    pub(crate) place: Option<Place>,
    /// Notes of splices and cables.
    pub(crate) notes: BTreeMap<String, String>,
    pub(crate) cable_lengths: BTreeMap<String, String>,
    pub(crate) ends: BTreeMap<String, LoomEnd>,
    pub(crate) splices: BTreeMap<String, Place>,
    pub(crate) inside: BTreeMap<String, InLine>,
    pub(crate) cables: BTreeMap<String, (String, Place)>,
    pub(crate) wires: BTreeMap<String, Wire>,
}

#[derive(Debug)]
pub(crate) struct LoomEnd {
    pub(crate) kind: EndKind,
    pub(crate) plugged: BTreeSet<String>,
    pub(crate) notes: Vec<String>,
    pub(crate) place: Place,
    /// It comes from an export: what it mates is not a guess.
    pub(crate) is_given: bool,
    /// Further keys with their values.
    pub(crate) given: Vec<(&'static str, String)>,
    /// Terminals by cavity.
    pub(crate) terminals: BTreeMap<String, String>,
    /// Positions of the mate by cavity, where the halves number differently.
    pub(crate) pins: BTreeMap<String, String>,
    pub(crate) unsure: Vec<String>,
}

impl LoomEnd {
    pub(crate) fn new(kind: EndKind, place: Place) -> Self {
        Self {
            kind,
            plugged: BTreeSet::new(),
            notes: Vec::new(),
            place,
            is_given: false,
            given: Vec::new(),
            terminals: BTreeMap::new(),
            pins: BTreeMap::new(),
            unsure: Vec::new(),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum EndKind {
    /// A plug that mates a port.
    Mates(String),
    /// A ring on a stud, by its thread.
    Ring { thread: String, bolts_to: String },
    /// A bare end on a point.
    Lands(String),
}

#[derive(Debug, Clone)]
pub(crate) struct InLine {
    pub(crate) kind: InLineKind,
    pub(crate) note: Option<String>,
    pub(crate) place: Place,
}

#[derive(Debug, Clone)]
pub(crate) enum InLineKind {
    Fuse(String),
    Resistor(String),
    Capacitor(String),
    Diode,
    Link(String, String),
    /// A key of the format and what is behind it.
    Given(&'static str, String),
}

#[derive(Debug, Clone)]
pub(crate) struct Port {
    pub(crate) kind: PortKind,
    pub(crate) pins: BTreeMap<String, Pin>,
    /// The name as the list has it, where it can't be a name of the netlist, and other notes.
    pub(crate) notes: Vec<String>,
    /// Further keys with their values.
    pub(crate) given: Vec<(&'static str, String)>,
    pub(crate) place: Place,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PortKind {
    Plug,
    Stud(String),
    Point,
    Tab,
    /// A key of the format and what is behind it.
    Given(&'static str, String),
}

#[derive(Debug, Clone, Default)]
pub(crate) struct Pin {
    pub(crate) signal: Option<String>,
    pub(crate) is_spare: bool,
    pub(crate) is_optional: bool,
    /// Whether it must be wired, in the word of the format.
    pub(crate) need: Option<String>,
    pub(crate) unsure: Vec<String>,
    pub(crate) notes: Vec<String>,
    pub(crate) place: Option<Place>,
}

#[derive(Debug, Clone)]
pub(crate) struct FuseKind {
    pub(crate) rating: Option<String>,
    pub(crate) place: Place,
}

#[derive(Debug, Clone)]
pub(crate) struct CableKind {
    pub(crate) size: String,
    pub(crate) cores: u32,
    pub(crate) is_twisted: bool,
    pub(crate) is_screened: bool,
    pub(crate) place: Place,
}

/// Where a wire ends in the netlist.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Node {
    Cavity { end: String, label: String },
    Point(String),
    Splice(String),
    Side(String, u8),
    Capped,
}

impl Node {
    /// As the netlist refers to it.
    pub(crate) fn written(&self) -> String {
        match self {
            Self::Cavity { end, label } => format!("{end}.{label}"),
            Self::Point(end) | Self::Splice(end) => end.clone(),
            Self::Side(element, side) => format!("{element}.{side}"),
            Self::Capped => "capped".to_owned(),
        }
    }
}

#[derive(Debug, Clone)]
pub(crate) struct Wire {
    pub(crate) from: Node,
    pub(crate) to: Node,
    pub(crate) size: Option<String>,
    pub(crate) colour: Option<String>,
    pub(crate) length: Option<String>,
    pub(crate) twist: Option<String>,
    pub(crate) core: Option<String>,
    /// The kind of its conductor, where it differs from that of the loom.
    pub(crate) kind: Option<String>,
    pub(crate) signal: Option<String>,
    pub(crate) notes: Vec<String>,
    pub(crate) unsure: Vec<String>,
    pub(crate) place: Place,
}

impl Wire {
    /// A wire of which nothing else is said yet.
    pub(crate) fn between(from: Node, to: Node, place: Place) -> Self {
        Self {
            from,
            to,
            size: None,
            colour: None,
            length: None,
            twist: None,
            core: None,
            kind: None,
            signal: None,
            notes: Vec::new(),
            unsure: Vec::new(),
            place,
        }
    }
}
